package anatomy

import (
	"fmt"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// limbPairs finds the limbs that hang in pairs on the joints of the middle, by place
// alone. The plane stands across the way that names tell, else across the world's x or
// its z, by which more joints find their image, or find it nearer. Where both fit badly
// the figure may stand turned: then across the level ways from limb to limb.
func (f *finder) limbPairs() []limbPair {
	ways := []mgl64.Vec3{{1, 0, 0}, {0, 0, 1}}
	if f.lateral.Len() > 0 {
		ways = []mgl64.Vec3{f.lateral, {1, 0, 0}}
	}
	var best []limbPair
	most, least := 0, 0.0
	try := func(way mgl64.Vec3, exact bool) {
		pairs := f.pairsOver(way)
		joints, off := 0, 0.0
		for i := range pairs {
			joints += min(len(pairs[i].left), len(pairs[i].right))
			off += pairs[i].off
		}
		if exact && off > fitsWell*float64(len(pairs)) {
			return
		}
		if joints > most || joints == most && off < least {
			best, most, least = pairs, joints, off
		}
	}
	for _, way := range ways {
		try(way, false)
	}
	if len(best) == 0 || least > fitsWell*float64(len(best)) {
		for _, way := range f.turnedWays() {
			try(way, true)
		}
	}
	return best
}

// fitsWell is how far the joints of pairs may stand from their images, ÷ the runs'
// length, in the mean, for the plane to be theirs (common practice, no source).
const fitsWell = 0.1

// mostWays that a turned figure is tried over.
const mostWays = 24

// turnedWays are the level ways from one limb to another of as many joints on the same
// joint, those that most limbs share first.
func (f *finder) turnedWays() (out []mgl64.Vec3) {
	var count []int
	for _, n := range f.order {
		kids := f.kids(n)
		if len(kids) > mostKids {
			continue
		}
		for i, a := range kids {
			for _, b := range kids[:i] {
				d := f.pos[a].Sub(f.pos[b])
				if f.tall[a] != f.tall[b] || math.Abs(d[1]) > .1*d.Len() || d.Len() < .004*f.extent {
					continue
				}
				d[1] = 0
				d = d.Normalize()
				if d[0] < 0 || d[0] == 0 && d[2] < 0 {
					d = d.Mul(-1)
				}
				k := slices.IndexFunc(out, func(o mgl64.Vec3) bool { return math.Abs(o.Dot(d)) > .9998 }) // 1°
				if k >= 0 {
					count[k]++
				} else if len(out) < 256 {
					out, count = append(out, d), append(count, 1)
				}
			}
		}
	}
	place := make([]int, len(out))
	for i := range place {
		place[i] = i
	}
	slices.SortStableFunc(place, func(a, b int) int { return count[b] - count[a] })
	sorted := make([]mgl64.Vec3, 0, mostWays)
	for _, i := range place[:min(len(place), mostWays)] {
		sorted = append(sorted, out[i])
	}
	return sorted
}

func (f *finder) pairsOver(way mgl64.Vec3) (out []limbPair) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range f.order {
		if high = max(high, f.pos[n][1]); len(f.kids(n)) == 0 { // not a root on the ground
			low = min(low, f.pos[n][1])
		}
	}
	inLimb := make([]bool, len(f.r.Nodes))
	for _, n := range f.order { // parents first
		if p := f.r.Nodes[n].Parent; inLimb[n] || p >= 0 && inLimb[p] {
			inLimb[n] = true
			continue
		}
		kids := f.kids(n)
		if len(kids) > mostKids {
			continue // a heap of parts
		}
		at := f.pos[n].Dot(way)
		taken := make([]bool, len(kids))
		for i, a := range kids {
			if f.pos[a].Dot(way)-at < .002*f.extent {
				continue
			}
			best, least := -1, mirrorError
			run := f.chain(a)
			for j, b := range kids {
				if taken[j] || f.pos[b].Dot(way)-at > -.002*f.extent {
					continue
				}
				if e := f.imageError(run, f.chain(b), way, at); e < least {
					best, least = j, e
				}
			}
			if best < 0 {
				continue
			}
			taken[i], taken[best] = true, true
			inLimb[a], inLimb[kids[best]] = true, true
			p := f.newPair(n, run, f.chain(kids[best]), low, high)
			p.off = least
			out = append(out, p)
		}
	}
	return out
}

// mostKids of a joint that is looked at for limbs.
const mostKids = 32

// imageError is how far the joints of one run stand from the mirror images of the
// other's, ÷ the run's length or its distance from the middle.
func (f *finder) imageError(a, b []rig.Node, way mgl64.Vec3, at float64) float64 {
	size := max(f.far(a[0], a[len(a)-1]), math.Abs(f.pos[a[0]].Dot(way)-at))
	worst := math.Abs(float64(len(a)-len(b))) / float64(max(len(a), len(b))) * .3
	for i := range min(len(a), len(b)) {
		image := f.pos[a[i]].Sub(way.Mul(2 * (f.pos[a[i]].Dot(way) - at)))
		worst = max(worst, image.Sub(f.pos[b[i]]).Len()/size)
	}
	return worst
}

func (f *finder) newPair(on rig.Node, left, right []rig.Node, low, high float64) limbPair {
	p := limbPair{on: on, left: left, right: right}
	first, last := f.pos[left[0]], f.pos[left[len(left)-1]]
	p.root = first.Add(f.pos[right[0]]).Mul(.5)
	d := last.Sub(first)
	p.length = d.Len()
	p.out = last.Sub(f.pos[on])
	if p.length > 0 {
		p.dir = d.Normalize()
	}
	line := p.dir
	if reach := last.Sub(f.pos[on]); len(left) < 2 && reach.Len() > 0 {
		line = reach.Normalize()
	}
	// A spider's leg rises before it comes down: what counts is where it ends.
	ends := high > low && (last[1]-low)/(high-low) < lowEnd && last[1] < f.pos[on][1]
	p.isLeg = len(left) >= 2 && ends && (-line[1] > math.Cos(steepLeg*math.Pi/180) || last[1] < first[1] && p.length > .25*(high-low))
	return p
}

// foreAndHind are the two pairs of legs of one that stands on four: they hang apart
// along the ground, less apart in height, and point down.
func (f *finder) foreAndHind(legs []limbPair) (fore, hind *limbPair, ok bool) {
	if len(legs) != 2 {
		return nil, nil, false
	}
	a, b := &legs[0], &legs[1]
	d := a.root.Sub(b.root)
	flat, length := math.Hypot(d[0], d[2]), (a.length+b.length)/2
	steep := -math.Cos(steepLeg * math.Pi / 180)
	ok = flat > trunkShare*length && math.Abs(d[1]) < .6*flat && a.dir[1] < steep && b.dir[1] < steep
	front := 0.0
	if head := f.node("head"); head >= 0 {
		front = f.pos[head].Sub(a.root).Len() - f.pos[head].Sub(b.root).Len() // below 0: a is nearer
	}
	if front == 0 {
		front = float64(f.depth[b.on] - f.depth[a.on]) // the chest hangs below the hips
	}
	if front == 0 {
		front = -d[2] // glTF: the front is +Z
	}
	if front > 0 {
		a, b = b, a
	}
	return a, b, ok
}

func (f *finder) apart(fore, hind *limbPair) float64 {
	d := fore.root.Sub(hind.root)
	return math.Hypot(d[0], d[2]) / max((fore.length+hind.length)/2, 1e-12)
}

// wings is the pair that is one: by name, else the longest that stands out to the
// sides farther than the figure is high, above a pair of legs.
func (f *finder) wings(pairs, legs []limbPair) (best *limbPair) {
	for i := range pairs {
		p := &pairs[i]
		if f.saysWing(p) {
			return p
		}
	}
	if len(legs) != 1 {
		return nil
	}
	for i := range pairs {
		p := &pairs[i]
		if p.isLeg || len(p.left) < 2 || math.Abs(p.dir[1]) > .6 {
			continue
		}
		if f.span(p) > 1.2 && (best == nil || p.length > best.length) {
			best = p
		}
	}
	return best
}

func (f *finder) saysWing(p *limbPair) bool {
	return f.read[p.left[0]].said == "wing" && f.read[p.right[0]].said == "wing"
}

// span is the way from tip to tip, ÷ the height of the rig.
func (f *finder) span(p *limbPair) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range f.order {
		low, high = min(low, f.pos[n][1]), max(high, f.pos[n][1])
	}
	return f.far(p.left[len(p.left)-1], p.right[len(p.right)-1]) / max(high-low, 1e-12)
}

// nameLimbs says in plain words which limb each joint without a role belongs to, and
// joins the two sides. Left is the side of f.lateral, else towards +X.
func (f *finder) nameLimbs(pairs, legs []limbPair, fore, hind, wings *limbPair) {
	o := f.out
	if o.Kind == Person || o.Kind == HandAlone {
		return
	}
	name := func(run []rig.Node, words string) {
		for i, n := range run {
			if o.Of[n].Role == "" {
				o.Of[n].Limb, o.Of[n].LimbJoint = words, i+1
			}
		}
	}
	legs = slices.Clone(legs)                             // fore and hind point into them
	slices.SortStableFunc(legs, func(a, b limbPair) int { // front to back
		switch {
		case a.root[2] > b.root[2] || a.root[2] == b.root[2] && a.out[2] > b.out[2]:
			return -1
		case a.root[2] < b.root[2] || a.out[2] < b.out[2]:
			return 1
		}
		return 0
	})
	for i := range pairs {
		p := &pairs[i]
		what := ""
		switch {
		case o.Kind == FourLegged && fore != nil && p.left[0] == fore.left[0]:
			what = "fore limb"
		case o.Kind == FourLegged && hind != nil && p.left[0] == hind.left[0]:
			what = "hind limb"
		case wings != nil && p.left[0] == wings.left[0]:
			what = "wing"
		case p.isLeg && len(legs) == 1:
			what = "leg"
		case p.isLeg:
			for k := range legs {
				if legs[k].left[0] == p.left[0] {
					what = fmt.Sprintf("leg %d", k+1)
				}
			}
		case beastOnly[f.read[p.left[0]].said] || f.read[p.left[0]].said == "ear":
			what = f.read[p.left[0]].said
		}
		for k := range min(len(p.left), len(p.right)) {
			f.limbMates = append(f.limbMates, [2]rig.Node{p.left[k], p.right[k]})
		}
		long, side := p.left, Left
		if len(p.right) > len(p.left) {
			long, side = p.right, Right
		}
		for _, n := range long[min(len(p.left), len(p.right)):] {
			if f.side[n] == NoSide { // it has lost its partner: the limb tells its side
				f.side[n], f.placed[n] = side, true
			}
		}
		if what != "" {
			name(p.left, "left "+what)
			name(p.right, "right "+what)
		}
	}
	for _, n := range f.order {
		if f.read[n].said == "tail" && f.side[n] != Left && f.side[n] != Right && o.Of[n].Limb == "" {
			up := f.r.Nodes[n].Parent
			if up >= 0 && o.Of[up].Limb == "tail" {
				o.Of[n].Limb, o.Of[n].LimbJoint = "tail", o.Of[up].LimbJoint+1
			} else {
				o.Of[n].Limb, o.Of[n].LimbJoint = "tail", 1
			}
		}
	}
	if o.Kind == FourLegged && hind != nil && fore != nil {
		f.unnamedTail(hind, fore, name)
	}
	if o.Kind == Chain {
		top := f.order[0]
		for _, n := range f.order {
			if f.tall[n] > f.tall[top] {
				top = n
			}
		}
		name(f.chain(top), "run")
	}
}

// unnamedTail is the run that leaves the hind limbs' joint away from the fore limbs.
func (f *finder) unnamedTail(hind, fore *limbPair, name func([]rig.Node, string)) {
	back := hind.root.Sub(fore.root)
	for _, k := range f.kids(hind.on) {
		run := f.chain(k)
		if k == hind.left[0] || k == hind.right[0] || k == fore.on || f.under(fore.on, k) || len(run) < 2 || f.out.Of[k].Limb != "" || f.out.Of[k].Role != "" {
			continue
		}
		if f.pos[run[len(run)-1]].Sub(hind.root).Dot(back) > 0 {
			name(run, "tail")
		}
	}
}
