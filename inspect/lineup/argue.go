package lineup

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/say"
)

// Argument says which model is the best for rigging, and why.
type Argument struct {
	Verdict  string   `json:"verdict"`    // best, level, only, none-fit, none-placed, none-read
	Best     []string `json:"best"`       // files; several stand level
	RunnerUp []string `json:"runner_up"`  // the next place
	Decided  string   `json:"decided_by"` // what parts the best from the runner-up
	Says     string   `json:"says"`
}

// criterion is one step of the comparison. They are gone through in order, and the
// first that tells two models apart decides; so the reason named is the real one.
type criterion struct {
	name    string
	compare func(a, b *Row) int               // < 0: a is better
	behind  func(it string, b, a *Row) string // why b, called it, stands behind a
}

// The order is common practice, no source: what cannot be used, then work that is
// done already, then work to be done, then what makes that work harder.
var criteria = []criterion{
	{"something to bind", func(a, b *Row) int { return cmp.Compare(empty(a), empty(b)) },
		func(it string, _, _ *Row) string { return it + " has no surface to bind" }},
	{"stops", func(a, b *Row) int { return cmp.Compare(a.Counted.Stop, b.Counted.Stop) },
		func(it string, b, a *Row) string {
			return it + " has " + against(b, a, "stop", b.Counted.Stop, a.Counted.Stop)
		}},
	{"bound", func(a, b *Row) int { return cmp.Compare(truth(b.Bound), truth(a.Bound)) },
		func(it string, _, _ *Row) string { return it + " is not bound yet" }},
	{"body", func(a, b *Row) int { return cmp.Compare(noBody(a), noBody(b)) },
		func(it string, _, _ *Row) string { return it + " was not recognised as a body" }},
	{"verdict", func(a, b *Row) int { return cmp.Compare(unsure(a), unsure(b)) },
		func(it string, _, _ *Row) string {
			return "of " + it + " it could not be told which way its main shell faces"
		}},
	{"steps", func(a, b *Row) int { return cmp.Compare(len(a.Steps), len(b.Steps)) },
		func(it string, b, a *Row) string {
			return fmt.Sprintf("%s needs %s before it is bound (%s)%s", it, say.Count(len(b.Steps), "step", "steps"), strings.Join(b.Steps, ", "), than(len(a.Steps)))
		}},
	{"flaws", func(a, b *Row) int { return cmp.Compare(a.Counted.Flaw, b.Counted.Flaw) },
		func(it string, b, a *Row) string {
			return it + " has " + against(b, a, "flaw", b.Counted.Flaw, a.Counted.Flaw)
		}},
	{"bones", func(a, b *Row) int { return cmp.Compare(len(a.Missing), len(b.Missing)) },
		func(it string, b, a *Row) string {
			return fmt.Sprintf("%s lacks %s of a body%s", it, say.Count(len(b.Missing), "bone", "bones"), than(len(a.Missing)))
		}},
	{"holes", unboundBy(func(r *Row) float64 { return number(r, "holes") }),
		func(it string, b, a *Row) string {
			return fmt.Sprintf("%s has %s%s", it, say.Count(int(number(b, "holes")), "hole", "holes"), than(int(number(a, "holes"))))
		}},
	{"sides", unboundBy(thousandths),
		func(it string, b, a *Row) string {
			if math.IsInf(thousandths(b), 1) {
				return "the two sides of " + it + " could not be compared"
			}
			return fmt.Sprintf("%s has no partner on the other side for %s of its places, against %s", it, say.Percent(thousandths(b)/1000), say.Percent(thousandths(a)/1000))
		}},
	{"arms", func(a, b *Row) int { return cmp.Compare(otherArms(a), otherArms(b)) },
		func(it string, b, _ *Row) string {
			if b.Cells["arms"].Value == nil {
				return it + " has no arm pose that was recognised"
			}
			return it + " rests its arms in neither T nor A"
		}},
	{"notes", func(a, b *Row) int { return cmp.Compare(a.Counted.Note, b.Counted.Note) },
		func(it string, b, a *Row) string {
			return it + " has " + against(b, a, "note", b.Counted.Note, a.Counted.Note)
		}},
}

// compare orders two rows, the better one first; 0: nothing that decides tells
// them apart. Rows that are not placed stand behind, unread ones last.
func compare(a, b *Row) int {
	order := map[string]int{Examined: 0, Part: 1, Unread: 2}
	if d := cmp.Compare(order[a.State], order[b.State]); d != 0 || a.State != Examined {
		return d
	}
	_, d := decide(a, b)
	return d
}

// decide answers the criterion that tells two examined rows apart; nil: none does.
func decide(a, b *Row) (*criterion, int) {
	for i := range criteria {
		if d := criteria[i].compare(a, b); d != 0 {
			return &criteria[i], d
		}
	}
	return nil, 0
}

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}

func empty(r *Row) int { return truth(!r.Bound && r.Cells["ready"].Value == nothingToBind) }

// noBody counts only for figures that are bound: others have no joints to tell by.
func noBody(r *Row) int { return truth(r.Bound && r.Body == "") }

func unsure(r *Row) int { return truth(!r.Bound && r.Cells["ready"].Value == cannotTell) }

// otherArms counts, as noBody does, only for figures that are bound, and of those
// for people: a fox has no arms to hold.
func otherArms(r *Row) int {
	v := r.Cells["arms"].Value
	return truth(r.Bound && r.Body == "human" && v != "T" && v != "A")
}

// number is a cell as a number; +Inf: it has none.
func number(r *Row, column string) float64 {
	if v, ok := r.Cells[column].Value.(float64); ok {
		return v
	}
	return math.Inf(1)
}

// thousandths is the lopsided share as coarse as it is said; finer differences do
// not decide.
func thousandths(r *Row) float64 { return math.Round(1000 * number(r, "lopsided")) }

// unboundBy compares what matters only while a surface is still to be bound.
func unboundBy(value func(*Row) float64) func(a, b *Row) int {
	return func(a, b *Row) int {
		if a.Bound || b.Bound {
			return 0
		}
		return cmp.Compare(value(a), value(b))
	}
}

// argue makes the argument of rows in order.
func argue(rows []Row) Argument {
	arg := Argument{Best: []string{}, RunnerUp: []string{}}
	placed := rows[:0:0]
	unread, part := 0, 0
	for i := range rows {
		switch rows[i].State {
		case Examined:
			placed = append(placed, rows[i])
		case Part:
			part++
		case Unread:
			unread++
		}
	}
	switch {
	case len(placed) == 0 && part == 0:
		arg.Verdict = "none-read"
		arg.Says = fmt.Sprintf("%s could be read, so there is nothing to choose from.", map[bool]string{true: "No file", false: "None of the " + say.Count(unread, "file", "files")}[unread < 2])
		return arg
	case len(placed) == 0:
		arg.Verdict = "none-placed"
		arg.Says = "No model was examined far enough to argue for one: Intake and Surface are needed, of a bound figure Skeleton and Binding too."
		return arg
	}
	var says []string
	top := level(placed)
	next := level(placed[len(top):])
	best := &top[0]
	arg.Best, arg.RunnerUp = files(top), files(next)
	switch {
	case len(placed) == 1:
		arg.Verdict = "only"
		says = append(says, fmt.Sprintf("%q is the only one that was examined, so there is nothing to hold it against. %s.", best.File, upper("it "+stands(best))))
	case !best.Fit:
		arg.Verdict = "none-fit"
		says = append(says, fmt.Sprintf("None of these %d is fit for rigging as it is. %s: %s.", len(placed), nearest(top), "it "+stands(best)))
	case len(top) > 1:
		arg.Verdict = "level"
		says = append(says, fmt.Sprintf("%s stand level: nothing that decides tells them apart. Each %s. %s", quoted(arg.Best), stands(best), apart(top)))
	default:
		arg.Verdict = "best"
		says = append(says, fmt.Sprintf("%q is the best of these %d for rigging: it %s.", best.File, len(placed), stands(best)))
	}
	if len(placed) == 1 && !best.Fit {
		arg.Verdict = "none-fit"
	}
	if len(next) > 0 {
		by, _ := decide(best, &next[0])
		arg.Decided = by.name
		says = append(says, runnerUp(best, next, by))
	}
	says = append(says, remains(best))
	if s := otherKind(placed, best); s != "" {
		says = append(says, s)
	}
	says = append(says, leftOut(part, unread)...)
	arg.Says = strings.Join(says, " ")
	return arg
}

// level answers the rows at the head that stand on one place.
func level(rows []Row) []Row {
	for i := range rows {
		if compare(&rows[0], &rows[i]) != 0 {
			return rows[:i]
		}
	}
	return rows
}

// reason says why a row stands behind those before it: what the first criterion that parts
// it from the nearest better one says; of the first, what it is like.
func reason(before []Row, r *Row) string {
	switch r.State {
	case Part:
		return "not examined to the end"
	case Unread:
		return "could not be read"
	}
	for i := len(before) - 1; i >= 0; i-- {
		if c, d := decide(&before[i], r); c != nil && d < 0 {
			return strings.TrimPrefix(c.behind("it", r, &before[i]), "it ")
		}
	}
	return stands(r)
}

// stands says what a row is like, after "it".
func stands(r *Row) string {
	stops := ""
	if n := r.Counted.Stop; n > 0 {
		stops = fmt.Sprintf(" with %s (%s)", say.Count(n, "stop", "stops"), titles(r, "stop"))
	}
	switch {
	case r.Bound && stops != "":
		return "is already bound, but" + strings.Replace(stops, " with", " has", 1)
	case r.Bound:
		return "is already bound, and no stop stands in its way" + r.passedOver()
	case empty(r) > 0:
		return "has no surface to bind"
	case stops != "":
		return "is not ready to be bound," + stops
	case unsure(r) > 0:
		return "may be bound, but which way its main shell faces could not be told"
	case len(r.Steps) > 0:
		return "can be bound after " + say.Count(len(r.Steps), "step", "steps")
	}
	return "is ready to bind as it stands"
}

// passedOver names the stops that do not count, so that the sentence and the column
// of stops do not contradict each other.
func (r *Row) passedOver() string {
	if r.uncounted("stop") > 0 {
		return "; its clips have a stop of their own"
	}
	return ""
}

func nearest(top []Row) string {
	if len(top) > 1 {
		return "The nearest are " + quoted(files(top)) + ", which stand level"
	}
	return fmt.Sprintf("The nearest is %q", top[0].File)
}

// runnerUp says who comes next, why not first, and what speaks for it all the same.
func runnerUp(best *Row, next []Row, by *criterion) string {
	b := &next[0]
	s := fmt.Sprintf("The runner-up, %q, stands behind because ", b.File)
	if len(next) > 1 {
		s = fmt.Sprintf("The runners-up, %s, stand level with each other, and behind because ", quoted(files(next)))
		s += by.behind(fmt.Sprintf("each, as %q,", b.File), b, best)
	} else {
		s += by.behind("it", b, best)
	}
	after := false
	for i := range criteria {
		c := &criteria[i]
		if c.name == "notes" { // what is merely worth knowing speaks against nobody
			break
		}
		if after && c.compare(best, b) > 0 {
			s += "; on the other hand " + c.behind(strconv.Quote(best.File), best, b)
			break
		}
		after = after || c.name == by.name
	}
	return s + "."
}

// remains says what is left to mend in the best.
func remains(r *Row) string {
	var parts []string
	if len(r.Steps) > 0 {
		parts = append(parts, "before it is bound, in this order, "+strings.Join(r.Steps, ", "))
	}
	for _, g := range []struct {
		grade string
		n     int
	}{{"stop", r.Counted.Stop}, {"flaw", r.Counted.Flaw}} {
		if g.n > 0 {
			parts = append(parts, fmt.Sprintf("%s (%s)", say.Regular(g.n, g.grade), titles(r, g.grade)))
		}
	}
	var own []string // of its clips
	for _, grade := range []string{"flaw", "note"} {
		if n := r.uncounted(grade); n > 0 {
			own = append(own, say.Regular(n, grade))
		}
	}
	clips := ""
	if own != nil {
		clips = fmt.Sprintf("; its clips have %s of their own", strings.Join(own, " and "))
	}
	switch {
	case len(parts) > 0:
		return fmt.Sprintf("What remains to be mended in %q: %s%s.", r.File, strings.Join(parts, "; "), clips)
	case r.Counted.Note == 1:
		return fmt.Sprintf("Nothing must be mended in %q; 1 note is worth knowing%s.", r.File, clips)
	case r.Counted.Note > 1:
		return fmt.Sprintf("Nothing must be mended in %q; %d notes are worth knowing%s.", r.File, r.Counted.Note, clips)
	}
	return fmt.Sprintf("Nothing remains to be mended in %q%s.", r.File, clips)
}

// uncounted counts the findings of a grade that do not count for rigging, so that the
// sentence and the columns do not contradict each other.
func (r *Row) uncounted(grade string) (n int) {
	for _, b := range r.Brief {
		if b.Grade == grade && !b.Counts {
			n++
		}
	}
	return n
}

// otherKind names the first of the models that are not bound where the best is, so
// that "already bound" is not taken for "better to bind".
func otherKind(placed []Row, best *Row) string {
	if !best.Bound || !best.Fit {
		return ""
	}
	i := slices.IndexFunc(placed, func(r Row) bool { return !r.Bound && r.Fit })
	if i < 0 {
		return ""
	}
	return fmt.Sprintf("To be bound anew, %q comes first of those not bound: it %s.", placed[i].File, stands(&placed[i]))
}

func leftOut(part, unread int) (s []string) {
	if part > 0 {
		s = append(s, fmt.Sprintf("%s not examined to the end and not placed.", say.Count(part, "model was", "models were")))
	}
	if unread > 0 {
		s = append(s, fmt.Sprintf("%s could not be read.", say.Count(unread, "file", "files")))
	}
	return s
}
