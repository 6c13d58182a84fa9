package skeleton

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Breach is one way in which declared roles break the standard, or a hand or foot is
// off the T-pose it asks for.
type Breach struct {
	Limit string   `json:"limit"` // of the check
	Node  rig.Node `json:"node"`
	Role  string   `json:"role"`
	What  string   `json:"what"` // in words
	Value float64  `json:"value"`
}

func sortedRoles(m map[string]rig.Node) []string { return slices.Sorted(maps.Keys(m)) }

// measureDeclared looks at the map of roles that the file holds itself.
func (f *Facts) measureDeclared(context.Context) error {
	h := &f.e.Rig.Humanoid
	if len(h.Bones) == 0 {
		return nil
	}
	roleOf := map[rig.Node]string{}
	add := func(limit string, n rig.Node, role, what string, value float64) {
		f.Breaches = append(f.Breaches, Breach{limit, n, role, what, value})
	}
	ok := func(role string) (rig.Node, bool) {
		n, has := h.Bones[role]
		return n, has && n >= 0 && int(n) < len(f.e.Rig.Nodes)
	}
	for _, role := range sortedRoles(h.Bones) {
		n, fine := ok(role)
		if !fine {
			continue
		}
		if other, twice := roleOf[n]; twice {
			add("breaches", n, role, fmt.Sprintf("%s and %s are one node", words(other), words(role)), 1)
			continue
		}
		roleOf[n] = role
	}
	for _, role := range anatomy.AllRoles() {
		n, fine := ok(role)
		if !fine {
			continue
		}
		if up := f.declaredParent(role, ok); up != "" {
			want, _ := ok(up)
			if got := f.declaredAbove(n, roleOf); got != want {
				found := "nothing declared"
				if got >= 0 {
					found = "the " + words(roleOf[got])
				}
				add("breaches", n, role, fmt.Sprintf("%s hangs on %s, not on the %s", words(role), found, words(up)), 1)
			}
		}
	}
	need := anatomy.Required()
	if h.Version == "0" {
		need = append(need, "chest", "neck")
	}
	for _, role := range need {
		if _, fine := ok(role); !fine {
			add("breaches", rig.None, role, words(role)+" is required and not declared", 1)
		}
	}
	f.declaredScales(roleOf, add)
	f.tPose(add)
	return nil
}

// declaredParent is the nearest declared role that must stand above one.
func (f *Facts) declaredParent(role string, ok func(string) (rig.Node, bool)) string {
	for range 8 {
		up := anatomy.ParentsOf(role)
		if len(up) == 0 {
			return ""
		}
		for _, p := range up {
			if _, fine := ok(p); fine {
				return p
			}
		}
		role = up[len(up)-1]
	}
	return ""
}

// declaredAbove is the nearest node above that is declared as something, None.
func (f *Facts) declaredAbove(n rig.Node, roleOf map[rig.Node]string) rig.Node {
	for p := f.e.Rig.Nodes[n].Parent; p >= 0; p = f.e.Rig.Nodes[p].Parent {
		if _, is := roleOf[p]; is {
			return p
		}
	}
	return rig.None
}

// declaredScales: scales of declared bones are positive and uniform.
func (f *Facts) declaredScales(roleOf map[rig.Node]string, add func(string, rig.Node, string, string, float64)) {
	for _, n := range slices.Sorted(maps.Keys(roleOf)) {
		d := &f.e.Rig.Nodes[n]
		s := d.S
		if d.HasMatrix {
			s = d.Matrix.Scales()
		}
		lo, hi := min(s[0], s[1], s[2]), max(s[0], s[1], s[2])
		role := roleOf[n]
		switch {
		case lo == 0 || hi == 0 || lo != lo || hi != hi:
			add("zero", n, role, words(role)+" has scale zero", 0)
		case lo < 0:
			add("breaches", n, role, words(role)+" has a negative scale", 1)
		case hi > lo*(1+1e-3):
			add("breaches", n, role, fmt.Sprintf("%s has uneven scales, %s to %s", words(role), say.Plain(lo), say.Plain(hi)), 1)
		}
	}
}

// tPose measures hands and feet against the T-pose of VRM 1.0: palms down, fingers
// along X, thumbs level between X and +Z, feet along +Z, soles at y = 0. Only where
// the arms are level: elsewhere the rest pose is another, as 1.0 allows.
func (f *Facts) tPose(add func(string, rig.Node, string, string, float64)) {
	if f.ArmPose.Class == nil || *f.ArmPose.Class != "T" {
		return
	}
	front := space.Vec{0, 0, 1}
	if f.e.Rig.Humanoid.Version == "0" {
		front = space.Vec{0, 0, -1}
	}
	left := space.Vec{0, 1, 0}.Cross(front)
	at := func(role string) *space.Vec { return f.rolePlace(role) }
	for _, side := range []string{"left", "right"} {
		out := left
		if side == "right" {
			out = left.Mul(-1)
		}
		w, i, l := at(side+"Hand"), at(side+"IndexProximal"), at(side+"LittleProximal")
		if w != nil && i != nil && l != nil {
			n := palmNormal(side == "left", *w, *i, *l)
			add("palm", f.roles.Node(side+"Hand"), side+"Hand", side+" palm off straight down", mgl64.RadToDeg(space.Angle(n, space.Vec{0, -1, 0})))
		}
		for _, finger := range []string{"Index", "Middle", "Ring", "Little"} {
			a, b := at(side+finger+"Proximal"), at(side+finger+"Intermediate")
			if a != nil && b != nil && b.Sub(*a).Len() > 0 {
				add("finger", f.roles.Node(side+finger+"Proximal"), side+finger+"Proximal", side+" "+strings.ToLower(finger)+" finger off straight out", mgl64.RadToDeg(space.Angle(b.Sub(*a), out)))
			}
		}
		a, b := at(side+"ThumbProximal"), at(side+"ThumbDistal")
		if a != nil && b != nil && b.Sub(*a).Len() > 0 {
			// Between X and +Z: the angle to the level quarter between out and front.
			d := space.Direction(b.Sub(*a))
			q := space.Vec{0, 0, 0}.Add(out.Mul(max(0, d.Dot(out)))).Add(front.Mul(max(0, d.Dot(front))))
			off := 90.0
			if q.Len() > 0 {
				off = mgl64.RadToDeg(space.Angle(d, q))
			}
			add("thumb", f.roles.Node(side+"ThumbProximal"), side+"ThumbProximal", side+" thumb off level between out and forward", off)
		}
		a, b = at(side+"Foot"), at(side+"Toes")
		if a != nil && b != nil {
			d := b.Sub(*a)
			d[1] = 0
			if d.Len() > 0 {
				add("foot", f.roles.Node(side+"Foot"), side+"Foot", side+" foot off straight ahead", mgl64.RadToDeg(space.Angle(d, front)))
			}
		}
	}
	if lowest := f.floor(space.Vec{0, 1, 0}); f.Height > 0 && !math.IsInf(lowest, 0) {
		add("sole", f.roles.Node("hips"), "hips", "soles off y = 0", math.Abs(lowest)/f.Height)
	}
}
