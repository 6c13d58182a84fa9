package mend

import (
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var cutGear = Mend{
	ID:     "gear",
	Title:  "Take gear out",
	Stage:  Part,
	Beside: []string{"binding/hangs-on"},
	Does: "Surfaces that the figure holds or wears go out of the scene: their nodes and joints stay where they are, so that something else can hang there, or leave it too where nothing else needs them; clips play as before. " +
		"Their shapes stay in the file until unused data are dropped. Single pieces of a surface, a buckle or a strap, are cut out of it.",
	Source: "glTF 2.0, Nodes: a node without a mesh shows nothing",
	Parameters: []Parameter{
		{Name: "surfaces", Title: "Surfaces", Kind: List, Says: "By the name of their node; #3 is the third surface."},
		{Name: "pieces", Title: "Pieces", Kind: List, Says: "Connected pieces, each by a place on it as the figure rests: \"x y z\" in metres; the nearest counts."},
		{Name: "joints", Title: "Their joints", Kind: Choice, Default: "kept", Choices: []string{"kept", "dropped"}, Says: "dropped: nodes and joints that nothing else needs leave the scene, with the channels that moved them. They stay in the file, so that no node's number changes."},
		{Name: "gear", Title: "All gear", Kind: Truth, Default: false, Says: "Every surface that the examination counts as gear."},
	},
	Suggest: func(*Findings) []Values { return nil }, // a person's choice: gear is no fault
	Apply: func(w *Work) error {
		out := map[int]bool{}
		for _, name := range w.Values.List("surfaces") {
			i := SurfaceNamed(w.Rig, name)
			if i < 0 {
				return w.Refuse("There is no surface %q.", name)
			}
			out[i] = true
		}
		if w.Values.Is("gear") {
			for _, i := range w.Exam.Gear() {
				out[i] = true
			}
		}
		pieces, err := w.pieces(out)
		if err != nil {
			return err
		}
		switch {
		case len(pieces) > 0:
		case len(out) == 0 && w.Values.Is("gear"):
			return w.Refuse("Nothing here counts as gear.")
		case len(out) == 0:
			return w.Refuse("No surface and no piece is named.")
		}
		if !slices.ContainsFunc(w.Exam.Shown(), func(i int) bool { return !out[i] }) {
			return w.Refuse("Nothing would be left to see.")
		}
		if err := w.cutOut(pieces); err != nil {
			return err
		}
		nodes := map[int]bool{}
		vertices := 0
		for i := range w.Rig.Surfaces {
			if !out[i] {
				continue
			}
			n := int(w.Rig.Surfaces[i].Node)
			if err := unmorph(w, n); err != nil {
				return err
			}
			o := w.Doc.Object(original.Nodes, n)
			for _, key := range []string{"mesh", "skin", "weights"} {
				o.Set(key, nil)
			}
			w.Doc.Refresh(original.Nodes, n)
			nodes[n] = true
			vertices += w.Rig.Meshes[w.Rig.Surfaces[i].Mesh].Vertices()
			w.Say("%q is out.", surfaceName(w.Rig, i))
		}
		// VRM 1.0, First person: an annotation is of a node with a mesh.
		notes := w.Doc.Root.Get("extensions").Get("VRMC_vrm").Get("firstPerson").Get("meshAnnotations")
		if notes != nil {
			notes.Delete(func(i int) bool { return nodes[notes.At(i).Get("node").Int()] })
		}
		if len(out) == 0 {
			return nil
		}
		if w.Values.Text("joints") == "dropped" {
			if err := w.drop(nodes); err != nil {
				return err
			}
		}
		w.Measure(check.Also("taken out", float64(len(out)), say.Surfaces))
		w.Measure(check.Also("fewer", float64(vertices), say.Vertices))
		return nil
	},
}

// unmorph takes out the channels that move the morph weights of a node that loses its mesh:
// they would move nothing that is there.
func unmorph(w *Work, node int) error {
	for c := range w.Doc.Count(original.Clips) {
		list := w.Doc.Object(original.Clips, c).Get("channels")
		var gone []int
		for i := range list.Len() {
			t := list.At(i).Get("target")
			pointer := t.Get("extensions").Get("KHR_animation_pointer").Get("pointer").String()
			if t.Get("path").String() == rig.Weights.String() && t.Get("node").Int() == node || strings.HasPrefix(pointer, fmt.Sprintf("/nodes/%d/weights", node)) {
				gone = append(gone, i)
			}
		}
		if len(gone) == 0 {
			continue
		}
		if len(gone) == list.Len() {
			return w.Refuse("Clip %d moves nothing but the morphs of node %d: take the clip out first.", c, node)
		}
		list.Delete(func(i int) bool { return slices.Contains(gone, i) })
		w.Doc.Refresh(original.Clips, c)
	}
	return nil
}
