package mend

import (
	"bytes"
	"testing"
)

// TestDoneAgain: of a large figure the states between are not all held while a sheet is
// written: each is made again of the one before, to the byte, and the last is at hand also where
// steps behind it are switched off.
func TestDoneAgain(t *testing.T) {
	var want [][]byte
	for _, large := range []int64{largeBytes, 0} {
		slip := NewSlip(ofRig(t, sample()), nil)
		slip.large, slip.most = large, 1
		for _, factor := range []float64{2, .5, 4} {
			x := try(t, slip.State(), "scale", Values{"factor": factor})
			r := prove(t, x)
			r.Kept = true
			if err := slip.Keep(x, r, ""); err != nil {
				t.Fatal(err)
			}
		}
		slip.steps[2].step.Off = true
		if _, err := slip.Back(t.Context()); err != nil {
			t.Fatal(err)
		}
		if _, err := slip.Forward(t.Context()); err != nil {
			t.Fatal(err)
		}
		done, err := slip.Done(t.Context())
		if err != nil || len(done) != 2 {
			t.Fatalf("%d steps, %v", len(done), err)
		}
		if (done[0].State == nil) != (large == 0) || done[1].State != slip.State() {
			t.Errorf("large from %d bytes on: held %v and %v", large, done[0].State != nil, done[1].State != nil)
		}
		at := slip.Start()
		for i := range done {
			if at, err = done[i].After(t.Context(), at); err != nil {
				t.Fatal(err)
			}
			if large == largeBytes {
				want = append(want, at.Bytes)
			} else if !bytes.Equal(at.Bytes, want[i]) {
				t.Errorf("step %d made again writes other bytes", i+1)
			}
		}
	}
}
