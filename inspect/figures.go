package inspect

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Checks that ask about one figure: in a file that holds several they are judged for
// each by itself. All others ask about meshes, skins or the file, however many stand
// there. A name ending in / stands for a whole station.
var askOfOne = []string{
	"intake/unapplied-turn", "intake/odd-height", "intake/off-ground", "intake/facing",
	"surface/",
	"skeleton/",
	"binding/cross-body", "binding/mirror-mismatch",
	"bends/",
	"motion/late-start", "motion/loop-jump", "motion/foot-skate", "motion/under-ground", "motion/travel", "motion/still-chain", "motion/stretched-bone",
}

func asksOfOne(id string) bool {
	return slices.ContainsFunc(askOfOne, func(a string) bool { return a == id || strings.HasSuffix(a, "/") && strings.HasPrefix(id, a) })
}

// parted lists the figures and, last, what is shown beside them: its surfaces are looked
// at as well.
func parted(e *exam.Exam) []exam.Figure {
	list := slices.Clone(e.Figures())
	if b := e.Beside(); b != nil {
		list = append(list, *b)
	}
	return list
}

// OfFigures answers the figures of a file that holds several, with what a station
// measured of each: nil where it did not look at one. Last is what stands beside them.
func (r *Result) OfFigures(station string) ([]exam.Figure, []any) {
	for i := range r.Stations {
		if o := &r.Stations[i]; o.Name == station && o.figures != nil {
			return parted(r.Exam), o.figures
		}
	}
	return nil, nil
}

// measureFigures measures a station for each figure of a file that holds several. An
// entry is nil for a figure that repeats another, and where the station asks nothing of
// one figure.
func measureFigures(ctx context.Context, s *check.Station, e *exam.Exam) ([]any, error) {
	figures := e.Figures()
	if figures == nil || !slices.ContainsFunc(s.Entries, func(c check.Entry) bool { return asksOfOne(c.ID) }) {
		return nil, nil
	}
	list := parted(e)
	out := make([]any, len(list))
	for i := range list {
		own := list[i].Exam
		if own == nil || i >= len(figures) && s.Name != "surface" {
			continue
		}
		own.Progress, own.Station = e.Progress, s.Name
		facts, err := s.Measure(ctx, own)
		own.Over()
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return nil, err
		}
		out[i] = facts
	}
	return out, nil
}

// judge holds the facts against the limits: those of all, and of each figure where there
// are several.
func (o *Outcome) judge(s *check.Station, e *exam.Exam, limits check.Overrides) {
	o.judged, o.Checks = s.Judge(o.Facts, limits)
	weigh(o.judged, e)
	if o.figures == nil {
		return
	}
	o.judged = slices.DeleteFunc(o.judged, func(f check.Finding) bool { return asksOfOne(f.ID) })
	first := true
	list := parted(e)
	for i := range list {
		f := &list[i]
		if o.figures[i] == nil {
			continue
		}
		found, checks := s.Judge(o.figures[i], limits)
		weigh(found, f.Exam)
		for k := range found {
			if asksOfOne(found[k].ID) && !besideOthers(&found[k]) {
				translate(&found[k], f)
				o.judged = append(o.judged, found[k])
			}
		}
		for k, c := range checks {
			if !asksOfOne(c.ID) {
				continue
			}
			if old := &o.Checks[k]; first || old.State == check.NotLookedAt {
				*old = c // cleared for one is cleared, as far as it was looked at
			}
		}
		first = false
	}
	place := map[string]int{}
	for i := range s.Entries {
		place[s.Entries[i].ID] = i
	}
	slices.SortStableFunc(o.judged, func(a, b check.Finding) int { return cmp.Compare(place[a.ID], place[b.ID]) })
	for k := range o.Checks {
		if c := &o.Checks[k]; asksOfOne(c.ID) && c.State != check.NotLookedAt {
			c.State = check.Clear
			if slices.ContainsFunc(o.judged, func(f check.Finding) bool { return f.ID == c.ID }) {
				c.State = check.Found
			}
		}
	}
}

// besideOthers tells a finding that only says that a figure stands beside another: its
// middle away from the origin, or its mirror plane from x = 0.
func besideOthers(f *check.Finding) bool {
	name := f.Measures[0].Name
	return f.ID == "intake/off-ground" && name == "middle" || f.ID == "surface/lopsided" && name == "distance from x = 0"
}

// translate gives a finding of one figure the file's own places, and its name.
func translate(found *check.Finding, f *exam.Figure) {
	w := &found.Where
	if w.Skin >= 0 && int(w.Skin) < len(f.Skins) {
		w.Skin = f.Skins[w.Skin]
	}
	if w.Clip >= 0 && int(w.Clip) < len(f.Clips) {
		w.Clip = f.Clips[w.Clip]
	}
	w.Clips = slices.Clone(w.Clips)
	for i, c := range w.Clips {
		if int(c) < len(f.Clips) {
			w.Clips[i] = f.Clips[c]
		}
	}
	w.Spots = slices.Clone(w.Spots)
	for i := range w.Spots {
		s := &w.Spots[i]
		own := f.Vertices[s.Surface]
		if s.Surface = f.Surfaces[s.Surface]; own == nil {
			continue
		}
		s.Vertices, s.Edges = slices.Clone(s.Vertices), slices.Clone(s.Edges)
		for k := range s.Vertices {
			s.Vertices[k] = own[s.Vertices[k]]
		}
		for k := range s.Edges {
			s.Edges[k] = [2]rig.Vertex{own[s.Edges[k][0]], own[s.Edges[k][1]]}
		}
	}
	found.Figure = f.Name
	if found.Subject == "" {
		found.Subject = f.Name
	} else {
		found.Subject = f.Name + ": " + found.Subject
	}
}

// weigh tells the findings how long a height and a diagonal of a figure are, so that a
// share of one can be said as a length.
func weigh(found []check.Finding, e *exam.Exam) {
	for i := range found {
		found[i].Weigh(e.Height(), e.Diagonal())
	}
}
