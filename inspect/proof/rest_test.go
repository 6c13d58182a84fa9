package proof

import (
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/paper"
)

// Of a large figure a state between the first and the last holds nothing that can be worked
// out again once its pictures are drawn; a small one's is kept.
func TestDrawnStatesRest(t *testing.T) {
	for vertices, rests := range map[int]bool{2_000: false, 100_000: true} {
		s := open(t, "figure.glb", lamplighter.Write(lamplighter.Build(lamplighter.Options{Vertices: vertices})))
		p := &mend.Plan{Version: 1, Order: "free"}
		for _, factor := range []float64{1.01, 1.02, 0.99} {
			p.Steps = append(p.Steps, mend.Step{Mend: "scale", Parameters: mend.Values{"factor": factor}})
		}
		done := run(t, s, p)
		if len(done) != 3 {
			t.Fatalf("%d steps were done", len(done))
		}
		held := map[*mend.State]*exam.Exam{}
		end := done[2].State
		ends := map[*mend.State]*exam.Exam{s: s.Result().Exam, end: end.Result().Exam}
		data, err := (&Sheet{Start: s, Plan: p, Done: done, Written: paper.File{Name: "new.glb"},
			Pictures: func(before, after *mend.State, _ *mend.Receipt) ([]paper.Picture, error) {
				held[before], held[after] = before.Result().Exam, after.Result().Exam
				return nil, nil
			}}).HTML(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if len(held) != 4 { // each step draws two
			t.Fatalf("%d states were drawn, want 4", len(held))
		}
		for state, e := range held {
			between := state != s && state != end
			if got := state.Result().Exam != e; got != (between && rests) {
				t.Errorf("%d vertices, between %v: rests %v", vertices, between, got)
			}
		}
		for state, e := range ends { // before they are drawn: two lie in memory at once
			if got := state.Result().Exam != e; got != rests {
				t.Errorf("%d vertices, first or last: rests %v", vertices, got)
			}
		}
		if len(data) == 0 {
			t.Error("the sheet is empty")
		}
	}
}
