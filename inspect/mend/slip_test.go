package mend

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rounds"
)

// quickReceipt is a receipt without an examination: undo does not look at findings.
func quickReceipt(x *Trial) *Receipt {
	return &Receipt{Mend: x.Mend.ID, Parameters: x.Values, Kept: true}
}

// Thirty random mends, and a random walk of undo and redo over them: byte-equal at every
// stop. Each step is back within the time that is promised.
func TestSlipUndo(t *testing.T) {
	for seed := range uint64(3) {
		if seed != 1 && !rounds.Long() { // with little room both ways back are walked
			continue
		}
		rnd := rand.New(rand.NewPCG(seed, 9))
		r, _ := lamplighter.Fault{Plant: lamplighter.Shake(1e-4)}.On(sample())
		slip := NewSlip(ofRig(t, r), nil)
		most := int64(heldBytes)
		if seed == 1 {
			most = 1 << 20 // little room: states are made again
		}
		slip.most = most
		stops := [][]byte{slip.State().Bytes}
		ctx := context.Background()
		for range 30 {
			var x *Trial
			if rnd.IntN(3) == 0 {
				x = try(t, slip.State(), "weld", Values{"distance": 1e-5 + 1e-3*rnd.Float64(), "copies": rnd.IntN(2) == 0})
			} else {
				x = try(t, slip.State(), "scale", Values{"factor": 0.5 + rnd.Float64(), "ground": rnd.IntN(2) == 0, "turn": rnd.IntN(2) == 0})
			}
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			if err := slip.Keep(x, quickReceipt(x), ""); err != nil {
				t.Fatal(err)
			}
			stops = append(stops, slip.State().Bytes)
		}
		at, slow := 30, time.Duration(0)
		for range 120 {
			start, moved := time.Now(), false
			var err error
			if rnd.IntN(2) == 0 {
				moved, err = slip.Back(ctx)
				if moved {
					at--
				}
			} else if moved, err = slip.Forward(ctx); moved {
				at++
			}
			if err != nil {
				t.Fatal(err)
			}
			slow = max(slow, time.Since(start))
			if !bytes.Equal(slip.State().Bytes, stops[at]) {
				t.Fatalf("seed %d: at step %d the file is another", seed, at)
			}
		}
		for range 40 {
			slip.Back(ctx)
		}
		if !bytes.Equal(slip.State().Bytes, stops[0]) {
			t.Error("taken back to the end it is not the file that was opened")
		}
		t.Logf("seed %d: slowest step back or forth %v", seed, slow)
	}
}

// Thirty mends of every kind with random values, on the sample with faults and on real
// figures, and a walk of undo and redo over them with little room: byte-equal at every stop,
// and done anew from the plan it is the same file.
func TestSlipUndoOfEveryKind(t *testing.T) {
	rounds.Dear(t)
	figures := map[string]func() *State{
		"sample": func() *State { return ofRig(t, damagedFigure()) },
	}
	for _, name := range []string{"robot.glb", "cesium_man.gltf"} {
		if _, err := os.Stat(filepath.Join(corpus, name)); err == nil {
			figures[name] = func() *State { return corpusState(t, name) }
		}
	}
	for name, open := range figures {
		for seed := range uint64(2) {
			if !rounds.Run(int(seed), 2) {
				continue
			}
			t.Run(fmt.Sprintf("%s %d", name, seed), func(t *testing.T) {
				t.Parallel()
				rnd := rand.New(rand.NewPCG(seed, 11))
				slip := NewSlip(open(), nil)
				slip.most = 1 << 20
				stops, kinds := [][]byte{slip.State().Bytes}, map[string]bool{}
				for tries := 0; len(stops) < 31 && tries < 300; tries++ {
					m := everyMend[rnd.IntN(len(everyMend))]
					v := Values{}
					maps.Copy(v, m.v)
					switch m.id {
					case "scale":
						v["factor"], v["ground"] = 0.5+rnd.Float64(), rnd.IntN(2) == 0
					case "rest", "rebind":
						v["pose"], v["angle"] = "angle", math.Round(60*rnd.Float64())
						if m.id == "rebind" {
							v["price"] = 1.0
						}
					case "even":
						v["from"] = []string{"left", "right"}[rnd.IntN(2)]
					case "clean":
						v["faint"] = 0.1 * rnd.Float64()
					case "thin":
						v["tolerance"] = 1e-3 * rnd.Float64()
					case "weld":
						v["distance"] = 1e-3 * rnd.Float64()
					}
					x := try(t, slip.State(), m.id, v)
					if x.After == nil || slices.Equal(x.After.Bytes, x.Before.Bytes) {
						continue
					}
					if err := slip.Keep(x, quickReceipt(x), ""); err != nil {
						t.Fatal(err)
					}
					stops, kinds[m.id] = append(stops, slip.State().Bytes), true
				}
				if len(stops) != 31 || len(kinds) < 4 {
					t.Fatalf("%d steps of %d kinds", len(stops)-1, len(kinds))
				}
				at := 30
				for range 60 {
					moved, err := false, error(nil)
					step := 1
					if rnd.IntN(2) == 0 {
						step = -1
						moved, err = slip.Back(t.Context())
					} else {
						moved, err = slip.Forward(t.Context())
					}
					if err != nil {
						t.Fatal(err)
					}
					if moved {
						at += step
					}
					if !bytes.Equal(slip.State().Bytes, stops[at]) {
						t.Fatalf("at step %d the file is another", at)
					}
				}
			})
		}
	}
}

// A new mend behind a step back forgets what was taken back; a trial of another state is
// not taken.
func TestSlipForgets(t *testing.T) {
	ctx := context.Background()
	slip := NewSlip(ofRig(t, sample()), nil)
	start := slip.State()
	one := try(t, start, "scale", Values{"factor": 2.0})
	slip.Keep(one, quickReceipt(one), "")
	two := try(t, slip.State(), "scale", Values{"factor": 3.0})
	slip.Keep(two, quickReceipt(two), "")
	slip.Back(ctx)
	three := try(t, slip.State(), "scale", Values{"factor": 5.0})
	if err := slip.Keep(three, quickReceipt(three), ""); err != nil {
		t.Fatal(err)
	}
	if more, _ := slip.Forward(ctx); more {
		t.Error("what was taken back came again")
	}
	if steps, _, cursor := slip.Steps(); len(steps) != 2 || cursor != 2 || steps[1].Parameters["factor"] != 5.0 {
		t.Errorf("%+v, %d", steps, cursor)
	}
	if err := slip.Keep(one, quickReceipt(one), ""); err == nil {
		t.Error("a trial of another state was kept")
	}
}

// Switched off, moved, switched on again: the file is what the plan of the slip makes.
func TestSlipSwitchAndMove(t *testing.T) {
	rounds.Dear(t)
	ctx := context.Background()
	r, _ := lamplighter.Fault{Plant: lamplighter.Shake(1e-4)}.On(sample())
	slip := NewSlip(ofRig(t, r), nil)
	keep := func(id string, v Values) {
		x := try(t, slip.State(), id, v)
		if err := slip.Keep(x, prove(t, x), "a test"); err != nil {
			t.Fatal(err)
		}
	}
	keep("scale", Values{"factor": 1.2})
	keep("scale", Values{"factor": .9})
	keep("weld", nil)
	whole := slip.State().Bytes
	same := func(what string) {
		t.Helper()
		done, _, err := slip.Plan().Run(ctx, slip.start, Options{GoOn: true})
		if err != nil {
			t.Fatal(err)
		}
		last := slip.start
		for _, d := range done {
			last = d.State
		}
		if !bytes.Equal(last.Bytes, slip.State().Bytes) {
			t.Errorf("%s: the plan makes another file than the slip", what)
		}
	}
	same("kept")
	if err := slip.Switch(ctx, 0, true); err != nil {
		t.Fatal(err)
	}
	same("switched off")
	if bytes.Equal(whole, slip.State().Bytes) {
		t.Error("a step that is off changed nothing")
	}
	if err := slip.Switch(ctx, 0, false); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(whole, slip.State().Bytes) {
		t.Error("switched on again it is another file")
	}
	if err := slip.Move(ctx, 0, 1); err != nil {
		t.Fatal(err)
	}
	same("moved")
	if err := slip.Move(ctx, 2, 0); err == nil {
		t.Error("weld was moved before scale")
	}
}
