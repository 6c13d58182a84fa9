package carry

import (
	"context"
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// moved runs the station Motion on the result, and on the source's clip to tell what
// came from there.
func (r *Result) moved(ctx context.Context) ([]Moved, error) {
	target := *r.plan.m.T.Rig
	target.Clips = []rig.ClipData{r.Clip}
	found, err := judged(ctx, &target)
	if err != nil {
		return nil, err
	}
	source := *r.plan.m.S.Rig
	source.Clips = []rig.ClipData{*r.clip}
	own, err := judged(ctx, &source)
	if err != nil {
		return nil, err
	}
	kinds := map[string]bool{}
	for i := range own {
		kinds[kind(&own[i])] = true
	}
	out := []Moved{}
	at := map[string]int{}
	for i := range found {
		f := &found[i]
		switch f.ID {
		case "motion/still-chain", "motion/split-clip", "motion/no-clip", "motion/dead-weight", "motion/late-start":
			continue // told otherwise, or of a file and not of a movement
		}
		// One row a kind.
		if k, ok := at[kind(f)]; ok {
			out[k].more++
			continue
		}
		m := Moved{ID: f.ID, Grade: f.Grade.String(), Text: f.Title, InSource: kinds[kind(f)]}
		if len(f.Measures) > 0 {
			m.Text += fmt.Sprintf(": %s %s", f.Measures[0].Name, f.Measures[0].Says())
		}
		at[kind(f)] = len(out)
		out = append(out, m)
	}
	for i := range out {
		if out[i].more > 0 {
			out[i].Text += fmt.Sprintf(", and %s", say.Count(out[i].more, "more place", "more places"))
		}
	}
	return out, nil
}

// kind is what makes findings alike.
func kind(f *check.Finding) string {
	if len(f.Measures) == 0 {
		return f.ID
	}
	return f.ID + " " + f.Measures[0].Name
}

func judged(ctx context.Context, r *rig.Rig) ([]check.Finding, error) {
	facts, err := motion.Station.Measure(ctx, exam.New(r))
	if err != nil {
		return nil, err
	}
	found, _ := motion.Station.Judge(facts, nil)
	return found, nil
}
