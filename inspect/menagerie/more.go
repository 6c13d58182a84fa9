package menagerie

import (
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// with is a plan with further bones.
func (p plan) with(name string, more ...bone) plan {
	p.name, p.bones = name, append(slices.Clone(p.bones), more...)
	return p
}

// Tailed is a grown person with a tail of five joints.
func Tailed(o Options) *rig.Rig {
	at := func(i float64) space.Vec { return space.Vec{0, .95 - .09*i, -.16 - .11*i} }
	var tail []bone
	for i, name := range []string{"tail 1", "tail 2", "tail 3", "tail 4", "tail 5"} {
		b := bone{name: name, up: "hips", at: at(float64(i)), to: at(float64(i) + .8), r: .045 - .004*float64(i), s: .041 - .004*float64(i)}
		if i > 0 {
			b.up = tail[i-1].name
		}
		tail = append(tail, b)
	}
	p := grown.with("tailed", tail...)
	return dressed(p.build(o), p.spread(o), o, 1.76)
}

// Angel is a grown person with a wing of three joints on either side of the back.
func Angel(o Options) *rig.Rig {
	p := grown.with("angel",
		bone{name: "wing 1", up: "chest", side: true, at: space.Vec{.07, 1.32, -.17}, to: space.Vec{.28, 1.5, -.3}, r: .04, s: .035},
		bone{name: "wing 2", up: "wing 1", side: true, at: space.Vec{.3, 1.52, -.31}, to: space.Vec{.55, 1.5, -.38}, r: .034, s: .03},
		bone{name: "wing 3", up: "wing 2", side: true, at: space.Vec{.58, 1.49, -.39}, to: space.Vec{.8, 1.3, -.42}, r: .03, s: .025})
	return dressed(p.build(o), p.spread(o), o, 1.76)
}

// laden hangs stiff boxes without a skin on joints named by the plan: a saddle, armour.
func laden(r *rig.Rig, bones []placed, boxes map[string]rig.MeshData) *rig.Rig {
	for i := range bones {
		if m, ok := boxes[bones[i].bone.name]; ok {
			m.Positions, m.Normals, m.Triangles = slices.Clone(m.Positions), slices.Clone(m.Normals), slices.Clone(m.Triangles) // each its own, also of a pair
			hang(r, rig.Node(i), m.Name+" "+bones[i].name, space.Vec{}, m)
		}
	}
	finish(r)
	return r
}

// LadenOx carries a yoke on its neck and a saddle on its back.
func LadenOx(o Options) *rig.Rig {
	p := hoofed("ox", 1, 0, true)
	return laden(p.build(o), p.spread(o), map[string]rig.MeshData{
		"neck":  box("yoke", space.Vec{0, .28, 0}, space.Vec{.6, .06, .06}),
		"spine": box("saddle", space.Vec{0, .34, .1}, space.Vec{.3, .05, .3}),
	})
}

// LadenBird wears a hood and a ring on either leg.
func LadenBird(o Options) *rig.Rig {
	p := birdPlan()
	return laden(p.build(o), p.spread(o), map[string]rig.MeshData{
		"head":      box("hood", space.Vec{0, .03, 0}, space.Vec{.05, .03, .05}),
		"lower leg": box("ring", space.Vec{0, -.03, 0}, space.Vec{.035, .01, .035}),
	})
}

// LadenSpider wears plates on body, abdomen and the first joint of each leg.
func LadenSpider(o Options) *rig.Rig {
	p := spiderPlan()
	plate := func(name string, y, h float64) rig.MeshData {
		return box(name, space.Vec{0, y, 0}, space.Vec{h, .01, h})
	}
	return laden(p.build(o), p.spread(o), map[string]rig.MeshData{
		"body": plate("plate", .1, .06), "abdomen": plate("plate", .12, .07),
		"leg0 1": plate("guard", .04, .02), "leg1 1": plate("guard", .04, .02), "leg2 1": plate("guard", .04, .02), "leg3 1": plate("guard", .04, .02),
	})
}

// Driven is a cart with a driver on it, one file, two figures' worth of joints and wheels.
func Driven(o Options) *rig.Rig {
	driver := o
	driver.At = o.At.Add(space.Vec{0, .95, 0})
	return Merge(Cart(o), Person(driver))
}
