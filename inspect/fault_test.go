package inspect

import (
	"context"
	"errors"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// A panic costs the stations from there on, not what was finished, and says where.
func TestFaultKeepsWhatIsFinished(t *testing.T) {
	done := 0
	res, err := Examine(context.Background(), lamplighter.Build(lamplighter.Options{Vertices: 1000}), Options{
		Progress: func(station string, _, _ int) {
			if station == "skeleton" {
				panic("broken on purpose")
			}
		},
		Done: func(*Result) { done++ },
	})
	var fault *Fault
	if !errors.As(err, &fault) || fault.Station != "skeleton" || !strings.Contains(err.Error(), "broken on purpose") || strings.Contains(err.Error(), "\n") {
		t.Fatalf("%v", err)
	}
	if !strings.Contains(err.Error(), "inspect/fault_test.go:") || strings.Count(err.Error(), "skeleton") != 1 {
		t.Errorf("place and station, each once: %v", err)
	}
	if done != 2 || res == nil || len(res.Stations) != len(Catalogue()) || res.Stations[1].Facts == nil || res.Stations[2].Facts != nil {
		t.Fatalf("%d stations finished: %+v", done, res)
	}
	for _, c := range res.Stations[2].Checks {
		if c.State != check.NotLookedAt {
			t.Errorf("%s is %s", c.ID, c.State)
		}
	}
}
