package bvh

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Write answers a clip of a rig as a BVH file; a clip of rig.None writes the pose at
// rest alone. Joints are the nodes of the skins; without a skin, what clips move and
// what hangs on it. The format knows no axes at rest, so rotations are written as
// what each joint turns in the world since rest, against its parent's turn; joints
// whose bone changes its length get position columns. Roots get OFFSET 0 0 0 and
// their whole place as positions, which every reader takes alike. Lengths stay in
// the rig's unit. Key steps longer than 1/20 s are parted evenly. The error says
// that there is no joint to write, or that the clip is too long for even steps.
func Write(r *rig.Rig, clip rig.Clip) ([]byte, error) {
	w, err := newWriter(r)
	if err != nil {
		return nil, err
	}
	if err := w.sample(clip); err != nil {
		return nil, err
	}
	w.tree()
	w.motion()
	return w.out.Bytes(), nil
}

type writer struct {
	r      *rig.Rig
	joints []outJoint
	pose   *deform.Pose
	rest   []rig.Affine
	times  []float64
	step   float64
	height float64
	out    bytes.Buffer
}

// outJoint is one joint as it is written.
type outJoint struct {
	node     rig.Node
	parent   int // place in writer.joints
	kids     []int
	rest     mgl64.Mat3 // world at rest, scale taken out
	offset   [3]float64
	root     bool
	end      bool // a leaf that nothing turns: an End Site
	turns    bool
	shifts   bool
	order    int // place in orders
	rotation []mgl64.Mat3
	place    [][3]float32
}

func newWriter(r *rig.Rig) (*writer, error) {
	w := &writer{r: r, pose: deform.NewPose(r), height: restHeight(r)}
	w.rest = slices.Clone(w.pose.World)
	in := Joints(r)
	above := r.Above(in)
	place := make([]int, len(r.Nodes))
	for _, n := range r.Order {
		place[n] = -1
		if !in[n] {
			continue
		}
		j := outJoint{node: n, parent: -1, rest: unscaled(&w.rest[n])}
		at := w.rest[n].Origin()
		if up := above[n]; up >= 0 {
			j.parent = place[up]
		}
		place[n] = len(w.joints)
		if j.parent >= 0 {
			up := &w.joints[j.parent]
			up.kids = append(up.kids, len(w.joints))
			from := w.rest[up.node].Origin()
			for c := range j.offset {
				j.offset[c] = at[c] - from[c]
			}
		} else {
			j.root = true
		}
		w.joints = append(w.joints, j)
	}
	if len(w.joints) == 0 {
		return nil, fmt.Errorf("%q has no joint to write: no skin, and no clip that moves a node", r.File.Name)
	}
	return w, nil
}

// Joints tells for every node whether it is a joint: as the rig says; where it says
// none, what clips move and what hangs on it without a mesh.
func Joints(r *rig.Rig) []bool {
	in := r.Joints()
	if slices.Contains(in, true) {
		return in
	}
	return r.Moved(in)
}

// mostTurns bounds rows × joints, some 900 MB of work in hand: an hour of 80 joints at
// 30 rows a second.
const mostTurns = 10_000_000

// sample works out the rows.
func (w *writer) sample(clip rig.Clip) (err error) {
	if w.times, w.step, err = frames(w.r, clip, mostTurns/len(w.joints)); err != nil {
		return err
	}
	for _, t := range w.times {
		w.pose.Sample(clip, t)
		for i := range w.joints {
			j := &w.joints[i]
			now := unscaled(&w.pose.World[j.node])
			turn := now.Mul3(j.rest.Transpose()) // in the world, since rest
			at := w.pose.World[j.node].Origin()
			p := [3]float64(at)
			if j.parent >= 0 {
				up := &w.joints[j.parent]
				was := unscaled(&w.pose.World[up.node])
				over := was.Mul3(up.rest.Transpose()).Transpose()
				from := w.pose.World[up.node].Origin()
				p = over.Mul3x1(at.Sub(from))
				turn = over.Mul3(turn)
			}
			j.rotation = append(j.rotation, turn)
			j.place = append(j.place, [3]float32{float32(p[0]), float32(p[1]), float32(p[2])})
			j.turns = j.turns || turned(&turn) > 1e-6
			off := space.Vec(p).Sub(j.offset).Len()
			j.shifts = j.shifts || j.root || off > max(1e-6*w.height, 1e-5*space.Vec(j.offset).Len())
		}
	}
	for i := range w.joints {
		j := &w.joints[i]
		j.end = len(j.kids) == 0 && !j.root && !j.turns && !j.shifts && !w.keyed(clip, j.node)
		j.order = chooseOrder(j.rotation)
	}
	return nil
}

// keyed tells whether a clip has a channel on the node.
func (w *writer) keyed(clip rig.Clip, n rig.Node) bool {
	return clip >= 0 && int(clip) < len(w.r.Clips) &&
		slices.ContainsFunc(w.r.Clips[clip].Channels, func(c rig.Channel) bool { return c.Node == n && c.Path != rig.Weights })
}

// frames cuts a clip into even steps: the median step of the channel with most keys,
// halved until it is no longer than 1/20 s. More than most rows are refused: cut short,
// a clip would end somewhere, and with longer steps it would be read at another speed.
func frames(r *rig.Rig, clip rig.Clip, most int) (times []float64, step float64, err error) {
	step = 1.0 / 30
	if clip < 0 || int(clip) >= len(r.Clips) {
		return nil, step, nil
	}
	c := &r.Clips[clip]
	var keys []float32
	for i := range c.Channels {
		if len(c.Channels[i].Times) > len(keys) {
			keys = c.Channels[i].Times
		}
	}
	if len(keys) == 0 {
		return nil, step, nil
	}
	if n := len(keys); n > 1 {
		gaps := make([]float64, 0, n-1)
		for i := 1; i < n; i++ {
			if g := float64(keys[i]) - float64(keys[i-1]); g > 0 && !math.IsInf(g, 0) {
				gaps = append(gaps, g)
			}
		}
		if len(gaps) > 0 {
			step = space.Ranked(gaps, len(gaps)/2)
			// Even steps: the mean over the whole has less rounding in it.
			if mean := float64(keys[n-1]-keys[0]) / float64(n-1); math.Abs(mean-step) < 1e-3*step {
				step = mean
			}
		}
	}
	for step > 1.0/20 {
		step /= 2
	}
	step = max(step, 1e-4)
	step, _ = strconv.ParseFloat(strconv.FormatFloat(step, 'f', 7, 64), 64)
	rows := math.Round((c.Seconds-c.Start)/step) + 1
	if !(rows <= float64(most)) {
		return nil, 0, fmt.Errorf("clip %q ends at %.4g s: in steps of %.3g s that is %.3g rows for every joint, more than the %d that are written at most; cut the clip, or mend the time of its last keyframe",
			c.Name, c.Seconds, step, rows, most)
	}
	n := max(1, int(rows))
	k := 0
	for i := range n {
		t := c.Start + float64(i)*step
		// At a key where there is one: between keys everything is only near.
		for k+1 < len(keys) && math.Abs(float64(keys[k+1])-t) <= math.Abs(float64(keys[k])-t) {
			k++
		}
		if key := float64(keys[k]); math.Abs(key-t) < 0.02*step {
			t = key
		}
		times = append(times, t)
	}
	return times, step, nil
}

// tree writes HIERARCHY, depth first without recursion.
func (w *writer) tree() {
	w.out.WriteString("HIERARCHY\n")
	type item struct {
		joint, depth int
		close        bool
	}
	var stack []item
	for i := len(w.joints) - 1; i >= 0; i-- {
		if w.joints[i].root {
			stack = append(stack, item{joint: i})
		}
	}
	for len(stack) > 0 {
		it := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		tab := strings.Repeat("\t", min(it.depth, ceiling.CaptureDepth))
		if it.close {
			fmt.Fprintf(&w.out, "%s}\n", tab)
			continue
		}
		j := &w.joints[it.joint]
		switch {
		case j.root:
			fmt.Fprintf(&w.out, "%sROOT %s\n%s{\n%s\tOFFSET 0 0 0\n", tab, w.name(j.node), tab, tab)
		case j.end:
			fmt.Fprintf(&w.out, "%sEnd Site\n%s{\n%s\tOFFSET %s\n", tab, tab, tab, triple(j.offset))
		default:
			fmt.Fprintf(&w.out, "%sJOINT %s\n%s{\n%s\tOFFSET %s\n", tab, w.name(j.node), tab, tab, triple(j.offset))
		}
		stack = append(stack, item{it.joint, it.depth, true})
		if j.end {
			continue
		}
		turns := orders[j.order].names
		if j.shifts {
			fmt.Fprintf(&w.out, "%s\tCHANNELS 6 Xposition Yposition Zposition %s\n", tab, turns)
		} else {
			fmt.Fprintf(&w.out, "%s\tCHANNELS 3 %s\n", tab, turns)
		}
		if len(j.kids) == 0 {
			fmt.Fprintf(&w.out, "%s\tEnd Site\n%s\t{\n%s\t\tOFFSET 0 0 0\n%s\t}\n", tab, tab, tab, tab)
		}
		for i := len(j.kids) - 1; i >= 0; i-- {
			stack = append(stack, item{joint: j.kids[i], depth: it.depth + 1})
		}
	}
}

// name is the node's name as a BVH line can hold it.
func (w *writer) name(n rig.Node) string {
	s := strings.Map(func(r rune) rune {
		switch r {
		case '{', '}', '\n', '\r', '\t':
			return '_'
		}
		return r
	}, w.r.Nodes[n].Name)
	if s = tidy(s); s == "" {
		return fmt.Sprintf("node_%d", n)
	}
	return strings.ReplaceAll(s, " ", "_") // few readers take blanks
}

// motion writes MOTION: angles to a ten-thousandth of a degree, places as the
// shortest decimal that reads back to the same float32.
func (w *writer) motion() {
	fmt.Fprintf(&w.out, "MOTION\nFrames: %d\nFrame Time: %s\n", len(w.times), strconv.FormatFloat(w.step, 'f', 7, 64))
	list := w.depthFirst()
	var line []byte
	for k := range w.times {
		line = line[:0]
		for _, i := range list {
			j := &w.joints[i]
			if j.end {
				continue
			}
			if j.shifts {
				for _, v := range j.place[k] {
					line = append(strconv.AppendFloat(line, float64(v)+0, 'f', -1, 32), ' ')
				}
			}
			for _, a := range orders[j.order].angles(&j.rotation[k]) {
				line = append(strconv.AppendFloat(line, rounded(a), 'f', -1, 64), ' ')
			}
		}
		if n := len(line); n > 0 {
			line[n-1] = '\n'
		}
		w.out.Write(line)
	}
}

// depthFirst is the order of the columns.
func (w *writer) depthFirst() (list []int) {
	var stack []int
	for i := len(w.joints) - 1; i >= 0; i-- {
		if w.joints[i].root {
			stack = append(stack, i)
		}
	}
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		list = append(list, i)
		for _, k := range slices.Backward(w.joints[i].kids) {
			stack = append(stack, k)
		}
	}
	return list
}

// rounded is an angle in degrees to four decimals, −0 as 0.
func rounded(radians float64) float64 {
	return math.Round(radians*(180/math.Pi)*1e4)/1e4 + 0
}

func triple(v [3]float64) string {
	var s []string
	for _, x := range v {
		s = append(s, strconv.FormatFloat(float64(float32(x))+0, 'f', -1, 32))
	}
	return strings.Join(s, " ")
}
