// Package meshopt unpacks buffer views packed by EXT_meshopt_compression and
// KHR_meshopt_compression. Source of all of it: the two extensions' texts in glTF's registry,
// Appendix A (Bitstream) and Appendix B (Filters); the second one adds version 1 of the
// attributes and the filter COLOR.
//
// Nothing in a stream is trusted: each read is checked, a stream that ends early or late is an
// error, and nothing is allocated that its bytes cannot stand for.
package meshopt

import (
	"errors"
	"fmt"
)

// View is how a buffer view is packed, in the words of the extensions.
type View struct {
	Mode   string // ATTRIBUTES, TRIANGLES or INDICES
	Filter string // NONE, also for "", OCTAHEDRAL, QUATERNION, EXPONENTIAL or COLOR
	Count  int    // elements
	Stride int    // bytes of one
}

var errShort = errors.New("the packed data end early")

// Check says what of a description no stream can be unpacked by (the extension's text, JSON
// schema updates).
func (v View) Check() error {
	if v.Count < 1 {
		return fmt.Errorf("count is %d, at least 1 is wanted", v.Count)
	}
	switch v.Mode {
	case "ATTRIBUTES":
		if v.Stride < 4 || v.Stride > 256 || v.Stride%4 != 0 {
			return fmt.Errorf("byteStride is %d, a multiple of 4 up to 256 is wanted", v.Stride)
		}
	case "TRIANGLES", "INDICES":
		if v.Stride != 2 && v.Stride != 4 {
			return fmt.Errorf("byteStride is %d, 2 or 4 is wanted for indices", v.Stride)
		}
		if v.Mode == "TRIANGLES" && v.Count%3 != 0 {
			return fmt.Errorf("%d indices are no whole triangles", v.Count)
		}
		if v.Filter != "" && v.Filter != "NONE" {
			return fmt.Errorf("filter %s is for vertices, not for indices", v.Filter)
		}
	default:
		return fmt.Errorf("mode %.40q is none of ATTRIBUTES, TRIANGLES and INDICES", v.Mode)
	}
	fits := true
	switch v.Filter {
	case "", "NONE", "EXPONENTIAL":
	case "OCTAHEDRAL", "COLOR":
		fits = v.Stride == 4 || v.Stride == 8
	case "QUATERNION":
		fits = v.Stride == 8
	default:
		return fmt.Errorf("filter %.40q is none of NONE, OCTAHEDRAL, QUATERNION, EXPONENTIAL and COLOR", v.Filter)
	}
	if !fits {
		return fmt.Errorf("filter %s does not go with a byteStride of %d", v.Filter, v.Stride)
	}
	return nil
}

// Unpack answers the Count · Stride bytes that data stand for. data has to be the whole stream
// and nothing else, since its end is found by its length.
func (v View) Unpack(data []byte) ([]byte, error) {
	if err := v.Check(); err != nil {
		return nil, err
	}
	switch v.Mode {
	case "TRIANGLES":
		return triangles(data, v.Count, v.Stride)
	case "INDICES":
		return indices(data, v.Count, v.Stride)
	}
	out, err := vertices(data, v.Count, v.Stride)
	if err != nil {
		return nil, err
	}
	switch v.Filter {
	case "OCTAHEDRAL":
		octahedral(out, v.Stride)
	case "QUATERNION":
		quaternions(out)
	case "EXPONENTIAL":
		exponential(out)
	case "COLOR":
		colours(out, v.Stride)
	}
	return out, nil
}

// stream is packed data that are still to be read. After a read beyond the end, short is set
// and all further reads answer zeros.
type stream struct {
	in    []byte
	short bool
}

// take answers the next n bytes; nil where fewer are left.
func (s *stream) take(n int) []byte {
	if n > len(s.in) {
		s.in, s.short = nil, true
		return nil
	}
	b := s.in[:n]
	s.in = s.in[n:]
	return b
}

func (s *stream) byte() byte {
	if b := s.take(1); b != nil {
		return b[0]
	}
	return 0
}

// whole reads a whole number of seven bits a byte, the lowest first, of five bytes at most.
func (s *stream) whole() (v uint32) {
	for shift := 0; shift < 35; shift += 7 {
		b := s.byte()
		v |= uint32(b&127) << shift
		if b < 128 {
			return v
		}
	}
	s.short = true
	return 0
}

// done says what is wrong with a stream that should be read to its end now.
func (s *stream) done() error {
	if s.short {
		return errShort
	}
	if len(s.in) > 0 {
		return fmt.Errorf("%d bytes are left over behind the packed data", len(s.in))
	}
	return nil
}
