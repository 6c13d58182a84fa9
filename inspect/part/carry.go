package part

import (
	"math"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Way is how a place of a part came to its weights.
type Way uint8

const (
	None   Way = iota // there was nothing to take
	Taken             // of what lies under it
	Filled            // between those around it
	Lies              // of the nearest, whatever way it faces: nothing of its shell faces what is under it
)

// Options of one carrying.
type Options struct {
	Near   float64    // of the diagonal of what is under it: how far off a place may be and take its weights
	Facing float64    // radians: how far normals may part
	May    []bool     // by joint; nil: any
	Stiff  [][]uint32 // places that go as one, by what most of them lie on
	Look   func(done float64) error
}

// Carry takes over the weights of what a part lies on, rows being those of o's places: where
// a place of the part is near enough and faces the same way or the opposite one, those of the
// nearest point; the others are filled in so that each weight is biharmonic over the part
// (Abdrashitov, Raichstat, Monsen, Hill 2023, Robust Skin Weights Transfer via Weight
// Inpainting; the Laplacian is geom's, over the tufted cover).
//
// points (3·P) and triangles (3·T) are the part, one place a position.
func (o *Over) Carry(rows *bind.Rows, points []float32, triangles []uint32, opt Options, watch *geom.Watch) (*bind.Rows, []Way, error) {
	n := len(points) / 3
	c := &carrier{o: o, rows: rows, opt: opt, points: points, out: bind.NewRows(n), ways: make([]Way, n)}
	normal := normals(points, triangles)
	own := normals(o.Points, o.Triangles)
	match := func(v int, near, cosine float64) {
		p := space.At(points, v)
		if !space.Finite(p) {
			return
		}
		hit, ok := o.surface.Closest(p, near*o.size)
		if !ok {
			return
		}
		var facing space.Vec // of the surface at the point, smooth over its edges
		for k := range 3 {
			facing = facing.Add(space.At(own, o.Triangles[3*hit.Triangle+k]).Mul(hit.At[k]))
		}
		if math.Abs(space.Direction(facing).Dot(space.At(normal, v))) >= cosine && c.take(v, &hit) {
			c.ways[v] = Taken
		}
	}
	for v := range n {
		match(v, opt.Near, math.Cos(opt.Facing))
	}
	for _, v := range c.lonely() {
		match(v, wider*opt.Near, math.Cos(farthestFacing))
	}
	for _, list := range opt.Stiff {
		c.asOne(list)
	}
	if err := watch.Err(); err != nil {
		return nil, nil, err
	}
	return c.out, c.ways, c.fill(triangles, watch)
}

const (
	// alone is how far, of the surface's diagonal, a place without weights may be from the
	// nearest that has some: from there on what is filled in between is a guess, and it takes
	// what lies under it a little more freely: so many times as far off, facing so far aside.
	alone          = 0.05
	wider          = 3 // times as far: of knight and walking man 1.09 before, .60 with it (DEVELOPERS.md)
	farthestFacing = 75 * math.Pi / 180
)

// lonely lists the places that took nothing with none that did near them.
func (c *carrier) lonely() (out []int) {
	var known []float32
	for v, w := range c.ways {
		if w == Taken {
			known = append(known, c.points[3*v:3*v+3]...)
		}
	}
	tree := geom.NewTree(known)
	limit := float32(alone * c.o.size)
	for v, w := range c.ways {
		if w == Taken || !space.Finite(space.At(c.points, v)) {
			continue
		}
		if near, _ := tree.Nearest(c.points[3*v], c.points[3*v+1], c.points[3*v+2], limit*limit); near < 0 {
			out = append(out, v)
		}
	}
	return out
}

type carrier struct {
	o      *Over
	rows   *bind.Rows
	opt    Options
	points []float32
	out    *bind.Rows
	ways   []Way
}

// take gives a place the weights at a point of the surface; false where none may hold it.
func (c *carrier) take(v int, hit *geom.Hit) bool {
	sum := 0.0
	var joints [3 * bind.K]int32
	var weight [3 * bind.K]float64
	n := 0
	for k := range 3 {
		q := int(c.o.Triangles[3*hit.Triangle+k])
		total := c.rows.Sum(q)
		if total == 0 {
			continue
		}
		for i := bind.K * q; i < bind.K*(q+1); i++ {
			j, w := c.rows.Joint[i], c.rows.Weight[i]*hit.At[k]/total
			if w == 0 || c.opt.May != nil && !c.opt.May[j] {
				continue
			}
			at := 0
			for at < n && joints[at] != j {
				at++
			}
			if at == n {
				joints[n], n = j, n+1
			}
			weight[at] += w
			sum += w
		}
	}
	if sum < leastHeld {
		return false
	}
	for i := range n {
		c.out.Put(v, joints[i], weight[i])
	}
	c.out.Whole(v)
	return true
}

// leastHeld is the least of a place's weight that joints which may hold the part must have
// for it to be taken.
const leastHeld = 0.05

// asOne gives places one row: the mean of what they lie on.
func (c *carrier) asOne(list []uint32) {
	sum := map[int32]float64{}
	for _, v := range list {
		if c.ways[v] != Taken {
			hit, ok := c.o.surface.Closest(space.At(c.points, v), math.Inf(1))
			if !ok || !c.take(int(v), &hit) {
				continue
			}
		}
		for i := bind.K * int(v); i < bind.K*int(v+1); i++ {
			sum[c.out.Joint[i]] += c.out.Weight[i]
		}
	}
	if len(sum) == 0 {
		return
	}
	for _, v := range list {
		c.out.Clear(int(v))
		for _, j := range bind.Sorted(sum) {
			c.out.Put(int(v), j, sum[j])
		}
		c.out.Whole(int(v))
		c.ways[v] = Taken
	}
}
