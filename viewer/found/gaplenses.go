package found

import (
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/part"
	"rigloupe/inspect/say"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// mostApart surfaces are held against the others: each wants the sorting of all the rest.
const mostApart = 48

func needsOthers(r *inspect.Result) string {
	switch n := len(r.Exam.Shown()); {
	case n == 0:
		return "this file shows no surface"
	case n == 1:
		return "there is one surface and nothing that it could lie on"
	case n > mostApart:
		return fmt.Sprintf("there are %s surfaces, more than can be held against each other", say.Whole(n))
	}
	return ""
}

// between answers for every shown surface how far its vertices are off what they lie on,
// metres, below 0 under it, and how often that goes round them: gear is held against the
// body, the body's surfaces against each other.
func between(r *inspect.Result) (gap, inside [][]float32) {
	e := r.Exam
	gap, inside = make([][]float32, len(e.Rig.Surfaces)), make([][]float32, len(e.Rig.Surfaces))
	over := func(list []int, but int) *part.Over {
		var points []float32
		var triangles []uint32
		for _, i := range list {
			if i == but {
				continue
			}
			base := uint32(len(points) / 3)
			points = append(points, e.RestPositions(i)...)
			for _, v := range e.Rig.Meshes[e.Rig.Surfaces[i].Mesh].Triangles {
				triangles = append(triangles, base+v)
			}
		}
		if len(triangles) == 0 {
			return nil
		}
		return part.NewOver(points, triangles, nil)
	}
	body := over(e.Body(), -1)
	for _, i := range e.Shown() {
		on := body
		if e.IsBody(i) {
			on = over(e.Body(), i)
		}
		if on == nil { // the one surface of the body lies on nothing
			continue
		}
		gap[i], inside[i] = on.Fields(e.RestPositions(i))
	}
	return gap, inside
}

// gaps shows how far surfaces are off what they lie on.
func gaps(r *inspect.Result, _ Params) *scene.Field {
	values, _ := between(r)
	deepest, under, all, name := 0.0, 0, 0, ""
	for i, list := range values {
		for _, g := range list {
			all++
			if g < 0 {
				under++
			}
			if d := -float64(g); d > deepest {
				deepest, name = d, r.Exam.SurfaceName(i)
			}
		}
	}
	end := marks.RoundUp(max(0.02*r.Exam.Size(), 1e-9)) // as far off as a coat stands
	f := &scene.Field{Kind: scene.TwoSided, Low: -end, High: end, Unit: "m", Values: values}
	f.Caption = fmt.Sprintf("Gap. Under what they lie on: %s of %s", say.Count(under, "vertex", "vertices"), say.Whole(all))
	if deepest > 0 {
		f.Caption += fmt.Sprintf(", %s at most, of %s", say.Quantity(deepest, say.Metre), name)
	}
	f.Caption += "."
	return f
}

// within shows how often what surfaces lie on goes round them.
func within(r *inspect.Result, _ Params) *scene.Field {
	_, values := between(r)
	f := &scene.Field{Kind: scene.ByValue, Low: 0, High: 1, Values: values}
	under := 0
	for _, list := range values {
		for _, w := range list {
			if w > 0.5 {
				under++
			}
		}
	}
	f.Caption = fmt.Sprintf("Inside. What it lies on goes round %s more than half; 1 is inside a closed surface, 0 outside.", say.Count(under, "vertex", "vertices"))
	return f
}
