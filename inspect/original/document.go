package original

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"io/fs"
	"math"
	"slices"

	"rigloupe/inspect/gltfio"
)

// Document is one file being edited. Clone it before a change that may be taken back; it
// is not for two goroutines at once.
type Document struct {
	Name string
	Root *Value

	file     []byte // as it was handed over
	buffers  []buffer
	into     int // buffer that new bytes go into: the first where its bytes are known, else one behind all
	chunks   []gltfio.Chunk
	beside   int              // side files taken in
	unpacked int              // buffer views that came packed
	shapes   int              // primitives whose shape did
	uses     *uses            // nil: worked out when asked for
	taken    map[int]*claimed // by buffer, of the file as it was opened; nil likewise
}

// buffer is the bytes of one, and whether the JSON still says where they are.
type buffer struct {
	data    []byte
	missing string
	inline  bool // its uri must be written anew: it came from a side file, or was written to
	shared  bool // data belongs to the file or another clone too
}

// Open takes a model and its side files as they were handed over; see gltfio.Read for
// what they may be. Side files are taken in. Errors are *gltfio.Missing or
// *gltfio.Refused.
func Open(files []gltfio.File) (*Document, error) { return OpenBy(files, gltfio.Options{}) }

// OpenBy is Open with options of the reader.
func OpenBy(files []gltfio.File, opt gltfio.Options) (*Document, error) {
	p, err := gltfio.Unpack(files, opt)
	if err != nil {
		return nil, err
	}
	return open(p), nil
}

// OpenFS is OpenBy for a model on disk; see gltfio.ReadFS.
func OpenFS(fsys fs.FS, name string, opt gltfio.Options) (*Document, error) {
	p, err := gltfio.UnpackFS(fsys, name, opt)
	if err != nil {
		return nil, err
	}
	return open(p), nil
}

func open(p *gltfio.Package) *Document {
	d := &Document{Name: p.Name, file: p.Data, Root: Parse(p.JSON), chunks: p.Chunks, into: len(p.Buffers)}
	for i, b := range p.Buffers {
		if i == 0 && b.Missing == "" {
			d.into = 0
		}
		if b.Beside && b.Missing == "" {
			d.beside++
		}
		d.buffers = append(d.buffers, buffer{data: b.Data, missing: b.Missing, inline: b.Beside, shared: true})
	}
	if d.into == 0 {
		if b := d.Root.Get("buffers").At(0); b.Get("uri") != nil {
			b.Set("uri", nil)
		}
	}
	d.unpack(p)
	d.unpackShapes(p)
	images := d.Root.Get("images")
	for i, m := range p.Pictures {
		if m.Data == nil || images.At(i) == nil {
			continue
		}
		d.beside++
		one := images.At(i)
		one.Set("uri", nil)
		one.Set("bufferView", Whole(d.addView(m.Data, 0, nil)))
		one.Set("mimeType", Text(m.MIME))
	}
	return d
}

// Clone answers a document that can be changed without changing this one.
func (d *Document) Clone() *Document {
	c := &Document{Name: d.Name, file: d.file, beside: d.beside, unpacked: d.unpacked, shapes: d.shapes, Root: d.Root.Clone(), into: d.into, chunks: d.chunks, buffers: slices.Clone(d.buffers)}
	for i := range d.buffers {
		d.buffers[i].shared, c.buffers[i].shared = true, true
		// Two that grow must not grow into the same spare room.
		d.buffers[i].data, c.buffers[i].data = slices.Clip(d.buffers[i].data), slices.Clip(c.buffers[i].data)
	}
	return c
}

// Source tells which file the document was opened from: its name, the hash of its bytes
// (SHA-256, hexadecimal; side files are left out) and their number.
func (d *Document) Source() (name, sha string, size int64) {
	sum := sha256.Sum256(d.file)
	return d.Name, hex.EncodeToString(sum[:]), int64(len(d.file))
}

// Beside counts the side files that were taken in: buffers and pictures.
func (d *Document) Beside() int { return d.beside }

// Size is about how many bytes the document holds by itself, not shared with the file.
func (d *Document) Size() (n int64) {
	for i := range d.buffers {
		if !d.buffers[i].shared {
			n += int64(len(d.buffers[i].data))
		}
	}
	return n
}

// list answers a top-level list, made where there is none.
func (d *Document) list(k Kind) *Value {
	v := d.Root.Get(string(k))
	if v == nil {
		v = List()
		d.Root.Set(string(k), v)
	}
	return v
}

// Count answers how many objects of a kind there are, Object one of them.
func (d *Document) Count(k Kind) int            { return d.Root.Get(string(k)).Len() }
func (d *Document) Object(k Kind, i int) *Value { return d.Root.Get(string(k)).At(i) }

// own makes the bytes of a buffer this document's alone.
func (d *Document) own(i int) []byte {
	b := &d.buffers[i]
	if b.shared {
		b.data, b.shared = slices.Clone(b.data), false
	}
	b.inline = b.inline || i > 0
	return b.data
}

// addView puts bytes behind all and answers the view of them. stride 0: none; like: the
// view whose target it takes over, nil: none.
func (d *Document) addView(data []byte, stride int, like *Value) int {
	at := d.addBytes(data)
	v := Object("buffer", Whole(d.into), "byteOffset", Whole(at), "byteLength", Whole(len(data)))
	if stride > 0 {
		v.Set("byteStride", Whole(stride))
	}
	if t := like.Get("target"); t != nil {
		v.Set("target", t.Clone())
	}
	return d.Add(Views, v)
}

// addBytes puts bytes behind all of the buffer that new ones go into, from a multiple of four
// on, and answers where they begin.
func (d *Document) addBytes(data []byte) int {
	if d.into == len(d.buffers) {
		d.buffers = append(d.buffers, buffer{inline: d.into > 0})
		d.list(Buffers).Append(Object("byteLength", Whole(0)))
	}
	b := d.own(d.into)
	for len(b)%4 != 0 {
		b = append(b, 0)
	}
	d.buffers[d.into].data = append(b, data...)
	return len(b)
}

// ViewBytes answers the bytes of a buffer view; nil where they are not there. Do not
// write to it.
func (d *Document) ViewBytes(i int) []byte {
	v := d.Object(Views, i)
	b, from, n := v.Get("buffer").Int(), max(v.Get("byteOffset").Int(), 0), v.Get("byteLength").Int()
	if b < 0 || b >= len(d.buffers) || n < 0 || from > len(d.buffers[b].data) || n > len(d.buffers[b].data)-from {
		return nil
	}
	return d.buffers[b].data[from : from+n]
}

// GLB writes the file (glTF 2.0, GLB File Format). A reference to an object just behind
// the end of a list that grew would take what was added for what was meant: refused by
// Add already.
func (d *Document) GLB() ([]byte, error) {
	list := d.Root.Get("buffers")
	for i := range d.buffers {
		b, o := &d.buffers[i], list.At(i)
		if o == nil || b.missing != "" {
			continue
		}
		if o.Get("byteLength").Int() != len(b.data) {
			o.Set("byteLength", Whole(len(b.data)))
		}
		if b.inline && i > 0 {
			o.Set("uri", Text("data:application/octet-stream;base64,"+base64.StdEncoding.EncodeToString(b.data)))
			b.inline = false
		}
	}
	text := d.Root.Bytes()
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	var bin []byte
	if d.into == 0 && len(d.buffers) > 0 {
		bin = d.buffers[0].data
	}
	pad := -len(bin) & 3
	total := 12 + 8 + len(text)
	if len(bin) > 0 {
		total += 8 + len(bin) + pad
	}
	for _, c := range d.chunks {
		total += 8 + len(c.Data)
	}
	if int64(total) > math.MaxUint32 {
		return nil, fmt.Errorf("a GLB holds 4 GiB, this one would have %d bytes", total)
	}
	out := make([]byte, 0, total)
	chunk := func(kind uint32, parts ...[]byte) {
		n := 0
		for _, p := range parts {
			n += len(p)
		}
		out = binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(out, uint32(n)), kind)
		for _, p := range parts {
			out = append(out, p...)
		}
	}
	out = append(out, "glTF\x02\x00\x00\x00"...)
	out = binary.LittleEndian.AppendUint32(out, uint32(total))
	chunk(0x4E4F534A, text)
	if len(bin) > 0 {
		chunk(0x004E4942, bin, make([]byte, pad))
	}
	for _, c := range d.chunks {
		chunk(c.Kind, c.Data)
	}
	return out, nil
}
