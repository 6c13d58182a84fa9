package intake

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

// oneFactor is how far two factors may lie apart that are the same one, ÷ the larger.
const oneFactor = 1e-3

// alike tells that two factors agree within 0.1 % on each axis.
func alike(a, b [3]float64) bool {
	for c := range 3 {
		if math.Abs(a[c]-b[c]) > oneFactor*max(math.Abs(a[c]), math.Abs(b[c])) {
			return false
		}
	}
	return true
}

// factors finds, among thousands of factors, those like another: they lie in cells as wide
// as two that are alike may be apart, so only cells that touch are looked at.
type factors struct {
	cells map[[3]int64][]int // places in all
	all   []factor

	looks int // factors compared, for tests
}

type factor struct {
	scale [3]float64
	what  int
}

// cell is where a factor lies: its logarithms, signs apart; 0 has a cell of its own.
func cell(scale [3]float64) (at [3]int64) {
	const far = 1 << 40 // farther than any cell of a finite factor: its logarithm is under 710
	for c, s := range scale {
		switch {
		case s > 0:
			at[c] = int64(math.Floor(math.Log(s) / (2 * oneFactor)))
		case s < 0:
			at[c] = far + int64(math.Floor(math.Log(-s)/(2*oneFactor)))
		default:
			at[c] = 2 * far
		}
	}
	return at
}

// put takes a factor up.
func (f *factors) put(scale [3]float64, what int) {
	if f.cells == nil {
		f.cells = map[[3]int64][]int{}
	}
	c := cell(scale)
	f.cells[c] = append(f.cells[c], len(f.all))
	f.all = append(f.all, factor{scale, what})
}

// alike answers what was put in with a factor like this one, no more than so many, in the
// order it was put in.
func (f *factors) alike(scale [3]float64, most int) (out []int) {
	mid := cell(scale)
	var found []int
near:
	for k := range 27 {
		at := [3]int64{mid[0] + int64(k%3) - 1, mid[1] + int64(k/3%3) - 1, mid[2] + int64(k/9) - 1}
		for _, i := range f.cells[at] {
			if len(found) == most {
				break near
			}
			if f.looks++; alike(scale, f.all[i].scale) {
				found = append(found, i)
			}
		}
	}
	slices.Sort(found)
	for _, i := range found {
		out = append(out, f.all[i].what)
	}
	return out
}

// group are the anchors that one finding speaks of: those with the factor of the first.
type group struct {
	of    []int // places in the list
	shear float64
	both  bool // a skin's root and a surface of that skin both stand under it
	where check.Where

	roots, meshes int
}

// grouped puts together what is alike, in the order of the list: asked tells what is looked
// at, begins what a finding begins with, apart what is never put together.
func grouped(list []Anchor, asked, begins, apart func(a *Anchor) bool) (out []*group) {
	var first [2]factors // of the groups, those apart and those not
	for i := range list {
		a := &list[i]
		if !asked(a) {
			continue
		}
		side := 0
		if apart(a) {
			side = 1
		}
		var g *group
		if near := first[side].alike(a.Scale, 1<<10); len(near) > 0 {
			g = out[near[0]]
		} else if begins(a) {
			first[side].put(a.Scale, len(out))
			g = &group{where: check.Nowhere()}
			out = append(out, g)
		} else {
			continue
		}
		g.of = append(g.of, i)
		g.shear = max(g.shear, a.Shear)
		if a.Skin < 0 {
			g.meshes++
			continue
		}
		g.roots++
		g.where.Joints, g.where.Skin = append(g.where.Joints, a.Node), a.Skin
		g.both = g.both || len(a.Both) > 0
	}
	for _, g := range out {
		var nodes once
		for _, i := range g.of {
			nodes.take(list[i].Scaled...)
			nodes.take(list[i].Node)
		}
		g.where.Nodes = nodes.list
	}
	return out
}

// once lists nodes, each where it is met first.
type once struct {
	list []rig.Node
	seen map[rig.Node]bool
}

func (o *once) take(nodes ...rig.Node) {
	if o.seen == nil {
		o.seen = map[rig.Node]bool{}
	}
	for _, n := range nodes {
		if !o.seen[n] {
			o.seen[n] = true
			o.list = append(o.list, n)
		}
	}
}
