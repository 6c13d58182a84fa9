package inspect

import (
	"math"
	"strings"

	"rigloupe/inspect/check"
)

// How much of a fault the one who watches the figure sees: the order in which findings of
// one grade matter. The steps are ours (common practice, no source).
const (
	seenNever    = 2.  // a player that follows the standard refuses the file: nothing else of it is seen
	seenTorn     = 1.8 // the surface is drawn out or comes apart: the eye is caught however small it is
	seenStill    = 1.  // it is there in every picture
	seenMoving   = .9  // in every movement
	seenBent     = .7  // in some poses or moments
	seenBuilding = .4  // by those who bind it, pose it by mirror, or put motion on it
	seenInFile   = .2  // in a list of the file's contents
	seenPartly   = .25 // what a fault counts for whose place is a point
	seenAtMost   = 8.  // × its limit: beyond that it is no more plainly a fault
	seenExcess   = .25 // what that counts for
	seenThrown   = .02 // × the height: what weights that are off one throw a vertex by and is seen in every picture
)

// seen says when the fault of a check is seen, or of all checks of a station that it does
// not name. What neither names is seen in the file alone.
var seen = map[string]float64{
	"intake/unapplied-scale": seenStill, "intake/uneven-scale": seenStill, "intake/unapplied-turn": seenBuilding,
	"intake/ignored-placement": seenStill, "intake/odd-height": seenStill, "intake/off-ground": seenBuilding,
	"intake/facing": seenBuilding, "intake/needs-extension": seenNever, "intake/bounds-off": seenBuilding, "intake/morphs": seenBent,

	"surface/near-coincident": seenBuilding, "surface/branching-edges": seenBuilding, "surface/mixed-winding": seenStill,
	"surface/inside-out": seenStill, "surface/lopsided": seenBuilding, "surface/bad-normals": seenStill,
	"surface/ready-to-bind": seenBuilding,

	"skeleton/": seenBuilding, "skeleton/bind-lost": seenTorn, "skeleton/bind-mixed": seenTorn,
	"skeleton/bind-odd": seenBent, "skeleton/loose-chain": seenTorn, "skeleton/role-unheld": seenMoving, "skeleton/scaled-joint": seenBent,
	"skeleton/zero-length": seenInFile, "skeleton/name-clash": seenInFile, "skeleton/proportions": seenInFile,

	"binding/": seenMoving, "binding/stray-island": seenTorn, "binding/cross-body": seenTorn, "binding/split-seam": seenTorn, "binding/unplugged": seenTorn,
	"binding/unbound": seenTorn, "binding/bad-index": seenTorn, "binding/sum-off": seenBent, "binding/many-influences": seenBuilding,
	"binding/faint": seenInFile, "binding/idle-joint": seenInFile, "binding/mirror-mismatch": seenBent, "binding/rigid": seenInFile,
	"binding/hangs-on": seenMoving, "binding/cut-to-four": seenBuilding, "binding/rough": seenBent,

	"bends/": seenBent, "bends/crack": seenTorn, "bends/tear-along": seenTorn,

	"motion/": seenBent, "motion/still-chain": seenBent, "motion/dead-weight": seenInFile, "motion/split-clip": seenBuilding,
	"motion/no-clip": seenInFile, "motion/off-unit": seenBuilding, "motion/scale-keys": seenInFile, "motion/long-way": seenBuilding,
	"motion/travel": seenInFile, "motion/late-start": seenInFile,

	// What hangs on nothing stays in the air where the figure goes: it comes apart.
	"flaw binding/hangs-on": seenTorn,
	// A figure that lies where it should stand.
	"flaw intake/unapplied-turn": seenStill,
	// Triangles drawn out fourfold over an area, in a clip.
	"flaw motion/worst-frame": seenTorn,

	// What a vertex goes astray by where a player takes four influences, as most do: seen in every movement there.
	"flaw binding/cut-to-four": seenMoving,

	// Notes of checks whose flaws are another matter.
	"note binding/hangs-on": seenInFile, "note skeleton/bind-odd": seenInFile, "note surface/near-coincident": seenInFile,
	"note skeleton/scaled-joint": seenBuilding, "note motion/split-clip": seenInFile,
	"note motion/still-chain": seenBuilding,                                     // joints that no clip happens to turn, or that springs move
	"note bends/turned-over":  seenBuilding, "note bends/stretch": seenBuilding, // at the end of a range alone
	"note intake/ignored-placement": seenInFile, "note intake/unapplied-turn": seenInFile,
}

// whenSeen answers the entry of seen for a finding.
func (r *Result) whenSeen(f *check.Finding) float64 {
	// Sums that are off draw a vertex towards the origin in every picture, and the surface
	// out with it: nothing near the origin, a spike far from it.
	if f.ID == "binding/sum-off" && f.Grade >= check.Flaw && measureOf(f, "throw at the figure") > seenThrown*r.Exam.Height() {
		return seenTorn
	}
	station := f.ID[:strings.IndexByte(f.ID, '/')+1]
	for _, key := range []string{f.Grade.String() + " " + f.ID, f.ID, station} {
		if v, ok := seen[key]; ok {
			return v
		}
	}
	return seenInFile
}

// weigh answers how much a finding matters among those of its grade, from 0 to 2.5: when
// it is seen, times how much it takes up (spread), with something for how far its limit is
// passed.
func (r *Result) weigh(f *check.Finding) float64 {
	excess := 0.
	if len(f.Measures) > 0 {
		if m := f.Measures[0]; m.Limit > 0 && m.Value > m.Limit && !m.Below {
			excess = math.Log(min(m.Value/m.Limit, seenAtMost)) / math.Log(seenAtMost)
		} else if m.Limit == 0 && m.Value > 0 {
			excess = 1
		}
	}
	return r.whenSeen(f) * (seenPartly + (1-seenPartly)*r.spread(f) + seenExcess*excess)
}

// spread is the share of the figure that a finding takes up, 0 to 1: of its vertices,
// joints or height, whichever is most, and of its clips. The root of the share, since what
// is a hundredth of a surface is a tenth as wide as it; a finding without a place, or of
// the file, is about the whole figure.
func (r *Result) spread(f *check.Finding) float64 {
	g, w := r.Exam.Rig, &f.Where
	vertices, places, body := 0, 0, 0.
	for _, s := range r.Exam.Shown() {
		vertices += len(g.Meshes[g.Surfaces[s].Mesh].Positions) / 3
	}
	for i := range w.Spots {
		places += len(w.Spots[i].Vertices)
	}
	if vertices > 0 {
		body = float64(places) / float64(vertices)
	}
	if all := r.jointsInAll(); places == 0 && all > 0 {
		body = max(body, float64(len(w.Joints))/float64(all))
	}
	if height := r.Exam.Height(); height > 0 && w.Point != nil {
		body = max(body, w.Extent*w.Extent/(height*height))
	}
	if body == 0 || strings.HasPrefix(f.ID, "intake/") || f.ID == "motion/foot-skate" { // feet that slide: the whole figure does
		body = 1
	}
	clips := 1.
	if n := len(w.Clips); n > 0 {
		clips = float64(n) / float64(len(g.Clips))
	} else if w.Clip >= 0 {
		clips = 1 / float64(len(g.Clips))
	}
	return clips * math.Sqrt(min(body, 1))
}

// jointsInAll counts the joints of all skins, or the nodes where there is none.
func (r *Result) jointsInAll() (n int) {
	for i := range r.Exam.Rig.Skins {
		n += len(r.Exam.Rig.Skins[i].Joints)
	}
	if n == 0 {
		n = len(r.Exam.Rig.Nodes)
	}
	return n
}
