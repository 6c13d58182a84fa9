package meshopt

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math/bits"
)

// widths are the bits a delta takes in a group of 16, by the two bits of the group's header
// (Mode 0: attributes): in version 0, and in version 1 by control mode 0 and 1.
var widths = [3][4]uint8{{0, 2, 4, 8}, {0, 1, 2, 4}, {1, 2, 4, 8}}

// vertices unpacks count elements of stride bytes (Mode 0: attributes, versions 0 and 1).
func vertices(data []byte, count, stride int) ([]byte, error) {
	if len(data) == 0 || data[0] != 0xA0 && data[0] != 0xA1 {
		return nil, errors.New("packed vertices do not begin with 0xA0 or 0xA1")
	}
	version := int(data[0] & 1)
	tail, padded := stride, 32
	if version == 1 {
		tail, padded = stride+stride/4, 24
	}
	behind := max(tail, padded)
	if len(data) < 1+behind {
		return nil, errShort
	}
	last := make([]byte, stride) // the element before, at first the one of the tail
	copy(last, data[len(data)-tail:])
	channels := make([]byte, stride/4)
	if version == 1 {
		copy(channels, data[len(data)-stride/4:])
	}
	for _, c := range channels {
		if c&15 > 2 || c&15 < 2 && c>>4 != 0 {
			return nil, fmt.Errorf("channel mode %#02x is none", c)
		}
	}
	in := stream{in: data[1 : len(data)-behind]}
	most := min(8192/stride&^15, 256) // elements of a block
	least := stride                   // of a block: a byte for each column of deltas, or two bits where none may follow
	if version == 1 {
		least = stride / 4
	}
	if (count+most-1)/most > len(in.in)/least {
		return nil, errShort
	}
	out := make([]byte, count*stride)
	deltas := make([]byte, 256*stride) // by byte of the element, then by element
	for first := 0; first < count; first += most {
		n := min(most, count-first)
		in.deltas(deltas, version, stride, n)
		if in.short {
			return nil, errShort
		}
		block := out[first*stride : (first+n)*stride]
		for c, mode := range channels {
			sum(block, last, deltas, mode, 4*c, stride, n)
		}
		copy(last, block[(n-1)*stride:])
	}
	return out, in.done()
}

// deltas reads one block of n elements: byte k of element i comes to to[256·k + i].
func (s *stream) deltas(to []byte, version, stride, n int) {
	groups := (n + 15) / 16
	var control []byte
	if version == 1 {
		if control = s.take(stride / 4); control == nil {
			return
		}
	}
	for k := range stride {
		column := to[256*k : 256*k+256]
		table := &widths[0]
		if version == 1 {
			switch mode := control[k/4] >> (2 * (k % 4)) & 3; mode {
			case 2:
				clear(column[:n])
				continue
			case 3:
				if copy(column, s.take(n)) < n {
					return
				}
				continue
			default:
				table = &widths[1+mode]
			}
		}
		header := s.take((groups + 3) / 4)
		if header == nil {
			return
		}
		for g := range groups {
			s.group(column[16*g:16*g+16], table[header[g/4]>>(2*(g%4))&3])
		}
		if s.short {
			return
		}
	}
}

// group reads 16 deltas of width bits each: those that have all bits set stand behind as a
// byte each. Of one bit the first is the lowest, of two and four the uppermost.
func (s *stream) group(to []byte, width uint8) {
	switch width {
	case 0:
		clear(to)
	case 8:
		copy(to, s.take(16))
	default:
		packed := s.take(2 * int(width))
		if packed == nil {
			return
		}
		full := byte(1)<<width - 1
		for i := range to {
			bit := i * int(width)
			shift := 8 - int(width) - bit%8
			if width == 1 {
				shift = bit % 8
			}
			v := packed[bit/8] >> shift & full
			if v == full {
				v = s.byte()
			}
			to[i] = v
		}
	}
}

// sum turns deltas into four bytes of each element from byte k on, by channel mode: single
// bytes, pairs (both with the sign in the lowest bit), or four bytes that are the bits in which
// two elements differ, turned by the mode's upper half.
func sum(block, last, deltas []byte, mode byte, k, stride, n int) {
	switch mode & 15 {
	case 0:
		for b := k; b < k+4; b++ {
			at, column := last[b], deltas[256*b:256*b+n]
			for i, d := range column {
				at += d>>1 ^ -(d & 1)
				block[i*stride+b] = at
			}
		}
	case 1:
		for b := k; b < k+4; b += 2 {
			at := binary.LittleEndian.Uint16(last[b:])
			for i := range n {
				d := uint16(deltas[256*b+i]) | uint16(deltas[256*b+256+i])<<8
				at += d>>1 ^ -(d & 1)
				binary.LittleEndian.PutUint16(block[i*stride+b:], at)
			}
		}
	default:
		at, turn := binary.LittleEndian.Uint32(last[k:]), int(mode>>4)
		for i := range n {
			d := uint32(deltas[256*k+i]) | uint32(deltas[256*k+256+i])<<8 | uint32(deltas[256*k+512+i])<<16 | uint32(deltas[256*k+768+i])<<24
			at ^= bits.RotateLeft32(d, -turn)
			binary.LittleEndian.PutUint32(block[i*stride+k:], at)
		}
	}
}
