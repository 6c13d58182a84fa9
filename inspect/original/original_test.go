package original

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// corpus is a folder of real models beside the repository; what needs it skips without.
const corpus = "../../../shared/corpus/models"

func corpusFiles(t *testing.T) []string {
	t.Helper()
	paths, _ := filepath.Glob(corpus + "/*.gl*")
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository")
	}
	return paths
}

func openPath(t *testing.T, path string) *Document {
	t.Helper()
	d, err := OpenFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func glb(t *testing.T, d *Document) []byte {
	t.Helper()
	b, err := d.GLB()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func reopen(t *testing.T, b []byte) *Document {
	t.Helper()
	d, err := Open([]gltfio.File{{Name: "again.glb", Data: b}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func tree(t *testing.T, text []byte) map[string]any {
	t.Helper()
	var v map[string]any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v in %.200s", err, text)
	}
	return v
}

// An edit of nothing: every view byte-equal, the JSON deep-equal but for where the bytes
// lie, and a GLB of one buffer is the very same file.
func TestEditOfNothing(t *testing.T) {
	for _, path := range corpusFiles(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			was := openPath(t, path)
			b := glb(t, was)
			is := reopen(t, b)
			if c := Changes(was, is); len(c.Rewritten)+len(c.Pointers)+c.Added != 0 {
				t.Errorf("changed: %+v", c)
			}
			if again := glb(t, is); !bytes.Equal(b, again) {
				t.Error("written once more it is another file")
			}
			file, _ := os.ReadFile(path)
			if filepath.Ext(path) == ".glb" {
				if !bytes.Equal(b, file) {
					t.Errorf("the file written has %d bytes and is another than the file read, %d bytes", len(b), len(file))
				}
				return
			}
			want, got := tree(t, file), tree(t, is.Root.Bytes())
			for _, k := range []string{"buffers", "images"} { // the bytes of these were taken in
				delete(want, k)
				delete(got, k)
			}
			views, _ := want["bufferViews"].([]any)
			if len(views) > 0 {
				got["bufferViews"] = got["bufferViews"].([]any)[:len(views)]
			}
			if !reflect.DeepEqual(want, got) {
				t.Error("the JSON is not as it was")
			}
		})
	}
}

// decorated is the sample with unknown members on every kind of object, written as nobody
// here would write them.
func decorated(t *testing.T) *Document {
	t.Helper()
	d := reopen(t, lamplighter.GLB(lamplighter.Options{}))
	n := 0
	var dress func(v *Value)
	dress = func(v *Value) {
		for i := range v.Len() {
			dress(v.At(i))
		}
		if !v.IsObject() {
			return
		}
		for _, k := range v.Keys() {
			if k != "attributes" {
				dress(v.Get(k))
			}
		}
		n++
		v.Set("zz_unknown", Parse(fmt.Appendf(nil, `{ "b":1.50e0 , "a":[ %d,"\u00fc" ] }`, n)))
		v.Set("extras", Parse(fmt.Appendf(nil, `{"kept":  %d}`, n)))
	}
	dress(d.Root)
	return reopen(t, glb(t, d))
}

// Whatever is edited, unknown members, extras and extensions of every object stay to the
// letter.
func TestUnknownMembersSurvive(t *testing.T) {
	d := decorated(t)
	was := d.Clone()
	count := bytes.Count(d.Root.Bytes(), []byte(`"kept":  `))
	if count < 100 {
		t.Fatalf("%d objects were dressed", count)
	}
	position := d.UseAt("/meshes/0/primitives/0/attributes/POSITION")
	a, err := d.Accessor(position.Index)
	if err != nil {
		t.Fatal(err)
	}
	v, _ := a.Floats()
	v[0] += .25
	if err := d.Rewrite(Floats32("VEC3", v), position); err != nil {
		t.Fatal(err)
	}
	d.SetTRS(3, rig.TRS{T: [3]float64{1, 2, 3}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}})
	clip := turning(2)
	if _, err := d.AddClip(&clip); err != nil {
		t.Fatal(err)
	}
	is := reopen(t, glb(t, d))
	text := is.Root.Bytes()
	for i := 1; i <= count; i++ {
		for _, want := range []string{fmt.Sprintf(`{ "b":1.50e0 , "a":[ %d,"\u00fc" ] }`, i), fmt.Sprintf(`{"kept":  %d}`, i)} {
			if !bytes.Contains(text, []byte(want)) {
				t.Fatalf("%s is lost", want)
			}
		}
	}
	c := Changes(was, is)
	view := d.Object(Accessors, position.Index).Get("bufferView").Int()
	if !slices.Equal(c.Rewritten, []int{view}) || c.Added != 1 {
		t.Errorf("views rewritten %v, added %d; want %d alone and one more", c.Rewritten, c.Added, view)
	}
	for _, p := range c.Pointers {
		fine := false
		for _, of := range []string{fmt.Sprintf("/accessors/%d/m", position.Index), "/nodes/3/translation", "/animations/", "/accessors/", "/bufferViews/", "/buffers/0/byteLength"} {
			fine = fine || strings.HasPrefix(p, of)
		}
		if !fine {
			t.Errorf("%s has changed", p)
		}
	}
}

func turning(n rig.Node) rig.ClipData {
	times := []float32{0, .1}
	return rig.ClipData{Name: "added", Seconds: float64(times[1]), Channels: []rig.Channel{
		{Node: n, Path: rig.Rotation, Width: 4, Times: times, Values: []float32{0, 0, 0, 1, 0, 1, 0, 0}},
		{Node: n, Path: rig.Translation, Interpolation: rig.Step, Width: 3, Times: times, Values: []float32{0, 0, 0, 1, 2, 3}},
	}}
}

// small is a file of two meshes that share one accessor, interleaved with another's, and
// one with substituted elements.
func small(t *testing.T) *Document {
	t.Helper()
	var bin []byte
	put := func(v ...float32) { bin = append(bin, Floats32("SCALAR", v).Data...) }
	for e := range 3 { // position and normal by turns
		put(float32(e), 0, 0)
		put(0, 0, 1)
	}
	bin = append(bin, 1, 0) // sparse index 1, at 72
	bin = append(bin, 0, 0)
	put(9, 9, 9) // its value, at 76
	text := fmt.Sprintf(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0,1]}],"nodes":[{"mesh":0},{"mesh":1}],
	"meshes":[{"primitives":[{"attributes":{"POSITION":0,"NORMAL":1}}]},{"primitives":[{"attributes":{"POSITION":0},"targets":[{"POSITION":2}]}]}],
	"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[2,0,0]},
	 {"bufferView":0,"byteOffset":12,"componentType":5126,"count":3,"type":"VEC3"},
	 {"componentType":5126,"count":3,"type":"VEC3","sparse":{"count":1,"indices":{"bufferView":1,"componentType":5121},"values":{"bufferView":2}}}],
	"bufferViews":[{"buffer":0,"byteLength":72,"byteStride":24},{"buffer":0,"byteOffset":72,"byteLength":1},{"buffer":0,"byteOffset":76,"byteLength":12}],
	"buffers":[{"byteLength":%d,"uri":"b.bin"}]}`, len(bin))
	d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(text)}, {Name: "b.bin", Data: bin}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func floats(t *testing.T, d *Document, pointer string) []float32 {
	t.Helper()
	a, err := d.Accessor(d.UseAt(pointer).Index)
	if err != nil {
		t.Fatal(err)
	}
	v, err := a.Floats()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

const (
	firstMesh  = "/meshes/0/primitives/0/attributes/POSITION"
	secondMesh = "/meshes/1/primitives/0/attributes/POSITION"
)

// One accessor of two meshes: changed for one it stays for the other; changed for both it
// is written in place, and the normals between its numbers keep their bytes.
func TestSharedAccessor(t *testing.T) {
	to := []float32{5, 5, 5, 6, 6, 6, 7, 7, 7}
	one := small(t)
	if err := one.Rewrite(Floats32("VEC3", to), one.UseAt(firstMesh)); err != nil {
		t.Fatal(err)
	}
	one = reopen(t, glb(t, one))
	if !slices.Equal(floats(t, one, firstMesh), to) || floats(t, one, secondMesh)[3] != 1 {
		t.Errorf("%v and %v", floats(t, one, firstMesh), floats(t, one, secondMesh))
	}
	if c := Changes(small(t), one); len(c.Rewritten) != 0 || c.Added != 1 {
		t.Errorf("%+v", c)
	}
	both := small(t)
	if err := both.Rewrite(Floats32("VEC3", to), both.UseAt(firstMesh), both.UseAt(secondMesh)); err != nil {
		t.Fatal(err)
	}
	both = reopen(t, glb(t, both))
	if !slices.Equal(floats(t, both, secondMesh), to) || !slices.Equal(floats(t, both, "/meshes/0/primitives/0/attributes/NORMAL"), []float32{0, 0, 1, 0, 0, 1, 0, 0, 1}) {
		t.Errorf("%v, normals %v", floats(t, both, secondMesh), floats(t, both, "/meshes/0/primitives/0/attributes/NORMAL"))
	}
	c := Changes(small(t), both)
	if !slices.Equal(c.Rewritten, []int{0}) || c.Added != 0 {
		t.Errorf("%+v", c)
	}
	if got := both.Object(Accessors, 0).Get("max").Floats(); !slices.Equal(got, []float64{7, 7, 7}) {
		t.Errorf("max %v", got)
	}
}

// Substituted elements are read, and written as a whole array with a view of its own.
func TestSparse(t *testing.T) {
	d := small(t)
	const target = "/meshes/1/primitives/0/targets/0/POSITION"
	if got := floats(t, d, target); !slices.Equal(got, []float32{0, 0, 0, 9, 9, 9, 0, 0, 0}) {
		t.Fatalf("%v", got)
	}
	to := []float32{1, 1, 1, 2, 2, 2, 3, 3, 3}
	if err := d.Rewrite(Floats32("VEC3", to), d.UseAt(target)); err != nil {
		t.Fatal(err)
	}
	d = reopen(t, glb(t, d))
	if got := floats(t, d, target); !slices.Equal(got, to) || d.Object(Accessors, 2).Get("sparse") != nil {
		t.Errorf("%v", got)
	}
	if c := Changes(small(t), d); len(c.Rewritten) != 0 {
		t.Errorf("%+v", c)
	}
}

// A clone is written to without a trace in the one it was made of.
func TestCloneStays(t *testing.T) {
	d := small(t)
	before := glb(t, d)
	c := d.Clone()
	if err := c.Rewrite(Floats32("VEC3", make([]float32, 9)), c.UseAt(firstMesh), c.UseAt(secondMesh)); err != nil {
		t.Fatal(err)
	}
	clip := turning(0)
	if _, err := c.AddClip(&clip); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Clone().AddClip(&clip); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, glb(t, d)) {
		t.Error("the document changed with its clone")
	}
}

const linked = `{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0,1]}],
"nodes":[{"name":"a","children":[2]},{"name":"b"},{"name":"c","extensions":{"VRMC_node_constraint":{"constraint":{"roll":{"source":3}}}}},{"name":"d"}],
"skins":[{"joints":[2,3],"skeleton":1}],
"animations":[{"channels":[{"sampler":0,"target":{"node":1,"path":"rotation"}},{"sampler":0,"target":{"node":3,"path":"rotation"}},
 {"sampler":0,"target":{"path":"pointer","extensions":{"KHR_animation_pointer":{"pointer":"/nodes/3/scale"}}}}],"samplers":[]},
 {"channels":[{"sampler":0,"target":{"node":1,"path":"rotation"}}],"samplers":[]}],
"extensions":{"VRMC_vrm":{"humanoid":{"humanBones":{"hips":{"node":3},"head":{"node":1}}}},
 "VRM":{"secondaryAnimation":{"boneGroups":[{"center":1,"bones":[1,3]}]}}}}`

// All indices follow where a node goes: children, scenes, joints, channels, roles,
// constraints, springs and the pointers of animations.
func TestRemoveFollows(t *testing.T) {
	d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(linked)}})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Remove(Nodes, 1); err != nil {
		t.Fatal(err)
	}
	want := tree(t, []byte(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],
"nodes":[{"name":"a","children":[1]},{"name":"c","extensions":{"VRMC_node_constraint":{"constraint":{"roll":{"source":2}}}}},{"name":"d"}],
"skins":[{"joints":[1,2]}],
"animations":[{"channels":[{"sampler":0,"target":{"node":2,"path":"rotation"}},
 {"sampler":0,"target":{"path":"pointer","extensions":{"KHR_animation_pointer":{"pointer":"/nodes/2/scale"}}}}],"samplers":[]}],
"extensions":{"VRMC_vrm":{"humanoid":{"humanBones":{"hips":{"node":2}}}},
 "VRM":{"secondaryAnimation":{"boneGroups":[{"bones":[2]}]}}}}`))
	if got := tree(t, d.Root.Bytes()); !reflect.DeepEqual(got, want) {
		t.Errorf("%s", d.Root.Bytes())
	}
	if err := d.Remove(Nodes, 1); err == nil || !strings.Contains(err.Error(), "/skins/0/joints/0 needs node 1") {
		t.Errorf("a joint was taken out: %v", err)
	}
}

func TestRemoveBesideUnknownExtension(t *testing.T) {
	text := strings.Replace(linked, `"name":"d"`, `"name":"d","extensions":{"EXT_lamp_oil":{"wick":1}}`, 1)
	d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	before := string(d.Root.Bytes())
	if err := d.Remove(Nodes, 1); err == nil || !strings.Contains(err.Error(), "EXT_lamp_oil") {
		t.Errorf("%v", err)
	}
	if string(d.Root.Bytes()) != before {
		t.Error("refused, and changed all the same")
	}
}

// A reference to what is not there yet must not come to mean what is added.
func TestDangling(t *testing.T) {
	text := strings.Replace(linked, `"skeleton":1`, `"skeleton":1,"inverseBindMatrices":0`, 1)
	d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	clip := turning(0)
	before := string(d.Root.Bytes())
	if _, err := d.AddClip(&clip); err == nil || !strings.Contains(err.Error(), "/skins/0/inverseBindMatrices names accessor 0") {
		t.Errorf("%v", err)
	}
	if string(d.Root.Bytes()) != before {
		t.Error("refused, and changed all the same")
	}
}

// Rewriting numbers in another type: kept where they fit, float32 where they do not.
func TestLike(t *testing.T) {
	a := Accessor{Type: "VEC3", Width: 3, Component: Short, Normalized: true}
	if got := a.Like([]float32{0, 1, -1}, 1e-4); got.Component != Short || !slices.Equal(got.Data, []byte{0, 0, 0xff, 0x7f, 1, 0x80}) {
		t.Errorf("%+v", got)
	}
	if got := a.Like([]float32{0, 1.5, 0}, 1e-4); got.Component != Float {
		t.Errorf("%+v", got)
	}
	if got := a.Like([]float32{1.0 / 70000, 0, 0}, 1e-6); got.Component != Float {
		t.Errorf("%+v", got)
	}
}

// Rounded weights sum to the whole exactly; each is off by less than one step. The worked
// example of the method of largest remainders: 47000, 16000, 15900, 12000, 6000 and 3100
// votes of 100000 give 5, 2, 1, 1, 1 and 0 of 10 seats (the example of the encyclopaedias,
// Hare quota).
func TestWeights(t *testing.T) {
	out := make([]uint32, 6)
	Weights([]float32{.47, .16, .159, .12, .06, .031}, 10, out)
	if !slices.Equal(out, []uint32{5, 2, 1, 1, 1, 0}) {
		t.Errorf("seats %v", out)
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		w := make([]float32, 4+4*rnd.IntN(2))
		for i := range w {
			if rnd.IntN(3) > 0 {
				w[i] = rnd.Float32()
			}
		}
		w[0] += 1e-3
		sum := 0.0
		for _, x := range w {
			sum += float64(x)
		}
		for _, full := range []uint32{255, 65535} {
			out := make([]uint32, len(w))
			Weights(w, full, out)
			total := uint32(0)
			for i, x := range out {
				total += x
				if math.Abs(float64(x)-float64(w[i])/sum*float64(full)) >= 1 {
					t.Fatalf("%v of %v", out, w)
				}
			}
			if total != full {
				t.Fatalf("%v sums to %d", out, total)
			}
		}
	}
}

// Every accessor of the corpus is read as the reader reads it, and written back changes
// no byte.
func TestAccessorsOfTheCorpus(t *testing.T) {
	for _, path := range corpusFiles(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			d := openPath(t, path)
			r, err := gltfio.ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			before := d.Clone()
			for m := range r.Meshes {
				for p, data := range r.Meshes[m].Primitives {
					use := d.UseAt(fmt.Sprintf("/meshes/%d/primitives/%d/attributes/POSITION", m, p))
					if use == nil || data.Count == 0 {
						continue
					}
					a, err := d.Accessor(use.Index)
					if err != nil {
						t.Fatal(err)
					}
					v, err := a.Floats()
					if err != nil || !slices.Equal(v, r.Meshes[m].Positions[3*data.First:3*(data.First+data.Count)]) {
						t.Errorf("mesh %d, primitive %d is read otherwise: %v", m, p, err)
					}
				}
			}
			for i := range d.Count(Accessors) {
				a, err := d.Accessor(i)
				if err != nil || len(d.Uses(Accessors, i)) == 0 || a.Sparse {
					continue
				}
				v, err := a.Floats()
				if err != nil {
					t.Fatal(err)
				}
				if err := d.Rewrite(a.Like(v, 0), d.Uses(Accessors, i)...); err != nil {
					t.Fatal(err)
				}
			}
			c := Changes(before, reopen(t, glb(t, d)))
			if len(c.Rewritten) > 0 {
				t.Errorf("views %v changed", c.Rewritten)
			}
		})
	}
}

func FuzzOpen(f *testing.F) {
	f.Add([]byte(linked))
	f.Add(lamplighter.GLB(lamplighter.Options{Vertices: 6000}))
	f.Fuzz(func(t *testing.T, b []byte) {
		d, err := Open([]gltfio.File{{Name: "f.glb", Data: b}})
		if err != nil {
			return
		}
		d.Unfollowed()
		for i := range d.Count(Accessors) {
			if a, err := d.Accessor(i); err == nil && a.Count < 1<<20 {
				a.Floats()
			}
		}
		first, err := d.GLB()
		if err != nil {
			return
		}
		again, err := Open([]gltfio.File{{Name: "g.glb", Data: first}})
		if err != nil {
			t.Fatalf("%v\n%q", err, b)
		}
		if second, _ := again.GLB(); !bytes.Equal(first, second) {
			t.Fatalf("%q\n%q", first, second)
		}
	})
}
