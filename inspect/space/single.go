package space

import "github.com/go-gl/mathgl/mgl32"

// Vec32 is a vector as vertices are stored, for the loops over all of a figure: in
// float32 they take half the memory and the same time for each number.
type Vec32 = mgl32.Vec3

// At32 is the i-th point of a flat list, as it is stored.
func At32[I Place](list []float32, i I) Vec32 {
	p := list[3*i : 3*i+3]
	return Vec32{p[0], p[1], p[2]}
}

// Double is a stored vector with the digits to work with.
func Double(v Vec32) Vec { return Vec{float64(v[0]), float64(v[1]), float64(v[2])} }

// Single is a vector as it is stored.
func Single(v Vec) Vec32 { return Vec32{float32(v[0]), float32(v[1]), float32(v[2])} }

// Finite32 tells that no number of v is infinite or not a number.
func Finite32(v Vec32) bool { return v[0]-v[0] == 0 && v[1]-v[1] == 0 && v[2]-v[2] == 0 }

// Direction32 is v with length 1, and zero where it has no direction. Lengths that
// float32 cannot square are told all the same, by float64.
func Direction32(v Vec32) Vec32 {
	if l := v.Len(); l > 1e-18 && l < 1e18 {
		return v.Mul(1 / l)
	}
	return Single(Direction(Double(v)))
}
