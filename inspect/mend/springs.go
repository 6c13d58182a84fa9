package mend

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/follow"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var giveSprings = Mend{
	ID:     "springs",
	Title:  "Leave to springs",
	Stage:  Motion,
	Beside: []string{"motion/still-chain"},
	Does: "Chains get springs and colliders in the file (VRMC_springBone): a player that simulates them moves the chains in every clip, and when the figure is steered. " +
		"Clips stay as they are; a player that does not simulate shows the chains stiff.",
	Source: "VRMC_springBone 1.0: structure, and its reference step at 60 steps a second for what the numbers mean",
	Parameters: append([]Parameter{
		letFollow.Parameters[0], letFollow.Parameters[1], letFollow.Parameters[2],
		{Name: "collide", Title: "Keep out of body", Kind: Truth, Default: true, Says: "Colliders are written for the bones that no link touches at rest."},
		letFollow.Parameters[5],
	}, chainParameters[0]),
	Apply: func(w *Work) error {
		c, err := w.chains()
		if err != nil {
			return err
		}
		return c.springs()
	},
}

const springExtension = "VRMC_springBone"

// springs writes the extension: runs of joints, an end behind the last of each, colliders.
func (c *chainer) springs() error {
	d := c.w.Doc
	if d.Root.Get("extensions").Get("VRM") != nil {
		return c.w.Refuse("The file is a VRM of version 0, which holds springs of another form: bring it to version 1 first, or let the chains follow.")
	}
	sprung := c.w.Rig.Sprung()
	for _, n := range c.joints {
		if sprung[n] {
			return c.w.Refuse("%s has springs already.", c.w.Exam.NodeName(n))
		}
	}
	world := c.w.Exam.RestWorld()
	dials := c.w.dials(c.chains)
	runs, center, err := c.calm(dials)
	if err != nil {
		return err
	}
	if err := d.Room(original.Nodes, len(runs)); err != nil {
		return c.w.Refuse("%s.", sentence(err))
	}
	ext := d.Root.Get("extensions")
	if ext == nil {
		d.Root.Set("extensions", original.Object())
		ext = d.Root.Get("extensions")
	}
	if ext.Get(springExtension) == nil {
		ext.Set(springExtension, original.Object("specVersion", original.Text("1.0")))
	}
	one := ext.Get(springExtension)
	list := func(key string) *original.Value {
		if !one.Get(key).IsList() {
			one.Set(key, original.List())
		}
		return one.Get(key)
	}
	var capsules []follow.Capsule
	if c.w.Values.Is("collide") {
		capsules = c.chains.Capsules()
	}
	group := make([]int, len(capsules)) // of each capsule once it is written, −1
	for k := range group {
		group[k] = -1
	}
	colliders := 0
	for _, run := range runs {
		var groups []int
		for k, clear := range c.chains.Clear(capsules, run) {
			if !clear {
				continue
			}
			if group[k] < 0 {
				x := &capsules[k]
				radius := x.Radius
				if s := world[x.Node].Scale(); s > 0 {
					radius /= s // in the node's own space, as its ends are
				}
				capsule := original.Object("offset", original.Numbers(x.A[:]...), "radius", original.Number(radius), "tail", original.Numbers(x.B[:]...))
				list("colliders").Append(original.Object("node", original.Whole(int(x.Node)), "shape", original.Object("capsule", capsule)))
				list("colliderGroups").Append(original.Object("name", original.Text(c.w.Rig.Nodes[x.Node].Name), "colliders", original.Wholes(list("colliders").Len()-1)))
				group[k] = list("colliderGroups").Len() - 1
				colliders++
			}
			groups = append(groups, group[k])
		}
		joints := original.List()
		for _, j := range run {
			joints.Append(original.Object("node", original.Whole(int(j.Node)), "hitRadius", original.Number(j.Radius), "stiffness", original.Number(j.Stiffness),
				"gravityPower", original.Number(j.GravityPower), "gravityDir", original.Numbers(j.GravityDir[:]...), "dragForce", original.Number(j.Drag)))
		}
		joints.Append(original.Object("node", original.Whole(c.end(run[len(run)-1].Node))))
		s := original.Object("name", original.Text(c.w.Rig.Nodes[run[0].Node].Name), "joints", joints)
		if center >= 0 {
			s.Set("center", original.Whole(int(center)))
		}
		if len(groups) > 0 {
			s.Set("colliderGroups", original.Wholes(groups...))
		}
		list("springs").Append(s)
	}
	c.use(springExtension)
	d.RefreshAll()
	c.tellSprings(runs, colliders)
	return nil
}

// wider is how much wider than when they follow links may swing in a player before the springs
// get more drag: the reference step knows nothing of what hangs on a link, and whips long chains
// up, and begins each clip from a standstill. dampings are tried in turn.
const wider = 2.5

var dampings = []float64{1, 1.5, 2, 3, 4, 6, 8, 12, 16}

// calm answers springs with the drag of the dials, or with more and with speeds measured from
// what carries the figure (the center of a spring): drag is against the world, and would let the
// chains of a figure that travels lag behind it. Of all that, the first that does not swing far
// wider than the chains do when they follow; else the one that swings least.
func (c *chainer) calm(d follow.Dials) (best [][]rig.SpringJoint, center rig.Node, err error) {
	followed := 0.0
	for _, clip := range c.clips {
		m, err := c.chains.Follow(c.w.Context, clip, false, d, nil)
		if err != nil {
			return nil, rig.None, c.refusal(clip, err)
		}
		followed = max(followed, m.Widest)
	}
	least, damped := math.Inf(1), 1.0
	centers := []rig.Node{rig.None}
	if n := c.carrier(); n >= 0 {
		centers = append(centers, n)
	}
	for _, times := range dampings {
		for _, n := range centers {
			runs, widest := c.chains.Springs(d, times), 0.0
			for _, clip := range c.clips {
				widest = max(widest, c.chains.PlaySprings(clip, n, runs, nil))
			}
			if widest < least && least > wider*followed {
				best, center, damped, least = runs, n, times, widest
			}
		}
		if err := c.w.Context.Err(); err != nil {
			return nil, rig.None, err
		}
	}
	if damped > 1 {
		c.w.Say("The springs get more damping (%s): with less a player would whip the chains up.", say.Quantity(damped, say.Factor))
	}
	if center >= 0 {
		c.w.Say("Speeds count from %s, so that the chains do not lag behind a figure that travels.", c.w.Exam.NodeName(center))
	}
	if least > wider*followed {
		c.w.Leave("A player will swing the chains wider than they would follow.")
	}
	c.w.Measure(check.Also("widest swing of a link when it follows", followed*180/math.Pi, say.Degree))
	c.w.Measure(check.Also("widest swing of a link by the reference step", least*180/math.Pi, say.Degree))
	return best, center, nil
}

// carrier is the highest node above all chains that a clip moves from its place: what takes the
// figure along. None: it stays.
func (c *chainer) carrier() rig.Node {
	moved := make([]bool, len(c.w.Rig.Nodes))
	for _, clip := range c.clips {
		for i := range c.w.Rig.Clips[clip].Channels {
			ch := &c.w.Rig.Clips[clip].Channels[i]
			if ch.Path == rig.Translation && ch.Node >= 0 && int(ch.Node) < len(moved) && !deform.Still(ch) {
				moved[ch.Node] = true
			}
		}
	}
	top := rig.Node(rig.None)
	for n := c.w.Rig.Nodes[c.chains.Links[0].Joint].Parent; n >= 0; n = c.w.Rig.Nodes[n].Parent {
		if moved[n] {
			top = n
		}
	}
	for i := range c.chains.Links {
		if top >= 0 && !slices.Contains(above(c.w.Rig, c.chains.Links[i].Joint), top) {
			return rig.None
		}
	}
	return top
}

// use lists an extension among those that the file uses.
func (c *chainer) use(name string) {
	root := c.w.Doc.Root
	if !root.Get("extensionsUsed").IsList() {
		root.Set("extensionsUsed", original.List())
	}
	used := root.Get("extensionsUsed")
	for i := range used.Len() {
		if used.At(i).String() == name {
			return
		}
	}
	used.Append(original.Text(name))
}

// end is the node at the tail of the last link of a run: the one that hangs there already, else
// an empty one.
func (c *chainer) end(last rig.Node) int {
	i := slices.IndexFunc(c.chains.Links, func(l follow.Link) bool { return l.Joint == last })
	l := &c.chains.Links[i]
	for _, k := range c.w.Rig.Nodes[last].Children {
		n := &c.w.Rig.Nodes[k]
		at := n.Matrix.Origin()
		if n.Mesh < 0 && at.Sub(l.Tail).Len() <= 1e-6*l.Tail.Len() {
			return int(k)
		}
	}
	d := c.w.Doc
	t := l.Tail
	for x := range t {
		t[x] = float64(float32(t[x]))
	}
	name := c.w.Rig.Nodes[last].Name + "_end"
	for n := 2; slices.ContainsFunc(c.w.Rig.Nodes, func(x rig.NodeData) bool { return strings.EqualFold(x.Name, name) }); n++ {
		name = fmt.Sprintf("%s_end_%d", c.w.Rig.Nodes[last].Name, n)
	}
	node := d.Add(original.Nodes, original.Object("name", original.Text(name), "translation", original.Numbers(t[:]...)))
	up := d.Object(original.Nodes, int(last))
	if !up.Get("children").IsList() {
		up.Set("children", original.List())
	}
	up.Get("children").Append(original.Whole(node))
	d.Refresh(original.Nodes, int(last))
	return node
}

// tellSprings says what was written, and how a player will move it.
func (c *chainer) tellSprings(runs [][]rig.SpringJoint, colliders int) {
	w := c.w
	var names []string
	n := 0
	for _, run := range runs {
		names = append(names, w.Exam.NodeName(run[0].Node))
		n += len(run)
	}
	w.Measure(check.Also("joints with springs", float64(n), say.Joints))
	w.Measure(check.Also("colliders", float64(colliders), say.Bones))
	w.Say("Springs from %s. A player that simulates will move them.", exam.Listed(names))
	if d := w.dials(c.chains); d.AsDrawn && d.Sag < follow.Free {
		w.Say("Gravity is left out, since the rest pose holds the chain's weight already.")
	}
}
