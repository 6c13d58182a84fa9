package e2e

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Small files that ask a lot of the page: each is a valid glTF 2.0 file, or nearly.

// heavyFile is a GLB in the making.
type heavyFile struct {
	doc map[string]any
	bin bytes.Buffer
}

func newHeavy() *heavyFile {
	return &heavyFile{doc: map[string]any{"asset": map[string]any{"version": "2.0"}, "scene": 0}}
}

func (f *heavyFile) add(list string, v any) int {
	l, _ := f.doc[list].([]any)
	f.doc[list] = append(l, v)
	return len(l)
}

func (f *heavyFile) view(data any) int {
	for f.bin.Len()%4 != 0 {
		f.bin.WriteByte(0)
	}
	at := f.bin.Len()
	if b, ok := data.([]byte); ok {
		f.bin.Write(b)
	} else {
		binary.Write(&f.bin, binary.LittleEndian, data)
	}
	return f.add("bufferViews", map[string]any{"buffer": 0, "byteOffset": at, "byteLength": f.bin.Len() - at})
}

// array adds an accessor; low and high only for positions.
func (f *heavyFile) array(data any, kind string, component, count int, more map[string]any) int {
	a := map[string]any{"bufferView": f.view(data), "componentType": component, "count": count, "type": kind}
	for k, v := range more {
		a[k] = v
	}
	return f.add("accessors", a)
}

func (f *heavyFile) positions(p []float32) int {
	low, high := []float32{1e9, 1e9, 1e9}, []float32{-1e9, -1e9, -1e9}
	for i, v := range p {
		low[i%3], high[i%3] = min(low[i%3], v), max(high[i%3], v)
	}
	return f.array(p, "VEC3", 5126, len(p)/3, map[string]any{"min": low, "max": high})
}

func (f *heavyFile) write(t testing.TB, name string, roots ...int) string {
	t.Helper()
	for f.bin.Len()%4 != 0 {
		f.bin.WriteByte(0)
	}
	f.doc["buffers"] = []any{map[string]any{"byteLength": f.bin.Len()}}
	f.doc["scenes"] = []any{map[string]any{"nodes": roots}}
	text, err := json.Marshal(f.doc)
	if err != nil {
		t.Fatal(err)
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	var out bytes.Buffer
	for _, v := range []uint32{0x46546c67, 2, uint32(12 + 8 + len(text) + 8 + f.bin.Len()), uint32(len(text)), 0x4e4f534a} {
		binary.Write(&out, binary.LittleEndian, v)
	}
	out.Write(text)
	for _, v := range []uint32{uint32(f.bin.Len()), 0x004e4942} {
		binary.Write(&out, binary.LittleEndian, v)
	}
	out.Write(f.bin.Bytes())
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

var tetra = []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1}
var tetraFaces = []uint16{0, 2, 1, 0, 1, 3, 1, 2, 3, 0, 3, 2}

func (f *heavyFile) tetrahedron(name string) int {
	return f.add("meshes", map[string]any{"name": name, "primitives": []any{map[string]any{
		"attributes": map[string]any{"POSITION": f.positions(tetra)}, "indices": f.array(tetraFaces, "SCALAR", 5123, 12, nil)}}})
}

// heavies are the files by name.
var heavies = map[string]func(t testing.TB) string{
	"instances": func(t testing.TB) string { // one mesh, shown 16,000 times
		f := newHeavy()
		m := f.tetrahedron("stone")
		roots := []int{}
		for i := range 16000 {
			roots = append(roots, f.add("nodes", map[string]any{"mesh": m, "translation": []int{2 * (i % 127), 0, 2 * (i / 127)}}))
		}
		return f.write(t, "instances.glb", roots...)
	},
	"triangles": func(t testing.TB) string { // 100,000 triangles that all cross
		f := newHeavy()
		r := rand.New(rand.NewPCG(1, 2))
		p := make([]float32, 9*100000)
		for i := range p {
			p[i] = r.Float32()
		}
		m := f.add("meshes", map[string]any{"primitives": []any{map[string]any{"attributes": map[string]any{"POSITION": f.positions(p)}}}})
		return f.write(t, "triangles.glb", f.add("nodes", map[string]any{"mesh": m}))
	},
	"pictures": func(t testing.TB) string { // twenty of 8192², a few kB each
		f := newHeavy()
		pos, uv := f.positions(tetra), f.array([]float32{0, 0, 1, 0, 0, 1, 1, 1}, "VEC2", 5126, 4, nil)
		face := f.array(tetraFaces, "SCALAR", 5123, 12, nil)
		var list []any
		for i := range 20 {
			img := image.NewPaletted(image.Rect(0, 0, 8192, 8192), color.Palette{color.RGBA{uint8(12 * i), 90, 60, 255}, color.White})
			var b bytes.Buffer
			if err := png.Encode(&b, img); err != nil {
				t.Fatal(err)
			}
			im := f.add("images", map[string]any{"bufferView": f.view(b.Bytes()), "mimeType": "image/png"})
			tx := f.add("textures", map[string]any{"source": im})
			mat := f.add("materials", map[string]any{"pbrMetallicRoughness": map[string]any{"baseColorTexture": map[string]any{"index": tx}}})
			list = append(list, map[string]any{"attributes": map[string]any{"POSITION": pos, "TEXCOORD_0": uv}, "indices": face, "material": mat})
		}
		return f.write(t, "pictures.glb", f.add("nodes", map[string]any{"mesh": f.add("meshes", map[string]any{"primitives": list})}))
	},
	"name": func(t testing.TB) string { // 10 MB of one name
		f := newHeavy()
		name := strings.Repeat("a long name ", 10<<20/12)
		return f.write(t, "name.glb", f.add("nodes", map[string]any{"name": name, "mesh": f.tetrahedron(name)}))
	},
	"morphs": func(t testing.TB) string { // 5,000 targets
		f := newHeavy()
		face := f.array(tetraFaces, "SCALAR", 5123, 12, nil)
		shift := make([]float32, 12)
		shift[4] = .1
		d := f.positions(shift)
		targets := make([]any, 5000)
		for i := range targets {
			targets[i] = map[string]any{"POSITION": d}
		}
		m := f.add("meshes", map[string]any{"primitives": []any{map[string]any{"attributes": map[string]any{"POSITION": f.positions(tetra)}, "indices": face, "targets": targets}}})
		return f.write(t, "morphs.glb", f.add("nodes", map[string]any{"mesh": m}))
	},
	"joints": func(t testing.TB) string { return ribbon(t, "joints.glb", 5000, false) },
	"chain":  func(t testing.TB) string { return ribbon(t, "chain.glb", 5000, true) },
}

// ribbon is a skinned ribbon over so many joints, in one chain or all on one.
func ribbon(t testing.TB, name string, n int, chain bool) string {
	f := newHeavy()
	var p, w []float32
	var j []uint16
	var tri []uint32
	bind := make([]float32, 0, 16*n)
	for i := range n {
		x, y := float32(math.Sin(float64(i)*.01)), float32(i)*.001
		p = append(p, x, y, 0, x+.1, y, .1)
		for range 2 {
			j, w = append(j, uint16(i), 0, 0, 0), append(w, 1, 0, 0, 0)
		}
		if i > 0 {
			a := uint32(2*i - 2)
			tri = append(tri, a, a+1, a+2, a+1, a+3, a+2)
		}
		bind = append(bind, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, -float32(i)*.001, 0, 1)
	}
	m := f.add("meshes", map[string]any{"primitives": []any{map[string]any{
		"attributes": map[string]any{"POSITION": f.positions(p), "JOINTS_0": f.array(j, "VEC4", 5123, 2*n, nil), "WEIGHTS_0": f.array(w, "VEC4", 5126, 2*n, nil)},
		"indices":    f.array(tri, "SCALAR", 5125, len(tri), nil)}}})
	joints := make([]int, n)
	nodes := make([]any, n)
	for i := range n {
		joints[i] = i
		node := map[string]any{"name": fmt.Sprintf("joint %d", i), "translation": []float32{0, .001, 0}}
		switch {
		case i == 0:
			node["translation"] = []float32{0, 0, 0}
		case !chain:
			node["translation"] = []float32{0, .001 * float32(i), 0}
		}
		if chain && i+1 < n {
			node["children"] = []int{i + 1}
		}
		nodes[i] = node
	}
	if !chain {
		nodes[0].(map[string]any)["children"] = joints[1:]
	}
	f.doc["nodes"] = nodes
	skin := f.add("skins", map[string]any{"joints": joints, "inverseBindMatrices": f.array(bind, "MAT4", 5126, n, nil)})
	return f.write(t, name, 0, f.add("nodes", map[string]any{"mesh": m, "skin": skin}))
}

// TestWriteHeavy keeps the files where RIGLOUPE_HEAVY says, to be tried by hand.
func TestWriteHeavy(t *testing.T) {
	dir := os.Getenv("RIGLOUPE_HEAVY")
	if dir == "" {
		t.Skip("RIGLOUPE_HEAVY names no folder")
	}
	for name, write := range heavies {
		data, err := os.ReadFile(write(t))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".glb"), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// TestHeavyFiles: a small file that asks a lot of the page is drawn as far as the budget
// goes, which is said; the page answers, stopping works, and a small figure afterwards
// stands on a stage that is small again.
func TestHeavyFiles(t *testing.T) {
	for _, row := range []struct {
		name string
		says string // what the plate says of the picture
	}{
		{"instances", "4 096 of 16 000 surfaces"},
		{"triangles", "so many layers lie over each other"},
		{"pictures", "3 of 20 pictures are painted"},
		{"name", ""},
		{"morphs", ""},
		{"joints", ""},
		{"chain", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			name := heavies[row.name](t)
			p := tracked(t)
			p.drop(name)
			p.poll("the picture", `timeline.events.some((e) => e.what === 'picture')`)
			p.poll("the refined picture or the end", `stage.state().fine || document.body.dataset.phase === 'done'`)
			if row.says != "" {
				p.poll("what is left out", fmt.Sprintf(`document.querySelector('#left-out').textContent.replace(/\s/g, ' ').includes(%q)`, row.says))
			}
			if row.name == "pictures" { // decoded beside the examination, in a worker that is gone afterwards
				p.poll("the pictures", `import('./js/programs/keep.js').then((k) => k.kept.textures.length === 3)`)
				p.poll("the worker's end", `!timeline.workers.some((w) => !w.gone && w.asked === 'paint')`)
			}
			p.poll("the end of it, stopped or by itself", `((b) => { if (!b.hidden) b.click(); return document.body.dataset.phase === 'done'; })(document.querySelector('#stop-here'))`)
			p.shot("22-heavy-" + row.name)
			if n := eval[int](p, `document.querySelectorAll('*').length`); n > 30000 {
				t.Errorf("%d elements on the page", n)
			}
			if n := eval[int](p, `document.body.textContent.length`); n > 2e6 {
				t.Errorf("%d letters on the page", n)
			}
			line := p.timeline()
			for _, b := range line.blocks() {
				t.Logf("block of %.0f ms at %.0f ms (on a busy machine)", b[1], b[0])
			}
			before := eval[float64](p, `import('./js/programs/keep.js').then((k) => k.memory().stage / 2**20)`)
			p.give(real(t))
			p.poll("a small figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
			after := eval[float64](p, `import('./js/programs/keep.js').then((k) => k.memory().stage / 2**20)`)
			t.Logf("stage %.0f MB, then %.0f MB", before, after)
			if after > 256 {
				t.Errorf("the stage keeps %.0f MB for a small figure", after)
			}
			p.clean()
		})
	}
}
