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
			r := checktest.Built(lamplighter.Options{})
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
