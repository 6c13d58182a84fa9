package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// A fifth set of faults in real figures, as a stranger would plant them: near what an eye
// just sees, at ends of the body (toe, thumb, ear, tail tip) and in joints that help, on any
// surface of a figure, often two at once, in figures turned, scaled, renamed and packed. What
// a fault sets off besides is held against the number of findings before, check by check.

var fifthGuises = []guise{
	{"as it is", func(*rig.Rig) {}, nil, nil},
	{"lying, as a file with Z up is read", func(r *rig.Rig) { turnAll(r, turnedBy(90, 0, 0)) }, nil, nil},
	{"Z up, set upright by a node", func(r *rig.Rig) {
		turnAll(r, turnedBy(90, 0, 0))
		setAbove(r, turnedBy(-90, 0, 0), 1)
	}, nil, nil},
	{"in centimetres, brought to metres by a node", func(r *rig.Rig) {
		scaleAll(r, 100)
		setAbove(r, turnedBy(0, 0, 0), .01)
	}, nil, nil},
	{"in 8 bits and nine primitives, triangles the other way through", func(r *rig.Rig) { splitAll(r, 9); shuffleTriangles(r); packAll(r) }, nil, nil},
	{"named as rooms of a house", func(r *rig.Rig) {
		nameAll(r, func(i int) string { return "room" + fmt.Sprint(37*i%101) })
	}, nil, byName},
	{"names with a tail of numbers, nodes in another order", func(r *rig.Rig) {
		for i := range r.Nodes {
			if n := r.Nodes[i].Name; n != "" && r.Nodes[i].Mesh < 0 {
				r.Nodes[i].Name = n + "_0" + fmt.Sprint(i%10) + fmt.Sprint(i/10)
			}
		}
		r.Humanoid = rig.Humanoid{}
		shuffleNodes(r)
	}, nil, byName},
	{"its mirror image at a hundredth, joints in another order", func(r *rig.Rig) { mirrorAll(r); scaleAll(r, .01); shuffleSkins(r) }, nil, []string{"intake/odd-height", "intake/off-ground"}},
	{"clips keyed twice as densely, channels the other way through", func(r *rig.Rig) {
		denser(r)
		for i := range r.Clips {
			slices.Reverse(r.Clips[i].Channels)
		}
	}, nil, nil},
	{"turned by 113°, joints the other way through, six slots more", func(r *rig.Rig) {
		turnAll(r, turnedBy(0, 113, 0))
		shuffleSkins(r)
		slots(r, 12, true)
	}, nil, nil},
}

// setAbove puts a node above all that turns and scales.
func setAbove(r *rig.Rig, q space.Quat, scale float64) {
	under(r, false)
	d := &r.Nodes[len(r.Nodes)-1]
	d.R, d.S = space.XYZW(q), [3]float64{scale, scale, scale}
	d.Matrix = d.TRS.Affine()
}

// grip is a joint that holds vertices of a surface.
type grip struct {
	surface, joint int
	node           rig.Node
	count          int
}

// grips are the joints that hold so many vertices of a surface, all surfaces, those whose
// joint stands farthest from the middle of all first; tips: only those below which no other
// joint holds any, else only those below which one does and above which one does.
func (p *patient) grips(least int, tips bool) (out []grip) {
	holds := map[rig.Node]bool{}
	for s := range p.r.Surfaces {
		if p.r.Surfaces[s].Skin < 0 {
			continue
		}
		q := *p
		q.skin = s
		m := q.mesh()
		count := make([]int, len(q.bones().Joints))
		for v := range m.Vertices() {
			if j := m.Strongest(v, len(count)); j >= 0 {
				count[j]++
			}
		}
		for j, n := range q.bones().Joints {
			if count[j] >= 4 {
				holds[n] = true
			}
			if count[j] >= least {
				out = append(out, grip{s, j, n, count[j]})
			}
		}
	}
	below, above := map[rig.Node]bool{}, map[rig.Node]bool{}
	for n := range holds {
		for up := p.r.Nodes[n].Parent; up >= 0; up = p.r.Nodes[up].Parent {
			below[up] = true
			above[n] = above[n] || holds[up]
		}
	}
	out = slices.DeleteFunc(out, func(g grip) bool {
		if tips {
			return below[g.node]
		}
		return !below[g.node] || !above[g.node]
	})
	world := p.e.RestWorld()
	var mid space.Vec
	for n := range holds {
		mid = mid.Add(world[n].Origin().Mul(1 / float64(len(holds))))
	}
	far := func(g grip) float64 {
		return math.Round(1e3 * world[g.node].Origin().Sub(mid).Len() / p.e.Diagonal())
	}
	slices.SortStableFunc(out, func(a, b grip) int {
		return cmp.Or(cmp.Compare(far(b), far(a)), cmp.Compare(b.count, a.count), cmp.Compare(p.r.Nodes[a.node].Name, p.r.Nodes[b.node].Name), cmp.Compare(a.node, b.node))
	})
	return out
}

// tip takes the k-th end of the body in hand: faults go into its surface.
func (p *patient) tip(k int) (grip, []rig.Vertex) { return p.take(p.grips(4, true), k) }
func (p *patient) take(list []grip, k int) (grip, []rig.Vertex) {
	if len(list) == 0 {
		return grip{node: rig.None}, nil
	}
	g := list[k%len(list)]
	p.skin = g.surface
	return g, p.dominated(g.joint)
}

// on says which surface a wound lies in.
func (p *patient) on(w *wound) *wound {
	w.surface = p.skin + 1
	return w
}

// both plants two faults in one figure.
func both(a, b func(p *patient) []*wound) func(p *patient) []*wound {
	return func(p *patient) []*wound {
		x := a(p)
		if x == nil {
			return nil
		}
		y := b(p)
		if y == nil {
			return nil
		}
		return append(x, y...)
	}
}

func (w *wound) any() *wound {
	w.anyMeasure = true
	return w
}

func (w *wound) either(ids ...string) *wound {
	w.or = ids
	return w
}

// counted are the findings above a note that follow from nothing, by check.
func counted(res *Result) map[string]int {
	out := map[string]int{}
	for _, f := range res.Findings() {
		if f.Grade > check.Note && f.Cause == nil {
			out[f.ID]++
		}
	}
	return out
}

// fifthUnseen are the rows that are known not to be told, and why.
var fifthUnseen = map[string]string{
	"robot.glb/a spike of 35° in an end without a role, or in the trunk":       "the foot flicks by 88° in the two frames around that key as it is",
	"hand_left.glb/an ankle, wrist or knuckle 4 % of the figure out of place":  "the joints hang side by side, so no bone leads from one to the next and no section is cut there",
	"hand_right.glb/an ankle, wrist or knuckle 4 % of the figure out of place": "the same",
}

// fifthBesides are findings that are known to be set off without saying that they follow:
// debts, by figure and kind.
var fifthBesides = map[string]string{
	"Knight.glb/rest left in the pose of a clip":                  "skeleton/axes", // axes are compared in the pose at rest
	"robot.glb/rest left in the pose of a clip":                   "skeleton/axes",
	"Fox.glb/rest left in the pose of a clip":                     "skeleton/axes",
	"Knight.glb/a hand or foot joint 10 % of its bone too near":   "motion/still-chain", // without names a leg one tenth shorter takes the trunk's roles away
	"Knight.glb/both: a knuckle out of place, 0.3 s without keys": "motion/still-chain",
	"robot.glb/an end hung on another limb":                       "binding/mirror-mismatch",  // without names a finger on the other hand takes the partners away
	"hand_right.glb/wider than it is high by 3 %":                 "intake/ignored-placement", // the joints lie, the mesh's own node does not
}

func TestFifthFaultsInRealFigures(t *testing.T) {
	faults := slices.Concat(fifthInWeights, fifthInShape, fifthInBones, fifthInClips, fifthTogether)
	planted, missed, false_, kinds := 0, 0, 0, map[string]bool{}
	for f, name := range realFigures {
		sound := checktest.Named(t, name)
		dressed, clean := map[string]*rig.Rig{}, map[string]*Result{}
		for k, fault := range faults {
			if !rounds.Run(k+3*f, 7) {
				continue
			}
			for try := range fifthGuises {
				g := &fifthGuises[(3*k+7*f+try)%len(fifthGuises)]
				if dressed[g.name] == nil {
					r := lamplighter.Clone(sound)
					g.make(r)
					dressed[g.name], clean[g.name] = r, lookedAt(t, r)
				}
				p := operated(dressed[g.name], clean[g.name])
				ws := fault.on(p)
				if ws == nil {
					continue
				}
				kinds[fault.kind] = true
				t.Run(name+"/"+fault.kind+"/"+g.name, func(t *testing.T) {
					got, err := Examine(context.Background(), p.r, Options{})
					if err != nil {
						t.Fatal(err)
					}
					known := fifthUnseen[name+"/"+fault.kind]
					may := map[string]bool{}
					for _, w := range ws {
						planted++
						if why := w.toldAnywhere(p, got); why != "" {
							if missed++; known == "" {
								t.Error(why)
							}
						} else if known != "" && len(ws) == 1 {
							t.Error("told by now: take it off the list of what is not")
						}
						for _, id := range slices.Concat([]string{w.id}, w.or, w.also) {
							may[id] = true
						}
					}
					was := counted(p.clean)
					for id, n := range counted(got) {
						if n > was[id] && !may[id] && fifthBesides[name+"/"+fault.kind] != id {
							false_++
							for _, f := range got.Findings() {
								if f.ID == id && f.Grade > check.Note && f.Cause == nil {
									t.Errorf("set off besides: %s %s %q %q %v", f.Grade, f.ID, f.Title, f.Subject, f.Measures[0])
								}
							}
						}
					}
				})
				break
			}
		}
	}
	t.Logf("%d faults of %d kinds, %d not told as they are, %d findings set off besides", planted, len(kinds), missed, false_)
	if missed*100 > planted*3 {
		t.Errorf("%d of %d are not told as they are: more than 3 in a hundred", missed, planted)
	}
	if rounds.Long() && (planted < 150 || len(kinds) < 40) {
		t.Errorf("only %d faults of %d kinds were planted", planted, len(kinds))
	}
}

// toldAnywhere is as told, over the checks that may tell the wound and the surface it lies in.
func (w *wound) toldAnywhere(p *patient, got *Result) string {
	q := *p
	if w.surface > 0 {
		q.skin = w.surface - 1
	}
	var near []string
	ids := append([]string{w.id}, w.or...)
	for _, f := range got.Findings() {
		if !slices.Contains(ids, f.ID) {
			continue
		}
		if f.Cause != nil {
			near = append(near, fmt.Sprintf("%s %q only as following from %s", f.Grade, f.Title, f.Cause.ID))
			continue
		}
		plain := *w
		if w.anyMeasure && !math.IsNaN(w.size) {
			plain.size = math.NaN()
			fits := false
			var all []string
			for _, m := range slices.Concat(f.Measures, rowMeasures(&f)) {
				fits = fits || math.Abs(math.Abs(m.Value)-w.size) <= w.off*w.size
				all = append(all, fmt.Sprintf("%s %.4g", m.Name, m.Value))
			}
			if !fits {
				near = append(near, fmt.Sprintf("%s %q: no measure is %g: %s", f.Grade, f.Title, w.size, strings.Join(all, ", ")))
				continue
			}
		}
		if why := plain.same(&q, &f); why != "" {
			near = append(near, fmt.Sprintf("%s %q %q: %s", f.Grade, f.Title, f.Subject, why))
			continue
		}
		return ""
	}
	return fmt.Sprintf("%v is not told as it is (joints %v): %s", ids, w.nodes, strings.Join(near, "; "))
}

func rowMeasures(f *check.Finding) (out []check.Measure) {
	for i := range f.Rows {
		out = append(out, f.Rows[i].Measures...)
	}
	return out
}
