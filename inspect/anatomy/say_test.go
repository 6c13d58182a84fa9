package anatomy

import "testing"

func TestRoleWords(t *testing.T) {
	for role, want := range map[string]string{
		"hips": "hips", "upperChest": "upper chest", "leftUpperArm": "left upper arm",
		"rightThumbMetacarpal": "right thumb metacarpal", "leftLittleIntermediate": "left little intermediate", "": "",
	} {
		if got := RoleWords(role); got != want {
			t.Errorf("%s: %q, want %q", role, got, want)
		}
	}
}
