package anatomy

import "strings"

// parents holds, for every bone of the centre and the left, the bones that may
// stand next above it, nearest first (VRMC_vrm-1.0, humanoid: a missing optional
// parent is skipped upwards).
var parents = map[string][]string{
	"hips":         nil,
	"spine":        {"hips"},
	"chest":        {"spine"},
	"upperChest":   {"chest"},
	"neck":         {"upperChest", "chest", "spine"},
	"head":         {"neck", "upperChest", "chest", "spine"},
	"jaw":          {"head"},
	"leftEye":      {"head"},
	"leftUpperLeg": {"hips"},
	"leftLowerLeg": {"leftUpperLeg"},
	"leftFoot":     {"leftLowerLeg"},
	"leftToes":     {"leftFoot"},
	"leftShoulder": {"upperChest", "chest", "spine", "neck"},
	"leftUpperArm": {"leftShoulder", "upperChest", "chest", "spine", "neck"},
	"leftLowerArm": {"leftUpperArm"},
	"leftHand":     {"leftLowerArm"},
}

// parentsOf answers the roles that may stand next above one.
func parentsOf(role string) []string {
	if right, ok := strings.CutPrefix(role, "right"); ok {
		up := parentsOf("left" + right)
		out := make([]string, len(up))
		for i, u := range up {
			out[i] = mirrored(u)
		}
		return out
	}
	if up, ok := parents[role]; ok {
		return up
	}
	for i, joint := range digitJoints(role) {
		if strings.HasSuffix(role, joint) {
			if i == 0 {
				return []string{"leftHand", "leftLowerArm"}
			}
			return []string{strings.TrimSuffix(role, joint) + digitJoints(role)[i-1]}
		}
	}
	return nil
}

var fingers = [...]string{"Thumb", "Index", "Middle", "Ring", "Little"}

func digitJoints(role string) []string {
	if strings.Contains(role, "Thumb") {
		return []string{"Metacarpal", "Proximal", "Distal"}
	}
	return []string{"Proximal", "Intermediate", "Distal"}
}

// isBody tells the roles of trunk, head, arms and legs from digits, eyes and jaw.
func isBody(role string) bool {
	if role == "jaw" || strings.HasSuffix(role, "Eye") {
		return false
	}
	for _, f := range fingers {
		if strings.Contains(role, f) {
			return false
		}
	}
	return true
}

// mirrored exchanges left and right in a role.
func mirrored(role string) string {
	if s, ok := strings.CutPrefix(role, "left"); ok {
		return "right" + s
	}
	if s, ok := strings.CutPrefix(role, "right"); ok {
		return "left" + s
	}
	return role
}

// sideOf is the side a role belongs to.
func sideOf(role string) Side {
	switch {
	case role == "":
		return NoSide
	case strings.HasPrefix(role, "left"):
		return Left
	case strings.HasPrefix(role, "right"):
		return Right
	}
	return Centre
}

// sided puts a side before a limb's bone name.
func sided(s Side, bone string) string {
	if s == Right {
		return "right" + bone
	}
	return "left" + bone
}

// allRoles lists the 55 bones of VRM 1.0 in a fixed order.
func allRoles() []string {
	out := []string{"hips", "spine", "chest", "upperChest", "neck", "head", "jaw"}
	for _, s := range []Side{Left, Right} {
		for _, b := range []string{"Eye", "UpperLeg", "LowerLeg", "Foot", "Toes", "Shoulder", "UpperArm", "LowerArm", "Hand"} {
			out = append(out, sided(s, b))
		}
		for _, d := range fingers {
			for _, j := range digitJoints(d) {
				out = append(out, sided(s, d+j))
			}
		}
	}
	return out
}
