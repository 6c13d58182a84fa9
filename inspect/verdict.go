package inspect

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/say"
	"rigloupe/inspect/surface"
)

// Verdict is an examination in one sentence or two, and what to look at first.
type Verdict struct {
	State  State  `json:"state" wire:"'' | 'empty' | 'motion' | 'unbound' | 'bound' | 'moving'"`
	Says   string `json:"says"`   // "" while stations are missing
	Matter []int  `json:"matter"` // the findings that matter most, by number, at most three; causes before what follows from them
	Order  []int  `json:"order"`  // all findings by number: those that matter most, then by grade, causes before what follows from them, then by what is seen
}

// State is how far the figure has come.
type State string

const (
	Empty   State = "empty"   // nothing is shown, and nothing moves
	Motion  State = "motion"  // joints and clips without a surface
	Unbound State = "unbound" // a surface that no joint moves
	Bound   State = "bound"   // joints move the surface, and no clip moves them
	Moving  State = "moving"  // bound, with clips that move joints
)

// mostMatter is how many findings a person looks at first.
const mostMatter = 3

// Verdict answers the examination in words. It stands on what the stations found and on
// nothing else; where a station did not run it says nothing.
func (r *Result) Verdict() Verdict {
	v := Verdict{Matter: []int{}, Order: r.ranked()}
	ran := 0
	for i := range r.Stations {
		if r.Stations[i].Facts != nil {
			ran++
		}
	}
	if ran < len(Catalogue()) {
		return v
	}
	var of struct {
		intake *intake.Facts
		ready  *surface.Ready
		moved  int // clips in which joints move: others hold a pose, or turn a lamp
	}
	of.intake, of.ready = FactsOf[intake.Facts](r), &FactsOf[surface.Facts](r).Ready
	for _, c := range FactsOf[motion.Facts](r).Clips {
		if c.Moving > 0 {
			of.moved++
		}
	}
	v.Matter = r.matter(v.Order)
	v.Order = first(v.Matter, v.Order)
	v.State = stateOf(of.intake, r.Exam.Bound() || r.Exam.OnParts(), of.moved)
	lead := r.lead(of.intake, v.State)
	switch v.State {
	case Empty:
		v.Says = lead + ". Nothing in it can be seen or moved."
	case Motion:
		v.Says = lead + ", without a surface. " + r.stands("It can be carried over to a figure")
	case Unbound:
		ready := ""
		if len(of.intake.Figures) > 1 {
			ready = "Each is to be bound by itself. "
		} else if of.ready.Says != "" {
			ready = of.ready.Says + " "
		}
		v.Says = strings.TrimSpace(lead + ", not bound to joints. " + ready + r.inTheWay("surface/ready-to-bind"))
	case Bound:
		v.Says = lead + ". " + r.stands("Bound and ready to animate")
	case Moving:
		good := "Bound, and moved by "
		if !r.Exam.Bound() {
			good = "Made of stiff parts, moved by "
		}
		if of.moved < of.intake.Clips {
			good += say.Whole(of.moved) + " of "
		}
		v.Says = lead + ". " + r.stands(good+say.Count(of.intake.Clips, "clip", "clips"))
	}
	return v
}

// stateOf tells how far a figure has come; moved is how many clips move its joints.
func stateOf(f *intake.Facts, bound bool, moved int) State {
	switch surfaces := f.Vertices > 0; {
	case !surfaces && f.Clips > 0:
		return Motion
	case !surfaces:
		return Empty
	case !bound:
		return Unbound
	case moved > 0:
		return Moving
	}
	return Bound
}

// lyingFlat is the part of its diagonal that a figure is high at least, or it lies flat; a person
// lying down is a fifth (common practice, no source).
const lyingFlat = 0.05

// lead says what is in the file: "A person, 1.86 m high".
func (r *Result) lead(f *intake.Facts, s State) string {
	if f.Fused > 1 {
		return say.Whole(f.Fused) + " figures grown together"
	}
	if len(f.Figures) > 1 {
		return say.Whole(len(f.Figures)) + " figures in one file"
	}
	kind := "A figure"
	switch roles := r.Exam.Roles(); {
	case s == Empty:
		return "A file without a figure"
	case f.FromSurface != nil:
		if k := r.Exam.FromSurface(); k != nil && f.FromSurface.Kind != nil {
			kind = k.Kind.Words() + " by its surface"
		}
	case roles.Kind != anatomy.NoKind:
		kind = roles.Kind.Words()
	}
	kind = strings.ToUpper(kind[:1]) + kind[1:]
	if s == Motion {
		return fmt.Sprintf("%s of %s and %s", kind, say.Count(f.Joints, "joint", "joints"), say.Count(f.Clips, "clip", "clips"))
	}
	lead := fmt.Sprintf("%s, %s high", kind, say.Metres(f.BodyHeight))
	if f.BodyHeight < lyingFlat*f.Diagonal { // a sheet on the ground: its height says nothing
		lead = fmt.Sprintf("%s lying flat, %s across", kind, say.Metres(f.Diagonal))
	}
	if n := len(r.Exam.Apart()); n > 0 && s != Empty {
		lead += fmt.Sprintf(", and other things (%s)", say.Count(n, "surface", "surfaces"))
	}
	return lead
}

// stands says what a figure is good for, and what fails or will show.
func (r *Result) stands(good string) string {
	stops, flaws := r.Count(check.Stop), r.Count(check.Flaw)
	switch {
	case stops > 0:
		return fmt.Sprintf("It will fail as it is: %s.", r.names(check.Stop))
	case flaws > 0:
		return fmt.Sprintf("%s; %s: %s.", good, say.Word(flaws, "one thing will show", inWords(flaws)+" things will show"), r.names(check.Flaw))
	case r.Count(check.Note) > 0:
		return good + "; nothing was found that will show."
	}
	return good + "; nothing was found."
}

// inTheWay names what else stands in the way of a figure whose verdict is said already by
// one check.
func (r *Result) inTheWay(but string) string {
	n := 0
	for _, f := range r.Findings() {
		if f.Grade >= check.Flaw && f.ID != but {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	g := check.Flaw
	if r.Count(check.Stop) > r.countOf(but, check.Stop) {
		g = check.Stop
	}
	return say.Word(n, "One thing will show", strings.ToUpper(inWords(n)[:1])+inWords(n)[1:]+" things will show") + ": " + r.names(g, but) + "."
}

func (r *Result) countOf(id string, g check.Grade) (n int) {
	for _, f := range r.Findings() {
		if f.ID == id && f.Grade == g {
			n++
		}
	}
	return n
}

// names lists the findings of a grade, the weightiest first, by title and measure: at
// most three checks, and how many more findings.
func (r *Result) names(g check.Grade, but ...string) string {
	all := r.Findings()
	var list []string
	more, told := 0, slices.Clone(but)
	for _, n := range r.ranked() {
		f := &all[n-1]
		if f.Grade != g || slices.Contains(but, f.ID) {
			continue
		}
		if len(list) == mostMatter || slices.Contains(told, f.ID) {
			more++
			continue
		}
		told = append(told, f.ID)
		list = append(list, f.Words())
	}
	if more > 0 {
		list = append(list, inWords(more)+" more")
	}
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}

// inWords is a small number in words.
func inWords(n int) string {
	if n < 13 {
		return [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}[n]
	}
	return say.Whole(n)
}

// matter answers the findings to look at first, one of each check.
func (r *Result) matter(order []int) []int {
	all, out := r.Findings(), []int{}
	var told []string
	for _, n := range order {
		if f := &all[n-1]; f.Cause == nil && len(out) < mostMatter && !slices.Contains(told, f.ID) {
			out, told = append(out, n), append(told, f.ID)
		}
	}
	return out
}

// first puts some numbers of a list before the others.
func first(some, list []int) []int {
	rest := slices.DeleteFunc(slices.Clone(list), func(n int) bool { return slices.Contains(some, n) })
	return append(slices.Clone(some), rest...)
}

// ranked lists the numbers of all findings: by grade, then what stands by itself before
// what follows from another, then by what is seen of it; last in the order of the work.
func (r *Result) ranked() []int {
	all := r.Findings()
	type entry struct {
		number int
		weight float64
	}
	list := make([]entry, len(all))
	for i := range all {
		list[i] = entry{i + 1, r.weigh(&all[i])}
	}
	slices.SortStableFunc(list, func(a, b entry) int {
		x, y := &all[a.number-1], &all[b.number-1]
		follows := func(f *check.Finding) int {
			if f.Cause != nil {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(y.Grade, x.Grade), follows(x)-follows(y), cmp.Compare(b.weight, a.weight))
	})
	out := make([]int, len(list))
	for i := range list {
		out[i] = list[i].number
	}
	return out
}
