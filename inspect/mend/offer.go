package mend

import (
	"encoding/json"
	"slices"

	"rigloupe/inspect"
)

// Offer is a mend as it is offered for an examined figure: its row of the table, and the
// values with which the findings call for it, the best first.
type Offer struct {
	mendJSON
	Calls []Call `json:"calls"`
}

// Call is one set of values, complete but for what is worked out from the figure, and the
// checks that a step with them is about.
type Call struct {
	Values Values   `json:"values"`
	Aims   []string `json:"aims"`
}

// Offers lists every mend, in the order of the work.
func Offers(r *inspect.Result) []Offer {
	found := Look(r)
	out := []Offer{}
	for _, m := range Table() {
		o := Offer{mendJSON: m.json(), Calls: []Call{}}
		if m.Suggest != nil {
			for _, v := range m.Suggest(found) {
				if v, err := m.Complete(v); err == nil {
					o.Calls = append(o.Calls, Call{v, m.aims(v)})
				}
			}
		}
		out = append(out, o)
	}
	return out
}

// aims are the checks that a step with these values is about.
func (m *Mend) aims(v Values) []string {
	if m.Aims != nil {
		return m.Aims(v)
	}
	return slices.Clone(m.Answers)
}

// ParseValues reads the values of one step.
func ParseValues(data []byte) (v Values, err error) {
	if len(data) == 0 {
		return nil, nil
	}
	err = json.Unmarshal(data, &v)
	return v, err
}
