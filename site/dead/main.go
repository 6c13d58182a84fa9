// Command dead names the functions that no program of the project reaches: neither those
// that run natively nor those in WebAssembly. It fails where there are any. What only
// tests call belongs into a test file, or into checktest.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// analyser works out from the main functions on what can be called (rapid type
// analysis, Bacon and Sweeney 1996).
const analyser = "golang.org/x/tools/cmd/deadcode@v0.37.0"

// programs are the main packages, by where they run. An empty entry of env keeps what
// is set.
var programs = []struct {
	env  []string
	list []string
}{
	{nil, []string{"./inspect/cmd/...", "./site/..."}},
	{[]string{"GOOS=js", "GOARCH=wasm"}, []string{"./wasm/..."}},
}

// kept stays although no program reaches it: a function, or a whole package, and why.
var kept = map[string]string{
	"rigloupe/inspect/lamplighter Node":        "tests of every station name a joint by it",
	"rigloupe/inspect/deform Gradient":         "the other way to a stretch, for tests of deform, bends and motion",
	"rigloupe/inspect/deform flat":             "as Gradient",
	"rigloupe/inspect/deform Principal":        "as Gradient",
	"rigloupe/viewer/camera Look":              "tests of camera, marks and scene stand before a figure by it",
	"rigloupe/inspect/check Station.Blank":     "saved facts are read into it, to be judged later",
	"rigloupe/inspect/follow Chains.DeepestIn": "tests of follow and mend look by it how deep chains get",
	"rigloupe/inspect/rounds":                  "which rounds of a test run",
	"rigloupe/wasm/wire":                       "its test prints the page's types",
}

// function is one that a run does not reach.
type function struct{ Package, Name, Place string }

func main() {
	log.SetFlags(0)
	log.SetPrefix("dead: ")
	tool, err := build()
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(tool[:strings.LastIndexByte(tool, '/')])
	var runs []run
	for _, p := range programs {
		r, err := look(tool, p.env, p.list)
		if err != nil {
			log.Fatal(err)
		}
		runs = append(runs, r)
	}
	list := unreached(runs)
	for _, f := range list {
		fmt.Printf("%s: no program reaches %s\n", f.Place, f.Name)
	}
	if len(list) > 0 {
		os.Exit(1)
	}
}

// build compiles the analyser for this machine and answers its path, in a folder of
// its own.
func build() (string, error) {
	dir, err := os.MkdirTemp("", "dead")
	if err != nil {
		return "", err
	}
	c := exec.Command("go", "install", analyser)
	c.Env, c.Stderr = append(os.Environ(), "GOBIN="+dir, "GOFLAGS=-trimpath"), os.Stderr
	return dir + "/deadcode", c.Run()
}

// run is what one kind of program is made of and does not reach.
type run struct {
	packages map[string]bool
	dead     []function
}

func look(tool string, env, list []string) (r run, err error) {
	out, err := output(env, tool, append([]string{"-json"}, list...)...)
	if err != nil {
		return r, err
	}
	var packages []struct {
		Path  string
		Funcs []struct {
			Name      string
			Generated bool
			Position  struct {
				File string
				Line int
			}
		}
	}
	if err := json.Unmarshal(out, &packages); err != nil {
		return r, err
	}
	for _, p := range packages {
		for _, f := range p.Funcs {
			if !f.Generated && !strings.Contains(f.Position.File, "node_modules") {
				r.dead = append(r.dead, function{p.Path, f.Name, fmt.Sprintf("%s:%d", f.Position.File, f.Position.Line)})
			}
		}
	}
	deps, err := output(env, "go", append([]string{"list", "-deps"}, list...)...)
	r.packages = map[string]bool{}
	for _, p := range strings.Fields(string(deps)) {
		r.packages[p] = true
	}
	return r, err
}

func output(env []string, name string, args ...string) ([]byte, error) {
	c := exec.Command(name, args...)
	var out bytes.Buffer
	c.Env, c.Stdout, c.Stderr = append(os.Environ(), env...), &out, os.Stderr
	err := c.Run()
	return out.Bytes(), err
}

// unreached are the functions that no run reaches: dead wherever their package is part
// of the programs.
func unreached(runs []run) (out []function) {
	for i, r := range runs {
		for _, f := range r.dead {
			alive := false
			for k, other := range runs {
				alive = alive || k != i && other.packages[f.Package] && !slices.Contains(other.dead, f)
			}
			if kept[f.Package] != "" || kept[f.Package+" "+f.Name] != "" {
				continue
			}
			if !alive && !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	return out
}
