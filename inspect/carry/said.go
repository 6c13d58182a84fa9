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
	underNote = 0.01 // of the height: 1.75 cm of a person, the thickness of a sole
	bentFlaw  = 30   // degrees beyond a person's range
)

// say puts a report into words: one sentence, then rows by weight.
func (r *Result) say(rep *Report) {
	long := say.Metres
	if r.plan.m.T.Rig.File.Kind == "bvh" { // a file without a unit
		long = func(v float64) string { return say.Quantity(v, say.FileUnits) }
	}
	s := said{r: r, rep: rep, long: long}
	kept := s.feet()
	s.ground()
	s.price()
	s.beyond()
	s.limbs()
	s.others()
	weight := map[string]int{"stop": 0, "flaw": 1, "note": 2, "": 3}
	slices.SortStableFunc(rep.Rows, func(a, b Row) int { return weight[a.Grade] - weight[b.Grade] })
	rep.Said = r.sentence(rep, kept, s.speed)
}

// said puts rows onto a report, each part of it by its own method.
type said struct {
	r    *Result
	rep  *Report
	long func(metres float64) string // with the target's unit
}

func (s *said) speed(v float64) string { return s.long(v) + "/s" }

// row adds one, with the time at which it shows, seconds, where there is one.
func (s *said) row(grade, text string, time ...float64) {
	w := Row{Grade: grade, Text: text}
	if len(time) > 0 {
		w.Time = &time[0]
	}
	s.rep.Rows = append(s.rep.Rows, w)
}

func when(t float64) string { return " at " + say.Quantity(t, say.Second) }

// feet tells how still each stands, and whether any is held.
func (s *said) feet() (kept bool) {
	size := s.r.plan.size.dst
	for _, l := range s.rep.Feet {
		name := l.Side + " foot"
		grade := ""
		if !s.r.inPlace && l.After > 0.05*size && l.Source <= gait.Slow*size/2 {
			grade = "note"
		}
		text := fmt.Sprintf("%s: stands %s of the clip and slides by %s meanwhile (source %s, by the turns alone %s)", name, say.Percent(l.Stands), s.speed(l.After), s.speed(l.Source), s.speed(l.Before))
		if l.LetGo > 0 {
			text += fmt.Sprintf("; let go for %s, where it could stand only far from where it belongs, with a knee beyond what it bends in the source or with a joint that pops", say.Quantity(l.LetGo, say.Second))
			if l.LetGo > 0.1*l.StandsIn*s.rep.Seconds {
				grade = "note"
			}
		}
		if unheld(&l, size) && !s.r.inPlace {
			text += fmt.Sprintf("; for %s of that nothing holds it, since the source's does not stand then", say.Quantity(l.Free, say.Second))
			grade = "note"
		}
		if l.StandsIn > 0 {
			kept = true
		}
		s.row(grade, text, l.LargestAt)
	}
	return kept
}

// still1cm is the speed at which a foot that stands is seen to slide, of a person's height a
// second: 1 cm/s. Target: the project's own.
const still1cm = 0.01 / 1.75

// unheld tells a foot that slides where it comes to stand in the result alone, as one who lies
// down, dies or spins drags it: it was not let go, for it was never held.
func unheld(l *Foot, size float64) bool {
	return l.LetGo == 0 && l.Free > 0 && l.After > still1cm*size && l.After > l.Source
}

// ground tells how deep something goes through the floor.
func (s *said) ground() {
	if deep := -s.rep.Ground.Lowest; deep > 0.0005*s.rep.Height {
		grade := ""
		switch share := deep / s.rep.Height; {
		case share > underFlaw:
			grade = "flaw"
		case share > underNote:
			grade = "note"
		}
		what := "the surface"
		if s.rep.Ground.By == "joints" {
			what = "a joint"
		}
		text := fmt.Sprintf("%s goes %s through the floor%s", what, s.long(deep), when(s.rep.Ground.Time))
		if s.rep.Ground.Under > 0 {
			text += fmt.Sprintf("; in %s of the clip something lies deeper than 1 %% of the height", say.Percent(s.rep.Ground.Under))
		}
		s.row(grade, text, s.rep.Ground.Time)
	} else {
		s.row("", "nothing goes through the floor")
	}
}

// price tells what keeping the feet costs.
func (s *said) price() {
	if p := s.rep.Price; p.Degrees > 0 || s.rep.HipsDrop > 0 || s.rep.HipsRise > 0 {
		grade := ""
		text := "keeping the feet in their places"
		var costs []string
		if p.Joint != nil && p.Degrees > 0 {
			costs = append(costs, fmt.Sprintf(" turns %s by up to %s away from the source%s", quoted(*p.Joint), say.Quantity(p.Degrees, say.Degree), when(p.Time)))
		}
		if s.rep.HipsDrop > 0 {
			costs = append(costs, " lowers the hips by up to "+s.long(s.rep.HipsDrop))
		}
		if s.rep.HipsRise > 0 {
			costs = append(costs, " raises the hips by up to "+s.long(s.rep.HipsRise))
		}
		text += strings.Join(costs, " and")
		if p.Degrees > dearNote || max(s.rep.HipsDrop, s.rep.HipsRise) > dropNote*s.rep.Height {
			grade = "note"
			text += "; carried with free feet the legs point as the source's do, and the feet slide"
		}
		s.row(grade, text, p.Time)
	}
}

// beyond tells of joints that bend farther than a person's; three are named.
func (s *said) beyond() {
	if n := len(s.rep.Beyond); n > 0 {
		grade := "note"
		var list []string
		for i, b := range s.rep.Beyond {
			if math.Abs(b.Degrees-b.Limit) > bentFlaw && hinge(b.Role) {
				grade = "flaw"
			}
			if i < 3 {
				list = append(list, fmt.Sprintf("%s %s to %s, a person's %s%s", anatomy.RoleWords(b.Role), b.Axis, say.Quantity(math.Round(b.Degrees), say.Degree), say.Quantity(math.Round(b.Limit), say.Degree), when(b.Time)))
			}
		}
		text := strings.Join(list, "; ")
		if n > len(list) {
			text += fmt.Sprintf("; and %s", say.Count(n-len(list), "more joint and axis", "more joints and axes"))
		}
		s.row(grade, "beyond a person's range: "+text, s.rep.Beyond[0].Time)
	}
}

// limbs tells how far each points from where the source's does.
func (s *said) limbs() {
	for _, l := range s.rep.Limbs {
		grade := ""
		if l.Mean > offNote {
			grade = "note"
		}
		text := fmt.Sprintf("%s: points as the source's does", l.Name)
		if l.Largest >= 0.005 {
			text = fmt.Sprintf("%s: points %s away from the source’s direction on average, %s at most (%s%s)", l.Name, say.Quantity(l.Mean, say.Degree), say.Quantity(l.Largest, say.Degree), quoted(l.Worst), when(l.Time))
		}
		s.row(grade, text, l.Time)
	}
}

// others tells what Motion finds in the result, what stays still or is lost, remarks, and
// how much was looked at.
func (s *said) others() {
	for _, m := range s.rep.Motion {
		text, grade := "Motion: "+lower(m.Text), m.Grade
		if m.InSource {
			text += "; the source's clip has it too"
			grade = ""
		}
		s.row(grade, text)
	}
	if len(s.rep.Still) > 0 {
		var names []string
		for _, c := range s.rep.Still {
			names = append(names, quoted(c[0])+tail(len(c)-1))
		}
		s.row("note", fmt.Sprintf("stays still, since nothing of the source moves it: %s", listed(names)))
	}
	if len(s.rep.Lost) > 0 {
		var names []string
		for _, j := range s.rep.Lost {
			names = append(names, quoted(j))
		}
		s.row("note", "moves in the source and leads nothing here: "+listed(names))
	}
	for _, text := range s.rep.Remarks {
		grade := ""
		if strings.Contains(text, "has no partner") || strings.Contains(text, "do not move") || strings.Contains(text, "set by hand") || strings.Contains(text, "was left out") {
			grade = "note"
		}
		s.row(grade, text)
	}
	s.row("", fmt.Sprintf("ways are multiplied by %s, the ratio of the %s", say.Plain(s.rep.Scale), s.rep.ScaleFrom))
	if s.rep.Looked < s.rep.Frames || s.rep.Surface < s.rep.Looked {
		s.row("", fmt.Sprintf("looked at %s of %s, at %d of them for the lowest point", say.Plain(float64(s.rep.Looked)), say.Count(s.rep.Frames, "moment", "moments"), s.rep.Surface))
	}
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
	if len(rep.Limbs) == 0 {
		way = "no limb stands in both, so that none was compared"
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
