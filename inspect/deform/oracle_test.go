package deform_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// outside is what another program, written from the standard alone in another
// language and in float64, works out for a model.
type outside struct {
	File       struct{ Name string }
	Intake     struct{ Diagonal float64 }
	RestPoints struct {
		Indices []int
		Points  [][3]float64
	} `json:"rest_points"`
	Motion struct {
		Indices []int `json:"pose_point_indices"`
		Poses   []struct {
			Clip   rig.Clip
			Time   float64
			Joints [][4]float64 // node, x y z
			Points [][3]float64
			Min    [3]float64
			Max    [3]float64
		}
	}
}

// Rest and posed points and joints of real models, against that program, within
// 1e-5 of the model's diagonal.
func TestOutsidePoses(t *testing.T) {
	const shelf = "../../../shared/corpus"
	sheets, _ := filepath.Glob(shelf + "/oracle/*.json")
	if len(sheets) == 0 {
		t.Skip("the real models and the other program's answers are not beside this folder")
	}
	poses := 0
	for _, sheet := range sheets {
		var want outside
		text, err := os.ReadFile(sheet)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &want); err != nil {
			t.Fatal(sheet, err)
		}
		if strings.HasSuffix(want.File.Name, ".bvh") {
			continue // not a glTF file; it has a reader of its own
		}
		t.Run(want.File.Name, func(t *testing.T) {
			r, err := gltfio.ReadFS(os.DirFS(shelf+"/models"), want.File.Name, gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			var surfaces []*deform.Deformer
			total := 0
			for i := range r.Surfaces {
				surfaces = append(surfaces, deform.NewDeformer(r, i))
				total += len(r.Meshes[r.Surfaces[i].Mesh].Positions)
			}
			p, all := deform.NewPose(r), make([]float32, total)
			slack := 1e-5 * want.Intake.Diagonal
			far := func(what string, got []float32, want [3]float64) {
				for a := range 3 {
					if d := math.Abs(float64(got[a]) - want[a]); !(d <= slack) {
						t.Errorf("%s: %v, want %v", what, got[:3], want)
						return
					}
				}
			}
			carry := func() {
				at := 0
				for i, d := range surfaces {
					n := len(r.Meshes[r.Surfaces[i].Mesh].Positions)
					d.Apply(p, deform.Linear, all[at:at+n], nil, nil, nil)
					at += n
				}
			}
			carry()
			if len(want.RestPoints.Indices) == 0 {
				t.Error("no rest points to compare with")
			}
			for i, v := range want.RestPoints.Indices {
				far("rest", all[3*v:], want.RestPoints.Points[i])
			}
			for _, pose := range want.Motion.Poses {
				poses++
				p.Sample(pose.Clip, pose.Time)
				carry()
				for i, v := range want.Motion.Indices {
					far("posed", all[3*v:], pose.Points[i])
				}
				for _, j := range pose.Joints {
					o := p.World[int(j[0])].Origin()
					far("joint", []float32{float32(o[0]), float32(o[1]), float32(o[2])}, [3]float64(j[1:]))
				}
				lo, hi := [3]float32{}, [3]float32{}
				for a := range 3 {
					lo[a], hi[a] = all[a], all[a]
				}
				for v := 0; v < len(all); v += 3 {
					for a := range 3 {
						lo[a], hi[a] = min(lo[a], all[v+a]), max(hi[a], all[v+a])
					}
				}
				far("smallest", lo[:], pose.Min)
				far("largest", hi[:], pose.Max)
			}
		})
	}
	if poses < 50 {
		t.Errorf("only %d poses were compared", poses)
	}
}
