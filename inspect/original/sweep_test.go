package original

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"rigloupe/inspect/gltfio"
)

// What nothing names goes, and floats behind an odd number of bytes stay on a multiple of
// four (glTF 2.0, Accessors: Data Alignment), with the values they had.
func TestSweepKeepsAlignment(t *testing.T) {
	data := []byte{0, 1, 2, 0}
	for i := range 12 { // three floats that nothing names, then three places
		data = binary.LittleEndian.AppendUint32(data, math.Float32bits(float32(i)+.5))
	}
	text := fmt.Sprintf(`{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],
		"meshes":[{"primitives":[{"attributes":{"POSITION":2},"indices":0}]}],
		"accessors":[{"bufferView":0,"componentType":5121,"count":3,"type":"SCALAR"},
			{"bufferView":0,"byteOffset":4,"componentType":5126,"count":3,"type":"SCALAR"},
			{"bufferView":0,"byteOffset":16,"componentType":5126,"count":3,"type":"VEC3","min":[3.5,4.5,5.5],"max":[9.5,10.5,11.5]}],
		"bufferViews":[{"buffer":0,"byteLength":52}],
		"buffers":[{"byteLength":52,"uri":"data:application/octet-stream;base64,%s"}]}`, base64.StdEncoding.EncodeToString(data))
	d, err := Open([]gltfio.File{{Name: "odd.gltf", Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	taken, less, err := d.Sweep()
	if err != nil || taken[Accessors] != 1 || less != 12 {
		t.Fatalf("%v, %d bytes, %v", taken, less, err)
	}
	if at := d.Object(Accessors, 1).Get("byteOffset").Int(); at != 4 {
		t.Errorf("the places begin at byte %d", at)
	}
	a, err := d.Accessor(1)
	if err != nil {
		t.Fatal(err)
	}
	got, err := a.Floats()
	if err != nil || len(got) != 9 || got[0] != 3.5 || got[8] != 11.5 {
		t.Errorf("%v, %v", got, err)
	}
	if b := d.ViewBytes(0); len(b) != 40 || !bytes.Equal(b[:3], data[:3]) {
		t.Errorf("%d bytes: %v", len(b), b)
	}
}
