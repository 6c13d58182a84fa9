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

// manyClips is a made character with as many clips, joints and keys as wanted.
func manyClips(clips, joints, keys int) *draft {
	d := newDraft()
	times, turns := make([]float64, keys), make([]float64, 4*keys)
	for k := range keys {
		times[k], turns[4*k+3] = float64(k)/30, 1
	}
	nodes := array{}
	for j := range joints {
		n := object{"name": "joint " + itoa(j)}
		if j+1 < joints {
			n["children"] = array{j + 1}
		}
		nodes = append(nodes, n)
	}
	d.doc["nodes"] = nodes
	for range clips {
		in := d.accessor(5126, "SCALAR", true, times...)
		channels, samplers := array{}, array{}
		for j := range joints {
			samplers = append(samplers, object{"input": in, "interpolation": "LINEAR", "output": d.accessor(5126, "VEC4", false, turns...)})
			channels = append(channels, object{"sampler": j, "target": object{"node": j, "path": "rotation"}})
		}
		d.add("animations", object{"name": "clip", "channels": channels, "samplers": samplers})
	}
	return d
}

func BenchmarkReadManyClips(b *testing.B) {
	raw := manyClips(76, 100, 20).glb()
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		r, err := Read([]File{{"made.glb", raw}}, Options{})
		if err != nil || len(r.Clips) != 76 {
			b.Fatal(err)
		}
	}
}
