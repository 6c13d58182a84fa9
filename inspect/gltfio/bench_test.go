package gltfio

import (
	"os"
	"path/filepath"
	"testing"
)

// BenchmarkRead reads the largest real characters from memory.
func BenchmarkRead(b *testing.B) {
	for _, name := range []string{"Knight.glb", "robot.glb", "cesium_man.gltf", "Fox.glb"} {
		data, err := os.ReadFile(filepath.Join(corpus, "models", name))
		if err != nil {
			b.Skip("no folder of real models beside the repository")
		}
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read([]File{{name, data}}, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
