package mend

import (
	"slices"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/part"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// weigh gives weights to the part.
func (p *parter) weigh() error {
	w := p.w
	if len(p.nodes) == 0 {
		w.Say("The figure has no joints yet: the part comes without weights. Fit a skeleton and bind, then it follows.")
		return nil
	}
	p.wanted()
	own := p.own()
	if w.Values.Text("weights") == fromOwn {
		held := 0
		for v := range len(p.points) / 3 {
			if own.Sum(v) > 0 {
				held++
			}
		}
		if held == 0 {
			return w.Refuse("No joint that holds it has one of like role here: take the weights of what is under it.")
		}
	}
	if !p.bound && w.Values.Text("weights") == fromUnder {
		w.Say("What is under it has no weights yet: the part comes without. Bind, then it follows.")
		return nil
	}
	p.weight = own
	if w.Values.Text("weights") == fromUnder {
		if err := p.carried(own); err != nil {
			return err
		}
	} else {
		p.ways = make([]part.Way, len(p.points)/3)
		for v := range p.ways {
			if own.Sum(v) > 0 {
				p.ways[v] = part.Taken
			}
		}
	}
	for v := range len(p.points) / 3 {
		p.weight.Whole(v)
	}
	return nil
}

// wanted lists the joints that hold the part, that the figure lacks and that are to come
// with it, with those between them and what they hang on there.
func (p *parter) wanted() {
	way := p.w.Values.Text("joints")
	if way == hangNone {
		return
	}
	in := map[rig.Node]bool{}
	for n, weight := range p.holders() {
		if _, paired := p.match.From(n); paired || weight < faintBelow {
			continue
		}
		s := p.b.Rig
		if way == hangChains && (p.match.S.Role(n) != "" || !p.isJoint(n)) {
			continue
		}
		for k := n; k >= 0 && p.isJoint(k); k = s.Nodes[k].Parent {
			if _, paired := p.match.From(k); paired || p.match.S.Role(k) != "" {
				break
			}
			in[k] = true
		}
	}
	for _, n := range p.b.Rig.Order {
		if in[n] {
			p.hung[n] = len(p.nodes) + len(p.lacks)
			p.lacks = append(p.lacks, n)
		}
	}
}

func (p *parter) isJoint(n rig.Node) bool { return slices.Contains(p.match.S.Joints, n) }

// goes answers the joint that a node of the other figure becomes here.
func (p *parter) goes(n rig.Node) (int32, bool) {
	if j, is := p.hung[n]; is {
		return int32(j), true
	}
	pair, ok := p.pairAbove(n)
	if !ok {
		return 0, false
	}
	j, ok := p.up(pair.Target)
	return int32(j), ok
}

// own are the weights that its maker gave the part, by place, with the joints of like role
// here.
func (p *parter) own() *bind.Rows {
	out := bind.NewRows(len(p.points) / 3)
	for _, x := range p.pieces {
		sum := map[int32]float64{}
		for v, g := range x.place {
			if out.Sum(int(g)) > 0 {
				continue
			}
			clear(sum)
			p.holds(x, v, func(n rig.Node, w float64) {
				if j, ok := p.goes(n); ok {
					sum[j] += w
				}
			})
			for _, j := range bind.Sorted(sum) {
				out.Put(int(g), j, sum[j])
			}
			out.Whole(int(g))
		}
	}
	return out
}

// carried takes the weights of what is under the part, beside those of joints that come
// with it. A surface that one joint held as a whole goes on doing so.
func (p *parter) carried(own *bind.Rows) error {
	near, _ := p.w.Values.Number("near")
	opt := part.Options{Near: near, Facing: facingWithin, Look: func(float64) error { return p.w.Context.Err() }}
	stiff := make([]bool, len(p.points)/3)
	for _, x := range p.pieces {
		n := p.stiffOn(x)
		if n < 0 {
			continue
		}
		if _, ok := p.goes(n); !ok {
			opt.Stiff = append(opt.Stiff, slices.Compact(slices.Sorted(slices.Values(x.place))))
			continue
		}
		for _, g := range x.place {
			stiff[g] = true
		}
	}
	rows, ways, err := p.over.Carry(p.rows, p.points, p.corner, opt, p.watch())
	if err != nil {
		return err
	}
	out := bind.NewRows(len(ways))
	for g := range ways {
		if stiff[g] {
			copy(out.Joint[bind.K*g:bind.K*g+bind.K], own.Joint[bind.K*g:])
			copy(out.Weight[bind.K*g:bind.K*g+bind.K], own.Weight[bind.K*g:])
			ways[g] = part.Taken
			continue
		}
		hung := 0.0
		for k := bind.K * g; k < bind.K*(g+1); k++ {
			if int(own.Joint[k]) >= len(p.nodes) && own.Weight[k] > 0 {
				out.Put(g, own.Joint[k], own.Weight[k])
				hung += own.Weight[k]
			}
		}
		if hung > 1-1e-6 { // a joint that came along holds it alone
			ways[g] = part.Taken
			continue
		}
		for k := bind.K * g; k < bind.K*(g+1); k++ {
			if x := rows.Weight[k] * (1 - hung); x > 0 {
				out.Put(g, rows.Joint[k], x)
			}
		}
	}
	p.weight, p.ways = out, ways
	return nil
}

// stiffOn answers the one node that all of a piece follows, None: several do.
func (p *parter) stiffOn(x *piece) rig.Node {
	on := rig.Node(rig.None)
	same := true
	for v := range len(x.at) / 3 {
		p.holds(x, v, func(n rig.Node, w float64) {
			switch {
			case w < faintBelow:
			case on < 0:
				on = n
			case on != n:
				same = false
			}
		})
		if !same {
			return rig.None
		}
	}
	return on
}

// places answers where the part's places are when the figure stands in a pose (world by
// node): linear blend of what its joints do since rest.
func (p *parter) places(rest, inverse, world []rig.Affine, out []float32) {
	delta := make([]rig.Affine, len(p.nodes)+len(p.lacks))
	for j, n := range p.nodes {
		delta[j] = world[n].Mul(&inverse[j])
	}
	for k, n := range p.lacks { // they have no keys: they go with what they hang on
		delta[len(p.nodes)+k] = rig.Identity
		if j, ok := p.hangsOn(n); ok {
			delta[len(p.nodes)+k] = delta[j]
		}
	}
	for g := range len(p.points) / 3 {
		x := space.At(p.points, g)
		var sum space.Vec
		for k := bind.K * g; k < bind.K*(g+1); k++ {
			if w := p.weight.Weight[k]; w > 0 {
				sum = sum.Add(delta[p.weight.Joint[k]].Point(x).Mul(w))
			}
		}
		set(out, g, sum)
	}
}

// hangsOn answers the joint that a joint which comes along hangs on: another one, one of the
// figure that is like what it hung on, the one that a person names, or the one that holds
// what it was laid beside; false: none, it stands by itself.
func (p *parter) hangsOn(n rig.Node) (int, bool) {
	for k := p.b.Rig.Nodes[n].Parent; k >= 0; k = p.b.Rig.Nodes[k].Parent {
		if j, ok := p.goes(k); ok {
			return int(j), true
		}
	}
	if p.onto >= 0 {
		return p.joint[p.onto], true
	}
	return p.beside(p.laid.Point(p.other.RestWorld()[n].Origin()))
}

// besideWithin is how far off a figure's surface, in its heights, a chain that hung on nothing
// is still laid beside it: an arm's breadth (common practice, no source).
const besideWithin = 0.1

// beside answers the joint that holds most of the nearest vertex of what the part is laid over.
func (p *parter) beside(at space.Vec) (joint int, ok bool) {
	nearest, far, v := -1, besideWithin*p.w.Exam.Height(), 0
	for _, i := range p.sources {
		list := p.w.Exam.RestPositions(i)
		for k := range len(list) / 3 {
			if d := space.At(list, k).Sub(at).Len(); d < far && p.rows.Sum(v) > 0 {
				nearest, far = v, d
			}
			v++
		}
	}
	if nearest < 0 {
		return -1, false
	}
	most := 0.0
	for k := bind.K * nearest; k < bind.K*(nearest+1); k++ {
		if w := p.rows.Weight[k]; w > most {
			joint, most = int(p.rows.Joint[k]), w
		}
	}
	return joint, true
}
