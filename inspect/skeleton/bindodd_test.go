package skeleton

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// bindBy says that a joint of the sample was bound with its own space drawn by a
// matrix first.
func bindBy(name string, m rig.Affine) func(*rig.Rig) {
	return func(r *rig.Rig) {
		n := lamplighter.Node(name)
		w := r.RestWorld()[n].Mul(&m)
		r.Skins[0].Bind[n], _ = w.Inverse()
	}
}

// scaledBy is a matrix that scales the axes.
func scaledBy(x, y, z float64) rig.Affine { return rig.Affine{x, 0, 0, 0, 0, y, 0, 0, 0, 0, z, 0} }

// One joint of the 34 bound elsewhere, on both sides of each limit: a link of a chain,
// so small that a turn moves its surface by less than the limit of the shift.
func TestOddOneOut(t *testing.T) {
	diagonal := measured(t, lamp()).Diagonal
	link := int(lamplighter.Node("chain_L_3"))
	name := []string{"chain_L_3"}
	turned := func(degrees float64) func(*rig.Rig) { return of(lamplighter.Misbind(link, 0, degrees)) }
	higher := func(share float64) func(*rig.Rig) { return of(lamplighter.Misbind(link, share*diagonal, 0)) }
	const one, size = "Joint bound elsewhere", "Bound at another size"
	diag := spin(space.Vec{0, 0, 1}, 45)
	askew := func(h float64) rig.Affine { // a pull along the diagonal: columns stay square in no frame but its own
		s := scaledBy(1+h, 1, 1)
		back, _ := diag.Inverse()
		m := diag.Mul(&s)
		return m.Mul(&back)
	}
	bothSides(t, "skeleton/bind-odd", lamp, []side{
		{name: "as it rests"},
		{name: "turned 0.49°", plant: turned(0.49)},
		{name: "turned 0.51°", plant: turned(0.51), grade: check.Flaw, title: one, measure: "turn", value: 0.51, near: 1e-4, joints: name},
		{name: "0.99e-3 of the diagonal higher", plant: higher(0.99e-3)},
		{name: "1.01e-3 higher", plant: higher(1.01e-3), grade: check.Flaw, title: one, measure: "shift", value: 1.01e-3, near: 1e-6, joints: name},
		{name: "0.9 % larger", plant: bindBy("chain_L_3", scaledBy(1/0.991, 1/0.991, 1/0.991))},
		{name: "1.1 % larger", plant: bindBy("chain_L_3", scaledBy(1/0.989, 1/0.989, 1/0.989)), grade: check.Flaw, title: size, measure: "scale off by", value: 0.011, near: 1e-6, joints: name},
		{name: "1.1 % smaller", plant: bindBy("chain_L_3", scaledBy(1/1.011, 1/1.011, 1/1.011)), grade: check.Flaw, title: size, measure: "scale off by", value: 0.011, near: 1e-6, joints: name},
		{name: "sheared by 0.0009", plant: bindBy("chain_L_3", rig.Affine{1, 0.0009, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0})},
		{name: "sheared by 0.0011", plant: bindBy("chain_L_3", rig.Affine{1, 0.0011, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}), grade: check.Flaw, title: size, measure: "shear", value: 0.0011, near: 1e-6, joints: name},
		{name: "drawn out by 0.0011 along its axis", plant: bindBy("chain_L_3", scaledBy(1.0011, 1, 1)), grade: check.Flaw, title: size, measure: "shear", value: 0.0011, near: 2e-6, joints: name},
		{name: "drawn out by 0.0011 aslant", plant: bindBy("chain_L_3", askew(0.0011)), grade: check.Flaw, title: size, measure: "shear", value: 0.0011, near: 2e-6, joints: name},
		{name: "drawn out by 0.0009 aslant", plant: bindBy("chain_L_3", askew(0.0009))},
		{name: "pressed to 1.1e-9", plant: bindBy("chain_L_3", scaledBy(1, 1, 1/1.1e-9)), grade: check.Flaw, title: size, joints: name},
		{name: "pressed to 0.9e-9", plant: bindBy("chain_L_3", scaledBy(1, 1, 1/0.9e-9)), grade: check.Stop, title: "Flat bind matrix", measure: "determinant ÷ largest scale³", value: 0.9e-9, near: 1e-11, joints: name},
		{name: "last row as it must be", plant: lastRow(0, 0, 0, 1)},
		{name: "last row off by 1e-6", plant: lastRow(0, 0, 1e-6, 1), grade: check.Stop, title: "Bind matrix row wrong", measure: "last row off 0 0 0 1 by", value: 1e-6, joints: name},
		{name: "last row ends in 2", plant: lastRow(0, 0, 0, 2), grade: check.Stop, measure: "last row off 0 0 0 1 by", value: 1, joints: name},
	})
}

// lastRow gives the link's bind matrix a fourth row.
func lastRow(a, b, c, d float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		rows := make([]float64, 4*len(r.Skins[0].Joints))
		for i := 3; i < len(rows); i += 4 {
			rows[i] = 1
		}
		copy(rows[4*lamplighter.Node("chain_L_3"):], []float64{a, b, c, d})
		r.Skins[0].BindRow = rows
	}
}

// A posed skeleton, by how many of its 34 joints are off: fewer than a tenth is odd, up
// to half partly posed, beyond that posed.
func TestPartlyPosed(t *testing.T) {
	bothSides(t, "skeleton/bind-odd", lamp, []side{
		{name: "3 of 34", plant: turnJoint(5, "chain_L_4"), grade: check.Flaw, title: "Joint bound elsewhere", measure: "turn", value: 5, near: 1e-4, joints: []string{"chain_L_4", "chain_L_5", "chain_L_6"}},
		{name: "4 of 34", plant: turnJoint(5, "chain_L_3"), grade: check.Note, title: "Opens partly posed", measure: "joints off", value: 4. / 34, near: 1e-9, joints: []string{"chain_L_3", "chain_L_6"}},
		{name: "17 of 34", plant: turnJoint(5, "chain_L_1", "shoulder_L", "shoulder_R", "chain_R_4"), grade: check.Note, title: "Opens partly posed", measure: "joints off", value: 0.5, near: 1e-9},
		{name: "18 of 34", plant: turnJoint(5, "chain_L_1", "shoulder_L", "shoulder_R", "chain_R_3"), grade: check.Note, title: "Opens already posed", measure: "joints off", value: 18. / 34, near: 1e-9},
		{name: "18 of 34 by 0.03°", plant: turnJoint(0.03, "chain_L_1", "shoulder_L", "shoulder_R", "chain_R_3")},
	})
}

// A rest pose that is a moment of a clip is named, with clip and time; with one joint
// elsewhere it is no moment of it any more.
func TestPosedAsAClip(t *testing.T) {
	for _, row := range []struct {
		name string
		more func(*rig.Rig)
		want bool
	}{{"as the clip", func(*rig.Rig) {}, true}, {"head turned by 1° more", turnJoint(1, "head"), false}} {
		r := lamp()
		clip := rig.Clip(-1)
		for c := range r.Clips {
			if r.Clips[c].Name == "stroll" {
				clip = rig.Clip(c)
			}
		}
		times := r.Clips[clip].Channels[0].Times
		at := float64(times[len(times)/3])
		p := deform.NewPose(r)
		p.Sample(clip, at)
		for i := range r.Nodes {
			local(r, rig.Node(i), p.Local[i])
		}
		row.more(r)
		found, _ := Station.Judge(measured(t, r), nil)
		seen := false
		for _, f := range found {
			if f.ID != "skeleton/bind-odd" || f.Title != "Opens already posed" {
				continue
			}
			seen = true
			if named := f.Where.Clip == clip; named != row.want || named && math.Abs(f.Where.Time-at) > 1e-6 {
				t.Errorf("%s: clip %d at %v s, want %d at %v: %v; %s", row.name, f.Where.Clip, f.Where.Time, clip, at, row.want, f.Why)
			}
		}
		if !seen {
			t.Errorf("%s: not found: %v", row.name, found)
		}
	}
}

// What all joints agree on, on both sides of its limits; joints are not blamed for it.
func TestCommonPart(t *testing.T) {
	diagonal := measured(t, lamp()).Diagonal
	const whole = "Bound in another place"
	bothSides(t, "skeleton/bind-odd", lamp, []side{
		{name: "turned 0.49°", plant: of(lamplighter.RootTurn(0.49, 0))},
		{name: "turned 0.51°", plant: of(lamplighter.RootTurn(0.51, 0)), grade: check.Note, title: whole, measure: "turn", value: 0.51, near: 1e-5},
		{name: "1.0009 times the size", plant: of(lamplighter.RootScale(1.0009, 1.0009, 1.0009, false))},
		{name: "1.0011 times the size", plant: of(lamplighter.RootScale(1.0011, 1.0011, 1.0011, false)), grade: check.Note, title: whole, measure: "scale off by", value: 0.0011, near: 1e-7},
		{name: "moved by 0.99e-3 of the diagonal", plant: moveRoot(0.99e-3 * diagonal)},
		{name: "moved by 1.01e-3", plant: moveRoot(1.01e-3 * diagonal), grade: check.Note, title: whole, measure: "shift", value: 1.01e-3, near: 1e-7},
	})
}

// moveRoot moves the hips at rest; binds stay.
func moveRoot(metres float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		n := lamplighter.Node("hips")
		m := r.Nodes[n].Matrix
		m[3] += metres
		local(r, n, m)
	}
}

// Two skins that bind the head in two places.
func TestSharedJoint(t *testing.T) {
	diagonal := measured(t, lamp()).Diagonal
	head := int(lamplighter.Node("head"))
	bothSides(t, "skeleton/bind-odd", lamp, []side{
		{name: "0.99e-3 of the diagonal apart", plant: of(lamplighter.SecondSkin(head, 0.99e-3*diagonal))},
		{name: "1.01e-3 apart", plant: of(lamplighter.SecondSkin(head, 1.01e-3*diagonal)), grade: check.Flaw, title: "Skins bind joint differently", measure: "shift", value: 1.01e-3, near: 1e-6, joints: []string{"head"}},
	})
}

// Squares drawn askew, worked by hand: 0 for turns and even scales, (a² − b²) ÷ (a² + b²)
// for a stretch by a and b; the largest and least stretch of a shear by h are
// √(1 + h²/4) ± h/2.
func TestShear(t *testing.T) {
	turn := spin(space.Vec{1, 2, 3}, 77)
	even, uneven := scaledBy(2, 2, 2), scaledBy(1.1, 1, 1)
	back, _ := turn.Inverse()
	tilted := turn.Mul(&uneven)
	tilted = tilted.Mul(&back)
	const h = 0.3
	a, b := h/2+math.Sqrt(1+h*h/4), -h/2+math.Sqrt(1+h*h/4)
	for _, row := range []struct {
		name string
		m    rig.Affine
		want float64
	}{
		{"a turn", turn, 0}, {"twice the size", even, 0}, {"a turn, twice the size", turn.Mul(&even), 0},
		{"1.1 along x", uneven, (1.1*1.1 - 1) / (1.1*1.1 + 1)}, {"1.1 along no axis", tilted, (1.1*1.1 - 1) / (1.1*1.1 + 1)},
		{"a shear by 0.3", rig.Affine{1, h, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}, (a*a - b*b) / (a*a + b*b)},
		{"flat", scaledBy(1, 1, 0), 1}, {"nothing", rig.Affine{}, 0},
	} {
		if got := shear(&row.m); math.Abs(got-row.want) > 1e-7 {
			t.Errorf("%s: %v, want %v", row.name, got, row.want)
		}
	}
}

// The head bound turned by 3° about +X: each vertex it dominates is off by
// 2·sin 1.5° × its distance from that axis (closed form); the figure is the 95th
// percentile of those, worked out here from the file's weights.
func TestShiftIsThe95thPercentile(t *testing.T) {
	r := checktest.Built(lamplighter.Options{})
	head := lamplighter.Node("head")
	lamplighter.Misbind(int(head), 0, 3)(r)
	at := r.RestWorld()[head].Origin()
	m := &r.Meshes[0]
	var off []float64
	for v := range m.Vertices() {
		k := v * m.K
		for i := k; i < (v+1)*m.K; i++ {
			if m.Weights[i] > m.Weights[k] {
				k = i
			}
		}
		if rig.Node(m.Joints[k]) == head {
			off = append(off, 2*math.Sin(1.5*math.Pi/180)*math.Hypot(float64(m.Positions[3*v+1])-at[1], float64(m.Positions[3*v+2])-at[2]))
		}
	}
	slices.Sort(off)
	want := off[int(math.Ceil(0.95*float64(len(off))))-1]
	if got := *measured(t, r).at(head).Drift; math.Abs(got-want) > 1e-6 {
		t.Errorf("%v m over %d vertices, want %v (from %v to %v)", got, len(off), want, off[0], off[len(off)-1])
	}
}
