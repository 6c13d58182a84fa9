// Package report writes an examination down to be printed, signed and kept: the verdict,
// the figure from four sides, each finding with its place, the joints with their
// histograms, the clips, what was looked at by which limits, and what was not. It draws
// nothing: pictures are given by the caller. Same examination and pictures, same bytes.
package report

import (
	"fmt"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/say"
)

// Kind is what a report says it is, Version how its head is to be read.
const (
	Kind    = "report"
	Version = 1
)

// Report is what goes into one.
type Report struct {
	Result  *inspect.Result
	Limits  check.Overrides // those of the examination
	File    paper.File      // its Role is set here
	Date    string          // as the caller writes it; "": none stands there
	Lengths say.Length      // what they are read in; "": metres
	Draw    Draw
}

// Draw draws an examination; nil functions: no pictures.
type Draw struct {
	Sides   func(r *inspect.Result) ([]paper.Picture, error)
	Finding func(r *inspect.Result, number int) (p paper.Picture, has bool, err error)
}

// HTML writes the report.
func (o *Report) HTML() ([]byte, error) {
	r := o.Result
	o.File.Role = paper.Examined
	p, err := paper.New(paper.Head{Kind: Kind, Version: Version, Program: "rigloupe " + inspect.Version,
		Files: []paper.File{o.File}, Title: "Report", About: o.File.Name})
	if err != nil {
		return nil, err
	}
	w := &writer{Sheet: p, r: r}
	w.Title(paper.Name(o.File.Name))
	w.Verdict(paper.Words(verdict(r)))
	if o.Draw.Sides != nil {
		sides, err := o.Draw.Sides(r)
		if err != nil {
			return nil, err
		}
		w.Pictures(sides)
	}
	w.Facts(o.facts())
	w.Small(paper.Words("The hash is SHA-256 of the file’s bytes; files beside it are not in it."))
	if err := w.findings(o.Draw); err != nil {
		return nil, err
	}
	w.joints()
	if err := w.clips(); err != nil {
		return nil, err
	}
	w.checks(o.Limits)
	w.Part(paper.Words("Not looked at"))
	w.NotLookedAt(r, nil)
	w.Together(func() {
		w.Part(paper.Words("Signed"))
		w.Sign([]paper.Field{{Name: "Examined by"}, {Name: "Date", Filled: paper.Name(o.Date), Short: true}, {Name: "Signature"}})
	})
	w.Lengths = o.Lengths
	return w.Seal(), nil
}

// verdict is the sentence on top, and where to look first.
func verdict(r *inspect.Result) string {
	v := r.Verdict()
	if v.Says == "" {
		return fmt.Sprintf("%s, %s and %s found; not all stations were looked at.", say.Count(r.Count(check.Stop), "stop", "stops"),
			say.Count(r.Count(check.Flaw), "flaw", "flaws"), say.Count(r.Count(check.Note), "note", "notes"))
	}
	return v.Says
}

// facts is the table of the file.
func (o *Report) facts() [][2]paper.Text {
	r := o.Result
	row := func(name string, t paper.Text) [2]paper.Text { return [2]paper.Text{paper.Words(name), t} }
	rows := [][2]paper.Text{row("File", paper.Files(o.File))}
	kind := strings.ToUpper(r.File.Kind)
	if r.File.Generator != "" {
		rows = append(rows, row("Kind", paper.Join(paper.Words(kind+", written by "), paper.Name(r.File.Generator))))
	} else {
		rows = append(rows, row("Kind", paper.Words(kind)))
	}
	if f := inspect.FactsOf[intake.Facts](r); f != nil {
		list := []string{say.Count(f.Surfaces, "surface", "surfaces"), say.Count(f.Vertices, "vertex", "vertices"), say.Count(f.Triangles, "triangle", "triangles"),
			say.Count(f.Joints, "joint", "joints"), say.Count(f.Clips, "clip", "clips")}
		if f.Height > 0 {
			list = append(list, say.Quantity(f.Height, say.Metre)+" high")
		}
		rows = append(rows, row("Holds", paper.Words(strings.Join(list, ", "))))
	}
	for _, t := range r.Remarks {
		rows = append(rows, row("Remark", paper.Words(t)))
	}
	rows = append(rows, row("Examined by", paper.Words("rigloupe "+inspect.Version)))
	if o.Date != "" {
		rows = append(rows, row("Date", paper.Name(o.Date)))
	}
	return append(rows, row("Limits", paper.Limits(o.Limits)))
}
