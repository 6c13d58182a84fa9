package mend

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var hangOn = Mend{
	ID:      "hang",
	Title:   "Hang on",
	Stage:   Hang,
	Answers: []string{"skeleton/loose-chain"},
	Does: "A joint with all below it gets another parent and stays where it is at rest. From then on it follows that parent. " +
		"Clips that move the joint itself, or what it hung on before, are written anew so that it goes the same way in the world.",
	Source: "closed form: L′(t) = P′(t)⁻¹ · P(t) · L(t), with keys added until the world agrees (glTF 2.0, Nodes and Animations)",
	Parameters: []Parameter{
		{Name: "on", Title: "Joint on parent", Kind: Pairs, Says: "Which joint hangs on which: name, or #number of the node."},
	},
	Suggest: func(f *Findings) []Values {
		on := map[string]string{}
		for _, x := range f.Result.Findings() {
			if x.ID != "skeleton/loose-chain" || x.Cause != nil {
				continue
			}
			for _, h := range x.Where.Hang {
				if h[1] >= 0 {
					on[nodeName(f.Result.Exam.Rig, h[0])] = nodeName(f.Result.Exam.Rig, h[1])
				}
			}
		}
		if len(on) == 0 {
			return nil
		}
		return []Values{{"on": on}}
	},
	Apply: func(w *Work) error {
		h := &hanger{w: w, is: *w.Rig, parent: map[rig.Node]rig.Node{}}
		if err := h.read(); err != nil {
			return err
		}
		if err := h.nodes(); err != nil {
			return err
		}
		if err := h.clips(); err != nil {
			return err
		}
		h.tell()
		return w.Write(&h.is, nil)
	},
}

// nodeName is a name that findNode reads: the node's own where no other has it.
func nodeName(r *rig.Rig, n rig.Node) string {
	name := r.Nodes[n].Name
	if name == "" || strings.HasPrefix(name, "#") {
		return fmt.Sprintf("#%d", n)
	}
	for i := range r.Nodes {
		if rig.Node(i) != n && r.Nodes[i].Name == name {
			return fmt.Sprintf("#%d", n)
		}
	}
	return name
}

// findNode answers the node of a name, "#12" for node 12.
func findNode(r *rig.Rig, name string) (rig.Node, error) {
	if rest, ok := strings.CutPrefix(name, "#"); ok {
		if i, err := strconv.Atoi(rest); err == nil && i >= 0 && i < len(r.Nodes) {
			return rig.Node(i), nil
		}
	}
	found := rig.Node(rig.None)
	for i := range r.Nodes {
		if r.Nodes[i].Name != name {
			continue
		}
		if found >= 0 {
			return rig.None, fmt.Errorf("two nodes are named %q: name them by number, #%d or #%d", name, found, i)
		}
		found = rig.Node(i)
	}
	if found < 0 {
		return rig.None, fmt.Errorf("there is no node %q", name)
	}
	return found, nil
}

// agrees is how far a rewritten joint, and what hangs on it, may be from its old way, in
// heights of the figure.
const agrees = 1e-5

type hanger struct {
	w      *Work
	is     rig.Rig
	parent map[rig.Node]rig.Node // by joint the new one
	order  []rig.Node            // the joints, parents first
}

func (h *hanger) read() error {
	r := h.w.Rig
	pairs := h.w.Values.Pairs("on")
	for _, child := range slices.Sorted(maps.Keys(pairs)) {
		c, err := findNode(r, child)
		if err != nil {
			return h.w.Refuse("%v.", sentence(err))
		}
		p, err := findNode(r, pairs[child])
		if err != nil {
			return h.w.Refuse("%v.", sentence(err))
		}
		if r.Nodes[c].Parent == p {
			h.w.Leave("%q hangs on %q already.", r.Nodes[c].Name, r.Nodes[p].Name)
			continue
		}
		h.parent[c] = p
	}
	if len(h.parent) == 0 {
		return h.w.Refuse("No joint is named that hangs elsewhere.")
	}
	for c, p := range h.parent {
		// The new tree: up from the parent by new parents where there are any.
		for n, steps := p, 0; n >= 0; steps++ {
			if n == c || steps > len(r.Nodes) {
				return h.w.Refuse("%q would hang on itself: %q hangs below it.", r.Nodes[c].Name, r.Nodes[p].Name)
			}
			if up, new := h.parent[n]; new {
				n = up
			} else {
				n = r.Nodes[n].Parent
			}
		}
	}
	return nil
}

func sentence(err error) string {
	s := err.Error()
	return strings.ToUpper(s[:1]) + s[1:]
}

// local answers where a node stands below a parent so that it is at a place of the world;
// shear is how far translation, rotation and scale miss that, in units of length a unit.
func local(parent, world *rig.Affine) (t rig.TRS, shear float64, ok bool) {
	inverse, ok := parent.Inverse()
	if !ok {
		return t, 0, false
	}
	l := inverse.Mul(world)
	t = l.Decompose()
	again := t.Affine()
	size := 0.0
	for _, k := range []int{0, 1, 2, 4, 5, 6, 8, 9, 10} {
		shear = max(shear, math.Abs(again[k]-l[k]))
		size = max(size, math.Abs(l[k]))
	}
	return t, shear / max(size, 1e-300), true
}

func (h *hanger) nodes() error {
	r := h.w.Rig
	h.is.Nodes = slices.Clone(r.Nodes)
	h.is.Scenes = slices.Clone(r.Scenes)
	world := r.RestWorld()
	children := func(n rig.Node) {
		h.is.Nodes[n].Children = slices.Clone(h.is.Nodes[n].Children)
	}
	for _, c := range slices.Sorted(maps.Keys(h.parent)) {
		p := h.parent[c]
		if err := h.w.Doc.Movable(int(c)); err != nil {
			return h.w.Refuse("%q: %v.", r.Nodes[c].Name, err)
		}
		t, shear, ok := local(&world[p], &world[c])
		switch {
		case !ok:
			return h.w.Refuse("%q is scaled to nothing: nothing can hang on it.", r.Nodes[p].Name)
		case shear > 1e-5:
			return h.w.Refuse("The scale above %q differs by axis and %q is turned: hung there it would be sheared. Bring to scale first.", r.Nodes[p].Name, r.Nodes[c].Name)
		}
		n := &h.is.Nodes[c]
		old := n.Parent
		n.Parent, n.TRS, n.HasMatrix = p, t, false
		n.Matrix = t.Affine()
		if old >= 0 {
			children(old)
			kids := &h.is.Nodes[old].Children
			*kids = slices.DeleteFunc(*kids, func(k rig.Node) bool { return k == c })
		} else {
			for i := range h.is.Scenes {
				h.is.Scenes[i].Roots = slices.DeleteFunc(slices.Clone(h.is.Scenes[i].Roots), func(k rig.Node) bool { return k == c })
			}
		}
		children(p)
		h.is.Nodes[p].Children = append(h.is.Nodes[p].Children, c)
	}
	h.is.SetOrder()
	for _, n := range h.is.Order {
		if _, hung := h.parent[n]; hung {
			h.order = append(h.order, n)
		}
	}
	return nil
}

// above lists a node and all above it.
func above(r *rig.Rig, n rig.Node) (out []rig.Node) {
	for ; n >= 0; n = r.Nodes[n].Parent {
		out = append(out, n)
	}
	return out
}

// clips rewrites those that move a joint otherwise than by what is above it before and
// after: its own channels, and those of what it hung on and hangs on no more.
func (h *hanger) clips() error {
	r := h.w.Rig
	h.is.Clips = slices.Clone(r.Clips)
	anew := map[int]bool{}
	for i := range r.Clips {
		keyed := map[rig.Node]bool{}
		for _, c := range r.Clips[i].Channels {
			if c.Path != rig.Weights {
				keyed[c.Node] = true
			}
		}
		for _, c := range h.order {
			was, is := above(r, c), above(&h.is, h.parent[c])
			var parted []rig.Node // moved it before, and would no more
			for _, n := range was {
				if !slices.Contains(is, n) && keyed[n] {
					parted = append(parted, n)
				}
			}
			if len(parted) == 0 {
				continue
			}
			for _, n := range is {
				if !slices.Contains(was, n) && keyed[n] {
					parted = append(parted, n)
				}
			}
			if err := h.rewrite(rig.Clip(i), c, parted); err != nil {
				return err
			}
			anew[i] = true
		}
	}
	if len(anew) > 0 {
		h.w.Measure(check.Also("written anew", float64(len(anew)), say.Clips))
	}
	return nil
}

// placed is where a joint stands in its new parent at one moment, seconds.
type placed struct {
	at float64
	t  rig.TRS
}

// rewrite gives a joint keys of its own in one clip, so that its way in the world is that
// of before: at the times of all that moves it, and between where the world differs.
func (h *hanger) rewrite(clip rig.Clip, c rig.Node, movers []rig.Node) error {
	r := h.w.Rig
	was, is := deform.NewPose(r), deform.NewPose(&h.is)
	height := h.w.Exam.WholeHeight()
	if !(height > 0) {
		height = h.w.Exam.Size()
	}
	reach := max(height/10, h.reach(c))
	worst := 0.0
	at := func(seconds float64) (placed, rig.Affine) {
		was.Sample(clip, seconds)
		is.Sample(clip, seconds)
		world := was.World[c]
		t, shear, ok := local(&is.World[h.parent[c]], &world)
		if !ok {
			shear = math.Inf(1)
		}
		worst = max(worst, shear)
		return placed{seconds, t}, world
	}
	times := keyTimes(r.Clips[clip].Channels, movers)
	// Half ways are looked at, and halves of those, until the world agrees.
	parentAt := func(seconds float64) rig.Affine {
		is.Sample(clip, seconds)
		return is.World[h.parent[c]]
	}
	var out []placed
	var between func(a, b placed, depth int)
	between = func(a, b placed, depth int) {
		m, want := at((a.at + b.at) / 2)
		if f := float64(float32(m.at)); f <= a.at || f >= b.at || depth == 0 {
			return
		}
		m.at = float64(float32(m.at))
		mid := rig.TRS{}
		share := (m.at - a.at) / (b.at - a.at)
		for k := range 3 {
			mid.T[k] = a.t.T[k] + (b.t.T[k]-a.t.T[k])*share
			mid.S[k] = a.t.S[k] + (b.t.S[k]-a.t.S[k])*share
		}
		mid.R = space.XYZW(space.Slerp(space.FromXYZW(a.t.R), space.FromXYZW(b.t.R), share))
		l, p := mid.Affine(), parentAt(m.at)
		got := p.Mul(&l)
		// The joint, and what hangs on it as far away as anything does, or a tenth of the figure.
		d := got.Origin().Sub(want.Origin()).Len()
		for k := range 3 {
			e := space.Vec{}
			e[k] = reach / max(want.Scales()[k], 1e-9)
			d = max(d, got.Point(e).Sub(want.Point(e)).Len())
		}
		if d <= agrees*height {
			return
		}
		between(a, m, depth-1)
		out = append(out, m)
		between(m, b, depth-1)
	}
	var last placed
	for i, s := range times {
		k, _ := at(s)
		if i > 0 {
			between(last, k, 12)
		}
		out = append(out, k)
		last = k
	}
	if worst > 1e-4 {
		return h.w.Refuse("In clip %q the scale above %q differs by axis while %q turns: hung there it would be sheared.",
			r.Clips[clip].Name, r.Nodes[h.parent[c]].Name, r.Nodes[c].Name)
	}
	h.setKeys(clip, c, out)
	return nil
}

// keyTimes are the times, seconds, rising, at which channels of the movers have keys; a step
// shows in the last moment before it.
func keyTimes(channels []rig.Channel, movers []rig.Node) []float64 {
	var times []float64
	for _, ch := range channels {
		if ch.Path == rig.Weights || !slices.Contains(movers, ch.Node) {
			continue
		}
		for k, s := range ch.Times {
			times = append(times, float64(s))
			if ch.Interpolation == rig.Step && k > 0 {
				times = append(times, float64(math.Nextafter32(s, 0)))
			}
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
}

// setKeys writes places as the keys of a joint in a clip of the new figure: translation and
// rotation always, scale where it has one or changes.
func (h *hanger) setKeys(clip rig.Clip, c rig.Node, out []placed) {
	d := h.is.Clips[clip]
	d.Channels = slices.Clone(d.Channels)
	paths := []rig.Path{rig.Translation, rig.Rotation}
	for i := range out {
		if scaled(out[i].t.S, h.is.Nodes[c].S) || slices.ContainsFunc(d.Channels, func(x rig.Channel) bool { return x.Node == c && x.Path == rig.Scale }) {
			paths = append(paths, rig.Scale)
			break
		}
	}
	stamps := make([]float32, len(out))
	for i := range out {
		stamps[i] = float32(out[i].at)
	}
	for _, path := range paths {
		n := rig.Channel{Node: c, Path: path, Times: stamps, Width: 3}
		if path == rig.Rotation {
			n.Width = 4
		}
		before := space.Quat{}
		for i := range out {
			switch t := &out[i].t; path {
			case rig.Translation:
				n.Values = append(n.Values, float32(t.T[0]), float32(t.T[1]), float32(t.T[2]))
			case rig.Scale:
				n.Values = append(n.Values, float32(t.S[0]), float32(t.S[1]), float32(t.S[2]))
			case rig.Rotation:
				q := space.FromXYZW(t.R)
				if i > 0 && q.Dot(before) < 0 {
					q = q.Scale(-1)
				}
				before = q
				x := space.XYZW(q)
				n.Values = append(n.Values, float32(x[0]), float32(x[1]), float32(x[2]), float32(x[3]))
			}
		}
		k := slices.IndexFunc(d.Channels, func(x rig.Channel) bool { return x.Node == c && x.Path == path })
		if k < 0 {
			d.Channels = append(d.Channels, n)
		} else {
			d.Channels[k] = n
		}
	}
	h.is.Clips[clip] = d
}

func scaled(a, b [3]float64) bool {
	for k := range 3 {
		if math.Abs(a[k]-b[k]) > 1e-6*max(1, math.Abs(b[k])) {
			return true
		}
	}
	return false
}

// tell counts what each new parent moves now that it did not before.
func (h *hanger) tell() {
	for _, c := range h.order {
		p := h.parent[c]
		h.w.Say("%q hangs on %q. A turn of %q moves %s; before, %s.", h.w.Rig.Nodes[c].Name, h.w.Rig.Nodes[p].Name, h.w.Rig.Nodes[p].Name,
			say.Quantity(float64(followers(&h.is, p)), say.Vertices), say.Quantity(float64(followers(h.w.Rig, p)), say.Vertices))
	}
}

// reach is how far from a joint at rest anything lies that hangs on it or below, metres.
func (h *hanger) reach(c rig.Node) (far float64) {
	r := h.w.Rig
	from := h.w.Exam.RestWorld()[c].Origin()
	for i := range r.Surfaces {
		rest := h.w.Exam.RestPositions(i)
		for v, holds := range following(r, i, c) {
			if d := space.At(rest, v).Sub(from).Len(); holds && d > far {
				far = d
			}
		}
	}
	return far
}

// following tells of every vertex of a surface whether it moves with a node: by weight on it
// or on any below it, or by hanging there rigidly.
func following(r *rig.Rig, surface int, top rig.Node) []bool {
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	out := make([]bool, m.Vertices())
	if s.Skin < 0 || m.K == 0 {
		if slices.Contains(above(r, s.Node), top) {
			for v := range out {
				out[v] = true
			}
		}
		return out
	}
	joints := r.Skins[s.Skin].Joints
	below := make([]bool, len(joints))
	for j, n := range joints {
		below[j] = slices.Contains(above(r, n), top)
	}
	for v := range out {
		for k := v * m.K; k < (v+1)*m.K && !out[v]; k++ {
			j := int(m.Joints[k])
			out[v] = m.Weights[k] > 0 && j < len(joints) && below[j]
		}
	}
	return out
}

// followers counts the vertices with weight on a node or any below it, and those of rigid
// surfaces there.
func followers(r *rig.Rig, top rig.Node) (n int) {
	for i := range r.Surfaces {
		for _, moves := range following(r, i, top) {
			if moves {
				n++
			}
		}
	}
	return n
}
