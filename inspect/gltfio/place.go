package gltfio

import (
	"maps"
	"slices"
	"strconv"
	"strings"
)

// place writes a JSON pointer (RFC 6901) from names and list places.
func place(steps ...any) string {
	var b strings.Builder
	for _, s := range steps {
		b.WriteByte('/')
		switch s := s.(type) {
		case int:
			b.WriteString(strconv.Itoa(s))
		case string:
			b.WriteString(escapePointer(s))
		}
	}
	return b.String()
}

func escapePointer(s string) string {
	if len(s) > 80 {
		s = s[:80]
	}
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(s)
}

func sortedKeys[V any](m map[string]V) []string {
	return slices.Sorted(maps.Keys(m))
}
