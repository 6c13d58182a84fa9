package report

import (
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// joints is the table of the joints of every skin with their histograms.
func (w *writer) joints() {
	f := inspect.FactsOf[binding.Facts](w.r)
	if f == nil || len(f.Skins) == 0 {
		return
	}
	w.Part(paper.Words("Joints"))
	w.Small(paper.Words("A histogram counts the weights of a joint in tenths, from faint at the left to whole at the right, each by its own tallest bar."))
	for i := range f.Skins {
		s := &f.Skins[i]
		if len(f.Skins) > 1 {
			w.Step(paper.Join(paper.Words(fmt.Sprintf("Skin %d ", s.Skin)), paper.Name(string(s.Name))))
		}
		var rows [][]paper.Text
		for k := range s.Joints {
			j := &s.Joints[k]
			partner := paper.Words("–")
			if j.Partner != nil {
				partner = paper.Name(w.r.Exam.NodeName(*j.Partner))
			}
			if j.Vertices == 0 {
				rows = append(rows, []paper.Text{paper.Name(w.r.Exam.NodeName(j.Node)), partner, paper.Soft(paper.Words("no weights")), paper.Words("0"), paper.Words("0"), paper.Words("–")})
				continue
			}
			rows = append(rows, []paper.Text{paper.Name(w.r.Exam.NodeName(j.Node)), partner, paper.Bars(j.Histogram[:], histogramWords(j.Histogram)),
				paper.Words(say.Whole(j.Vertices)), paper.Words(say.Whole(j.Dominant)), paper.Words(say.Quantity(j.Reach, say.Metre))})
		}
		w.Table([]string{"Joint", "Partner", "Weights", "Vertices", "Strongest on", "Reach"}, 3, rows)
	}
}

// histogramWords says a histogram to those who do not see it.
func histogramWords(h [10]int) string {
	words := "weights by tenths:"
	for _, n := range h {
		words += " " + say.Whole(n)
	}
	return words
}

// ribbonColumns is how finely a clip's ribbon is cut.
const ribbonColumns = 60

// clips is the table of clips, each with a ribbon of how many joints move when.
func (w *writer) clips() error {
	g := w.r.Exam.Rig
	if inspect.FactsOf[motion.Facts](w.r) == nil || len(g.Clips) == 0 {
		return nil
	}
	w.Part(paper.Words("Clips"))
	w.Small(paper.Words("A ribbon runs from a clip’s start to its end; the darker, the more of the joints that move in it move then."))
	var rows [][]paper.Text
	for c := range g.Clips {
		m, err := motion.Rows(w.r.Exam, rig.Clip(c), ribbonColumns)
		if err != nil {
			return err
		}
		moving, keys := 0, 0
		count := make([]int, m.Columns)
		for i := range m.Joints {
			j := &m.Joints[i]
			keys += j.Keys
			if j.State != "moves" {
				continue
			}
			moving++
			for k := range count {
				if j.Turns[k] > .01 || k < len(j.Ways) && j.Ways[k] > 1e-5 {
					count[k]++
				}
			}
		}
		name := paper.Name(string(m.Name))
		if m.Name == "" {
			name = paper.Words(fmt.Sprintf("clip %d", c))
		}
		rows = append(rows, []paper.Text{name, paper.Ribbon(count, moving, fmt.Sprintf("%d of %d joints move", moving, len(m.Joints))),
			paper.Words(say.Quantity(m.Seconds-m.Start, say.Second)), paper.Words(fmt.Sprintf("%s of %s", say.Whole(moving), say.Whole(len(m.Joints)))), paper.Words(say.Whole(keys))})
	}
	w.Table([]string{"Clip", "Movement", "Length", "Joints that move", "Keys"}, 2, rows)
	return nil
}
