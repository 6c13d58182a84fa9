package intake

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// Bounds holds a surface's true box at rest against the one a player takes: the
// declared POSITION box, carried by the node as if the surface were not skinned.
type Bounds struct {
	Player   geom.Box `json:"-"`
	True     geom.Box `json:"-"`
	Boxed    bool     `json:"boxed"`           // a player has a box of it
	Outside  float64  `json:"outside"`         // share of the true box outside the player's
	Ratio    float64  `json:"ratio"`           // diagonal of the player's box ÷ that of the true one; 1 where there is none
	Declared float64  `json:"declared"`        // largest difference between declared and stored extremes ÷ diagonal of the stored box
	Wrong    int      `json:"wrong_primitive"` // the primitive with that difference, None
	WrongM   float64  `json:"wrong_m"`         // that difference in world metres, by the size of the surface against its stored size

	reach influence // for the clips
}

// bounds measures one surface.
func bounds(e *exam.Exam, surface int, in influence) (b Bounds) {
	r := e.Rig
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	b = Bounds{Player: geom.EmptyBox(), True: e.SurfaceBox(surface), Ratio: 1, Wrong: rig.None, reach: in}
	node := e.RestWorld()[s.Node]
	for i := range m.Primitives {
		p := &m.Primitives[i]
		if p.Count == 0 {
			continue
		}
		lo, hi := p.TrueMin, p.TrueMax
		if p.HasBounds {
			if d, off := declaredOff(p); d > b.Declared {
				b.Declared, b.Wrong, b.WrongM = d, i, off
			}
			lo, hi = p.Min, p.Max
		}
		step := storedStep(p)
		if step == 0 {
			step = 1
		}
		stored := geom.Box{Min: lo, Max: hi}
		for c := range 3 {
			stored.Min[c] *= step
			stored.Max[c] *= step
		}
		b.Player = b.Player.Union(carry(&node, stored))
	}
	if b.Wrong >= 0 {
		step := storedStep(&m.Primitives[b.Wrong])
		if step == 0 {
			step = 1
		}
		b.WrongM = finite(b.WrongM * step * worldScale(e, surface))
	}
	b.Boxed = !b.Player.IsEmpty()
	if !b.Boxed || b.True.IsEmpty() {
		return b
	}
	b.Outside = outside(b.True, b.Player)
	if d := b.True.Diagonal(); d > 0 {
		b.Ratio = finite(b.Player.Diagonal() / d)
	}
	return b
}

// declaredOff compares declared with stored extremes in single precision (glTF
// 2.0, Accessors Bounds): relative to the size of the stored box, and as stored.
func declaredOff(p *rig.PrimitiveData) (relative, off float64) {
	size := 0.0
	for c := range 3 {
		size += (p.TrueMax[c] - p.TrueMin[c]) * (p.TrueMax[c] - p.TrueMin[c])
		off = max(off,
			math.Abs(float64(float32(p.Min[c]))-p.TrueMin[c]),
			math.Abs(float64(float32(p.Max[c]))-p.TrueMax[c]))
	}
	size = math.Sqrt(size)
	switch {
	case off <= p.Slack: // 0 but of shapes that came packed: the box is that of before
		return 0, 0
	case size == 0 || math.IsNaN(off) || math.IsInf(off, 0):
		return 1, finite(off)
	}
	return off / size, off
}

// carry is the box of a box's eight corners carried by a matrix.
func carry(a *rig.Affine, b geom.Box) geom.Box {
	if b.IsEmpty() {
		return b
	}
	var out geom.Box
	for i := range 3 {
		row := a[4*i : 4*i+4]
		mid, half := row[3], 0.0
		for c := range 3 {
			mid += row[c] * (b.Min[c] + b.Max[c]) / 2
			half += math.Abs(row[c]) * (b.Max[c] - b.Min[c]) / 2
		}
		out.Min[i], out.Max[i] = mid-half, mid+half
	}
	return out
}

// outside is the share of a box that lies outside another. An axis along which
// the box has no extent counts whole when it lies within, else not at all.
func outside(box, of geom.Box) float64 {
	if box.IsEmpty() {
		return 0
	}
	// A box a hair larger than another is not outside it: stored in single
	// precision the two are never equal.
	slack := 1e-6 * box.Diagonal()
	inside := 1.0
	for c := range 3 {
		lo, hi := max(box.Min[c], of.Min[c]-slack), min(box.Max[c], of.Max[c]+slack)
		switch size := box.Max[c] - box.Min[c]; {
		case hi < lo:
			inside = 0
		case size > 0:
			inside *= (hi - lo) / size
		}
	}
	return max(0, 1-inside)
}
