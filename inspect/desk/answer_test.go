package desk

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mark"
	"rigloupe/inspect/rounds"
)

// TestAnswers: every planted fault has a number of its own; the sample of that number is
// the one that the answer is about: what the engine finds in it marks as found, by its
// check, and in its place where it has one.
func TestAnswers(t *testing.T) {
	numbers := map[int]string{}
	for i, p := range Faults() {
		if was := numbers[p.Number]; was != "" || p.Number < 10000 || p.Number > 99999 || p.Title == "" {
			t.Errorf("%d: %q and %q, %q", p.Number, p.Says, was, p.Title)
		}
		numbers[p.Number] = p.Says
		if !rounds.Run(i, 37) {
			continue
		}
		a, err := Answer(p.Number)
		if err != nil || a.Check != p.Check || a.Fault != p.Number {
			t.Fatal(a, err)
		}
		file, err := Sample{Number: p.Number}.File()
		if err != nil {
			t.Fatal(err)
		}
		r, err := Files(gltfio.File{Name: file.Name, Data: file.Data}).Open()
		if err != nil {
			t.Errorf("%s: %v", p.Says, err)
			continue
		}
		res, err := inspect.Examine(context.Background(), r, inspect.Options{})
		if err != nil {
			t.Fatal(err)
		}
		list := mark.Findings{Findings: mark.Version, Fault: p.Number}
		for _, f := range res.Findings() {
			x := mark.Found{Check: f.ID}
			for _, j := range f.Where.Joints {
				x.Joint = r.Nodes[j].Name
				list.Found = append(list.Found, x)
			}
			if f.Where.Point != nil {
				x.Point = f.Where.Point[:]
			}
			list.Found = append(list.Found, x)
			for _, s := range f.Where.Spots { // whoever points at a place points at one of its vertices
				mesh := r.Surfaces[s.Surface].Mesh
				for _, v := range s.Vertices {
					x.Point = nil
					for _, c := range r.Meshes[mesh].Positions[3*v : 3*v+3] {
						x.Point = append(x.Point, float64(c))
					}
					list.Found = append(list.Found, x)
				}
			}
		}
		if m := mark.Of(a, []mark.Findings{list}).Learner[0]; !m.Found || m.Count[0] == 0 {
			t.Errorf("%s, %q: %s %v; joints %v, point %v, reach %g", p.Check, p.Says, m.Says, m.Count, a.Joints, a.Point, a.Reach)
		}
		if slices.Contains(a.Also, a.Check) {
			t.Errorf("%s follows from itself", a.Check)
		}
	}
	if _, err := Answer(7); err == nil {
		t.Error("there is no fault 7")
	}
	if _, err := (Sample{Number: 7}).File(); err == nil {
		t.Error("nor a sample with it")
	}
}

// A place counts as found a hand's length beside it: of the one vertex that is pulled out,
// 15 cm, and 2 cm for how far it is pulled; a hand is .108 of the height (Drillis and Contini 1966, value from memory), 20 cm
// of the sample's 1.86 m.
func TestReachOfOneVertex(t *testing.T) {
	for _, p := range Faults() {
		if p.Says == "one vertex of the left cuff pulled out by 20 mm" {
			if a, err := Answer(p.Number); err != nil || math.Abs(a.Reach-.17) > 1e-6 {
				t.Errorf("reach %g m, %v", a.Reach, err)
			}
			return
		}
	}
	t.Error("no such fault")
}
