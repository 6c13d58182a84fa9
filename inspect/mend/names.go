package mend

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var nameRoles = Mend{
	ID:      "names",
	Title:   "Name joints",
	Stage:   Clean,
	Answers: []string{"skeleton/name-clash", "skeleton/fragile-name"},
	Does: "Names that stand twice, or that players change or confuse, become names of their own in plain letters. On request joints with a role of a body get its name in VRM 1.0 " +
		"(\"leftUpperArm\"). Clips, skins and constraints of a glTF file go by number and follow by themselves; programs that look for the old names do not.",
	Source: "VRM 1.0, Humanoid (names of the bones); that players bind by name and fold names: common practice, no source",
	Parameters: []Parameter{
		{Name: "own", Title: "Names of their own", Kind: Truth, Default: true, Says: "Of equal names, also those that differ in capitals alone, all but the first get a number; what has no name gets that of its role or its parent."},
		{Name: "plain", Title: "Plain letters", Kind: Truth, Default: true, Says: "What stands before a colon goes, blanks, . and / become _, other signs go, accents too."},
		{Name: "roles", Title: "Names of roles", Kind: Truth, Default: false, Says: "Joints with a role get its name in VRM 1.0."},
		{Name: "names", Title: "By hand", Kind: Pairs, Says: "New names by old ones, or by #number of the node."},
	},
	Suggest: func(f *Findings) []Values {
		switch {
		case len(f.Of("skeleton/fragile-name")) > 0:
			return []Values{{}}
		case len(f.Of("skeleton/name-clash")) > 0:
			return []Values{{"plain": false}}
		}
		return nil
	},
	Apply: func(w *Work) error {
		r := w.Rig
		is := *r
		is.Nodes = slices.Clone(r.Nodes)
		n, err := rename(w, is.Nodes)
		if err != nil {
			return err
		}
		if n == 0 {
			return w.Refuse("Every name is plain and its node's own.")
		}
		w.Measure(check.Also("renamed", float64(n), say.Nodes))
		return w.Write(&is, nil)
	},
}

// rename changes the names of nodes and counts them.
func rename(w *Work, nodes []rig.NodeData) (n int, err error) {
	r := w.Rig
	moved := r.Moved(r.Joints())
	counts := func(i int) bool { return moved[i] || r.Nodes[i].Mesh >= 0 }
	byHand := map[rig.Node]string{}
	hand := w.Values.Pairs("names")
	for _, old := range slices.Sorted(maps.Keys(hand)) {
		node, err := findNode(r, old)
		if err != nil {
			return 0, w.Refuse("%s.", sentence(err))
		}
		byHand[node] = hand[old]
	}
	wish := make([]string, len(nodes))
	// What is asked for comes first and keeps its name; roles next; then those that have
	// their name already; last what must change.
	taken := map[string]rig.Node{}
	fold := func(s string) string { return strings.ToLower(plainName(s)) }
	for _, node := range slices.Sorted(maps.Keys(byHand)) {
		if o, has := taken[fold(byHand[node])]; has {
			return 0, w.Refuse("%q is asked for twice, for nodes %d and %d.", byHand[node], o, node)
		}
		wish[node] = byHand[node]
		taken[fold(wish[node])] = node
	}
	roles := w.Exam.Roles()
	if w.Values.Is("roles") {
		for i := range nodes {
			role := roles.Of[i].Role
			if role == "" || wish[i] != "" || roles.Node(role) != rig.Node(i) {
				continue
			}
			if o, has := taken[fold(role)]; has {
				w.Leave("%q cannot be named %s: node %d is named so by hand.", r.Nodes[i].Name, role, o)
				continue
			}
			wish[i] = role
			taken[fold(role)] = rig.Node(i)
		}
	}
	// Joints before what carries a mesh: players bind joints by name.
	joint := r.Joints()
	order := make([]int, len(nodes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case joint[a] == joint[b]:
			return 0
		case joint[a]:
			return -1
		}
		return 1
	})
	for _, again := range []bool{false, true} {
		for _, i := range order {
			if wish[i] != "" || !counts(i) && !again {
				continue
			}
			name := r.Nodes[i].Name
			if !counts(i) {
				wish[i] = name
				continue
			}
			if w.Values.Is("plain") {
				name = plainName(name)
			}
			if name == "" {
				if !w.Values.Is("own") {
					continue
				}
				name = called(r, roles, i)
			}
			_, has := taken[fold(name)]
			if has && w.Values.Is("own") {
				if !again && name == r.Nodes[i].Name {
					continue // those that keep theirs take it first
				}
				for k := 2; has; k++ {
					next := fmt.Sprintf("%s_%d", name, k)
					if _, has = taken[fold(next)]; !has {
						name = next
					}
				}
			} else if !again && name != r.Nodes[i].Name {
				continue
			}
			wish[i] = name
			if _, has := taken[fold(name)]; !has {
				taken[fold(name)] = rig.Node(i)
			}
		}
	}
	for i := range nodes {
		if wish[i] != nodes[i].Name && wish[i] != "" {
			w.tellName(nodes[i].Name, wish[i], n)
			nodes[i].Name = wish[i]
			n++
		}
	}
	if n > firstNames {
		w.Say("%d more names changed.", n-firstNames)
	}
	return n, nil
}

// firstNames are told one by one; the rest are counted, and stand in the file.
const firstNames = 12

// tellName says the first names that change.
func (w *Work) tellName(old, is string, n int) {
	if n < firstNames {
		w.Say("%q is %q now.", old, is)
	}
}

// called is a name for a node without any: its role, else its parent's and a number.
func called(r *rig.Rig, roles *anatomy.Roles, i int) string {
	if role := roles.Of[i].Role; role != "" {
		return role
	}
	if p := r.Nodes[i].Parent; p >= 0 && plainName(r.Nodes[p].Name) != "" {
		return plainName(r.Nodes[p].Name) + "_below"
	}
	return "joint"
}

// accents are letters with the plain ones they are written with where there are no others.
var accents = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ß", "ss", "é", "e", "è", "e", "ê", "e", "ë", "e",
	"á", "a", "à", "a", "â", "a", "ã", "a", "å", "a", "í", "i", "ì", "i", "î", "i", "ï", "i", "ó", "o", "ò", "o", "ô", "o", "õ", "o", "ú", "u", "ù", "u", "û", "u", "ñ", "n", "ç", "c", "ø", "o", "æ", "ae", "œ", "oe")

// plainName keeps letters and digits of ASCII, - and _; blanks, . and / become _, all else
// goes.
func plainName(s string) string {
	if i := strings.LastIndexByte(s, ':'); i >= 0 {
		s = s[i+1:]
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '-' || r == '_' || r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)):
			return r
		case unicode.IsSpace(r) || strings.ContainsRune("./", r): // ".L" stays a side
			return '_'
		}
		return -1
	}, accents.Replace(strings.TrimSpace(s)))
}
