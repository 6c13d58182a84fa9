package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/say"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/surface"
)

// The marks of the grades, as on the page: a square, a lozenge, a caret; three
// strokes for what was not looked at.
var marks = map[check.Grade]string{check.Stop: "■", check.Flaw: "◆", check.Note: "^"}

// width is where the right column of the ledger ends.
const width = 78

// detail says how much of an examination is printed. Its zero value is one screen: the
// verdict, then stops and flaws by title, measure and place.
type detail struct {
	why     bool // of what is printed: further measures, why, remedy
	notes   bool // notes too, those of one kind in a row; what each station tells; what was not looked at
	all     bool // everything whole, every list of names to its end
	timings bool
	limits  int // how many are not those delivered
}

// writeLedger prints one examination for a person.
func writeLedger(w io.Writer, r *inspect.Result, d detail) {
	verdict := r.Verdict()
	writeHead(w, r, verdict.Says, d.limits)
	writeMatter(w, r, verdict.Matter)
	number, folds := 0, map[int]*inspect.Fold{}
	for _, fold := range r.Folds() {
		for _, n := range fold.Numbers {
			folds[n] = &fold
		}
	}
	for i := range r.Stations {
		s := &r.Stations[i]
		n, notes := 0, 0
		for _, c := range s.Checks {
			if c.State == check.Clear {
				n++
			}
		}
		for j := range s.Findings {
			if s.Findings[j].Grade == check.Note {
				notes++
			}
		}
		right := fmt.Sprintf("%d clear", n)
		if notes > 0 && !d.notes && !d.all {
			right = typed(say.Count(notes, "note", "notes")) + ", " + right
		}
		if d.timings && s.Facts != nil {
			right += fmt.Sprintf(", %.1f ms", float64(s.Took.Microseconds())/1000)
		}
		fmt.Fprintf(w, "\n%s\n", spread(s.Title, right))
		if d.notes || d.all {
			paragraph(w, "  ", says(s.Facts))
		}
		for j := range s.Findings {
			number++
			finding, fold := &s.Findings[j], folds[number]
			switch {
			case d.all:
				writeFinding(w, r, number, finding, true)
				writeNames(w, r, finding)
			case finding.Grade > check.Note:
				writeFinding(w, r, number, finding, d.why)
			case !d.notes:
			case fold == nil:
				writeFinding(w, r, number, finding, d.why)
			case fold.Numbers[0] == number:
				writeFold(w, r, fold)
			}
		}
		if d.notes || d.all || s.Facts == nil {
			writeSkipped(w, s.Checks)
		}
	}
	writeDoors(w, r, d)
}

// writeHead says what the file is, what stands in the way, and how many checks told something.
func writeHead(w io.Writer, r *inspect.Result, sentence string, limits int) {
	f := r.File
	fmt.Fprintf(w, "%s  %s · %s bytes", line(f.Name), f.Kind, typed(say.Plain(float64(f.Bytes))))
	if f.Generator != "" {
		fmt.Fprintf(w, " · %s", line(f.Generator))
	}
	fmt.Fprintln(w)
	for _, remark := range r.Remarks {
		fmt.Fprintf(w, "  %s\n", line(remark))
	}
	paragraph(w, "  ", sentence)
	clear, skipped, total := 0, 0, 0
	for _, s := range r.Stations {
		for _, c := range s.Checks {
			total++
			switch c.State {
			case check.Clear:
				clear++
			case check.NotLookedAt:
				skipped++
			}
		}
	}
	fmt.Fprintf(w, "  ■ stop %d   ◆ flaw %d   ^ note %d   --- not looked at %d   %d of %d checks clear\n",
		r.Count(check.Stop), r.Count(check.Flaw), r.Count(check.Note), skipped, clear, total)
	if limits > 0 {
		paragraph(w, "  ", "Judged by "+say.Count(limits, "limit", "limits")+" of --limits in place of those delivered.")
	}
}

// writeMatter names the findings to look at first.
func writeMatter(w io.Writer, r *inspect.Result, matter []int) {
	if len(matter) == 0 {
		return
	}
	all := r.Findings()
	var list []string
	for _, n := range matter {
		list = append(list, fmt.Sprintf("%d %s", n, all[n-1].Title))
	}
	paragraph(w, "  ", "Look first at "+strings.Join(list, ", ")+".")
}

// writeDoors says how to see what was left closed.
func writeDoors(w io.Writer, r *inspect.Result, d detail) {
	if d.all || len(r.Findings()) == 0 {
		return
	}
	var doors []string
	if !d.why {
		doors = append(doors, "why and what to do: --why")
	}
	if !d.notes && r.Count(check.Note) > 0 {
		doors = append(doors, "the notes: --notes")
	}
	doors = append(doors, "all of it whole: --all")
	text := strings.Join(doors, " · ")
	fmt.Fprintf(w, "\n%s\n", strings.ToUpper(text[:1])+text[1:])
}

// says is what a station tells of the figure as a whole, found or not.
func says(facts any) string {
	switch f := facts.(type) {
	case *intake.Facts:
		if f.FromSurface != nil {
			return f.FromSurface.Says
		}
	case *surface.Facts:
		return f.Ready.Says
	case *skeleton.Facts:
		return f.Says
	}
	return ""
}

// writeFold prints notes of one kind as one row, a line each.
func writeFold(w io.Writer, r *inspect.Result, fold *inspect.Fold) {
	fmt.Fprintln(w, spread(fmt.Sprintf("  %s     %s", marks[check.Note], fold.Title), fmt.Sprintf("%d notes, whole with --all", len(fold.Numbers))))
	all := r.Findings()
	for _, n := range fold.Numbers {
		f := &all[n-1]
		value := ""
		if len(f.Measures) > 0 {
			value = typed(f.Measures[0].Says())
		}
		fmt.Fprintln(w, spread(fmt.Sprintf("     %2d  %s", n, f.Title), value))
		paragraph(w, "         ", f.Subject)
	}
}

// writeNames prints the joints and clips of a finding to the last, where its subject
// names but a few.
func writeNames(w io.Writer, r *inspect.Result, f *check.Finding) {
	line := func(what string, names []string) {
		if len(names) > exam.MostListed {
			paragraph(w, "        ", fmt.Sprintf("%s (%d): %s", what, len(names), strings.Join(names, ", ")))
		}
	}
	var joints, clips []string
	for _, n := range f.Where.Joints {
		joints = append(joints, r.Exam.NodeName(n))
	}
	for _, c := range f.Where.Clips {
		name := strconv.Quote(r.Exam.Rig.Clips[c].Name)
		if r.Exam.Rig.Clips[c].Name == "" {
			name = fmt.Sprintf("clip %d", c)
		}
		clips = append(clips, name)
	}
	line("joints", joints)
	line("clips", clips)
	writePlaces(w, f)
}

// writePlaces prints the places of a finding that stands in several, a line each, the worst
// first.
func writePlaces(w io.Writer, f *check.Finding) {
	for i := range f.Rows {
		row := &f.Rows[i]
		value := ""
		if len(row.Measures) > 0 {
			value = typed(row.Measures[0].Says())
		}
		fmt.Fprintln(w, spread(fmt.Sprintf("        place %d  %s", i+1, row.Subject), value))
	}
}

// writeFinding prints one finding: title, measure, place and limit; with why whole.
func writeFinding(w io.Writer, r *inspect.Result, number int, f *check.Finding, why bool) {
	value, limit := "", "listed"
	if len(f.Measures) > 0 {
		m := f.Measures[0]
		value = typed(m.Says())
		if says := typed(m.LimitSays()); says != "" {
			limit = "limit " + says
		}
	}
	fmt.Fprintln(w, spread(fmt.Sprintf("  %s %2d  %s", marks[f.Grade], number, f.Title), value))
	fmt.Fprintln(w, spread("        "+f.Subject, limit))
	if !why {
		return
	}
	for _, m := range f.Measures[min(1, len(f.Measures)):] {
		fmt.Fprintf(w, "        %s %s\n", m.Name, typed(m.Beside()))
	}
	if c := f.Cause; c != nil {
		paragraph(w, "        ", fmt.Sprintf("Follows from %d, %s.", r.NumberOf(c), c.Title))
	}
	for _, h := range f.Where.Hang {
		to := "nothing that is there"
		if h[1] >= 0 {
			to = r.Exam.NodeName(h[1])
		}
		paragraph(w, "        ", fmt.Sprintf("%s → %s", r.Exam.NodeName(h[0]), to))
	}
	paragraph(w, "        ", f.Why)
	if f.Remedy == "" {
		return
	}
	for i, step := range strings.Split(f.Remedy, "\n") {
		paragraph(w, fmt.Sprintf("        %d ", i+1), step)
	}
}

// writeSkipped lists what was not looked at, once a reason.
func writeSkipped(w io.Writer, checks []check.Outcome) {
	var reasons []string
	ids := map[string][]string{}
	for _, c := range checks {
		if c.State == check.NotLookedAt {
			if ids[c.Reason] == nil {
				reasons = append(reasons, c.Reason)
			}
			ids[c.Reason] = append(ids[c.Reason], strings.SplitN(c.ID, "/", 2)[1])
		}
	}
	for _, reason := range reasons {
		paragraph(w, "  ---   ", fmt.Sprintf("not looked at, %s: %s", reason, strings.Join(ids[reason], ", ")))
	}
}

// spread sets one text left and one right; a long left text pushes the right one on.
func spread(left, right string) string {
	left, right = typed(line(left)), typed(line(right))
	gap := width - utf8.RuneCountInString(left) - utf8.RuneCountInString(right)
	return strings.TrimRight(left+strings.Repeat(" ", max(gap, 2))+right, " ")
}

// paragraph breaks a text at the width; later lines stand under the first.
func paragraph(w io.Writer, indent, text string) {
	line, used := indent, 0
	for _, word := range strings.Fields(typed(text)) {
		if used > 0 && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			fmt.Fprintln(w, line)
			line, used = strings.Repeat(" ", utf8.RuneCountInString(indent)), 0
		}
		if used > 0 {
			line += " "
		}
		line += word
		used++
	}
	if used > 0 {
		fmt.Fprintln(w, line)
	}
}

// readIn is what lengths are read in by who made this call (--units); documents stay in metres.
var readIn say.Length

// typed is a number's words for a terminal, where a space is a space: what is printed is
// searched and cut by other programs.
func typed(words string) string {
	words = say.In(words, readIn)
	return strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(words)
}
