package paper

import (
	"fmt"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Files tells a file: its whole name, size and hash.
func Files(f File) Text {
	return Lines(Whole(f.Name), Words(say.Count(int(f.Bytes), "byte", "bytes")+" ("+say.Quantity(float64(f.Bytes), say.Byte)+")"), Hash(f.SHA256))
}

// Limits lists those that were moved, with what they are as delivered.
func Limits(o check.Overrides) Text {
	var list []Text
	for _, st := range inspect.Catalogue() {
		for _, e := range st.Entries {
			for _, l := range e.Limits {
				if v, moved := o[e.ID][l.Name]; moved && v != l.Value {
					own := l
					own.Value = v
					list = append(list, Words(fmt.Sprintf("%s, %s: %s (as delivered: %s)", e.Title, l.Name, own.Says(), l.Says())))
				}
			}
		}
	}
	if len(list) == 0 {
		return Words("as delivered")
	}
	return Lines(list...)
}

// NotLookedAt lists the checks that could not run, once a reason. more is what else is told
// of a check behind its title; nil: nothing.
func (s *Sheet) NotLookedAt(r *inspect.Result, more func(id string) string) {
	titles := map[string]string{}
	for _, st := range inspect.Catalogue() {
		for _, e := range st.Entries {
			titles[e.ID] = e.Title
		}
	}
	var reasons []string
	by := map[string][]string{}
	for i := range r.Stations {
		for _, c := range r.Stations[i].Checks {
			if c.State != check.NotLookedAt {
				continue
			}
			if by[c.Reason] == nil {
				reasons = append(reasons, c.Reason)
			}
			title := titles[c.ID]
			if more != nil {
				title += more(c.ID)
			}
			by[c.Reason] = append(by[c.Reason], title)
		}
	}
	var list []Text
	for _, reason := range reasons {
		list = append(list, Words(Capital(reason)+": "+strings.Join(by[reason], "; ")+"."))
	}
	if list == nil {
		s.Say(Words("Nothing: every check ran."))
	}
	s.List(list)
}
