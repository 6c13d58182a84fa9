package mend

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/original"
	"rigloupe/inspect/say"
)

var dropUnused = Mend{
	ID:     "sweep",
	Title:  "Drop unused data",
	Stage:  Thin,
	Beside: []string{"intake/heavy"},
	Does: "Curves, shapes, skins and number lists that nothing in the file names any more go, and the gaps between what stays are closed. " +
		"All that is seen and played keeps its bytes; numbers of lists behind what went count up, so no other program's references by number may point in from outside.",
	Source:  "glTF 2.0, Indices and Names; Buffers and Buffer Views",
	Suggest: func(*Findings) []Values { return nil }, // unused data harm nobody but those who wait for them
	Apply: func(w *Work) error {
		taken, bytes, err := w.Doc.Sweep()
		if err != nil {
			return w.Refuse("%s.", sentence(err))
		}
		n := 0
		for _, k := range []original.Kind{original.Samplers, original.Meshes, original.Skins, original.Accessors, original.Views} {
			n += taken[k]
		}
		if n == 0 && bytes == 0 {
			return w.Refuse("All data of the file are in use.")
		}
		w.Measure(check.Also("smaller by", float64(bytes), say.Byte))
		w.Say("%s, %s, %s, %s and %s went.", say.Count(taken[original.Samplers], "curve", "curves"), say.Count(taken[original.Meshes], "mesh", "meshes"),
			say.Count(taken[original.Skins], "skin", "skins"), say.Count(taken[original.Accessors], "list of numbers", "lists of numbers"), say.Count(taken[original.Views], "stretch of bytes", "stretches of bytes"))
		return nil
	},
}
