package mend

import (
	"context"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Sixteen faults at once, of every station, each of another kind: one plan, made, written,
// read and done in the order of the work, clears all of them and plants nothing, and no
// check is worse than on the sound sample.
func TestPlanOfManyFaults(t *testing.T) {
	rounds.Dear(t)
	r := fine()
	var ids []string
	plant := func(id string, f func(*rig.Rig) lamplighter.Planted) {
		r, _ = lamplighter.Fault{Plant: f}.On(r)
		ids = append(ids, id)
	}
	// Weights first: these are planted by place.
	plant("binding/unbound", lamplighter.Unbind(14))
	plant("binding/sum-off", lamplighter.Weaken(20, 0.9))
	plant("binding/bad-index", lamplighter.Misindex(3))
	plant("binding/stray-island", lamplighter.Stray(6, 0.3))
	plant("binding/faint", lamplighter.Faint(0.1, 1.0/256))
	plant("skeleton/name-clash", lamplighter.Rename(int(lamplighter.Node("chain_L_3")), "chain_L_2", 1))
	plant("skeleton/fragile-name", lamplighter.Rename(int(lamplighter.Node("yoke")), "yoke ", 1))
	plant("motion/dead-weight", lamplighter.Deaden)
	plant("motion/off-unit", lamplighter.OffUnit(0.02))
	plant("surface/near-coincident", lamplighter.Shake(1e-4))
	plant("surface/unused-vertices", lamplighter.Loose)
	plant("surface/slivers", lamplighter.Flatten)
	plant("intake/odd-height", lamplighter.Enlarge(100))
	plant("intake/off-ground", lamplighter.Shift(0, 60, 0))
	plant("intake/facing", lamplighter.RootTurn(90, 0))
	plant("intake/ignored-placement", lamplighter.Misplace(0, 0.5, 0))
	ctx := context.Background()
	s := ofRig(t, r)
	for _, id := range ids {
		// Vertices without weight lie at the origin: by them the figure reaches the ground.
		if hidden := id == "intake/off-ground"; (gradeOf(t, s, id) == 0) != hidden {
			t.Errorf("%s: found among the others: %v", id, hidden)
		}
	}
	made, end, left, err := Suggest(ctx, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range left {
		t.Log("not kept:", x.Sentence())
	}
	for _, x := range made.Steps {
		t.Log(x.Mend, x.Parameters, x.Why, x.Expects)
	}
	if made.Order != "free" {
		t.Error("a scale that comes to light behind the weights is not marked as out of order")
	}
	text, err := made.JSON()
	if err != nil {
		t.Fatal(err)
	}
	p, err := ParsePlan(text)
	if err != nil {
		t.Fatal(err)
	}
	done, ok, err := p.Run(ctx, ofRig(t, r), Options{})
	if err != nil || !ok {
		t.Fatalf("%v %v", err, ok)
	}
	for _, d := range done {
		if len(d.Receipt.Planted) > 0 {
			t.Errorf("step %d, %s, plants %v", d.Step+1, d.Receipt.Title, d.Receipt.Planted)
		}
	}
	last := done[len(done)-1].State
	if !slices.Equal(last.Bytes, end.Bytes) {
		t.Error("the plan makes another file than its making did")
	}
	result, err := last.Examine(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	clean, err := ofRig(t, fine()).Examine(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	all, is := seen(result)
	_, sound := seen(clean)
	for _, id := range all {
		if slices.Contains(ids, id) && is[id].grade > 0 || is[id].grade > sound[id].grade {
			t.Errorf("%s is %v", id, is[id].grade)
		}
	}
}
