package gltfio

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rounds"
)

// lists is a file with n empty objects of one kind.
func lists(kind string, n int) string {
	empty := strings.TrimSuffix(strings.Repeat("{},", n), ",")
	head := `{"asset":{"version":"2.0"},"nodes":[{}],`
	switch kind {
	case "primitives":
		return head + `"meshes":[{"primitives":[` + empty + `]}]}`
	case "targets":
		return head + `"meshes":[{"primitives":[{"targets":[` + empty + `]}]}]}`
	case "channels", "samplers of a clip":
		return head + `"animations":[{"` + strings.Fields(kind)[0] + `":[` + empty + `]}]}`
	case "joints":
		return head + `"skins":[{"joints":[` + strings.ReplaceAll(empty, "{}", "0") + `]}]}`
	}
	return `{"asset":{"version":"2.0"},"` + kind + `":[` + empty + `]}`
}

var everyKind = []string{"nodes", "meshes", "primitives", "targets", "skins", "joints", "animations", "channels", "samplers of a clip", "accessors",
	"bufferViews", "buffers", "images", "textures", "samplers", "materials", "cameras", "scenes"}

// What a file takes is bounded by its size: a list of empty objects, three bytes each,
// of every kind there is. A zip's size is what lies packed: a list of one and the same
// object packs to a thousandth.
func TestObjectsAreBoundedByTheFile(t *testing.T) {
	took := func(f File) (bytes uint64, err error) {
		var a, b runtime.MemStats
		runtime.ReadMemStats(&a)
		_, err = Read([]File{f}, Options{})
		runtime.ReadMemStats(&b)
		return b.TotalAlloc - a.TotalAlloc, err
	}
	for i, kind := range everyKind {
		if !rounds.Run(i, 6) {
			continue
		}
		t.Run(kind, func(t *testing.T) {
			text := []byte(lists(kind, 1_000_000))
			most := 2 * uint64(budget(int64(len(text)), ceiling.Memory))
			if n, err := took(File{"m.gltf", text}); n > most {
				t.Errorf("%d MB for %d bytes (%v); at most %d", n>>20, len(text), err, most>>20)
			}
			var packed bytes.Buffer
			z := zip.NewWriter(&packed)
			w, _ := z.Create("m.gltf")
			w.Write(text)
			z.Close()
			n, err := took(File{"m.zip", packed.Bytes()})
			if most := uint64(len(text))*8 + 2*uint64(budget(int64(ceiling.ZipCounts*packed.Len()+ceiling.ZipCountsBase), ceiling.Memory)); n > most {
				t.Errorf("zip: %d MB for %d bytes (%v); at most %d", n>>20, packed.Len(), err, most>>20)
			}
			var refused *Refused
			if !errors.As(err, &refused) && kind != "joints" && kind != "targets" || err == nil {
				t.Errorf("a million of them in a zip of %d bytes: %v", packed.Len(), err)
			}
			if _, err := took(File{"m.gltf", []byte(lists(kind, 5000))}); err != nil && strings.Contains(err.Error(), "honestly hold") {
				t.Errorf("5,000 of them: %v", err)
			}
		})
	}
}

// A scene of as many nodes as the largest real ones has room: 200,000 nodes as programs
// write them.
func TestManyHonestNodes(t *testing.T) {
	var b strings.Builder
	b.WriteString(`{"asset":{"version":"2.0"},"nodes":[`)
	for i := range 200_000 {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"name":"rock_%d","translation":[%d,0,0.5]}`, i, i)
	}
	b.WriteString(`]}`)
	r, err := Read([]File{{"m.gltf", []byte(b.String())}}, Options{})
	if err != nil || len(r.Nodes) != 200_000 {
		t.Fatal(err)
	}
}
