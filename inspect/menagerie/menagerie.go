// Package menagerie builds figures of many kinds by code, for tests: people with gear,
// three heads high, of rigid parts, side by side; animals, a cart, a hand. Each is
// sound: one closed surface around its bones, bound by the distance to them, even
// from side to side. Faults are planted in them by the tests that use them.
//
// They stand in metres, +Y up, facing +Z, their left towards +X, on y = 0. Bones have
// unturned frames. The forms are invented; their sizes are common ones, no source.
package menagerie

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Naming is how joints are called.
type Naming uint8

const (
	Named    Naming = iota // as their kind's anatomy has it: fore_upper_leg_l
	Numbered               // bone_07: no name says anything
	Nameless               // none
	Front                  // four legs only: front_leg_upper_l, back_leg_upper_l
	Joined                 // four legs only: foreleg_upper_l, hindfoot_l
	Biped                  // four legs only: upper_arm_l in front, upper_leg_l behind
	Counted                // four and more legs only: leg0_L_1, the leg, its side, the joint
)

// Options of a figure; the zero value is named, bound and has one clip.
type Options struct {
	Names   Naming
	Unbound bool      // no skin, no joint, no clip: the surface alone
	Still   bool      // no clip
	Gear    bool      // people only: a sword, a shield, a helmet, a book at the belt and a cape
	At      space.Vec // where it stands
}

// bone is one joint, the solid around it and how it is called. Those with side stand
// for themselves on the left and for their image on the right.
type bone struct {
	name   string    // parts parted by spaces
	up     string    // name of the bone above, "": the root
	at, to space.Vec // metres
	r, s   float64
	side   bool
	hollow bool // no solid: it only joins
}

// plan is a figure before it is built.
type plan struct {
	name  string
	bones []bone
	cell  float64 // of the net, metres
	blend float64 // width over which solids run into each other and bones share, metres
	swing float64 // of the clip, degrees
	apart bool    // bones share only with those at most three away in the tree
}

// placed is a bone of one side with its place in the list.
type placed struct {
	bone
	name   string
	up     int // −1: the root
	mirror int // the other side's, itself in the middle
}

// spread lists the bones of both sides, parents first.
func (p *plan) spread(o Options) (out []placed) {
	at := map[string]int{} // "name" and side → place
	key := func(name string, side int) string { return fmt.Sprint(name, "/", side) }
	for _, b := range p.bones {
		sides := []int{0}
		if b.side {
			sides = []int{1, 2}
		}
		for _, s := range sides {
			q := placed{bone: b, up: -1, mirror: len(out)}
			if s > 0 {
				q.mirror = len(out) + 3 - 2*s
			}
			if s == 2 {
				q.at[0], q.to[0] = -q.at[0], -q.to[0]
			}
			if b.up != "" {
				up, ok := at[key(b.up, s)]
				if !ok {
					if up, ok = at[key(b.up, 0)]; !ok {
						panic("menagerie: no bone " + b.up)
					}
				}
				q.up = up
			}
			at[key(b.name, s)] = len(out)
			q.name = called(b.name, s, len(out), o.Names)
			out = append(out, q)
		}
	}
	return out
}

// kept are the rigs that were built, by plan and options: tests ask for the same figure
// again and again, and a net takes a hundred times as long as a copy.
var kept sync.Map // string → *rig.Rig

// build answers the rig of a plan, a copy for the caller to break.
func (p *plan) build(o Options) *rig.Rig {
	key := fmt.Sprintf("%v %v", *p, o)
	r, ok := kept.Load(key)
	if !ok {
		r, _ = kept.LoadOrStore(key, p.make(o))
	}
	return lamplighter.Clone(r.(*rig.Rig))
}

// make builds the rig of a plan.
func (p *plan) make(o Options) *rig.Rig {
	bones := p.spread(o)
	var solids []solid
	for i := range bones {
		if b := &bones[i]; !b.hollow {
			solids = append(solids, solid{b.at, b.to, b.r, b.s})
		}
	}
	r := &rig.Rig{File: rig.File{Name: p.name + ".glb", Kind: "glb", Version: "2.0", Generator: "rigloupe menagerie"}}
	mesh := newNet(solids, p.blend, p.cell).mesh(p.name)
	if !o.Unbound {
		p.bind(&mesh, bones)
	}
	move(&mesh, o.At)
	if o.Unbound {
		r.Nodes = []rig.NodeData{node(p.name, rig.None, space.Vec{})}
		carry(r, 0, mesh)
		finish(r)
		return r
	}
	skeleton(r, bones, o.At)
	n := rig.Node(len(r.Nodes))
	r.Nodes = append(r.Nodes, node(p.name, rig.None, space.Vec{}))
	carry(r, n, mesh)
	r.Nodes[n].Skin, r.Surfaces[0].Skin = 0, 0
	if !o.Still {
		r.Clips = []rig.ClipData{sway(bones, p.swing)}
	}
	finish(r)
	return r
}

// skeleton adds the joints, at their place plus at, and a skin that lists them.
func skeleton(r *rig.Rig, bones []placed, at space.Vec) {
	skin := rig.SkinData{Name: "skin", Skeleton: rig.None, HasBind: true}
	for i := range bones {
		b := &bones[i]
		t, up := b.at.Add(at), rig.Node(rig.None)
		if b.up >= 0 {
			t, up = b.at.Sub(bones[b.up].at), rig.Node(b.up)
			r.Nodes[up].Children = append(r.Nodes[up].Children, rig.Node(i))
		}
		r.Nodes = append(r.Nodes, node(b.name, up, t))
		bind := rig.Identity
		for k := range 3 {
			bind[4*k+3] = float64(float32(-b.at[k] - at[k]))
		}
		skin.Joints, skin.Bind = append(skin.Joints, rig.Node(i)), append(skin.Bind, bind)
	}
	r.Skins = []rig.SkinData{skin}
}

func node(name string, parent rig.Node, at space.Vec) rig.NodeData {
	n := rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None}
	n.TRS = rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
	for k := range 3 {
		n.T[k] = float64(float32(at[k]))
	}
	n.Matrix = n.TRS.Affine()
	return n
}

// carry gives a node a mesh.
func carry(r *rig.Rig, n rig.Node, m rig.MeshData) {
	r.Nodes[n].Mesh = rig.Mesh(len(r.Meshes))
	r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: r.Nodes[n].Mesh, Skin: rig.None})
	r.Meshes = append(r.Meshes, m)
}

// hang adds a node with a mesh below another.
func hang(r *rig.Rig, up rig.Node, name string, at space.Vec, m rig.MeshData) rig.Node {
	n := rig.Node(len(r.Nodes))
	r.Nodes = append(r.Nodes, node(name, up, at))
	if up >= 0 {
		r.Nodes[up].Children = append(r.Nodes[up].Children, n)
	}
	if len(m.Positions) > 0 {
		carry(r, n, m)
	}
	return n
}

// finish sets what a reader would.
func finish(r *rig.Rig) {
	scene := rig.Scene{}
	for i := range r.Nodes {
		if r.Nodes[i].Parent < 0 {
			scene.Roots = append(scene.Roots, rig.Node(i))
		}
	}
	r.Scenes, r.Shown = []rig.Scene{scene}, 0
	r.SetOrder()
}

// GLB answers a figure as the bytes of a binary glTF 2.0 file.
func GLB(r *rig.Rig) []byte { return lamplighter.Write(r) }

// Merge puts several figures into one file, as they stand: names as they are, the
// clips of each by themselves.
func Merge(figures ...*rig.Rig) *rig.Rig { return lamplighter.Merge(figures...) }

// sway turns every bone a little to and fro, once, and ends as it began: along the
// limbs later and later, both sides in turn.
func sway(bones []placed, degrees float64) rig.ClipData {
	const frames = 31
	c := rig.ClipData{Name: "sway", Seconds: 1}
	times := make([]float32, frames)
	for k := range times {
		times[k] = float32(k) / (frames - 1)
	}
	for i := range bones {
		ch := rig.Channel{Node: rig.Node(i), Path: rig.Rotation, Times: times, Width: 4}
		phase := 0.0
		for b := i; b >= 0; b = bones[b].up {
			phase += .4
		}
		far := degrees
		if n := bones[i].bone.name; strings.Contains(n, "leg") || strings.Contains(n, "foot") || strings.Contains(n, "toes") {
			far *= .1 // feet that stand do not slide
		}
		if bones[i].mirror < i {
			phase += math.Pi
		}
		for k := range frames {
			t := 2 * math.Pi * float64(k) / (frames - 1)
			half := far * math.Pi / 360 * (math.Sin(t+phase) - math.Sin(phase))
			if bones[i].up < 0 {
				half = 0
			}
			ch.Values = append(ch.Values, float32(math.Sin(half)), 0, 0, float32(math.Cos(half)))
		}
		c.Channels = append(c.Channels, ch)
	}
	return c
}
