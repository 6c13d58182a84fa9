package mend

import (
	"fmt"
	"strconv"
	"strings"

	"rigloupe/inspect/rig"
)

// What names vertices by content is undone here: a name leads back to its vertex.

// ParseVertexName reads what String writes. The surface may hold any sign.
func ParseVertexName(s string) (n VertexName, err error) {
	at := strings.LastIndex(s, "@")
	if at < 0 {
		return n, fmt.Errorf("vertex %q: want surface@x,y,z", s)
	}
	rest, ordinal, has := strings.Cut(s[at+1:], "!")
	if has {
		if n.Ordinal, err = strconv.Atoi(ordinal); err != nil {
			return n, fmt.Errorf("vertex %q: %q is no number", s, ordinal)
		}
	}
	parts := strings.Split(rest, ",")
	if len(parts) != 3 {
		return n, fmt.Errorf("vertex %q: want surface@x,y,z", s)
	}
	for i, p := range parts {
		x, err := strconv.ParseFloat(p, 32)
		if err != nil {
			return n, fmt.Errorf("vertex %q: %q is no number", s, p)
		}
		n.Place[i] = float32(x)
	}
	n.Surface = s[:at]
	return n, nil
}

// FindVertex answers the surface and vertex of a name; false where there is none.
func FindVertex(r *rig.Rig, n VertexName) (surface int, v rig.Vertex, ok bool) {
	if surface = SurfaceNamed(r, n.Surface); surface < 0 {
		return -1, rig.None, false
	}
	p := r.Meshes[r.Surfaces[surface].Mesh].Positions
	left := n.Ordinal
	for o := range len(p) / 3 {
		if equalPlace(p[3*o:3*o+3], n.Place) {
			if left == 0 {
				return surface, rig.Vertex(o), true
			}
			left--
		}
	}
	return surface, rig.None, false
}
