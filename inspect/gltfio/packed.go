package gltfio

import (
	"encoding/json"

	"rigloupe/inspect/meshopt"
)

// packings are the extensions that pack buffer views and are unpacked here.
var packings = [...]string{"EXT_meshopt_compression", "KHR_meshopt_compression"}

// stream is where a packed buffer view lies, and how it is packed.
type stream struct {
	meshopt.View
	by                     string // the extension
	buffer, offset, length int
}

// stream answers how view i is packed. is: it names an extension of packings.
func (r *reader) stream(i int) (s stream, is bool, err error) {
	v := r.doc.BufferViews[i]
	if len(v.Extensions) == 0 { // nearly all: a map is not asked twice for each
		return s, false, nil
	}
	for _, s.by = range packings {
		var of any
		if of, is = v.Extensions[s.by]; !is {
			continue
		}
		told := struct {
			Buffer, ByteOffset, ByteLength, ByteStride, Count int
			Mode, Filter                                      string
		}{Buffer: -1}
		raw, ok := of.(json.RawMessage)
		if !ok || json.Unmarshal(raw, &told) != nil {
			return s, true, faultf("buffer view %d: %s is not as it should be", i, s.by)
		}
		s.View = meshopt.View{Mode: told.Mode, Filter: told.Filter, Count: told.Count, Stride: told.ByteStride}
		s.buffer, s.offset, s.length = told.Buffer, told.ByteOffset, told.ByteLength
		return s, true, nil
	}
	return s, false, nil
}

// unpackView answers the bytes that view i stands for.
func (r *reader) unpackView(i int, s stream) ([]byte, error) {
	packed, err := r.bytesOf(i, s.buffer, s.offset, s.length)
	if err == nil && len(packed) < s.length { // the end of a stream is found by its length
		err = faultf("%d bytes of buffer %d from byte %d on are stated, %d are there", s.length, s.buffer, s.offset, len(packed))
	}
	if err == nil {
		err = s.Check()
	}
	if err == nil {
		err = r.spend(s.Count, s.Stride)
	}
	var out []byte
	if err == nil {
		out, err = s.Unpack(packed)
	}
	if err != nil {
		return nil, faultf("buffer view %d, %s: %v", i, s.by, err)
	}
	if v := r.doc.BufferViews[i]; v.ByteLength != len(out) {
		r.bad(nowhere, place("bufferViews", i, "byteLength"), "%d bytes are stated, its packed data stand for %d; these are read", v.ByteLength, len(out))
	}
	return out, nil
}

// isFallback tells a buffer that is said to hold only what packed views stand for.
func (r *reader) isFallback(b int) bool {
	for _, name := range packings {
		var told struct{ Fallback bool }
		if raw, ok := r.doc.Buffers[b].Extensions[name].(json.RawMessage); ok && json.Unmarshal(raw, &told) == nil && told.Fallback {
			return true
		}
	}
	return false
}

// isThere tells that the bytes of a buffer are at hand.
func (r *reader) isThere(b int) bool {
	return b >= 0 && b < len(r.buffers) && r.buffers[b].fault == nil
}
