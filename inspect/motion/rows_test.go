package motion

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// twoJoints is two joints in a row, one metre apart, with a clip of two seconds.
func twoJoints(channels ...rig.Channel) *rig.Rig {
	r := &rig.Rig{Shown: rig.None, Nodes: []rig.NodeData{
		{Name: "upper", Parent: rig.None, Mesh: rig.None, Skin: rig.None, Children: []rig.Node{1}},
		{Name: "lower", Parent: 0, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, 1, 0}}},
	}}
	for i := range r.Nodes {
		n := &r.Nodes[i]
		n.R, n.S = [4]float64{0, 0, 0, 1}, [3]float64{1, 1, 1}
		n.Matrix = n.TRS.Affine()
	}
	r.SetOrder()
	r.Clips = []rig.ClipData{{Name: "clip", Seconds: 2, Channels: channels}}
	return r
}

// about is a rotation about an axis as four numbers.
func about(x, y, z, degrees float64) []float32 {
	s, c := math.Sincos(degrees * math.Pi / 360)
	return []float32{float32(x * s), float32(y * s), float32(z * s), float32(c)}
}

func rowsOf(t *testing.T, r *rig.Rig, columns int) []Row {
	t.Helper()
	rows, err := Rows(exam.New(r), 0, columns)
	if err != nil {
		t.Fatal(err)
	}
	return rows.Joints
}

func sameNumbers(t *testing.T, what string, got []float64, tolerance float64, want ...float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %v, want %v", what, got, want)
	}
	for i := range got {
		if math.Abs(got[i]-want[i]) > tolerance {
			t.Fatalf("%s: %v, want %v", what, got, want)
		}
	}
}

// A quarter turn in the first second, then nothing: 90 °/s in the first half.
func TestRowsOfALinearTurn(t *testing.T) {
	rows := rowsOf(t, twoJoints(rig.Channel{Node: 0, Path: rig.Rotation, Width: 4, Times: []float32{0, 1, 2},
		Values: slices.Concat(about(0, 0, 1, 0), about(0, 0, 1, 90), about(0, 0, 1, 90))}), 4)
	up, low := rows[0], rows[1]
	sameNumbers(t, "speeds", up.Turns, 1e-4, 90, 90, 0, 0)
	if !slices.Equal(up.Keyed, []int{1, 0, 1, 1}) || up.Keys != 3 || up.State != "moves" || math.Abs(up.Degrees-90) > 1e-4 || up.Follows || len(up.Ways) != 0 {
		t.Errorf("%+v", up)
	}
	if low.State != "never keyed" || !low.Follows || !low.Stays() || low.Depth != 1 || low.Keys != 0 {
		t.Errorf("what hangs on it: %+v", low)
	}
	sameNumbers(t, "what hangs on it", low.Turns, 0, 0, 0, 0, 0)
}

// A step has no speed: it counts as spread over its column of half a second.
func TestRowsOfAStep(t *testing.T) {
	up := rowsOf(t, twoJoints(rig.Channel{Node: 0, Path: rig.Rotation, Interpolation: rig.Step, Width: 4, Times: []float32{0, 1.2},
		Values: slices.Concat(about(1, 0, 0, 0), about(1, 0, 0, 30))}), 4)[0]
	sameNumbers(t, "speeds", up.Turns, 1e-4, 0, 0, 60, 0)
}

// A cubic channel with level tangents goes 3t²−2t³ of its way: fastest, one and a
// half times the mean, in the middle (glTF 2.0, Appendix C); looked at by eighths.
func TestRowsOfACubicWay(t *testing.T) {
	up := rowsOf(t, twoJoints(rig.Channel{Node: 0, Path: rig.Translation, Interpolation: rig.Cubic, Width: 3, Times: []float32{0, 2},
		Values: []float32{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 4, 0, 0, 0, 0, 0}}), 8)[0]
	f := func(x float64) float64 { return 3*x*x - 2*x*x*x }
	var want []float64
	for i := range 8 {
		want = append(want, 4*(f(float64(i+1)/8)-f(float64(i)/8))/0.25)
	}
	sameNumbers(t, "speeds", up.Ways, 1e-5, want...)
	if math.Abs(up.Metres-4) > 1e-6 {
		t.Errorf("%g m, want 4", up.Metres)
	}
}

// Odd clips answer, and say what is asked wrongly.
func TestRowsOfOddClips(t *testing.T) {
	one := twoJoints(rig.Channel{Node: 1, Path: rig.Rotation, Width: 4, Times: []float32{0}, Values: about(0, 1, 0, 40)})
	one.Clips[0].Seconds = 0
	rows := rowsOf(t, one, 3)
	if rows[1].State != "held" || !slices.Equal(rows[1].Keyed, []int{1, 0, 0}) {
		t.Errorf("one key: %+v", rows[1])
	}
	e := exam.New(twoJoints())
	for _, w := range []struct {
		clip    rig.Clip
		columns int
	}{{1, 8}, {-1, 8}, {0, 0}, {0, 5000}} {
		if _, err := Rows(e, w.clip, w.columns); err == nil {
			t.Errorf("clip %d, %d columns: no error", w.clip, w.columns)
		}
	}
}

// The rows say what the facts of the station say, joint by joint.
func TestRowsAgreeWithTheFacts(t *testing.T) {
	rigs := []*rig.Rig{checktest.Built(lamplighter.Options{Vertices: 3000}), checktest.Built(lamplighter.Options{Vertices: 3000, Sway: true})}
	for _, name := range []string{"cesium_man.gltf", "Fox.glb", "robot.glb"} {
		if path := checktest.Corpus + "/models/" + name; exists(path) {
			rigs = append(rigs, checktest.Open(t, path))
		}
	}
	for _, r := range rigs {
		e := exam.New(r)
		facts, err := Measure(context.Background(), e)
		if err != nil {
			t.Fatal(err)
		}
		for i := range facts.Clips {
			c := &facts.Clips[i]
			rows, err := Rows(e, rig.Clip(i), 60)
			if err != nil {
				t.Fatal(err)
			}
			moving, fastest := 0, 0.0
			for _, row := range rows.Joints {
				if still := slices.Contains(c.Still, row.Node); still == (row.State == "moves") {
					t.Errorf("%s, %q: %s is still: %v, its row says %s", r.File.Name, c.Name, row.Name, still, row.State)
				}
				if (row.State == "held") != slices.Contains(c.Held, row.Node) || (row.State == "never keyed") != slices.Contains(c.Unkeyed, row.Node) {
					t.Errorf("%s, %q: %s: %s", r.File.Name, c.Name, row.Name, row.State)
				}
				if row.State == "moves" {
					moving++
				}
				fastest = max(fastest, slices.Max(row.Turns))
			}
			if moving != c.Moving {
				t.Errorf("%s, %q: %d joints move, the facts say %d", r.File.Name, c.Name, moving, c.Moving)
			}
			if c.Speed > 0 && math.Abs(fastest-c.Speed) > 1e-6*c.Speed {
				t.Errorf("%s, %q: fastest %g °/s, the facts say %g", r.File.Name, c.Name, fastest, c.Speed)
			}
		}
	}
}

func BenchmarkRows(b *testing.B) {
	e := exam.New(checktest.Built(lamplighter.Options{Sway: true}))
	for b.Loop() {
		if _, err := Rows(e, 0, 240); err != nil {
			b.Fatal(err)
		}
	}
}
