package exam

import (
	"fmt"
	"strings"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// NodeName is the name of a node as words: quoted, since it is text from a file,
// or its number where the file gives none.
func (e *Exam) NodeName(n rig.Node) string { return Called(e.Rig.Nodes[n].Name, n) }

// Called is a node of a name as words: quoted, or its number where it has none.
func Called(name string, n rig.Node) string {
	if name != "" {
		return fmt.Sprintf("%q", name)
	}
	return fmt.Sprintf("node %d", n)
}

// SurfaceName is what a person calls a surface: the name of its node, else of its
// mesh, else its node's number.
func (e *Exam) SurfaceName(surface int) string {
	s := e.Rig.Surfaces[surface]
	if e.Rig.Nodes[s.Node].Name == "" && e.Rig.Meshes[s.Mesh].Name != "" {
		return fmt.Sprintf("surface %q", e.Rig.Meshes[s.Mesh].Name)
	}
	return "surface " + e.NodeName(s.Node)
}

// MostListed names stand in words; the rest is counted.
const MostListed = 3

// Listed joins names as words: "a, b and c", "a, b, c and 4 more".
func Listed(names []string) string {
	const most = MostListed
	switch n := len(names); {
	case n == 0:
		return ""
	case n == 1:
		return names[0]
	case n <= most:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	default:
		return fmt.Sprintf("%s and %s more", strings.Join(names[:most], ", "), say.Whole(n-most))
	}
}

// Lacks says that a file has none of what: since its extension that packs them is
// not unpacked here, or because there is none.
func Lacks(what string, notHonored []string) string {
	for _, x := range notHonored {
		switch x {
		case "KHR_draco_mesh_compression":
			return "the shape is compressed (" + x + "), which is not unpacked here: save it without compression"
		}
	}
	return "no " + what + " in this file"
}
