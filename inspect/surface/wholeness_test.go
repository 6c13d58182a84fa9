package surface

import (
	"context"
	"math"
	"os"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Faults of weights are no faults of the surface: vertices bound to nothing are not
// almost in one place, sums off 1 do not make a body lopsided, and nothing of it
// stops a binding.
func TestFaultsOfWeights(t *testing.T) {
	every := func(step int, change func(row []float32)) func(*rig.Rig) {
		return func(r *rig.Rig) {
			for i := range r.Meshes {
				m := &r.Meshes[i]
				if m.K == 0 {
					continue
				}
				for v := 0; v < m.Vertices(); v += step {
					change(m.Weights[m.K*v : m.K*v+m.K])
				}
			}
		}
	}
	scale := func(k float32) func([]float32) {
		return func(row []float32) {
			for i := range row {
				row[i] *= k
			}
		}
	}
	for _, row := range rounds.Rows([]struct {
		name  string
		plant func(*rig.Rig)
	}{
		{"every 20th vertex bound to nothing", every(20, func(row []float32) { clear(row) })},
		{"every 3rd sum 0.9", every(3, scale(0.9))},
		{"every 5th sum 1.2", every(5, scale(1.2))},
		{"one side 0.97", func(r *rig.Rig) {
			for i := range r.Meshes {
				m := &r.Meshes[i]
				for v := range m.Vertices() {
					if m.K > 0 && m.Positions[3*v] > 0.05 {
						scale(0.97)(m.Weights[m.K*v : m.K*v+m.K])
					}
				}
			}
		}},
		{"weights that are no numbers", every(50, func(row []float32) { row[0] = float32(math.NaN()) })},
		{"nothing bound at all", every(1, func(row []float32) { clear(row) })},
	}, 3) {
		for name, r := range figures(t) {
			clean, _ := checktest.Judge(t, &Station, r, nil)
			bad := lamplighter.Clone(r)
			row.plant(bad)
			found, _ := checktest.Judge(t, &Station, bad, nil)
			for _, f := range found {
				if row.name == "nothing bound at all" && (f.ID == readyToBind.ID || name == "with gear") {
					continue // it is not bound then, and judged as that; nor does anything tell gear from body
				}
				if !slices.ContainsFunc(clean, func(c check.Finding) bool { return c.ID == f.ID && c.Title == f.Title && c.Grade == f.Grade }) {
					t.Errorf("%s, %s: %s %s %q %v", name, row.name, f.Grade, f.ID, f.Subject, f.Measures[0])
				}
			}
		}
	}
}

// figures are sound ones: the sample, some of the menagerie, and real ones where the
// corpus is.
func figures(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	out := map[string]*rig.Rig{"sample": clean(), "three heads high": menagerie.ThreeHeads(menagerie.Options{}), "with gear": menagerie.Person(menagerie.Options{Gear: true})}
	for _, name := range []string{"Knight.glb", "Fox.glb", "robot.glb", "hand_left.glb"} {
		r, err := gltfio.ReadFS(os.DirFS(corpus+"/models"), name, gltfio.Options{})
		if err != nil {
			t.Log("no real models beside the repository: only built ones are looked at")
			break
		}
		out[name] = r
	}
	return out
}

// A bound figure is never stopped by its surface, and never cut in half: neither the
// sound nor the worst of them, and gear has no say.
func TestBoundIsNoStop(t *testing.T) {
	wreck := func(r *rig.Rig) { // every mesh inside out, with fins, with near pairs
		for i := range r.Meshes {
			m := &r.Meshes[i]
			for k := 0; k+2 < len(m.Triangles); k += 3 {
				m.Triangles[k], m.Triangles[k+1] = m.Triangles[k+1], m.Triangles[k]
			}
			for v := 0; v < len(m.Positions); v += 30 {
				m.Positions[v] += 1e-6
			}
		}
	}
	for name, r := range figures(t) {
		for _, plant := range []func(*rig.Rig){nil, wreck} {
			r := lamplighter.Clone(r)
			if plant != nil {
				plant(r)
			}
			found, _ := checktest.Judge(t, &Station, r, nil)
			for _, f := range found {
				if f.Grade == check.Stop {
					t.Errorf("%s: stop %s %q", name, f.ID, f.Subject)
				}
			}
		}
	}
}

// Gear decides nothing: a sword without a partner, inside out and torn, on a sound
// body that is not bound.
func TestGearIsLeftOut(t *testing.T) {
	r := menagerie.Person(menagerie.Options{Gear: true})
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	gear := 0
	for i := range f.Surfaces {
		if f.Surfaces[i].Gear {
			gear++
		}
	}
	if gear == 0 || !f.Ready.Bound || f.Ready.Verdict != "ready" {
		t.Errorf("%d surfaces of gear, %+v", gear, f.Ready)
	}
	for i := range f.Surfaces {
		if f.Surfaces[i].Gear {
			m := &r.Meshes[f.Surfaces[i].Mesh]
			for k := 0; k+2 < len(m.Triangles); k += 3 {
				m.Triangles[k], m.Triangles[k+1] = m.Triangles[k+1], m.Triangles[k]
			}
		}
	}
	if f, err = Measure(context.Background(), exam.New(r)); err != nil {
		t.Fatal(err)
	}
	if f.InsideOut == 0 || f.Ready.Verdict != "ready" || len(f.Ready.Steps) != 0 {
		t.Errorf("%d shells of gear inside out: %+v", f.InsideOut, f.Ready)
	}
	found, _ := Station.Judge(f, nil)
	for _, x := range found {
		if x.ID == lopsided.ID && x.Measures[0].Name == "share" {
			t.Errorf("lopsided: %s %v", x.Subject, x.Measures)
		}
	}
}
