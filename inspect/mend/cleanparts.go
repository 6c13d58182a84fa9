package mend

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/inspect/weights"
)

// softened is how many rounds a patch is softened inside after it was filled: two spread a
// step over an edge's length to each side. Common practice, no source.
const softened = 2

// unbound gives vertices without any weight those of the nearest that has some. Of those
// that lose weight with a wrong joint number, or with one below 0, what they miss of 1.
func (c *cleaner) unbound() error {
	all, numbers := c.w.Values.Is("unbound"), c.w.Values.Is("numbers")
	if !all && !numbers {
		return nil
	}
	n, short := 0, 0
	for m := range c.is.Meshes {
		if c.skin[m] < 0 {
			continue
		}
		mesh := rig.Mesh(m)
		in := used(&c.is.Meshes[m])
		var bare, lost []rig.Vertex
		for v := range in {
			if !in[v] {
				continue
			}
			if numbers && c.misheld(mesh, v) {
				lost = append(lost, rig.Vertex(v))
			} else if all && len(c.row(mesh, rig.Vertex(v))) == 0 {
				bare = append(bare, rig.Vertex(v))
			}
		}
		if len(lost) > 0 && c.fill(mesh, lost, nil) {
			short += len(lost)
		}
		if len(bare) == 0 {
			continue
		}
		if !c.fill(mesh, bare, nil) {
			c.w.Leave("No vertex of mesh %s has a weight: it must be bound anew.", named(c.is.Meshes[m].Name, m))
			continue
		}
		n += len(bare)
	}
	if n > 0 {
		c.w.Measure(check.Also("bound", float64(n), say.Vertices))
		// They lay in a heap at the origin, which a figure seemed to reach down or out to.
		c.w.Uncovers("intake/off-ground")
		c.w.Uncovers("intake/odd-height")
	}
	if short > 0 {
		c.w.Measure(check.Also("wrong weight from around", float64(short), say.Vertices))
	}
	return nil
}

// misheld tells that a vertex has weight on a joint that is not there, less than none, or a
// weight that is no number.
func (c *cleaner) misheld(m rig.Mesh, v int) bool {
	d, joints := &c.is.Meshes[m], len(c.w.Rig.Skins[c.skin[m]].Joints)
	for k := v * d.K; k < (v+1)*d.K; k++ {
		if w := d.Weights[k]; w < 0 || w-w != 0 || w > 0 && int(d.Joints[k]) >= joints {
			return true
		}
	}
	return false
}

// fill gives the places of a patch what they miss of 1 from the nearest place around it,
// and softens inside. take removes from a row what shall go; nil: nothing. false: nothing
// lies around.
func (c *cleaner) fill(m rig.Mesh, patch []rig.Vertex, take func([]weights.Hold) []weights.Hold) bool {
	web, weld, first := c.web(m)
	var places []uint32
	in := map[uint32]bool{}
	for _, v := range patch {
		if p := weld.Of[v]; !in[p] {
			in[p] = true
			places = append(places, p)
		}
	}
	slices.Sort(places)
	of := func(p uint32) []weights.Hold {
		row := c.row(m, rig.Vertex(first[p]))
		if take != nil {
			row = take(row)
		}
		return row
	}
	from := web.Nearest(places, func(p uint32) bool { return len(of(p)) > 0 })
	rows := make([][]weights.Hold, len(places))
	for i, p := range places {
		if from[i] < 0 {
			return false
		}
		own := of(p)
		around := of(uint32(from[i]))
		weights.Whole(around)
		miss := max(0, 1-weights.Sum(own))
		for _, h := range around {
			own = weights.Add(own, h.Joint, miss*h.Weight)
		}
		weights.Sort(own)
		weights.Whole(own)
		rows[i] = own
	}
	web.Soften(places, rows, of, softened)
	at := map[uint32]int{}
	for i, p := range places {
		at[p] = i
	}
	// Every vertex stored at a place of the patch, so that no seam opens.
	for v, p := range weld.Of {
		if i, ok := at[p]; ok {
			c.set(m, rig.Vertex(v), slices.Clone(rows[i]))
		}
	}
	return true
}

// spots lists the places of a finding, row by row: the joints named there, and vertices.
func (c *cleaner) spots(id string, visit func(joints []rig.Node, surface int, vertices []rig.Vertex)) error {
	res, err := c.w.findings("binding")
	if err != nil {
		return err
	}
	for _, f := range res.Findings() {
		if f.ID != id || f.Cause != nil {
			continue
		}
		wheres := []check.Where{f.Where}
		if len(f.Rows) > 0 {
			wheres = nil
			for _, r := range f.Rows {
				wheres = append(wheres, r.Where)
			}
		}
		for _, w := range wheres {
			for _, s := range w.Spots {
				if c.skin[c.w.Rig.Surfaces[s.Surface].Mesh] >= 0 {
					visit(w.Joints, s.Surface, s.Vertices)
				}
			}
		}
	}
	return nil
}

// strays takes patches off a joint that is far away.
func (c *cleaner) strays() error {
	if !c.w.Values.Is("strays") {
		return nil
	}
	n := 0
	err := c.spots("binding/stray-island", func(joints []rig.Node, surface int, vertices []rig.Vertex) {
		m := c.w.Rig.Surfaces[surface].Mesh
		list := c.w.Rig.Skins[c.skin[m]].Joints
		gone := func(row []weights.Hold) []weights.Hold {
			return slices.DeleteFunc(row, func(h weights.Hold) bool { return int(h.Joint) < len(list) && slices.Contains(joints, list[h.Joint]) })
		}
		if !c.fill(m, vertices, gone) {
			c.w.Leave("Around a patch of %s on %s nothing else has a weight; it stays.", say.Count(len(vertices), "vertex", "vertices"), c.subjects(joints))
			return
		}
		n += len(vertices)
	})
	if n > 0 {
		c.w.Measure(check.Also("taken off a joint far away", float64(n), say.Vertices))
	}
	return err
}

// cross gives weight on joints of the other side to their partners; where nothing around
// the patch hangs on those either, to the joints around it.
func (c *cleaner) cross() error {
	if !c.w.Values.Is("cross") {
		return nil
	}
	mirror, roles, world := c.w.Exam.Mirror(), c.w.Exam.Roles(), c.w.Exam.RestWorld()
	n, filled := 0, 0
	left := map[rig.Node]int{}
	err := c.spots("binding/cross-body", func(joints []rig.Node, surface int, vertices []rig.Vertex) {
		m := c.w.Rig.Surfaces[surface].Mesh
		list := c.w.Rig.Skins[c.skin[m]].Joints
		rest := c.w.Exam.WholePositions(surface)
		// crosses answers the partner of a joint that holds a vertex across the middle.
		crosses := func(v rig.Vertex, h weights.Hold) (j, partner rig.Node, yes bool) {
			if int(h.Joint) >= len(list) {
				return rig.None, rig.None, false
			}
			j = list[h.Joint]
			p := roles.Of[j].Partner
			side := mirror.Side(space.At(rest, int(v)))
			return j, p, slices.Contains(joints, j) && p >= 0 && (mirror.Side(world[j].Origin())-mirror.Side(world[p].Origin()))*side < 0
		}
		if c.strange(m, vertices, crosses) {
			gone := func(row []weights.Hold) []weights.Hold {
				return slices.DeleteFunc(row, func(h weights.Hold) bool {
					_, _, yes := crosses(vertices[0], h)
					return yes
				})
			}
			if c.fill(m, vertices, gone) {
				filled += len(vertices)
				return
			}
		}
		for _, v := range vertices {
			row, changed := c.row(m, v), false
			for i := 0; i < len(row); i++ {
				j, p, yes := crosses(v, row[i])
				if !yes {
					continue
				}
				k := slices.Index(list, p)
				if k < 0 {
					left[j]++
					continue
				}
				h := row[i]
				row = weights.Add(slices.Delete(row, i, i+1), uint16(k), h.Weight)
				i--
				changed = true
			}
			if changed {
				weights.Sort(row)
				c.set(m, v, row)
				n++
			}
		}
	})
	for _, j := range slices.Sorted(keys(left)) {
		c.w.Leave("The partner of %s holds nothing of this skin: %s %s.", c.subjects([]rig.Node{j}), say.Count(left[j], "vertex", "vertices"), say.Word(left[j], "stays", "stay"))
	}
	if n > 0 {
		c.w.Measure(check.Also("given to the partner", float64(n), say.Vertices))
	}
	if filled > 0 {
		c.w.Measure(check.Also("given to the joints around", float64(filled), say.Vertices))
	}
	return err
}

// strange tells that the partners of the joints that cross are strangers to a patch, too:
// no place beside it hangs on them, while some do on other joints. A shin that hangs on the
// other thigh belongs to its own shin.
func (c *cleaner) strange(m rig.Mesh, patch []rig.Vertex, crosses func(rig.Vertex, weights.Hold) (rig.Node, rig.Node, bool)) bool {
	list := c.w.Rig.Skins[c.skin[m]].Joints
	web, weld, first := c.web(m)
	in, partners := map[uint32]bool{}, map[rig.Node]bool{}
	for _, v := range patch {
		in[weld.Of[v]] = true
		for _, h := range c.row(m, v) {
			if _, p, yes := crosses(v, h); yes {
				partners[p] = true
			}
		}
	}
	some := false
	for p := range in {
		for _, q := range web.Beside(p) {
			if in[q] {
				continue
			}
			for _, h := range c.row(m, rig.Vertex(first[q])) {
				if int(h.Joint) < len(list) && partners[list[h.Joint]] {
					return false
				}
				some = true
			}
		}
	}
	return some
}

func keys[K cmp.Ordered, V any](m map[K]V) func(func(K) bool) {
	return func(yield func(K) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// seams gives all vertices that are stored at one place the mean of their weights.
func (c *cleaner) seams() error {
	if !c.w.Values.Is("seams") {
		return nil
	}
	n := 0
	err := c.spots("binding/split-seam", func(_ []rig.Node, surface int, vertices []rig.Vertex) {
		m := c.w.Rig.Surfaces[surface].Mesh
		weld := c.w.Exam.Weld(m)
		in := used(&c.is.Meshes[m])
		at := map[uint32][]rig.Vertex{}
		for _, v := range vertices {
			at[weld.Of[v]] = nil
		}
		for v, p := range weld.Of {
			if _, ok := at[p]; ok && in[v] {
				at[p] = append(at[p], rig.Vertex(v))
			}
		}
		for _, p := range slices.Sorted(keys(at)) {
			var mean []weights.Hold
			for _, v := range at[p] {
				row := c.row(m, v)
				weights.Whole(row)
				for _, h := range row {
					mean = weights.Add(mean, h.Joint, h.Weight)
				}
			}
			weights.Sort(mean)
			weights.Whole(mean)
			for _, v := range at[p] {
				c.set(m, v, slices.Clone(mean))
				c.seamed(m)[v] = true
				n++
			}
		}
	})
	if n > 0 {
		c.w.Measure(check.Also("bound alike at seams", float64(n), say.Vertices))
	}
	return err
}

// each looks at every vertex by itself: faint weights, too many joints, sums.
func (c *cleaner) each() error {
	below, _ := c.w.Values.Number("faint")
	whole, four := c.w.Values.Is("whole"), c.w.Values.Is("four")
	var moves []Moment
	faint, cut, off, worst := 0, 0, 0, 0.0
	for m := range c.is.Meshes {
		if c.skin[m] < 0 {
			continue
		}
		mesh := rig.Mesh(m)
		d := &c.is.Meshes[m]
		in := used(d)
		for p := range d.Primitives {
			prim := &d.Primitives[p]
			for v := prim.First; v < prim.First+prim.Count; v++ {
				if v%4096 == 0 && c.w.Context.Err() != nil {
					return c.w.Context.Err()
				}
				if !in[v] {
					continue
				}
				row := c.row(mesh, rig.Vertex(v))
				if len(row) == 0 {
					continue
				}
				changed := false
				if n := len(row); below > 0 {
					sum := weights.Sum(row)
					for len(row) > 1 && row[len(row)-1].Weight < below*sum {
						row = row[:len(row)-1]
					}
					if len(row) < n {
						faint++
						changed = true
					}
				}
				if four && len(row) > 4 {
					if moves == nil {
						moves = Bends(c.w.Rig, c.w.Exam.Roles(), c.w.Exam.RestWorld())
					}
					keep, shift := weights.Fewer(row, 4, c.seen(mesh, v, row, moves))
					for i := range row {
						row[i].Weight = keep[i]
					}
					row = slices.DeleteFunc(row, func(h weights.Hold) bool { return !(h.Weight > 0) })
					worst = max(worst, shift)
					cut++
					changed = true
				}
				if whole && c.sumIsOff(mesh, prim, v) {
					off++
					changed = true
				}
				if changed {
					c.set(mesh, rig.Vertex(v), row)
				}
			}
		}
	}
	for _, x := range []struct {
		name string
		n    int
	}{{"faint weights dropped at", faint}, {"cut to four", cut}, {"made whole", off}} {
		if x.n > 0 {
			c.w.Measure(check.Also(x.name, float64(x.n), say.Vertices))
		}
	}
	if off > 0 && c.changed() == off && faint+cut == 0 {
		// Proportions are as they were, and vertices whose sums are off were not compared.
		c.w.Uncovers("binding/mirror-mismatch")
		// A share of a small sum was too small to count.
		c.w.Uncovers("binding/cross-body")
	}
	if cut > 0 {
		c.w.Measure(check.Also("largest shift of a cut", worst, say.Metre))
	}
	return nil
}

// sumIsOff tells sums that glTF 2.0 does not allow, and joint numbers that no skin has:
// integers that do not sum to the whole exactly, floats off 1 by more than rounding to
// float32 explains (1e-7 a weight; the conformance checker takes 2e-7).
func (c *cleaner) sumIsOff(m rig.Mesh, prim *rig.PrimitiveData, v int) bool {
	d, joints := &c.is.Meshes[m], len(c.w.Rig.Skins[c.skin[m]].Joints)
	sum, n := 0.0, 0
	for k := v * d.K; k < (v+1)*d.K; k++ {
		if w := float64(d.Weights[k]); w > 0 {
			if int(d.Joints[k]) >= joints {
				return c.w.Values.Is("numbers")
			}
			sum += w
			n++
		} else if w < 0 {
			return true
		}
	}
	if i := v - prim.First; i < len(prim.WeightSums) {
		full := uint32(255)
		if prim.WeightType == 5123 {
			full = 65535
		}
		return prim.WeightSums[i] != full
	}
	return math.Abs(sum-1) > 1e-7*float64(n)
}

// seen answers where each hold alone carries a vertex, at rest and at the ends of the moves
// that tell its joints apart. World, metres.
func (c *cleaner) seen(m rig.Mesh, v int, row []weights.Hold, moves []Moment) [][]space.Vec {
	s := &c.w.Rig.Skins[c.skin[m]]
	world := c.w.Exam.RestWorld()
	p := space.At(c.w.Rig.Meshes[m].Positions, v)
	rest := make([]space.Vec, len(row))
	for i, h := range row {
		if int(h.Joint) < len(s.Joints) {
			rest[i] = world[s.Joints[h.Joint]].Point(s.Bind[h.Joint].Point(p))
		}
	}
	out := [][]space.Vec{rest}
	var last *anatomy.Turn
	below := make([]bool, len(row))
	for i := range moves {
		t := moves[i].Turn
		if last == nil || last.Joint != t.Joint {
			some, all := false, true
			for k, h := range row {
				below[k] = int(h.Joint) < len(s.Joints) && c.under(s.Joints[h.Joint], t.Joint)
				some, all = some || below[k], all && below[k]
			}
			last = t
			if !some || all {
				last = nil
				continue
			}
		}
		turn := t.Rotation(world[t.Joint].Origin(), moves[i].Degrees)
		at := slices.Clone(rest)
		for k := range at {
			if below[k] {
				at[k] = turn.Point(at[k])
			}
		}
		out = append(out, at)
	}
	return out
}

// under tells that a node is another or hangs below it.
func (c *cleaner) under(n, top rig.Node) bool {
	for ; n >= 0; n = c.w.Rig.Nodes[n].Parent {
		if n == top {
			return true
		}
	}
	return false
}

// blend carries a vertex by linear blend, as stored; false: a joint number is wrong.
func blend(p *Posed, s *rig.SkinData, d *rig.MeshData, v rig.Vertex) (at space.Vec, ok bool) {
	x := space.At(d.Positions, int(v))
	for k := int(v) * d.K; k < int(v+1)*d.K; k++ {
		w := float64(d.Weights[k])
		if w == 0 {
			continue
		}
		if int(d.Joints[k]) >= len(s.Joints) {
			return at, false
		}
		at = at.Add(p.Pose.World[s.Joints[d.Joints[k]]].Point(s.Bind[d.Joints[k]].Point(x)).Mul(w))
	}
	return at, true
}
