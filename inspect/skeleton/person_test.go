package skeleton

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// person is a skeleton of a body without a surface: where joints stand, by role. The
// right side is the mirror image unless given; fingers are there when the left ones are.
func person(places map[string]space.Vec) *rig.Rig {
	order := []struct{ role, name, parent string }{
		{"hips", "hips", ""}, {"spine", "spine", "hips"}, {"chest", "chest", "spine"}, {"neck", "neck", "chest"}, {"head", "head", "neck"},
	}
	for _, s := range []string{"left", "right"} {
		for _, b := range [][2]string{{"UpperLeg", "hips"}, {"LowerLeg", "UpperLeg"}, {"Foot", "LowerLeg"}, {"Toes", "Foot"}, {"UpperArm", "chest"}, {"LowerArm", "UpperArm"}, {"Hand", "LowerArm"}} {
			parent := b[1]
			if parent != "hips" && parent != "chest" {
				parent = s + parent
			}
			order = append(order, struct{ role, name, parent string }{s + b[0], s + "_" + b[0], parent})
		}
	}
	at := map[string]space.Vec{ // H = 1.75 m by Drillis and Contini 1966, facing +Z, T-pose
		"hips": {0, .95, 0}, "spine": {0, 1.05, 0}, "chest": {0, 1.2, 0}, "neck": {0, 1.48, 0}, "head": {0, 1.56, 0},
		"leftUpperLeg": {.09, .9275, 0}, "leftLowerLeg": {.09, .49875, .005}, "leftFoot": {.09, .06825, -.02}, "leftToes": {.09, .01, .12},
		"leftUpperArm": {.2, 1.4315, 0}, "leftLowerArm": {.5255, 1.4315, 0}, "leftHand": {.781, 1.4315, 0},
	}
	for role, p := range places {
		at[role] = p
	}
	for _, finger := range []string{"Thumb", "Index", "Middle", "Ring", "Little"} {
		links := []string{"Proximal", "Intermediate", "Distal"}
		if finger == "Thumb" {
			links = []string{"Metacarpal", "Proximal", "Distal"}
		}
		for _, s := range []string{"left", "right"} {
			parent := s + "Hand"
			for _, link := range links {
				if _, given := at["left"+finger+link]; given {
					order = append(order, struct{ role, name, parent string }{s + finger + link, s + "_" + finger + "_" + link, parent})
					parent = s + finger + link
				}
			}
		}
	}
	for role, p := range at {
		if len(role) > 4 && role[:4] == "left" {
			if _, given := at["right"+role[4:]]; !given {
				at["right"+role[4:]] = space.Vec{-p[0], p[1], p[2]}
			}
		}
	}
	r := &rig.Rig{Shown: rig.None}
	node := map[string]rig.Node{}
	for _, o := range order {
		n := rig.Node(len(r.Nodes))
		p, up := rig.Node(rig.None), space.Vec{}
		if o.parent != "" {
			p, up = node[o.parent], at[o.parent]
			r.Nodes[p].Children = append(r.Nodes[p].Children, n)
		}
		t := rig.TRS{T: [3]float64(at[o.role].Sub(up)), R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		r.Nodes = append(r.Nodes, rig.NodeData{Name: o.name, Parent: p, Mesh: rig.None, Skin: rig.None, TRS: t, Matrix: t.Affine()})
		node[o.role] = n
	}
	r.SetOrder()
	s := rig.SkinData{Skeleton: rig.None}
	for n, w := range r.RestWorld() {
		inv, _ := w.Inverse()
		s.Joints, s.Bind = append(s.Joints, rig.Node(n)), append(s.Bind, inv)
	}
	r.Skins = []rig.SkinData{s}
	return r
}

// flat are the places of a left hand in the T-pose: palm down, fingers straight out,
// the thumb level and half forward.
func flat() map[string]space.Vec {
	out := map[string]space.Vec{}
	for i, finger := range []string{"Index", "Middle", "Ring", "Little"} {
		for k, link := range []string{"Proximal", "Intermediate", "Distal"} {
			out["left"+finger+link] = space.Vec{.87 + .03*float64(k), 1.4315, .03 - .02*float64(i)}
		}
	}
	for k, link := range []string{"Metacarpal", "Proximal", "Distal"} {
		out["leftThumb"+link] = space.Vec{.80 + .025*float64(k), 1.4315, .03 + .025*float64(k)}
	}
	return out
}

func limb(f *Facts, bone string) *Limb {
	for i := range f.Limbs {
		if f.Limbs[i].Bone == bone {
			return &f.Limbs[i]
		}
	}
	return nil
}
