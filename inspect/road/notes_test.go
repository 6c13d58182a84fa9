package road

import (
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// What is only worth knowing leaves no step undone: a figure that was fitted, bound and moved
// stands so on the road, with its notes counted. A choice is what only a person can make.
func TestNotesAreDone(t *testing.T) {
	for _, row := range []struct {
		fault, step, says string
	}{
		{"skeleton/off-centre", "fit", "34 joints, 1 note"},
		{"motion/dead-weight", "motion", "2 clips, 1 note"},
		{"intake/off-ground", "scale", "1.86 m high, 1 note"},
	} {
		way, res := walked(t, row.fault, nil, inspect.Options{})
		s := way.step(row.step)
		if s.State != Done || plain(s.Says) != row.says || len(s.Findings) != 1 {
			t.Errorf("%s: %s is %s, %q with %d findings; want done, %q", row.fault, row.step, s.State, plain(s.Says), len(s.Findings), row.says)
		}
		if s.ID == way.Next {
			t.Errorf("%s: next is %s, in which nothing must be done (%d findings)", row.fault, way.Next, len(res.Findings()))
		}
	}
	way, _ := walked(t, "", func(r *rig.Rig) { *r = *lamplighter.Build(lamplighter.Options{Pose: lamplighter.A}) }, inspect.Options{})
	if s := way.step("rest"); s.State != Choice {
		t.Errorf("arms that hang are %s, want a choice", s.State)
	}
}
