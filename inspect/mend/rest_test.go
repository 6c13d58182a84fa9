package mend

import (
	"context"
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// suggested makes the plan that a figure's findings call for and answers its end.
func suggested(t *testing.T, s *State) (*Plan, *State, []*Receipt) {
	t.Helper()
	p, end, left, err := Suggest(context.Background(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p, end, left
}

// clears asks that the plan for a planted fault names a mend and leaves nothing of it.
func clears(t *testing.T, fault lamplighter.Fault, mends ...string) {
	t.Helper()
	r, _ := fault.On(sample())
	s := ofRig(t, r)
	if gradeOf(t, s, fault.ID) == 0 {
		t.Fatal("the fault is not found")
	}
	p, end, left := suggested(t, s)
	named := false
	for _, step := range p.Steps {
		for _, m := range mends {
			named = named || step.Mend == m
		}
	}
	if !named {
		for _, r := range left {
			t.Logf("%s %v not kept: %s; planted %v; %v", r.Mend, r.Parameters, r.Why, r.Planted, r.Refused)
		}
		t.Fatalf("the plan names none of %v", mends)
	}
	if g := gradeOf(t, end, fault.ID); g != 0 {
		t.Errorf("%s is %v still", fault.ID, g)
	}
}

func TestRestClearsPlanted(t *testing.T) {
	for _, fault := range planted("skeleton/rest-pose", "skeleton/bind-odd") {
		t.Run(fault.ID+" "+fault.Name, func(t *testing.T) { clears(t, fault, "rest", "rebind") })
	}
}

// armsBelow are the angles of both upper arms below level, degrees, from places alone.
func armsBelow(r *rig.Rig) (out []float64) {
	w := r.RestWorld()
	roles := anatomy.Find(r, w)
	for _, side := range []string{"left", "right"} {
		if s, e := roles.Node(side+"UpperArm"), roles.Node(side+"LowerArm"); s >= 0 && e >= 0 {
			d := w[e].Origin().Sub(w[s].Origin())
			out = append(out, math.Atan2(-d[1], math.Hypot(d[0], d[2]))*180/math.Pi)
		}
	}
	return out
}

// Real figures brought to T and A, rest only: arms within 0.01° of what was asked in the
// file that is written, every clip as it was to float32, and no buffer view touched.
func TestRestOnlyOfTheCorpus(t *testing.T) {
	for _, name := range []string{"cesium_man.gltf", "Knight.glb", "robot.glb"} {
		for pose, want := range map[string]float64{"T": 0, "A": 45} {
			t.Run(name+" "+pose, func(t *testing.T) {
				s := corpusState(t, name)
				x := try(t, s, "rest", Values{"pose": pose})
				if x.After == nil {
					t.Fatal(x.Refused())
				}
				arms := armsBelow(x.After.Rig)
				if len(arms) != 2 {
					t.Fatalf("%d arms", len(arms))
				}
				for _, a := range arms {
					if math.Abs(a-want) > .01 {
						t.Errorf("an arm is %.4f° below level, want %g", a, want)
					}
				}
				moments := Moments(s.Rig)[1:] // rest is another on purpose
				if g := Compare(s.Rig, x.After.Rig, moments, nil); !(g.Max <= 1e-6*spanOf(s.Rig)) {
					t.Errorf("clip %d at %.2f s: a vertex is %.3g m off", g.Moment.Clip, g.Moment.Seconds, g.Max)
				}
				if r := prove(t, x); len(r.Bytes.Rewritten) > 0 {
					t.Errorf("views %v are rewritten", r.Bytes.Rewritten)
				} else {
					t.Logf("kept %v: %s; cleared %v, planted %v, revealed %v", r.Kept, r.Why, r.Cleared, r.Planted, r.Revealed)
				}
			})
		}
	}
}

func spanOf(r *rig.Rig) float64 {
	w := NewPosed(r)
	lo, hi := math.Inf(1), math.Inf(-1)
	for s := range r.Surfaces {
		for _, x := range w.Positions(s) {
			lo, hi = min(lo, float64(x)), max(hi, float64(x))
		}
	}
	return hi - lo
}

// Real figures bound anew in T, three ways: arms as asked, the receipt's price is what an
// independent playing of both files gives, vertices of one joint stay.
func TestRebindOfTheCorpus(t *testing.T) {
	for _, name := range []string{"cesium_man.gltf", "Knight.glb", "robot.glb"} {
		for _, way := range []string{"seen", "dual", "clips"} {
			t.Run(name+" "+way, func(t *testing.T) {
				s := corpusState(t, name)
				x := try(t, s, "rebind", Values{"pose": "T", "way": way, "price": 1.0})
				if x.After == nil {
					t.Fatal(x.Refused())
				}
				for _, a := range armsBelow(x.After.Rig) {
					if math.Abs(a) > .01 {
						t.Errorf("an arm is %.4f° below level", a)
					}
				}
				stiffStay(t, s.Rig, x.After.Rig)
				r := prove(t, x)
				var told float64
				for _, m := range r.Measures {
					if m.Name == "farthest vertex in a clip" {
						told = m.Value
					}
				}
				t.Logf("price %.2f mm; kept %v: %s; cleared %v, planted %v", 1000*told, r.Kept, r.Why, r.Cleared, r.Planted)
				if len(s.Rig.Clips) > 20 {
					return // fewer moments of each are audited than Moments has
				}
				if g := Compare(s.Rig, x.After.Rig, Moments(s.Rig)[1:], nil); math.Abs(g.Max-told) > 1e-5*spanOf(s.Rig) {
					t.Errorf("the receipt says %.4g m, playing both files gives %.4g", told, g.Max)
				}
			})
		}
	}
}

// stiffStay holds vertices of one joint to a millionth of the size in all clips.
func stiffStay(t *testing.T, was, is *rig.Rig) {
	t.Helper()
	a, b := NewPosed(was), NewPosed(is)
	worst, n := 0.0, 0
	for _, m := range Moments(was)[1:] {
		m.Set(a.Pose)
		m.Set(b.Pose)
		for s := range was.Surfaces {
			mesh := &was.Meshes[was.Surfaces[s].Mesh]
			x, y := a.Positions(s), b.Positions(s)
			for v := range mesh.Vertices() {
				used := 0
				for k := v * mesh.K; k < (v+1)*mesh.K; k++ {
					if mesh.Weights[k] != 0 {
						used++
					}
				}
				if used > 1 {
					continue
				}
				n++
				for c := range 3 {
					worst = max(worst, math.Abs(float64(x[3*v+c])-float64(y[3*v+c])))
				}
			}
		}
	}
	if n == 0 || worst > 1e-6*spanOf(was) {
		t.Errorf("of %d vertices of one joint the worst is %.3g m off", n, worst)
	}
}

// What cannot be done rightly is refused, each in its words.
func TestRestRefusals(t *testing.T) {
	tight := ofRig(t, lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Sway: true}))
	if why := try(t, tight, "rebind", Values{"pose": "T", "way": "seen"}).Refused(); !strings.Contains(why, "share a vertex") || !strings.Contains(why, "rest only") {
		t.Errorf("too dear: %q", why)
	}
	for _, w := range []struct {
		name  string
		plant func(*rig.Rig)
		v     Values
		says  string
	}{
		{"no such clip", func(*rig.Rig) {}, Values{"pose": "moment", "clip": "dance"}, `There is no clip "dance": there are "stroll" and "wave".`},
		{"no clip named", func(*rig.Rig) {}, Values{"pose": "moment"}, `Name the clip whose moment is meant: there are "stroll" and "wave".`},
		{"many clips", func(r *rig.Rig) {
			for range 3 {
				r.Clips = append(r.Clips, r.Clips...)
			}
		}, Values{"pose": "moment", "clip": "99"}, `There is no clip "99": there are "stroll", "wave", "stroll", "wave" and 12 more.`},
		{"none at all", func(r *rig.Rig) { r.Clips = nil }, Values{"pose": "moment"}, "The file has no clip."},
		{"arms below an uneven scale", func(r *rig.Rig) {
			n := &r.Nodes[lamplighter.Node("chest")]
			n.S = [3]float64{1, 1.5, 1}
			n.Matrix = n.TRS.Affine()
		}, Values{"pose": "A"}, "would shear it"},
	} {
		r := sample()
		w.plant(r)
		if why := try(t, ofRig(t, r), "rest", w.v).Refused(); !strings.Contains(why, w.says) {
			t.Errorf("%s: %q", w.name, why)
		}
	}
}
