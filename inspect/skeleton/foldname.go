package skeleton

import (
	"context"
	"slices"
	"strings"
	"unicode"

	"rigloupe/inspect/rig"
)

// NameFact is one name that other players would change, or that stands more than
// once.
type NameFact struct {
	Name   rig.Name   `json:"name"`
	Folded string     `json:"folded_name"`
	Nodes  []rig.Node `json:"nodes"`
	Why    []string   `json:"why"` // "twice", "alike", "edge space", "not ASCII", "colon", "changed"
}

// fold reads a name as other players do: edges trimmed, what stands before the last
// colon dropped, . : / [ ] left out, blanks become _, capitals count as small letters.
func fold(name string) string {
	return strings.ToLower(foldKeepCase(name))
}

func foldKeepCase(name string) string {
	name = strings.TrimSpace(name)
	if i := strings.LastIndexByte(name, ':'); i >= 0 {
		name = strings.TrimSpace(name[i+1:])
	}
	return strings.Map(func(r rune) rune {
		switch {
		case strings.ContainsRune(".:/[]", r):
			return -1
		case unicode.IsSpace(r):
			return '_'
		}
		return r
	}, name)
}

func plain(name string) bool {
	for i := range len(name) {
		if name[i] >= 0x80 || name[i] < 0x20 {
			return false
		}
	}
	return true
}

// measureNames folds the names of joints, of what clips move and of what carries a
// mesh, and groups those that are, or become, equal.
func (f *Facts) measureNames(context.Context) error {
	f.Names = []NameFact{}
	g := f.e.Rig
	counts := make([]bool, len(g.Nodes))
	for i := range f.Joints {
		counts[f.Joints[i].Node] = true
		f.Joints[i].Folded = rig.Name(fold(string(f.Joints[i].Name)))
	}
	for c := range g.Clips {
		for i := range g.Clips[c].Channels {
			if n := g.Clips[c].Channels[i].Node; n >= 0 {
				counts[n] = true
			}
		}
	}
	for i := range g.Nodes {
		counts[i] = counts[i] || g.Nodes[i].Mesh >= 0
	}
	same, alike := map[string][]rig.Node{}, map[string][]string{}
	var order []string
	for i := range g.Nodes {
		if !counts[i] {
			continue
		}
		name := g.Nodes[i].Name
		if name == "" {
			if f.at(rig.Node(i)) != nil {
				f.NoNames = append(f.NoNames, rig.Node(i))
			}
			continue
		}
		if _, seen := same[name]; !seen {
			order = append(order, name)
			if k := fold(name); k != "" {
				alike[k] = append(alike[k], name)
			}
		}
		same[name] = append(same[name], rig.Node(i))
	}
	for _, name := range order {
		n := NameFact{Name: rig.Name(name), Folded: fold(name), Nodes: same[name], Why: []string{}}
		if len(n.Nodes) > 1 {
			n.Why = append(n.Why, "twice")
		}
		if len(alike[n.Folded]) > 1 {
			n.Why = append(n.Why, "alike")
		}
		if strings.TrimSpace(name) != name {
			n.Why = append(n.Why, "edge space")
		}
		if !plain(name) {
			n.Why = append(n.Why, "not ASCII")
		}
		if strings.Contains(name, ":") {
			n.Why = append(n.Why, "colon")
		}
		if foldKeepCase(name) != name {
			n.Why = append(n.Why, "changed")
		}
		if len(n.Why) > 0 {
			f.Names = append(f.Names, n)
		}
	}
	return nil
}

func (n *NameFact) is(why string) bool { return slices.Contains(n.Why, why) }
