// Package draco unpacks shapes packed by Draco (KHR_draco_mesh_compression). The decoder is
// the WebAssembly program of the npm package draco3dgltf, unchanged; this package knows how
// that program is asked, and whoever imports it runs it: a browser by itself, the command
// line by package native.
package draco

import (
	"fmt"

	"rigloupe/inspect/ceiling"
)

// Program is one running copy of the decoder. Its memory is one list of bytes that grows to
// what it was started with. After an error of Call it may not be asked anything more.
type Program interface {
	// Call calls what it exports; what answers nothing answers 0.
	Call(export string, args ...uint32) (uint32, error)
	// Read copies n bytes from a place on, Write lays bytes there.
	Read(at, n uint32) ([]byte, error)
	Write(at uint32, data []byte) error
	// Close gives its memory back.
	Close()
}

// Start begins a copy of the decoder whose memory may grow to limit bytes. An error says why
// there is none.
type Start func(limit int64) (Program, error)

// Attribute is one list of numbers that is wanted of a shape.
type Attribute struct {
	ID    int // as the stream numbers it
	Type  int // component type of glTF 2.0 that the numbers are wanted in: 5120 to 5126
	Width int // numbers an element
}

// Shape is what a stream stands for: triangles, and each attribute that was wanted, one
// element a point behind the other, little-endian, without gaps.
type Shape struct {
	Points     int
	Corners    []byte   // of triangles, three a triangle, 4 bytes each
	Attributes [][]byte // as wanted
}

// dataType is Draco's number of a component type.
var dataType = map[int]uint32{5120: 1, 5121: 2, 5122: 3, 5123: 4, 5125: 6, 5126: 9}

var typeSize = map[int]int{5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}

// Limit is how much memory a decoder may take for a file whose numbers may still decode to
// left bytes: it holds what it makes, and tables of who touches whom beside it.
func Limit(left int64) int64 { return ceiling.DecoderBase + ceiling.DecoderPerByte*left }

// Unpack decodes one stream. take is asked before anything is copied out whether so many
// values of so many bytes may be. An error says what is wrong with the stream.
func Unpack(p Program, stream []byte, want []Attribute, take func(n, size int) error) (Shape, error) {
	a := &asking{p: p}
	s, err := a.unpack(stream, want, take)
	if a.err != nil {
		err = fmt.Errorf("the decoder gave up: %w", a.err)
	}
	return s, err
}

// asking calls a program until a call fails: what is asked after that answers 0.
type asking struct {
	p    Program
	err  error
	held []uint32 // places in its memory to be freed
	last []func() // what else ends
}

func (a *asking) call(export string, args ...uint32) uint32 {
	if a.err != nil {
		return 0
	}
	v, err := a.p.Call(export, args...)
	if err != nil {
		a.err = err
		return 0
	}
	return v
}

// room asks for n bytes of its memory.
func (a *asking) room(n int) uint32 {
	if a.err != nil {
		return 0
	}
	if int64(n) > 1<<31-1 {
		a.err = errMemory
		return 0
	}
	at := a.call(malloc, uint32(max(n, 1)))
	if at == 0 && a.err == nil {
		a.err = errMemory
	}
	a.held = append(a.held, at)
	return at
}

var errMemory = fmt.Errorf("it needs more memory than such a small file can honestly fill")

// made begins an object of its own and ends it behind all.
func (a *asking) made(begin, end string) uint32 {
	at := a.call(begin)
	a.last = append(a.last, func() { a.call(end, at) })
	return at
}

func (a *asking) end() {
	for i := len(a.last) - 1; i >= 0; i-- {
		a.last[i]()
	}
	for _, at := range a.held {
		a.call(free, at)
	}
}

func (a *asking) unpack(stream []byte, want []Attribute, take func(n, size int) error) (s Shape, err error) {
	defer a.end()
	at := a.room(len(stream))
	if a.err == nil {
		a.err = a.p.Write(at, stream)
	}
	decoder := a.made(newDecoder, endDecoder)
	mesh := a.made(newMesh, endMesh)
	status := a.call(decodeMesh, decoder, at, uint32(len(stream)), mesh)
	if a.call(isOK, status) == 0 {
		return s, fmt.Errorf("no stream of Draco: %s", a.words(a.call(message, status)))
	}
	points, faces := int(a.call(pointsOf, mesh)), int(a.call(facesOf, mesh))
	if a.err != nil || points < 1 || points > 1<<28 || faces < 0 || faces > 1<<28 {
		return s, fmt.Errorf("a shape of %d points and %d triangles", points, faces)
	}
	if err := take(faces, 12); err != nil {
		return s, err
	}
	s.Points = points
	if s.Corners = a.fetch(12*faces, func(n, to uint32) uint32 { return a.call(corners, decoder, mesh, n, to) }); s.Corners == nil && faces > 0 {
		return s, fmt.Errorf("its triangles cannot be read")
	}
	for _, w := range want {
		list := a.call(attributeOf, decoder, mesh, uint32(w.ID))
		if list == 0 {
			return s, fmt.Errorf("it holds no attribute %d", w.ID)
		}
		if n := int(a.call(widthOf, list) & 0xFF); n != w.Width {
			return s, fmt.Errorf("attribute %d has %d numbers a point, %d are wanted", w.ID, n, w.Width)
		}
		size := typeSize[w.Type]
		if size == 0 {
			return s, fmt.Errorf("attribute %d is wanted in component type %d, which is none", w.ID, w.Type)
		}
		if err := take(points, size*w.Width); err != nil {
			return s, err
		}
		data := a.fetch(points*size*w.Width, func(n, to uint32) uint32 {
			return a.call(numbersOf, decoder, mesh, list, dataType[w.Type], n, to)
		})
		if data == nil {
			return s, fmt.Errorf("attribute %d cannot be read", w.ID)
		}
		s.Attributes = append(s.Attributes, data)
	}
	return s, nil
}

// fetch lets fill write n bytes and copies them out; nil where it did not.
func (a *asking) fetch(n int, fill func(n, to uint32) uint32) []byte {
	if n == 0 {
		return []byte{}
	}
	to := a.room(n)
	if a.err != nil {
		return nil
	}
	ok := fill(uint32(n), to)
	if ok&0xFF == 0 || a.err != nil {
		return nil
	}
	data, err := a.p.Read(to, uint32(n))
	if err != nil {
		a.err = err
		return nil
	}
	a.call(free, to)
	a.held = a.held[:len(a.held)-1]
	return data
}

// words reads what the decoder says of an error, up to its closing zero.
func (a *asking) words(at uint32) string {
	const most = 120
	for n := uint32(most); n > 0; n /= 2 { // the end of its memory may be near
		b, err := a.p.Read(at, n)
		if err != nil {
			continue
		}
		for i, c := range b {
			if c == 0 {
				b = b[:i]
				break
			}
			if c < ' ' || c > '~' {
				b[i] = '?'
			}
		}
		return string(b)
	}
	return "it says nothing"
}
