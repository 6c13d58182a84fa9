package skeleton

import (
	"cmp"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// mostDetour is how much longer the way over a joint may be than the straight one for
// the joint to stand between two others; offEnds is how far it must be from both, as a
// share of the way.
const (
	mostDetour  = 0.08
	offEnds     = 0.1
	mostSwapped = 1500 // pairs, each held against each, three times over
)

// measureBetween finds for every joint with a role the one without that stands between
// it and the joint its role hangs on: a metacarpal before the phalanges. Each serves one
// joint: the one that hangs on it, else one whose finger it is named after, else where
// the detour is least. Helpers that only turn with a bone are no place to hang a limb on.
func (f *Facts) measureBetween() {
	type pair struct {
		n, c, up rig.Node
		rank     int
		detour   float64
	}
	var pairs []pair
	f.between, f.betweens = map[rig.Node]rig.Node{}, map[rig.Node][2]rig.Node{}
	if len(f.Joints) > mostBetween {
		return
	}
	for _, role := range anatomy.AllRoles() {
		n := f.roles.Node(role)
		up := f.roles.Node(f.roles.ParentRole(role))
		a, b := f.at(up), f.at(n)
		if a == nil || b == nil || !a.Placed || !b.Placed {
			continue
		}
		way := a.Position.Sub(b.Position).Len()
		for i := range f.Joints {
			j := &f.Joints[i]
			if j.Role != nil || !(j.Influence > 0) || !j.Placed || isHelper(j) {
				continue
			}
			if s := f.roles.Of[j.Node].Side; s != f.roles.Of[n].Side && (s == anatomy.Left || s == anatomy.Right) {
				continue
			}
			before, after := a.Position.Sub(j.Position).Len(), j.Position.Sub(b.Position).Len()
			p := pair{n, j.Node, up, 2, (before + after) / way}
			if !(p.detour <= 1+mostDetour) || before < offEnds*way || after < offEnds*way || f.isBelow(j.Node, n) {
				continue
			}
			switch own, other := fingerOf(string(j.Name)), fingerOf(role); {
			case b.Parent != nil && *b.Parent == j.Node:
				p.rank = 0
			case own != "" && own != other:
				continue
			case own != "":
				p.rank = 1
			}
			pairs = append(pairs, p)
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.detour, b.detour))
	})
	for _, p := range pairs {
		_, served := f.between[p.n]
		_, taken := f.betweens[p.c]
		if !served && !taken {
			f.between[p.n], f.betweens[p.c] = p.c, [2]rig.Node{p.up, p.n}
		}
	}
	// Of joints that places alone gave away, two change over where both ways together
	// become shorter: the bones of a palm lie side by side and do not cross.
	own := map[[2]rig.Node]bool{}
	for _, p := range pairs {
		own[[2]rig.Node{p.n, p.c}] = p.rank == 2
	}
	gap := func(n, c rig.Node) float64 { return f.at(n).Position.Sub(f.at(c).Position).Len() }
	for range min(3, mostSwapped/max(1, len(pairs))) {
		for i, p := range pairs {
			for _, q := range pairs[i+1:] {
				a, b := f.between[p.n], f.between[q.n]
				if p.up != q.up || p.n == q.n || p.c != a || q.c != b ||
					!own[[2]rig.Node{p.n, a}] || !own[[2]rig.Node{q.n, b}] || !own[[2]rig.Node{p.n, b}] || !own[[2]rig.Node{q.n, a}] {
					continue
				}
				if gap(p.n, b)+gap(q.n, a) < gap(p.n, a)+gap(q.n, b) {
					f.between[p.n], f.between[q.n] = b, a
					f.betweens[b], f.betweens[a] = [2]rig.Node{p.up, p.n}, [2]rig.Node{p.up, q.n}
				}
			}
		}
	}
}

// fingerOf is the finger that a name or role says, as the roles have it; "" where none.
func fingerOf(name string) string {
	name = strings.ToLower(name)
	for _, w := range [][2]string{{"thumb", "thumb"}, {"index", "index"}, {"middle", "middle"}, {"ring", "ring"}, {"little", "little"}, {"pinky", "little"}} {
		if strings.Contains(name, w[0]) {
			return w[1]
		}
	}
	return ""
}

// isHelper tells joints that turn with a bone, or are handles, by their names.
func isHelper(j *Joint) bool {
	name := strings.ToLower(string(j.Name))
	for _, word := range []string{"twist", "roll", "helper", "pole", "target", "ctrl", "control", "ik"} {
		if strings.Contains(name, word) {
			return true
		}
	}
	return false
}

// leadsTo tells that a joint would hang on another, at any depth, once the chains that
// were listed so far hang where they are said to.
func (f *Facts) leadsTo(n, on rig.Node) bool {
	for left := len(f.Joints); n >= 0 && left > 0; left-- {
		if n == on {
			return true
		}
		up := f.jointParent(n)
		if i := slices.IndexFunc(f.Loose, func(l Loose) bool { return l.Root == n }); i >= 0 {
			up = f.Loose[i].HangOn
		}
		n = up
	}
	return false
}

// toBone is how far a joint stands from the bone of another, nil when it cannot be
// told.
func (f *Facts) toBone(j, of *Joint) *float64 {
	if of == nil || !j.Placed || !of.Placed {
		return nil
	}
	end := of.Position
	if t := f.at(of.Towards); t != nil && t.Placed {
		end = t.Position
	}
	return number(space.ToSegment(j.Position, of.Position, end))
}
