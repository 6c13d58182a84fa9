package skeleton

import (
	"fmt"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var bindLost = check.Check[Facts]{
	ID:      "skeleton/bind-lost",
	Title:   "Bind matrices lost",
	Measure: "joints with influence whose inverse bind matrix is absent or the identity, while they rest elsewhere than at the stored origin and their part of the surface lies where they rest; share of the skin's vertices that stand off their place by more than 2 % of the diagonal",
	Limits: []check.Limit{
		{Name: "torn", Unit: say.Share, Value: 0.1, Grade: check.Stop},
		{Name: "joints", Unit: say.Joints, Value: 0, Grade: check.Flaw},
	},
	Why: "The inverse bind matrix says where a joint stood when the surface was bound to it. " +
		"Without it every vertex is carried by the whole way of its joint from the origin, and the surface flies apart.",
	Remedy: "Write the file again from the program in which the figure was bound, with bind matrices.\n" +
		"If only the file is left and the figure rests as it was bound, each joint's matrix is the inverse of its own place in the world.",
	Source: "glTF 2.0, Skins (absent matrices are the identity); the limits are common practice, no source",
	Needs:  needsBinds,
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.BindWrong {
			w := &f.BindWrong[i]
			if w.What != bindMissing && w.What != bindIdentity {
				continue
			}
			found := f.bindFound(d, w)
			if found == nil {
				continue
			}
			found.Subject = fmt.Sprintf("skin %d: %s", w.Skin, f.names(w.Joints))
			if w.What == bindMissing {
				found.Subject = fmt.Sprintf("skin %d gives no matrices, for %s", w.Skin, say.Count(len(w.Joints), "joint", "joints"))
			} else if len(w.Joints) == w.Of {
				found.Subject = fmt.Sprintf("skin %d: the same matrix for all %s", w.Skin, say.Count(w.Of, "joint", "joints"))
			}
		}
	},
}

// bindFound files one wrong list of matrices: torn, or at least there.
func (f *Facts) bindFound(d *check.Docket, w *BindWrong) *check.Finding {
	torn, joints := d.Limit("torn"), d.Limit("joints")
	n := float64(len(w.Joints))
	var found *check.Finding
	switch {
	case w.Torn > torn.Value:
		found = d.Found(torn, "share off its place", w.Torn, f.onSkin(w.Skin, w.Joints))
		found.Measures = append(found.Measures, check.Also("joints", n, say.Joints))
	case n > joints.Value:
		found = d.Found(joints, "joints", n, f.onSkin(w.Skin, w.Joints))
		found.Measures = append(found.Measures, check.Also("share off its place", w.Torn, say.Share))
	default:
		return nil
	}
	found.Measures = append(found.Measures, check.Also("joints with influence", float64(w.Of), say.Joints))
	return found
}

// needsBinds is why matrices cannot be looked at.
func needsBinds(f *Facts) string {
	if reason := needsJoints(f); reason != "" {
		return reason
	}
	if !f.followed() {
		return "no surface follows a skin"
	}
	return ""
}

// followed tells that a surface follows a skin.
func (f *Facts) followed() bool {
	return slices.ContainsFunc(f.Binds, func(b SkinBind) bool { return b.Surfaces > 0 })
}
