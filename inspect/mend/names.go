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

// rename changes the names of nodes and counts them. What is asked for by hand comes first and
// keeps its name; roles next; then those that have their name already; last what must change.
func rename(w *Work, nodes []rig.NodeData) (n int, err error) {
	names := &naming{w: w, wish: make([]string, len(nodes)), taken: map[string]rig.Node{}}
	if err := names.byHand(); err != nil {
		return 0, err
	}
	if w.Values.Is("roles") {
		names.byRole()
	}
	names.others()
	for i, wish := range names.wish {
		if wish != nodes[i].Name && wish != "" {
			w.tellName(nodes[i].Name, wish, n)
			nodes[i].Name = wish
			n++
		}
	}
	if n > firstNames {
		w.Say("%d more names changed.", n-firstNames)
	}
	return n, nil
}

// naming gives out names.
type naming struct {
	w     *Work
	wish  []string            // by node; "": not yet
	taken map[string]rig.Node // by folded name, who has it
}

// folded is what two names must differ in.
func folded(name string) string { return strings.ToLower(plainName(name)) }

func (g *naming) byHand() error {
	hand := g.w.Values.Pairs("names")
	of := map[rig.Node]string{}
	for _, old := range slices.Sorted(maps.Keys(hand)) {
		node, err := findNode(g.w.Rig, old)
		if err != nil {
			return g.w.Refuse("%s.", sentence(err))
		}
		of[node] = hand[old]
	}
	for _, node := range slices.Sorted(maps.Keys(of)) {
		name := folded(of[node])
		if o, has := g.taken[name]; has {
			return g.w.Refuse("%q is asked for twice, for nodes %d and %d.", of[node], o, node)
		}
		g.wish[node], g.taken[name] = of[node], node
	}
	return nil
}

func (g *naming) byRole() {
	roles := g.w.Exam.Roles()
	for i := range g.wish {
		role := roles.Of[i].Role
		if role == "" || g.wish[i] != "" || roles.Node(role) != rig.Node(i) {
			continue
		}
		if o, has := g.taken[folded(role)]; has {
			g.w.Leave("%q cannot be named %s: node %d is named so by hand.", g.w.Rig.Nodes[i].Name, role, o)
			continue
		}
		g.wish[i], g.taken[folded(role)] = role, rig.Node(i)
	}
}

// others names the rest in two rounds: those that keep their name take it first.
func (g *naming) others() {
	r := g.w.Rig
	moved := r.Moved(r.Joints())
	order := g.jointsFirst()
	for _, again := range []bool{false, true} {
		for _, i := range order {
			counts := moved[i] || r.Nodes[i].Mesh >= 0
			switch {
			case g.wish[i] != "":
			case counts:
				g.one(i, again)
			case again:
				g.wish[i] = r.Nodes[i].Name
			}
		}
	}
}

// jointsFirst is the order of nodes with joints before what carries a mesh: players bind
// joints by name.
func (g *naming) jointsFirst() []int {
	joint := g.w.Rig.Joints()
	order := make([]int, len(g.wish))
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
	return order
}

// one names a node that counts; again: in the second round.
func (g *naming) one(i int, again bool) {
	w, old := g.w, g.w.Rig.Nodes[i].Name
	name := old
	if w.Values.Is("plain") {
		name = plainName(name)
	}
	if name == "" {
		if !w.Values.Is("own") {
			return
		}
		name = called(w.Rig, w.Exam.Roles(), i)
	}
	_, has := g.taken[folded(name)]
	switch {
	case has && w.Values.Is("own"):
		if !again && name == old {
			return
		}
		name = g.free(name)
	case !again && name != old:
		return
	}
	g.wish[i] = name
	if _, has := g.taken[folded(name)]; !has {
		g.taken[folded(name)] = rig.Node(i)
	}
}

// free is a name with the first number from 2 on behind it that nobody has.
func (g *naming) free(name string) string {
	for k := 2; ; k++ {
		next := fmt.Sprintf("%s_%d", name, k)
		if _, has := g.taken[folded(next)]; !has {
			return next
		}
	}
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
