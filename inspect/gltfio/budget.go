package gltfio

import (
	"github.com/qmuntal/gltf"

	"rigloupe/inspect/ceiling"
)

// An object of the JSON takes three bytes, "{},", and up to a kilobyte when it is read.
// What the objects of a file take is therefore counted against its size while its JSON
// is read, as the numbers are that it decodes to. A real file states some hundred bytes an
// object.

// budget is how many bytes the numbers of a file of size bytes may take.
func budget(size, memory int64) int64 {
	return min(memory, size*ceiling.NumbersPerByte+ceiling.NumbersBase)
}

// room is how many bytes its objects may take.
func room(size, memory int64) int64 {
	return min(memory, size*ceiling.ObjectsPerByte+ceiling.NumbersBase)
}

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
	case *gltf.Accessor:
		return 400
	case *gltf.Buffer:
		return 350
	case *gltf.Scene:
		return 250
	}
	return 200 // views, samplers and the rest
}

// spend takes an object from the budget; it fails the reading when nothing is left.
func (d *decoder) spend(weight int64) {
	if d.left -= weight; d.left < 0 && d.err == nil {
		d.fail("there are more objects here than such a small file can honestly hold")
	}
}
