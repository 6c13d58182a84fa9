package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/lesson"
	"rigloupe/inspect/mark"
)

// lesson lists what there is to learn by, or measures a lesson on a figure.
func (p *program) lesson(args []string) (int, error) {
	f := flag.NewFlagSet("lesson", flag.ContinueOnError)
	name, at, asJSON := f.String("name", "", ""), f.Float64("at", math.NaN(), ""), f.Bool("json", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	all := lesson.All()
	if len(files) == 0 && *name == "" {
		p.listLessons(all)
		return exitDone, nil
	}
	file, err := one(files)
	if err != nil {
		return 0, err
	}
	if *name == "" {
		var ids []string
		for i := range all {
			ids = append(ids, all[i].ID)
		}
		return 0, callError{"--name says which lesson: one of " + strings.Join(ids, ", ")}
	}
	l, err := lesson.Named(all, *name)
	if err != nil {
		return 0, callError{"--name: " + err.Error()}
	}
	r, err := p.open(file)
	if err != nil {
		return 0, err
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(file), err)
	}
	told := lesson.Tell(l, res, at) // NaN: where the lesson puts it
	if *asJSON {
		return exitDone, desk.WriteJSON(p.out, told)
	}
	fmt.Fprintf(p.out, "%s: %s\n", l.Title, line(res.File.Name))
	paragraph(p.out, "  ", l.Idea)
	if told.WhyNot != "" {
		paragraph(p.out, "  ", "Not on this figure: "+told.WhyNot+".")
		return exitDone, nil
	}
	where := told.Dial.Says
	if told.Joint >= 0 {
		where = line(string(told.Name)) + ", " + strings.TrimSpace(told.Dial.Axis+" "+where)
	}
	fmt.Fprintf(p.out, "  %s\n", where)
	for text := range strings.SplitSeq(told.Formula, "\n") {
		if text != "" {
			fmt.Fprintf(p.out, "  %s\n", line(text))
		}
	}
	for _, n := range told.Numbers {
		fmt.Fprintf(p.out, "  %-40s %s\n", n.Title, n.Says)
	}
	paragraph(p.out, "  ", "Do: "+l.Do)
	paragraph(p.out, "  ", "Notice: "+l.Notice)
	return exitDone, nil
}

func (p *program) listLessons(all []lesson.Lesson) {
	fmt.Fprintln(p.out, "Lessons")
	for _, l := range all {
		fmt.Fprintf(p.out, "  %-10s %s\n", l.ID, l.Title)
	}
	fmt.Fprintln(p.out, "Faults of the sample")
	for _, f := range desk.Faults() {
		fmt.Fprintf(p.out, "  %5d  %-5s %-28s %s\n", f.Number, f.Grade, f.Title, f.Says)
	}
}

// mark holds what learners found against an answer.
func (p *program) mark(args []string) (int, error) {
	f := flag.NewFlagSet("mark", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) < 2 {
		return 0, callError{"want ANSWER.json and one or more FINDINGS.json"}
	}
	data, err := p.whole(files[0])
	if err != nil {
		return 0, err
	}
	answer, err := mark.ParseAnswer(data)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(files[0]), err)
	}
	var lists []mark.Findings
	for _, name := range files[1:] {
		data, err := p.whole(name)
		if err != nil {
			return 0, err
		}
		found, err := mark.ParseFindings(data)
		if err != nil {
			return 0, fmt.Errorf("%s: %w", shown(name), err)
		}
		if found.By == "" {
			found.By = name
		}
		lists = append(lists, found)
	}
	r := mark.Of(answer, lists)
	if *asJSON {
		return exitDone, desk.WriteJSON(p.out, r)
	}
	fmt.Fprintf(p.out, "%s\nPlanted: %s.\n", line(r.Says), line(answer.Says))
	for _, m := range r.Learner {
		fmt.Fprintf(p.out, "  %-20s %s\n", line(m.By), line(m.Says))
		for _, row := range m.Rows {
			fmt.Fprintf(p.out, "      %-12s %s %s: %s\n", row.Outcome, line(row.Check), line(row.Joint), line(row.Because))
		}
	}
	return exitDone, nil
}
