package inspect

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// module is the path in go.mod.
const module = "rigloupe/"

// allowed says what each package may import of ours: nothing points upwards. A
// name ending in /… stands for all below. Programs (main packages) may import
// anything.
var allowed = map[string][]string{
	"inspect/space":           {},
	"inspect/rig":             {"inspect/ceiling", "inspect/space"},
	"inspect/panics":          {},
	"inspect/rounds":          {},
	"inspect/hostile":         {},
	"inspect/ceiling":         {},
	"inspect/decimal":         {},
	"inspect/meshopt":         {},
	"inspect/draco":           {"inspect/ceiling"},
	"inspect/draco/native":    {"inspect/draco"},
	"inspect/gltfio":          {"inspect/meshopt", "inspect/draco", "inspect/ceiling", "inspect/decimal", "inspect/say", "inspect/panics", "inspect/rig"},
	"inspect/weld":            {"inspect/decimal", "inspect/space", "inspect/geom"},
	"inspect/mend":            {"inspect", "inspect/…"},
	"inspect/mend/mendtest":   {"inspect/rig", "inspect/gltfio", "inspect/original", "inspect/exam"},
	"inspect/paper":           {"inspect", "inspect/check", "inspect/say"},
	"inspect/report":          {"inspect", "inspect/…"},
	"inspect/proof":           {"inspect", "inspect/check", "inspect/mend", "inspect/paper", "inspect/say"},
	"inspect/bvh":             {"inspect/ceiling", "inspect/decimal", "inspect/say", "inspect/space", "inspect/rig", "inspect/deform"},
	"inspect/match":           {"inspect/say", "inspect/space", "inspect/cells", "inspect/rig", "inspect/anatomy"},
	"inspect/carry":           {"inspect/space", "inspect/rig", "inspect/deform", "inspect/anatomy", "inspect/check", "inspect/exam", "inspect/gait", "inspect/match", "inspect/motion", "inspect/say"},
	"inspect/gait":            {"inspect/space"},
	"inspect/geom":            {"inspect/space"},
	"inspect/solve":           {},
	"inspect/simplify":        {"inspect/space"},
	"inspect/bind":            {"inspect/space", "inspect/geom", "inspect/solve"},
	"inspect/part":            {"inspect/space", "inspect/geom", "inspect/solve", "inspect/bind"},
	"inspect/weights":         {"inspect/geom", "inspect/space"},
	"inspect/original":        {"inspect/gltfio", "inspect/rig", "inspect/space"},
	"inspect/cells":           {},
	"inspect/say":             {},
	"inspect/tojson":          {},
	"inspect/deform":          {"inspect/space", "inspect/rig"},
	"inspect/anatomy":         {"inspect/say", "inspect/space", "inspect/rig", "inspect/geom"},
	"inspect/exam":            {"inspect/say", "inspect/space", "inspect/rig", "inspect/geom", "inspect/deform", "inspect/anatomy"},
	"inspect/check":           {"inspect/space", "inspect/rig", "inspect/exam", "inspect/say"},
	"inspect/check/checktest": {"inspect/rounds", "inspect/space", "inspect/rig", "inspect/gltfio", "inspect/exam", "inspect/check", "inspect/lamplighter"},
	"inspect/even":            {"inspect/space", "inspect/rig", "inspect/geom", "inspect/anatomy", "inspect/exam", "inspect/say"},
	"inspect/fit":             {"inspect/geom", "inspect/space"},
	"inspect/follow":          {"inspect/space", "inspect/rig", "inspect/geom", "inspect/deform", "inspect/exam"},
	"inspect/rest":            {"inspect/space", "inspect/rig", "inspect/deform", "inspect/anatomy"},
	"inspect/lamplighter":     {"inspect/space", "inspect/rig", "inspect/geom", "inspect/deform"},
	"inspect/menagerie":       {"inspect/space", "inspect/rig", "inspect/lamplighter"},
	"inspect/intake":          station,
	"inspect/surface":         station,
	"inspect/skeleton":        station,
	"inspect/binding":         station,
	"inspect/bends":           station,
	"inspect/motion":          station,
	"inspect":                 {"inspect/…"},
	"inspect/desk":            {"inspect/draco", "inspect/anatomy", "inspect/rig", "inspect/gltfio", "inspect/original", "inspect/bvh", "inspect/carry", "inspect/match", "inspect/lamplighter", "inspect/mend", "inspect/paper", "inspect/proof", "inspect/report", "inspect/mark", "inspect", "inspect/check", "inspect/say"},
	"inspect/road":            {"inspect", "inspect/check", "inspect/intake", "inspect/mend", "inspect/motion", "inspect/say", "inspect/skeleton"},
	"inspect/lineup":          {"inspect", "inspect/…"},
	"inspect/lesson":          {"inspect", "inspect/…"},
	"inspect/mark":            {"inspect/say"},
	"inspect/compare":         {"inspect", "inspect/check", "inspect/say"},
	"inspect/junit":           {"inspect", "inspect/check"},
	"viewer/raster":           {},
	"viewer/ramp":             {},
	"viewer/texels":           {"inspect/ceiling"},
	"viewer/camera":           {"inspect/space", "viewer/raster"},
	"viewer/marks":            {"viewer/raster", "viewer/camera", "viewer/ramp"},
	"viewer/scene":            {"inspect/ceiling", "inspect/say", "inspect/space", "inspect/rig", "inspect/deform", "inspect/geom", "inspect/anatomy", "viewer/…"},
	"viewer/found":            {"inspect", "inspect/…", "viewer/scene", "viewer/marks"},
	"viewer/plates":           {"inspect", "inspect/…", "viewer/…"},
	"wasm/flat":               {},
	"wasm/heap":               {},
	"wasm/wire":               {},
	"site/e2e":                {},
	"wasm/bridge":             {"inspect", "inspect/…", "viewer/…", "wasm/flat"},
	"wasm/stage":              {"inspect/panics", "inspect/rig", "viewer/…", "wasm/bridge", "wasm/flat", "wasm/heap"},
}

// station is what every station may import; stations do not import each other.
var station = []string{"inspect/cells", "inspect/check", "inspect/decimal", "inspect/exam", "inspect/anatomy", "inspect/deform", "inspect/gait", "inspect/geom", "inspect/rig", "inspect/say", "inspect/space"}

// forbidden is what the engine keeps out: it reads and writes what it is given
// and nothing else.
var forbidden = []string{"syscall/js", "os", "net", "net/http", "log", "github.com/hajimehoshi/ebiten"}

func TestImportsPointOneWay(t *testing.T) {
	seen := map[string]bool{}
	walk(t, func(dir, file string, imports []string, isMain bool) {
		seen[dir] = true
		rules, known := allowed[dir]
		if !known && !isMain {
			t.Errorf("package %s is not in the table of imports_test.go; add it with what it may import", dir)
			return
		}
		for _, i := range imports {
			if strings.HasPrefix(dir, "inspect") && !isMain && dir != "inspect/check/checktest" && dir != "inspect/rounds" { // for tests: real models, which form runs
				for _, f := range forbidden {
					if i == f || strings.HasPrefix(i, f+"/") && f != "os" && f != "net" && f != "log" {
						t.Errorf("%s imports %s: the engine does not", file, i)
					}
				}
			}
			if own, ours := strings.CutPrefix(i, module); ours && !isMain && !permitted(rules, own) {
				t.Errorf("%s imports %s: a new arrow; %s may import %v", file, own, dir, rules)
			}
			if (strings.Contains(i, "wazero") && dir != "inspect/draco/native") || (strings.HasSuffix(i, "inspect/draco/native") && dir != "inspect/cmd/rigloupe") {
				t.Errorf("%s imports %s: a browser runs the decoder by itself, only the command line links what runs it", file, i)
			}
			if strings.Contains(i, "ebiten") && dir != "wasm/gpu" {
				t.Errorf("%s imports %s: only wasm/gpu does", file, i)
			}
		}
	})
	for dir := range allowed {
		if !seen[dir] {
			t.Errorf("the table of imports_test.go names %s, which does not exist", dir)
		}
	}
}

// TestNoInit keeps the engine free of work done by an import.
func TestNoInit(t *testing.T) {
	walk(t, func(dir, file string, _ []string, isMain bool) {
		if isMain {
			return
		}
		data, err := os.ReadFile(filepath.Join("..", file))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(data), "\nfunc init()") {
			t.Errorf("%s has an init function", file)
		}
	})
}

func permitted(rules []string, own string) bool {
	return slices.ContainsFunc(rules, func(r string) bool {
		if stem, all := strings.CutSuffix(r, "…"); all {
			return strings.HasPrefix(own, stem)
		}
		return own == r
	})
}

// walk visits every Go file of the module that is no test.
func walk(t *testing.T, visit func(dir, file string, imports []string, isMain bool)) {
	t.Helper()
	root := os.DirFS("..")
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || d.Name() == "node_modules" || d.Name() == "dist" || strings.HasPrefix(d.Name(), ".") && name != ".") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		data, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, data, parser.ImportsOnly)
		if err != nil {
			return err
		}
		var imports []string
		for _, i := range f.Imports {
			imports = append(imports, strings.Trim(i.Path.Value, `"`))
		}
		visit(path.Dir(name), name, imports, f.Name.Name == "main")
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
