package inspect

import (
	"slices"

	"rigloupe/inspect/check"
)

// Fold is a row of notes of one kind in a ledger: a person reads a handful of rows, and
// each note is still there to be opened. Stops and flaws are never folded.
type Fold struct {
	Station string `json:"station"`
	Title   string `json:"title"`
	Numbers []int  `json:"findings"` // of the notes, at least two, rising
}

// kinds says which notes lie together, station by station: those that speak of one thing.
// What it does not name is a kind of its own. Eight kinds with a title stand here, so a
// figure has eight rows of notes at most beside what is new (a test asks for each check).
var kinds = []struct {
	title string
	ids   []string
}{
	{"File and placement", []string{"intake/"}},
	{"Pieces and edges", []string{"surface/"}},
	{"Build of the skeleton", []string{"skeleton/"}},
	{"Weights and parts", []string{"binding/"}},
	{"Surface when bent", []string{"bends/"}},
	{"Where clips go", []string{"motion/travel", "motion/foot-skate", "motion/under-ground"}},
	{"How clips are written", []string{"motion/long-way", "motion/dead-weight", "motion/late-start", "motion/split-clip", "motion/off-unit", "motion/scale-keys", "motion/no-clip"}},
	{"How joints move", []string{"motion/"}},
}

// kindOf is the place of a check's kind, −1.
func kindOf(id string) int {
	for i := range kinds {
		for _, k := range kinds[i].ids {
			if k == id || k[len(k)-1] == '/' && len(id) > len(k) && id[:len(k)] == k {
				return i
			}
		}
	}
	return -1
}

// Folds answers the rows of notes that hold more than one, in the order of their first.
func (r *Result) Folds() []Fold {
	at := make([]int, len(kinds))
	all := []Fold{}
	number := 0
	for i := range r.Stations {
		for j := range r.Stations[i].Findings {
			number++
			f := &r.Stations[i].Findings[j]
			k := kindOf(f.ID)
			if f.Grade != check.Note || k < 0 {
				continue
			}
			if at[k] == 0 {
				all = append(all, Fold{Station: r.Stations[i].Name, Title: kinds[k].title})
				at[k] = len(all)
			}
			all[at[k]-1].Numbers = append(all[at[k]-1].Numbers, number)
		}
	}
	return slices.DeleteFunc(all, func(f Fold) bool { return len(f.Numbers) < 2 })
}

// NoteRows counts the rows of notes in a ledger that folds them.
func (r *Result) NoteRows() int {
	rows := r.Count(check.Note)
	for _, f := range r.Folds() {
		rows -= len(f.Numbers) - 1
	}
	return rows
}
