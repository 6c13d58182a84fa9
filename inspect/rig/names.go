package rig

import (
	"fmt"
	"slices"
	"unicode/utf8"

	"rigloupe/inspect/ceiling"
)

// CutNames shortens names that are longer, and notes each as malformed: no standard
// forbids them, and every list that shows names would be as long as they are. Texts of
// a file that are no names (generator, extensions) are cut likewise.
func (r *Rig) CutNames() {
	cut := func(s *string, place string) {
		if len(*s) <= ceiling.Name {
			return
		}
		all := len(*s)
		end := ceiling.Name
		for end > 0 && !utf8.RuneStart((*s)[end]) {
			end--
		}
		*s = string([]byte((*s)[:end])) + "…" // a copy: the whole would stay in memory
		if len(r.Malformed) < ceiling.LongNames {
			r.Malformed = append(r.Malformed, Malformed{Place: place, What: fmt.Sprintf("a name of %d bytes; the first %d are kept", all, end), Node: None, Mesh: None, Skin: None, Clip: None})
		}
	}
	list := func(s *[]string, place string) {
		if slices.ContainsFunc(*s, func(v string) bool { return len(v) > ceiling.Name }) {
			*s = slices.Clone(*s)
			for i := range *s {
				cut(&(*s)[i], fmt.Sprintf("%s/%d", place, i))
			}
		}
	}
	cut(&r.File.Generator, "/asset/generator")
	cut(&r.File.Version, "/asset/version")
	list(&r.File.Used, "/extensionsUsed")
	list(&r.File.Required, "/extensionsRequired")
	list(&r.File.NotHonored, "/extensionsRequired")
	for i := range r.Nodes {
		cut(&r.Nodes[i].Name, fmt.Sprintf("/nodes/%d/name", i))
	}
	for i := range r.Scenes {
		cut(&r.Scenes[i].Name, fmt.Sprintf("/scenes/%d/name", i))
	}
	for i := range r.Meshes {
		cut(&r.Meshes[i].Name, fmt.Sprintf("/meshes/%d/name", i))
		for t := range r.Meshes[i].Targets {
			cut(&r.Meshes[i].Targets[t].Name, fmt.Sprintf("/meshes/%d/extras/targetNames/%d", i, t))
		}
	}
	for i := range r.Skins {
		cut(&r.Skins[i].Name, fmt.Sprintf("/skins/%d/name", i))
	}
	for i := range r.Clips {
		cut(&r.Clips[i].Name, fmt.Sprintf("/animations/%d/name", i))
	}
	for i := range r.Materials {
		cut(&r.Materials[i].Name, fmt.Sprintf("/materials/%d/name", i))
	}
	for i := range r.Images {
		m := &r.Images[i]
		cut(&m.Name, fmt.Sprintf("/images/%d/name", i))
		cut(&m.MIME, fmt.Sprintf("/images/%d/mimeType", i))
		cut(&m.Missing, fmt.Sprintf("/images/%d", i))
	}
	for i := range r.Malformed {
		m := &r.Malformed[i]
		if len(m.What) > 2*ceiling.Name {
			m.What = m.What[:ceiling.Name] + "…"
		}
		if len(m.Place) > 2*ceiling.Name {
			m.Place = m.Place[:ceiling.Name] + "…"
		}
	}
}
