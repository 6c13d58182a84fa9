package anatomy

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// Kind is what sort of figure a rig is. Each kind is judged by the rules that hold
// for it alone: a trunk that lies is no fault on four legs.
type Kind uint8

const (
	NoKind Kind = iota // nothing tells
	Person
	FourLegged
	Winged     // two wings, and not four legs
	ManyLegged // six legs or more
	Chain      // one run of joints: a snake, a tail, a rope
	HandAlone
)

func (k Kind) String() string {
	return [...]string{"none", "person", "four-legged", "winged", "many-legged", "chain", "hand"}[k]
}

// IsBeast tells a recognised kind that has other limbs than a person.
func (k Kind) IsBeast() bool {
	return k == FourLegged || k == Winged || k == ManyLegged || k == Chain
}

// Words are the kind as a person says it: "a four-legged figure".
func (k Kind) Words() string {
	return [...]string{"a figure of no known kind", "a person", "a four-legged figure", "a winged figure", "a many-legged figure", "a chain of joints", "a hand alone"}[k]
}

// limbPair is two runs of joints that stand as mirror images, hung on the middle.
type limbPair struct {
	on       rig.Node // of the middle
	left     []rig.Node
	right    []rig.Node
	length   float64    // of the left run, from its first joint to its last, metres
	root     mgl64.Vec3 // between their first joints
	dir, out mgl64.Vec3 // of the left run: from first to last, unit; from the middle to the last
	off      float64    // of one run's joints from the images of the other's, ÷ its length
	isLeg    bool       // points down and ends near the ground
}

// Shares by which kinds are told (common practice, no source).
const (
	mirrorError = 0.35 // a run's joints may stand this much of its length beside their images
	steepLeg    = 50   // degrees off straight down, of a leg's line from first to last joint
	lowEnd      = 0.3  // of the rig's height: legs end below that
	trunkShare  = 0.4  // of the legs' length: how far apart along the ground fore and hind limbs hang
	chainShare  = 0.7  // of all joints, in the one run of a chain
	fewestLinks = 4    // in it
)

// tellKind recognises the kind, in the order of what tells most: a map that the file
// declares, four legs under a lying trunk, the roles of a person, then what else there
// is. It then names limbs and takes roles of a person back that mean nothing here.
func (f *finder) tellKind() {
	o := f.out
	f.measureTall()
	if len(f.order) > mostJoints {
		return
	}
	declared := o.Bone["hips"] != rig.None && f.has("hips") && o.Of[f.node("hips")].Confidence == Declared
	pairs := f.limbPairs()
	legs := pairs[:0:0]
	for _, p := range pairs {
		if p.isLeg {
			legs = append(legs, p)
		}
	}
	fore, hind, lying := f.foreAndHind(legs)
	beast := f.beastWords()
	wings := f.wings(pairs, legs)
	is := func(k Kind, certainty float64, format string, args ...any) {
		o.Kind, o.Certainty, o.KindEvidence = k, certainty, fmt.Sprintf(format, args...)
	}
	switch n := f.bodyRoles(); {
	case declared:
		is(Person, Declared, "the file declares the bones of a person")
	case lying && !f.uprightRoles() && len(legs) == 2:
		sure := .8
		words := ""
		if len(beast) > 0 {
			sure, words = .95, "; names say "+quoted(beast)
		}
		is(FourLegged, sure, "two pairs of limbs reach the ground, %.2g × their length apart under a trunk that lies%s", f.apart(fore, hind), words)
	case o.NotBiped:
		is(FourLegged, .85, "the trunk lies across the legs, and the fore limbs reach down as far as the hind ones")
	case len(legs) > 2 && !f.uprightRoles():
		is(ManyLegged, .9, "%d pairs of limbs reach the ground", len(legs))
	case wings != nil && f.saysWing(wings) && f.armTop(Left) < 0 && len(legs) < 3:
		is(Winged, .95, "names say \"wing\" on both sides, and there are no arms")
	case f.has("hips") && n >= figureRoles:
		named := f.namedRoles()
		sure := .7
		if 2*named > n {
			sure = .95
		}
		is(Person, sure, "%d joints are trunk, head, arms and legs of a person, %d by name as well", n, named)
	case f.isHand():
		is(HandAlone, .85, "fingers hang on one hand, and there is no body")
	case f.likeHand() != rig.None:
		is(HandAlone, .6, "four runs of joints or more lie side by side on one joint, as fingers do")
	case wings != nil && len(legs) < 3:
		is(Winged, .6, "one pair of limbs stands out to the sides %.2g × as far as the figure is high, another reaches the ground", f.span(wings))
	case len(legs) > 2:
		is(ManyLegged, .9, "%d pairs of limbs reach the ground", len(legs))
	case f.oneRun() >= fewestLinks:
		is(Chain, .8, "%d joints hang on each other in one run", f.oneRun())
	default:
		is(NoKind, 0, "no limbs in pairs, no run of joints and no names that tell")
	}
	if o.Kind == NoKind && len(pairs) > 0 {
		o.KindEvidence = "limbs in pairs, but of no kind that is known"
	}
	switch o.Kind {
	case FourLegged:
		f.beFourLegged(fore, hind, lying && len(legs) == 2)
	case Winged, ManyLegged:
		f.dropLimbs("part of a " + o.Kind.String() + " figure: no role of a person")
	}
	f.nameLimbs(pairs, legs, fore, hind, wings)
}

// uprightRoles tells that the joints which the roles call arms and legs are those of
// one who stands: the arms hang above the hips, along the trunk's rise.
func (f *finder) uprightRoles() bool {
	hips, arm := f.node("hips"), f.armTop(Left)
	head := f.node("head")
	if hips < 0 || arm < 0 && head < 0 {
		return false
	}
	top := arm
	if top < 0 {
		top = head
	}
	d := f.pos[top].Sub(f.pos[hips])
	return d.Len() > 0 && d[1]/d.Len() > math.Cos(50*math.Pi/180)
}

// beFourLegged notes the feet. Legs that the names gave to a person lose those roles.
func (f *finder) beFourLegged(fore, hind *limbPair, told bool) {
	f.out.NotBiped = true
	if told && len(f.out.FourFeet) < 4 {
		f.out.FourFeet = nil
		for _, p := range []*limbPair{fore, hind} {
			f.out.FourFeet = append(f.out.FourFeet, p.left[len(p.left)-1], p.right[len(p.right)-1])
		}
	}
	f.dropLimbs("stands on four legs: no role of a biped")
}

// dropLimbs takes the roles of arms and legs back.
func (f *finder) dropLimbs(why string) {
	f.out.NotBiped = true
	for _, s := range []Side{Left, Right} {
		for _, l := range append(append([]link(nil), legLinks...), armLinks...) {
			if n := f.node(sided(s, l.bone)); n >= 0 && f.out.Of[n].Confidence < Declared {
				f.clear(sided(s, l.bone))
				f.out.Of[n].Evidence = why
			}
		}
	}
}

// namedRoles counts the body's roles whose joint bears the word for it.
func (f *finder) namedRoles() (n int) {
	for role, node := range f.out.Bone {
		if isBody(role) && f.word[node] == meant(role) {
			n++
		}
	}
	return n
}

// isHand tells a hand by its roles: digits of one hand, and no hips.
func (f *finder) isHand() bool {
	if f.has("hips") || f.has("leftHand") == f.has("rightHand") {
		return false
	}
	digits := 0
	for role := range f.out.Bone {
		if strings.HasSuffix(role, "Proximal") {
			digits++
		}
	}
	return digits >= 3
}

// likeHand is a joint that bears four runs of two joints or more, side by side, and
// most of all joints.
func (f *finder) likeHand() rig.Node {
	for _, n := range f.order {
		kids := f.kids(n)
		if len(kids) < 4 || len(kids) > 6 {
			continue
		}
		var sum mgl64.Vec3
		runs, joints := 0.0, 1
		for _, k := range kids {
			c := f.chain(k)
			joints += len(c)
			if d := f.pos[c[len(c)-1]].Sub(f.pos[c[0]]); len(c) >= 2 && d.Len() > 0 {
				sum, runs = sum.Add(d.Normalize()), runs+1
			}
		}
		if runs >= 4 && sum.Len() > .8*runs && float64(joints) >= chainShare*float64(len(f.order)) {
			return n
		}
	}
	return rig.None
}

// oneRun is how many joints the longest run holds, 0 when that is a small share of all.
func (f *finder) oneRun() int {
	isJoint := f.r.Joints()
	all, top := 0, rig.Node(rig.None)
	for _, n := range f.order {
		if isJoint[n] {
			all++
		}
		if top < 0 || f.tall[n] > f.tall[top] {
			top = n
		}
	}
	run := 0
	if top >= 0 {
		for _, n := range f.chain(top) {
			if isJoint[n] {
				run++
			}
		}
	}
	if float64(run) < chainShare*float64(all) {
		return 0
	}
	return run
}

// beastWords are the words for parts that no person has.
func (f *finder) beastWords() (out []string) {
	for _, n := range f.order {
		if s := f.read[n].said; f.word[n] == beastWord && beastOnly[s] && !slices.Contains(out, s) {
			out = append(out, s)
		}
		for _, s := range f.read[n].tokens {
			if (s == "fore" || s == "hind") && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	slices.Sort(out)
	return out
}

var beastOnly = set("tail wing fin horn paw hoof foreleg hindleg frontleg backleg forefoot hindfoot frontfoot backfoot forepaw hindpaw")

func quoted(words []string) string {
	if len(words) > 3 {
		words = words[:3]
	}
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = fmt.Sprintf("%q", w)
	}
	return strings.Join(out, ", ")
}
