package anatomy

import (
	"strings"

	"rigloupe/inspect/rig"
)

// Next answers the joint at which the bone of a role ends: the one of the next role
// outwards along the limb or upwards along the trunk; None where the rig has none.
func (r *Roles) Next(role string) rig.Node {
	if role == "hips" {
		return r.Node("spine")
	}
	for _, up := range upwards[role] {
		if n := r.Node(up); n >= 0 {
			return n
		}
	}
	if side := sideOf(role); side == Left || side == Right {
		if next := outwards[strings.TrimPrefix(strings.TrimPrefix(role, "left"), "right")]; next != "" {
			return r.Node(sided(side, next))
		}
	}
	return rig.None
}

// ParentRole answers the nearest role above one that the rig has: what its joint
// must hang on (VRMC_vrm-1.0, humanoid: a missing optional bone is skipped upwards).
// "" for hips, and where none of them is there.
func (r *Roles) ParentRole(role string) string {
	for steps := 0; steps < 8; steps++ {
		up := parentsOf(role)
		if len(up) == 0 {
			return ""
		}
		for _, p := range up {
			if r.Node(p) >= 0 {
				return p
			}
		}
		role = up[len(up)-1]
	}
	return ""
}

// Required are the roles that every figure of VRM 1.0 has.
func Required() []string {
	out := []string{"hips", "spine", "head"}
	for _, b := range []string{"UpperLeg", "LowerLeg", "Foot", "UpperArm", "LowerArm", "Hand"} {
		out = append(out, "left"+b, "right"+b)
	}
	return out
}

// AllRoles lists the 55 bones of VRM 1.0 in a fixed order.
func AllRoles() []string { return allRoles() }

// IsBodyRole tells roles of trunk, head, arms and legs from digits, eyes and jaw.
func IsBodyRole(role string) bool { return role != "" && isBody(role) }

// Mirrored exchanges left and right in a role.
func Mirrored(role string) string { return mirrored(role) }

// ParentsOf answers the roles that may stand next above one, nearest first.
func ParentsOf(role string) []string { return parentsOf(role) }
