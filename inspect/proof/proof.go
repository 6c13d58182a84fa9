// Package proof makes the proof sheet of a mended file: what came in, what was written,
// each step with its receipt in words and numbers and pictures of the place, what stays,
// what was insisted on, what was not looked at, and the plan, so that it can be done again.
// It draws nothing: pictures are given by the caller. Same figure, plan and pictures, same
// bytes.
package proof

import (
	"context"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/paper"
)

// Kind is what a proof sheet says it is, Version how its head is to be read.
const (
	Kind    = "proof"
	Version = 1
)

// PlanText is the name of the plan among the texts of a sheet.
const PlanText = "plan"

// Sheet is what goes onto one.
type Sheet struct {
	Start   *mend.State // the figure as it came in
	Plan    *mend.Plan  // what was asked for
	Done    []mend.Done // what a run of it did: nothing left out, in order
	Written paper.File  // its Role is set here
	Date    string      // as the caller writes it; "": none stands there

	// Pictures draws a step that was kept, before and after; nil: none.
	Pictures func(before, after *mend.State, r *mend.Receipt) ([]paper.Picture, error)
}

// look examines a state, and has a large one give back what its pictures can do without or work
// out again: two of them lie in memory at once.
func (s *Sheet) look(ctx context.Context, state *mend.State) (*inspect.Result, error) {
	if _, err := state.Examine(ctx, s.Plan.Limits); err != nil {
		return nil, err
	}
	state.Rest()
	return state.Result(), nil
}

// HTML writes the sheet.
func (s *Sheet) HTML(ctx context.Context) ([]byte, error) {
	end := s.Start
	if n := len(s.Done); n > 0 {
		end = s.Done[n-1].State
	}
	before, err := s.look(ctx, s.Start)
	if err != nil {
		return nil, err
	}
	after, err := s.look(ctx, end)
	if err != nil {
		return nil, err
	}
	name, sum, size := s.Start.Doc.Source()
	came := paper.File{Role: paper.Source, Name: name, SHA256: sum, Bytes: size}
	s.Written.Role = paper.Written
	p, err := paper.New(paper.Head{Kind: Kind, Version: Version, Program: "rigloupe " + inspect.Version,
		Files: []paper.File{came, s.Written}, Title: "Proof sheet", About: s.Written.Name})
	if err != nil {
		return nil, err
	}
	w := &writer{Sheet: p, titles: map[string]string{}}
	for _, st := range inspect.Catalogue() {
		for _, e := range st.Entries {
			w.titles[e.ID] = e.Title
		}
	}
	w.Title(paper.Name(s.Written.Name))
	w.Verdict(paper.Words(s.verdict(before, after)))
	w.facts(s, came)
	w.Part(paper.Words("What was done"))
	if len(s.Done) == 0 {
		w.Say(paper.Words("The plan has no step to do."))
	}
	at, drawn := s.Start, s.Start
	for i := range s.Done {
		d := &s.Done[i]
		is, err := d.After(ctx, at)
		if err != nil {
			return nil, err
		}
		var pictures []paper.Picture
		if s.Pictures != nil && d.Receipt.Kept {
			for _, state := range []*mend.State{at, is} { // one that was made again is not examined yet
				if state != s.Start && state != end && state != drawn {
					if _, err := s.look(ctx, state); err != nil {
						return nil, err
					}
				}
			}
			if pictures, err = s.Pictures(at, is, d.Receipt); err != nil {
				return nil, err
			}
			drawn = is
		}
		w.step(i+1, s.Plan.Steps[d.Step].Why, d, pictures)
		if at != s.Start && at != end { // drawn: of a large figure each takes hundreds of megabytes
			at.Rest()
		}
		at = is
	}
	w.stays(after)
	w.insisted(s.Done)
	w.notLookedAt(after, s.Done)
	plan, err := s.Plan.Kept(s.Start, s.Done).JSON()
	if err != nil {
		return nil, err
	}
	w.Part(paper.Words("The plan"))
	w.Say(paper.Words("Done on the file that came in, it writes the same file again, to the byte. rigloupe mend takes this sheet as a plan (--with), rigloupe verify tells whether a file is one of the two."))
	w.Text(PlanText, string(plan))
	w.Together(func() {
		w.Part(paper.Words("Signed"))
		w.Sign([]paper.Field{{Name: "Mended by"}, {Name: "Date", Filled: paper.Name(s.Date), Short: true}, {Name: "Signature"}})
	})
	return w.Seal(), nil
}

// gradeNamed is the grade of a word; 0: none.
func gradeNamed(word string) check.Grade {
	for g := check.Note; g <= check.Stop; g++ {
		if g.String() == word {
			return g
		}
	}
	return 0
}
