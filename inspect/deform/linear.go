package deform

import "math"

// job is one call of Apply: where from, where to.
type job struct {
	pal       [][12]float32
	src, nsrc []float32 // 3·V
	pos       []float32
	normals   []float32 // nil: not wanted
	extraIn   []float32 // nil: none
	extraOut  []float32
	even      bool // every matrix only turns and scales evenly
	matrices  [block][12]float32
}

// block is how many blended matrices are kept at a time: 6 KB, so they stay in the
// first cache. Blending by influence count and carrying by what is wanted are then
// separate loops, and no loop calls anything: in WebAssembly a call costs more
// than the trip to memory.
const block = 128

// linear carries all vertices of one influence count by blended matrices.
func (j *job) linear(b *blend) {
	n := len(b.vertex)
	for from := 0; from < n; from += block {
		to := min(from+block, n)
		j.mix(b, from, to)
		j.carry(b.vertex[from:to])
	}
}

// mix writes Σ weight·matrix of the vertices from…to into j.matrices. Palette rows
// are arrays, not stretches of one slice: that alone took a quarter off in
// WebAssembly.
func (j *job) mix(b *blend, from, to int) {
	pal, c := j.pal, b.count
	joints, weights := b.joints[c*from:c*to], b.weights[c*from:c*to]
	switch c {
	case 2:
		for i := range to - from {
			js, ws, m := joints[2*i:2*i+2:2*i+2], weights[2*i:2*i+2:2*i+2], &j.matrices[i]
			a, b := &pal[js[0]], &pal[js[1]]
			u, v := ws[0], ws[1]
			m[0] = u*a[0] + v*b[0]
			m[1] = u*a[1] + v*b[1]
			m[2] = u*a[2] + v*b[2]
			m[3] = u*a[3] + v*b[3]
			m[4] = u*a[4] + v*b[4]
			m[5] = u*a[5] + v*b[5]
			m[6] = u*a[6] + v*b[6]
			m[7] = u*a[7] + v*b[7]
			m[8] = u*a[8] + v*b[8]
			m[9] = u*a[9] + v*b[9]
			m[10] = u*a[10] + v*b[10]
			m[11] = u*a[11] + v*b[11]
		}
	case 3:
		for i := range to - from {
			js, ws, m := joints[3*i:3*i+3:3*i+3], weights[3*i:3*i+3:3*i+3], &j.matrices[i]
			a, b, c := &pal[js[0]], &pal[js[1]], &pal[js[2]]
			u, v, w := ws[0], ws[1], ws[2]
			m[0] = u*a[0] + v*b[0] + w*c[0]
			m[1] = u*a[1] + v*b[1] + w*c[1]
			m[2] = u*a[2] + v*b[2] + w*c[2]
			m[3] = u*a[3] + v*b[3] + w*c[3]
			m[4] = u*a[4] + v*b[4] + w*c[4]
			m[5] = u*a[5] + v*b[5] + w*c[5]
			m[6] = u*a[6] + v*b[6] + w*c[6]
			m[7] = u*a[7] + v*b[7] + w*c[7]
			m[8] = u*a[8] + v*b[8] + w*c[8]
			m[9] = u*a[9] + v*b[9] + w*c[9]
			m[10] = u*a[10] + v*b[10] + w*c[10]
			m[11] = u*a[11] + v*b[11] + w*c[11]
		}
	case 0, 1: // none, or one that is not 1
		for i := range to - from {
			m := &j.matrices[i]
			*m = [12]float32{}
			for k := c * i; k < c*i+c; k++ {
				*m = pal[joints[k]]
				for e := range m {
					m[e] *= weights[k]
				}
			}
		}
	default: // four at once, then one after the other
		for i := range to - from {
			k := c * i
			js, ws, m := joints[k:k+4:k+4], weights[k:k+4:k+4], &j.matrices[i]
			a, b, c, d := &pal[js[0]], &pal[js[1]], &pal[js[2]], &pal[js[3]]
			u, v, w, x := ws[0], ws[1], ws[2], ws[3]
			m[0] = u*a[0] + v*b[0] + w*c[0] + x*d[0]
			m[1] = u*a[1] + v*b[1] + w*c[1] + x*d[1]
			m[2] = u*a[2] + v*b[2] + w*c[2] + x*d[2]
			m[3] = u*a[3] + v*b[3] + w*c[3] + x*d[3]
			m[4] = u*a[4] + v*b[4] + w*c[4] + x*d[4]
			m[5] = u*a[5] + v*b[5] + w*c[5] + x*d[5]
			m[6] = u*a[6] + v*b[6] + w*c[6] + x*d[6]
			m[7] = u*a[7] + v*b[7] + w*c[7] + x*d[7]
			m[8] = u*a[8] + v*b[8] + w*c[8] + x*d[8]
			m[9] = u*a[9] + v*b[9] + w*c[9] + x*d[9]
			m[10] = u*a[10] + v*b[10] + w*c[10] + x*d[10]
			m[11] = u*a[11] + v*b[11] + w*c[11] + x*d[11]
		}
		for more := 4; more < c; more++ {
			for i := range to - from {
				a, u, m := &pal[joints[c*i+more]], weights[c*i+more], &j.matrices[i]
				m[0] += u * a[0]
				m[1] += u * a[1]
				m[2] += u * a[2]
				m[3] += u * a[3]
				m[4] += u * a[4]
				m[5] += u * a[5]
				m[6] += u * a[6]
				m[7] += u * a[7]
				m[8] += u * a[8]
				m[9] += u * a[9]
				m[10] += u * a[10]
				m[11] += u * a[11]
			}
		}
	}
}

// carry moves vertices (at most block of them) by the matrices of the block.
func (j *job) carry(vertices []uint32) {
	ms := j.matrices[:len(vertices)]
	src, dst := j.src, j.pos
	for i, v := range vertices {
		m := &ms[i]
		k := 3 * int(v)
		p, q := src[k:k+3:k+3], dst[k:k+3:k+3]
		x, y, z := p[0], p[1], p[2]
		q[0] = m[0]*x + m[1]*y + m[2]*z + m[3]
		q[1] = m[4]*x + m[5]*y + m[6]*z + m[7]
		q[2] = m[8]*x + m[9]*y + m[10]*z + m[11]
	}
	if j.extraIn != nil {
		src, dst := j.extraIn, j.extraOut
		for i, v := range vertices {
			m := &ms[i]
			k := 3 * int(v)
			p, q := src[k:k+3:k+3], dst[k:k+3:k+3]
			x, y, z := p[0], p[1], p[2]
			q[0] = m[0]*x + m[1]*y + m[2]*z
			q[1] = m[4]*x + m[5]*y + m[6]*z
			q[2] = m[8]*x + m[9]*y + m[10]*z
		}
	}
	if j.normals == nil {
		return
	}
	if !j.even {
		for i := range ms {
			turn(&ms[i])
		}
	}
	src, dst = j.nsrc, j.normals
	for i, v := range vertices {
		m := &ms[i]
		k := 3 * int(v)
		p, q := src[k:k+3:k+3], dst[k:k+3:k+3]
		x, y, z := p[0], p[1], p[2]
		nx := m[0]*x + m[1]*y + m[2]*z
		ny := m[4]*x + m[5]*y + m[6]*z
		nz := m[8]*x + m[9]*y + m[10]*z
		l := nx*nx + ny*ny + nz*nz
		if l > 0 {
			l = 1 / float32(math.Sqrt(float64(l)))
		}
		q[0], q[1], q[2] = nx*l, ny*l, nz*l
	}
}

// whole carries the vertices that follow one matrix: no blending, and the matrix
// stays in registers.
func (j *job) whole(runs []run, vertices []uint32) {
	for _, r := range runs {
		m := &j.pal[r.palette]
		vs := vertices[r.from:r.to]
		place(m, vs, j.src, j.pos)
		if j.extraIn != nil {
			direct(m, vs, j.extraIn, j.extraOut)
		}
		if j.normals == nil {
			continue
		}
		if !j.even {
			t := *m
			turn(&t)
			m = &t
		}
		face(m, vs, j.nsrc, j.normals)
	}
}

func place(m *[12]float32, vertices []uint32, src, dst []float32) {
	m0, m1, m2, m3 := m[0], m[1], m[2], m[3]
	m4, m5, m6, m7 := m[4], m[5], m[6], m[7]
	m8, m9, m10, m11 := m[8], m[9], m[10], m[11]
	for _, v := range vertices {
		k := 3 * int(v)
		p, q := src[k:k+3:k+3], dst[k:k+3:k+3]
		x, y, z := p[0], p[1], p[2]
		q[0] = m0*x + m1*y + m2*z + m3
		q[1] = m4*x + m5*y + m6*z + m7
		q[2] = m8*x + m9*y + m10*z + m11
	}
}

func direct(m *[12]float32, vertices []uint32, src, dst []float32) {
	m0, m1, m2 := m[0], m[1], m[2]
	m4, m5, m6 := m[4], m[5], m[6]
	m8, m9, m10 := m[8], m[9], m[10]
	for _, v := range vertices {
		k := 3 * int(v)
		p, q := src[k:k+3:k+3], dst[k:k+3:k+3]
		x, y, z := p[0], p[1], p[2]
		q[0] = m0*x + m1*y + m2*z
		q[1] = m4*x + m5*y + m6*z
		q[2] = m8*x + m9*y + m10*z
	}
}

func face(m *[12]float32, vertices []uint32, src, dst []float32) {
	m0, m1, m2 := m[0], m[1], m[2]
	m4, m5, m6 := m[4], m[5], m[6]
	m8, m9, m10 := m[8], m[9], m[10]
	for _, v := range vertices {
		k := 3 * int(v)
		p, q := src[k:k+3:k+3], dst[k:k+3:k+3]
		x, y, z := p[0], p[1], p[2]
		nx := m0*x + m1*y + m2*z
		ny := m4*x + m5*y + m6*z
		nz := m8*x + m9*y + m10*z
		l := nx*nx + ny*ny + nz*nz
		if l > 0 {
			l = 1 / float32(math.Sqrt(float64(l)))
		}
		q[0], q[1], q[2] = nx*l, ny*l, nz*l
	}
}

// turn puts the inverse transpose of the 3×3 part, times |determinant|, in its
// place: what normals need (their length is left to the caller). Where the matrix
// flattens space it still points along the surviving normal.
func turn(m *[12]float32) {
	a, b, c := m[0], m[1], m[2]
	d, e, f := m[4], m[5], m[6]
	g, h, i := m[8], m[9], m[10]
	x, y, z := e*i-f*h, f*g-d*i, d*h-e*g
	k := float32(1)
	if a*x+b*y+c*z < 0 { // a mirroring matrix
		k = -1
	}
	m[0], m[1], m[2] = k*x, k*y, k*z
	m[4], m[5], m[6] = k*(c*h-b*i), k*(a*i-c*g), k*(b*g-a*h)
	m[8], m[9], m[10] = k*(b*f-c*e), k*(c*d-a*f), k*(a*e-b*d)
}

// even tells whether every matrix only turns, mirrors and scales evenly. Then the
// matrix itself turns normals.
func even(pal [][12]float32) bool {
	for i := range pal {
		m := &pal[i]
		a := m[0]*m[0] + m[4]*m[4] + m[8]*m[8]
		b := m[1]*m[1] + m[5]*m[5] + m[9]*m[9]
		c := m[2]*m[2] + m[6]*m[6] + m[10]*m[10]
		ab := m[0]*m[1] + m[4]*m[5] + m[8]*m[9]
		bc := m[1]*m[2] + m[5]*m[6] + m[9]*m[10]
		ca := m[2]*m[0] + m[6]*m[4] + m[10]*m[8]
		// 1e-3 of squared length: under 0.03° in a normal.
		slack := 1e-3 * a
		if !(abs(a-b) <= slack && abs(a-c) <= slack && abs(ab) <= slack && abs(bc) <= slack && abs(ca) <= slack) {
			return false
		}
	}
	return true
}

func abs(x float32) float32 {
	if x < 0 {
		return -x
	}
	return x
}
