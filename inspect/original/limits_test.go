package original

import (
	"encoding/base64"
	"fmt"
	"slices"
	"testing"

	"rigloupe/inspect/gltfio"
)

// Numbers keep an integer type where each is within the tolerance of a step: a half is 0.00196
// off the nearest 255th, a 200th off no more than half a step.
func TestLikeWithin(t *testing.T) {
	half := Accessor{Type: "SCALAR", Width: 1, Component: Ubyte, Normalized: true}
	for tolerance, want := range map[float64]int{0.001: Float, 0.003: Ubyte} {
		if got := half.Like([]float32{0.5}, tolerance); got.Component != want {
			t.Errorf("a half within %g: type %d, want %d", tolerance, got.Component, want)
		}
	}
	plain := Accessor{Type: "SCALAR", Width: 1, Component: Ubyte}
	if got := plain.Like([]float32{-1}, 1e-6); got.Component != Float {
		t.Errorf("−1 in an unsigned byte: % x", got.Data)
	}
	if got := plain.Like([]float32{256}, 1e-6); got.Component != Float {
		t.Errorf("256 in an unsigned byte: % x", got.Data)
	}
}

// A matrix with shear is not taken apart (glTF 2.0, Animations: a node that is moved holds
// translation, rotation and scale).
func TestShear(t *testing.T) {
	for _, c := range []struct {
		shear string
		taken bool
	}{{"0.001", false}, {"0.000001", true}} {
		text := `{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"nodes":[{"matrix":[1,0,0,0,` + c.shear + `,1,0,0,0,0,1,0,0,0,0,1]}]}`
		d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(text)}})
		if err != nil {
			t.Fatal(err)
		}
		if err := d.Movable(0); (err == nil) != c.taken {
			t.Errorf("a shear of %s: %v", c.shear, err)
		}
	}
}

// Elements of attributes begin at multiples of four (glTF 2.0, Accessors: Data Alignment),
// and signed bytes are bounded as signed.
func TestVertexAccessor(t *testing.T) {
	d := small(t)
	a := Array{Type: "VEC3", Component: Byte, Count: 2, Data: []byte{0xfb, 1, 2, 3, 4, 5}} // −5 first
	n, err := d.NewAccessor(a, true, true)
	if err != nil {
		t.Fatal(err)
	}
	o := d.Object(Accessors, n)
	if lo, hi := o.Get("min").Floats(), o.Get("max").Floats(); !slices.Equal(lo, []float64{-5, 1, 2}) || !slices.Equal(hi, []float64{3, 4, 5}) {
		t.Errorf("from %v to %v", lo, hi)
	}
	v := d.Object(Views, o.Get("bufferView").Int())
	if v.Get("byteStride").Int() != 4 || !slices.Equal(d.ViewBytes(o.Get("bufferView").Int()), []byte{0xfb, 1, 2, 0, 3, 4, 5, 0}) {
		t.Errorf("% x, stride %d", d.ViewBytes(o.Get("bufferView").Int()), v.Get("byteStride").Int())
	}
}

// Stretches that move together keep how far they are from a multiple of four.
func TestStretchesKeepTheirPlace(t *testing.T) {
	data := make([]byte, 40)
	for i := range data {
		data[i] = byte(i)
	}
	text := fmt.Sprintf(`{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
		"meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}],
		"accessors":[{"bufferView":1,"componentType":5126,"count":1,"type":"VEC3","min":[0,0,0],"max":[1,1,1]},{"bufferView":0,"componentType":5121,"count":3,"type":"SCALAR"}],
		"bufferViews":[{"buffer":0,"byteLength":3},{"buffer":0,"byteOffset":20,"byteLength":12}],
		"buffers":[{"byteLength":40,"uri":"data:application/octet-stream;base64,%s"}]}`, base64.StdEncoding.EncodeToString(data))
	d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	if _, less, err := d.Sweep(); err != nil || less == 0 {
		t.Fatalf("%d bytes less, %v", less, err)
	}
	if at := d.Object(Views, 1).Get("byteOffset").Int(); at != 4 || !slices.Equal(d.ViewBytes(1), data[20:32]) {
		t.Errorf("the floats begin at byte %d: % x", at, d.ViewBytes(1))
	}
}

// Bytes that another accessor reads from later in them are not written over.
func TestNeighbourKeeps(t *testing.T) {
	data := make([]byte, 60)
	text := fmt.Sprintf(`{"asset":{"version":"2.0"},"scenes":[{"nodes":[0,1]}],"nodes":[{"mesh":0},{"mesh":1}],
		"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]},{"primitives":[{"attributes":{"POSITION":1}}]}],
		"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[0,0,0]},{"bufferView":0,"byteOffset":24,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[0,0,0]}],
		"bufferViews":[{"buffer":0,"byteLength":60}],
		"buffers":[{"byteLength":60,"uri":"data:application/octet-stream;base64,%s"}]}`, base64.StdEncoding.EncodeToString(data))
	d, err := Open([]gltfio.File{{Name: "m.gltf", Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Rewrite(Floats32("VEC3", []float32{1, 2, 3, 4, 5, 6, 7, 8, 9}), d.UseAt("/meshes/0/primitives/0/attributes/POSITION")); err != nil {
		t.Fatal(err)
	}
	if got := floats(t, d, "/meshes/1/primitives/0/attributes/POSITION"); !slices.Equal(got, make([]float32, 9)) {
		t.Errorf("the neighbour reads %v", got)
	}
}
