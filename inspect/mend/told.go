package mend

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Told is a receipt with what a person reads of it.
type Told struct {
	Receipt  *Receipt `json:"receipt"`
	Sentence string   `json:"sentence"` // the step in one line
	Rows     []Row    `json:"rows"`     // what it moved, its numbers, what it rewrote
	Insist   []string `json:"insist"`   // checks that it plants and with which accepted it would be kept
	Odd      string   `json:"odd"`      // how the outcome differs from what a plan expects; "": it does not
	Pieces   []Piece  `json:"pieces"`   // of a binding, the first of them; others have none
	Joints   []string `json:"joints"`   // that pieces may follow, as a step names them, parents first
}

// Piece is a piece of a surface as it was bound.
type Piece struct {
	Name   string   `json:"name"` // as a step names it: "#1"
	Says   string   `json:"says"`
	Joints []string `json:"joints"` // that it may follow
}

// Bound tells of a binding on trial which pieces there are, and what each may follow.
func (t *Trial) Bound(to *Told) {
	to.Pieces, to.Joints = append(to.Pieces, t.work.bound...), append(to.Joints, t.work.byName...)
}

// Row is one number of a receipt in words.
type Row struct {
	Name string `json:"name"`
	Says string `json:"says"`
}

// Told puts the receipt into words.
func (r *Receipt) Told() *Told {
	return &Told{Receipt: r, Sentence: r.Sentence(), Rows: r.Rows(), Insist: r.insist(), Pieces: []Piece{}, Joints: []string{}}
}

// Rows are the numbers of a receipt in words; none of one that was refused.
func (r *Receipt) Rows() []Row {
	out := []Row{}
	if r.Why == "refused" {
		return out
	}
	m := &r.Moved
	moved := "nothing"
	if m.Count > 0 {
		moved = fmt.Sprintf("%s of %s, %s at most", say.Whole(m.Count), say.Count(m.Of, "vertex", "vertices"), say.Quantity(m.Max, say.Metre))
		if m.Share > 0 {
			moved += fmt.Sprintf(" (%s of the height)", say.Percent(m.Share))
		}
	}
	out = append(out, Row{"moved at rest", moved})
	for i := range r.Measures {
		out = append(out, Row{r.Measures[i].Name, r.Measures[i].Says})
	}
	b := &r.Bytes
	views := fmt.Sprintf("%s of %s", say.Whole(len(b.Rewritten)), say.Count(b.Untouched+len(b.Rewritten), "view", "views"))
	if b.Added > 0 {
		views += fmt.Sprintf(", %s added", say.Whole(b.Added))
	}
	out = append(out, Row{"bytes rewritten", views})
	file := say.Bytes(float64(b.After))
	if was := say.Bytes(float64(b.Before)); was != file {
		file += ", was " + was
	}
	return append(out, Row{"file", file})
}

// insist lists the checks of grade flaw or stop that stand in the way, where nothing else
// does.
func (r *Receipt) insist() []string {
	m, err := Named(r.Mend)
	if err != nil || r.Kept {
		return []string{}
	}
	var ids []string
	for _, id := range r.Planted {
		if r.after(id) >= check.Flaw {
			ids = append(ids, id)
		}
	}
	with := *r
	with.Accepted, with.Why = nil, ""
	with.judge(&m, ids)
	if len(ids) == 0 || !with.Kept {
		return []string{}
	}
	return ids
}

// Words are the values that differ from what is taken without them: "distance 0.4 mm".
func (m *Mend) Words(v Values) string {
	var out []string
	for i := range m.Parameters {
		p := &m.Parameters[i]
		x, given := v[p.Name]
		if !given || fmt.Sprint(x) == fmt.Sprint(p.Default) {
			continue
		}
		name := strings.ToLower(p.Title)
		switch x := x.(type) {
		case float64:
			out = append(out, name+" "+say.Quantity(x, p.Unit))
		case bool:
			if !x {
				name = "not " + name
			}
			out = append(out, name)
		case string:
			out = append(out, name+" "+x)
		case []string:
			if len(x) > 0 {
				out = append(out, name+" "+strings.Join(x, ", "))
			}
		case map[string]string:
			if p.Kind == File {
				out = append(out, name+" “"+x["name"]+"”")
				continue
			}
			for i, k := range slices.Sorted(maps.Keys(x)) {
				if i == 2 && len(x) > 3 {
					out = append(out, fmt.Sprintf("%s more", say.Whole(len(x)-i)))
					break
				}
				out = append(out, k+" → "+x[k])
			}
		}
	}
	return strings.Join(out, ", ")
}
