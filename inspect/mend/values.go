package mend

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/say"
)

// Parameter is one dial of a mend.
type Parameter struct {
	Name    string // key in a plan: "distance"
	Title   string // "Distance"
	Says    string // one sentence: what turning it does
	Kind    Kind
	Unit    say.Unit
	Default any // float64, bool, string or []string by Kind; nil: worked out from the figure
	Least   float64
	Most    float64  // of a Number; both 0: any
	Choices []string // of a Choice
	Where   *Where   // nil: whatever the others are
}

// Where says beside which values of another parameter, a Choice or a Truth, this one does
// anything: elsewhere it is not shown.
type Where struct {
	Name string   `json:"name"`
	Is   []string `json:"is"` // "true" and "false" of a Truth
}

// where is a Where in one line of a table.
func where(name string, is ...string) *Where { return &Where{name, is} }

// Kind is the type of a parameter's value.
type Kind uint8

const (
	Number Kind = iota
	Truth
	Choice
	Text
	List  // of texts
	Pairs // texts by text
	File  // another file at hand: its name and, once it was seen, its hash (FileValue)
)

func (k Kind) String() string {
	return [...]string{"number", "truth", "choice", "text", "list", "pairs", "file"}[k]
}

// Values are what a step gives, by parameter: float64, bool, string, []string or
// map[string]string.
type Values map[string]any

// Complete checks values against the parameters of a mend and fills in defaults. Values as
// encoding/json decodes them are taken. A parameter without default and value stays away.
func (m *Mend) Complete(v Values) (Values, error) {
	out := Values{}
	for _, p := range m.Parameters {
		x, given := v[p.Name]
		if !given || x == nil {
			if p.Default != nil {
				out[p.Name] = p.Default
			}
			continue
		}
		y, err := p.take(x)
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", m.ID, p.Name, err)
		}
		out[p.Name] = y
	}
	for _, name := range slices.Sorted(maps.Keys(v)) {
		if !slices.ContainsFunc(m.Parameters, func(p Parameter) bool { return p.Name == name }) {
			var names []string
			for _, p := range m.Parameters {
				names = append(names, p.Name)
			}
			return nil, fmt.Errorf("%s: there is no parameter %q; there are %s", m.ID, name, strings.Join(names, ", "))
		}
	}
	return out, nil
}

func (p *Parameter) take(x any) (any, error) {
	bad := fmt.Errorf("want a %v, got %v", p.Kind, x)
	switch p.Kind {
	case Number:
		f, ok := x.(float64)
		if n, whole := x.(int); whole {
			f, ok = float64(n), true
		}
		switch {
		case !ok || math.IsNaN(f) || math.IsInf(f, 0):
			return nil, bad
		case p.bounded() && (f < p.Least || f > p.Most):
			return nil, fmt.Errorf("%.6g is outside %.6g to %.6g %s", f, p.Least, p.Most, p.Unit)
		}
		return f, nil
	case Truth:
		if b, ok := x.(bool); ok {
			return b, nil
		}
	case Choice:
		if s, ok := x.(string); ok {
			if slices.Contains(p.Choices, s) {
				return s, nil
			}
			return nil, fmt.Errorf("%q is none of %s", s, strings.Join(p.Choices, ", "))
		}
	case Text:
		if s, ok := x.(string); ok {
			return s, nil
		}
	case List:
		switch l := x.(type) {
		case []string:
			return l, nil
		case []any:
			out := []string{}
			for _, e := range l {
				s, ok := e.(string)
				if !ok {
					return nil, bad
				}
				out = append(out, s)
			}
			return out, nil
		}
	case File, Pairs:
		if name, is := x.(string); is && p.Kind == File {
			return FileValue(name, ""), nil
		}
		switch l := x.(type) {
		case map[string]string:
			return l, nil
		case map[string]any:
			out := map[string]string{}
			for k, e := range l {
				s, ok := e.(string)
				if !ok {
					return nil, bad
				}
				out[k] = s
			}
			return out, nil
		}
	}
	return nil, bad
}

// Number answers a number; false where none is given.
func (v Values) Number(name string) (float64, bool) { f, ok := v[name].(float64); return f, ok }

// Is, Text, List and Pairs answer values of those kinds, empty where none is given.
func (v Values) Is(name string) bool                 { b, _ := v[name].(bool); return b }
func (v Values) Text(name string) string             { s, _ := v[name].(string); return s }
func (v Values) List(name string) []string           { l, _ := v[name].([]string); return l }
func (v Values) Pairs(name string) map[string]string { m, _ := v[name].(map[string]string); return m }
