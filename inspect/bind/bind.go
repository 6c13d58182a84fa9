package bind

import (
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Options of one binding.
type Options struct {
	Narrow float64                  // c of the heat, 1 to 16: how narrow joints hold
	Parts  *Proposal                // which joints may hold which shell; nil: any may hold any
	Look   func(done float64) error // called now and then with 0 to 1; its error ends the work
}

// Usual is the c that came nearest to the weights of artists (TestBindAsArtists).
const Usual = 4

// Way is how a shell came to its weights.
type Way uint8

const (
	ByHeat    Way = iota // heat of the bones that its places see
	ByNearest            // none of its places sees a bone: each follows the nearest
	ByCarry              // most see another shell in the way of the bone: weights of what lies under it
	AsOne                // no bone runs in it and it is small: one row of weights, from where it lies
	ByNone               // no joint may hold it
)

// Bound is what came of it.
type Bound struct {
	Rows   *Rows
	Ways   []Way // by shell
	Unseen []int // by shell: places that see no bone
}

// Bind answers weights: first the shells that see bones, then what lies on them.
func (f *Figure) Bind(o Options) (*Bound, error) {
	m := len(f.Shells)
	b := &Bound{Rows: NewRows(len(f.Of)), Ways: make([]Way, m), Unseen: make([]int, m)}
	w := &worker{f: f, o: o, b: b, local: make([]uint32, len(f.Of)), edges: f.byShell()}
	for i := range f.Shells {
		w.all += len(f.Shells[i].Places)
	}
	var later []int
	for i := range f.Shells {
		if o.Parts != nil && o.Parts.On[i] >= 0 {
			later = append(later, i)
			continue
		}
		sources, covered := w.sources(i)
		switch {
		case sources == nil:
			b.Ways[i] = ByNone
		case covered:
			b.Ways[i] = ByCarry
			later = append(later, i)
			continue
		}
		if err := w.solve(i, sources); err != nil {
			return nil, err
		}
	}
	if err := w.carry(later); err != nil {
		return nil, err
	}
	for p := range f.Of {
		b.Rows.Whole(p)
	}
	opposite := f.images()
	f.even(b, opposite)
	f.sides(b)
	for p := range f.Of {
		b.Rows.Whole(p)
	}
	if err := w.ease(opposite); err != nil {
		return nil, err
	}
	return b, nil
}

// worker is one binding at work.
type worker struct {
	f     *Figure
	o     Options
	b     *Bound
	local []uint32  // place → its number in the shell at work
	edges [][]int32 // by shell: edges of the Laplacian
	done  int       // places that have weights
	all   int
	list  []near
}

// look passes on how far the whole is, of which a shell is done to a share.
func (w *worker) look(places int) func(float64) error {
	if w.o.Look == nil {
		return nil
	}
	return func(done float64) error {
		return w.o.Look((float64(w.done) + done*float64(places)) / float64(max(w.all, 1)))
	}
}

// solve spreads the sources of a shell over it.
func (w *worker) solve(shell int, sources []Source) error {
	f, s := w.f, &w.f.Shells[shell]
	n := len(s.Places)
	if sources == nil {
		w.done += n
		return nil
	}
	for k, p := range s.Places {
		w.local[p] = uint32(k)
	}
	ends, weight := make([]uint32, 0, 2*len(w.edges[shell])), make([]float64, 0, len(w.edges[shell]))
	for _, e := range w.edges[shell] {
		ends = append(ends, w.local[f.grid.Ends[2*e]], w.local[f.grid.Ends[2*e+1]])
		weight = append(weight, f.grid.Weight[e])
	}
	area := make([]float64, n)
	for k, p := range s.Places {
		area[k] = max(f.grid.Area[p], 1e-12*f.size*f.size) // corners of triangles without area
	}
	err := Equilibrium(n, ends, weight, area, sources, w.look(n), func(joint int32, x []float64) {
		for k, p := range s.Places {
			w.b.Rows.Put(int(p), joint, x[k])
		}
	})
	w.done += n
	return err
}

// byShell lists the edges of the Laplacian by the shell they are of.
func (f *Figure) byShell() [][]int32 {
	out := make([][]int32, len(f.Shells))
	for e := range f.grid.Weight {
		if i := f.Of[f.grid.Ends[2*e]]; i >= 0 {
			out[i] = append(out[i], int32(e))
		}
	}
	return out
}

const (
	// faintHeat of what a seen bone would give warms a place that sees none, so that no
	// place is held by nothing.
	faintHeat = 1e-6
	// leastFar of the diagonal is as near as a bone counts.
	leastFar = 1e-4
)

// sources are what warms the places of a shell; nil where no joint may hold it. covered
// tells that most of its places have another shell between them and their bone.
func (w *worker) sources(shell int) (out []Source, covered bool) {
	f, s := w.f, &w.f.Shells[shell]
	var may []bool
	if w.o.Parts != nil && w.o.Parts.On[shell] < 0 {
		may = w.o.Parts.May[shell]
	}
	out = make([]Source, len(s.Places))
	seen, hidden := 0, 0
	least := leastFar * f.size
	for k, p := range s.Places {
		at := space.At(f.Points, p)
		w.list = f.near(at, may, w.list)
		if len(w.list) == 0 {
			return nil, false
		}
		i, by := f.firstSeen(p, at, w.list)
		if i < 0 {
			out[k] = f.source(w.list, 0, faintHeat*w.o.Narrow, least)
			if by != int32(shell) {
				hidden++
			}
			continue
		}
		out[k] = f.source(w.list, i, w.o.Narrow, least)
		seen++
	}
	w.b.Unseen[shell] = len(s.Places) - seen
	if 2*hidden > len(s.Places) {
		return out, true
	}
	if seen == 0 {
		w.b.Ways[shell] = ByNearest
		for k := range out {
			out[k].Heat /= faintHeat
		}
	}
	return out, false
}

// source is that of one of a list of bones and of those as near.
func (f *Figure) source(list []near, from int, narrow, least float64) (s Source) {
	d := list[from].distance
	for _, n := range list {
		if n.distance < d || n.distance > d*(1+equal) {
			continue
		}
		if j := int32(f.Bones[n.bone].Joint); !slices.Contains(s.Joints, j) {
			s.Joints = append(s.Joints, j)
		}
	}
	for range s.Joints {
		s.Parts = append(s.Parts, 1/float64(len(s.Joints)))
	}
	d = max(d, least)
	s.Heat = float64(len(s.Joints)) * narrow / (d * d)
	return s
}

// equal is how much farther, of its distance, a bone may be and be as near.
const equal = 1e-6

// triangles of a shell, as places.
func (f *Figure) triangles(shell int, out []uint32) []uint32 {
	for _, t := range f.Shells[shell].Triangles {
		out = append(out, f.Triangles[3*t:3*t+3]...)
	}
	return out
}

// surfaceOf joins shells to one surface, and tells which shell each triangle is of.
func (f *Figure) surfaceOf(shells []int) (s *geom.Triangles, triangles []uint32, of []int32) {
	for _, i := range shells {
		triangles = f.triangles(i, triangles)
		for range f.Shells[i].Triangles {
			of = append(of, int32(i))
		}
	}
	return geom.NewTriangles(f.Points, triangles), triangles, of
}
