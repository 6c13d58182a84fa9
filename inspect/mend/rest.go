package mend

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// poseParameters ask for a rest pose; both mends of the rest have them.
var poseParameters = []Parameter{
	{Name: "pose", Title: "Pose", Kind: Choice, Default: "T", Choices: []string{"T", "A", "angle", "stay", "moment"},
		Says: "T: upper arms level; A: 45° below level; angle: as below; stay: arms as they are; moment: what a clip shows."},
	{Name: "angle", Title: "Below level", Kind: Number, Unit: say.Degree, Default: 30.0, Least: -60, Most: 90, Where: where("pose", "angle"), Says: "How far the upper arms hang, where the pose is an angle."},
	{Name: "elbows", Title: "Straight elbows", Kind: Truth, Default: false, Says: "Lays the forearms in line with the upper arms."},
	{Name: "knees", Title: "Set knees", Kind: Truth, Default: false, Says: "Bends both knees to the front by the angle below; the ankles stay as high."},
	{Name: "bend", Title: "Knees bent", Kind: Number, Unit: say.Degree, Default: 3.0, Least: 0, Most: 90, Where: where("knees", "true"), Says: "0 is straight; a little shows a solver which way a knee bends."},
	{Name: "clip", Title: "Clip", Kind: Text, Default: "", Where: where("pose", "moment"), Says: "Name or number, from 0, of the clip whose moment becomes the rest pose."},
	{Name: "seconds", Title: "Moment", Kind: Number, Unit: say.Second, Default: 0.0, Least: 0, Most: 1e6, Where: where("pose", "moment"), Says: "The time in the clip."},
}

var restOnly = Mend{
	ID:      "rest",
	Title:   "New rest only",
	Stage:   Rest,
	Answers: []string{"skeleton/rest-pose", "skeleton/bind-odd"},
	Does: "The joints rest in another pose; places, weights and bind matrices stay. " +
		"Every clip plays as it did: what it does not move gets one keyframe of the old rest.",
	Source: "glTF 2.0, Skins and Animations",
	Parameters: append([]Parameter{
		{Name: "bound", Title: "Back to the bind", Kind: Truth, Default: false, Says: "First puts joints that stand elsewhere to where they were bound."},
	}, poseParameters...),
	Suggest: func(f *Findings) (out []Values) {
		if len(f.Of("skeleton/bind-odd")) > 0 && len(bindsWrong(f)) == 0 {
			out = append(out, Values{"bound": true, "pose": "stay"})
		}
		return append(out, suggestRest(f)...)
	},
	Aims: aimsOfRest,
	Apply: func(w *Work) error {
		p, err := w.pose()
		if err != nil {
			return w.restRefusal(err)
		}
		is, held, err := rest.Moved(w.Rig, p)
		if err != nil {
			return w.restRefusal(err)
		}
		w.tellPose(p, held)
		return w.Write(is, nil)
	},
}

// aimsOfRest: a pose is for the rest, going back to the bind, or binding what stands, for
// the bind.
func aimsOfRest(v Values) (aims []string) {
	still := v.Text("pose") == "stay" && !v.Is("knees") && !v.Is("elbows")
	if !still {
		aims = append(aims, "skeleton/rest-pose")
	}
	if still || v.Is("bound") {
		aims = append(aims, "skeleton/bind-odd")
	}
	return aims
}

// suggestRest reads the pose that a finding about the rest calls for.
func suggestRest(f *Findings) (out []Values) {
	for _, x := range f.Of("skeleton/rest-pose") {
		if _, knee := x.Measures["behind"]; knee {
			out = append(out, Values{"pose": "stay", "knees": true})
			continue
		}
		sum, n := 0.0, 0.0
		for _, name := range []string{"left arm below level", "right arm below level"} {
			if a, ok := x.Measures[name]; ok {
				sum, n = sum+a, n+1
			}
		}
		switch mean := sum / n; {
		case n == 0:
		case mean <= 22.5:
			out = append(out, Values{"pose": "T"})
		case mean <= 65:
			out = append(out, Values{"pose": "A"}, Values{"pose": "T"})
		default:
			out = append(out, Values{"pose": "angle", "angle": math.Round(mean)}, Values{"pose": "A"})
		}
	}
	return out
}

// pose is the rest pose that the values ask for.
func (w *Work) pose() (p *rest.Pose, err error) {
	v := w.Values
	p = rest.Of(w.Rig)
	if v.Text("pose") == "moment" {
		clip, err := w.clip(v.Text("clip"))
		if err != nil {
			return nil, err
		}
		at, _ := v.Number("seconds")
		if p, err = rest.Moment(w.Rig, clip, at); err != nil {
			return nil, err
		}
	}
	if v.Is("bound") {
		if err := p.Bind(); err != nil {
			return nil, err
		}
	}
	angle, arms := 0.0, true
	switch v.Text("pose") {
	case "T":
	case "A":
		angle = 45
	case "angle":
		angle, _ = v.Number("angle")
	default:
		arms = false
	}
	if arms {
		if err := p.Arms(w.Exam.Roles(), angle, v.Is("elbows")); err != nil {
			return nil, err
		}
	} else if v.Is("elbows") {
		if err := p.Elbows(w.Exam.Roles()); err != nil {
			return nil, err
		}
	}
	if v.Is("knees") {
		bend, _ := v.Number("bend")
		if err := p.Knees(w.Exam.Roles(), bend); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// clip answers a clip by its name, else by its number; an error is a refusal that lists what
// there is.
func (w *Work) clip(name string) (rig.Clip, error) {
	var names []string
	for i := range w.Rig.Clips {
		if w.Rig.Clips[i].Name == name && name != "" {
			return rig.Clip(i), nil
		}
		names = append(names, strconv.Quote(cmp.Or(w.Rig.Clips[i].Name, strconv.Itoa(i))))
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 0 && n < len(names) {
		return rig.Clip(n), nil
	}
	if len(names) == 0 {
		return 0, w.Refuse("The file has no clip.")
	}
	there := "there is " + names[0]
	switch {
	case len(names) > 5:
		there = fmt.Sprintf("there are %s and %d more", strings.Join(names[:4], ", "), len(names)-4)
	case len(names) > 1:
		there = "there are " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
	}
	if name == "" {
		return 0, w.Refuse("Name the clip whose moment is meant: %s.", there)
	}
	return 0, w.Refuse("There is no clip %q: %s.", name, there)
}

// restRefusal makes a refusal of the algorithm one of the mend.
func (w *Work) restRefusal(err error) error {
	var r *rest.Refused
	if errors.As(err, &r) {
		return w.Refuse("%s", r.Words)
	}
	return err
}

// tellPose says what the pose changes.
func (w *Work) tellPose(p *rest.Pose, held []rest.Held) {
	w.Measure(check.Also("joints that rest otherwise", float64(len(p.Changed())), say.Joints))
	clips := map[rig.Clip]bool{}
	for _, h := range held {
		clips[h.Clip] = true
	}
	if len(held) > 0 {
		w.Say("%s did not move all of these joints; %s of the old rest %s them as they were.", say.Count(len(clips), "clip", "clips"), say.Count(len(held), "keyframe", "keyframes"), say.Word(len(held), "keeps", "keep"))
	}
	if w.Doc.Root.Get("extensionsUsed").Len() > 0 {
		for i := range w.Doc.Root.Get("extensionsUsed").Len() {
			if w.Doc.Root.Get("extensionsUsed").At(i).String() == "VRMC_node_constraint" {
				w.Leave("Constraints turn joints by how far others are from their rest: they now start from the new one.")
			}
		}
	}
}
