package gltfio

import (
	"encoding/json"
	"fmt"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/ceiling"
)

// document is the JSON part of a file in the library's types, and beside it what
// those types cannot tell: enumeration values that the library would silently
// read as the first of their kind, and which of a node's transforms are given.
type document struct {
	gltf.Document
	oddComponent map[int]int       // accessor → componentType that is none of glTF's
	oddType      map[int]string    // accessor → type that is none of glTF's
	oddIndex     map[int]int       // accessor → component type of sparse indices likewise
	oddPath      map[[2]int]string // clip, channel → target path
	oddBlend     map[[2]int]string // clip, sampler → interpolation
	oddMode      map[[2]int]int    // mesh, primitive → mode
	given        []given           // one a node
	hasVersion   bool              // asset.version is there
	data         [][]byte          // one a buffer: its decoded data URI
	pictures     []picture         // one an image: its decoded data URI
	oddData      map[int]string    // buffer → what is wrong with its data URI
	notes        []note            // members that were left out
}

// given tells what a node states; the counts are those of the numbers in the list.
type given struct{ matrix, rotation, translation, scale int8 }

type picture struct {
	data []byte
	mime string
	odd  string
}

// note is a member that could not be read and is not needed for a rig.
type note struct {
	place, what string
	spare       bool // bytes that nothing needs
}

// slab hands out values one by one from blocks: one allocation for many.
type slab[T any] struct{ block []T }

func (s *slab[T]) one() *T {
	if len(s.block) == 0 {
		s.block = make([]T, 256)
	}
	p := &s.block[0]
	s.block = s.block[1:]
	return p
}

// decoder reads a document; its slabs are shared by all lists.
type decoder struct {
	cursor
	doc       *document
	ints      slab[int]
	accessors slab[gltf.Accessor]
	views     slab[gltf.BufferView]
	channels  slab[gltf.AnimationChannel]
	samplers  slab[gltf.AnimationSampler]
	nodes     slab[gltf.Node]
	floats    []float64
	left      int64 // bytes that objects may still take; see budget
}

// decode reads the JSON text of a glTF file. Lists that grow with a rig are read
// by the cursor, the small rest by the library's own decoding. left is how many
// bytes the objects may take; see budget.
func decode(text []byte, left int64) (*document, int, *syntaxError) {
	doc := &document{}
	d := &decoder{cursor: cursor{b: text}, doc: doc, left: left}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "accessors":
			doc.Accessors = list(d, doc.Accessors, d.accessor)
		case "bufferViews":
			doc.BufferViews = list(d, doc.BufferViews, d.view)
		case "buffers":
			doc.Buffers = list(d, doc.Buffers, d.buffer)
		case "images":
			doc.Images = list(d, doc.Images, d.image)
		case "animations":
			doc.Animations = list(d, doc.Animations, d.animation)
		case "nodes":
			doc.Nodes = list(d, doc.Nodes, d.node)
		case "meshes":
			doc.Meshes = list(d, doc.Meshes, d.mesh)
		case "skins":
			doc.Skins = list(d, doc.Skins, d.skin)
		case "scenes":
			doc.Scenes = list(d, doc.Scenes, d.scene)
		case "scene":
			if ch := d.peek(); ch != '-' && (ch < '0' || ch > '9') {
				d.note("/scene", d.found()+" where a whole number is wanted; ignored")
				d.skip()
				continue
			}
			doc.Scene = d.index()
		case "asset":
			d.asset()
		case "extensionsUsed":
			d.decode(&doc.ExtensionsUsed)
		case "extensionsRequired":
			d.decode(&doc.ExtensionsRequired)
		case "extensions":
			d.decode(&doc.Extensions)
		case "extras":
			d.decode(&doc.Extras)
		case "materials":
			doc.Materials = optional(d, "materials", doc.Materials)
		case "textures":
			doc.Textures = optional(d, "textures", doc.Textures)
		case "samplers":
			doc.Samplers = optional(d, "samplers", doc.Samplers)
		case "cameras":
			doc.Cameras = optional(d, "cameras", doc.Cameras)
		default:
			d.skip()
		}
	}
	return doc, d.i, d.err
}

// asset takes the library's default, version 2.0, but remembers that it was one.
func (d *decoder) asset() {
	a := &d.doc.Asset
	*a, d.doc.hasVersion = gltf.Asset{Version: "2.0"}, false
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "version":
			d.doc.hasVersion = true
			a.Version = d.name()
		case "minVersion":
			a.MinVersion = d.name()
		case "generator":
			a.Generator = d.name()
		case "copyright":
			a.Copyright = d.name()
		default:
			d.common(k, &a.Extensions, &a.Extras)
		}
	}
}

// optional reads a list that a rig can do without, by the library's decoding. Items
// whose values are of the wrong kind are noted and left nil; what is no JSON refuses
// the file all the same.
func optional[T any](d *decoder, name string, to []*T) []*T {
	to = to[:0]
	if d.peek() != '[' {
		d.note(place(name), d.found()+" where a list is wanted; left out")
		d.skip()
		return to
	}
	weight := weightOf((*T)(nil))
	for ok := d.item(); ok; ok = d.more() {
		if d.spend(weight); d.err != nil {
			return to
		}
		start, null := d.i, d.peek() == 'n'
		v := new(T)
		d.decode(v)
		if bad := d.err; bad != nil {
			d.err, d.i, v = nil, start, nil
			if d.skip(); d.err != nil {
				d.err = bad
				return to
			}
			d.note(d.where(bad.at), bad.what+"; "+place(name, len(to))+" is left out")
		} else if null {
			d.note(place(name, len(to)), "null; left out")
			v = nil
		}
		to = append(to, v)
	}
	if to == nil {
		to = []*T{}
	}
	return to
}

// where names the place of a note. A pointer takes a walk through the text, so only
// the first notes get one.
func (d *decoder) where(at int) string {
	if len(d.doc.notes) < 20 {
		return pointerAt(d.b, at)
	}
	return fmt.Sprintf("JSON byte %d", at)
}

func (d *decoder) note(place, what string) {
	if len(d.doc.notes) < ceiling.Malformed {
		d.doc.notes = append(d.doc.notes, note{place: place, what: what})
	}
}

// list reads a list of objects.
func list[T any](d *decoder, to []*T, read func(int) *T) []*T {
	to = to[:0] // a member given twice: the last one counts, as in encoding/json
	weight := weightOf((*T)(nil))
	for ok := d.item(); ok; ok = d.more() {
		if d.spend(weight); d.err != nil {
			return to
		}
		v := read(len(to))
		if d.err != nil {
			return to
		}
		to = append(to, v)
	}
	if to == nil {
		to = []*T{}
	}
	return to
}

// name reads a string that nothing hangs on: of another kind it is noted and taken
// as it is written.
func (d *decoder) name() string {
	if d.peek() == '"' {
		return string(d.text())
	}
	start := d.i
	kind, raw := d.found(), d.raw()
	if d.err != nil || !json.Valid(raw) {
		d.i = start
		d.fail("a string is wanted, here is %s", kind)
		return ""
	}
	d.note(d.where(start), kind+" where a string is wanted; taken as it is written")
	return string(raw[:min(len(raw), 40)])
}

func (d *decoder) index() *int {
	p := d.ints.one()
	*p = d.whole()
	return p
}

func (d *decoder) indices(to []int) []int {
	to = to[:0]
	for ok := d.item(); ok; ok = d.more() {
		to = append(to, d.whole())
	}
	if to == nil {
		to = []int{}
	}
	return to
}

// common reads the members that any object may have; it skips unknown ones.
func (d *decoder) common(key []byte, ext *gltf.Extensions, extras *any) {
	switch string(key) {
	case "extensions":
		d.decode(ext)
	case "extras":
		d.decode(extras)
	default:
		d.skip()
	}
}

// numbers reads a list of numbers into shared memory: min and max come in
// thousands.
func (d *decoder) numbers() []float64 {
	if cap(d.floats)-len(d.floats) < 16 {
		d.floats = make([]float64, 0, 1024)
	}
	start := len(d.floats)
	d.floats = d.cursor.floats(d.floats)
	return d.floats[start:len(d.floats):len(d.floats)]
}

func set[K comparable, V any](m *map[K]V, k K, v V) {
	if *m == nil {
		*m = map[K]V{}
	}
	(*m)[k] = v
}
