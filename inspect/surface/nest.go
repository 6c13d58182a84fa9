package surface

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Shell is one connected piece of a surface.
type Shell struct {
	Surface   int       `json:"surface"` // in node order
	Triangles int       `json:"triangles"`
	Vertices  int       `json:"vertices"` // welded
	Area      float64   `json:"area"`     // m²
	Closed    bool      `json:"closed"`   // no boundary, no branching, one way round
	Volume    *float64  `json:"signed_volume"`
	Centre    space.Vec `json:"centre"` // of its box, world
	Extent    float64   `json:"extent"` // metres: half the diagonal of its box
	Inside    *int      `json:"inside"` // the smallest closed shell around it, by its place in the whole list; nil: none
	Depth     int       `json:"depth"`  // closed shells around it
	InsideOut bool      `json:"inside_out"`
	Crumb     bool      `json:"crumb"`

	Number int        `json:"shell"` // place in Facts.Pieces
	First  uint32     `json:"-"`     // its first triangle
	Vertex rig.Vertex `json:"-"`     // one of its vertices
	faces  bool       // its volume is that of a body, not rounding
	sign   float64    // of its volume, after the determinant of its node
}

// crumbShare is the share of a figure's area below which a shell is a crumb.
const crumbShare = 0.001

// mostListed bounds the shells in the document.
const mostListed = 256

// bodyVolume is the share of area^1.5 from which on a volume is more than what
// rounding leaves of a sheet folded flat: positions have 24 bits, and a closed
// shell's error is about its area times that of a position.
const bodyVolume = 1e-6

func (s *sheet) piece(i int) Shell {
	x := &s.shells.List[i]
	p := Shell{
		Surface: s.surface, Triangles: x.Triangles, Vertices: x.Places, Area: x.Area, Closed: x.Closed(),
		Centre: x.Box.Center(), Extent: x.Box.Diagonal() / 2,
		First: uint32(x.First), Vertex: rig.Vertex(s.first[x.Corner]), sign: s.turn,
	}
	if p.Closed {
		p.Volume = &x.Volume
		p.faces = math.Abs(x.Volume) > bodyVolume*math.Pow(x.Area, 1.5)
		if x.Volume < 0 {
			p.sign = -s.turn
		}
	}
	return p
}

// rayWork bounds the triangles that rays look at: a second or so. Only surfaces
// whose shells all lie one over the other come near it.
const rayWork = 60_000_000

// nest works out which shell lies inside which, over all surfaces, and from that
// which is inside out: a shell that faces inwards is sound where the shell around
// it faces outwards (a mouth, a hollow), and a fault anywhere else.
func (f *Facts) nest(e *exam.Exam, sheets []*sheet) {
	closed := 0
	for i := range f.Pieces {
		f.Pieces[i].Number = i
		f.Pieces[i].Crumb = f.Pieces[i].Area < crumbShare*f.Area
		if f.Pieces[i].faces {
			closed++
		}
	}
	if closed > 0 && len(f.Pieces) > 1 {
		f.findParents(sheets, e.Watch())
	}
	for i := range f.Pieces {
		p := &f.Pieces[i]
		p.InsideOut = p.faces && p.sign < 0 && (p.Inside == nil || f.Pieces[*p.Inside].sign < 0)
		if !f.Nested && p.sign < 0 {
			p.InsideOut = false // cannot be told
		}
		t := &f.Surfaces[p.Surface].Topology
		if p.InsideOut {
			f.InsideOut++
			t.InsideOut++
		}
		if p.Crumb {
			f.Crumbs++
			t.Crumbs++
		}
		if p.Inside != nil {
			f.Within++
		}
	}
	base := 0
	for _, s := range sheets {
		winding := f.Sheets[s.surface].Winding
		for t, shell := range s.shells.Of {
			if shell >= 0 && f.Pieces[base+int(shell)].InsideOut {
				winding[t] = Inward
			}
			if winding[t] == Turned {
				f.Turned++
			}
		}
		base += len(s.shells.List)
	}
	f.Shells = slices.Clone(f.Pieces)
	slices.SortStableFunc(f.Shells, func(a, b Shell) int { return cmp.Compare(b.Area, a.Area) })
	f.Shells = f.Shells[:min(len(f.Shells), mostListed)]
	if f.Shells == nil {
		f.Shells = []Shell{}
	}
}

// findParents sends one ray from each shell and counts how it passes the closed
// ones.
func (f *Facts) findParents(sheets []*sheet, watch *geom.Watch) {
	var points []float32
	var triangles []uint32
	var shellOf []int32
	boxes := make([]geom.Box, 0, len(f.Pieces))
	starts := make([]space.Vec, 0, len(f.Pieces))
	base := int32(0)
	for _, s := range sheets {
		offset := uint32(len(points) / 3)
		points = append(points, s.points...)
		for t, shell := range s.shells.Of {
			if shell >= 0 && f.Pieces[base+shell].faces {
				for _, g := range s.triangles[3*t : 3*t+3] {
					triangles = append(triangles, offset+g)
				}
				shellOf = append(shellOf, base+shell)
			}
		}
		for i := range s.shells.List {
			x := &s.shells.List[i]
			boxes = append(boxes, x.Box)
			// The middle of a triangle: corners may be shared with another shell.
			a, b, c := s.at(s.triangles[3*x.First]), s.at(s.triangles[3*x.First+1]), s.at(s.triangles[3*x.First+2])
			starts = append(starts, space.Vec{(a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3, (a[2] + b[2] + c[2]) / 3})
		}
		base += int32(len(s.shells.List))
	}
	rays := geom.WatchedRays(points, triangles, watch)
	passed := make([]int32, len(f.Pieces))
	var touched []int32
	work := rayWork
	for i := range f.Pieces {
		touched = touched[:0]
		if starts[i][0]-starts[i][0] != 0 || starts[i][1]-starts[i][1] != 0 || starts[i][2]-starts[i][2] != 0 {
			continue
		}
		ok := rays.Cross(starts[i], &work, func(t uint32, _ int) {
			s := shellOf[t]
			if passed[s] == 0 {
				touched = append(touched, s)
			}
			passed[s]++
		})
		slices.Sort(touched)
		p := &f.Pieces[i]
		for _, s := range touched {
			if passed[s]%2 == 1 && int(s) != i && holds(boxes[s], boxes[i]) {
				p.Depth++
				if p.Inside == nil || math.Abs(*f.Pieces[s].Volume) < math.Abs(*f.Pieces[*p.Inside].Volume) {
					p.Inside = new(int)
					*p.Inside = int(s)
				}
			}
			passed[s] = 0
		}
		if !ok {
			f.Nested = false
			return
		}
	}
}

func holds(outer, inner geom.Box) bool {
	for c := range 3 {
		if inner.Min[c] < outer.Min[c] || inner.Max[c] > outer.Max[c] {
			return false
		}
	}
	return true
}
