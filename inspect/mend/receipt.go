package mend

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/original"
	"rigloupe/inspect/say"
)

// Receipt is what one step did: equal steps on equal files give equal bytes.
type Receipt struct {
	Mend       string  `json:"mend"`
	Title      string  `json:"title"`
	Parameters Values  `json:"parameters"`
	Kept       bool    `json:"kept"`
	Why        string  `json:"why"` // it is not kept; "" where it is
	Checks     []Check `json:"checks"`

	Cleared  []string `json:"cleared"`  // found before, looked at and clear now
	Shrunk   []string `json:"shrunk"`   // found before and less now
	Planted  []string `json:"planted"`  // looked at and clear before, found now; or of a higher grade; or in more places; or a flaw in another place, or grown in its own
	Worse    []string `json:"worse"`    // of Planted: flaws that stand where they stood and are larger
	Revealed []string `json:"revealed"` // found now, and not looked at before or hidden behind its cause
	Hidden   []string `json:"hidden"`   // found before, not looked at now
	Accepted []string `json:"accepted"` // of Planted, those a person insisted on

	Moved    Moved           `json:"moved"`
	Bytes    Bytes           `json:"bytes"`
	Pointers []string        `json:"pointers"` // what differs in the JSON
	Refused  []string        `json:"refused"`  // parts left as they are, or why nothing was done
	Says     []string        `json:"says"`
	Measures []MeasureOfMend `json:"measures"`
}

// Check is one check before and after.
type Check struct {
	ID     string `json:"id"`
	Before Seen   `json:"before"`
	After  Seen   `json:"after"`
}

// Seen is how a check ended: state, worst grade, first measure of the worst finding, and
// in how many places it is found.
type Seen struct {
	State  string   `json:"state"`
	Grade  string   `json:"grade,omitempty"`
	Name   string   `json:"name,omitempty"`
	Value  *float64 `json:"value,omitempty"`
	Unit   say.Unit `json:"unit,omitzero"`
	Limit  *float64 `json:"limit,omitempty"`
	Places int      `json:"places,omitempty"`

	grade  check.Grade
	caused bool // a finding was a note because it follows from another
}

// Bytes counts buffer views.
type Bytes struct {
	Untouched int   `json:"untouched_views"`
	Rewritten []int `json:"rewritten_views"`
	Added     int   `json:"added_views"`
	AddedSize int64 `json:"added"`
	Before    int   `json:"file_before"`
	After     int   `json:"file_after"`
}

// MeasureOfMend is a number that a mend states of itself.
type MeasureOfMend struct {
	Name  string   `json:"name"`
	Value float64  `json:"value"`
	Unit  say.Unit `json:"unit"`
	Says  string   `json:"says"`
}

// Prove examines the figure before and after and writes the receipt. accept names checks
// whose planted findings the person insists on. A refused trial has a receipt, too.
func (t *Trial) Prove(ctx context.Context, limits check.Overrides, accept []string) (*Receipt, error) {
	r := &Receipt{Mend: t.Mend.ID, Title: t.Mend.Title, Parameters: t.Values, Checks: []Check{},
		Cleared: []string{}, Shrunk: []string{}, Planted: []string{}, Worse: []string{}, Revealed: []string{}, Hidden: []string{}, Accepted: []string{},
		Pointers: []string{}, Refused: []string{}, Says: []string{}, Measures: []MeasureOfMend{}}
	r.Bytes.Rewritten = []int{}
	if t.After == nil {
		r.Why = "refused"
		r.Refused = append(r.Refused, t.reason)
		return r, nil
	}
	if err := t.work.measure(ctx); err != nil {
		return nil, err
	}
	before, err := t.Before.Examine(ctx, limits)
	if err != nil {
		return nil, err
	}
	after, err := t.After.Examine(ctx, limits)
	if err != nil {
		return nil, err
	}
	r.Refused = append(r.Refused, t.work.refused...)
	r.Says = append(r.Says, t.work.says...)
	for _, m := range t.work.measures {
		r.Measures = append(r.Measures, MeasureOfMend{m.Name, m.Value, m.Unit, m.Says()})
	}
	c := original.Changes(t.Before.Doc, t.After.Doc)
	r.Bytes = Bytes{c.Untouched, append([]int{}, c.Rewritten...), c.Added, c.Bytes, len(t.Before.Bytes), len(t.After.Bytes)}
	r.Pointers = append(r.Pointers, c.Pointers...)
	r.Moved = t.moved()
	moved, worse := setOff(before, after, t.work.named)
	r.compare(before, after, t.work.uncovers, moved, worse)
	r.judge(&t.Mend, accept)
	return r, nil
}

// seen gathers how every check ended, in the order of the catalogue.
func seen(r *inspect.Result) (ids []string, by map[string]Seen) {
	by = map[string]Seen{}
	for i := range r.Stations {
		for _, c := range r.Stations[i].Checks {
			ids = append(ids, c.ID)
			by[c.ID] = Seen{State: c.State.String()}
		}
	}
	for _, f := range r.Findings() {
		s := by[f.ID]
		s.Places += max(1, len(f.Rows))
		s.caused = s.caused || f.Cause != nil
		if f.Grade > s.grade && len(f.Measures) > 0 {
			m := f.Measures[0]
			s.grade, s.Grade, s.Name, s.Unit = f.Grade, f.Grade.String(), m.Name, m.Unit
			s.Value, s.Limit = finite(m.Value), finite(m.Limit)
		}
		by[f.ID] = s
	}
	return ids, by
}

func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// compare fills in the checks and what became of each. moved are those with a flaw where
// they had none before, worse those with a larger one where they had one.
func (r *Receipt) compare(before, after *inspect.Result, uncovered []string, moved, worse map[string]bool) {
	ids, was := seen(before)
	_, is := seen(after)
	for _, id := range ids {
		a, b := was[id], is[id]
		r.Checks = append(r.Checks, Check{id, a, b})
		switch {
		case b.grade > 0 && a.State == check.NotLookedAt.String(), (b.grade > a.grade || worse[id]) && (a.caused || slices.Contains(uncovered, id)),
			b.grade == a.grade && b.Places > a.Places && slices.Contains(uncovered, id):
			r.Revealed = append(r.Revealed, id)
		case b.grade > a.grade, b.grade == a.grade && b.Places > a.Places, moved[id] && !a.caused:
			r.Planted = append(r.Planted, id)
		case worse[id]:
			r.Planted, r.Worse = append(r.Planted, id), append(r.Worse, id)
		case a.grade > 0 && b.State == check.NotLookedAt.String():
			r.Hidden = append(r.Hidden, id)
		case a.grade > 0 && b.grade == 0:
			r.Cleared = append(r.Cleared, id)
		case a.grade > b.grade, a.grade > 0 && b.Places < a.Places, a.grade > 0 && smaller(b, a):
			r.Shrunk = append(r.Shrunk, id)
		}
	}
}

// smaller tells that a measure is nearer to its limit by a hundredth at least.
func smaller(b, a Seen) bool {
	if a.Value == nil || b.Value == nil || a.Limit == nil || b.Limit == nil || a.Name != b.Name {
		return false
	}
	return math.Abs(*b.Value-*b.Limit) < .99*math.Abs(*a.Value-*a.Limit)
}

// worst is the grade of a check after.
func (r *Receipt) after(id string) check.Grade {
	for i := range r.Checks {
		if r.Checks[i].ID == id {
			return r.Checks[i].After.grade
		}
	}
	return 0
}

// judge says whether the step is kept: what it aims at clears or shrinks, and nothing of
// grade flaw or stop is planted but what the person insists on.
func (r *Receipt) judge(m *Mend, accept []string) {
	aims := m.aims(r.Parameters)
	var found, better, bad []string
	for _, c := range r.Checks {
		if slices.Contains(aims, c.ID) && c.Before.grade > 0 {
			found = append(found, c.ID)
			if slices.Contains(r.Cleared, c.ID) || slices.Contains(r.Shrunk, c.ID) {
				better = append(better, c.ID)
			}
		}
	}
	for _, id := range r.Planted {
		if r.after(id) < check.Flaw {
			continue
		}
		if slices.Contains(accept, id) {
			r.Accepted = append(r.Accepted, id)
		} else {
			bad = append(bad, id)
		}
	}
	planted, worse := r.apart(bad)
	switch {
	case len(r.Pointers)+len(r.Bytes.Rewritten) == 0 && r.Bytes.Added == 0:
		r.Why = "nothing changes"
	case len(planted) > 0 && len(worse) > 0:
		r.Why = "it plants " + strings.Join(planted, ", ") + " and makes worse " + strings.Join(worse, ", ")
	case len(planted) > 0:
		r.Why = "it plants " + strings.Join(planted, ", ")
	case len(worse) > 0:
		r.Why = "it makes worse " + strings.Join(worse, ", ")
	case len(found) > 0 && len(better) == 0:
		r.Why = "of what it aims at nothing clears: " + strings.Join(found, ", ")
	default:
		r.Kept = true
	}
}

// apart parts checks that a step set off into those it planted and those it made worse.
func (r *Receipt) apart(ids []string) (planted, worse []string) {
	for _, id := range ids {
		if slices.Contains(r.Worse, id) {
			worse = append(worse, id)
		} else {
			planted = append(planted, id)
		}
	}
	return planted, worse
}

// Outcome is checks that ended alike, with a word for it.
type Outcome struct {
	Word string
	IDs  []string
}

// Outcomes are the checks that the step changed, each once, in the order they are told.
func (r *Receipt) Outcomes() []Outcome {
	planted, worse := r.apart(r.Planted)
	return []Outcome{{"cleared", r.Cleared}, {"less", r.Shrunk}, {"planted", planted}, {"made worse", worse}, {"came to light", r.Revealed}, {"no longer looked at", r.Hidden}}
}

// JSON is the receipt on one line.
func (r *Receipt) JSON() ([]byte, error) { return json.Marshal(r) }

// SHA256 is the hash of JSON, hexadecimal: what a plan remembers of a step.
func (r *Receipt) SHA256() string {
	b, err := r.JSON()
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// Sentence tells the step in one line.
func (r *Receipt) Sentence() string {
	if r.Why == "refused" {
		return fmt.Sprintf("%s: refused. %s", r.Title, strings.Join(r.Refused, " "))
	}
	s := fmt.Sprintf("%s: kept", r.Title)
	if !r.Kept {
		s = fmt.Sprintf("%s: not kept, %s", r.Title, r.Why)
	}
	for _, o := range r.Outcomes() {
		if len(o.IDs) > 0 {
			s += fmt.Sprintf("; %s: %s", o.Word, strings.Join(o.IDs, ", "))
		}
	}
	return s
}
