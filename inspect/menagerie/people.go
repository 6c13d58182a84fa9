package menagerie

import (
	"fmt"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// grown is a person 1.76 m high, arms level.
var grown = plan{name: "person", cell: .025, blend: .05, swing: 2, bones: []bone{
	{name: "hips", at: space.Vec{0, .95, 0}, to: space.Vec{0, 1.02, 0}, r: .14, s: .13},
	{name: "spine", up: "hips", at: space.Vec{0, 1.06, 0}, to: space.Vec{0, 1.2, 0}, r: .125, s: .13},
	{name: "chest", up: "spine", at: space.Vec{0, 1.22, 0}, to: space.Vec{0, 1.38, 0}, r: .14, s: .12},
	{name: "neck", up: "chest", at: space.Vec{0, 1.47, 0}, to: space.Vec{0, 1.54, .01}, r: .06, s: .055},
	{name: "head", up: "neck", at: space.Vec{0, 1.57, .01}, to: space.Vec{0, 1.66, .02}, r: .09, s: .1},
	{name: "shoulder", up: "chest", side: true, at: space.Vec{.04, 1.42, 0}, to: space.Vec{.16, 1.42, 0}, r: .07, s: .065},
	{name: "upper arm", up: "shoulder", side: true, at: space.Vec{.18, 1.42, 0}, to: space.Vec{.44, 1.42, 0}, r: .06, s: .048},
	{name: "lower arm", up: "upper arm", side: true, at: space.Vec{.46, 1.42, 0}, to: space.Vec{.68, 1.42, 0}, r: .047, s: .036},
	{name: "hand", up: "lower arm", side: true, at: space.Vec{.71, 1.42, 0}, to: space.Vec{.84, 1.42, .01}, r: .042, s: .035},
	{name: "upper leg", up: "hips", side: true, at: space.Vec{.1, .9, 0}, to: space.Vec{.1, .52, 0}, r: .085, s: .065},
	{name: "lower leg", up: "upper leg", side: true, at: space.Vec{.1, .49, 0}, to: space.Vec{.1, .14, -.01}, r: .063, s: .045},
	{name: "foot", up: "lower leg", side: true, at: space.Vec{.1, .09, -.01}, to: space.Vec{.1, .045, .1}, r: .052, s: .044},
	{name: "toes", up: "foot", side: true, at: space.Vec{.1, .042, .13}, to: space.Vec{.1, .04, .19}, r: .042, s: .04},
}}

// threeHeads is a person 1.05 m high with a head of 0.35 m.
var threeHeads = plan{name: "three-heads", cell: .02, blend: .04, swing: 2, bones: []bone{
	{name: "hips", at: space.Vec{0, .34, 0}, to: space.Vec{0, .38, 0}, r: .1, s: .1},
	{name: "spine", up: "hips", at: space.Vec{0, .42, 0}, to: space.Vec{0, .47, 0}, r: .1, s: .1},
	{name: "chest", up: "spine", at: space.Vec{0, .51, 0}, to: space.Vec{0, .58, 0}, r: .1, s: .085},
	{name: "neck", up: "chest", at: space.Vec{0, .66, 0}, to: space.Vec{0, .69, 0}, r: .045, s: .045},
	{name: "head", up: "neck", at: space.Vec{0, .71, 0}, to: space.Vec{0, .88, .01}, r: .12, s: .17},
	{name: "shoulder", up: "chest", side: true, at: space.Vec{.03, .62, 0}, to: space.Vec{.09, .62, 0}, r: .05, s: .045},
	{name: "upper arm", up: "shoulder", side: true, at: space.Vec{.11, .62, 0}, to: space.Vec{.23, .62, 0}, r: .045, s: .04},
	{name: "lower arm", up: "upper arm", side: true, at: space.Vec{.25, .62, 0}, to: space.Vec{.35, .62, 0}, r: .04, s: .035},
	{name: "hand", up: "lower arm", side: true, at: space.Vec{.38, .62, 0}, to: space.Vec{.44, .62, 0}, r: .045, s: .045},
	{name: "upper leg", up: "hips", side: true, at: space.Vec{.075, .31, 0}, to: space.Vec{.075, .2, 0}, r: .06, s: .052},
	{name: "lower leg", up: "upper leg", side: true, at: space.Vec{.075, .18, 0}, to: space.Vec{.075, .09, 0}, r: .05, s: .045},
	{name: "foot", up: "lower leg", side: true, at: space.Vec{.075, .06, 0}, to: space.Vec{.075, .045, .05}, r: .047, s: .045},
	{name: "toes", up: "foot", side: true, at: space.Vec{.075, .044, .07}, to: space.Vec{.075, .043, .1}, r: .044, s: .043},
}}

// Heads is a person 1.2 m high and so many heads high, the head an egg. With a neck that
// can be seen the chin is where the egg ends; without one it rests in the trunk.
func Heads(heads float64, neck bool, o Options) *rig.Rig {
	const stature = 1.2
	h := stature / heads
	r := .36 * h
	chin := stature - h
	shoulders := chin - .03*h
	if neck {
		shoulders = chin - .2*h
	}
	k := shoulders / .66 // of what stands below, against threeHeads
	p := plan{name: fmt.Sprintf("%.1f-heads-%t", heads, neck), cell: .016, blend: .02, swing: 2}
	for _, b := range threeHeads.bones {
		switch b.name {
		case "neck":
			b.at, b.to, b.r, b.s = space.Vec{0, shoulders - .02*k, 0}, space.Vec{0, chin + .2*r, 0}, .045*k, .045*k
			if !neck {
				b.r, b.s = .08*k, .08*k
			}
		case "head":
			b.at, b.to, b.r, b.s = space.Vec{0, chin + r, 0}, space.Vec{0, stature - r, .01}, r, r
		default:
			b.at, b.to, b.r, b.s = b.at.Mul(k), b.to.Mul(k), b.r*k, b.s*k
		}
		p.bones = append(p.bones, b)
	}
	return p.build(o)
}

// Person is a grown person, arms level.
func Person(o Options) *rig.Rig { return dressed(grown.build(o), grown.spread(o), o, 1.76) }

// ThreeHeads is a person as high as three of their heads.
func ThreeHeads(o Options) *rig.Rig {
	return dressed(threeHeads.build(o), threeHeads.spread(o), o, 1.05)
}

// dressed adds gear where it is asked for: a sword and a shield on helpers below the
// hands, a helmet over the head and a cape on the chest, all without a skin, and a
// book at the belt, bound to the hips.
func dressed(r *rig.Rig, bones []placed, o Options, stature float64) *rig.Rig {
	if !o.Gear || o.Unbound {
		return r
	}
	k := stature / 1.76
	of := func(name string, left bool) int {
		for i := range bones {
			if bones[i].bone.name == name && (!bones[i].side || bones[i].at[0] > 0 == left) {
				return i
			}
		}
		panic("menagerie: no bone " + name)
	}
	head, hand := &bones[of("head", false)], &bones[of("hand", true)]
	grip := hand.to.Sub(hand.at)
	held := hang(r, rig.Node(of("hand", false)), "grip_r", space.Vec{-grip[0], grip[1], grip[2]}, rig.MeshData{})
	hang(r, held, "sword", space.Vec{}, box("sword", space.Vec{0, 0, .5 * k}, space.Vec{.02 * k, .04 * k, .6 * k}))
	held = hang(r, rig.Node(of("hand", true)), "grip_l", grip, rig.MeshData{})
	hang(r, held, "shield", space.Vec{}, box("shield", space.Vec{.06 * k, 0, 0}, space.Vec{.02 * k, .35 * k, .25 * k}))
	up := head.to.Sub(head.at)
	hang(r, rig.Node(of("head", false)), "helmet", up, box("helmet", space.Vec{0, .5 * head.s, 0}, space.Vec{1.2 * head.s, .9 * head.s, 1.2 * head.s}))
	hang(r, rig.Node(of("chest", false)), "cape", space.Vec{}, box("cape", space.Vec{0, -.2 * k, -.2 * k}, space.Vec{.2 * k, .35 * k, .01 * k}))
	hips := of("hips", false)
	at := bones[hips].at.Add(o.At).Add(space.Vec{bones[hips].r + .05*k, 0, 0})
	book := hang(r, rig.None, "book", space.Vec{}, stiffly(box("book", at, space.Vec{.04 * k, .1 * k, .08 * k}), hips))
	r.Nodes[book].Skin = 0
	r.Surfaces[len(r.Surfaces)-1].Skin = 0
	finish(r)
	return r
}

// Two is two people side by side in one file, each with a skeleton, a skin and a clip
// of their own; names are those of one person twice.
func Two(o Options) *rig.Rig {
	left, right := o, o
	left.At, right.At = space.Vec{.95, 0, 0}.Add(o.At), space.Vec{-.95, 0, 0}.Add(o.At)
	return Merge(Person(left), Person(right))
}

// Parts is a grown person of rigid parts: each bone is a node that carries a mesh of
// its own, there is no skin, and the clip turns the nodes. With gear a sword hangs on
// the right hand.
func Parts(o Options) *rig.Rig {
	p := grown
	p.name = "parts"
	bones := p.spread(o)
	r := &rig.Rig{File: rig.File{Name: "parts.glb", Kind: "glb", Version: "2.0", Generator: "rigloupe menagerie"}}
	for i := range bones {
		b := &bones[i]
		t, up := b.at.Add(o.At), rig.Node(rig.None)
		if b.up >= 0 {
			t, up = b.at.Sub(bones[b.up].at), rig.Node(b.up)
		}
		hang(r, up, b.name, t, newNet([]solid{{space.Vec{}, b.to.Sub(b.at), b.r, b.s}}, p.blend, .59*p.cell).mesh(b.bone.name))
	}
	if o.Gear {
		for i := range bones {
			if bones[i].bone.name == "hand" && bones[i].at[0] < 0 {
				hang(r, rig.Node(i), "sword", bones[i].to.Sub(bones[i].at), box("sword", space.Vec{0, 0, .5}, space.Vec{.02, .04, .6}))
			}
		}
	}
	if !o.Still {
		r.Clips = []rig.ClipData{sway(bones, p.swing)}
	}
	finish(r)
	return r
}
