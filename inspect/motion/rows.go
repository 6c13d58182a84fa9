package motion

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// ClipRows is a clip joint by joint: when each is keyed, and when it moves by itself
// (against the joint above it, not with it).
type ClipRows struct {
	Clip    rig.Clip `json:"clip"`
	Name    rig.Name `json:"name"`
	Start   float64  `json:"start_seconds"`
	Seconds float64  `json:"seconds"`
	Columns int      `json:"columns"` // equal parts of start to seconds
	Joints  []Row    `json:"joints"`  // in tree order: a parent before what hangs on it
}

// Row is one joint of a clip.
type Row struct {
	Node    rig.Node `json:"node"`
	Name    rig.Name `json:"name"`
	Depth   int      `json:"depth"`   // joints above it
	State   string   `json:"state"`   // moves, held, at rest, never keyed
	Follows bool     `json:"follows"` // something above it moves
	Keys    int      `json:"keys"`    // moments at which it has a key
	Degrees float64  `json:"degrees"` // farthest turn of a key from the first
	Metres  float64  `json:"metres"`  // farthest shift of a key from the first

	Keyed []int     `json:"keyed"`              // keys in each column
	Turns []float64 `json:"degrees_per_second"` // largest in each column; a jump counts as spread over its column
	Ways  []float64 `json:"metres_per_second"`  // the same; empty where it never shifts
}

// Words of Row.State, by State.
var stateWords = [...]string{NeverKeyed: "never keyed", KeyedAtRest: "at rest", Held: "held", Moves: "moves"}

// Stays tells rows that stay while something above them moves: what a person looks
// for who asks why a chain is stiff.
func (r *Row) Stays() bool { return r.State != stateWords[Moves] && r.Follows }

// parts of a stretch between two keys of a cubic channel, whose speed changes on the way.
const cubicParts = 8

// mostColumns bounds what a picture can show.
const mostColumns = 4096

// Rows reads the keys of one clip. Speeds are those of the interpolation: even
// between two keys of a linear channel (glTF 2.0, Appendix C). Linear in the keys.
func Rows(e *exam.Exam, id rig.Clip, columns int) (*ClipRows, error) {
	if id < 0 || int(id) >= len(e.Rig.Clips) {
		return nil, fmt.Errorf("there is no clip %d; the file holds %d", id, len(e.Rig.Clips))
	}
	if columns < 1 || columns > mostColumns {
		return nil, fmt.Errorf("%d columns, want 1 to %d", columns, mostColumns)
	}
	m := newKeyReader(e)
	m.readClip(id)
	c := &e.Rig.Clips[id]
	t := &grid{start: finite(c.Start), columns: columns}
	t.width = (finite(c.Seconds) - t.start) / float64(columns)
	out := &ClipRows{Clip: id, Name: rig.Name(c.Name), Start: t.start, Seconds: finite(c.Seconds), Columns: columns}
	at := make([]int, len(e.Rig.Nodes))    // row + 1
	depth := make([]int, len(e.Rig.Nodes)) // joints above what hangs on a node
	for _, n := range e.Rig.Order {        // depth first
		if p := e.Rig.Nodes[n].Parent; p >= 0 {
			depth[n] = depth[p]
		}
		if !m.isJoint[n] {
			continue
		}
		depth[n]++
		row := Row{Node: n, Name: rig.Name(e.Rig.Nodes[n].Name), State: stateWords[m.states[n]], Keyed: make([]int, columns), Turns: make([]float64, columns), Ways: []float64{}}
		if p := e.Rig.Nodes[n].Parent; p >= 0 {
			row.Depth, row.Follows = depth[p], m.carried[p]
		}
		out.Joints = append(out.Joints, row)
		at[n] = len(out.Joints)
	}
	times := make([][]float32, len(e.Rig.Nodes))
	for i := range m.keys {
		k := &m.keys[i]
		if at[k.node] == 0 || k.path == rig.Weights {
			continue
		}
		row, ch := &out.Joints[at[k.node]-1], &c.Channels[k.channel]
		times[k.node] = append(times[k.node], ch.Times...)
		switch k.path {
		case rig.Rotation:
			row.Degrees = max(row.Degrees, k.reach)
			if track, ok := deform.NewTrack(ch); ok {
				var last space.Quat
				t.spread(row.Turns, ch, func(seconds float64) (float64, bool) {
					q, ok := track.Rotation(seconds)
					if !ok {
						return 0, false
					}
					way := mgl64.RadToDeg(space.Apart(last, q))
					last = q
					return way, true
				})
			}
		case rig.Translation:
			row.Metres = max(row.Metres, k.reach)
			if track, ok := deform.NewTrack(ch); ok && k.moves {
				row.Ways = make([]float64, columns)
				var last space.Vec
				t.spread(row.Ways, ch, func(seconds float64) (float64, bool) {
					v := track.Vector(seconds)
					way := m.scale[k.node] * v.Sub(last).Len()
					last = v
					return way, true
				})
			}
		}
	}
	for n, list := range times {
		if len(list) == 0 {
			continue
		}
		row := &out.Joints[at[n]-1]
		slices.Sort(list)
		for _, s := range slices.Compact(list) {
			row.Keyed[t.column(float64(s))]++
			row.Keys++
		}
	}
	return out, nil
}

// newKeyReader is a meter for the keys alone.
func newKeyReader(e *exam.Exam) *meter {
	n := len(e.Rig.Nodes)
	return &meter{figure: newFigure(e), states: make([]State, n), carried: make([]bool, n)}
}

// grid cuts a clip into columns of equal time.
type grid struct {
	start, width float64
	columns      int
}

func (g *grid) column(seconds float64) int {
	if !(g.width > 0) {
		return 0
	}
	return min(max(int((seconds-g.start)/g.width), 0), g.columns-1)
}

// spread notes in each column the largest speed of a channel there. way answers how far
// the channel has come at a moment since the last one at which it had a value; false
// where it has none. It is asked for rising moments; its first answer says nothing.
func (g *grid) spread(speeds []float64, c *rig.Channel, way func(seconds float64) (float64, bool)) {
	if _, ok := way(float64(c.Times[0])); !ok {
		return
	}
	parts := 1
	if c.Interpolation == rig.Cubic {
		parts = cubicParts
	}
	for i := 1; i < len(c.Times); i++ {
		from, to := float64(c.Times[i-1]), float64(c.Times[i])
		if !(to > from) {
			continue
		}
		for p := 1; p <= parts; p++ {
			s, t := from+(to-from)*float64(p-1)/float64(parts), to
			if p < parts {
				t = from + (to-from)*float64(p)/float64(parts)
			}
			d, ok := way(t)
			if !ok || !(d > 0) {
				continue
			}
			if c.Interpolation == rig.Step || t-s < cut { // a jump, at its end
				if g.width > 0 {
					k := g.column(t)
					speeds[k] = max(speeds[k], d/g.width)
				}
				continue
			}
			// A stretch that only ends at a column's first moment does not reach into it.
			last := g.column(t)
			if g.width > 0 && last > g.column(s) && g.start+float64(last)*g.width >= t {
				last--
			}
			for k := g.column(s); k <= last; k++ {
				speeds[k] = max(speeds[k], finite(d/(t-s)))
			}
		}
	}
}

// StillFirst orders rows for who looks for what does not move: first those that stay
// while something above them moves, then the other still ones, then the rest, each
// kind in tree order (the sort must be stable).
func StillFirst(a, b Row) int { return a.rank() - b.rank() }

func (r *Row) rank() int {
	switch {
	case r.State == stateWords[Moves]:
		return 3
	case r.State == stateWords[Held]:
		return 2
	case r.Follows:
		return 0
	}
	return 1
}

// TurnFirst orders rows by how far they turn, the farthest first.
func TurnFirst(a, b Row) int { return cmp.Compare(b.Degrees, a.Degrees) }
