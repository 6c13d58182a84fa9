package found

import (
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/bends"
	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/say"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

func needsMoves(r *inspect.Result) string {
	switch f := inspect.FactsOf[bends.Facts](r); {
	case f == nil:
		return "Bends was not looked at"
	case len(f.Turns) == 0:
		return "no joint can be bent"
	}
	return ""
}

// MoveOf is the pose that a finding shows in; of no axis: none.
func MoveOf(f *check.Finding) scene.Move {
	if m := f.Where.Move; m != nil {
		return scene.Move{Joint: m.Joint, Axis: m.Axis, Degrees: m.Degrees}
	}
	return scene.Move{}
}

// bleed shows how far a move draws along what lies beyond the joint's own limb,
// metres; 0 where it draws nothing along.
func bleed(r *inspect.Result, p Params) *scene.Field {
	f := &scene.Field{Kind: scene.ByValue, Unit: "m", High: 1}
	b := inspect.FactsOf[bends.Facts](r)
	m, ok := b.Field(p.Move.Joint, p.Move.Axis, p.Move.Degrees, deform.Linear)
	if p.Move.Axis == "" || !ok {
		f.Caption = "Bleed. Play a move: it shows what the joint draws along beyond its own limb."
		return f
	}
	f.Values = m.Bleed
	drawn, largest := 0, float32(0)
	for _, list := range f.Values {
		for v, far := range list {
			switch {
			case far != far: // the move does not reach it
				list[v] = 0
			case far > 0:
				drawn++
				largest = max(largest, far)
			}
		}
	}
	where := fmt.Sprintf("%s, %s %s°", r.Exam.NodeName(p.Move.Joint), p.Move.Axis, degrees(p.Move.Degrees))
	if drawn == 0 {
		f.Caption = fmt.Sprintf("Bleed. %s draws nothing along beyond its own limb.", where)
		return f
	}
	f.High = marks.RoundUp(float64(largest))
	f.Caption = fmt.Sprintf("Bleed. %s draws %s along beyond its own limb, by %s at most.", where, say.Count(drawn, "vertex", "vertices"), marks.Length(float64(largest)))
	return f
}

// degrees writes an angle in whole degrees, with a true minus sign.
func degrees(d float64) string {
	s := fmt.Sprintf("%.0f", d)
	if s == "-0" {
		return "0"
	}
	if s[0] == '-' {
		return "−" + s[1:]
	}
	return s
}
