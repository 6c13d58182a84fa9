package bridge

import (
	"os"
	"reflect"
	"strings"
	"syscall/js"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// withDecoder hangs what the page's worker has on the test's world: the worker's own text, and
// the program from the folder instead of from the page.
func withDecoder(t *testing.T) {
	t.Helper()
	text, err := os.ReadFile("../../site/js/programs/draco.js")
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile("../../inspect/draco/native/decoder.wasm")
	if err != nil {
		t.Fatal(err)
	}
	js.Global().Call("eval", string(text))
	js.Global().Set("decoderBytes", Array(program))
	js.Global().Set("startDraco", js.Global().Call("eval", "dracoStarter(async () => new WebAssembly.Module(decoderBytes))"))
	t.Cleanup(func() { js.Global().Delete("startDraco") })
}

func read(t *testing.T, name string) (*rig.Rig, error) {
	t.Helper()
	data, err := os.ReadFile("../../inspect/gltfio/testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if at := strings.Index(string(data), "DRACO"); strings.HasPrefix(name, "figure-draco-exact") && t.Name() == "TestDracoDamage" {
		data[at+len("DRACO")+6] = 0xFF // more triangles than there are bytes
	}
	return gltfio.Read([]gltfio.File{{Name: "m.glb", Data: data}}, gltfio.Options{Draco: StartDraco})
}

// The browser's own WebAssembly decodes what the command line's does: the figure that was
// packed without rounding reads as the plain one, again and again.
func TestDraco(t *testing.T) {
	withDecoder(t)
	want, err := read(t, "figure.glb")
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		got, err := read(t, "figure-draco-exact.glb")
		if err != nil {
			t.Fatal(err)
		}
		for i := range want.Meshes {
			for k := range want.Meshes[i].Primitives {
				got.Meshes[i].Primitives[k].Array, got.Meshes[i].Primitives[k].Slack = want.Meshes[i].Primitives[k].Array, 0
			}
		}
		if !reflect.DeepEqual(got.Meshes, want.Meshes) {
			t.Error("another figure")
		}
	}
}

// What breaks off or throws in there is an error with the place, and the next file works.
func TestDracoDamage(t *testing.T) {
	withDecoder(t)
	if _, err := read(t, "figure-draco-exact.glb"); err == nil || !strings.Contains(err.Error(), `mesh 0 "tube", primitive 0`) && !strings.Contains(err.Error(), `mesh 1 "box", primitive 0`) {
		t.Errorf("%v", err)
	}
	if _, err := read(t, "figure-draco.glb"); err != nil {
		t.Errorf("the next file: %v", err)
	}
	p, err := StartDraco(17 << 20)
	if err != nil {
		t.Fatal(err)
	}
	if at, err := p.Call("Qb", 64<<20); at != 0 && err == nil { // malloc
		t.Error("it took more memory than it was given")
	}
	if _, err := p.Read(1<<31, 16); err == nil {
		t.Error("bytes outside its memory were read")
	}
	if _, err := p.Call("nothing"); err == nil {
		t.Error("what it does not export was called")
	}
}

// Where the page cannot hand the program over, the file opens all the same and says why.
func TestNoDraco(t *testing.T) {
	r, err := read(t, "figure-draco-exact.glb")
	if err != nil || !strings.Contains(strings.Join(r.Remarks, " "), "(their decoder is not at hand): 2 parts are left empty") {
		t.Errorf("%v %v", err, r)
	}
	js.Global().Set("startDraco", js.Global().Call("eval", "async () => { throw new Error('the server answers 404'); }"))
	defer js.Global().Delete("startDraco")
	if r, err = read(t, "figure-draco-exact.glb"); err != nil || !strings.Contains(strings.Join(r.Remarks, " "), "(their decoder cannot be loaded: the server answers 404)") {
		t.Errorf("%v %v", err, r.Remarks)
	}
}
