package binding

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// plants are faults of every check, in the sample (a body) and in the ladder (none).
func plants() (all []struct {
	figure, name string
	rig          *rig.Rig
}) {
	add := func(figure, name string, r *rig.Rig) {
		all = append(all, struct {
			figure, name string
			rig          *rig.Rig
		}{figure, name, r})
	}
	for _, f := range lamplighter.Faults() {
		if strings.HasPrefix(f.ID, "binding/") {
			r, _ := f.On(lamp)
			add("body", f.Name, r)
		}
	}
	for name, plant := range map[string]func(*rig.Rig){
		"weights without a skin": func(r *rig.Rig) { skinned := *r; unskin(r); r.Skins = skinned.Skins },
		"eight bits, off": func(r *rig.Rig) {
			m := &r.Meshes[0]
			for i := range m.Primitives {
				p := &m.Primitives[i]
				p.WeightType, p.WeightSums = 5121, make([]uint32, p.Count)
				for v := range p.Count {
					p.WeightSums[v] = 255
				}
			}
			at := 10 * m.K
			for i := range m.K { // one short of the sum by 55 of 255
				m.Weights[at+i] = 0
			}
			m.Weights[at], m.Primitives[0].WeightSums[10] = 200./255, 200
		},
		"far, and left behind": func(r *rig.Rig) {
			plate(3, .5, rig.None, false)(r)
			r.Scenes, r.Shown = nil, rig.None // the plate is shown too
			root := r.Skins[0].Joints[0]
			c := &r.Clips[0].Channels[0]
			c.Node = root
			for i := range 3 {
				c.Values[i], c.Values[3+i] = float32(r.Nodes[root].T[i]), float32(r.Nodes[root].T[i])
			}
			c.Values[3] += .5
		},
		"a fifth, faint":  fifth(1e-6, 4),
		"a fifth, strong": fifth(.6, 4),
		"a skin without joints": func(r *rig.Rig) {
			m := &r.Meshes[0]
			m.K, m.Joints, m.Weights = 0, nil, nil
			q := &m.Primitives[0]
			q.Sets, q.JointSets, q.WeightSets = 0, 0, 0
		},
		"joints without weights": func(r *rig.Rig) { r.Meshes[0].Primitives[0].JointSets = 2 },
		"outside the scene":      func(r *rig.Rig) { r.Scenes, r.Shown = []rig.Scene{{Roots: []rig.Node{rig.Node(len(r.Nodes) - 1)}}}, 0 },
		"a joint twice": func(r *rig.Rig) {
			k := &r.Skins[0]
			k.Joints, k.Bind = append(k.Joints, k.Joints[1]), append(k.Bind, k.Bind[1])
		},
		"an index at weight 0": func(r *rig.Rig) {
			m := &r.Meshes[0]
			for i, w := range m.Weights {
				if w == 0 {
					m.Joints[i] = 1
					return
				}
			}
		},
		"one vertex on a joint twice": func(r *rig.Rig) {
			m := &r.Meshes[0]
			copy(m.Joints[:2], []uint16{0, 0})
			copy(m.Weights[:m.K], []float32{.5, .5, 0, 0, 0, 0, 0, 0}[:m.K])
		},
	} {
		for figure, base := range map[string]func() *rig.Rig{"body": clean, "none": ladder} {
			r := base()
			plant(r)
			add(figure, name, r)
		}
	}
	hidden := func(r *rig.Rig) { r.Meshes[0].Joints[40] = 9 }
	for name, plant := range map[string]func(*rig.Rig){
		"unbound": weigh(10), "off by rounding": weigh(10, 1-1./2048), "off": weigh(10, .5, .4), "an index too high": hidden,
		"nine influences": crowd(10, 9), "six influences": crowd(10, 6), "five, the last strong": five(4, .0132), "five, the greatest last": five(4, .6),
		"a drop": both(weigh(0, .9, .1), bone(.19)), "a seam": split(.3, .7), "a third of a shell": both(shell(1.5, .3), bone(.1)),
		"one side": weigh(10, .25, .75), "handles": hang("handle", rig.None, true, false), "a shell of one joint": shell(5, 1),
		"a hard edge": weigh(8, 0, 1), "hung": plate(.05, 1, 1, false), "left behind": plate(.0092, 0, rig.None, false),
		"faint": func(r *rig.Rig) {
			for v := range 4 {
				weigh(v, .995, .005)(r)
			}
		},
	} {
		r := ladder()
		plant(r)
		add("none", name, r)
	}
	return all
}

// fifth gives vertex 10 the skin's first five joints, evenly but for the one in the
// slot, which has so much of the weight.
func fifth(weight float32, slot int) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m, k := &r.Meshes[0], 8
		n := m.Vertices()
		joints, weights := make([]uint16, k*n), make([]float32, k*n)
		for v := range n {
			copy(joints[v*k:], m.Joints[v*m.K:(v+1)*m.K])
			copy(weights[v*k:], m.Weights[v*m.K:(v+1)*m.K])
		}
		m.K, m.Joints, m.Weights = k, joints, weights
		for i := range k {
			joints[10*k+i], weights[10*k+i] = 0, 0
			if i < 5 {
				joints[10*k+i], weights[10*k+i] = uint16(i%len(r.Skins[0].Joints)), (1-weight)/4
			}
			if i == slot {
				weights[10*k+i] = weight
			}
		}
		m.Primitives[0].Sets, m.Primitives[0].JointSets, m.Primitives[0].WeightSets = 2, 2, 2
	}
}

func unskin(r *rig.Rig) {
	for i := range r.Nodes {
		r.Nodes[i].Skin = rig.None
	}
	for i := range r.Surfaces {
		r.Surfaces[i].Skin = rig.None
	}
}

// Every limit from both sides, in a body and in a figure that is none: a hair below
// what was measured the finding stands, a hair above it, or a step where the limit
// moves in steps, the finding is gone.
func TestEveryLimitBothSides(t *testing.T) {
	seen := map[string]bool{} // figure, check, limit
	for _, p := range plants() {
		facts := measured(t, p.rig)
		judge := func(o check.Overrides) []check.Finding {
			found, _ := Station.Judge(facts, o)
			return found
		}
		stands := func(list []check.Finding, x *check.Finding) bool {
			return slices.ContainsFunc(list, func(y check.Finding) bool {
				return y.ID == x.ID && y.Grade == x.Grade && y.Measures[0].Name == x.Measures[0].Name
			})
		}
		for _, x := range judge(nil) {
			for _, entry := range Station.Entries {
				if entry.ID != x.ID {
					continue
				}
				for _, l := range entry.Limits {
					for _, m := range x.Measures { // some limits say what is counted, and it is another measure that they are held against
						v, hair := m.Value, max(1e-9, 1e-6*math.Abs(m.Value))
						for _, open := range []check.Overrides{{x.ID: {}}, {x.ID: {entry.Limits[0].Name: 0}}, {x.ID: {entry.Limits[0].Name: 1e9}}} {
							open[x.ID][l.Name] = v - hair
							below := judge(open)
							open[x.ID][l.Name] = v + hair
							if l.Per > 0 { // the step above
								open[x.ID][l.Name] = v + 1/float64(l.Per)
							}
							if stands(below, &x) != stands(judge(open), &x) {
								seen[p.figure+" "+x.ID+" "+l.Name] = true
							}
						}
					}
				}
			}
		}
	}
	// What no place in these figures can be measured by.
	excused := map[string]string{
		"none binding/cross-body vertices": "a figure without sides has no other side",
		"none binding/cross-body weight":   "as above",
		"none binding/cross-body beyond":   "as above",
		"body binding/cross-body beyond":   "no measure of the finding; TestCrossBody moves it over the place",
	}
	for _, entry := range Station.Entries {
		for _, l := range entry.Limits {
			for _, figure := range []string{"body", "none"} {
				key := figure + " " + entry.ID + " " + l.Name
				if !seen[key] && excused[key] == "" {
					t.Errorf("%s: not seen from both sides", key)
				}
			}
		}
	}
}
