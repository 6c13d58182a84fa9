package scene

import "math"

func vec(s []float32, i uint32) [3]float32 { return [3]float32{s[3*i], s[3*i+1], s[3*i+2]} }
func sub(a, b [3]float32) [3]float32       { return [3]float32{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func mul(a [3]float32, k float32) [3]float32 {
	return [3]float32{a[0] * k, a[1] * k, a[2] * k}
}
func dot(a, b [3]float32) float32 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func cross(a, b [3]float32) [3]float32 {
	return [3]float32{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func length(a [3]float32) float32 { return float32(math.Sqrt(float64(dot(a, a)))) }

// unit makes a vector unit; zero where it has no direction. Lengths under 1e-18
// would lose their digits when squared, so it works on a scaled copy.
func unit(a [3]float32) [3]float32 {
	m := max(abs(a[0]), abs(a[1]), abs(a[2]))
	if !(m > 0) || m-m != 0 {
		return [3]float32{}
	}
	a = mul(a, 1/m)
	return mul(a, 1/length(a))
}

func abs(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }

func finite(a [3]float32) bool { return a[0]-a[0] == 0 && a[1]-a[1] == 0 && a[2]-a[2] == 0 }
