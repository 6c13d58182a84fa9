package hostile

import (
	_ "embed"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
)

// packedFigure is Figure with its shapes packed by the npm package draco3dgltf, in order and
// without rounding (inspect/draco/testdata/pack.mjs).
//
//go:embed testdata/figure-draco.glb
var packedFigure []byte

// stream finds the packed shape of the figure's first primitive.
func stream(glb []byte) (from, to int) {
	size := int(binary.LittleEndian.Uint32(glb[12:]))
	var doc struct {
		BufferViews []struct{ ByteOffset, ByteLength int }
		Meshes      []struct {
			Primitives []struct {
				Extensions map[string]struct{ BufferView int }
			}
		}
	}
	if err := json.Unmarshal(glb[20:20+size], &doc); err != nil {
		panic(err)
	}
	v := doc.BufferViews[doc.Meshes[0].Primitives[0].Extensions["KHR_draco_mesh_compression"].BufferView]
	return 28 + size + v.ByteOffset, 28 + size + v.ByteOffset + v.ByteLength
}

// draco are files whose packed shapes lie: of how many points and triangles they are, of how
// they are packed, or of everything.
func draco() (all []File) {
	change := func(name string, harm func(b []byte)) {
		all = append(all, File{Name: "draco-" + name + ".glb", Make: func() []byte {
			b := slices.Clone(packedFigure)
			from, to := stream(b)
			harm(b[from:to])
			return b
		}})
	}
	change("sound", func([]byte) {})
	// Eleven bytes of head, then how many triangles and points, seven bits a byte; what comes
	// behind is read as more of that.
	for n := range 5 {
		change(fmt.Sprintf("count-%d", n), func(b []byte) {
			for i := range n + 1 {
				b[11+i] = 0xFF
			}
		})
	}
	for i := range 24 {
		change(fmt.Sprintf("head-%d", i), func(b []byte) { b[i] ^= 0xFF })
	}
	for k := range 16 {
		change(fmt.Sprintf("scrambled-%d", k), func(b []byte) {
			rnd := rand.New(rand.NewPCG(uint64(k), 77))
			for range 1 + 4*k {
				b[11+rnd.IntN(len(b)-11)] = byte(rnd.UintN(256))
			}
		})
	}
	change("zeros", func(b []byte) { clear(b[11:]) })
	change("ones", func(b []byte) {
		for i := range b[11:] {
			b[11+i] = 0xFF
		}
	})
	return all
}
