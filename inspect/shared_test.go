package inspect

import (
	"encoding/json"
	"fmt"
	"runtime"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// A thousand primitives that share one set of accessors are 87 kB and could be read as a
// thousand surfaces of their own. What an examination takes then goes by what is stored,
// or the file is refused with a reason; before, it took 4.8 GB.
func TestAThousandSharedPrimitives(t *testing.T) {
	base := apart(lamplighter.GLB(lamplighter.Options{Vertices: 2500}))
	with := func(n int) []byte {
		var tree any
		decode(base.text, &tree)
		mesh := tree.(map[string]any)["meshes"].([]any)[0].(map[string]any)
		attributes := mesh["primitives"].([]any)[0].(map[string]any)["attributes"].(map[string]any)
		first := map[string]any{"attributes": map[string]any{"POSITION": attributes["POSITION"]}}
		var list []any
		for range n {
			list = append(list, first)
		}
		mesh["primitives"] = list
		text, err := json.Marshal(tree)
		if err != nil {
			t.Fatal(err)
		}
		return part{text, base.bin}.glb()
	}
	took := func(n int) float64 {
		data := with(n)
		var a, b runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&a)
		if err := survives(data, 1<<40); err != nil {
			t.Fatal(fmt.Errorf("%d primitives, %d bytes: %w", n, len(data), err))
		}
		runtime.ReadMemStats(&b)
		return float64(b.TotalAlloc-a.TotalAlloc) / 1e6
	}
	one, many := took(1), took(1000)
	t.Logf("%.0f MB for one, %.0f MB for a thousand (%d bytes)", one, many, len(with(1000)))
	if many > 1500 {
		t.Errorf("%.0f MB for a thousand primitives, %.0f for one", many, one)
	}
}
