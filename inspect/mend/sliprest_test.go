package mend

import (
	"bytes"
	"context"
	"encoding/json"
	"testing"
)

// A large figure's states give back what they can work out again once another is at hand: the
// slip, its findings and the way back are the same all the same.
func TestStatesAtRest(t *testing.T) {
	ctx := context.Background()
	slips := [2]*Slip{}
	var told [2][]byte
	for k, large := range []int64{largeBytes, 0} {
		slip := NewSlip(ofRig(t, sample()), nil)
		slip.large = large
		slips[k] = slip
		before := slip.State()
		for _, m := range []string{"scale", "thin"} {
			x := try(t, slip.State(), m, map[string]Values{"scale": {"factor": 2.0}}[m])
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			r := prove(t, x)
			r.Kept = true
			if err := slip.Keep(x, r, ""); err != nil {
				t.Fatal(err)
			}
		}
		sheet, err := slip.Sheet(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := slip.Back(ctx); err != nil {
			t.Fatal(err)
		}
		if _, err := slip.Back(ctx); err != nil {
			t.Fatal(err)
		}
		if slip.State() != before {
			t.Error("two steps back it is another state")
		}
		b, err := json.Marshal([]any{sheet, before.Result().Verdict()})
		if err != nil {
			t.Fatal(err)
		}
		out := bytes.NewBuffer(b)
		if err := before.Result().WriteJSON(out, false); err != nil {
			t.Fatal(err)
		}
		told[k] = out.Bytes()
	}
	if !bytes.Equal(told[0], told[1]) {
		t.Error("a slip of which the states rest tells something else")
	}
	// Forward again, the start rests.
	if _, err := slips[1].Forward(ctx); err != nil {
		t.Fatal(err)
	}
	start := slips[1].Start()
	if start.exam != nil || start.found != nil {
		t.Error("a state that is not at hand holds what it can work out again")
	}
}
