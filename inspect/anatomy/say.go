package anatomy

import (
	"strings"
	"unicode"
)

// RoleWords is a role as a person says it: "left upper arm" for leftUpperArm. The
// identifiers are VRM 1.0's; files and JSON keep them.
func RoleWords(role string) string {
	var b strings.Builder
	for _, r := range role {
		if unicode.IsUpper(r) {
			b.WriteByte(' ')
			r = unicode.ToLower(r)
		}
		b.WriteRune(r)
	}
	return b.String()
}
