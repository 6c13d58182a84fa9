package main

import (
	"flag"
	"fmt"
	"math"
	"strconv"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

// moment is what --clip, --at, --move, --axis, --degrees and --method say.
type moment struct {
	clip, method, move, axis *string
	at, degrees              *float64
}

func (m *moment) flags(f *flag.FlagSet) {
	m.clip = f.String("clip", "", "")
	m.at = f.Float64("at", 0, "")
	m.move = f.String("move", "", "")
	m.axis = f.String("axis", "", "")
	m.degrees = f.Float64("degrees", math.NaN(), "")
	m.method = f.String("method", "linear", "")
}

// resolve sets what a state says of the pose: clip and time, or a move, and the method.
func (m *moment) resolve(r *rig.Rig, st *scene.State) error {
	method, ok := map[string]deform.Method{"linear": deform.Linear, "dual": deform.Dual}[*m.method]
	if !ok {
		return callError{fmt.Sprintf("--method %q: want linear or dual", *m.method)}
	}
	st.Method, st.Clip, st.Seconds = method, rig.None, *m.at
	if math.IsNaN(*m.at) || math.IsInf(*m.at, 0) {
		return callError{"--at: want seconds"}
	}
	if *m.move != "" {
		if *m.clip != "" || *m.at != 0 {
			return callError{"--move is a pose of its own: leave --clip and --at out"}
		}
		return m.turn(r, st)
	}
	if *m.axis != "" || !math.IsNaN(*m.degrees) {
		return callError{"--axis and --degrees need --move JOINT"}
	}
	if *m.clip == "" {
		if *m.at != 0 {
			return callError{"--at needs --clip; without it the rest pose is meant"}
		}
		return nil
	}
	var err error
	st.Clip, err = clipNamed(r, *m.clip)
	return err
}

// clipNamed finds a clip by name, else by its index; "" is none.
func clipNamed(r *rig.Rig, name string) (rig.Clip, error) {
	if name == "" {
		return rig.None, nil
	}
	for i := range r.Clips {
		if r.Clips[i].Name == name {
			return rig.Clip(i), nil
		}
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 0 && n < len(r.Clips) {
		return rig.Clip(n), nil
	}
	return rig.None, callError{fmt.Sprintf("--clip %q: the file has %s", name, clipNames(r))}
}

// turn reads a move of the bend set.
func (m *moment) turn(r *rig.Rig, st *scene.State) error {
	joint, err := jointNamed(r, "move", *m.move)
	if err != nil {
		return err
	}
	turns := scene.NewBends(r).Of(joint)
	if len(turns) == 0 {
		return callError{fmt.Sprintf("--move %q: hips are not bent; choose another joint", *m.move)}
	}
	var axes []string
	for i := range turns {
		t := &turns[i]
		axes = append(axes, t.Axis+" "+rangeOf(t))
		if t.Axis != *m.axis {
			continue
		}
		if d := *m.degrees; !(d >= -180 && d <= 180) {
			return callError{fmt.Sprintf("--degrees: %s of %q goes from %s", t.Axis, *m.move, rangeOf(t))}
		}
		st.Move = scene.Move{Joint: joint, Axis: t.Axis, Degrees: *m.degrees}
		return nil
	}
	if *m.axis == "" {
		return callError{fmt.Sprintf("--axis says about which axis: %q has %s", *m.move, strings.Join(axes, ", "))}
	}
	return callError{fmt.Sprintf("--axis %q: %q has %s", *m.axis, *m.move, strings.Join(axes, ", "))}
}

// rangeOf writes the range of a turn: "-10 to 145".
func rangeOf(t *anatomy.Turn) string {
	return strconv.FormatFloat(math.Round(t.Min), 'f', -1, 64) + " to " + strconv.FormatFloat(math.Round(t.Max), 'f', -1, 64)
}

// posed is the rig as the state says.
func posed(r *rig.Rig, st *scene.State) *deform.Pose {
	p := deform.NewPose(r)
	scene.NewBends(r).Stand(p, st)
	return p
}

func clipNames(r *rig.Rig) string {
	if len(r.Clips) == 0 {
		return "no clip"
	}
	var names []string
	for i := range r.Clips[:min(len(r.Clips), 12)] {
		names = append(names, fmt.Sprintf("%d %q", i, r.Clips[i].Name))
	}
	if more := len(r.Clips) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}
