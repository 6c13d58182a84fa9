package gltfio

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// corpus is a folder of real models with outside answers; it is not part of the
// project, and everything that needs it is skipped without it.
const corpus = "../../../shared/corpus"

// oracle is the part of an outside answer that a reader is responsible for.
type oracle struct {
	File struct {
		Bytes     int64
		Kind      string
		Generator *string
		Version   string
		Used      []string `json:"extensions_used"`
		Required  []string `json:"extensions_required"`
	}
	Intake struct {
		Vertices, Triangles, Surfaces, Primitives, Skins, Joints, Nodes, Clips, Materials, Images int
		Sizes                                                                                     [][2]int                                  `json:"image_sizes"`
		TextureBytes                                                                              int                                       `json:"texture_bytes_decoded"`
		Outside                                                                                   []int                                     `json:"nodes_outside_default_scene"`
		OffUnit                                                                                   float64                                   `json:"largest_off_unit_rest_rotation"`
		List                                                                                      []struct{ Node, Primitive, Vertices int } `json:"surface_list"`
	}
	Motion struct {
		Clips []struct {
			Name     string
			Seconds  float64
			FirstKey float64 `json:"first_key"`
			Channels int
		}
	}
}

func corpusModels(t testing.TB) []string {
	paths, _ := filepath.Glob(corpus + "/models/*.gl*")
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository: nothing is compared with outside answers here")
	}
	return paths
}

func openPath(t testing.TB, path string) *rig.Rig {
	t.Helper()
	r, err := ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestCorpus(t *testing.T) {
	for _, path := range corpusModels(t) {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			r := openPath(t, path)
			raw, err := os.ReadFile(corpus + "/oracle/" + strings.TrimSuffix(name, filepath.Ext(name)) + ".json")
			if err != nil {
				t.Skip(err)
			}
			var o oracle
			if err := json.Unmarshal(raw, &o); err != nil {
				t.Fatal(err)
			}
			for _, m := range r.Malformed {
				t.Logf("malformed: %s: %s", m.Place, m.What)
			}
			for _, m := range r.Remarks {
				t.Logf("remark: %s", m)
			}
			equal := func(what string, got, want any) {
				t.Helper()
				if got != want {
					t.Errorf("%s: got %v, want %v", what, got, want)
				}
			}
			vertices, triangles, primitives := 0, 0, 0
			var list []struct{ Node, Primitive, Vertices int }
			for _, s := range r.Surfaces {
				m := &r.Meshes[s.Mesh]
				vertices += m.Vertices()
				triangles += len(m.Triangles) / 3
				primitives += len(m.Primitives)
				for p := range m.Primitives {
					list = append(list, struct{ Node, Primitive, Vertices int }{int(s.Node), p, m.Primitives[p].Count})
				}
			}
			joints := map[rig.Node]bool{}
			for _, s := range r.Skins {
				for _, j := range s.Joints {
					joints[j] = true
				}
			}
			texture := 0
			for i, m := range r.Images {
				texture += m.Width * m.Height * 4
				if i < len(o.Intake.Sizes) {
					equal("image size", [2]int{m.Width, m.Height}, o.Intake.Sizes[i])
				}
			}
			in := o.Intake
			equal("bytes", r.File.Bytes, o.File.Bytes)
			equal("kind", r.File.Kind, o.File.Kind)
			equal("version", r.File.Version, o.File.Version)
			if o.File.Generator != nil {
				equal("generator", r.File.Generator, *o.File.Generator)
			}
			equal("used", strings.Join(r.File.Used, " "), strings.Join(o.File.Used, " "))
			equal("required", strings.Join(r.File.Required, " "), strings.Join(o.File.Required, " "))
			equal("vertices", vertices, in.Vertices)
			equal("triangles", triangles, in.Triangles)
			equal("surfaces", len(r.Surfaces), in.Surfaces)
			equal("primitives", primitives, in.Primitives)
			equal("skins", len(r.Skins), in.Skins)
			equal("joints", len(joints), in.Joints)
			equal("nodes", len(r.Nodes), in.Nodes)
			equal("clips", len(r.Clips), in.Clips)
			equal("materials", len(r.Materials), in.Materials)
			equal("images", len(r.Images), in.Images)
			equal("texture bytes", texture, in.TextureBytes)
			for i, s := range in.List {
				if i < len(list) {
					equal("surface list", list[i], s)
				}
			}
			outside := 0
			for _, shown := range r.IsShown() {
				if !shown {
					outside++
				}
			}
			equal("nodes outside the scene", outside, len(in.Outside))
			for i, c := range o.Motion.Clips {
				if i >= len(r.Clips) {
					break
				}
				equal("clip name", r.Clips[i].Name, c.Name)
				equal("clip channels", len(r.Clips[i].Channels), c.Channels)
				if d := math.Abs(r.Clips[i].Seconds - c.Seconds); d > 1e-6*(1+c.Seconds) {
					t.Errorf("clip %d: %g s, want %g", i, r.Clips[i].Seconds, c.Seconds)
				}
				if d := math.Abs(r.Clips[i].Start - c.FirstKey); d > 1e-6*(1+c.Seconds) {
					t.Errorf("clip %d: first key %g s, want %g", i, r.Clips[i].Start, c.FirstKey)
				}
			}
		})
	}
}
