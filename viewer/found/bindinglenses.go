package found

import (
	"fmt"
	"strconv"

	"rigloupe/inspect"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// roughness shows the jumps of weights, 0 … 1 as a rule.
func roughness(r *inspect.Result, _ Params) *scene.Field {
	b := inspect.FactsOf[binding.Facts](r)
	f := &scene.Field{Kind: scene.ByValue, High: 1, Values: b.Roughness}
	_, _, largest := summed(f.Values)
	if largest > 1 { // weights that sum to more than 1, or change hands altogether
		f.High = marks.RoundUp(float64(largest))
	}
	f.Caption = fmt.Sprintf("Roughness. Weights jump at most by %s across an edge.", strconv.FormatFloat(float64(largest), 'f', 2, 32))
	return f
}

// rigidParts gives the shells of each joint that they follow stiffly an ink.
func rigidParts(r *inspect.Result, _ Params) *scene.Field {
	b := inspect.FactsOf[binding.Facts](r)
	f := &scene.Field{Kind: scene.ByCategory, Values: make([][]float32, len(b.RigidJoint))}
	ink := map[rig.Node]int{}
	for s, joints := range b.RigidJoint {
		if joints == nil {
			continue
		}
		f.Values[s] = filled(len(joints), nan)
		for v, n := range joints {
			if n < 0 {
				continue
			}
			i, known := ink[n]
			if !known {
				i = len(f.Names)
				ink[n], f.Names = i, append(f.Names, r.Exam.NodeName(n))
			}
			f.Values[s][v] = float32(i)
		}
	}
	f.Caption = fmt.Sprintf("Rigid parts. %s on %s; what is hatched bends.", say.Count(b.RigidShells, "shell follows one joint alone", "shells follow one joint alone"), say.Count(len(f.Names), "joint", "joints"))
	if len(f.Names) == 0 {
		f.Caption = "Rigid parts. No shell follows one joint alone."
	}
	return f
}

func needsSeams(r *inspect.Result) string {
	if why := needsBinding(r); why != "" {
		return why
	}
	if inspect.FactsOf[binding.Facts](r).SeamOpens == nil {
		return "no place is bound in two ways"
	}
	return ""
}

// seamGap shows how far seams open, metres.
func seamGap(r *inspect.Result, _ Params) *scene.Field {
	b := inspect.FactsOf[binding.Facts](r)
	f := &scene.Field{Kind: scene.ByValue, Unit: "m", Values: b.SeamGap}
	with, _, largest := summed(f.Values)
	if largest > 0 {
		f.High = marks.RoundUp(float64(largest))
	}
	f.Caption = fmt.Sprintf("Seam gap. %s on seams, which open by %s at most.", say.Count(with, "vertex", "vertices"), marks.Length(float64(largest)))
	return f
}

// summed counts what has a value, and all, and finds the largest.
func summed(field [][]float32) (with, all int, largest float32) {
	for _, f := range field {
		all += len(f)
		for _, v := range f {
			if v == v {
				with++
				largest = max(largest, v)
			}
		}
	}
	return with, all, largest
}
