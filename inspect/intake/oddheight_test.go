package intake

import (
	"context"
	"math"
	"os"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// tall is the sample stored at a height.
func tall(metres float64) func() *rig.Rig {
	p := &small().Meshes[0].Primitives[0]
	return sample(lamplighter.Enlarge(metres / (p.TrueMax[1] - p.TrueMin[1])))
}

func TestOddHeight(t *testing.T) {
	hips := []rig.Node{lamplighter.Node("hips")}
	flaw := func(height float64, factor float64) []checktest.Want {
		return []checktest.Want{{Grade: check.Flaw, Name: "height", Value: height, Tolerance: 1e-5 * height, Joints: hips, More: map[string]float64{"factor": factor}}}
	}
	checktest.Run(t, oddHeight, Measure, []checktest.Row{
		{Name: "clean", Rig: sample(nil)},
		{Name: "lowest", Rig: tall(.501)},
		{Name: "below it", Rig: tall(.499), Want: flaw(.499, 2.54)},
		{Name: "highest", Rig: tall(2.999)},
		{Name: "above it", Rig: tall(3.001), Want: flaw(3.001, 1.7/3.001)},
		{Name: "centimetres", Rig: tall(180), Want: flaw(180, .01)},
		{Name: "millimetres", Rig: tall(1800), Want: flaw(1800, .001)},
		{Name: "twice made smaller", Rig: tall(.018), Want: flaw(.018, 100)},
		{Name: "lying in centimetres", Rig: func() *rig.Rig {
			r := tall(180)()
			lamplighter.RootTurn(0, -90)(r)
			return r
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 180, Tolerance: 1}}},
		{Name: "no figure", Rig: skinnedPost, Plant: scaled(postTop, 100, 100, 100), Skip: "no figure recognised in this file"},
		{Name: "empty file", Rig: nothing, Skip: "no figure recognised in this file"},
	})
}

// The rows of the table of units: raw height → unit, factor, second reading. The
// windows are closed forms of 1.2…2.2 m.
func TestUnitGuess(t *testing.T) {
	for _, row := range []struct {
		raw    float64
		unit   string
		factor float64
		other  string
	}{
		{1.8, "m", 1, ""},
		{180, "cm", .01, ""},
		{1800, "mm", .001, ""},
		{70.9, "in", .0254, ""},
		{5.9, "ft", .3048, ""},
		{18, "dm", .1, ""},
		{25.65148, "1/0.45 in", .0254 / .45, ""},
		{.018, "", 100, "centimetres made metres twice"},
		{.709, "", 2.54, "inches taken for centimetres"},
		{4.572, "ft", .3048, "centimetres taken for inches"},
		{10, "", .17, ""},
		{500, "", .0034, ""},
	} {
		f := Facts{Figure: Figure{Height: row.raw, Factor: 1}}
		f.guess()
		unit := ""
		if f.UnitGuess != nil {
			unit = *f.UnitGuess
		}
		if unit != row.unit || f.Figure.Other != row.other || f.Figure.Factor-row.factor > 1e-12 || row.factor-f.Figure.Factor > 1e-12 {
			t.Errorf("%v: %q × %v %q, want %q × %v %q", row.raw, unit, f.Figure.Factor, f.Figure.Other, row.unit, row.factor, row.other)
		}
	}
}

// beast is a plain post among the joints of a four-legged figure, so many metres
// high: the trunk level, hands and feet on the ground.
func beast(metres float64) func() *rig.Rig {
	return func() *rig.Rig {
		r := post(false)
		node := map[string]rig.Node{"": postTop}
		at := map[string][3]float64{"": {}}
		add := func(name, parent string, x, y, z float64) {
			t, p := unitTRS, at[parent]
			t.T = [3]float64{x - p[0], y - p[1], z - p[2]}
			n := rig.Node(len(r.Nodes))
			r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: node[parent], TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None})
			r.Nodes[node[parent]].Children = append(r.Nodes[node[parent]].Children, n)
			node[name], at[name] = n, [3]float64{x, y, z}
		}
		add("pelvis", "", 0, 1, -.5)
		add("spine", "pelvis", 0, 1, 0)
		add("neck", "spine", 0, 1, .5)
		add("head", "neck", 0, 1.1, .7)
		for side, x := range map[string]float64{"left_": .1, "right_": -.1} {
			add(side+"thigh", "pelvis", x, .95, -.5)
			add(side+"shin", side+"thigh", x, .5, -.5)
			add(side+"foot", side+"shin", x, .05, -.5)
			add(side+"upper_arm", "spine", x, .95, .5)
			add(side+"forearm", side+"upper_arm", x, .5, .5)
			add(side+"hand", side+"forearm", x, .05, .5)
		}
		set(r, postTop, func(t *rig.TRS) { t.S = [3]float64{metres / 2, metres / 2, metres / 2} })
		r.SetOrder()
		return r
	}
}

func TestFourLegged(t *testing.T) {
	checktest.Run(t, oddHeight, Measure, []checktest.Row{
		{Name: "just under", Rig: beast(4.99)},
		{Name: "just over", Rig: beast(5.01), Want: []checktest.Want{{Grade: check.Note, Name: "height", Value: 5.01, Tolerance: 1e-5, Joints: []rig.Node{4},
			Subject: "four-legged, 5.01\u00a0m; as centimetres 50.1\u00a0mm"}}},
	})
	f, err := Measure(context.Background(), exam.New(beast(2)()))
	if err != nil {
		t.Fatal(err)
	}
	if f.Figure.Kind != "four-legged" || f.UnitGuess != nil || f.Facing != nil || len(f.Figure.Feet) != 4 {
		t.Errorf("kind %q, unit %v, facing %v, feet %v", f.Figure.Kind, f.UnitGuess, f.Facing, f.Figure.Feet)
	}
}

// A capture's unit is not stated; it is guessed by the height of its joints.
func TestUnitOfCapture(t *testing.T) {
	data, err := os.ReadFile("../../../shared/corpus/models/01_01.bvh")
	if err != nil {
		t.Skip("the folder of real models is not beside this one; the capture is not read")
	}
	r, err := bvh.Read("01_01.bvh", data)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	// 25.6515 high as stored: 1.448 m in units of 1/0.45 inch.
	if f.UnitGuess == nil || *f.UnitGuess != "1/0.45 in" || math.Abs(f.Figure.Height-25.6515) > 1e-4 || !f.Figure.Unstated {
		t.Errorf("unit %v of a height of %v", f.UnitGuess, f.Figure.Height)
	}
}
