package motion

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// legsOf are the nodes that a walk moves, by their roles.
func legsOf(r *rig.Rig) (l menagerie.Legs) {
	roles := exam.New(r).Roles()
	for n := roles.Node("hips"); n >= 0; n = r.Nodes[n].Parent {
		if exam.New(r).Rig.Joints()[n] {
			l.Hips = n // the topmost joint, so that nothing stays behind
		}
	}
	for s, side := range [2]string{"left", "right"} {
		for i, bone := range [3]string{"UpperLeg", "LowerLeg", "Foot"} {
			l.Side[s][i] = roles.Node(side + bone)
		}
	}
	return l
}

// walkers are figures that walk in the tests: built ones, and real ones where they are.
func walkers(t *testing.T) map[string]*rig.Rig {
	out := map[string]*rig.Rig{
		"sample":      checktest.Built(lamplighter.Options{Vertices: 4000}),
		"person":      menagerie.Person(menagerie.Options{Still: true}),
		"three heads": menagerie.ThreeHeads(menagerie.Options{Still: true}),
	}
	const models = "../../../shared/corpus/models"
	for _, name := range []string{"Knight.glb", "cesium_man.gltf"} {
		if _, err := os.Stat(filepath.Join(models, name)); err != nil {
			t.Logf("the folder of real models is not beside this one: %s does not walk", name)
			continue
		}
		r, err := gltfio.ReadFS(os.DirFS(models), name, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range r.Meshes { // the walking man's are short, and what is not held whole stays behind
			m := &r.Meshes[i]
			for v := range m.Vertices() {
				sum := float32(0)
				for c := v * m.K; c < (v+1)*m.K; c++ {
					sum += m.Weights[c]
				}
				for c := v * m.K; c < (v+1)*m.K && sum > 0; c++ {
					m.Weights[c] /= sum
				}
			}
		}
		out[name] = r
	}
	return out
}

// walk gives a copy of a figure the one clip in which it walks, and answers its height.
func walk(r *rig.Rig, ground func(size float64) menagerie.Ground, steps int) (*rig.Rig, float64) {
	r = lamplighter.Clone(r)
	r.Clips = nil
	f := newFigure(exam.New(r))
	size := f.leg / .491
	return menagerie.Walk(r, legsOf(r), ground(size), steps, .17*size), f.height
}

var grounds = []struct {
	name  string
	on    func(size float64) menagerie.Ground
	climb bool
}{
	{"level", func(float64) menagerie.Ground { return menagerie.Slope(0) }, false},
	{"slope of 10° up", func(float64) menagerie.Ground { return menagerie.Slope(10) }, true},
	{"slope of 10° down", func(float64) menagerie.Ground { return menagerie.Slope(-10) }, true},
	// Risers of 0.2 m under a person of 1.76 m.
	{"stairs up", func(s float64) menagerie.Ground { return menagerie.Stairs(.2*s/1.76, .17*s) }, true},
	{"stairs down", func(s float64) menagerie.Ground { return menagerie.Stairs(-.2*s/1.76, .17*s) }, true},
}

// A figure that walks up or down a stair or a slope is neither under the floor nor over
// it, its feet stand for as much of the time as on the level, and do not slide.
func TestClimbs(t *testing.T) {
	for name, base := range walkers(t) {
		var level []float64
		for _, g := range grounds {
			r, _ := walk(base, g.on, 8)
			c := factsOf(t, r).Clips[0]
			if len(c.Feet) != 2 {
				t.Fatalf("%s, %s: %d feet", name, g.name, len(c.Feet))
			}
			for i, foot := range c.Feet {
				if g.name == "level" {
					level = append(level, foot.Share)
				}
				if foot.Share < level[i]-.05 {
					t.Errorf("%s, %s: a foot stands for %.0f %%, on the level for %.0f %%", name, g.name, 100*foot.Share, 100*level[i])
				}
				if foot.Speed > .01 {
					t.Errorf("%s, %s: a foot slides by %.3f m/s", name, g.name, foot.Speed)
				}
			}
			if (c.Climb != nil) != g.climb {
				t.Errorf("%s, %s: climbs %v", name, g.name, c.Climb)
			}
			if found := filed(t, r, "motion/under-ground"); len(found) > 0 {
				t.Errorf("%s, %s: %s %+v", name, g.name, found[0].Title, found[0].Measures)
			}
		}
	}
}

// What does go under the ground or slide on a stair and a slope is found, as large as it
// was planted.
func TestClimbFaults(t *testing.T) {
	for name, base := range walkers(t) {
		for _, g := range grounds {
			// The figure dips for a fifth of a second while the second foot stands.
			r, height := walk(base, g.on, 8)
			shift := &r.Clips[0].Channels[0]
			up := upIn(r, shift.Node)
			const from, to = 1.7, 1.93
			for k, s := range shift.Times {
				if s > from && s < to {
					for c := range 3 {
						shift.Values[3*k+c] -= float32(.03 * height * up[c])
					}
				}
			}
			found := filed(t, r, "motion/under-ground")
			if len(found) != 1 || found[0].Measures[0].Name != "under the ground" || math.Abs(found[0].Measures[0].Value-.03) > .008 || found[0].Where.Time < from || found[0].Where.Time > to {
				t.Errorf("%s, %s, dips by 3 %%: %+v", name, g.name, found)
			}
			// The whole begins 2 % under the floor.
			r, _ = walk(base, g.on, 8)
			shift = &r.Clips[0].Channels[0]
			for k := range shift.Values {
				shift.Values[k] -= float32(.02 * height * up[k%3])
			}
			found = filed(t, r, "motion/under-ground")
			if len(found) != 1 || math.Abs(found[0].Measures[0].Value-.02) > .01 {
				t.Errorf("%s, %s, begins 2 %% under the floor: %+v", name, g.name, found)
			}
		}
	}
}

// upIn is a metre up in a node's own translation.
func upIn(r *rig.Rig, n rig.Node) space.Vec {
	p := r.Nodes[n].Parent
	if p < 0 {
		return space.Vec{0, 1, 0}
	}
	w := r.RestWorld()
	inv, _ := w[p].Inverse()
	return inv.Direction(space.Vec{0, 1, 0})
}
