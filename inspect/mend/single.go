package mend

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Single makes a plan of one mend from values as a person types them: "hips=at the fork",
// and for pairs the word behind a dot, "points.knee=0.1 0.5 0". Lists part at commas.
func Single(id string, sets []string) (*Plan, error) {
	m, err := Named(id)
	if err != nil {
		return nil, err
	}
	v := Values{}
	for _, s := range sets {
		name, text, ok := strings.Cut(s, "=")
		if !ok {
			return nil, fmt.Errorf("%s: want NAME=VALUE, got %q", id, s)
		}
		name, word, dotted := strings.Cut(name, ".")
		i := slices.IndexFunc(m.Parameters, func(p Parameter) bool { return p.Name == name })
		if i < 0 {
			v[name] = text // Complete tells which there are
			continue
		}
		kind := m.Parameters[i].Kind
		if dotted != (kind == Pairs) {
			return nil, fmt.Errorf("%s: %s takes %s, got %q", id, name, map[bool]string{true: "a word behind a dot, " + name + ".WORD=VALUE", false: "a value and no word behind a dot"}[kind == Pairs], s)
		}
		switch kind {
		case Number:
			f, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return nil, fmt.Errorf("%s: %s: want a number, got %q", id, name, text)
			}
			v[name] = f
		case Truth:
			b, err := strconv.ParseBool(text)
			if err != nil {
				return nil, fmt.Errorf("%s: %s: want true or false, got %q", id, name, text)
			}
			v[name] = b
		case List:
			v[name] = strings.Split(text, ",")
		case Pairs:
			pairs, _ := v[name].(map[string]string)
			if pairs == nil {
				pairs = map[string]string{}
				v[name] = pairs
			}
			pairs[word] = text
		default:
			v[name] = text
		}
	}
	p := &Plan{Version: planVersion, MadeWith: madeWith, Steps: []Step{{Mend: id, Parameters: v}}}
	return p, p.Check()
}
