package mend

import (
	"bytes"
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// byHand are the faults of checks that a mend answers which none can put right, each with
// the reason: words of a refusal, or why a person must choose.
var byHand = map[string]string{
	"root wider by 5 %, turned joints below":        shears,
	"head scaled to nothing":                        "a file of lamplighter does not hold it",
	"a triangle of the coat missing":                "weld closes seams, it fills no holes",
	"a crumb before the chest":                      "weld joins shells that belong together; a lone one stays",
	"the whole figure inside out, to be bound anew": "weld prepares for binding; no mend turns a surface round",
	"looks to its left":                             "",
}

// unanswered are the checks that no mend answers, so that a person is told what to do
// instead: the remedy. A new check goes here or into a mend's Answers.
var unanswered = []string{
	"intake/several-figures", "intake/heavy", "intake/needs-extension", "intake/packed", "intake/bounds-off", "intake/morphs", "intake/malformed", "intake/nothing-bound",
	"surface/branching-edges", "surface/mixed-winding", "surface/inside-out", "surface/bad-normals",
	"skeleton/roles", "skeleton/side-label", "skeleton/lone-side", "skeleton/uneven-pair", "skeleton/off-centre", "skeleton/bind-lost", "skeleton/bind-mixed",
	"skeleton/proportions", "skeleton/role-unheld", "skeleton/zero-length", "skeleton/axes", "skeleton/role-order",
	"binding/idle-joint", "binding/rough", "binding/rigid", "binding/hangs-on", "binding/unplugged",
	"bends/collapse", "bends/twist-pinch", "bends/stretch", "bends/turned-over", "bends/crack", "bends/tear-along",
	"motion/still-chain", "motion/foot-skate", "motion/under-ground", "motion/travel", "motion/loop-jump", "motion/late-start", "motion/long-way", "motion/stretched-bone",
	"motion/split-clip", "motion/scale-keys", "motion/stray-key", "motion/missing-keys", "motion/jump", "motion/worst-frame", "motion/no-clip",
}

// Every sample with one planted fault that a mend answers: suggested, done with the plan as
// it is read from its file, cleared, nothing planted, and no check is worse than on the
// sample without any fault.
func TestSuggestedPlanClears(t *testing.T) {
	clean, err := ofRig(t, sample()).Examine(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	_, sound := seen(clean)
	for i, fault := range lamplighter.Faults() {
		if len(ForCheck(fault.ID)) == 0 || !rounds.Run(i, 29) {
			continue
		}
		t.Run(fault.ID+" "+fault.Name, func(t *testing.T) {
			t.Parallel()
			r, _ := fault.On(sample())
			s := ofRig(t, r)
			ctx := context.Background()
			begin, err := s.Examine(ctx, nil)
			if err != nil {
				t.Fatal(err)
			}
			_, was := seen(begin)
			made, end, left, err := Suggest(ctx, s, nil)
			if err != nil {
				t.Fatal(err)
			}
			if why := byHand[fault.Name]; why != "" {
				if g := gradeOf(t, end, fault.ID); len(made.Steps) > 0 || fault.Name != "head scaled to nothing" && g == 0 {
					t.Errorf("no mend can put it right (%s), and %d do; it is %v", why, len(made.Steps), g)
				}
				if why == shears && (len(left) == 0 || !slices.Contains(left[0].Refused, why)) {
					t.Errorf("it is not refused with %q", why)
				}
				return
			}
			if gradeOf(t, s, fault.ID) == 0 {
				t.Fatal("the fault is not found")
			}
			text, err := made.JSON()
			if err != nil {
				t.Fatal(err)
			}
			p, err := ParsePlan(text)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			done, ok, err := p.Run(ctx, ofRig(t, r), Options{})
			if err != nil || !ok || len(done) == 0 {
				t.Fatalf("%v, %v, %d steps\n%s", err, ok, len(done), text)
			}
			last := done[len(done)-1].State
			if !bytes.Equal(last.Bytes, end.Bytes) {
				t.Error("the plan makes another file than its making did")
			}
			for i, d := range done {
				if d.Receipt.SHA256() != p.Steps[i].Receipt {
					t.Errorf("step %d: another receipt than the plan remembers", i+1)
				}
				if len(d.Receipt.Planted) > 0 {
					t.Errorf("step %d plants %v", i+1, d.Receipt.Planted)
				}
			}
			result, err := last.Examine(ctx, nil)
			if err != nil {
				t.Fatal(err)
			}
			if strings.HasPrefix(fault.ID, "binding/") {
				if before, now := offTruth(t, r), offTruth(t, last.Rig); !(now < before) {
					t.Errorf("the weights are %.3g off those of the sound sample in sum, %.3g before", now, before)
				}
			}
			ids, is := seen(result)
			for _, id := range ids {
				if is[id].grade > max(sound[id].grade, was[id].grade) {
					t.Errorf("%s is %v, %v on the sound sample, %+v before\n%s", id, is[id].grade, sound[id].grade, was[id], text)
				}
			}
		})
	}
}

// offTruth is how far the weights of a figure are from those of the sound sample, as the L1
// distance summed over the places.
func offTruth(t *testing.T, r *rig.Rig) (sum float64) {
	t.Helper()
	type place [3]float32
	at := map[place]int{}
	truth, is := &sample().Meshes[0], &r.Meshes[0]
	for v := range truth.Vertices() {
		at[place(truth.Positions[3*v:3*v+3])] = v
	}
	for v := range is.Vertices() {
		u, ok := at[place(is.Positions[3*v:3*v+3])]
		if !ok {
			t.Fatal("a vertex is nowhere on the sound sample")
		}
		by := map[uint16]float64{}
		for k := range truth.K {
			by[truth.Joints[u*truth.K+k]] += float64(truth.Weights[u*truth.K+k])
		}
		for k := range is.K {
			by[is.Joints[v*is.K+k]] -= float64(is.Weights[v*is.K+k])
		}
		for _, d := range by {
			sum += math.Abs(d)
		}
	}
	return sum
}

// Every check is answered by a mend or stands among those that none answers.
func TestAnswered(t *testing.T) {
	var none []string
	for _, s := range inspect.Catalogue() {
		for _, e := range s.Entries {
			if len(ForCheck(e.ID)) == 0 {
				none = append(none, e.ID)
			}
		}
	}
	if !slices.Equal(none, unanswered) {
		t.Errorf("no mend answers %q", none)
	}
}
