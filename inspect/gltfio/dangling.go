package gltfio

import (
	"fmt"
	"maps"
	"slices"
)

// dangling answers why a list must not grow: the file names an item just behind its
// end, which the reader leaves out, and the new one would be taken for it. Members of
// extensions are not looked into.
func (w *appender) dangling() error {
	d := w.r.doc
	accessors := func(i int) bool { return i >= w.base.accessors && i < w.base.accessors+len(w.access) }
	views := func(i int) bool { return i >= w.base.views && i < w.base.views+len(w.views) }
	refuse := func(what string, i, count int, steps ...any) error {
		return &Refused{File: w.r.main.name, Place: place(steps...), What: fmt.Sprintf("%s %d does not exist, there are %d; what is added would be taken for it", what, i, count),
			Hint: "export the model again, then add the clip"}
	}
	for i, m := range d.Meshes {
		for k, p := range m.Primitives {
			if p.Indices != nil && accessors(*p.Indices) {
				return refuse("accessor", *p.Indices, w.base.accessors, "meshes", i, "primitives", k, "indices")
			}
			for _, name := range slices.Sorted(maps.Keys(p.Attributes)) {
				if a := p.Attributes[name]; accessors(a) {
					return refuse("accessor", a, w.base.accessors, "meshes", i, "primitives", k, "attributes", name)
				}
			}
			for t := range p.Targets {
				for _, name := range slices.Sorted(maps.Keys(p.Targets[t])) {
					if a := p.Targets[t][name]; accessors(a) {
						return refuse("accessor", a, w.base.accessors, "meshes", i, "primitives", k, "targets", t, name)
					}
				}
			}
		}
	}
	for i, s := range d.Skins {
		if a := s.InverseBindMatrices; a != nil && accessors(*a) {
			return refuse("accessor", *a, w.base.accessors, "skins", i, "inverseBindMatrices")
		}
	}
	for i, c := range d.Animations {
		for k, s := range c.Samplers {
			for name, a := range map[string]int{"input": s.Input, "output": s.Output} {
				if accessors(a) {
					return refuse("accessor", a, w.base.accessors, "animations", i, "samplers", k, name)
				}
			}
		}
	}
	for i, a := range d.Accessors {
		if v := a.BufferView; v != nil && views(*v) {
			return refuse("buffer view", *v, w.base.views, "accessors", i, "bufferView")
		}
		if s := a.Sparse; s != nil && (views(s.Indices.BufferView) || views(s.Values.BufferView)) {
			return refuse("buffer view", max(s.Indices.BufferView, s.Values.BufferView), w.base.views, "accessors", i, "sparse")
		}
	}
	for i, p := range d.Images {
		if v := p.BufferView; v != nil && views(*v) {
			return refuse("buffer view", *v, w.base.views, "images", i, "bufferView")
		}
	}
	if w.into == len(d.Buffers) && len(*w.store()) > 0 {
		for i, v := range d.BufferViews {
			if v.Buffer == w.into {
				return refuse("buffer", v.Buffer, len(d.Buffers), "bufferViews", i, "buffer")
			}
		}
	}
	return nil
}
