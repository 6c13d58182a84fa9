package skeleton

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// CommonBind is what all joints of a skin agree on: world rest of a joint × its
// inverse bind matrix, the same for all when the figure opens as it was bound.
type CommonBind struct {
	Skin  rig.Skin  `json:"skin"`
	Turn  float64   `json:"turn_degrees"`
	Scale float64   `json:"scale"` // cube root of the determinant
	Shift space.Vec `json:"shift"` // metres: where it puts the origin
	Off   int       `json:"joints_off"`
	Of    int       `json:"joints_with_influence"`
	Pose  *PoseOf   `json:"posed_as"` // clip and time that the rest pose is taken from; nil: none was found
}

// PoseOf names a moment of a clip.
type PoseOf struct {
	Clip    rig.Clip `json:"clip"`
	Name    rig.Name `json:"name"`
	Seconds float64  `json:"seconds"`
}

// SkinBind is what the matrices of one skin tell.
type SkinBind struct {
	Skin       rig.Skin   `json:"skin"`
	Surfaces   int        `json:"surfaces"`
	Told       bool       `json:"told"`                  // they agree on where the skin was bound, but for a few
	Apart      bool       `json:"apart"`                 // the surface is kept joint by joint, each part in the space of its joint
	Size       float64    `json:"size_m"`                // what shifts are held against
	Bad        []BadBind  `json:"unusable" wire:"null"`  // matrices
	Influenced int        `json:"joints"`                // with influence and a matrix of their own that can be used
	Residuals  []Residual `json:"residuals" wire:"null"` // of those, but where nothing is left
	Nodes      []rig.Node `json:"nodes" wire:"null"`     // shown, whose mesh follows it
	Middle     *space.Vec `json:"middle"`                // of the box of those at rest; nil: it has none
	Extent     float64    `json:"extent_m"`
}

// BadBind is a matrix that no program can use.
type BadBind struct {
	Node  rig.Node `json:"node"`
	Row   bool     `json:"row"` // the last row is not 0 0 0 1, by Value; else flat: determinant ÷ largest scale³
	Value float64  `json:"value"`
}

// Residual is what is left of one joint after the common part.
type Residual struct {
	Node    rig.Node `json:"node"`
	Degrees float64  `json:"degrees"`
	Shift   float64  `json:"shift_m"` // 95th percentile over the vertices it dominates; without any, of its own place
	Ratio   float64  `json:"ratio"`   // scale ÷ the common one
	Shear   float64  `json:"shear"`
}

// told is what the matrices of every skin tell.
func (f *Facts) told() []SkinBind {
	out := make([]SkinBind, len(f.binds))
	for i := range f.binds {
		b, t := &f.binds[i], &out[i]
		*t = SkinBind{Skin: b.skin, Surfaces: len(b.surfaces), Told: b.told, Apart: b.apart, Size: finite(b.diagonal, 0)}
		joints := f.e.Rig.Skins[b.skin].Joints
		for _, x := range b.bad {
			t.Bad = append(t.Bad, BadBind{joints[x.joint], x.what == badRow, x.value})
		}
		box := geom.EmptyBox()
		for _, s := range f.e.Shown() {
			if f.e.Rig.Surfaces[s].Skin == b.skin {
				box = box.Union(f.e.SurfaceBox(s))
				t.Nodes = append(t.Nodes, f.e.Rig.Surfaces[s].Node)
			}
		}
		if centre := box.Center(); !box.IsEmpty() && space.Finite(centre) {
			t.Middle, t.Extent = &centre, box.Diagonal()/2
		}
		if !b.told {
			continue
		}
		for k := range b.residual {
			r := &b.residual[k]
			if !(b.weight[k] > 0) || !r.usable || b.isWrong(k) {
				continue
			}
			t.Influenced++
			own := Residual{joints[k], finite(r.degrees, 0), finite(r.shift, 0), finite(r.ratio, 1), finite(r.shear, 0)}
			if own != (Residual{Node: own.Node, Ratio: 1}) {
				t.Residuals = append(t.Residuals, own)
			}
		}
	}
	return out
}

// finite answers what JSON can hold: another value for what is no number, the largest for
// what is infinite.
func finite(v, other float64) float64 {
	if v != v {
		return other
	}
	return max(-math.MaxFloat64, min(math.MaxFloat64, v))
}

// skinBind is what bind-odd works with, a skin.
type skinBind struct {
	skin     rig.Skin
	surfaces []int
	weight   []float64    // a joint
	each     []rig.Affine // world rest × inverse bind, a joint
	common   rig.Affine
	bad      []badBind // joints whose matrix cannot be used
	residual []residual
	diagonal float64 // of the skin's surfaces at rest
	told     bool    // common and residual are worked out
	wrong    []bool  // a joint: its matrix is lost or another's (BindWrong); nil: none is
	apart    bool    // the surface is kept joint by joint, each part in the space of its joint
	joint    map[rig.Node]int
}

// at is the place of a node among the skin's joints; joints are those of the skin.
func (b *skinBind) at(n rig.Node, joints []rig.Node) (int, bool) {
	if b.joint == nil {
		b.joint = make(map[rig.Node]int, len(joints))
		for k, j := range joints {
			b.joint[j] = k
		}
	}
	k, ok := b.joint[n]
	return k, ok
}

// isWrong tells that the matrix at a place of the skin is not its joint's.
func (b *skinBind) isWrong(k int) bool { return b.wrong != nil && b.wrong[k] }

// residual is what is left of one joint after the common part.
type residual struct {
	degrees float64
	shift   float64 // metres: 95th percentile over the vertices it dominates; without any, of its own place
	ratio   float64 // scale ÷ the common one
	shear   float64
	usable  bool
}

// off tells whether a residual passes the limits of turn (degrees) or shift (metres).
func (r *residual) off(degrees, shift float64) bool {
	return r.usable && (r.degrees > degrees || r.shift > shift)
}

type badBind struct {
	joint rig.Joint
	what  string
	value float64
}

// SharedJoint is a joint that two skins bind differently.
type SharedJoint struct {
	Node    rig.Node `json:"node"`
	A       rig.Skin `json:"skin"`
	B       rig.Skin `json:"other_skin"`
	Degrees float64  `json:"degrees"`
	Shift   float64  `json:"shift_m"` // of the joint's place
}

const (
	// flattest: a matrix whose determinant is less than this share of its largest
	// scale cubed has no inverse worth using. The share, not the plain figure: a skin
	// in millimetres has a determinant of 1e-9 and is sound.
	flattest = 1e-9
	// mostMedoid joints are compared each with each; of more, the heaviest.
	mostMedoid = 1500
	// driftDegrees and driftShare of the diagonal are what a residual must pass.
	driftDegrees = 0.5  // half a centimetre at the end of an arm
	driftShare   = 1e-3 // 2 mm of a person
)

// measureBind works out the common part of every skin and what joints are off it.
func (f *Facts) measureBind(ctx context.Context) error {
	f.CommonBind, f.BindWrong = []CommonBind{}, []BindWrong{}
	for s := range f.binds {
		if err := f.e.Tick(ctx, s, len(f.binds)); err != nil {
			return err
		}
		f.skinBind(&f.binds[s])
	}
	if err := f.sharedBinds(ctx); err != nil {
		return err
	}
	for i := range f.Joints {
		if p, ok := f.bindSpot(f.Joints[i].Node); ok && space.Finite(p) {
			at := space.Vec(p)
			f.Joints[i].Bound = &at
		}
	}
	return nil
}

func (f *Facts) skinBind(b *skinBind) {
	skin := &f.e.Rig.Skins[b.skin]
	world := f.e.RestWorld()
	b.each, b.residual = make([]rig.Affine, len(skin.Joints)), make([]residual, len(skin.Joints))
	for k, n := range skin.Joints {
		m := &skin.Bind[k]
		b.each[k] = world[n].Mul(m)
		b.residual[k].usable = true
		if skin.BindRow != nil {
			r := skin.BindRow[4*k : 4*k+4]
			if off := math.Max(math.Max(math.Abs(r[0]), math.Abs(r[1])), math.Max(math.Abs(r[2]), math.Abs(r[3]-1))); off > 0 || off != off {
				b.bad = append(b.bad, badBind{rig.Joint(k), badRow, zeroNaN(off)})
			}
		}
		if !(flatness(m) >= flattest) {
			b.bad = append(b.bad, badBind{rig.Joint(k), "determinant ÷ largest scale³", zeroNaN(flatness(m))})
			b.residual[k].usable = false
		} else if !(flatness(&b.each[k]) >= flattest) || !space.Finite(b.each[k].Origin()) {
			b.residual[k].usable = false // the joint itself is flat: another check tells
		}
	}
	b.diagonal = f.Diagonal
	f.findCommon(b, skin)
	if !b.told {
		return
	}
	if f.untangle(b, skin); b.apart {
		b.told = false // the pose it was bound in is nowhere
		return
	}
	f.residuals(b, skin)
	out := CommonBind{Skin: b.skin, Turn: mgl64.RadToDeg(b.common.Turned()), Scale: factor(&b.common), Shift: b.common.Origin()}
	for k := range b.residual {
		if b.weight[k] > 0 {
			out.Of++
			if b.residual[k].off(driftDegrees, driftShare*b.diagonal) && !b.isWrong(k) {
				out.Off++
			}
		}
	}
	if out.posed() {
		out.Pose = f.posedAs(b)
	}
	f.CommonBind = append(f.CommonBind, out)
}

// posed tells that so many joints are off what moves the others that a pose is looked for.
func (c *CommonBind) posed() bool { return 10*c.Off >= c.Of && c.Off > 0 }

// flatness is the determinant ÷ the cube of the largest scale.
func flatness(m *rig.Affine) float64 {
	s := m.Scales()
	big := max(s[0], s[1], s[2])
	return math.Abs(m.Det()) / (big * big * big)
}

func zeroNaN(v float64) float64 {
	if v != v || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// findCommon takes the joint whose matrix is nearest to all others', weighted by
// what the joints carry (a weighted medoid: no mean, so that a few odd ones do not
// draw it). Two matrices are as far apart as they move the skin's vertices apart:
// √(r²·|ΔA|² + |Δc|²), c the middle of the vertices and r their mean radius. Where
// weights split evenly, the part with the topmost joint has it.
func (f *Facts) findCommon(b *skinBind, skin *rig.SkinData) {
	var list []int
	carried := 0.0
	for k := range skin.Joints {
		if b.residual[k].usable {
			carried += b.weight[k]
		}
	}
	for k := range skin.Joints {
		if b.residual[k].usable && (carried == 0 || b.weight[k] > 0) {
			list = append(list, k)
		}
	}
	if len(list) == 0 {
		return
	}
	weight := func(k int) float64 {
		if carried == 0 {
			return 1
		}
		return b.weight[k]
	}
	if len(list) > mostMedoid {
		slices.SortStableFunc(list, func(i, j int) int {
			switch {
			case b.weight[i] > b.weight[j]:
				return -1
			case b.weight[i] < b.weight[j]:
				return 1
			}
			return i - j
		})
		list = list[:mostMedoid]
		slices.Sort(list)
	}
	centre, radius := f.bindBall(b)
	top := f.topmost(b, skin)
	best, sum := -1, math.Inf(1)
	for _, i := range list {
		s := 0.0
		for _, j := range list {
			s += weight(j) * apart(&b.each[i], &b.each[j], centre, radius)
		}
		switch {
		case s < sum*(1-1e-6):
			best, sum = i, s
		case s <= sum*(1+1e-6) && best >= 0 && top >= 0 &&
			apart(&b.each[i], &b.each[top], centre, radius) < apart(&b.each[best], &b.each[top], centre, radius):
			best, sum = i, min(s, sum)
		}
	}
	if best < 0 {
		return
	}
	b.common, b.told = b.each[best], true
}

// apart is how far two matrices carry the same vertices apart, metres.
func apart(a, b *rig.Affine, centre space.Vec, radius float64) float64 {
	var d rig.Affine
	s := 0.0
	for i := range d {
		d[i] = a[i] - b[i]
		if i%4 != 3 {
			s += d[i] * d[i]
		}
	}
	c := d.Point(centre)
	return math.Sqrt(radius*radius*s + c.Dot(c))
}

// bindBall is the middle of the skin's vertices as stored, and their mean radius.
func (f *Facts) bindBall(b *skinBind) (centre space.Vec, radius float64) {
	n := 0.0
	var sum, square space.Vec
	for _, s := range b.surfaces {
		p := f.e.Rig.Meshes[f.e.Rig.Surfaces[s].Mesh].Positions
		for v := 0; v+2 < len(p); v += 3 {
			for c := range 3 {
				x := float64(p[v+c])
				sum[c] += x
				square[c] += x * x
			}
			n++
		}
	}
	if n == 0 || !space.Finite(sum) || !space.Finite(square) {
		return space.Vec{}, 1
	}
	centre = sum.Mul(1 / n)
	for c := range 3 {
		radius += max(0, square[c]/n-centre[c]*centre[c])
	}
	return centre, math.Sqrt(radius)
}

// topmost is the place in the skin of its joint that stands above the others: the
// first without a joint of the skin above it, with most of them below. −1: none.
func (f *Facts) topmost(b *skinBind, skin *rig.SkinData) int {
	if f.from == nil {
		f.from, f.to = f.e.Rig.Spans()
	}
	// One walk through the joints of the skin as they stand in the tree, not one through all
	// nodes for every skin.
	sorted := make([]int, len(skin.Joints))
	for k := range sorted {
		sorted[k] = k
	}
	slices.SortStableFunc(sorted, func(a, b int) int { return int(f.from[skin.Joints[a]] - f.from[skin.Joints[b]]) })
	below := make([]int, len(skin.Joints))
	root := make([]int, len(skin.Joints)) // by place in the skin: the topmost at or above it
	top, end := -1, int32(-1)
	for _, k := range sorted {
		if n := skin.Joints[k]; f.from[n] > end {
			top, end = k, f.to[n]
		}
		root[k] = top
	}
	best := -1
	for k := range skin.Joints {
		t := root[k]
		below[t]++
		if !b.residual[t].usable {
			continue
		}
		if best < 0 || below[t] > below[best] || below[t] == below[best] && t < best {
			best = t
		}
	}
	return best
}

// residuals compares every joint with the common part.
func (f *Facts) residuals(b *skinBind, skin *rig.SkinData) {
	back, ok := b.common.Inverse()
	if !ok {
		b.told = false
		return
	}
	shifts := make([][]float32, len(skin.Joints))
	g := f.e.Rig
	var small [][12]float32
	for k := range b.each {
		var d rig.Affine
		for i := range d {
			d[i] = b.each[k][i] - b.common[i]
		}
		small = append(small, d.Float32())
	}
	for _, s := range b.surfaces {
		m := &g.Meshes[g.Surfaces[s].Mesh]
		for v := range m.Vertices() {
			heavy, w := -1, float32(0)
			for i := v * m.K; i < (v+1)*m.K; i++ {
				if x := m.Weights[i]; x > w && int(m.Joints[i]) < len(skin.Joints) {
					heavy, w = int(m.Joints[i]), x
				}
			}
			if heavy < 0 {
				continue
			}
			d := &small[heavy]
			x, y, z := m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2]
			a, c, e := d[0]*x+d[1]*y+d[2]*z+d[3], d[4]*x+d[5]*y+d[6]*z+d[7], d[8]*x+d[9]*y+d[10]*z+d[11]
			shifts[heavy] = append(shifts[heavy], float32(math.Sqrt(float64(a*a+c*c+e*e))))
		}
	}
	for k, n := range skin.Joints {
		r := &b.residual[k]
		if !r.usable {
			continue
		}
		m := back.Mul(&b.each[k])
		r.degrees, r.ratio, r.shear = mgl64.RadToDeg(m.Turned()), factor(&m), shear(&m)
		if l := shifts[k]; len(l) > 0 {
			r.shift = float64(space.Percentile(l, 95))
		} else if bound, ok := skin.Bind[k].Inverse(); ok {
			r.shift = b.each[k].Point(bound.Origin()).Sub(b.common.Point(bound.Origin())).Len()
		}
		if r.degrees != r.degrees || r.shift != r.shift || math.IsInf(r.shift, 0) || r.ratio != r.ratio || r.shear != r.shear {
			r.usable = false
			continue
		}
		j := f.at(n)
		if j.Drift == nil || r.shift > *j.Drift {
			j.Drift = number(r.shift)
		}
		if j.DriftTurn == nil || r.degrees > *j.DriftTurn {
			j.DriftTurn = number(r.degrees)
		}
	}
}

// sharedBinds compares the joints that two skins share. The bind spaces of two skins
// may differ as a whole; so what carries the one to the other must be the same for
// all joints they share. With fewer than three of them it is taken from the common
// parts. Each skin is held against earlier ones until every joint it shares was
// compared once: where two skins differ, one of them differs from the first.
func (f *Facts) sharedBinds(ctx context.Context) error {
	skins := f.e.Rig.Skins
	if len(skins) < 2 {
		return nil
	}
	in := make([]map[rig.Node]int, len(skins))
	holders := map[rig.Node]int{} // first skin that holds a joint
	for b := range skins {
		if err := f.e.Tick(ctx, b, len(skins)); err != nil {
			return err
		}
		in[b] = make(map[rig.Node]int, len(skins[b].Joints))
		var with []int
		for k, n := range skins[b].Joints {
			in[b][n] = k
			if a, held := holders[n]; !held {
				holders[n] = b
			} else if a != b && !slices.Contains(with, a) {
				with = append(with, a)
			}
		}
		slices.Sort(with)
		for _, a := range with {
			f.sharedBy(&f.binds[a], &f.binds[b], in[a])
		}
	}
	return nil
}

func (f *Facts) sharedBy(a, b *skinBind, in map[rig.Node]int) {
	type both struct {
		node    rig.Node
		i, k    int
		between rig.Affine // bind space of b → bind space of a
	}
	var list []both
	for k, n := range f.e.Rig.Skins[b.skin].Joints {
		i, ok := in[n]
		if !ok || !a.residual[i].usable || !b.residual[k].usable || a.isWrong(i) || b.isWrong(k) {
			continue
		}
		back, ok := f.e.Rig.Skins[a.skin].Bind[i].Inverse()
		if !ok {
			continue
		}
		list = append(list, both{n, i, k, back.Mul(&f.e.Rig.Skins[b.skin].Bind[k])})
	}
	if len(list) == 0 || !a.told || !b.told {
		return
	}
	expected := list[0].between
	if len(list) < 3 {
		back, ok := a.common.Inverse()
		if !ok {
			return
		}
		expected = back.Mul(&b.common)
	} else {
		centre, radius := f.bindBall(b)
		sum := math.Inf(1)
		some := list[:min(len(list), 200)]
		for i := range some {
			s := 0.0
			for k := range some {
				s += apart(&some[i].between, &some[k].between, centre, radius)
			}
			if s < sum*(1-1e-9) {
				expected, sum = some[i].between, s
			}
		}
	}
	for i := range list {
		x := &list[i]
		// Both carried to the world: where each skin's matrix puts the same vertex.
		want := a.each[x.i].Mul(&expected)
		back, ok := want.Inverse()
		if !ok {
			continue
		}
		m := b.each[x.k].Mul(&back)
		at := f.e.RestWorld()[x.node].Origin()
		d := SharedJoint{Node: x.node, A: a.skin, B: b.skin, Degrees: mgl64.RadToDeg(m.Turned()), Shift: m.Point(at).Sub(at).Len()}
		if d.Degrees > driftDegrees || d.Shift > driftShare*f.Diagonal {
			f.Shared = append(f.Shared, d)
		}
	}
}

// says tells the common part in words.
func (c *CommonBind) says() string {
	var said []string
	if c.Turn >= 0.05 {
		said = append(said, "turned by "+say.Quantity(c.Turn, say.Degree))
	}
	if math.Abs(c.Scale-1) >= 0.0005 {
		said = append(said, say.Plain(c.Scale)+" times the size")
	}
	if space.Vec(c.Shift).Len() >= 0.00005 {
		said = append(said, fmt.Sprintf("its origin at x = %s, y = %s, z = %s", near(c.Shift[0]), near(c.Shift[1]), near(c.Shift[2])))
	}
	return strings.Join(said, ", ")
}
