package bends

import (
	"math"

	"rigloupe/inspect/space"
)

// Strain is what a move does to the triangles of the moved region: those with a
// vertex that the joint or something below it influences. Triangles without area are
// left out; those that move as one piece count with a stretch of 1.
type Strain struct {
	P99, Max  float64 // of the larger principal stretch; P99 by nearest rank
	Turned    int     // triangles turned over
	Triangles int     // of the region
	worst     int32   // triangle of the zone with Max, −1: none
	turned    []uint32
}

// TurnedShare of the region.
func (s *Strain) turnedShare() float64 {
	if s.Triangles == 0 {
		return 0
	}
	return float64(s.Turned) / float64(s.Triangles)
}

// strained measures z.pos, against the rest positions of the same method.
//
// A triangle is turned over when it faces against the way in which the surface turns
// there: against its normal at rest, turned about the move's axis by as much as the
// weights of its corners say (2·atan2(w sin θ/2, 1 − w + w cos θ/2), Kavan et al.
// 2008). Neighbours that move like it follow that direction; comparing with their
// normals instead would blame the two sides of every sharp fold, and miss a patch
// that is turned over as a whole.
func (z *zone) strained(t *turning) (s Strain) {
	s = Strain{P99: 1, Max: 1, Triangles: z.outline.regioned[z.method], worst: -1}
	strain, shaped, normal := z.b.strain[z.method], z.b.shaped[z.method], z.normal[z.method]
	z.above, z.below = z.above[:0], z.below[:0]
	pos, ax, ay, az := z.pos, t.axis[0], t.axis[1], t.axis[2]
	most := 0.0
	for i, tri := range z.tri {
		if !shaped[tri] {
			continue
		}
		a, b, c := 3*z.corners[3*i], 3*z.corners[3*i+1], 3*z.corners[3*i+2]
		x, y, w := pos[a], pos[a+1], pos[a+2]
		ux, uy, uz := pos[b]-x, pos[b+1]-y, pos[b+2]-w
		vx, vy, vz := pos[c]-x, pos[c+1]-y, pos[c+2]-w
		square, _ := strain[tri].Squares(ux, uy, uz, vx, vy, vz)
		if square > 1 {
			z.above = append(z.above, square)
		} else {
			z.below = append(z.below, square)
		}
		if square > most {
			most, s.worst = square, int32(i)
		}
		// The rest normal, turned by an unnormalised quaternion: only the sign counts.
		k := z.share[i]
		r, q := k*t.half[0], 1-k+k*t.half[1]
		qx, qy, qz := ax*r, ay*r, az*r
		nx, ny, nz := normal[3*i], normal[3*i+1], normal[3*i+2]
		d, e := 2*(qx*nx+qy*ny+qz*nz), q*q-r*r
		q *= 2
		mx := e*nx + d*qx + q*(qy*nz-qz*ny)
		my := e*ny + d*qy + q*(qz*nx-qx*nz)
		mz := e*nz + d*qz + q*(qx*ny-qy*nx)
		if (uy*vz-uz*vy)*mx+(uz*vx-ux*vz)*my+(ux*vy-uy*vx)*mz < 0 {
			s.turned = append(s.turned, tri)
		}
	}
	s.Turned = len(s.turned)
	if s.Triangles == 0 {
		return s
	}
	s.P99 = z.percentile(s.Triangles)
	stiff := s.Triangles - len(z.above) - len(z.below)
	if s.worst >= 0 && (most > 1 || stiff == 0) {
		s.Max = math.Sqrt(most)
	}
	return s
}

// percentile answers the 99th percentile of the stretch over n triangles: the
// smallest value that at least 99 % of them do not exceed. Those not listed have 1.
func (z *zone) percentile(n int) float64 {
	over := n - 1 - space.Rank(n, 99) // triangles that may exceed it
	if over < len(z.above) {
		return math.Sqrt(space.Ranked(z.above, len(z.above)-1-over))
	}
	over -= len(z.above)
	if stiff := n - len(z.above) - len(z.below); over < stiff || len(z.below) == 0 {
		return 1
	}
	return math.Sqrt(space.Ranked(z.below, max(0, len(z.below)-1-(over-(n-len(z.above)-len(z.below))))))
}
