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
	return strings.ReplaceAll(strings.ReplaceAll(s, "~", "~0"), "/", "~1")
}

func sortedKeys[V any](m map[string]V) []string {
	return slices.Sorted(maps.Keys(m))
}

// spot is a place inside a clip that is only written out when it is told: there
// are thousands of channels.
type spot struct {
	clip   int
	list   string // channels or samplers
	i      int
	member string
}

func (s spot) String() string {
	p := place("animations", s.clip, s.list, s.i)
	for step := range strings.SplitSeq(s.member, "/") {
		p += "/" + step
	}
	return p
}
