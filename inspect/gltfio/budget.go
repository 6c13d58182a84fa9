package gltfio

import "github.com/qmuntal/gltf"

// An object of the JSON takes three bytes, "{},", and up to a kilobyte when it is read.
// What the objects of a file take is therefore counted against its size while its JSON
// is read, by the same rule as the numbers that it decodes to: 64 times its bytes and
// 32 MiB. A real file states some hundred bytes an object.

// budget is how many bytes the objects of a file of size bytes may take.
func budget(size, memory int64) int64 { return min(memory, size*growth+growthBase) }

// weightOf is what one object of a kind takes, from its decoding to the figure that is
// examined, in bytes: measured with lists of three million empty ones.
func weightOf(kind any) int64 {
	switch kind.(type) {
	case *gltf.Animation:
		return 1200
	case *gltf.Node:
		return 1000
	case *gltf.Skin:
		return 900
	case *gltf.Primitive:
		return 850
	case *gltf.Image:
		return 800
	case *gltf.AnimationChannel:
		return 600
	case *gltf.Material:
		return 500
	case *gltf.Mesh:
		return 450
	case *gltf.Buffer:
		return 350
	case *gltf.Scene:
		return 250
	}
	return 200 // accessors, views, samplers and the rest
}

// spend takes an object from the budget; it fails the reading when nothing is left.
func (d *decoder) spend(weight int64) {
	if d.left -= weight; d.left < 0 && d.err == nil {
		d.fail("there are more objects here than such a small file can honestly hold")
	}
}

// Growth of a zip: what it unpacks to counts as so many times its packed size at most
// (real models reach about 20).
const (
	zipHonest      = 20
	zipHonestFloor = 1 << 20 // bytes: a small file of text packs better than that
)
