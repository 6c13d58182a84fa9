package surface

import (
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Sides compare the two halves of the figure, for whoever will keep one and mirror
// it.
type Sides struct {
	Halves [2]Half `json:"halves"`
	Keep   string  `json:"keep"`   // name of the better half; "": nothing tells them apart
	Reason string  `json:"reason"` // in words, whatever Keep says

	// MayHalve tells that one half may be cut off and made anew of the other: nothing is
	// bound yet, and joints or the surface tell a figure that has two sides.
	MayHalve bool `json:"may_halve"`
}

// Half is what lies on one side of the mirror plane. What lies on the plane is in
// neither.
type Half struct {
	Name     string `json:"name"`     // "left" and "right" are the figure's own; else "+X", "−Y" …: where in the world it lies
	Vertices int    `json:"vertices"` // welded, those that a triangle uses
	Faults   int    `json:"faults"`   // boundary loops, branching and mixed edges, near pairs, triangles without area, normals that point inwards
}

// onPlane is how far from the plane something belongs to a half, × diagonal.
const onPlane = 1e-4

// fewVertices is the share by which the vertices of the halves may differ while
// faults have more say: less is a detail, more is a part (common practice, no source).
const fewVertices = 0.05

// halfAt is the half, 0 or 1, of what lies so far off the plane, in a figure of a size; −1: on the plane.
func halfAt(off, size float64) int {
	switch {
	case off > onPlane*size:
		return 0
	case off < -onPlane*size:
		return 1
	}
	return -1
}

// compareSides counts the halves and argues which one to keep.
func (f *Facts) compareSides(e *exam.Exam) *Sides {
	m := f.mirror
	s := &Sides{MayHalve: !e.Bound() && e.TwoSided()}
	s.Halves[0].Name, s.Halves[1].Name = e.SideNames()
	half := func(p space.Vec) *Half {
		if k := halfAt(m.Side(p), f.Size); k >= 0 {
			return &s.Halves[k]
		}
		return &Half{} // on the plane, or nowhere
	}
	for i := range m.Vertex {
		half(space.At(m.Places, i)).Vertices++
	}
	for i := range f.Sheets {
		if m.Point[i] == nil {
			continue // not shown
		}
		sheet, rest := &f.Sheets[i], f.rest[i]
		for _, l := range sheet.Loops {
			half(l.Centre).Faults++
		}
		for _, list := range [][][2]rig.Vertex{sheet.Branching, sheet.Mixed, sheet.Near} {
			for _, x := range list {
				a, b := space.At(rest, x[0]), space.At(rest, x[1])
				half(space.Vec{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2}).Faults++
			}
		}
		tri := f.meshes[i].data.Triangles
		for _, list := range [][]uint32{sheet.Thin, sheet.Opposed} {
			for _, t := range list {
				half(space.At(rest, tri[3*t])).Faults++
			}
		}
	}
	s.argue()
	return s
}

// argue fills in Keep and Reason. More vertices: nothing was cut off there. Fewer
// faults: less to mend. Where the two disagree, a part that is missing outweighs
// faults, and faults outweigh a few vertices.
func (s *Sides) argue() {
	a, b := &s.Halves[0], &s.Halves[1]
	more, fewer := a.Vertices-b.Vertices, b.Faults-a.Faults // above 0: for a
	favours := more
	if fewer != 0 && (more == 0 || math.Abs(float64(more)) <= fewVertices*float64(max(a.Vertices, b.Vertices))) {
		favours = fewer
	}
	if favours == 0 {
		s.Reason = fmt.Sprintf("both halves have %s and %s", say.Count(a.Vertices, "vertex", "vertices"), say.Count(a.Faults, "fault", "faults"))
		return
	}
	if favours < 0 {
		a, b, more, fewer = b, a, -more, -fewer
	}
	s.Keep = a.Name
	var pro, con []string
	weigh := func(by int, one, many string) {
		switch {
		case by > 0:
			pro = append(pro, say.Count(by, one, many))
		case by < 0:
			con = append(con, say.Count(-by, one, many))
		}
	}
	if more != 0 {
		weigh(more, "vertex more", "vertices more")
		if more < 0 {
			con[len(con)-1] = say.Count(-more, "vertex fewer", "vertices fewer")
		}
	}
	if fewer != 0 {
		weigh(fewer, "fault fewer", "faults fewer")
		if fewer < 0 {
			con[len(con)-1] = say.Count(-fewer, "fault more", "faults more")
		}
	}
	s.Reason = fmt.Sprintf("the %s half has %s than the %s half", a.Name, strings.Join(pro, " and "), b.Name)
	if con != nil {
		s.Reason += ", though " + strings.Join(con, " and ")
	}
}

// advise puts into a finding which half to keep.
func (s *Sides) advise(found *check.Finding) {
	first := "Keep the half that looks right (" + s.Reason + ")"
	if s.Keep != "" {
		first = "Keep the " + s.Keep + " half: " + s.Reason + ". Delete the other"
	} else {
		first += ", delete the other"
	}
	found.Remedy = first + " and mirror it over the middle plane; join the vertices on the seam.\n" + onPurpose
	for i := range s.Halves {
		h := &s.Halves[i]
		found.Measures = append(found.Measures,
			check.Also("vertices of the "+h.Name+" half", float64(h.Vertices), say.Vertices),
			check.Also("faults of the "+h.Name+" half", float64(h.Faults), say.Faults))
	}
}
