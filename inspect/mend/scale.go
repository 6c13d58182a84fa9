package mend

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var bringToScale = Mend{
	ID:    "scale",
	Title: "Bring to scale",
	Stage: Scale,
	Answers: []string{
		"intake/unapplied-scale", "intake/uneven-scale", "intake/unapplied-turn", "intake/ignored-placement",
		"intake/odd-height", "intake/off-ground", "intake/facing", "skeleton/scaled-joint",
	},
	Does: "Scale, turn and shift that stand above the skeleton and the meshes go into what they act on: positions, joints, keys, bind matrices, morph targets. " +
		"The figure looks as it did, every node above it is empty. On request the whole figure becomes larger or smaller, stands up and faces the front, or is put on the ground.",
	Source: "glTF 2.0, Transformations and Skins; closed form: T·R·S of a child below an even scale s is T(s·t)·R·S·s",
	Parameters: []Parameter{
		{Name: "scale", Title: "Apply scale", Kind: Truth, Default: true, Says: "Scales above the figure go into it."},
		{Name: "turn", Title: "Apply turn", Kind: Truth, Default: true, Says: "Turns above the figure go into its roots and their clips."},
		{Name: "shift", Title: "Apply shift", Kind: Truth, Default: true, Says: "Shifts above the figure go into its roots and their clips."},
		{Name: "joints", Title: "Scaled joints too", Kind: Truth, Default: true, Says: "Even scales of joints go into what hangs on them."},
		{Name: "factor", Title: "Factor", Kind: Number, Unit: say.Factor, Default: 1.0, Least: 1e-6, Most: 1e6, Says: "The whole figure so many times as large, about the origin."},
		{Name: "stand", Title: "Upright and front", Kind: Truth, Default: false, Says: "Turns the figure by right angles until its trunk points up and its face to the declared front."},
		{Name: "ground", Title: "On the ground", Kind: Truth, Default: false, Says: "Moves the figure until its lowest point is at height 0 and its middle over the origin."},
	},
	Suggest: suggestScale,
	Apply: func(w *Work) error {
		s, err := newScaler(w)
		if err != nil {
			return err
		}
		if err := s.choose(); err != nil {
			return err
		}
		if err := s.nodes(); err != nil {
			return err
		}
		if err := s.clips(); err != nil {
			return err
		}
		if err := s.geometry(); err != nil {
			return err
		}
		s.lengths()
		h := w.Exam.WholeHeight()
		w.Measure(check.Also("height before", h, say.Metre))
		w.Measure(check.Also("factor", s.factor, say.Factor))
		return nil
	},
}

func suggestScale(f *Findings) []Values {
	v := Values{}
	found := len(f.Of("intake/unapplied-scale", "intake/uneven-scale", "intake/ignored-placement", "skeleton/scaled-joint")) > 0
	for _, x := range f.Of("intake/unapplied-turn") {
		found = true
		if _, lies := x.Measures["off upright"]; lies {
			v["stand"] = true
		}
	}
	for _, x := range f.Of("intake/odd-height") {
		// A giant or a toy may be meant: only the factor of a unit far off is taken.
		if k := x.Measures["factor"]; k > 0 && isUnit(k) {
			v["factor"], found = k, true
		}
	}
	if len(f.Of("intake/facing")) > 0 {
		v["stand"], found = true, true
	}
	if len(f.Of("intake/off-ground")) > 0 {
		v["ground"], found = true, true
	}
	if !found {
		return nil
	}
	return []Values{v}
}

// isUnit tells the factors that lead from a unit of length to the metre. Not of the foot:
// what is 4 to 7 m high is as often a giant that is meant (common practice, no source).
func isUnit(k float64) bool {
	for _, u := range []float64{0.001, 0.01, 0.1, 0.0254, 10, 100, 1000, 1 / 0.0254} {
		if math.Abs(k/u-1) < 1e-6 {
			return true
		}
	}
	return false
}

// place is where the figure goes as a whole: p → shift + factor·turn(p).
func (s *scaler) place() {
	w := s.w
	s.factor, _ = w.Values.Number("factor")
	s.turned = space.Still()
	if w.Values.Is("stand") {
		s.turned = s.upright()
	}
	s.whole = rig.Identity
	for r := range 3 {
		for c := range 3 {
			e := space.Vec{}
			e[c] = 1
			s.whole[4*r+c] = s.factor * s.turned.Rotate(e)[r]
		}
	}
	if !w.Values.Is("ground") {
		return
	}
	low, box := math.Inf(1), [2]space.Vec{{math.Inf(1), 0, math.Inf(1)}, {math.Inf(-1), 0, math.Inf(-1)}}
	body := map[int]bool{}
	for _, i := range w.Exam.Body() {
		body[i] = true
	}
	for _, i := range w.Exam.Shown() {
		p := w.Exam.RestPositions(i)
		for v := range len(p) / 3 {
			q := s.whole.Point(space.At(p, v))
			if q[0]-q[0] != 0 || q[1]-q[1] != 0 || q[2]-q[2] != 0 {
				continue
			}
			low = min(low, q[1])
			if body[i] || len(body) == 0 {
				for _, c := range []int{0, 2} {
					box[0][c], box[1][c] = min(box[0][c], q[c]), max(box[1][c], q[c])
				}
			}
		}
	}
	if math.IsInf(low, 0) {
		return
	}
	middle := box[0].Add(box[1]).Mul(.5)
	if h := w.Exam.Roles().Node("hips"); h >= 0 {
		middle = s.whole.Point(w.Exam.RestWorld()[h].Origin())
	}
	// What stands within a fiftieth of its height of the origin already stays there: the
	// same share as the check's.
	height := s.factor * w.Exam.WholeHeight()
	if math.Hypot(middle[0], middle[2]) > 0.02*height {
		s.whole[3], s.whole[11] = -middle[0], -middle[2]
	}
	s.whole[7] = -low
}

// upright answers the turn by right angles that brings the trunk nearest to +Y and the
// face nearest to the declared front (glTF 2.0 and VRM 1.0: +Z; VRM 0.x: −Z).
func (s *scaler) upright() space.Quat {
	_, up, front, ok := bodyFrame(s.w.Exam)
	if !ok {
		return space.Still()
	}
	want := space.Vec{0, 0, 1}
	if s.w.Rig.Humanoid.Version == "0" {
		want[2] = -1
	}
	best, at := space.Still(), math.Inf(-1)
	axes := []space.Vec{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}}
	for _, x := range axes {
		for _, y := range axes {
			if x.Dot(y) != 0 {
				continue
			}
			z := x.Cross(y)
			q := mgl64.Mat4ToQuat(mgl64.Mat3{x[0], x[1], x[2], y[0], y[1], y[2], z[0], z[1], z[2]}.Mat4()).Normalize()
			// A whisker for the turn that does nothing, so that a tie leaves things be.
			score := 2*q.Rotate(up)[1] + q.Rotate(front).Dot(want) + 1e-6*math.Abs(q.W)
			if score > at {
				best, at = q, score
			}
		}
	}
	return best
}

// bodyFrame is the figure's left, up and front. Of one that stands on its head the trunk
// tells.
func bodyFrame(e *exam.Exam) (left, up, front space.Vec, ok bool) {
	left, up, front, ok = e.Roles().Frame()
	if a := e.Roles().Stands(); ok && a > 90 && up[1] > 0.99 {
		return left, up.Mul(-1), front, true
	}
	return left, up, front, ok
}
