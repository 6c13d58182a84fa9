package mend

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// bare is a figure without its skeleton: nodes, skin and clips are gone.
func bare(r *rig.Rig) *rig.Rig { return bareOf(r, exam.New(r).Body()) }

func bareOf(r *rig.Rig, surfaces []int) *rig.Rig {
	whole := exam.New(r)
	out := &rig.Rig{File: r.File, Materials: r.Materials, Images: r.Images}
	scene := rig.Scene{}
	for _, s := range surfaces {
		m := r.Meshes[r.Surfaces[s].Mesh]
		m.Positions = append([]float32{}, whole.WholePositions(s)...)
		m.K, m.Joints, m.Weights = 0, nil, nil
		m.Primitives = append([]rig.PrimitiveData{}, m.Primitives...)
		for i := range m.Primitives {
			p := &m.Primitives[i]
			p.Sets, p.JointSets, p.WeightSets, p.JointType, p.WeightType, p.WeightSums = 0, 0, 0, 0, 0, nil
		}
		m.Remeasure()
		n := rig.Node(len(out.Nodes))
		d := rig.NodeData{Name: r.Nodes[r.Surfaces[s].Node].Name, Parent: rig.None, Mesh: rig.Mesh(len(out.Meshes)), Skin: rig.None}
		d.TRS = rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		d.Matrix = d.TRS.Affine()
		out.Nodes = append(out.Nodes, d)
		out.Meshes = append(out.Meshes, m)
		out.Surfaces = append(out.Surfaces, rig.Surface{Node: n, Mesh: d.Mesh, Skin: rig.None})
		scene.Roots = append(scene.Roots, n)
	}
	out.Scenes = []rig.Scene{scene}
	out.SetOrder()
	return out
}

// A stripped person gets a skeleton whose every joint has its role, where the one that is
// gone stood (within 4 % of the height); the surface keeps every byte, nothing is planted,
// and the file can be mended on.
func TestFit(t *testing.T) {
	was := menagerie.Person(menagerie.Options{})
	s := ofRig(t, bare(was))
	x := try(t, s, "fit", nil)
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	receipt := prove(t, x)
	if !receipt.Kept || len(receipt.Planted) > 0 || receipt.Moved.Count > 0 || len(receipt.Bytes.Rewritten) > 0 {
		t.Errorf("%s, %+v, moved %d", receipt.Sentence(), receipt.Bytes, receipt.Moved.Count)
	}
	t.Log(receipt.Sentence(), receipt.Says, receipt.Revealed)
	before, after := exam.New(was), exam.New(x.After.Rig)
	worldWas, worldIs := was.RestWorld(), x.After.Rig.RestWorld()
	n := 0
	for i, a := range before.Roles().Of {
		if a.Role == "" {
			continue
		}
		k := after.Roles().Node(a.Role)
		if k < 0 {
			t.Errorf("no joint is %s", a.Role)
			continue
		}
		if x.After.Rig.Nodes[k].Name != a.Role {
			t.Errorf("%s is called %q", a.Role, x.After.Rig.Nodes[k].Name)
		}
		if d := worldIs[k].Origin().Sub(worldWas[i].Origin()).Len(); d > .04*before.Height() {
			t.Errorf("%s is off by %.3f m", a.Role, d)
		}
		n++
	}
	if n != 21 || len(x.After.Rig.Skins) != 1 || len(x.After.Rig.Skins[0].Joints) != 21 {
		t.Errorf("%d roles, %d skins", n, len(x.After.Rig.Skins))
	}
	// Bind matrices undo the joints: at rest they move nothing.
	skin := &x.After.Rig.Skins[0]
	for j, node := range skin.Joints {
		if m := worldIs[node].Mul(&skin.Bind[j]); m.Origin().Len() > 1e-6 {
			t.Errorf("joint %d moves the surface by %g m", j, m.Origin().Len())
		}
	}
	if again := try(t, x.After, "weld", Values{}); again.After == nil && again.Refused() == "" {
		t.Error("the file cannot be mended on")
	}
	if y := try(t, s, "fit", nil); string(y.After.Bytes) != string(x.After.Bytes) {
		t.Error("twice the same gives other bytes")
	}
}

// Real figures without their skeletons, as files: the joints stand where their makers put
// them, within 5 % of the height on the mean, whichever way the figure faces; the knight also with all
// that he holds and wears, where that is left out by name.
func TestFitCorpus(t *testing.T) {
	for _, row := range []struct {
		name string
		all  bool
		most float64
	}{
		{"robot.glb", false, 5}, {"cesium_man.gltf", false, 5}, {"Knight.glb", false, 5}, {"Knight.glb", true, 5}, {"Fox.glb", false, 12},
	} {
		t.Run(row.name, func(t *testing.T) {
			was := corpusState(t, row.name).Rig
			e := exam.New(was)
			surfaces := e.Body()
			if row.all {
				surfaces = e.Shown()
			}
			v := Values{}
			if row.all {
				var gear []string
				for _, i := range e.Gear() {
					gear = append(gear, surfaceName(was, i))
				}
				v["without"] = gear
			}
			x := try(t, ofRig(t, bareOf(was, surfaces)), "fit", v)
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if !receipt.Kept {
				t.Error(receipt.Sentence())
			}
			t.Log(receipt.Sentence(), receipt.Says)
			worldWas, worldIs := was.RestWorld(), x.After.Rig.RestWorld()
			sum, n := 0.0, 0.0
			for i, a := range e.Roles().Of {
				if k, err := findNode(x.After.Rig, a.Role); a.Role != "" && err == nil {
					sum, n = sum+worldIs[k].Origin().Sub(worldWas[i].Origin()).Len()/e.Height(), n+1
				}
			}
			if mean := 100 * sum / n; n < 5 || mean > row.most {
				t.Errorf("%.1f %% of the height off on the mean of %.0f joints", mean, n)
			} else {
				t.Logf("%.1f %% of the height off on the mean of %.0f joints", mean, n)
			}
		})
	}
}

// Points are taken as they are, on both sides, from either side; hips at the fork are
// lower than at the belt.
func TestFitPoints(t *testing.T) {
	s := ofRig(t, bare(menagerie.Person(menagerie.Options{})))
	x := try(t, s, "fit", Values{"points": map[string]any{"elbow": "-0.44, 1.40, 0.01", "knee": "0.11 0.47 0.02"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	place := func(x *Trial, name string) space.Vec {
		n, err := findNode(x.After.Rig, name)
		if err != nil {
			t.Fatal(err)
		}
		return x.After.Rig.RestWorld()[n].Origin()
	}
	for name, want := range map[string]space.Vec{"leftLowerArm": {.44, 1.40, .01}, "rightLowerArm": {-.44, 1.40, .01}, "leftLowerLeg": {.11, .47, .02}, "rightLowerLeg": {-.11, .47, .02}} {
		if d := place(x, name).Sub(want).Len(); d > .004 { // half a cube: where the mirror plane lies
			t.Errorf("%s is off by %.3f m", name, d)
		}
	}
	fork := try(t, s, "fit", Values{"hips": "at the fork"})
	if a, b := place(fork, "hips")[1], place(x, "hips")[1]; a > .83 || a < .77 || b < .87 || b > .97 {
		t.Errorf("hips at %.3f at the fork (legs part at 0.80), at %.3f at the belt", a, b)
	}
}

// What cannot be done rightly is refused with words that say what to do.
func TestFitRefuses(t *testing.T) {
	box := menagerie.Cart(menagerie.Options{})
	box.Clips = nil
	ox := bare(menagerie.Ox(menagerie.Options{}))
	person := bare(menagerie.Person(menagerie.Options{}))
	for i, row := range []struct {
		name string
		r    *rig.Rig
		v    Values
		want string
	}{
		{"a coat", bare(lamplighter.Build(lamplighter.Options{})), nil, "A coat or cape hides where the legs part: set the groin."},
		{"a coat, arms down", bare(lamplighter.Build(lamplighter.Options{Pose: lamplighter.A})), nil, "A coat or cape hides where the legs part: set the groin."},
		{"four legs as a person", ox, Values{"kind": "person"}, "It stands on four legs"},
		{"a snake", bare(menagerie.Snake(menagerie.Options{})), Values{"kind": "person"}, "Not a body I know"},
		{"a cart", box, Values{"kind": "person"}, ""},
		{"two legs as four", person, Values{"kind": "four-legged"}, "does not stand on two pairs"},
		{"a bound figure", sample(), nil, "It has a skeleton already."},
		{"no such point", person, Values{"points": map[string]any{"nose": "0 1 0"}}, `There is no point "nose"`},
		{"no number", person, Values{"points": map[string]any{"knee": "0 x 0"}}, `"x" is no number`},
		{"two numbers", person, Values{"points": map[string]any{"knee": "0 1"}}, "want three numbers"},
		{"a knee in the air", person, Values{"points": map[string]any{"knee": "9 1 0"}}, "The knee lies outside"},
		{"an ankle over its knee", person, Values{"points": map[string]any{"knee": ".1 .2 0", "ankle": ".1 .5 0"}}, "The ankle lies outside the figure, or does not fit"},
		{"no such surface", person, Values{"without": []any{"sword"}}, `There is no surface "sword"`},
	} {
		if dear := row.v["points"] == nil; dear && !rounds.Run(i+2, 4) {
			continue
		}
		t.Run(row.name, func(t *testing.T) {
			x := try(t, ofRig(t, row.r), "fit", row.v)
			if x.After != nil || !strings.Contains(x.Refused(), row.want) {
				t.Errorf("%q, want %q", x.Refused(), row.want)
			}
		})
	}
	if _, err := fitSkeleton.Complete(Values{"joints": math.Inf(1)}); err == nil {
		t.Error("endless joints")
	}
}
