package gltfio

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/draco"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// reader builds one rig from one document. Its methods answer an error only for
// what refuses the file; everything else goes to rig.Malformed or rig.Remarks.
type reader struct {
	rig     *rig.Rig
	main    *main
	doc     *document
	shelf   *shelf
	buffers []store
	views   []store
	series  []*series   // one an accessor: numbers of clips
	lines   []*timeline // one an accessor: times of clips
	block   block
	left    int64 // bytes of numbers that may still be decoded
	unsaid  int   // malformed places beyond the list
	packed  int   // primitives whose packed shape is left empty

	start     draco.Start // nil: none
	decoder   draco.Program
	undecoded string        // why there is no decoder
	shaped    map[int]drawn // by accessor, while a primitive is read whose shape was packed
}

// store is the bytes of a buffer or a view, or why there are none.
type store struct {
	data  []byte
	fault error
	known bool // a view that was looked at
}

func newReader(m *main, s *shelf, opt Options) *reader {
	limit := opt.Memory
	if limit <= 0 {
		limit = ceiling.Memory
	}
	return &reader{
		rig: &rig.Rig{
			File:  rig.File{Name: m.name, Bytes: int64(len(m.data)), Kind: m.box.kind},
			Shown: rig.None,
		},
		main: m, doc: m.doc, shelf: s, left: limit, start: opt.Draco,
	}
}

// read goes from the outside in: what other parts point at comes first.
func (r *reader) read() error {
	defer r.endDecoder()
	for _, n := range append(slices.Clone(r.main.box.notes), r.doc.notes...) {
		of := nowhere
		of.Spare = n.spare
		r.bad(of, n.place, "%s", n.what)
	}
	steps := []func() error{r.asset, r.open, r.nodes, r.scenes, r.images, r.materials, r.meshes, r.skins, r.surfaces, r.clips, r.humanoid, r.springs}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	r.remarkPacked()
	if r.unsaid > 0 {
		r.rig.Malformed = append(r.rig.Malformed, withPlace(nowhere, "", fmt.Sprintf("and %d more places like these", r.unsaid)))
	}
	r.shelf.strays()
	r.rig.Remarks = append(r.shelf.remarks, r.rig.Remarks...)
	return nil
}

// refuse is the error of a file that cannot be read.
func (r *reader) refuse(where string, cause error) error {
	hint := "export the file again"
	var f *fault
	if errors.As(cause, &f) && f.hint != "" {
		hint = f.hint
	}
	return &Refused{File: r.main.name, Place: where, What: cause.Error(), Hint: hint}
}

// fault is one thing wrong with an accessor, a view or a buffer.
type fault struct{ what, hint string }

func (f *fault) Error() string { return f.what }

func faultf(format string, args ...any) error { return &fault{what: fmt.Sprintf(format, args...)} }

var nowhere = rig.Malformed{Node: rig.None, Mesh: rig.None, Skin: rig.None, Clip: rig.None}

func onNode(n int) (m rig.Malformed) { m = nowhere; m.Node = rig.Node(n); return m }
func onMesh(n int) (m rig.Malformed) { m = nowhere; m.Mesh = rig.Mesh(n); return m }
func onSkin(n int) (m rig.Malformed) { m = nowhere; m.Skin = rig.Skin(n); return m }
func onClip(n int) (m rig.Malformed) { m = nowhere; m.Clip = rig.Clip(n); return m }

func withPlace(m rig.Malformed, place, what string) rig.Malformed {
	m.Place, m.What = place, what
	return m
}

func (r *reader) bad(of rig.Malformed, place, format string, args ...any) {
	if len(r.rig.Malformed) >= ceiling.Malformed {
		r.unsaid++
		return
	}
	r.rig.Malformed = append(r.rig.Malformed, withPlace(of, place, fmt.Sprintf(format, args...)))
}

func (r *reader) remark(format string, args ...any) {
	r.rig.Remarks = append(r.rig.Remarks, fmt.Sprintf(format, args...))
}

// spend takes decoded bytes from what is allowed: n values of size bytes.
func (r *reader) spend(n, size int) error {
	if n > 0 && (int64(n) > r.left/int64(size)) {
		return &fault{fmt.Sprintf("%d values of %d bytes are more than such a small file can honestly hold", n, size),
			"the file states sizes it does not fill: export it again"}
	}
	r.left -= int64(n) * int64(size)
	return nil
}

// asset checks versions and extensions.
func (r *reader) asset() error {
	a, f := &r.doc.Asset, &r.rig.File
	f.Generator, f.Version = a.Generator, a.Version
	if !r.doc.hasVersion {
		if len(r.doc.Nodes)+len(r.doc.Meshes)+len(r.doc.Accessors) == 0 {
			return r.refuse("", &fault{"this JSON is no glTF: it has neither an asset version nor nodes, meshes or accessors", aModel})
		}
		r.bad(nowhere, "/asset/version", "the version is not stated; read as 2.0")
	}
	if v := a.MinVersion; v != "" && v != "2.0" {
		return r.refuse("/asset/minVersion", &fault{"it needs a reader of glTF " + quote(v) + ", this one reads 2.0", "export it as glTF 2.0"})
	}
	if v := a.Version; v != "" && v != "2" && !strings.HasPrefix(v, "2.") {
		return r.refuse("/asset/version", &fault{"it is glTF " + quote(v) + ", this program reads 2.0", "export it as glTF 2.0"})
	}
	f.Used, f.Required = r.doc.ExtensionsUsed, r.doc.ExtensionsRequired
	if n := max(len(f.Used), len(f.Required)); n > ceiling.Extensions { // each is held against the others, and told
		return r.refuse("", faultf("it names %s extensions; at most %s are read", say.Whole(n), say.Whole(ceiling.Extensions)))
	}
	for i, e := range f.Required {
		if !slices.Contains(f.Used, e) {
			r.bad(nowhere, place("extensionsRequired", i), "%s is required but not listed in extensionsUsed", quote(e))
		}
		if !r.honoured(e) && !slices.Contains(f.NotHonored, e) {
			f.NotHonored = append(f.NotHonored, e)
		}
	}
	if slices.Contains(f.Used, "KHR_texture_transform") {
		r.remark("KHR_texture_transform is ignored: pictures stand as their UVs say")
	}
	return nil
}

// honoured tells whether a rig is complete without more ado although the file
// requires this extension: those it reads, and those that only touch the look.
func (r *reader) honoured(name string) bool {
	switch name {
	case dracoName:
		return r.start != nil // where that does not come about it is told then
	case "KHR_mesh_quantization", "EXT_meshopt_compression", "KHR_meshopt_compression", "VRM", "KHR_xmp_json_ld", "KHR_xmp", "EXT_mesh_manifold", "MSFT_texture_dds":
		return true
	}
	for _, look := range []string{"KHR_materials_", "EXT_materials_", "KHR_texture_", "EXT_texture_", "KHR_lights_", "EXT_lights_", "VRMC_"} {
		if strings.HasPrefix(name, look) {
			return true
		}
	}
	return false
}

// open finds the bytes of every buffer. What a surface, a skin or a clip needs and
// is not there is told in one error.
func (r *reader) open() error {
	needed := r.neededBuffers()
	r.buffers = make([]store, len(r.doc.Buffers))
	r.views = make([]store, len(r.doc.BufferViews))
	r.series = make([]*series, len(r.doc.Accessors))
	r.lines = make([]*timeline, len(r.doc.Accessors))
	total := int64(len(r.main.data))
	var missing, far []string
	for i, b := range r.doc.Buffers {
		s := &r.buffers[i]
		where := place("buffers", i)
		switch data := r.doc.data[i]; {
		case data != nil:
			s.data = data
			if odd := r.doc.oddData[i]; odd != "" {
				r.bad(nowhere, where+"/uri", "%s", odd)
			}
		case b.URI != "":
			data, name, err := r.shelf.find(r.main, b.URI)
			total += int64(len(data))
			if s.data = data; err == nil {
				break
			}
			if !errors.Is(err, fs.ErrNotExist) {
				if needed[i] {
					return r.refuse(where+": "+quote(b.URI), &fault{"cannot be read: " + reason(err), "copy or pack it again"})
				}
			} else if needed[i] && !slices.Contains(missing, name) {
				missing = append(missing, name)
				if isAddress(b.URI) {
					far = append(far, b.URI)
				}
			}
			s.fault = faultf("buffer %d, %s, was not found", i, quote(b.URI))
			if !needed[i] && !r.isFallback(i) {
				r.remark("buffer %d, %s, was not found; no surface, skin or clip needs it", i, quote(b.URI))
			}
			continue
		case i == 0 && r.main.box.hasIt:
			s.data = r.main.box.bin
			if len(s.data)-b.ByteLength > 3 && b.ByteLength > 0 {
				of := nowhere
				of.Spare = true
				r.bad(of, where, "the binary chunk has %d bytes, byteLength states %d; the rest is ignored", len(s.data), b.ByteLength)
			}
		default:
			s.fault = faultf("buffer %d has no data: no uri, and no binary chunk that belongs to it", i)
			continue
		}
		switch {
		case b.ByteLength < 1:
			r.bad(nowhere, where+"/byteLength", "%d bytes are stated, %d are there; all are read", b.ByteLength, len(s.data))
		case b.ByteLength > len(s.data):
			r.bad(nowhere, where+"/byteLength", "%d bytes are stated, %d are there", b.ByteLength, len(s.data))
		default:
			s.data = s.data[:b.ByteLength:b.ByteLength]
		}
	}
	if len(missing) > 0 {
		return &Missing{File: r.main.name, Names: missing, Far: far}
	}
	r.left = budget(r.shelf.counts(total), r.left)
	return nil
}

// neededBuffers marks the buffers that meshes, skins and clips read from.
func (r *reader) neededBuffers() []bool {
	needed := make([]bool, len(r.doc.Buffers))
	view := func(v int) {
		if v < 0 || v >= len(r.doc.BufferViews) {
			return
		}
		b := r.doc.BufferViews[v].Buffer
		if s, is, err := r.stream(v); is && err == nil {
			b = s.buffer
		}
		if b >= 0 && b < len(needed) {
			needed[b] = true
		}
	}
	accessor := func(a int) {
		if a < 0 || a >= len(r.doc.Accessors) {
			return
		}
		acc := r.doc.Accessors[a]
		if acc.BufferView != nil {
			view(*acc.BufferView)
		}
		if acc.Sparse != nil {
			view(acc.Sparse.Indices.BufferView)
			view(acc.Sparse.Values.BufferView)
		}
	}
	for _, m := range r.doc.Meshes {
		for _, p := range m.Primitives {
			if s, is, err := r.packedShape(p); is && err == nil && r.start != nil {
				view(s.view)
			}
			if p.Indices != nil {
				accessor(*p.Indices)
			}
			for _, a := range p.Attributes {
				accessor(a)
			}
			for _, t := range p.Targets {
				for _, a := range t {
					accessor(a)
				}
			}
		}
	}
	for _, s := range r.doc.Skins {
		if s.InverseBindMatrices != nil {
			accessor(*s.InverseBindMatrices)
		}
	}
	for _, c := range r.doc.Animations {
		for _, s := range c.Samplers {
			accessor(s.Input)
			accessor(s.Output)
		}
	}
	return needed
}
