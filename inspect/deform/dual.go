package deform

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// palettes holds the joint matrices taken apart: a stretch (3×3), then a
// rotation and a translation as a dual quaternion.
type palettes struct {
	quats   [][8]float32 // real x y z w, dual x y z w
	stretch [][9]float32 // row by row
	rigid   bool         // every stretch is the identity
}

// fill takes the matrices apart: M = T·R·H with R a rotation and H the stretch,
// symmetric where M does not mirror (polar decomposition).
func (d *palettes) fill(pal [][12]float32) {
	d.quats, d.stretch = d.quats[:0], d.stretch[:0]
	d.rigid = true
	for i := range pal {
		m := &pal[i]
		r := rotation(m)
		var stretch [9]float32
		for row := range 3 {
			for col := range 3 {
				h := float32(r[row]*float64(m[col]) + r[3+row]*float64(m[4+col]) + r[6+row]*float64(m[8+col]))
				stretch[3*row+col] = h
				if row == col {
					h--
				}
				if !(abs(h) < 1e-5) {
					d.rigid = false
				}
			}
		}
		d.stretch = append(d.stretch, stretch)
		q, e := dualOf(&r, float64(m[3]), float64(m[7]), float64(m[11]))
		d.quats = append(d.quats, [8]float32{
			float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3]),
			float32(e[0]), float32(e[1]), float32(e[2]), float32(e[3]),
		})
	}
}

// dualOf is a rotation, row by row, and the way that follows it as a dual quaternion, each
// part x y z w: dual = ½ t·real (Kavan et al. 2008).
func dualOf(r *[9]float64, tx, ty, tz float64) (real, dual [4]float64) {
	q := mgl64.Mat4ToQuat(mgl64.Mat4{
		r[0], r[3], r[6], 0,
		r[1], r[4], r[7], 0,
		r[2], r[5], r[8], 0,
		0, 0, 0, 1,
	}).Normalize()
	x, y, z, w := q.V[0], q.V[1], q.V[2], q.W
	return [4]float64{x, y, z, w}, [4]float64{
		(tx*w + ty*z - tz*y) / 2,
		(ty*w + tz*x - tx*z) / 2,
		(tz*w + tx*y - ty*x) / 2,
		-(tx*x + ty*y + tz*z) / 2,
	}
}

// rotation answers the rotation nearest to the 3×3 part, row by row, by Newton's
// steps R ← ½(R + R⁻ᵀ) (Higham 1986). A matrix that mirrors gives the rotation of
// its negative; one that flattens space gives no turn.
func rotation(m *[12]float32) [9]float64 {
	r := [9]float64{
		float64(m[0]), float64(m[1]), float64(m[2]),
		float64(m[4]), float64(m[5]), float64(m[6]),
		float64(m[8]), float64(m[9]), float64(m[10]),
	}
	none := [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}
	for step := range 40 {
		c := [9]float64{
			r[4]*r[8] - r[5]*r[7], r[5]*r[6] - r[3]*r[8], r[3]*r[7] - r[4]*r[6],
			r[2]*r[7] - r[1]*r[8], r[0]*r[8] - r[2]*r[6], r[1]*r[6] - r[0]*r[7],
			r[1]*r[5] - r[2]*r[4], r[2]*r[3] - r[0]*r[5], r[0]*r[4] - r[1]*r[3],
		}
		det := r[0]*c[0] + r[1]*c[1] + r[2]*c[2]
		if step == 0 {
			size := 0.0
			for _, v := range r {
				size += v * v
			}
			if !(math.Abs(det) > 1e-12*size*math.Sqrt(size)) || math.IsInf(det, 0) {
				return none
			}
			if det < 0 {
				for i := range r {
					r[i] = -r[i]
				}
				det = -det
			}
			// Scale to det 1 first: then a few steps are enough for any even scale.
			k := 1 / math.Cbrt(det)
			for i := range r {
				r[i] *= k
				c[i] *= k * k
			}
			det = 1
		}
		change := 0.0
		for i := range r {
			next := (r[i] + c[i]/det) / 2
			change = max(change, math.Abs(next-r[i]))
			r[i] = next
		}
		if change < 1e-14 {
			break
		}
	}
	return r
}

// dual carries all vertices of one influence count by blended dual quaternions.
// Joints that stretch do so first, by a linear blend (two phases, Kavan et al.
// 2008); what comes out of the blend then only turns and moves. Weights need not
// sum to 1: the rotation is made unit, and the stretch is divided by their sum.
func (j *job) dual(b *blend, d *palettes) {
	c := b.count
	if c == 0 {
		j.linear(b) // no influence: the origin, as Linear says
		return
	}
	n := len(b.vertex)
	for from := 0; from < n; from += block {
		to := min(from+block, n)
		j.mixDual(b, d, from, to)
		j.carry(b.vertex[from:to])
	}
}

// mixDual writes the matrices of the blended dual quaternions into j.matrices.
func (j *job) mixDual(b *blend, d *palettes, from, to int) {
	c := b.count
	for i := from; i < to; i++ {
		joints, weights := b.joints[c*i:c*i+c:c*i+c], b.weights[c*i:c*i+c:c*i+c]
		pivot, w := &d.quats[joints[0]], weights[0]
		rx, ry, rz, rw := w*pivot[0], w*pivot[1], w*pivot[2], w*pivot[3]
		dx, dy, dz, dw := w*pivot[4], w*pivot[5], w*pivot[6], w*pivot[7]
		for k := 1; k < len(joints) && k < len(weights); k++ {
			q, w := &d.quats[joints[k]], weights[k]
			if q[0]*pivot[0]+q[1]*pivot[1]+q[2]*pivot[2]+q[3]*pivot[3] < 0 {
				w = -w // q and −q are one motion: take the one on the pivot's side
			}
			rx, ry, rz, rw = rx+w*q[0], ry+w*q[1], rz+w*q[2], rw+w*q[3]
			dx, dy, dz, dw = dx+w*q[4], dy+w*q[5], dz+w*q[6], dw+w*q[7]
		}
		l := rx*rx + ry*ry + rz*rz + rw*rw
		if !(l > 1e-12) { // turns that cancel out: the strongest joint alone
			rx, ry, rz, rw = pivot[0], pivot[1], pivot[2], pivot[3]
			dx, dy, dz, dw = pivot[4], pivot[5], pivot[6], pivot[7]
			l = 1
		}
		k := 2 / l // twice by the length: q·q* has it twice
		m := &j.matrices[i-from]
		m[3] = k * (rw*dx - dw*rx + ry*dz - rz*dy)
		m[7] = k * (rw*dy - dw*ry + rz*dx - rx*dz)
		m[11] = k * (rw*dz - dw*rz + rx*dy - ry*dx)
		m[0], m[1], m[2] = 1-k*(ry*ry+rz*rz), k*(rx*ry-rw*rz), k*(rx*rz+rw*ry)
		m[4], m[5], m[6] = k*(rx*ry+rw*rz), 1-k*(rx*rx+rz*rz), k*(ry*rz-rw*rx)
		m[8], m[9], m[10] = k*(rx*rz-rw*ry), k*(ry*rz+rw*rx), 1-k*(rx*rx+ry*ry)
		if !d.rigid {
			d.first(m, joints, weights)
		}
	}
}

// first multiplies the blended stretch from the right, so that it acts first.
func (d *palettes) first(m *[12]float32, joints []uint32, weights []float32) {
	var h [9]float32
	sum := float32(0)
	for k, j := range joints {
		s, w := &d.stretch[j], weights[k]
		sum += w
		for e := range h {
			h[e] += w * s[e]
		}
	}
	if sum != 0 {
		sum = 1 / sum
	}
	for r := 0; r < 12; r += 4 {
		x, y, z := m[r]*sum, m[r+1]*sum, m[r+2]*sum
		m[r] = x*h[0] + y*h[3] + z*h[6]
		m[r+1] = x*h[1] + y*h[4] + z*h[7]
		m[r+2] = x*h[2] + y*h[5] + z*h[8]
	}
}
