package native_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/draco/native"
	"rigloupe/inspect/gltfio"
)

const corpus = "../../../../shared/corpus/models"

// packedBy packs a model by the npm package's encoder.
func packedBy(t *testing.T, model string, ways ...string) []byte {
	t.Helper()
	site, err := filepath.Abs("../../../site")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(site, "node_modules", "draco3dgltf")); err != nil {
		t.Skip("the npm package draco3dgltf is not installed: make ready")
	}
	from, err := filepath.Abs(model)
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "packed.glb")
	c := exec.Command("node", append([]string{"../inspect/draco/testdata/pack.mjs", from, to}, ways...)...)
	c.Dir = site
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// document is all that is told of a model, without what packing is right to change.
func document(t *testing.T, data []byte) map[string]any {
	t.Helper()
	s := desk.Files(gltfio.File{Name: "m.glb", Data: data})
	s.Draco = native.Start
	r, err := s.Open()
	if err != nil {
		t.Fatal(err)
	}
	result, err := inspect.Examine(t.Context(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := result.WriteJSON(&b, false); err != nil {
		t.Fatal(err)
	}
	var v map[string]any
	if err := json.Unmarshal(b.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// Real models that the npm package's encoder packed, in order and without rounding, answer the
// same document as they do unpacked, but for size, extensions and their being packed.
func TestSameFactsPacked(t *testing.T) {
	for _, name := range []string{"Knight.glb", "robot.glb", "Fox.glb", "hand_left.glb", "quad_skin.glb"} {
		t.Run(name, func(t *testing.T) {
			model := filepath.Join(corpus, name)
			plain, err := os.ReadFile(model)
			if err != nil {
				t.Skip("no corpus beside the repository")
			}
			want, got := document(t, plain), document(t, packedBy(t, model, "sequential", "exact"))
			var differ []string
			walk("", want, got, func(at string, a, b any) { differ = append(differ, fmt.Sprintf("%s: %.80v, %.80v", at, a, b)) })
			for _, d := range differ {
				at, _, _ := strings.Cut(d, ":")
				switch at {
				case "/file/bytes", "/file/extensions_used", "/file/extensions_required", "/facts_of/intake/compression", "/facts_of/intake/extensions":
				default:
					if !strings.HasSuffix(at, "/compression") {
						t.Error(d)
					}
				}
			}
			if len(differ) < 3 {
				t.Errorf("nothing says that it came packed: %v", differ)
			}
		})
	}
}

// Rounded to 14 bits, in the encoder's own order, they are told the same stops and, but for
// what rounding does to borders of parts, flaws; the same people of the same height.
func TestSameVerdictRounded(t *testing.T) {
	for _, row := range []struct {
		name string
		more []string // flaws that rounding makes
	}{
		{"Knight.glb", nil},
		{"robot.glb", []string{"surface/near-coincident"}}, // borders of its parts, each rounded on its own, lie .12 mm apart
		{"Fox.glb", nil},
		{"hand_left.glb", nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			model := filepath.Join(corpus, row.name)
			plain, err := os.ReadFile(model)
			if err != nil {
				t.Skip("no corpus beside the repository")
			}
			want, got := document(t, plain), document(t, packedBy(t, model))
			for _, grade := range []string{"stop", "flaw"} {
				has, wanted := titles(got, grade), titles(want, grade)
				for id := range has {
					ok := wanted[id] > 0
					for _, m := range row.more {
						ok = ok || id == m
					}
					if !ok || has[id] != wanted[id] && wanted[id] > 0 {
						t.Errorf("%d × %s %s, %d unpacked", has[id], grade, id, wanted[id])
					}
				}
				for id := range wanted {
					if has[id] == 0 {
						t.Errorf("%s %s is not told any more", grade, id)
					}
				}
			}
		})
	}
}

func titles(doc map[string]any, grade string) map[string]int {
	out := map[string]int{}
	for _, f := range doc["findings"].([]any) {
		if f := f.(map[string]any); f["grade"] == grade {
			out[f["id"].(string)]++
		}
	}
	return out
}

// walk calls differ for each place where two documents differ.
func walk(at string, a, b any, differ func(string, any, any)) {
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		if !ok || len(x) != len(y) {
			differ(at, a, b)
			return
		}
		for k := range x {
			walk(at+"/"+k, x[k], y[k], differ)
		}
	case []any:
		y, ok := b.([]any)
		if !ok || len(x) != len(y) {
			differ(at, a, b)
			return
		}
		for i := range x {
			walk(fmt.Sprintf("%s/%d", at, i), x[i], y[i], differ)
		}
	default:
		if !reflect.DeepEqual(a, b) {
			differ(at, a, b)
		}
	}
}
