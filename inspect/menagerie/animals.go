package menagerie

import (
	"fmt"
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// hoofed is an animal on four legs, 1.5 m at the withers for scale 1: an ox with
// horns, a horse with a longer neck, a dog.
func hoofed(name string, k, neck float64, horns bool) plan {
	b := []bone{
		{name: "hips", at: space.Vec{0, 1.2, -.62}, to: space.Vec{0, 1.2, -.5}, r: .27, s: .26},
		{name: "spine", up: "hips", at: space.Vec{0, 1.22, -.36}, to: space.Vec{0, 1.2, -.02}, r: .27, s: .29},
		{name: "chest", up: "spine", at: space.Vec{0, 1.2, .06}, to: space.Vec{0, 1.2, .4}, r: .3, s: .27},
		{name: "neck", up: "chest", at: space.Vec{0, 1.3, .58}, to: space.Vec{0, 1.42 + .6*neck, .85}, r: .18, s: .14},
		{name: "head", up: "neck", at: space.Vec{0, 1.46 + .65*neck, .9}, to: space.Vec{0, 1.3 + .65*neck, 1.2}, r: .13, s: .09},
		{name: "tail 1", up: "hips", at: space.Vec{0, 1.3, -.9}, to: space.Vec{0, 1.15, -.98}, r: .05, s: .045},
		{name: "tail 2", up: "tail 1", at: space.Vec{0, 1.1, -1}, to: space.Vec{0, .9, -1.02}, r: .045, s: .04},
		{name: "tail 3", up: "tail 2", at: space.Vec{0, .85, -1.02}, to: space.Vec{0, .65, -1.02}, r: .04, s: .04},
		{name: "ear", up: "head", side: true, at: space.Vec{.13, 1.52 + .65*neck, .9}, to: space.Vec{.26, 1.56 + .65*neck, .88}, r: .045, s: .035},
		{name: "fore shoulder", up: "chest", side: true, at: space.Vec{.14, 1.25, .36}, to: space.Vec{.2, 1.02, .42}, r: .14, s: .12},
		{name: "fore upper", up: "fore shoulder", side: true, at: space.Vec{.2, .96, .42}, to: space.Vec{.2, .7, .36}, r: .11, s: .085},
		{name: "fore lower", up: "fore upper", side: true, at: space.Vec{.2, .64, .36}, to: space.Vec{.2, .38, .38}, r: .075, s: .06},
		{name: "fore foot", up: "fore lower", side: true, at: space.Vec{.2, .32, .38}, to: space.Vec{.2, .14, .38}, r: .055, s: .055},
		{name: "fore toes", up: "fore foot", side: true, at: space.Vec{.2, .08, .4}, to: space.Vec{.2, .07, .44}, r: .07, s: .068},
		{name: "hind upper", up: "hips", side: true, at: space.Vec{.17, 1.08, -.6}, to: space.Vec{.2, .8, -.5}, r: .16, s: .12},
		{name: "hind lower", up: "hind upper", side: true, at: space.Vec{.2, .74, -.5}, to: space.Vec{.2, .5, -.68}, r: .095, s: .07},
		{name: "hind foot", up: "hind lower", side: true, at: space.Vec{.2, .44, -.7}, to: space.Vec{.2, .16, -.66}, r: .062, s: .055},
		{name: "hind toes", up: "hind foot", side: true, at: space.Vec{.2, .08, -.64}, to: space.Vec{.2, .07, -.6}, r: .07, s: .068},
	}
	if horns {
		b = append(b, bone{name: "horn", up: "head", side: true, at: space.Vec{.08, 1.62 + .65*neck, .93}, to: space.Vec{.2, 1.78 + .65*neck, .98}, r: .045, s: .035})
	}
	for i := range b {
		b[i].at, b[i].to, b[i].r, b[i].s = b[i].at.Mul(k), b[i].to.Mul(k), b[i].r*k, b[i].s*k
	}
	return plan{name: name, bones: b, cell: .034 * k, blend: .06 * k, swing: 2}
}

// Ox, Horse and Dog stand on four legs.
func Ox(o Options) *rig.Rig    { p := hoofed("ox", 1, 0, true); return p.build(o) }
func Horse(o Options) *rig.Rig { p := hoofed("horse", 1.07, 1, false); return p.build(o) }
func Dog(o Options) *rig.Rig   { p := hoofed("dog", .4, .4, false); return p.build(o) }

// Bird has two legs, two wings and a tail of three feathers.
func Bird(o Options) *rig.Rig { p := birdPlan(); return p.build(o) }

func birdPlan() plan {
	return plan{name: "bird", cell: .012, blend: .02, swing: 2, bones: []bone{
		{name: "body", at: space.Vec{0, .3, -.05}, to: space.Vec{0, .33, .05}, r: .1, s: .09},
		{name: "neck", up: "body", at: space.Vec{0, .42, .12}, to: space.Vec{0, .5, .15}, r: .05, s: .04},
		{name: "head", up: "neck", at: space.Vec{0, .54, .16}, to: space.Vec{0, .55, .2}, r: .05, s: .045},
		{name: "beak", up: "head", at: space.Vec{0, .54, .25}, to: space.Vec{0, .53, .29}, r: .025, s: .02},
		{name: "tail", up: "body", at: space.Vec{0, .29, -.17}, to: space.Vec{0, .28, -.26}, r: .04, s: .035},
		{name: "tail feather", up: "tail", side: true, at: space.Vec{.03, .275, -.28}, to: space.Vec{.07, .27, -.38}, r: .025, s: .02},
		{name: "wing 1", up: "body", side: true, at: space.Vec{.09, .37, .02}, to: space.Vec{.26, .39, .02}, r: .04, s: .035},
		{name: "wing 2", up: "wing 1", side: true, at: space.Vec{.28, .39, .02}, to: space.Vec{.46, .39, 0}, r: .034, s: .03},
		{name: "wing 3", up: "wing 2", side: true, at: space.Vec{.48, .39, 0}, to: space.Vec{.66, .39, -.04}, r: .03, s: .024},
		{name: "upper leg", up: "body", side: true, at: space.Vec{.06, .24, 0}, to: space.Vec{.06, .17, .02}, r: .04, s: .03},
		{name: "lower leg", up: "upper leg", side: true, at: space.Vec{.06, .15, .02}, to: space.Vec{.06, .08, -.01}, r: .026, s: .022},
		{name: "foot", up: "lower leg", side: true, at: space.Vec{.06, .05, -.01}, to: space.Vec{.06, .025, .04}, r: .024, s: .022},
	}}
}

// Spider has eight legs of three joints. With Options.Names Counted they are called
// leg0_L_1 to leg3_R_3.
func Spider(o Options) *rig.Rig { p := spiderPlan(); return p.build(o) }

func spiderPlan() plan {
	p := plan{name: "spider", cell: .012, blend: .02, swing: 1, bones: []bone{
		{name: "body", at: space.Vec{0, .2, 0}, to: space.Vec{0, .2, .06}, r: .09, s: .08},
		{name: "abdomen", up: "body", at: space.Vec{0, .22, -.14}, to: space.Vec{0, .22, -.24}, r: .1, s: .09},
	}}
	for leg := range 4 {
		a := (55 - 35*float64(leg)) * math.Pi / 180
		dir := space.Vec{math.Cos(a), 0, math.Sin(a)}
		at := func(out, y float64) space.Vec { return space.Vec{0, y, .03}.Add(dir.Mul(out)) }
		name := func(n int) string { return fmt.Sprintf("leg%d %d", leg, n) }
		p.bones = append(p.bones,
			bone{name: name(1), up: "body", side: true, at: at(.09, .2), to: at(.22, .3), r: .026, s: .023},
			bone{name: name(2), up: name(1), side: true, at: at(.24, .31), to: at(.38, .2), r: .023, s: .021},
			bone{name: name(3), up: name(2), side: true, at: at(.4, .18), to: at(.48, .021), r: .021, s: .02})
	}
	return p
}

// Snake is one chain of twelve joints.
func Snake(o Options) *rig.Rig {
	p := plan{name: "snake", cell: .02, blend: .04, swing: 2}
	for i := range 12 {
		z, r := 1-.18*float64(i), .08-.003*float64(i)
		b := bone{name: fmt.Sprint("body ", i+1), at: space.Vec{0, r, z}, to: space.Vec{0, r - .003, z - .13}, r: r, s: r - .003}
		if i > 0 {
			b.up = fmt.Sprint("body ", i)
		}
		p.bones = append(p.bones, b)
	}
	return p.build(o)
}

// Hand is a left hand alone, palm down, fingers towards +X.
func Hand(o Options) *rig.Rig {
	p := plan{name: "hand", apart: true, cell: .0035, blend: .007, swing: 2, bones: []bone{
		{name: "hand", at: space.Vec{0, .02, 0}, to: space.Vec{.05, .02, 0}, r: .024, s: .026},
	}}
	for f, name := range []string{"index", "middle", "ring", "little"} {
		z := .042 - .028*float64(f)
		palm := fmt.Sprint(name, " metacarpal")
		p.bones = append(p.bones, bone{name: palm, up: "hand", at: space.Vec{.02, .02, .6 * z}, to: space.Vec{.076, .02, z}, r: .013, s: .0115})
		up, x := palm, .084
		for n := 1; n <= 3; n++ {
			l := []float64{.044, .03, .024}[n-1] * []float64{.95, 1, .93, .8}[f]
			b := bone{name: fmt.Sprint(name, " ", n), up: up, at: space.Vec{x, .02, z}, to: space.Vec{x + l - .006, .02, z}, r: .0095 - .0006*float64(n), s: .009 - .0006*float64(n)}
			p.bones = append(p.bones, b)
			up, x = b.name, x+l
		}
	}
	up, x, z := "hand", .02, .035
	for n := 1; n <= 3; n++ {
		b := bone{name: fmt.Sprint("thumb ", n), up: up, at: space.Vec{x, .02, z}, to: space.Vec{x + .014, .02, z + .022}, r: .012 - .0008*float64(n), s: .0115 - .0008*float64(n)}
		p.bones = append(p.bones, b)
		up, x, z = b.name, x+.02, z+.026
	}
	if o.Names == Named {
		for i := range p.bones {
			p.bones[i].name += " left"
			if p.bones[i].up != "" {
				p.bones[i].up += " left"
			}
		}
	}
	return p.build(o)
}

// Cart is a box on four wheels with a shaft, each a rigid node; the clip turns the
// wheels.
func Cart(o Options) *rig.Rig {
	r := &rig.Rig{File: rig.File{Name: "cart.glb", Kind: "glb", Version: "2.0", Generator: "rigloupe menagerie"}}
	cart := hang(r, rig.None, "cart", o.At, box("cart", space.Vec{0, .75, 0}, space.Vec{.5, .2, .9}))
	hang(r, cart, "shaft", space.Vec{0, .6, .9}, box("shaft", space.Vec{0, 0, .5}, space.Vec{.05, .05, .5}))
	clip := rig.ClipData{Name: "roll", Seconds: 1}
	times := []float32{0, .25, .5, .75, 1}
	for _, w := range []struct {
		name string
		x, z float64
	}{{"wheel_front_l", 1, .6}, {"wheel_front_r", -1, .6}, {"wheel_back_l", 1, -.6}, {"wheel_back_r", -1, -.6}} {
		disc := newNet([]solid{{space.Vec{-.02, 0, 0}, space.Vec{.02, 0, 0}, .3, .3}}, .02, .0411).mesh("wheel")
		n := hang(r, cart, w.name, space.Vec{.6 * w.x, .3, w.z}, disc)
		ch := rig.Channel{Node: n, Path: rig.Rotation, Times: times, Width: 4}
		for k := range times {
			half := math.Pi * float64(k) / 4
			ch.Values = append(ch.Values, float32(math.Sin(half)), 0, 0, float32(math.Cos(half)))
		}
		clip.Channels = append(clip.Channels, ch)
	}
	if !o.Still {
		r.Clips = []rig.ClipData{clip}
	}
	finish(r)
	return r
}
