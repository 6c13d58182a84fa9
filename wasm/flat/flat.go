// Package flat carries plain data between two programs of one build: structs,
// arrays, slices, maps, strings, numbers and pointers become bytes and come back.
// It is how a read rig crosses from the worker that examines it to the program
// that draws it, without reading the file twice.
//
// Slices of numbers, and of structs and arrays made of numbers alone, are copied
// as one piece of memory; Unpack does not even copy them, they lie in the bytes it
// was given. Two slices that are one stay one. Nil and empty differ, as they did
// before. Unexported fields are left out. Interfaces, functions and channels
// cannot cross.
//
// The bytes begin with a fingerprint of the type, so bytes of another build are
// refused, not misread. Byte order is little-endian, like every machine this runs
// on.
package flat

import (
	"errors"
	"fmt"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"unsafe"
)

// deepest is how far pointers, slices and structs may nest: more is a ring.
const deepest = 64

// head is what the bytes start with: four letters and the fingerprint.
const head = 12

var letters = [4]byte{'F', 'L', 'A', 'T'}

// Pack writes v, or what it points to.
func Pack(v any) (out []byte, err error) {
	err = Send(v, func(size int) func([]byte) {
		out = make([]byte, 0, size)
		return func(b []byte) { out = append(out, b...) }
	})
	return out, err
}

// Send is Pack to wherever the bytes are wanted, so that they need not lie here as well: to is
// told how many there are and answers what takes them, piece by piece. A piece is valid until
// that returns.
func Send(v any, to func(size int) (put func([]byte))) error {
	val := reflect.ValueOf(v)
	for val.Kind() == reflect.Pointer && !val.IsNil() {
		val = val.Elem()
	}
	if !val.IsValid() || val.Kind() == reflect.Pointer {
		return errors.New("flat: nothing to pack")
	}
	pl, err := planOf(val.Type())
	if err != nil {
		return err
	}
	if !val.CanAddr() { // a struct handed over by value
		own := reflect.New(val.Type()).Elem()
		own.Set(val)
		val = own
	}
	from := val.Addr().UnsafePointer()
	// Once to count, once to write: growing would need up to three times the memory.
	count := packer{seen: map[piece]int{}}
	if err := count.value(from, pl, 0); err != nil {
		return err
	}
	p := packer{seen: make(map[piece]int, len(count.seen)), put: to(head + count.n)}
	start := append([]byte{}, letters[:]...)
	for i := range 8 {
		start = append(start, byte(pl.print>>(8*i)))
	}
	p.put(start)
	err = p.value(from, pl, 0)
	runtime.KeepAlive(v)
	return err
}

// Unpack fills what to points to with data packed from the same type. Afterwards
// data belongs to it: slices of numbers lie in there.
func Unpack(data []byte, to any) error { return UnpackLooking(data, to, nil) }

// UnpackLooking is Unpack that looks up now and then; look's error ends it, and to is
// then half filled.
func UnpackLooking(data []byte, to any, look func() error) error {
	val := reflect.ValueOf(to)
	if val.Kind() != reflect.Pointer || val.IsNil() {
		return errors.New("flat: want a pointer to fill")
	}
	val = val.Elem()
	pl, err := planOf(val.Type())
	if err != nil {
		return err
	}
	if len(data) < head || [4]byte(data[:4]) != letters {
		return errors.New("flat: these bytes were not packed here")
	}
	var got uint64
	for i := range 8 {
		got |= uint64(data[4+i]) << (8 * i)
	}
	if got != pl.print {
		return fmt.Errorf("flat: these bytes hold another type than %s, or come from another build; load the page again", val.Type())
	}
	u := unpacker{data: data, at: head, look: look}
	if err := u.value(val.Addr().UnsafePointer(), pl, 0); err != nil {
		return fmt.Errorf("flat: at byte %d of %d: %w", u.at, len(data), err)
	}
	if u.at != len(data) {
		return fmt.Errorf("flat: %d bytes are left over", len(data)-u.at)
	}
	return nil
}

// piece is a stretch of memory that was packed already.
type piece struct {
	at    unsafe.Pointer
	count int
	of    *plan
}

type packer struct {
	put  func([]byte) // nil: only counting
	n    int
	seen map[piece]int
}

func (p *packer) raw(b []byte) {
	p.n += len(b)
	if p.put != nil {
		p.put(b)
	}
}

// whole writes a number in as few bytes as it needs.
func (p *packer) whole(v uint64) {
	var b [10]byte
	i := 0
	for ; v >= 0x80; i++ {
		b[i] = byte(v) | 0x80
		v >>= 7
	}
	b[i] = byte(v)
	p.raw(b[:i+1])
}

// pad brings the next byte to a multiple of 8 from the start of the bytes.
func (p *packer) pad() {
	var zeros [8]byte
	p.raw(zeros[:-(head+p.n)&7])
}

// value writes what lies at from, which is of the plan's type.
func (p *packer) value(from unsafe.Pointer, pl *plan, depth int) error {
	if depth > deepest {
		return fmt.Errorf("flat: a %s is nested too deep, or in a ring", pl.t)
	}
	switch pl.kind {
	case reflect.Bool:
		p.raw([]byte{bit(*(*bool)(from))})
	case reflect.String:
		text := *(*string)(from)
		p.whole(uint64(len(text)))
		p.raw(unsafe.Slice(unsafe.StringData(text), len(text)))
	case reflect.Struct:
		for i := range pl.fields {
			f := &pl.fields[i]
			if err := p.value(unsafe.Add(from, f.offset), f.of, depth+1); err != nil {
				return err
			}
		}
	case reflect.Array:
		return p.elements(from, pl, pl.t.Len(), depth)
	case reflect.Slice:
		return p.slice(from, pl, depth)
	case reflect.Map:
		return p.table(reflect.NewAt(pl.t, from).Elem(), pl, depth)
	case reflect.Pointer:
		to := *(*unsafe.Pointer)(from)
		p.raw([]byte{bit(to != nil)})
		if to != nil {
			return p.value(to, pl.elem, depth+1)
		}
	default:
		p.raw(unsafe.Slice((*byte)(from), pl.size))
	}
	return nil
}

func (p *packer) elements(first unsafe.Pointer, pl *plan, n, depth int) error {
	for i := range n {
		if err := p.value(unsafe.Add(first, i*int(pl.elem.size)), pl.elem, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func bit(b bool) byte {
	if b {
		return 1
	}
	return 0
}

// slice writes 0 for nil, else 1 + the length. Solid ones then say how many pieces
// ago the same memory was written (0: never), and only the first one is written.
func (p *packer) slice(from unsafe.Pointer, pl *plan, depth int) error {
	s := *(*header)(from)
	if s.first == nil {
		p.whole(0)
		return nil
	}
	p.whole(uint64(s.length) + 1)
	if s.length == 0 {
		return nil
	}
	switch {
	case pl.elem.kind == reflect.Bool:
		p.raw(unsafe.Slice((*byte)(s.first), s.length))
	case pl.elem.solid:
		at := piece{s.first, s.length, pl.elem}
		k := len(p.seen)
		if before, ok := p.seen[at]; ok {
			p.whole(uint64(k - before))
			return nil
		}
		p.seen[at] = k
		p.whole(0)
		p.pad()
		p.raw(unsafe.Slice((*byte)(s.first), s.length*int(pl.elem.size)))
	default:
		return p.elements(s.first, pl, s.length, depth)
	}
	return nil
}

// table writes a map in the order of its keys, so that equal maps give equal bytes.
func (p *packer) table(v reflect.Value, pl *plan, depth int) error {
	if v.IsNil() {
		p.whole(0)
		return nil
	}
	p.whole(uint64(v.Len()) + 1)
	keys := v.MapKeys()
	slices.SortFunc(keys, compare)
	key, value := reflect.New(pl.key.t), reflect.New(pl.elem.t)
	for _, k := range keys {
		key.Elem().Set(k)
		value.Elem().Set(v.MapIndex(k))
		if err := p.value(key.UnsafePointer(), pl.key, depth+1); err != nil {
			return err
		}
		if err := p.value(value.UnsafePointer(), pl.elem, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func compare(a, b reflect.Value) int {
	switch {
	case a.Kind() == reflect.String:
		return strings.Compare(a.String(), b.String())
	case a.CanInt():
		return order(a.Int(), b.Int())
	case a.CanUint():
		return order(a.Uint(), b.Uint())
	}
	return order(a.Float(), b.Float())
}

func order[T int64 | uint64 | float64](a, b T) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
