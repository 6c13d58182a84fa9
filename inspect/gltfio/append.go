package gltfio

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"strconv"

	"rigloupe/inspect/rig"
)

// Append answers the model of the files handed over as one GLB with clips added
// behind its own. Nothing of the model is dropped: its JSON members stand as they
// were, but for the lists that grow; bytes of buffers stay where they are in their
// buffer. Side files are taken in (buffers into the binary chunk or as data URIs,
// pictures as views), so that the answer needs no other file. A node that a clip
// moves and that has a matrix gets the translation, rotation and scale of it, as
// glTF 2.0, Animations, wants. Errors are *Missing, *Refused or say which clip cannot
// be written.
func Append(files []File, clips []rig.ClipData) (glb []byte, err error) {
	if len(files) == 0 {
		return nil, &Refused{What: "no file was handed over", Hint: "hand over the model that gets the clip"}
	}
	name := files[0].Name
	defer func() { err = caught(recover(), name, err) }()
	s, err := memoryShelf(files)
	if err != nil {
		return nil, err
	}
	return appendTo(s, clips, &name)
}

// AppendFS is Append for a model on disk; see ReadFS.
func AppendFS(fsys fs.FS, name string, clips []rig.ClipData) (glb []byte, err error) {
	defer func() { err = caught(recover(), name, err) }()
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, &Refused{File: name, What: "cannot be opened: " + reason(err)}
	}
	if isZip(data) {
		return Append([]File{{name, data}}, clips)
	}
	dir, err := fs.Sub(fsys, path.Dir(name))
	if err != nil {
		return nil, &Refused{File: name, What: "its folder cannot be opened: " + reason(err)}
	}
	return appendTo(folderShelf(dir, path.Base(name), data), clips, &name)
}

func appendTo(s *shelf, clips []rig.ClipData, name *string) ([]byte, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	*name = m.name
	r := newReader(m, s, Options{})
	if err := r.asset(); err != nil {
		return nil, err
	}
	if err := r.open(); err != nil {
		return nil, err
	}
	w := &appender{r: r, members: membersOf(m.box.json), clips: clips}
	return w.write()
}

// appender adds to one document.
type appender struct {
	r       *reader
	members []member
	clips   []rig.ClipData
	bin     []byte // the binary chunk as it grows
	into    int    // buffer that clips and pictures go into
	extra   []byte // that buffer's bytes when it is no binary chunk
	views   [][]byte
	access  [][]byte
	base    struct{ views, accessors int }
}

// member is one entry of a JSON object: its value as it stands in the text.
type member struct {
	key string
	raw []byte
}

// membersOf lists the entries of an object that was decoded before. Of an entry given
// twice the last one counts, as for the reader; a null is none.
func membersOf(text []byte) (list []member) {
	c := &cursor{b: text}
	for k := c.member(); k != nil; k = c.next() {
		key := string(k)
		raw := c.raw()
		if c.err != nil {
			return list
		}
		list = slices.DeleteFunc(list, func(m member) bool { return m.key == key })
		list = append(list, member{key, raw})
	}
	return list
}

func itemsOf(text []byte) (list [][]byte) {
	if len(text) == 0 {
		return nil
	}
	c := &cursor{b: text}
	for ok := c.item(); ok; ok = c.more() {
		list = append(list, c.raw())
		if c.err != nil {
			return list
		}
	}
	return list
}

func joined(list []member) []byte {
	b := []byte{'{'}
	for i, m := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(append(b, quoted(m.key)...), ':'), m.raw...)
	}
	return append(b, '}')
}

// quoted is a JSON string.
func quoted(s string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if e.Encode(s) != nil {
		return []byte(`""`) // no string fails
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}

// with answers an object with entries put in the place of their old values, or
// behind; a nil value takes the entry away.
func with(text []byte, entries ...member) []byte {
	list := membersOf(text)
	for _, e := range entries {
		i := slices.IndexFunc(list, func(m member) bool { return m.key == e.key })
		switch {
		case i >= 0 && e.raw == nil:
			list = slices.Delete(list, i, i+1)
		case i >= 0:
			list[i].raw = e.raw
		case e.raw != nil:
			list = append(list, e)
		}
	}
	return joined(list)
}

func whole(n int) []byte { return strconv.AppendInt(nil, int64(n), 10) }

// number is exact: a reader gets the same float64 again.
func exact(v float64) []byte { return strconv.AppendFloat(nil, v, 'g', -1, 64) }

func (w *appender) get(key string) []byte {
	for _, m := range w.members {
		if m.key == key {
			return m.raw
		}
	}
	return nil
}

// grow puts a list with more items behind in the place of the old one.
func (w *appender) grow(key string, more [][]byte) {
	if len(more) == 0 {
		return
	}
	w.set(key, append(itemsOf(w.get(key)), more...))
}

func (w *appender) set(key string, items [][]byte) {
	raw := append(append([]byte{'['}, bytes.Join(items, []byte{','})...), ']')
	for i := range w.members {
		if w.members[i].key == key {
			w.members[i].raw = raw
			return
		}
	}
	w.members = append(w.members, member{key, raw})
}

func (w *appender) write() ([]byte, error) {
	w.base.views, w.base.accessors = len(w.r.doc.BufferViews), len(w.r.doc.Accessors)
	buffers := w.buffers()
	w.pictures()
	if err := w.nodes(); err != nil {
		return nil, err
	}
	var animations [][]byte
	for i := range w.clips {
		a, err := w.clip(&w.clips[i])
		if err != nil {
			return nil, fmt.Errorf("clip %d, %q: %w", i, w.clips[i].Name, err)
		}
		animations = append(animations, a)
	}
	if err := w.dangling(); err != nil {
		return nil, err
	}
	w.grow("animations", animations)
	w.grow("accessors", w.access)
	w.grow("bufferViews", w.views)
	// The buffer that grew.
	if data := *w.store(); len(data) > 0 {
		length := member{"byteLength", whole(len(data))}
		switch {
		case w.into == len(buffers) && w.into == 0:
			buffers = append(buffers, joined([]member{length}))
		case w.into == len(buffers):
			buffers = append(buffers, joined([]member{length, {"uri", quoted(inline(data))}}))
		default:
			buffers[w.into] = with(buffers[w.into], length)
		}
	}
	if len(buffers) > 0 {
		w.set("buffers", buffers)
	}
	return pack(joined(w.members), w.bin)
}

func inline(data []byte) string {
	return "data:application/octet-stream;base64," + base64.StdEncoding.EncodeToString(data)
}

// buffers takes side files in and finds the buffer that grows: the first where its
// bytes are known, which become the binary chunk; else one of its own.
func (w *appender) buffers() [][]byte {
	items := itemsOf(w.get("buffers"))
	w.into = len(items)
	for i, b := range w.r.doc.Buffers {
		if i >= len(items) {
			break
		}
		s := &w.r.buffers[i]
		if s.fault != nil {
			continue // it stays as it is
		}
		data := s.data
		if n := b.ByteLength; n > len(data) && n-len(data) <= 3 {
			data = append(slices.Clone(data), make([]byte, n-len(data))...)
		}
		switch {
		case i == 0:
			w.into, w.bin = 0, slices.Clone(data)
			items[0] = with(items[0], member{"uri", nil})
		case w.r.doc.data[i] == nil && b.URI != "":
			items[i] = with(items[i], member{"uri", quoted(inline(data))}, member{"byteLength", whole(max(b.ByteLength, len(data)))})
		}
	}
	return items
}

// store is where new bytes go.
func (w *appender) store() *[]byte {
	if w.into == 0 {
		return &w.bin
	}
	return &w.extra
}

// align makes the next byte stand at a multiple of four.
func (w *appender) align() {
	s := w.store()
	for len(*s)%4 != 0 {
		*s = append(*s, 0)
	}
}

// view closes a stretch of new bytes.
func (w *appender) view(from int) int {
	w.views = append(w.views, fmt.Appendf(nil, `{"buffer":%d,"byteOffset":%d,"byteLength":%d}`, w.into, from, len(*w.store())-from))
	return w.base.views + len(w.views) - 1
}

// pictures takes in those that lie beside the model.
func (w *appender) pictures() {
	items := itemsOf(w.get("images"))
	changed := false
	for i, img := range w.r.doc.Images {
		if i >= len(items) || img.URI == "" || w.r.doc.pictures[i].data != nil || w.r.doc.pictures[i].odd != "" {
			continue
		}
		data, _, err := w.r.shelf.find(w.r.main, img.URI)
		mime := pictureKind(data)
		if err != nil || mime == "" {
			continue // it was not there before either
		}
		w.align()
		from := len(*w.store())
		*w.store() = append(*w.store(), data...)
		items[i] = with(items[i], member{"uri", nil}, member{"bufferView", whole(w.view(from))}, member{"mimeType", quoted(mime)})
		changed = true
	}
	if changed {
		w.set("images", items)
	}
}

// pictureKind tells the kind of a picture by its first bytes; "" where it is none.
func pictureKind(b []byte) string {
	switch {
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case bytes.HasPrefix(b, []byte{0xFF, 0xD8, 0xFF}):
		return "image/jpeg"
	case len(b) > 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "WEBP":
		return "image/webp"
	case bytes.HasPrefix(b, []byte("\xABKTX 20\xBB\r\n\x1A\n")):
		return "image/ktx2"
	}
	return ""
}

// nodes gives those that clips move a translation, rotation and scale for a matrix.
func (w *appender) nodes() error {
	items := itemsOf(w.get("nodes"))
	changed := false
	for i := range w.clips {
		for k := range w.clips[i].Channels {
			n := int(w.clips[i].Channels[k].Node)
			if n < 0 || n >= len(items) {
				return fmt.Errorf("clip %d, %q: channel %d moves node %d; the model has %d nodes", i, w.clips[i].Name, k, n, len(items))
			}
			if w.clips[i].Channels[k].Path == rig.Weights || !slices.ContainsFunc(membersOf(items[n]), func(m member) bool { return m.key == "matrix" }) {
				continue
			}
			a, _ := rig.AffineFromColumns(w.r.doc.Nodes[n].Matrix)
			t := a.Decompose()
			again, size := t.Affine(), 0.0
			for c := range a {
				size = max(size, math.Abs(a[c]))
			}
			for c := range a {
				if !(math.Abs(a[c]-again[c]) <= 1e-5*size) {
					return fmt.Errorf("node %d, %q, has a matrix with shear: it cannot be moved by a clip", n, w.r.doc.Nodes[n].Name)
				}
			}
			list := func(v ...float64) []byte {
				b := []byte{'['}
				for c, x := range v {
					if c > 0 {
						b = append(b, ',')
					}
					b = append(b, exact(x)...)
				}
				return append(b, ']')
			}
			items[n] = with(items[n], member{"matrix", nil}, member{"translation", list(t.T[:]...)}, member{"rotation", list(t.R[:]...)}, member{"scale", list(t.S[:]...)})
			changed = true
		}
	}
	if changed {
		w.set("nodes", items)
	}
	return nil
}

var types = map[int]string{1: "SCALAR", 3: "VEC3", 4: "VEC4"}

// clip writes the numbers of one clip and answers its JSON.
func (w *appender) clip(c *rig.ClipData) ([]byte, error) {
	if len(c.Channels) == 0 {
		return nil, fmt.Errorf("it has no channel")
	}
	w.align()
	from := len(*w.store())
	view := w.base.views + len(w.views)
	type key struct {
		first *float32
		n     int
	}
	put := func(v []float32, width int, bounds bool) int {
		s := w.store()
		at := len(*s) - from
		for _, x := range v {
			*s = binary.LittleEndian.AppendUint32(*s, math.Float32bits(x))
		}
		b := fmt.Appendf(nil, `{"bufferView":%d,"byteOffset":%d,"componentType":5126,"count":%d,"type":%q`, view, at, len(v)/width, types[width])
		if bounds { // exact: a checker compares them with the numbers
			b = append(append(append(b, `,"min":[`...), exact(float64(v[0]))...), `],"max":[`...)
			b = append(append(b, exact(float64(v[len(v)-1]))...), ']')
		}
		w.access = append(w.access, append(b, '}'))
		return w.base.accessors + len(w.access) - 1
	}
	inputs := map[key]int{}
	seen := map[[2]int]bool{}
	samplers, channels := []byte{}, []byte{}
	for i := range c.Channels {
		ch := &c.Channels[i]
		n := len(ch.Times)
		per, width := ch.Width, ch.Width
		if ch.Interpolation == rig.Cubic {
			per *= 3
		}
		if ch.Path == rig.Weights {
			width = 1
		}
		switch {
		case n == 0 || len(ch.Values) != n*per || types[width] == "" || ch.Width == 0:
			return nil, fmt.Errorf("channel %d: %d numbers for %d keys of %d", i, len(ch.Values), n, ch.Width)
		case seen[[2]int{int(ch.Node), int(ch.Path)}]:
			return nil, fmt.Errorf("channel %d moves the %v of node %d once more", i, ch.Path, ch.Node)
		}
		seen[[2]int{int(ch.Node), int(ch.Path)}] = true
		for k, t := range ch.Times {
			if !(t >= 0) || k > 0 && !(t > ch.Times[k-1]) {
				return nil, fmt.Errorf("channel %d: key %d stands at %.6g s; times must rise from 0 on", i, k, t)
			}
		}
		for _, v := range ch.Values {
			if v-v != 0 {
				return nil, fmt.Errorf("channel %d holds a number that is not finite", i)
			}
		}
		id := key{&ch.Times[0], n}
		in, ok := inputs[id]
		if !ok {
			in = put(ch.Times, 1, true)
			inputs[id] = in
		}
		out := put(ch.Values, width, false)
		if i > 0 {
			samplers, channels = append(samplers, ','), append(channels, ',')
		}
		samplers = fmt.Appendf(samplers, `{"input":%d,"output":%d,"interpolation":%q}`, in, out, [...]string{"LINEAR", "STEP", "CUBICSPLINE"}[ch.Interpolation])
		channels = fmt.Appendf(channels, `{"sampler":%d,"target":{"node":%d,"path":%q}}`, i, ch.Node, ch.Path.String())
	}
	w.view(from)
	b := []byte{'{'}
	if c.Name != "" {
		b = append(append(append(b, `"name":`...), quoted(c.Name)...), ',')
	}
	return append(append(append(append(append(b, `"channels":[`...), channels...), `],"samplers":[`...), samplers...), `]}`...), nil
}

// pack puts a GLB together (glTF 2.0, GLB File Format).
func pack(text, bin []byte) ([]byte, error) {
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	total := 12 + 8 + len(text)
	if len(bin) > 0 {
		total += 8 + len(bin)
	}
	if int64(total) > math.MaxUint32 {
		return nil, fmt.Errorf("a GLB holds 4 GiB, this one would have %d bytes", total)
	}
	out := make([]byte, 0, total)
	out = append(out, "glTF"...)
	for _, v := range []uint32{2, uint32(total), uint32(len(text)), chunkJSON} {
		out = binary.LittleEndian.AppendUint32(out, v)
	}
	out = append(out, text...)
	if len(bin) > 0 {
		out = binary.LittleEndian.AppendUint32(out, uint32(len(bin)))
		out = binary.LittleEndian.AppendUint32(out, chunkBIN)
		out = append(out, bin...)
	}
	return out, nil
}
