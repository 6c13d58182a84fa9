package intake

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// corpus is where real models lie, if they do.
const corpus = checktest.Corpus

// model reads one file of the corpus, with what lies beside it.
func model(t testing.TB, name string) *rig.Rig {
	t.Helper()
	dir := filepath.Join(filepath.FromSlash(corpus), "models")
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Skipf("no corpus here: %v", err)
	}
	files := []gltfio.File{{Name: name, Data: data}}
	if strings.HasSuffix(name, ".gltf") {
		if bin, err := os.ReadFile(filepath.Join(dir, strings.TrimSuffix(name, ".gltf")+".bin")); err == nil {
			files = append(files, gltfio.File{Name: strings.TrimSuffix(name, ".gltf") + ".bin", Data: bin})
		}
	}
	r, err := gltfio.Read(files, gltfio.Options{})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return r
}

var models = []string{"Knight.glb", "robot.glb", "cesium_man.gltf", "Fox.glb", "hand_left.glb", "hand_right.glb", "SimpleSkin.gltf",
	"simple_skin.gltf", "quad_skin.glb", "rigged_simple.gltf", "MorphStressTest.gltf", "interpolation_test.gltf"}

func TestOracle(t *testing.T) {
	for _, name := range models {
		t.Run(name, func(t *testing.T) {
			r := model(t, name)
			stem := strings.TrimSuffix(strings.TrimSuffix(name, ".glb"), ".gltf")
			data, err := os.ReadFile(filepath.Join(filepath.FromSlash(corpus), "oracle", stem+".json"))
			if err != nil {
				t.Skipf("no oracle here: %v", err)
			}
			var o struct {
				Intake struct {
					Vertices            int        `json:"vertices"`
					Triangles           int        `json:"triangles"`
					Surfaces            int        `json:"surfaces"`
					Primitives          int        `json:"primitives"`
					Skins               int        `json:"skins"`
					Joints              int        `json:"joints"`
					Nodes               int        `json:"nodes"`
					Clips               int        `json:"clips"`
					Materials           int        `json:"materials"`
					Images              int        `json:"images"`
					TextureBytesDecoded int64      `json:"texture_bytes_decoded"`
					Min                 [3]float64 `json:"min"`
					Max                 [3]float64 `json:"max"`
					Height              float64    `json:"height"`
					Diagonal            float64    `json:"diagonal"`
					RootScale           [3]float64 `json:"root_scale_with_anchor"`
					Ignored             []struct {
						Node         rig.Node `json:"node"`
						FromIdentity float64  `json:"from_identity"`
					} `json:"mesh_node_transforms_ignored"`
				} `json:"intake"`
			}
			if err := json.Unmarshal(data, &o); err != nil {
				t.Fatal(err)
			}
			f, err := Measure(context.Background(), exam.New(r))
			if err != nil {
				t.Fatal(err)
			}
			w := &o.Intake
			for _, c := range []struct {
				what      string
				got, want any
			}{
				{"vertices", f.Vertices, w.Vertices}, {"triangles", f.Triangles, w.Triangles}, {"surfaces", f.Surfaces, w.Surfaces},
				{"primitives", f.Primitives, w.Primitives}, {"skins", f.Skins, w.Skins}, {"joints", f.Joints, w.Joints},
				{"nodes", f.Nodes, w.Nodes}, {"clips", f.Clips, w.Clips}, {"materials", f.Materials, w.Materials},
				{"images", f.Images, w.Images}, {"texture_bytes_decoded", f.TextureBytesDecoded, w.TextureBytesDecoded},
			} {
				if c.got != c.want {
					t.Errorf("%s = %v, want %v", c.what, c.got, c.want)
				}
			}
			close := func(what string, got, want, tol float64) {
				if !(math.Abs(got-want) <= tol) {
					t.Errorf("%s = %.9g, want %.9g ± %g", what, got, want, tol)
				}
			}
			d := w.Diagonal
			for c := range 3 {
				close("min", f.Min[c], w.Min[c], 1e-6*d)
				close("max", f.Max[c], w.Max[c], 1e-6*d)
				// The oracle takes rotations as stored, up to 1.4e-7 off unit length.
				close("root_scale", f.RootScale[c], w.RootScale[c], 5e-7*w.RootScale[c])
			}
			close("height", f.Height, w.Height, 1e-6*d)
			close("diagonal", f.Diagonal, w.Diagonal, 1e-6*d)
			close("ground_offset", f.GroundOffset, w.Min[1], 1e-6*d)
			want := map[rig.Node]float64{}
			for _, i := range w.Ignored {
				want[i.Node] = i.FromIdentity
			}
			for _, p := range f.PerSurface {
				if p.Ignored != nil {
					close(fmt.Sprintf("node %d from identity", p.Node), p.Ignored.FromIdentity, want[p.Node], 1e-6)
				}
			}
		})
	}
}

// ledger is what the station says of each model, looked at one by one: every line is
// so (go test -run Ledger -v prints the figures).
var ledger = map[string][]string{
	"Knight.glb":           {"note intake/bounds-off"},                                                                                          // sword swings and falls leave the T-pose's box
	"robot.glb":            {"flaw intake/odd-height", "note intake/bounds-off"},                                                                // 4.56 m high
	"cesium_man.gltf":      {"note intake/unapplied-turn", "note intake/ignored-placement", "note intake/facing", "note intake/bounds-off"},     // z-up turned above both; faces +X
	"Fox.glb":              {"note intake/odd-height", "note intake/bounds-off"},                                                                // centimetres; the origin lies below it
	"hand_left.glb":        nil,                                                                                                                 //
	"hand_right.glb":       nil,                                                                                                                 //
	"SimpleSkin.gltf":      {"flaw intake/bounds-off"},                                                                                          // drawn half a metre beside its stored box
	"simple_skin.gltf":     {"flaw intake/bounds-off"},                                                                                          //
	"quad_skin.glb":        {"flaw intake/unapplied-scale", "note intake/unapplied-turn", "note intake/ignored-placement"},                      // 100 above all
	"rigged_simple.gltf":   {"note intake/unapplied-turn", "note intake/ignored-placement", "note intake/off-ground", "note intake/bounds-off"}, // two turns; its middle on the ground
	"MorphStressTest.gltf": {"note intake/off-ground", "note intake/nothing-bound"},                                                             // 0.1 m below
	"interpolation_test.gltf": {"flaw intake/unapplied-scale", "flaw intake/uneven-scale", "note intake/unapplied-turn", "note intake/unapplied-turn", "note intake/unapplied-turn",
		"note intake/off-ground", "note intake/packed", "note intake/nothing-bound"}, // a plane stretched 4.2 by 0.37; a picture that is not there
}

func TestLedger(t *testing.T) {
	for _, name := range models {
		t.Run(name, func(t *testing.T) {
			r := model(t, name)
			found, outcomes := checktest.Judge(t, &Station, r, nil)
			var said []string
			for _, g := range found {
				said = append(said, g.Grade.String()+" "+g.ID)
				t.Logf("%-5s %s: %s | %s | nodes %v joints %v clip %d", g.Grade, g.ID, g.Subject, measures(g.Measures), g.Where.Nodes, g.Where.Joints, g.Where.Clip)
			}
			for _, o := range outcomes {
				if o.State == check.NotLookedAt {
					t.Logf("      %s: not looked at, %s", o.ID, o.Reason)
				}
			}
			if !slices.Equal(said, ledger[name]) {
				t.Errorf("says %q, want %q", said, ledger[name])
			}
		})
	}
}

func measures(all []check.Measure) string {
	var b strings.Builder
	for _, m := range all {
		fmt.Fprintf(&b, "%s %.4g %s; ", m.Name, m.Value, m.Unit)
	}
	return b.String()
}
