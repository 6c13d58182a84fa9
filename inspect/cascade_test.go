package inspect

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// TestCascadesAreOfTheCatalogue: every id is a check, and no check is an effect of
// what it causes.
func TestCascadesAreOfTheCatalogue(t *testing.T) {
	known := map[string]bool{}
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			known[e.ID] = true
		}
	}
	from := map[string][]string{}
	for _, c := range cascades {
		for _, id := range append([]string{c.cause}, c.effects...) {
			if !known[id] {
				t.Errorf("%s is no check", id)
			}
		}
		from[c.cause] = append(from[c.cause], c.effects...)
	}
	var walk func(id string, path []string)
	walk = func(id string, path []string) {
		if slices.Contains(path, id) {
			t.Fatalf("a circle: %s", strings.Join(append(path, id), " → "))
		}
		for _, next := range from[id] {
			walk(next, append(slices.Clone(path), id))
		}
	}
	for id := range from {
		walk(id, nil)
	}
}

func examined(t *testing.T, r *rig.Rig) *Result {
	t.Helper()
	r.SetOrder()
	res, err := Examine(context.Background(), r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// beyond answers what a figure with a fault shows that it does not show without.
func beyond(clean, faulted *Result) (list []check.Finding) {
	had := map[string]bool{}
	for _, f := range clean.Findings() {
		had[f.ID+f.Title] = true
	}
	for _, f := range faulted.Findings() {
		if !had[f.ID+f.Title] {
			list = append(list, f)
		}
	}
	return list
}

// causes are faults that show in many places. Names are joints of the sample.
var causes = []struct {
	name, id string
	grade    check.Grade
	least    int // findings that follow, at least
	plant    func(*rig.Rig)
}{
	{"unbound vertices", "binding/unbound", check.Stop, 1, func(r *rig.Rig) {
		m := &r.Meshes[0]
		for v := 100; v < 160; v++ {
			clear(m.Weights[m.K*v : m.K*v+m.K])
			clear(m.Joints[m.K*v : m.K*v+m.K])
		}
	}},
	{"sums off 1", "binding/sum-off", check.Flaw, 0, func(r *rig.Rig) {
		lamplighter.Weaken(300, 0.8)(r)
	}},
	{"a joint that is not there", "binding/bad-index", check.Stop, 1, func(r *rig.Rig) {
		lamplighter.Misindex(60)(r)
	}},
	{"a bind matrix turned", "skeleton/bind-odd", check.Flaw, 1, func(r *rig.Rig) {
		turn := rig.TRS{R: [4]float64{0.6, 0, 0, 0.8}, S: [3]float64{1, 1, 1}}
		by := turn.Affine()
		b := &r.Skins[0].Bind[lamplighter.Node("lowerArm_L")]
		*b = b.Mul(&by)
	}},
	{"bind matrices lost", "skeleton/bind-lost", check.Stop, 5, func(r *rig.Rig) { lamplighter.LoseBinds(false)(r) }},
	{"bind matrices shifted", "skeleton/bind-mixed", check.Stop, 5, func(r *rig.Rig) { lamplighter.ShiftBinds(1)(r) }},
	{"bind matrices of two joints exchanged", "skeleton/bind-mixed", check.Flaw, 1, func(r *rig.Rig) {
		lamplighter.ExchangeBinds(int(lamplighter.Node("neck")), int(lamplighter.Node("upperArm_L")))(r)
	}},
	{"a joint without size", "skeleton/scaled-joint", check.Stop, 1, func(r *rig.Rig) {
		n := &r.Nodes[lamplighter.Node("lowerArm_L")]
		n.S[1] = 0
		n.Matrix = n.TRS.Affine()
	}},
	{"a chain taken off the yoke", "skeleton/loose-chain", check.Flaw, 1, faultNamed("skeleton/loose-chain", "left chain taken off the yoke")},
	{"a forearm that holds nothing", "skeleton/role-unheld", check.Flaw, 2, faultNamed("skeleton/role-unheld", "left forearm's weights given to the upper arm")},
	{"places in steps of 6 mm", "intake/packed", check.Flaw, 2, faultNamed("intake/packed", "positions in steps of 6 mm")},
	{"a factor of 100", "intake/unapplied-scale", check.Flaw, 1, func(r *rig.Rig) {
		n := r.Scenes[0].Roots[0]
		for c := range 3 {
			r.Nodes[n].S[c] = 100
		}
		r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
	}},
}

// TestOnlyTheCauseStands: of what one fault sets off only its own finding has a grade
// above a note and a remedy; the others name it.
func TestOnlyTheCauseStands(t *testing.T) {
	clean := lamplighter.Build(lamplighter.Options{})
	whole := examined(t, lamplighter.Clone(clean))
	for i, c := range causes {
		if !rounds.Run(i, 5) {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			r := lamplighter.Clone(clean)
			c.plant(r)
			res := examined(t, r)
			noLossAboveAll(t, res)
			follow, stands := 0, false
			for _, f := range beyond(whole, res) {
				switch {
				case f.ID == c.id:
					stands = stands || f.Grade == c.grade && f.Cause == nil && f.Remedy != ""
				case f.Cause == nil && f.Grade > check.Note:
					t.Errorf("%s %s %q %v stands by itself", f.Grade, f.ID, f.Subject, f.Measures[0])
				case f.Cause != nil:
					follow++
					if f.Cause.ID != c.id || f.Grade != check.Note || f.Remedy != "" || !strings.Contains(f.Why, f.Cause.Title) {
						t.Errorf("%s follows from %s: grade %s, remedy %q, why %q", f.ID, f.Cause.ID, f.Grade, f.Remedy, f.Why)
					}
				}
			}
			if !stands || follow < c.least {
				t.Errorf("the cause stands: %v; %d findings follow, want %d at least", stands, follow, c.least)
			}
		})
	}
}

// noLossAboveAll: no loss is above all there is, however far a zone is turned inside out.
func noLossAboveAll(t *testing.T, res *Result) {
	t.Helper()
	for _, f := range res.Findings() {
		for _, m := range f.Measures {
			if strings.HasPrefix(m.Name, "loss") && m.Value > 1 {
				t.Errorf("%s %s %v", f.ID, m.Name, m.Value)
			}
		}
	}
}

// TestOtherFaultsStand: a fault elsewhere does not follow from a cause it has nothing
// to do with, and sums that are off by rounding cause nothing.
func TestOtherFaultsStand(t *testing.T) {
	for _, row := range rounds.Rows([]struct {
		name   string
		plant  func(*rig.Rig)
		stands string
	}{
		{"a shin bound to a forearm, beside an unbound brim", func(r *rig.Rig) {
			lamplighter.Unbind(14)(r)
			faultOf(t, "binding/stray-island")(r)
		}, "binding/stray-island"},
		{"a lopsided boot, beside a light mitten", func(r *rig.Rig) {
			lamplighter.Weaken(20, 0.9)(r)
			faultOf(t, "surface/lopsided")(r)
		}, "surface/lopsided"},
		{"a lopsided boot and sums off by rounding all over", func(r *rig.Rig) {
			lamplighter.Weaken(11_000, 1-1.0/2048)(r)
			faultOf(t, "surface/lopsided")(r)
		}, "surface/lopsided"},
		{"a chain off the yoke, beside an elbow that turns over", func(r *rig.Rig) {
			faultNamed("skeleton/loose-chain", "left chain taken off the yoke")(r)
			faultOf(t, "bends/turned-over")(r)
		}, "bends/turned-over"},
		{"a shin that holds nothing, beside an elbow that turns over", func(r *rig.Rig) {
			lamplighter.Unhold(int(lamplighter.Node("lowerLeg_R")), int(lamplighter.Node("upperLeg_R")))(r)
			faultOf(t, "bends/turned-over")(r)
		}, "bends/turned-over"},
		{"a shin that holds nothing, beside a sleeve shared with the chest", func(r *rig.Rig) {
			lamplighter.Unhold(int(lamplighter.Node("lowerLeg_R")), int(lamplighter.Node("upperLeg_R")))(r)
			faultOf(t, "binding/mirror-mismatch")(r)
		}, "binding/mirror-mismatch"},
		{"a seam that opens, in a figure stored in steps", func(r *rig.Rig) {
			faultNamed("intake/packed", "positions in steps of 6 mm")(r)
			faultOf(t, "binding/split-seam")(r)
		}, "binding/split-seam"},
		{"a turned forearm bind, beside a split seam at the other arm's", func(r *rig.Rig) {
			faultOf(t, "bends/crack")(r)
			b := &r.Skins[0].Bind[lamplighter.Node("foot_R")]
			b[3] += 0.05
		}, "binding/split-seam"},
	}, 2) {
		t.Run(row.name, func(t *testing.T) {
			r := lamplighter.Build(lamplighter.Options{})
			row.plant(r)
			for _, f := range examined(t, r).Findings() {
				if f.ID == row.stands && f.Cause == nil && f.Grade == check.Flaw {
					return
				}
			}
			t.Errorf("no %s stands by itself", row.stands)
		})
	}
}

// faultNamed plants one fault of the sample.
func faultNamed(id, name string) func(*rig.Rig) {
	for _, f := range lamplighter.Faults() {
		if f.ID == id && f.Name == name {
			return func(r *rig.Rig) { f.Plant(r) }
		}
	}
	panic("no fault of " + id + " is called " + name)
}

func faultOf(t *testing.T, id string) func(*rig.Rig) {
	for _, f := range lamplighter.Faults() {
		if f.ID == id && f.Grade == "flaw" {
			return func(r *rig.Rig) { f.Plant(r) }
		}
	}
	t.Fatalf("no fault is planted for %s", id)
	return nil
}

// TestCauseIsToldEverywhere: number, id and subject of the cause stand in the document
// and are those of a finding there; effects stand behind what stands by itself.
func TestCauseIsToldEverywhere(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	causes[0].plant(r)
	res := examined(t, r)
	var b bytes.Buffer
	if err := res.WriteJSON(&b, false); err != nil {
		t.Fatal(err)
	}
	var d struct {
		Findings []struct {
			Number              int
			ID, Station, Remedy string
			Subject             string
			Cause               *struct {
				Number      int
				ID, Subject string
			}
		}
	}
	if err := json.Unmarshal(b.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	follow, station := 0, ""
	for _, f := range d.Findings {
		if f.Cause == nil {
			if follow > 0 && f.Station == station {
				t.Errorf("%d stands behind what follows", f.Number)
			}
			continue
		}
		follow, station = follow+1, f.Station
		if n := f.Cause.Number; n < 1 || d.Findings[n-1].ID != f.Cause.ID || d.Findings[n-1].Subject != f.Cause.Subject || d.Findings[n-1].Cause != nil {
			t.Errorf("%d names %+v", f.Number, f.Cause)
		}
	}
	if follow == 0 {
		t.Error("nothing follows")
	}
	// Judged again the same comes out: nothing is taken off twice.
	again := examined(t, lamplighter.Clone(r))
	again.Judge(nil)
	for i, f := range again.Findings() {
		if g := res.Findings()[i]; g.ID != f.ID || g.Grade != f.Grade || (g.Cause == nil) != (f.Cause == nil) {
			t.Errorf("judged again: %s %s, was %s %s", f.Grade, f.ID, g.Grade, g.ID)
		}
	}
}
