package mend

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/fit"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/original"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

var fitSkeleton = Mend{
	ID:     "fit",
	Title:  "Fit a skeleton",
	Stage:  Fit,
	Beside: []string{"intake/nothing-bound"},
	Does: "A figure without joints gets a skeleton, proposed from its surface alone, with a certainty a joint. What is not sure can be set: chin, groin, and on one side shoulder, elbow, wrist, knee, ankle and toe; " +
		"the other side mirrors them, everything else follows. The surface is not touched, and not bound yet: the joints stand in a skin that no surface uses.",
	Source: "Drillis and Contini 1966 as printed in Winter 2009 (shares of segments); ends of limbs by distance through the body, inside by generalised winding number (Jacobson 2013, Barill 2018); VRM 1.0 (names of the bones); where joints of the trunk stand: common practice, no source",
	Parameters: []Parameter{
		{Name: "kind", Title: "Kind", Kind: Choice, Default: "as found", Choices: []string{"as found", "person", "four-legged", "chain"}, Says: "What it is: its surface tells a person from a four-legged figure; a chain runs along the longest way through anything."},
		{Name: "points", Title: "Points", Kind: Pairs, Where: where("kind", "as found", "person"), Says: "Where chin, groin, shoulder, elbow, wrist, knee, ankle and toe are, on either side: \"x y z\" in metres as the file stands."},
		{Name: "hips", Title: "Hips", Kind: Choice, Default: "at the belt", Choices: []string{"at the belt", "at the fork"}, Where: where("kind", "as found", "person"), Says: "At what height the root of a person stands; the fork is where the legs part."},
		{Name: "fingers", Title: "Fingers", Kind: Truth, Default: true, Where: where("kind", "as found", "person"), Says: "Joints of fingers where five fingertips are found on each hand."},
		{Name: "joints", Title: "Joints", Kind: Number, Unit: say.Joints, Default: 8.0, Least: 2, Most: 64, Where: where("kind", "chain"), Says: "How many a chain has."},
		{Name: "without", Title: "Without", Kind: List, Says: "Surfaces that are no body: a sword, a stand. By the name of their node; #3 is the third surface."},
	},
	Suggest: func(*Findings) []Values { return nil }, // no fault calls for it: a person who wants to move the figure does
	Apply: func(w *Work) error {
		if w.Exam.Bound() || w.Exam.Roles().IsFigure() {
			return w.Refuse("It has a skeleton already.")
		}
		list, err := proposed(w)
		var r *fit.Refusal
		if errors.As(err, &r) {
			return w.Refuse("%s", whyNot(r))
		}
		if err != nil {
			return err
		}
		return layIn(w, list)
	},
}

// proposed asks for the skeleton of the kind that is wanted.
func proposed(w *Work) ([]fit.Joint, error) {
	points, triangles, err := bodyOf(w)
	if err != nil {
		return nil, err
	}
	watch := &geom.Watch{Look: func() error { return w.Context.Err() }}
	ended := func(list []fit.Joint, err error) ([]fit.Joint, error) {
		if e := w.Context.Err(); e != nil {
			return nil, e
		}
		return list, err
	}
	kind := w.Values.Text("kind")
	if kind == "chain" {
		n, _ := w.Values.Number("joints")
		return ended(fit.Chain(points, triangles, int(n), watch))
	}
	b, shape, err := standing(w, points, triangles)
	if err != nil {
		return nil, err
	}
	marks, err := marksOf(w)
	if err != nil {
		return nil, err
	}
	if kind == "as found" && len(marks) == 0 && shape == anatomy.FourLegged {
		kind = "four-legged"
	}
	if kind == "four-legged" {
		if len(marks) > 0 {
			return nil, w.Refuse("Points are those of a person; a four-legged figure takes none.")
		}
		return ended(fit.FourLegged(b, watch))
	}
	list, err := fit.Person(b, fit.Options{Marks: marks, AtFork: w.Values.Text("hips") == "at the fork", Fingers: w.Values.Is("fingers")}, watch)
	var r *fit.Refusal
	if errors.As(err, &r) && r.Why == fit.FourLegs && w.Values.Text("kind") == "as found" {
		return ended(fit.FourLegged(b, watch))
	}
	return ended(list, err)
}

// bodyOf is the surface that the skeleton goes into, world, metres.
func bodyOf(w *Work) (points []float32, triangles []uint32, err error) {
	out := map[int]bool{}
	for _, name := range w.Values.List("without") {
		i := SurfaceNamed(w.Rig, name)
		if i < 0 {
			return nil, nil, w.Refuse("There is no surface %q.", name)
		}
		out[i] = true
	}
	for _, s := range w.Exam.Shown() {
		if out[s] {
			continue
		}
		base := uint32(len(points) / 3)
		points = append(points, w.Exam.WholePositions(s)...)
		for _, v := range w.Rig.Meshes[w.Rig.Surfaces[s].Mesh].Triangles {
			triangles = append(triangles, base+v)
		}
	}
	if len(triangles) == 0 {
		return nil, nil, w.Refuse("There is no surface to lay a skeleton into.")
	}
	return points, triangles, nil
}

// standing tells how the body stands: its mirror plane, what is up and what is in front.
func standing(w *Work, points []float32, triangles []uint32) (*fit.Body, anatomy.Kind, error) {
	m := geom.FindMirror(geom.Shape{Points: points, Triangles: triangles, Diagonal: geom.BoxOf(points).Diagonal()})
	if !m.Found {
		return nil, 0, w.Refuse("It has no mirror plane: a body's sides cannot be told.")
	}
	b := &fit.Body{Points: points, Triangles: triangles, Plane: geom.Plane{Normal: m.Normal, Offset: m.Offset}}
	shape := anatomy.FromSurface(points, triangles, b.Plane, nil)
	b.Up = space.Vec{0, 1, 0}
	if shape.Kind != anatomy.NoKind {
		b.Up = shape.Up
	}
	up, ok := space.Unit(space.Level(b.Up, m.Normal))
	if !ok || up.Dot(b.Up) < .9 {
		return nil, 0, w.Refuse("Its mirror plane lies level: bring the figure upright first.")
	}
	b.Up = up
	b.Front = m.Normal.Cross(up)
	if b.Front[2] < 0 || b.Front[2] == 0 && b.Front[0] < 0 { // glTF 2.0: a figure faces +Z
		b.Front = b.Front.Mul(-1)
	}
	if shape.Facing != nil {
		b.FrontSure = true
		if shape.Facing.Dot(b.Front) < 0 {
			b.Front = b.Front.Mul(-1)
		}
	}
	return b, shape.Kind, nil
}

// marksOf reads the points that a person set.
func marksOf(w *Work) (map[fit.Mark]space.Vec, error) {
	out := map[fit.Mark]space.Vec{}
	pairs := w.Values.Pairs("points")
	for _, name := range slices.Sorted(maps.Keys(pairs)) {
		if !slices.Contains(fit.Marks(), fit.Mark(name)) {
			return nil, w.Refuse("There is no point %q; there are chin, groin, shoulder, elbow, wrist, knee, ankle and toe.", name)
		}
		fields := strings.FieldsFunc(pairs[name], func(r rune) bool { return r == ' ' || r == ',' })
		if len(fields) != 3 {
			return nil, w.Refuse("%s: want three numbers, x y z, got %q.", name, pairs[name])
		}
		var at space.Vec
		for c, s := range fields {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, w.Refuse("%s: %q is no number.", name, s)
			}
			at[c] = v
		}
		out[fit.Mark(name)] = at
	}
	return out, nil
}

// whyNot says in words why nothing is proposed, and what can be done.
func whyNot(r *fit.Refusal) string {
	switch r.Why {
	case fit.NoLegs:
		return "Not a body I know: no two legs stand side by side. A chain along the middle can be laid in: set the kind to chain."
	case fit.HiddenFork:
		return "A coat or cape hides where the legs part: set the groin."
	case fit.NoArms:
		return "No two arms stand clear of the trunk: set shoulder, elbow and wrist."
	case fit.NoNeck:
		return "Nothing sets a head off from the shoulders: set the chin."
	case fit.FourLegs:
		return "It stands on four legs: as a person every joint would be wrong. Set the kind to four-legged."
	case fit.NotFour:
		return "It does not stand on two pairs of legs, one behind the other."
	case fit.OddMark:
		return fmt.Sprintf("The %s lies outside the figure, or does not fit the other points.", r.Mark)
	}
	return "Nothing here has an inside that a skeleton could be laid into."
}

// layIn writes the joints as nodes of the scene and lists them in a skin without surface.
func layIn(w *Work, list []fit.Joint) error {
	d := w.Doc
	if err := d.Room(original.Nodes, len(list)); err != nil {
		return w.Refuse("%s.", sentence(err))
	}
	if err := d.Room(original.Skins, 1); err != nil {
		return w.Refuse("%s.", sentence(err))
	}
	names := freeNames(w, list)
	first := d.Count(original.Nodes)
	kids := make([][]int, len(list))
	for i, j := range list {
		if j.Parent >= 0 {
			kids[j.Parent] = append(kids[j.Parent], first+i)
		}
	}
	var joints []int
	// A file stores bind matrices as float32: joints stand where these are exact.
	at := make([]space.Vec, len(list))
	bind := make([]float32, 0, 16*len(list))
	for i, j := range list {
		for c := range 3 {
			at[i][c] = float64(float32(j.At[c]))
		}
		bind = append(bind, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, float32(-at[i][0]), float32(-at[i][1]), float32(-at[i][2]), 1)
	}
	for i, j := range list {
		t := at[i]
		if j.Parent >= 0 {
			t = t.Sub(at[j.Parent])
		}
		o := original.Object("name", original.Text(names[i]), "translation", original.Numbers(t[:]...))
		if len(kids[i]) > 0 {
			o.Set("children", original.Wholes(kids[i]...))
		}
		joints = append(joints, d.Add(original.Nodes, o))
	}
	scene := max(0, d.Root.Get("scene").Int())
	if d.Count(original.Scenes) == 0 {
		return w.Refuse("The file has no scene to put a skeleton into.")
	}
	o := d.Object(original.Scenes, scene)
	if o.Get("nodes") == nil {
		o.Set("nodes", original.Wholes(first))
	} else {
		o.Get("nodes").Append(original.Whole(first))
	}
	d.Refresh(original.Scenes, scene)
	matrices, err := d.NewAccessor(original.Floats32("MAT4", bind), false, false)
	if err != nil {
		return w.Refuse("%s.", sentence(err))
	}
	d.Add(original.Skins, original.Object("name", original.Text("fitted"), "inverseBindMatrices", original.Whole(matrices),
		"skeleton", original.Whole(first), "joints", original.Wholes(joints...)))
	w.tellJoints(list, names)
	return nil
}

// freeNames are the names of joints, with a number behind those that are taken.
func freeNames(w *Work, list []fit.Joint) (out []string) {
	taken := map[string]bool{}
	for i := range w.Rig.Nodes {
		taken[strings.ToLower(w.Rig.Nodes[i].Name)] = true
	}
	for _, j := range list {
		name := j.Name
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s_%d", j.Name, n)
		}
		taken[strings.ToLower(name)] = true
		out = append(out, name)
	}
	return out
}

// tellJoints says how sure each joint is; the right side is as sure as the left.
func (w *Work) tellJoints(list []fit.Joint, names []string) {
	w.Measure(check.Also("joints", float64(len(list)), say.Joints))
	sum, least := 0.0, 0
	for i, j := range list {
		sum += j.Sure
		if j.Sure < list[least].Sure {
			least = i
		}
	}
	w.Measure(check.Also("certainty on the mean", sum/float64(len(list)), say.Share))
	for i, j := range list {
		if !strings.HasPrefix(j.Name, "right") {
			w.Measure(check.Also("certainty of "+anatomy.RoleWords(names[i]), j.Sure, say.Share))
		}
	}
	if list[least].Sure < 1 {
		w.Say("Least sure is %s, %s. Points that are set are taken as they are.", names[least], say.Quantity(list[least].Sure, say.Share))
	}
	w.Say("The joints move nothing yet: bind next.")
}
