package motion

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// JointCurves is what one joint does in one clip by itself, against the joint above
// it: its turn from rest, how fast it turns, its shift from rest.
type JointCurves struct {
	Clip    rig.Clip `json:"clip"`
	Node    rig.Node `json:"node"`
	Name    rig.Name `json:"name"`
	Start   float64  `json:"start_seconds"`
	Seconds float64  `json:"seconds"`

	Times []float64 `json:"times"` // seconds; rising; each key and moments between

	// The turn from rest as a rotation vector in the joint's own axes: its direction is
	// the axis, its length the angle. It is carried on past a half turn, so no curve
	// breaks. Degrees. Angle is its length.
	X     []float64 `json:"x_degrees"`
	Y     []float64 `json:"y_degrees"`
	Z     []float64 `json:"z_degrees"`
	Angle []float64 `json:"degrees"`
	Speed []float64 `json:"degrees_per_second"` // from this moment to the next; the last is that before it

	// Shift from rest along the axes of the joint above, metres at rest's scale; empty
	// where no channel shifts it.
	ShiftX []float64 `json:"x_m"`
	ShiftY []float64 `json:"y_m"`
	ShiftZ []float64 `json:"z_m"`

	Channels []CurveChannel `json:"channels"`
}

// CurveChannel is one channel of the joint: where its keys stand.
type CurveChannel struct {
	Path          string    `json:"path"`          // rotation, translation, scale, as glTF names them
	Interpolation string    `json:"interpolation"` // LINEAR, STEP, CUBICSPLINE
	Keys          []float64 `json:"keys"`          // seconds
}

// How many moments a curve has at least, spread evenly, and at most: a strip on the page is some
// hundred pixels wide, and so many keys are sent for one joint at a time.
const (
	curveLeast = 240
	curveMost  = 4000
)

// Curves reads one joint's curves. Source of the interpolation: glTF 2.0, Appendix C;
// of the rotation vector: the logarithm of the unit quaternion, q = (v̂ sin θ/2, cos θ/2).
func Curves(e *exam.Exam, id rig.Clip, n rig.Node) (*JointCurves, error) {
	if id < 0 || int(id) >= len(e.Rig.Clips) {
		return nil, fmt.Errorf("there is no clip %d; the file holds %d", id, len(e.Rig.Clips))
	}
	if n < 0 || int(n) >= len(e.Rig.Nodes) {
		return nil, fmt.Errorf("there is no node %d; the file holds %d", n, len(e.Rig.Nodes))
	}
	c, node := &e.Rig.Clips[id], &e.Rig.Nodes[n]
	out := &JointCurves{Clip: id, Node: n, Name: rig.Name(node.Name), Start: finite(c.Start), Seconds: finite(c.Seconds),
		ShiftX: []float64{}, ShiftY: []float64{}, ShiftZ: []float64{}, Channels: []CurveChannel{}}
	var turn, place *rig.Channel
	for i := range c.Channels {
		ch := &c.Channels[i]
		if ch.Node != n || !usable(e.Rig, ch) || ch.Path == rig.Weights {
			continue
		}
		switch ch.Path {
		case rig.Rotation:
			turn = ch
		case rig.Translation:
			place = ch
		}
		k := CurveChannel{Path: pathWords[ch.Path], Interpolation: interpolationWords[ch.Interpolation], Keys: make([]float64, len(ch.Times))}
		for i, t := range ch.Times {
			k.Keys[i] = float64(t)
		}
		out.Channels = append(out.Channels, k)
	}
	out.Times = curveTimes(c, turn, place)
	out.turns(turn, node.R)
	if place != nil {
		scale := metresOf(e, n)
		track, _ := deform.NewTrack(place)
		for _, t := range out.Times {
			v := track.Vector(t).Sub(node.T).Mul(scale)
			out.ShiftX = append(out.ShiftX, finite(v[0]))
			out.ShiftY = append(out.ShiftY, finite(v[1]))
			out.ShiftZ = append(out.ShiftZ, finite(v[2]))
		}
	}
	return out, nil
}

var (
	pathWords          = map[rig.Path]string{rig.Rotation: "rotation", rig.Translation: "translation", rig.Scale: "scale"}
	interpolationWords = map[rig.Interpolation]string{rig.Linear: "LINEAR", rig.Step: "STEP", rig.Cubic: "CUBICSPLINE"}
)

// metresOf is how many metres of the world one unit of a node's translation is
// at rest.
func metresOf(e *exam.Exam, n rig.Node) float64 {
	p := e.Rig.Nodes[n].Parent
	if p < 0 {
		return 1
	}
	return e.RestWorld()[p].Scale()
}

// curveTimes are the keys of the channels, the last moment before each step, and an
// even grid; thinned evenly where they are too many.
func curveTimes(c *rig.ClipData, channels ...*rig.Channel) (times []float64) {
	start, end := finite(c.Start), finite(c.Seconds)
	times = append(times, start, end)
	for _, ch := range channels {
		if ch == nil {
			continue
		}
		for _, t := range ch.Times {
			s := float64(t)
			if ch.Interpolation == rig.Step && s > start {
				times = append(times, math.Nextafter(s, start))
			}
			times = append(times, s)
		}
	}
	slices.Sort(times)
	keys := times
	for i := 1; i < curveLeast; i++ {
		t := start + (end-start)*float64(i)/curveLeast
		near := 0.01 * (end - start) / curveLeast
		if at, _ := slices.BinarySearch(keys, t-near); at == len(keys) || keys[at] > t+near {
			times = append(times, t)
		}
	}
	slices.Sort(times)
	times = slices.Compact(times)
	if len(times) > curveMost {
		thin := make([]float64, curveMost)
		for i := range thin {
			thin[i] = times[i*(len(times)-1)/(curveMost-1)]
		}
		times = slices.Compact(thin)
	}
	return times
}

// turns fills the curves of the rotation.
func (j *JointCurves) turns(c *rig.Channel, rest [4]float64) {
	n := len(j.Times)
	j.X, j.Y, j.Z, j.Angle, j.Speed = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	if c == nil {
		return
	}
	still, _ := space.UnitQuat(space.FromXYZW(rest))
	track, _ := deform.NewTrack(c)
	var last space.Vec
	var before space.Quat
	for i, t := range j.Times {
		q, ok := track.Rotation(t)
		if !ok {
			q = still
		}
		v := nearestVector(space.Log(still.Conjugate().Mul(q)), last)
		last = v
		const degrees = 180 / math.Pi
		j.X[i], j.Y[i], j.Z[i] = v[0]*degrees, v[1]*degrees, v[2]*degrees
		j.Angle[i] = v.Len() * degrees
		if i > 0 {
			dt := t - j.Times[i-1]
			if dt > 1e-9 { // nearer moments are a step: no speed of its own
				j.Speed[i-1] = finite(space.Apart(before, q) * degrees / dt)
			}
		}
		before = q
	}
	if n > 1 {
		j.Speed[n-1] = j.Speed[n-2]
	}
}

// nearestVector answers the vector of the same rotation that is nearest to another:
// whole turns about the axis make no difference to the rotation.
func nearestVector(v, to space.Vec) space.Vec {
	angle, along := v.Len(), to.Len()
	var axis space.Vec
	switch {
	case angle > 1e-9:
		axis = v.Mul(1 / angle)
	case along > 1e-9: // no turn, or whole turns about the axis at hand
		axis = to.Mul(1 / along)
	default:
		return v
	}
	angle += 2 * math.Pi * math.Round((axis.Dot(to)-angle)/(2*math.Pi))
	return axis.Mul(angle)
}

// WriteCSV writes the curves as a table, a row a moment (RFC 4180): seconds, degrees,
// degrees a second, and metres where a channel shifts the joint.
func (j *JointCurves) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := []string{"seconds", "x_degrees", "y_degrees", "z_degrees", "degrees", "degrees_per_second"}
	columns := [][]float64{j.Times, j.X, j.Y, j.Z, j.Angle, j.Speed}
	if len(j.ShiftX) > 0 {
		head = append(head, "x_m", "y_m", "z_m")
		columns = append(columns, j.ShiftX, j.ShiftY, j.ShiftZ)
	}
	if err := out.Write(head); err != nil {
		return err
	}
	row := make([]string, len(columns))
	for i := range j.Times {
		for c := range columns {
			row[c] = strconv.FormatFloat(columns[c][i], 'g', 9, 64)
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
