package skeleton

import (
	"fmt"
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Both sides of the limits, in the sample: what is just under is not named. Sizes
// come from what was planted, not from the measure.
func TestBothSides(t *testing.T) {
	node := lamplighter.Node
	at := func(name string) int { return int(node(name)) }
	elbow, head, forearm := at("lowerArm_L"), at("head"), 0.269
	for _, row := range []struct {
		id, name string
		plant    func(*rig.Rig) lamplighter.Planted
		grade    check.Grade // 0: clear
	}{
		{"skeleton/uneven-pair", "0.9 % of the forearm", lamplighter.MoveJoint(elbow, 0.009*forearm), 0},
		{"skeleton/uneven-pair", "1.1 %", lamplighter.MoveJoint(elbow, 0.011*forearm), check.Note},
		{"skeleton/uneven-pair", "4.9 %", lamplighter.MoveJoint(elbow, 0.049*forearm), check.Note},
		{"skeleton/uneven-pair", "5.1 %", lamplighter.MoveJoint(elbow, 0.051*forearm), check.Flaw},
		{"skeleton/off-centre", "20 mm of 58", lamplighter.MovePair(elbow, 0, 0, -0.02), 0},
		{"skeleton/rest-pose", "both arms 9.9° down", lamplighter.LowerArms(9.9, 9.9), 0},
		{"skeleton/rest-pose", "both 10.1°", lamplighter.LowerArms(10.1, 10.1), check.Note},
		{"skeleton/rest-pose", "both 19.9°", lamplighter.LowerArms(19.9, 19.9), check.Note},
		{"skeleton/rest-pose", "both 20.1°", lamplighter.LowerArms(20.1, 20.1), 0},
		{"skeleton/rest-pose", "one 4.9°", lamplighter.LowerArms(4.9, 0), 0},
		{"skeleton/rest-pose", "one 5.1°", lamplighter.LowerArms(5.1, 0), check.Note},
		{"skeleton/bind-odd", "head turned 0.02°", lamplighter.Misbind(head, 0, 0.02), 0},
		{"skeleton/bind-odd", "head turned 0.6°", lamplighter.Misbind(head, 0, 0.6), check.Flaw},
		{"skeleton/bind-odd", "head 2 mm up of a diagonal of 2.66 m", lamplighter.Misbind(head, 0.002, 0), 0},
		{"skeleton/bind-odd", "head 3 mm up", lamplighter.Misbind(head, 0.003, 0), check.Flaw},
		{"skeleton/proportions", "forearm 5 % longer", lamplighter.MovePair(at("hand_L"), 0.013, 0, 0), 0},
		{"skeleton/scaled-joint", "head 0.05 % larger", lamplighter.ScaleJoint(head, 1.0005), 0},
		{"skeleton/scaled-joint", "head 0.2 % larger", lamplighter.ScaleJoint(head, 1.002), check.Flaw},
		{"skeleton/axes", "forearm rolled 19°", lamplighter.Roll(19), 0},
		{"skeleton/axes", "forearm rolled 21°", lamplighter.Roll(21), check.Flaw},
		{"skeleton/zero-length", "links 1 mm apart", lamplighter.MovePair(at("chain_L_6"), 0, 0.063, 0), 0},
	} {
		t.Run(row.id+" "+row.name, func(t *testing.T) {
			r := lamplighter.Build(lamplighter.Options{})
			row.plant(r)
			found, _ := checktest.Judge(t, &Station, r, nil)
			worst := check.Grade(0)
			for i := range found {
				if found[i].ID == row.id {
					worst = max(worst, found[i].Grade)
				}
			}
			if worst != row.grade {
				t.Errorf("grade %q, want %q", worst, row.grade)
			}
		})
	}
}

// Names folded by hand.
func TestFold(t *testing.T) {
	for name, want := range map[string]string{
		"hand.L": "handl", "rig:Hand_L": "hand_l", "a:b:Foot [1]": "foot_1", " toes ": "toes", "Left Arm": "left_arm",
		"": "", ":": "", "Ärmel": "ärmel", "tail/02": "tail02",
	} {
		if got := fold(name); got != want {
			t.Errorf("%q → %q, want %q", name, got, want)
		}
	}
}

// Whatever a file holds: an answer, without NaN, the same twice.
func TestDegenerate(t *testing.T) {
	nan := math.NaN()
	for name, plant := range map[string]func(*rig.Rig){
		"no nodes":           func(r *rig.Rig) { *r = rig.Rig{Shown: rig.None} },
		"a skin of nobody":   func(r *rig.Rig) { r.Skins[0].Joints, r.Skins[0].Bind = nil, nil; r.Surfaces[0].Skin = rig.None },
		"all in one place":   func(r *rig.Rig) { squash(r, 0) },
		"joints in no place": func(r *rig.Rig) { squash(r, nan) },
		"binds of zeros":     func(r *rig.Rig) { fill(r, 0) },
		"binds of NaN":       func(r *rig.Rig) { fill(r, nan) },
		"binds of infinity":  func(r *rig.Rig) { fill(r, math.Inf(1)) },
		"no weights":         func(r *rig.Rig) { clear(r.Meshes[0].Weights) },
		"indices too large": func(r *rig.Rig) {
			for i := range r.Meshes[0].Joints {
				r.Meshes[0].Joints[i] = 999
			}
		},
		"no triangles":  func(r *rig.Rig) { r.Meshes[0].Triangles = nil },
		"places of NaN": func(r *rig.Rig) { r.Meshes[0].Positions[0] = float32(nan) },
		"a wrong row":   func(r *rig.Rig) { r.Skins[0].BindRow = make([]float64, 4*len(r.Skins[0].Joints)) },
		"scale of NaN":  func(r *rig.Rig) { r.Nodes[4].S[0], r.Nodes[4].Matrix[0] = nan, nan },
		"a node of NaN": func(r *rig.Rig) { r.Nodes[4].Matrix = rig.Affine{nan, nan, nan, nan} },
		"equal names":   func(r *rig.Rig) { named(r, "left hand") },
		"odd names":     func(r *rig.Rig) { named(r, "\xff\xfe::[") },
		"declared badly": func(r *rig.Rig) {
			r.Humanoid = rig.Humanoid{Version: "0", Bones: map[string]rig.Node{"hips": 9999, "x": 1, "spine": -1}}
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := lamplighter.Build(lamplighter.Options{})
			plant(r)
			r.SetOrder()
			a, _ := checktest.Judge(t, &Station, r, nil)
			b, _ := checktest.Judge(t, &Station, r, nil)
			if told(a) != told(b) {
				t.Error("two examinations differ")
			}
		})
	}
}

// told is all that findings say, places followed.
func told(found []check.Finding) (s string) {
	for i := range found {
		f := &found[i]
		s += fmt.Sprint(f.ID, f.Grade, f.Title, f.Subject, f.Measures, f.Why, f.Remedy, f.Where.Joints, f.Where.Nodes, f.Where.Extent)
		if p := f.Where.Point; p != nil {
			s += fmt.Sprint(*p)
		}
	}
	return s
}

func squash(r *rig.Rig, v float64) {
	for i := range r.Nodes {
		r.Nodes[i].Matrix[3], r.Nodes[i].Matrix[7], r.Nodes[i].Matrix[11] = v, v, v
	}
}

func fill(r *rig.Rig, v float64) {
	for k := range r.Skins[0].Bind {
		for i := range r.Skins[0].Bind[k] {
			r.Skins[0].Bind[k][i] = v
		}
	}
}

func named(r *rig.Rig, name string) {
	for i := range r.Nodes {
		r.Nodes[i].Name = name
	}
}

// A long flat skin: what looks at pairs must not look at all of them.
func BenchmarkManyJoints(b *testing.B) {
	for _, n := range []int{1000, 4000, 16000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := lamplighter.Build(lamplighter.Options{})
			add(r, n)
			for b.Loop() {
				measured(b, r)
			}
		})
	}
}

// add hangs n joints on the hips at once.
func add(r *rig.Rig, n int) {
	for i := range n {
		t := rig.TRS{T: [3]float64{float64(i) * 1e-3, 0, 0.1}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		k := rig.Node(len(r.Nodes))
		r.Nodes = append(r.Nodes, rig.NodeData{Name: fmt.Sprintf("k%d", i), Parent: 0, TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None})
		r.Nodes[0].Children = append(r.Nodes[0].Children, k)
		r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, k), append(r.Skins[0].Bind, rig.Identity)
	}
	r.SetOrder()
}

func BenchmarkMeasure(b *testing.B) {
	for _, n := range []int{10_000, 100_000, 1_000_000} {
		r := lamplighter.Build(lamplighter.Options{Vertices: n})
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				measured(b, r)
			}
		})
	}
}
