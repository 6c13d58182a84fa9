package scene

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
)

// TestReads: for every vertex the words of a lens are what the file holds there, worked out here
// from its weights alone; each lens says something of a vertex that it colours.
func TestReads(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	arm := nodeNamed(t, r, "upperArm_L")
	s := New(r, p, nil)
	st := still(200, 200)
	st.Camera = s.View(&st, camera.Front)
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		by := map[rig.Node]float64{}
		for k := v * m.K; k < v*m.K+m.K; k++ {
			if w := m.Weights[k]; w > 0 {
				by[r.Skins[0].Joints[m.Joints[k]]] += float64(w)
			}
		}
		best, most := rig.Node(rig.None), 0.
		for n, w := range by {
			if w > most {
				best, most = n, w
			}
		}
		for lens, want := range map[Lens]string{
			Influence: weight(float32(by[arm])) + " of upperArm_L",
			Count:     map[bool]string{true: "1 joint holds it", false: string(rune('0'+len(by))) + " joints hold it"}[len(by) == 1],
		} {
			st.Lens, st.Joint = lens, arm
			if got := s.Reads(&st, 0, rig.Vertex(v)); got != want {
				t.Fatalf("vertex %d, %s: %q, want %q", v, lens, got, want)
			}
		}
		st.Lens = Dominant
		got, wantWeight := s.Reads(&st, 0, rig.Vertex(v)), ", "+weight(float32(most))
		name, _ := strings.CutSuffix(got, wantWeight)
		if name == got || by[nodeNamed(t, r, name)] < most-1e-6 {
			t.Fatalf("vertex %d: %q, want %s%s", v, got, r.Nodes[best].Name, wantWeight)
		}
	}
	for _, lens := range []Lens{Painted, Plain} {
		if st.Lens = lens; s.Reads(&st, 0, 0) != "" {
			t.Errorf("%s says something", lens)
		}
	}
	st.Lens = Count
	if got := s.Reads(&st, 0, -1) + s.Reads(&st, 9, 0); got != "" {
		t.Errorf("of no vertex it says %q", got)
	}
}

// TestReadsOfThePose: the lenses of the pose say "× 1" at rest and name the triangles that a bend
// of 150° turns over, as the caption counts them.
func TestReadsOfThePose(t *testing.T) {
	r, p := lamp(t, lamplighter.T)
	s := New(r, p, nil)
	st := still(200, 200)
	st.Lens, st.Bones = Stretch, false
	st.Camera = s.View(&st, camera.Front)
	s.Draw(&st)
	v := rig.Vertex(p.Source[p.Tri[0]])
	if got := s.Reads(&st, 0, v); got != "× 1.00" {
		t.Errorf("at rest %q", got)
	}
	st.Lens = TurnedOver
	s.Draw(&st)
	if got := s.Reads(&st, 0, v); got != "not turned over" {
		t.Errorf("at rest %q", got)
	}
}

// TestReadsOfFields: the words of what a station measured are those of its legend and unit.
func TestReadsOfFields(t *testing.T) {
	nan := float32(math.NaN())
	r := rigOf(box(false))
	s := New(r, prepared(t, r), nil)
	st := measuring(still(64, 64))
	one := func(x float32) [][]float32 { return [][]float32{{x}} }
	for _, row := range []struct {
		field *Field
		want  string
	}{
		{nil, ""},
		{&Field{Values: one(nan)}, "no value"},
		{&Field{}, "no value"},
		{&Field{Unit: "m", Values: one(.0125)}, "12.5\u00a0mm"},
		{&Field{Unit: "m", Kind: TwoSided, Low: -1, High: 1, Values: one(-.002)}, "−2\u00a0mm"},
		{&Field{Unit: "×", Values: one(1.25)}, "× 1.25"},
		{&Field{Values: one(.5)}, "0.5"},
		{&Field{Kind: BySteps, Names: []string{"kept", "lost"}, Values: one(1)}, "lost"},
		{&Field{Kind: ByCategory, Names: []string{"coat"}, Values: one(0)}, "coat"},
		{&Field{Kind: ByCategory, Values: one(13)}, "number 14"},
		{&Field{Kind: ByCategory, Names: []string{"against its shell", "inside out"}, Triangles: [][]uint8{{2}}}, "inside out"},
		{&Field{Kind: ByCategory, Names: []string{"against its shell", "inside out"}, Triangles: [][]uint8{{0}}}, "not against its shell"},
	} {
		s.SetField(row.field)
		if got := s.Reads(&st, 0, rig.Vertex(r.Meshes[0].Triangles[0])); row.field != nil && row.field.Triangles == nil {
			got = s.Reads(&st, 0, 0)
			if got != row.want {
				t.Errorf("%+v: %q, want %q", row.field, got, row.want)
			}
		} else if got != row.want {
			t.Errorf("%+v: %q, want %q", row.field, got, row.want)
		}
	}
}
