package scene

import (
	"math"
	"strconv"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/raster"
)

// values is what the lens shows, per drawn vertex.
type values struct {
	lens  Lens
	joint rig.Node
	set   bool

	value    []float32 // 0 … 1, NaN: none
	category []uint8
	material []uint16 // by drawn triangle, of flagged ones; nil: the file's own
	open     []bool   // by drawn triangle, with material: the back is seen too; nil: as the figure has it
	surface  raster.Surface
	high     float64 // what 1 stands for
}

// Legend explains the colours of the present lens for the scale beside the
// picture.
type Legend struct {
	Kind  string   // "ramp", "two-sided", "steps" (Count), "inks" (Dominant) or "none"
	Ticks []string // of a ramp: what 0, 1/4, 1/2, 3/4 and 1 stand for; of steps and inks: their names
	Unit  string   // of the ticks: "", "m", "mm", "µm", "°" …
}

// countMost is the last step of Count: that many or more (ramp.Paper.Count).
const countMost = 9

// fill works the lens out for a figure when lens or joint changed.
func (l *values) fill(s *Scene, f *figure, st *State) {
	if l.set && l.lens == st.Lens && (l.joint == st.Joint || st.Lens != Influence) {
		return
	}
	l.lens, l.joint, l.set = st.Lens, st.Joint, true
	p := f.prepared
	l.value, l.category, l.surface, l.high = l.value[:0], l.category[:0], raster.Plain, 1
	l.material, l.open = nil, nil
	switch st.Lens {
	case Painted:
		l.surface = raster.Painted
	case Influence:
		l.surface = raster.Value
		l.value = append(l.value, make([]float32, len(p.Source))...)
		f.eachWeight(func(v int, n rig.Node, w float32) {
			if n == st.Joint {
				l.value[v] += w
			}
		})
	case Dominant:
		l.surface = raster.Category
		l.category = append(l.category, make([]uint8, len(p.Source))...)
		best := make([]float32, len(p.Source))
		for v := range l.category {
			l.category[v] = raster.NoCategory
		}
		inks := s.inks()
		f.eachWeight(func(v int, n rig.Node, w float32) {
			if w > best[v] {
				best[v], l.category[v] = w, inks[n]
			}
		})
	case Count:
		l.surface = raster.Count
		l.category = append(l.category, make([]uint8, len(p.Source))...)
		f.eachWeight(func(v int, n rig.Node, w float32) {
			if l.category[v] < countMost {
				l.category[v]++
			}
		})
	case MirrorSurface:
		l.surface = raster.Value
		field := s.field(st.Lens)
		l.value = p.spread(l.value, field)
		l.high = nice(field, s.height()*.001)
		k := float32(1 / l.high)
		for i := range l.value {
			l.value[i] *= k
		}
	case MirrorWeights:
		l.surface = raster.Value
		l.value = p.spread(l.value, s.field(st.Lens))
	case Stretch: // its values come with the pose
		l.surface = raster.TwoSided
	case TurnedOver:
		l.surface = raster.Painted
	case Measured:
		l.measure(p, s.measured)
	}
}

// inks are the category of every node, so that neighbours in the tree differ.
func (s *Scene) inks() []uint8 {
	if s.category == nil {
		parent := make([]int, len(s.rig.Nodes))
		for i := range parent {
			parent[i] = int(s.rig.Nodes[i].Parent)
		}
		s.category = s.assign(parent)
	}
	return s.category
}

// eachWeight visits every influence above 0 of every drawn vertex.
func (f *figure) eachWeight(visit func(v int, n rig.Node, w float32)) {
	for part := range f.prepared.Surface {
		sf := &f.rig.Surfaces[part]
		m := &f.rig.Meshes[part]
		if sf.Skin < 0 || int(sf.Skin) >= len(f.rig.Skins) || m.K == 0 {
			continue
		}
		skin := &f.rig.Skins[sf.Skin]
		base := int(f.prepared.First[part])
		for i, w := range m.Weights {
			if w > 0 && w-w == 0 {
				if n := jointNode(f.rig, skin, int(m.Joints[i])); n >= 0 {
					visit(base+i/m.K, n, w)
				}
			}
		}
	}
}

// field is the examiner's field behind a lens, nil when there is none.
func (s *Scene) field(l Lens) [][]float32 {
	switch {
	case s.fields == nil:
		return nil
	case l == MirrorSurface:
		return s.fields.SurfaceMismatch
	case l == MirrorWeights:
		return s.fields.WeightMismatch
	}
	return nil
}

// spread takes a field by surface and mesh vertex to drawn vertices.
func (p *Prepared) spread(out []float32, field [][]float32) []float32 {
	nan := float32(math.NaN())
	for part, surface := range p.Surface {
		var f []float32
		if int(surface) < len(field) {
			f = field[surface]
		}
		for _, v := range p.Source[p.First[part]:p.end(part)] {
			if int(v) < len(f) {
				out = append(out, f[v])
			} else {
				out = append(out, nan)
			}
		}
	}
	return out
}

// nice is the top of a scale: 1, 2 or 5 × 10^k, not below what nearly all values
// (995 of 1000) keep under, and not below least.
func nice(field [][]float32, least float64) float64 {
	var all []float32
	for _, f := range field {
		for _, v := range f {
			if v == v {
				all = append(all, v)
			}
		}
	}
	top := least
	if len(all) > 0 {
		top = max(top, float64(space.Percentile(all, 99.5)))
	}
	if !(top > 0) || math.IsInf(top, 0) {
		return 1
	}
	return marks.RoundUp(top)
}

// Legend answers what the colours stand for.
func (s *Scene) Legend(st *State) Legend {
	switch st.Lens {
	case Influence, MirrorWeights:
		return Legend{Kind: "ramp", Ticks: []string{"0", "0.25", "0.5", "0.75", "1"}}
	case MirrorSurface:
		high := nice(s.field(st.Lens), s.height()*.001)
		l := Legend{Kind: "ramp", Unit: "m"}
		switch {
		case high < .9995e-3:
			l.Unit, high = "µm", high*1e6
		case high < .9995:
			l.Unit, high = "mm", high*1e3
		}
		for i := range 5 {
			l.Ticks = append(l.Ticks, strconv.FormatFloat(high*float64(i)/4, 'g', 4, 64))
		}
		return l
	case Count:
		l := Legend{Kind: "steps"}
		for i := range countMost + 1 {
			l.Ticks = append(l.Ticks, strconv.Itoa(i))
		}
		l.Ticks[countMost] = "more"
		return l
	case Dominant:
		return Legend{Kind: "inks"}
	case Stretch:
		return Legend{Kind: "two-sided", Unit: "×", Ticks: []string{"≤ 0.5", "0.71", "1", "1.41", "≥ 2"}}
	case TurnedOver:
		return Legend{Kind: "inks", Ticks: []string{"turned over"}}
	case Measured:
		return s.measured.legend()
	}
	return Legend{Kind: "none"}
}

// Caption is the sentence beside the scale: what the lens shows, in words. Counts
// are of the file's own vertices, in all shown surfaces.
func (s *Scene) Caption(st *State) string {
	switch st.Lens {
	case Painted:
		if len(s.rig.Materials) == 0 {
			return "Painted. This file has no material, so all is paper."
		}
		return "Painted. Colours and textures of the file, " + say.Count(len(s.rig.Materials), "material", "materials") + "."
	case Influence:
		return s.influenceCaption(st.Joint)
	case Dominant:
		used, bound, _, all := s.bindings()
		if bound == 0 {
			return "Strongest joint. No vertex is bound to a joint."
		}
		return "Strongest joint. " + say.Count(used, "joint is", "joints are") + " strongest somewhere; " + say.Whole(all-bound) + " of " + say.Whole(all) + " vertices follow none."
	case Count:
		_, bound, most, all := s.bindings()
		if bound == 0 {
			return "Influences a vertex. No vertex is bound to a joint."
		}
		return "Influences a vertex. At most " + strconv.Itoa(most) + "; " + say.Whole(all-bound) + " of " + say.Whole(all) + " vertices have none."
	case MirrorSurface:
		f := s.field(st.Lens)
		if f == nil {
			return "Mirrored surface. Not looked at yet."
		}
		paired, all, largest := counts(f)
		if paired == 0 {
			return "Mirrored surface. No vertex has a partner on the other side."
		}
		says := "Mirrored surface. Largest distance " + marks.Length(float64(largest))
		if lone, known := s.lone(f); known {
			says += "; " + say.Whole(lone) + " of " + say.Whole(all) + " vertices have no partner"
		}
		return says + "."
	case MirrorWeights:
		f := s.field(st.Lens)
		if f == nil {
			return "Mirrored weights. Not looked at yet."
		}
		paired, all, largest := counts(f)
		if paired == 0 {
			return "Mirrored weights. No vertex has a partner on the other side."
		}
		return "Mirrored weights. Largest difference " + strconv.FormatFloat(float64(largest), 'f', 2, 32) + "; " + say.Whole(all-paired) + " of " + say.Whole(all) + " vertices have none to compare with."
	}
	if st.Lens.live() {
		return s.strainCaption(st)
	}
	if st.Lens == Measured && s.measured != nil {
		return s.measured.Caption
	}
	v, t := 0, 0
	for _, i := range s.fig.prepared.Surface {
		m := &s.rig.Meshes[s.rig.Surfaces[i].Mesh]
		v, t = v+m.Vertices(), t+len(m.Triangles)/3
	}
	if t == 0 {
		return "Plain. This file shows no surface, only joints."
	}
	return "Plain. " + say.Whole(v) + " vertices, " + say.Count(t, "triangle", "triangles") + "."
}

// lone counts the vertices that have a mirror image but no partner near it: their
// distance in f is that to the nearest vertex. known is false without partners.
func (s *Scene) lone(f [][]float32) (n int, known bool) {
	for i, own := range s.fields.MirrorPartner {
		if i >= len(f) {
			break
		}
		for v, partner := range own {
			if partner < 0 && v < len(f[i]) && f[i][v] == f[i][v] {
				n++
			}
		}
		known = known || len(own) > 0
	}
	return n, known
}

// strainCaption tells what the shown pose does, each way of blending by itself where
// both are shown.
func (s *Scene) strainCaption(st *State) string {
	title := "Stretch."
	if st.Lens == TurnedOver {
		title = "Turned over."
	}
	if st.Move.Axis == "" && st.Clip < 0 {
		return title + " At rest nothing is. Play a move or a clip."
	}
	say := func(m Strained) string {
		if st.Lens == TurnedOver {
			return say.Whole(m.Turned) + " of " + say.Count(m.Triangles, "triangle", "triangles")
		}
		return "99 % of " + say.Count(m.Triangles, "triangle", "triangles") + " up to × " + factor(m.P99) + ", the most × " + factor(m.Max)
	}
	one := *st
	one.Split = false
	if !st.Split {
		return title + " " + say(s.Strained(&one)) + "."
	}
	one.Method = deform.Linear
	linear := say(s.Strained(&one))
	one.Method = deform.Dual
	return title + " Linear blend: " + linear + ". Dual quaternion: " + say(s.Strained(&one)) + "."
}

// factor writes a stretch with three digits.
func factor(v float64) string {
	digits := 2
	if v >= 9.995 {
		digits = 1
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}

func (s *Scene) influenceCaption(n rig.Node) string {
	if n < 0 || int(n) >= len(s.rig.Nodes) {
		return "Influence. Choose a joint to see what it holds."
	}
	held, all := 0, 0
	for _, i := range s.fig.prepared.Surface {
		sf := &s.rig.Surfaces[i]
		m := &s.rig.Meshes[sf.Mesh]
		all += m.Vertices()
		if sf.Skin < 0 || int(sf.Skin) >= len(s.rig.Skins) || m.K == 0 {
			continue
		}
		skin := &s.rig.Skins[sf.Skin]
		last := -1
		for i, w := range m.Weights {
			if w > 0 && w-w == 0 && i/m.K != last && jointNode(s.rig, skin, int(m.Joints[i])) == n {
				held++
				last = i / m.K
			}
		}
	}
	name := s.nodeName(n)
	if held == 0 {
		return "Influence of " + name + ". None of " + say.Whole(all) + " vertices holds any."
	}
	return "Influence of " + name + ". " + say.Whole(held) + " of " + say.Whole(all) + " vertices hold some."
}

// bindings counts over the shown surfaces: joints that are strongest somewhere,
// vertices with any influence, most influences at one vertex, all vertices.
func (s *Scene) bindings() (leads, bound, most, all int) {
	lead := make([]bool, len(s.rig.Nodes))
	for _, i := range s.fig.prepared.Surface {
		sf := &s.rig.Surfaces[i]
		m := &s.rig.Meshes[sf.Mesh]
		n := m.Vertices()
		all += n
		if sf.Skin < 0 || int(sf.Skin) >= len(s.rig.Skins) || m.K == 0 {
			continue
		}
		skin := &s.rig.Skins[sf.Skin]
		for v := range n {
			count, best, top := 0, rig.Node(rig.None), float32(0)
			for k := v * m.K; k < v*m.K+m.K; k++ {
				if w := m.Weights[k]; w > 0 && w-w == 0 {
					n := jointNode(s.rig, skin, int(m.Joints[k]))
					if n < 0 {
						continue
					}
					count++
					if w > top {
						top, best = w, n
					}
				}
			}
			if count > 0 {
				bound++
			}
			most = max(most, count)
			if best >= 0 && !lead[best] {
				lead[best] = true
				leads++
			}
		}
	}
	return leads, bound, most, all
}

func counts(field [][]float32) (with, all int, largest float32) {
	for _, f := range field {
		all += len(f)
		for _, v := range f {
			if v == v {
				with++
				largest = max(largest, v)
			}
		}
	}
	return with, all, largest
}

// nodeName is a node's name, or its index where it has none.
func (s *Scene) nodeName(n rig.Node) string {
	if name := s.rig.Nodes[n].Name; name != "" {
		return name
	}
	return "node " + strconv.Itoa(int(n))
}
