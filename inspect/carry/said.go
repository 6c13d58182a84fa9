package carry

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/gait"
	"rigloupe/inspect/say"
)

// From when a row of the report is worth a mark (common practice, no source, but for
// what Motion finds).
const (
	offNote   = 10   // degrees on average that a limb points elsewhere
	dearNote  = 20   // degrees that keeping a foot turns a thigh or a shin
	dropNote  = 0.05 // of the height that the hips come down or rise for it
	underFlaw = 0.05 // of the height through the floor
	underNote = 0.01
	bentFlaw  = 30 // degrees beyond a person's range
)

// say puts a report into words: one sentence, then rows by weight.
func (r *Result) say(rep *Report) {
	long := say.Metres
	if r.plan.m.T.Rig.File.Kind == "bvh" { // a file without a unit
		long = func(v float64) string { return say.Quantity(v, say.FileUnits) }
	}
	speed := func(v float64) string { return long(v) + "/s" }
	row := func(grade, text string, time ...float64) {
		w := Row{Grade: grade, Text: text}
		if len(time) > 0 {
			w.Time = &time[0]
		}
		rep.Rows = append(rep.Rows, w)
	}
	at := func(t float64) string { return " at " + say.Quantity(t, say.Second) }
	size := r.plan.size.dst

	kept := false // any foot is held
	for _, l := range rep.Feet {
		name := l.Side + " foot"
		grade := ""
		if !r.inPlace && l.After > 0.05*size && l.Source <= gait.Slow*size/2 {
			grade = "note"
		}
		text := fmt.Sprintf("%s: stands %s of the clip and slides by %s meanwhile (source %s, by the turns alone %s)", name, say.Percent(l.Stands), speed(l.After), speed(l.Source), speed(l.Before))
		if l.LetGo > 0 {
			text += fmt.Sprintf("; let go for %s, where it could stand only far from where it belongs, with a knee beyond what it bends in the source or with a joint that pops", say.Quantity(l.LetGo, say.Second))
			if l.LetGo > 0.1*l.StandsIn*rep.Seconds {
				grade = "note"
			}
		}
		if l.StandsIn > 0 {
			kept = true
		}
		row(grade, text, l.LargestAt)
	}
	if deep := -rep.Ground.Lowest; deep > 0.0005*rep.Height {
		grade := ""
		switch share := deep / rep.Height; {
		case share > underFlaw:
			grade = "flaw"
		case share > underNote:
			grade = "note"
		}
		what := "the surface"
		if rep.Ground.By == "joints" {
			what = "a joint"
		}
		text := fmt.Sprintf("%s goes %s through the floor%s", what, long(deep), at(rep.Ground.Time))
		if rep.Ground.Under > 0 {
			text += fmt.Sprintf("; in %s of the clip something lies deeper than 1 %% of the height", say.Percent(rep.Ground.Under))
		}
		row(grade, text, rep.Ground.Time)
	} else {
		row("", "nothing goes through the floor")
	}
	if p := rep.Price; p.Degrees > 0 || rep.HipsDrop > 0 || rep.HipsRise > 0 {
		grade := ""
		text := "keeping the feet in their places"
		var costs []string
		if p.Degrees > 0 {
			costs = append(costs, fmt.Sprintf(" turns %s by up to %s away from the source%s", quoted(p.Joint), say.Quantity(p.Degrees, say.Degree), at(p.Time)))
		}
		if rep.HipsDrop > 0 {
			costs = append(costs, " lowers the hips by up to "+long(rep.HipsDrop))
		}
		if rep.HipsRise > 0 {
			costs = append(costs, " raises the hips by up to "+long(rep.HipsRise))
		}
		text += strings.Join(costs, " and")
		if p.Degrees > dearNote || max(rep.HipsDrop, rep.HipsRise) > dropNote*rep.Height {
			grade = "note"
			text += "; carried with free feet the legs point as the source's do, and the feet slide"
		}
		row(grade, text, p.Time)
	}
	if n := len(rep.Beyond); n > 0 {
		grade := "note"
		var list []string
		for i, b := range rep.Beyond {
			if math.Abs(b.Degrees-b.Limit) > bentFlaw && hinge(b.Role) {
				grade = "flaw"
			}
			if i < 3 {
				list = append(list, fmt.Sprintf("%s %s to %s, a person's %s%s", anatomy.RoleWords(b.Role), b.Axis, say.Quantity(math.Round(b.Degrees), say.Degree), say.Quantity(math.Round(b.Limit), say.Degree), at(b.Time)))
			}
		}
		text := strings.Join(list, "; ")
		if n > len(list) {
			text += fmt.Sprintf("; and %s", say.Count(n-len(list), "more joint and axis", "more joints and axes"))
		}
		row(grade, "beyond a person's range: "+text, rep.Beyond[0].Time)
	}
	for _, l := range rep.Limbs {
		grade := ""
		if l.Mean > offNote {
			grade = "note"
		}
		text := fmt.Sprintf("%s: points as the source's does", l.Name)
		if l.Largest >= 0.005 {
			text = fmt.Sprintf("%s: points %s elsewhere on average, %s at most (%s%s)", l.Name, say.Quantity(l.Mean, say.Degree), say.Quantity(l.Largest, say.Degree), quoted(l.Worst), at(l.Time))
		}
		row(grade, text, l.Time)
	}
	for _, m := range rep.Motion {
		text, grade := "Motion: "+lower(m.Text), m.Grade
		if m.InSource {
			text += "; the source's clip has it too"
			grade = ""
		}
		row(grade, text)
	}
	if len(rep.Still) > 0 {
		var names []string
		for _, c := range rep.Still {
			names = append(names, quoted(c[0])+tail(len(c)-1))
		}
		row("note", fmt.Sprintf("stays still, since nothing of the source moves it: %s", listed(names)))
	}
	if len(rep.Lost) > 0 {
		var names []string
		for _, j := range rep.Lost {
			names = append(names, quoted(j))
		}
		row("note", "moves in the source and leads nothing here: "+listed(names))
	}
	for _, s := range rep.Remarks {
		grade := ""
		if strings.Contains(s, "has no partner") || strings.Contains(s, "do not move") {
			grade = "note"
		}
		row(grade, s)
	}
	row("", fmt.Sprintf("ways are multiplied by %s, the ratio of the %s", say.Plain(rep.Scale), rep.ScaleFrom))
	if rep.Looked < rep.Frames || rep.Surface < rep.Looked {
		row("", fmt.Sprintf("looked at %s of %s, at %d of them for the lowest point", say.Plain(float64(rep.Looked)), say.Count(rep.Frames, "moment", "moments"), rep.Surface))
	}
	weight := map[string]int{"stop": 0, "flaw": 1, "note": 2, "": 3}
	slices.SortStableFunc(rep.Rows, func(a, b Row) int { return weight[a.Grade] - weight[b.Grade] })
	rep.Said = r.sentence(rep, kept, speed)
}

// sentence is the whole report in one.
func (r *Result) sentence(rep *Report, kept bool, speed func(float64) string) string {
	var arms, legs, slides, before float64
	for _, l := range rep.Limbs {
		switch {
		case strings.HasSuffix(l.Name, "leg"):
			legs = max(legs, l.Mean)
		default:
			arms = max(arms, l.Mean)
		}
	}
	for _, l := range rep.Feet {
		slides, before = max(slides, l.After), max(before, l.Before)
	}
	way := "every limb points as the source's does"
	if off := max(arms, legs); off >= 0.05 {
		way = fmt.Sprintf("limbs point as the source's do within %s on average", say.Quantity(off, say.Degree))
	}
	switch {
	case r.inPlace:
		way += ", going in place as it does"
	case kept:
		way += fmt.Sprintf(", and feet that stand slide by %s at most (%s by the turns alone)", speed(slides), speed(before))
	}
	flaws, notes := 0, 0
	for _, w := range rep.Rows {
		switch w.Grade {
		case "flaw", "stop":
			flaws++
		case "note":
			notes++
		}
	}
	tell := "nothing to look at"
	switch {
	case flaws > 0 && notes > 0:
		tell = say.Count(flaws, "flaw", "flaws") + " and " + say.Count(notes, "note", "notes")
	case flaws > 0:
		tell = say.Count(flaws, "flaw", "flaws")
	case notes > 0:
		tell = say.Count(notes, "note", "notes")
	}
	return fmt.Sprintf("%s; %s.", strings.ToUpper(way[:1])+way[1:], tell)
}

// hinge tells the joints that bend one way only.
func hinge(role string) bool {
	return strings.HasSuffix(role, "LowerLeg") || strings.HasSuffix(role, "LowerArm")
}

func quoted(j Joint) string {
	if j.Name == "" {
		return fmt.Sprintf("node %d", j.Node)
	}
	return fmt.Sprintf("%q", j.Name)
}

func tail(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf(" and %s on it", say.Count(n, "joint", "joints"))
}

func lower(s string) string { return strings.ToLower(s[:min(1, len(s))]) + s[min(1, len(s)):] }

// listed joins names, at most eight of them; JSON holds all.
func listed(names []string) string {
	if n := len(names); n > 8 {
		return strings.Join(names[:8], ", ") + fmt.Sprintf(" and %d more", n-8)
	}
	return strings.Join(names, ", ")
}
