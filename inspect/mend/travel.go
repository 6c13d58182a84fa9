package mend

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var splitTravel = Mend{
	ID:     "travel",
	Title:  "Split off travel",
	Stage:  Motion,
	Beside: []string{"motion/travel"},
	Does: "The level way that a clip takes the figure is taken off its hips and put on the root above them, so that whoever plays the clip can move the figure by it; or it is taken away, and the clip stays in place. " +
		"Put on the root, every joint is where it was in the world.",
	Source: "closed form: what the root gains, the hips lose, through the transforms between (glTF 2.0, Nodes)",
	Parameters: []Parameter{
		{Name: "clips", Title: "Clips", Kind: List, Says: "By name or number, from 0. None: all that go somewhere by their hips."},
		{Name: "to", Title: "Goes to", Kind: Choice, Default: "root", Choices: []string{"root", "root, straight", "nowhere"},
			Says: "The root takes the whole level way, or the straight line from the first moment to the last and sway stays on the hips; nowhere: that line is taken away."},
	},
	Apply: func(w *Work) error {
		t := &splitter{w: w, is: *w.Rig}
		t.is.Clips = slices.Clone(w.Rig.Clips)
		err := w.eachClip(func(i rig.Clip, f *motion.Clip) bool {
			return f.Travel.Heights > leastTravel && f.Travel.Node != nil && !w.movesAbove(i, *f.Travel.Node)
		}, "No clip goes somewhere by its hips alone.", t.split)
		if err != nil {
			return err
		}
		if t.done == 0 {
			return w.Refuse("Nothing carries the figure in these clips.")
		}
		w.Measure(check.Also("clips", float64(t.done), say.Clips))
		w.Measure(check.Also("longest way", t.way, say.Metre))
		return w.Write(&t.is, nil)
	},
}

// leastTravel is the way from which a clip goes somewhere, in heights: that of Motion.
const leastTravel = 0.05

type splitter struct {
	w    *Work
	is   rig.Rig
	root map[rig.Node]rig.Node // by hips that hung on nothing the root they got
	done int
	way  float64 // metres
}

// movesAbove tells that a clip moves a node above another.
func (w *Work) movesAbove(i rig.Clip, n rig.Node) bool {
	for n = w.Rig.Nodes[n].Parent; n >= 0; n = w.Rig.Nodes[n].Parent {
		for k := range w.Rig.Clips[i].Channels {
			if ch := &w.Rig.Clips[i].Channels[k]; ch.Node == n && ch.Path != rig.Weights && !deform.Still(ch) {
				return true
			}
		}
	}
	return false
}

// clipWorld is where nodes are at a moment of a clip.
func clipWorld(r *rig.Rig, i rig.Clip, seconds float64) []rig.Affine {
	p := deform.NewPose(r)
	p.Sample(i, seconds)
	return p.World
}

// backward is a direction of the world in a node's own space; false: it is scaled to nothing.
func backward(m *rig.Affine, d space.Vec) (space.Vec, bool) {
	inv, ok := m.Inverse()
	if !ok {
		return space.Vec{}, false
	}
	v := inv.Direction(d)
	return v, space.Finite(v)
}

// stretchOf is how much longer than its own units ways below a node are in the world.
func stretchOf(world []rig.Affine, n rig.Node) float64 {
	if n < 0 {
		return 1
	}
	s := world[n].Scales()
	return max(s[0], s[1], s[2])
}

// split takes the level way of one clip off the node that carries the figure.
func (t *splitter) split(i rig.Clip, f *motion.Clip) error {
	w, c := t.w, &t.w.Rig.Clips[i]
	if f == nil || f.Travel.Node == nil {
		w.Leave("Clip %s carries the figure nowhere.", w.clipName(i))
		return nil
	}
	hips := *f.Travel.Node
	k := channelOf(c, hips, rig.Translation)
	if k < 0 {
		w.Leave("In clip %s %s keeps its place.", w.clipName(i), w.Exam.NodeName(hips))
		return nil
	}
	if w.movesAbove(i, hips) {
		return w.Refuse("In clip %s something above %s moves: its way is no longer on the hips alone.", w.clipName(i), w.Exam.NodeName(hips))
	}
	ch := &c.Channels[k]
	if err := w.movable(i, ch); err != nil {
		return err
	}
	world := clipWorld(w.Rig, i, c.Start)
	inner := rig.Identity
	if p := w.Rig.Nodes[hips].Parent; p >= 0 {
		inner = world[p]
	}
	keys := keyList(ch)
	level := func(v []float64) space.Vec {
		d := inner.Direction(space.Vec{v[0], v[1], v[2]})
		d[1] = 0
		return d
	}
	begin, end := keyAt(ch, keys, c.Start).value, keyAt(ch, keys, c.Seconds).value
	from, whole := level(begin), level(end).Sub(level(begin))
	t.way = max(t.way, whole.Len())
	straight := w.Values.Text("to") != "root"
	if straight && ch.Interpolation == rig.Step {
		return w.Refuse("In clip %s %s goes in steps: no straight way lies in them.", w.clipName(i), w.Exam.NodeName(hips))
	}
	// The level way at each key, and its slopes, world.
	way := make([]keyed, 0, len(keys)+2)
	if straight {
		keys = cut(ch, cut(ch, keys, c.Start), c.Seconds)
	}
	for _, key := range keys {
		n := keyed{at: key.at}
		if straight {
			n.value = list(whole.Mul((key.at - c.Start) / (c.Seconds - c.Start)))
			if key.in != nil {
				slope := list(whole.Mul(1 / (c.Seconds - c.Start)))
				n.in, n.out = slope, slope
			}
		} else {
			n.value = list(level(key.value).Sub(from))
			if key.in != nil {
				n.in, n.out = list(level(key.in)), list(level(key.out))
			}
		}
		way = append(way, n)
	}
	d := t.is.Clips[i]
	d.Channels = slices.Clone(d.Channels)
	lost, ok := through(&inner, way)
	if !ok {
		return w.Refuse("What %s hangs on is scaled to nothing.", w.Exam.NodeName(hips))
	}
	for k := range keys {
		keys[k].value, keys[k].in, keys[k].out = less(keys[k].value, lost[k].value), less(keys[k].in, lost[k].in), less(keys[k].out, lost[k].out)
	}
	d.Channels[k] = withKeys(ch, keys)
	if w.Values.Text("to") != "nowhere" {
		if err := t.onto(&d, i, hips, world, way, ch); err != nil {
			return err
		}
	} else {
		w.Say("Clip %s stays in place; it went %s.", w.clipName(i), say.Quantity(whole.Len(), say.Metre))
	}
	t.is.Clips[i] = d
	t.done++
	return nil
}

// onto puts a way on the topmost node above the hips. Whatever else hangs on the nodes
// between and has a way of its own loses it as the hips do; what has none goes along.
func (t *splitter) onto(d *rig.ClipData, i rig.Clip, hips rig.Node, world []rig.Affine, way []keyed, like *rig.Channel) error {
	w := t.w
	root := w.Rig.Nodes[hips].Parent
	if root < 0 {
		c := rig.Channel{Path: rig.Translation, Interpolation: like.Interpolation, Width: 3}
		return t.fresh(d, i, hips, c, way)
	}
	for w.Rig.Nodes[root].Parent >= 0 {
		root = w.Rig.Nodes[root].Parent
	}
	if err := w.Doc.Movable(int(root)); err != nil {
		return w.Refuse("%s: %v.", w.Exam.NodeName(root), err)
	}
	for n := w.Rig.Nodes[hips].Parent; n >= 0; n = w.Rig.Nodes[n].Parent {
		for k := range d.Channels {
			o := &d.Channels[k]
			if o.Path != rig.Translation || o.Node == hips || o.Node == n || w.Rig.Nodes[o.Node].Parent != n || slices.Contains(above(w.Rig, hips), o.Node) || deform.Still(o) {
				continue
			}
			if o.Interpolation != rig.Linear || like.Interpolation != rig.Linear {
				return w.Refuse("In clip %s %s has a way of its own beside the hips, on keys of another kind.", w.clipName(i), w.Exam.NodeName(o.Node))
			}
			if err := w.movable(i, o); err != nil {
				return err
			}
			keys := keyList(o)
			for _, x := range way {
				keys = cut(o, keys, x.at)
			}
			along := rig.Channel{Path: rig.Translation, Interpolation: rig.Linear, Width: 3}
			lost := make([]keyed, len(keys))
			for k := range keys {
				lost[k] = keyAt(&along, way, keys[k].at)
			}
			frame := world[n]
			lost, ok := through(&frame, lost)
			if !ok {
				return w.Refuse("%s is scaled to nothing.", w.Exam.NodeName(n))
			}
			for k := range keys {
				keys[k].value = less(keys[k].value, lost[k].value)
			}
			d.Channels[k] = withKeys(o, keys)
		}
	}
	outer := rig.Identity // the root hangs on nothing
	gain, ok := through(&outer, way)
	if !ok {
		return nil
	}
	at := w.Rig.Nodes[root].T
	if w.Rig.Nodes[root].HasMatrix {
		return w.Refuse("%s is placed by a matrix, which no clip can move: bring to scale first.", w.Exam.NodeName(root))
	}
	if k := channelOf(d, root, rig.Translation); k >= 0 {
		v := keyList(&d.Channels[k])[0].value
		at = [3]float64{v[0], v[1], v[2]}
		d.Channels = slices.Delete(d.Channels, k, k+1)
	}
	for k := range gain {
		for j := range 3 {
			gain[k].value[j] += at[j]
		}
	}
	c := rig.Channel{Node: root, Path: rig.Translation, Interpolation: like.Interpolation, Width: 3}
	t.put(d, c, gain)
	held := followers(w.Rig, root) - followers(w.Rig, hips)
	w.Say("In clip %s %s goes %s, and %s stays with it.", w.clipName(i), w.Exam.NodeName(root), say.Quantity(t.way, say.Metre), w.Exam.NodeName(hips))
	if held > 0 {
		w.Say("%s that hang on %s beside the hips go along from now on where they had no way of their own.", say.Quantity(float64(held), say.Vertices), w.Exam.NodeName(root))
	}
	return nil
}

// put adds the channel of a root; a straight way needs its ends alone.
func (t *splitter) put(d *rig.ClipData, c rig.Channel, way []keyed) {
	if t.w.Values.Text("to") == "root, straight" {
		c.Interpolation = rig.Linear
		first, last := &way[0], &way[len(way)-1]
		way = []keyed{{at: first.at, value: first.value}, {at: last.at, value: last.value}}
	}
	d.Channels = append(d.Channels, withKeys(&c, way))
}

// fresh puts a way on a root of its own above hips that hang on nothing: one for all clips.
func (t *splitter) fresh(d *rig.ClipData, i rig.Clip, hips rig.Node, c rig.Channel, way []keyed) error {
	w := t.w
	if t.root == nil {
		t.root = map[rig.Node]rig.Node{}
	}
	root, made := t.root[hips]
	if !made {
		if err := w.Doc.Room(original.Nodes, 1); err != nil {
			return w.Refuse("%s.", sentence(err))
		}
		name := "root"
		for k := 2; slices.ContainsFunc(w.Rig.Nodes, func(n rig.NodeData) bool { return n.Name == name }); k++ {
			name = fmt.Sprint("root ", k)
		}
		root = rig.Node(w.Doc.Add(original.Nodes, original.Object("name", original.Text(name), "children", original.Wholes(int(hips)))))
		t.root[hips] = root
		for s := range w.Doc.Count(original.Scenes) {
			list := w.Doc.Object(original.Scenes, s).Get("nodes")
			for k := range list.Len() {
				if list.At(k).Int() == int(hips) {
					list.SetAt(k, original.Whole(int(root)))
				}
			}
		}
		w.Doc.RefreshAll()
		w.Say("%s hung on nothing: it hangs on a new root now.", w.Exam.NodeName(hips))
	}
	c.Node = root
	t.put(d, c, way)
	w.Say("In clip %s the root goes %s, and %s stays with it.", w.clipName(i), say.Quantity(t.way, say.Metre), w.Exam.NodeName(hips))
	return nil
}

// through brings ways of the world into a node's own space.
func through(m *rig.Affine, way []keyed) (out []keyed, ok bool) {
	inv, ok := m.Inverse()
	if !ok {
		return nil, false
	}
	turn := func(v []float64) []float64 {
		if v == nil {
			return nil
		}
		return list(inv.Direction(space.Vec{v[0], v[1], v[2]}))
	}
	for _, k := range way {
		n := keyed{k.at, turn(k.value), turn(k.in), turn(k.out)}
		for _, x := range n.value {
			ok = ok && !math.IsNaN(x) && !math.IsInf(x, 0)
		}
		out = append(out, n)
	}
	return out, ok
}

func list(v space.Vec) []float64 { return []float64{v[0], v[1], v[2]} }

func less(a, b []float64) []float64 {
	if a == nil {
		return nil
	}
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] - b[i]
	}
	return out
}

func channelOf(c *rig.ClipData, n rig.Node, p rig.Path) int {
	return slices.IndexFunc(c.Channels, func(x rig.Channel) bool { return x.Node == n && x.Path == p })
}
