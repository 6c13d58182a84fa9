package meshopt

import (
	"encoding/binary"
	"errors"
)

// none marks a place of a queue that nothing was pushed to yet.
const none = -1

// recent is what the decoder of triangles remembers (Mode 1: triangles).
type recent struct {
	in       stream
	edges    [16][2]int64
	vertices [16]int64
	edge     int    // edges pushed so far
	vertex   int    // vertices likewise
	next     uint32 // the lowest index that was not met yet
	last     uint32 // the last one that was written out
	fresh    bool   // a place was asked for that nothing was pushed to
}

func (r *recent) free() uint32 {
	v := r.in.whole()
	r.last += v>>1 ^ -(v & 1)
	return r.last
}

func (r *recent) unmet() uint32 { r.next++; return r.next - 1 }

func (r *recent) push(v uint32) { r.vertices[r.vertex&15] = int64(v); r.vertex++ }

func (r *recent) pushEdge(a, b uint32) {
	r.edges[r.edge&15] = [2]int64{int64(a), int64(b)}
	r.edge++
}

// seen answers the vertex that was pushed back pushes ago, 0: the last.
func (r *recent) seen(back int) uint32 {
	v := r.vertices[(r.vertex-1-back)&15]
	r.fresh = r.fresh || v == none
	return uint32(v)
}

// corner answers an index by four bits of a code: 0 one not met yet, 15 one written out, else
// one met before. new: it is pushed.
func (r *recent) corner(code byte) (v uint32, isNew bool) {
	switch code {
	case 0:
		return r.unmet(), true
	case 15:
		return r.free(), true
	}
	return r.seen(int(code) - 1), false
}

// triangles unpacks count indices, three a triangle, of size bytes (Mode 1: triangles).
func triangles(data []byte, count, size int) ([]byte, error) {
	if len(data) == 0 || data[0] != 0xE1 {
		return nil, errors.New("packed triangles do not begin with 0xE1")
	}
	n := count / 3
	if len(data)-1-16 < n {
		return nil, errShort
	}
	codes, table := data[1:1+n], data[len(data)-16:]
	r := &recent{in: stream{in: data[1+n : len(data)-16]}}
	for i := range r.edges {
		r.edges[i], r.vertices[i] = [2]int64{none, none}, none
	}
	out := make([]byte, count*size)
	for i, code := range codes {
		a, b, c := r.triangle(code, table)
		if r.in.short {
			return nil, errShort
		}
		if r.fresh {
			return nil, errors.New("a triangle refers to one before the first")
		}
		for k, v := range [3]uint32{a, b, c} {
			write(out, 3*i+k, size, v)
		}
	}
	return out, r.in.done()
}

// triangle reads the corners of one triangle by its code.
func (r *recent) triangle(code byte, table []byte) (a, b, c uint32) {
	high, low := code>>4, code&15
	if high < 15 { // an edge met before and a third corner
		e := r.edges[(r.edge-1-int(high))&15]
		r.fresh = r.fresh || e[0] == none
		a, b = uint32(e[0]), uint32(e[1])
		isNew := true
		switch low {
		case 13:
			r.last--
			c = r.last
		case 14:
			r.last++
			c = r.last
		case 0, 15:
			c, isNew = r.corner(low)
		default: // of such an edge both ends are known: the count begins behind the last vertex
			c, isNew = r.seen(int(low)), false
		}
		r.pushEdge(c, b)
		r.pushEdge(a, c)
		if isNew {
			r.push(c)
		}
		return a, b, c
	}
	var pair byte
	if low < 14 {
		pair = table[low]
	} else if pair = r.in.byte(); pair == 0 {
		r.next = 0
	}
	if low == 15 {
		a = r.free()
	} else {
		a = r.unmet()
	}
	b, newB := r.corner(pair >> 4)
	c, newC := r.corner(pair & 15)
	r.pushEdge(b, a)
	r.pushEdge(c, b)
	r.pushEdge(a, c)
	r.push(a)
	if newB {
		r.push(b)
	}
	if newC {
		r.push(c)
	}
	return a, b, c
}

// indices unpacks count indices of size bytes, each told from one of two that came before
// (Mode 2: indices).
func indices(data []byte, count, size int) ([]byte, error) {
	if len(data) == 0 || data[0] != 0xD1 {
		return nil, errors.New("packed indices do not begin with 0xD1")
	}
	if len(data)-1-4 < count { // each takes a byte at least
		return nil, errShort
	}
	in := stream{in: data[1 : len(data)-4]}
	out := make([]byte, count*size)
	var last [2]uint32
	for i := range count {
		v := in.whole()
		to := &last[v&1]
		v >>= 1
		*to += v>>1 ^ -(v & 1)
		write(out, i, size, *to)
	}
	return out, in.done()
}

// write puts index i of size bytes; of two bytes the upper half is dropped.
func write(out []byte, i, size int, v uint32) {
	if size == 2 {
		binary.LittleEndian.PutUint16(out[2*i:], uint16(v))
	} else {
		binary.LittleEndian.PutUint32(out[4*i:], v)
	}
}
