package mend

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"rigloupe/inspect/say"
)

// mendJSON is a mend as programs read it.
type mendJSON struct {
	ID         string          `json:"id"`
	Title      string          `json:"title"`
	Stage      string          `json:"stage"`
	Answers    []string        `json:"answers"`
	Beside     []string        `json:"beside"` // checks beside whose findings it is offered, and never suggested
	Does       string          `json:"does"`
	Source     string          `json:"source"`
	Parameters []parameterJSON `json:"parameters"`
}

type parameterJSON struct {
	Name    string   `json:"name"`
	Title   string   `json:"title"`
	Says    string   `json:"says"`
	Kind    string   `json:"kind"`
	Unit    say.Unit `json:"unit"`
	Default any      `json:"default"` // null: worked out from the figure
	Least   *float64 `json:"least,omitempty"`
	Most    *float64 `json:"most,omitempty"`
	Choices []string `json:"choices,omitempty"`
	Where   *Where   `json:"where,omitempty"` // does something only where another parameter is one of these
}

// WriteTable writes the table as one JSON list.
func WriteTable(w io.Writer) error {
	var out []mendJSON
	for _, m := range Table() {
		out = append(out, m.json())
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

func (m *Mend) json() mendJSON {
	j := mendJSON{m.ID, m.Title, m.Stage.String(), m.Answers, m.Beside, m.Does, m.Source, []parameterJSON{}}
	if j.Answers == nil {
		j.Answers = []string{}
	}
	if j.Beside == nil {
		j.Beside = []string{}
	}
	for _, p := range m.Parameters {
		q := parameterJSON{Name: p.Name, Title: p.Title, Says: p.Says, Kind: p.Kind.String(), Unit: p.Unit, Default: p.Default, Choices: p.Choices, Where: p.Where}
		if p.bounded() {
			q.Least, q.Most = &p.Least, &p.Most
		}
		j.Parameters = append(j.Parameters, q)
	}
	return j
}

func (p *Parameter) bounded() bool { return p.Kind == Number && (p.Least != 0 || p.Most != 0) }

// Range is what a parameter takes, in words: "number, 0 to 1 m, 0.1 when left out".
func (p *Parameter) Range() string {
	s := p.Kind.String()
	if p.Kind == Choice {
		s = strings.Join(p.Choices, " or ")
	}
	if p.bounded() {
		s += strings.TrimRight(fmt.Sprintf(", %.6g to %.6g %s", p.Least, p.Most, p.Unit), " ")
	}
	if p.Default == nil {
		return s + ", from the figure when left out"
	}
	if p.Default == "" {
		return s + ", none when left out"
	}
	if l, is := p.Default.([]string); is && len(l) == 0 {
		return s + ", none when left out"
	}
	return s + fmt.Sprintf(", %v when left out", p.Default)
}
