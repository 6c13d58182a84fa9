package menagerie

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Thing is a shape without a skeleton that is sound as it is, though no plane parts it
// into two sides, or one does by chance alone. Sizes in metres, invented.
type Thing struct {
	Name  string
	Build func() *rig.Rig
}

// Things are shapes of which nobody should be told that their sides differ: one of a
// pair, what is folded or holds something on one side, what is crooked by nature.
func Things() []Thing {
	return []Thing{
		{"a hand", func() *rig.Rig { return Hand(Options{Unbound: true}) }},
		{"an arm with its hand", func() *rig.Rig { p := armPlan(); return p.build(Options{Unbound: true}) }},
		{"a foot", func() *rig.Rig { p := footPlan(); return p.build(Options{Unbound: true}) }},
		{"a boot", func() *rig.Rig { p := bootPlan(); return p.build(Options{Unbound: true}) }},
		{"a tree", func() *rig.Rig { p := treePlan(); return p.build(Options{Unbound: true}) }},
		{"a bird with one wing folded", func() *rig.Rig { p := foldedPlan(); return p.build(Options{Unbound: true}) }},
		{"a snake that winds", func() *rig.Rig { p := windingPlan(); return p.build(Options{Unbound: true}) }},
		{"a chair with a leaf", func() *rig.Rig { p := chairPlan(); return p.build(Options{Unbound: true}) }},
		{"a person who points", func() *rig.Rig { p := pointingPlan(); return p.build(Options{Unbound: true}) }},
		{"a spider that walks", func() *rig.Rig { p := walkingPlan(); return p.build(Options{Unbound: true}) }},
	}
}

// one is a bone that stands alone.
func one(name string, at, to space.Vec, r, s float64) bone {
	return bone{name: name, at: at, to: to, r: r, s: s}
}

func thing(name string, cell, blend float64, bones ...bone) plan {
	for i := range bones[1:] {
		bones[i+1].up = bones[0].name
	}
	return plan{name: name, cell: cell, blend: blend, bones: bones}
}

func armPlan() plan {
	return thing("arm", .009, .02,
		one("upper", space.Vec{0, 0, 0}, space.Vec{.29, -.02, 0}, .052, .043),
		one("lower", space.Vec{.29, -.02, 0}, space.Vec{.53, -.03, .06}, .043, .03),
		one("palm", space.Vec{.53, -.03, .06}, space.Vec{.6, -.04, .08}, .032, .04),
		one("thumb", space.Vec{.55, -.03, .08}, space.Vec{.6, -.05, .14}, .015, .011),
		one("index", space.Vec{.6, -.03, .105}, space.Vec{.69, -.05, .13}, .012, .009),
		one("middle", space.Vec{.61, -.035, .085}, space.Vec{.71, -.055, .1}, .012, .009),
		one("ring", space.Vec{.61, -.04, .065}, space.Vec{.7, -.065, .07}, .012, .009),
		one("little", space.Vec{.6, -.045, .045}, space.Vec{.67, -.07, .04}, .01, .008))
}

func footPlan() plan {
	return thing("foot", .005, .02,
		one("shin", space.Vec{0, .3, -.02}, space.Vec{0, .08, 0}, .045, .035),
		one("heel", space.Vec{0, .035, -.04}, space.Vec{.005, .04, .06}, .033, .032),
		one("ball", space.Vec{.005, .04, .06}, space.Vec{.02, .025, .13}, .035, .025),
		one("outer", space.Vec{.005, .03, .06}, space.Vec{-.03, .02, .12}, .03, .02),
		one("big toe", space.Vec{.025, .022, .13}, space.Vec{.03, .018, .18}, .017, .014),
		one("second", space.Vec{.006, .02, .135}, space.Vec{.007, .015, .175}, .01, .009),
		one("third", space.Vec{-.012, .02, .13}, space.Vec{-.014, .014, .163}, .01, .008),
		one("last", space.Vec{-.035, .018, .115}, space.Vec{-.04, .013, .143}, .01, .008))
}

func bootPlan() plan {
	return thing("boot", .009, .03,
		one("shaft", space.Vec{0, .4, -.02}, space.Vec{0, .1, 0}, .065, .055),
		one("sole", space.Vec{0, .05, -.06}, space.Vec{.012, .05, .08}, .045, .045),
		one("tip", space.Vec{.012, .05, .08}, space.Vec{.035, .04, .17}, .045, .032),
		one("buckle", space.Vec{.06, .25, 0}, space.Vec{.075, .25, .01}, .02, .02))
}

func treePlan() plan {
	return thing("tree", .03, .06,
		one("trunk", space.Vec{0, 0, 0}, space.Vec{.1, 1.5, .05}, .16, .11),
		one("fork", space.Vec{.1, 1.5, .05}, space.Vec{-.2, 2.4, .2}, .1, .07),
		one("low", space.Vec{.05, 1.1, 0}, space.Vec{.8, 1.7, -.3}, .08, .05),
		one("high", space.Vec{.1, 1.5, .05}, space.Vec{.6, 2.5, .3}, .08, .05),
		one("back", space.Vec{.05, 1.2, 0}, space.Vec{-.3, 1.8, -.6}, .07, .05),
		one("twig", space.Vec{-.2, 2.4, .2}, space.Vec{-.7, 2.6, .5}, .06, .04))
}

func foldedPlan() plan {
	p := birdPlan()
	p.bones = append([]bone(nil), p.bones...)
	var out []bone
	for _, b := range p.bones {
		if !b.side {
			out = append(out, b)
			continue
		}
		l, r := b, b
		l.side, r.side = false, false
		l.name, r.name = b.name+" left", b.name+" right"
		l.up, r.up = "", ""
		r.at[0], r.to[0] = -r.at[0], -r.to[0]
		if b.name != "upper leg" && b.at[1] > 0 && (b.at[0] > .08 || b.to[0] > .12) { // a wing
			fold := func(v space.Vec) space.Vec { return space.Vec{-.09 - .1*(v[0]-.09), v[1] - .03, v[2] - .8*(v[0]-.09)} }
			r.at, r.to = fold(b.at), fold(b.to)
		}
		out = append(out, l, r)
	}
	first := out[0].name
	for i := range out[1:] {
		out[i+1].up = first
	}
	p.bones, p.name = out, "folded"
	return p
}

func windingPlan() plan {
	at := func(k int) space.Vec {
		x := []float64{0, .14, .2, .1, -.1, -.16, -.02, .2, .3}[k]
		return space.Vec{x, .05 + .01*float64(k%3), .17 * float64(k)}
	}
	var bones []bone
	names := "abcdefgh"
	for k := range 8 {
		bones = append(bones, one(names[k:k+1], at(k), at(k+1), .05-.004*float64(k), .046-.004*float64(k)))
	}
	return thing("winding", .012, .02, bones...)
}

func chairPlan() plan {
	bones := []bone{one("seat", space.Vec{0, .45, -.12}, space.Vec{0, .45, .12}, .12, .12)}
	for i, x := range []float64{-.16, .16} {
		for k, z := range []float64{-.16, .16} {
			bones = append(bones, one([]string{"a", "b"}[i]+[]string{"c", "d"}[k], space.Vec{x, .45, z}, space.Vec{x, 0, z}, .03, .03))
		}
		bones = append(bones, one([]string{"e", "f"}[i], space.Vec{x, .45, -.16}, space.Vec{x, .95, -.2}, .03, .03))
	}
	bones = append(bones, one("rail", space.Vec{-.16, .95, -.2}, space.Vec{.16, .95, -.2}, .03, .03))
	bones = append(bones, one("leaf", space.Vec{.16, .68, -.17}, space.Vec{.2, .68, .18}, .03, .06))
	return thing("chair", .015, .02, bones...)
}

// eachSide writes out the bones that stand for two, all hung on the first bone; change sees bone i
// as it was, and its left and right, before they are taken.
func (p plan) eachSide(change func(i int, was bone, left, right *bone)) plan {
	from := p.bones
	p.bones = nil
	for i, b := range from {
		b.up = ""
		if i > 0 {
			b.up = from[0].name
		}
		if !b.side {
			p.bones = append(p.bones, b)
			continue
		}
		l, r := b, b
		l.side, r.side = false, false
		l.name, r.name = b.name+" left", b.name+" right"
		r.at[0], r.to[0] = -b.at[0], -b.to[0]
		change(i, b, &l, &r)
		p.bones = append(p.bones, l, r)
	}
	return p
}

// pointingPlan is a grown person whose one arm points ahead.
func pointingPlan() plan {
	p := grown
	p.name = "pointing"
	var shoulder space.Vec
	for _, b := range grown.bones {
		if b.side && shoulder == (space.Vec{}) && b.at[1] > 1.2 && b.at[0] > .12 {
			shoulder = b.at
		}
	}
	ahead := func(v space.Vec) space.Vec {
		way := v.Sub(shoulder)
		return space.Vec{-shoulder[0] - .15*way[0], shoulder[1] + .1*way[0], shoulder[2] + way.Len()}
	}
	return p.eachSide(func(_ int, b bone, _, r *bone) {
		if b.at[1] > .8 && b.to[0] > shoulder[0]+.01 { // an arm
			r.at, r.to = ahead(b.at), ahead(b.to)
		}
	})
}

// walkingPlan is a spider in the middle of a step: every leg stands in another way.
func walkingPlan() plan {
	p := spiderPlan()
	p.name = "walking"
	return p.eachSide(func(i int, b bone, l, r *bone) {
		leg := .25 * float64(1-2*((i/2)%2))
		l.to[2], r.to[2] = l.to[2]+leg*b.to[0], r.to[2]-leg*b.to[0]
		l.at[2], r.at[2] = l.at[2]+leg*b.at[0], r.at[2]-leg*b.at[0]
	})
}
