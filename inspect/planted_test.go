package inspect

import (
	"bytes"
	"encoding/json"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rounds"
)

// TestEveryPlantedFault examines the sample with each fault once, for all that is asked
// of every one of them: it is told, in words for people, with real units, beyond its limit
// on the side that the limit says, and again in the same bytes.
func TestEveryPlantedFault(t *testing.T) {
	// The stations' own tests hold the sizes; coarse is enough, but for what asks for many.
	fine, clean := lamplighter.Build(lamplighter.Options{}), lamplighter.Build(lamplighter.Options{Vertices: 4000})
	sides := map[bool]int{}
	for i, f := range lamplighter.Faults() {
		if !rounds.Run(i, 13) {
			continue
		}
		t.Run(f.ID+"/"+f.Name, func(t *testing.T) {
			on := clean
			if f.ID == "intake/heavy" {
				on = fine
			}
			broken, _ := f.On(on)
			res := lookedAt(t, broken)
			document := written(t, res)
			told(t, f.ID, document)
			forPeople(t, res)
			unitsAreReal(t, res)
			limitsPointTheirWay(t, f.Name, res, sides)
			if i%20 == 0 {
				if again := text(t, broken, Options{}); !bytes.Equal(again, document) {
					t.Error("two examinations of one figure differ")
				}
			}
		})
	}
	if rounds.Long() && (sides[false] < 100 || sides[true] < 5) || sides[false] < 25 || sides[true] < 1 {
		t.Errorf("only %d findings above a limit and %d below one", sides[false], sides[true])
	}
	if a, b := text(t, clean, Options{}), text(t, clean, Options{}); !bytes.Equal(a, b) {
		t.Error("two examinations of the clean figure differ")
	}
}

// told: the fault stands in the document, whole, with why, remedy and source.
func told(t *testing.T, id string, document []byte) {
	t.Helper()
	var d struct {
		Findings []struct {
			ID, Grade, Title, Why, Remedy, Source string
			Measures                              []struct{ Value, Limit *float64 }
			Cause                                 *struct{ ID string }
		}
	}
	if err := json.Unmarshal(document, &d); err != nil {
		t.Fatal(err)
	}
	for _, got := range d.Findings {
		if got.ID == id {
			if len(got.Measures) == 0 || got.Why == "" || (got.Remedy == "") != (got.Cause != nil) || got.Source == "" {
				t.Errorf("told by halves: %+v", got)
			}
			return
		}
	}
	t.Errorf("not found among %d findings", len(d.Findings))
}
