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
	"hash/fnv"
	"reflect"
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
func Pack(v any) ([]byte, error) {
	val := reflect.ValueOf(v)
	for val.Kind() == reflect.Pointer && !val.IsNil() {
		val = val.Elem()
	}
	if !val.IsValid() || val.Kind() == reflect.Pointer {
		return nil, errors.New("flat: nothing to pack")
	}
	print, err := fingerprint(val.Type())
	if err != nil {
		return nil, err
	}
	// Once to count, once to write: growing would need up to three times the memory.
	count := packer{seen: map[piece]int{}}
	if err := count.value(val, 0); err != nil {
		return nil, err
	}
	p := packer{seen: map[piece]int{}, out: make([]byte, 0, head+count.n)}
	p.out = append(p.out, letters[:]...)
	for i := range 8 {
		p.out = append(p.out, byte(print>>(8*i)))
	}
	return p.out, p.value(val, 0)
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
	print, err := fingerprint(val.Type())
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
	if got != print {
		return fmt.Errorf("flat: these bytes hold another type than %s, or come from another build; load the page again", val.Type())
	}
	u := unpacker{data: data, at: head, look: look}
	if err := u.value(val, 0); err != nil {
		return fmt.Errorf("flat: at byte %d of %d: %w", u.at, len(data), err)
	}
	if u.at != len(data) {
		return fmt.Errorf("flat: %d bytes are left over", len(data)-u.at)
	}
	return nil
}

// fingerprint is a hash of all names and kinds a type is made of.
func fingerprint(t reflect.Type) (uint64, error) {
	h := fnv.New64a()
	seen := map[reflect.Type]bool{}
	var walk func(t reflect.Type, path string) error
	walk = func(t reflect.Type, path string) error {
		fmt.Fprintf(h, "%s %s;", t.Kind(), t.Name())
		if seen[t] {
			return nil
		}
		seen[t] = true
		switch t.Kind() {
		case reflect.Struct:
			for f := range fields(t) {
				fmt.Fprintf(h, "%s:", t.Field(f).Name)
				if err := walk(t.Field(f).Type, path+"."+t.Field(f).Name); err != nil {
					return err
				}
			}
		case reflect.Map:
			if !sortable(t.Key().Kind()) {
				return fmt.Errorf("flat: %s is a map by %s; only text and numbers can be keys", path, t.Key())
			}
			if err := walk(t.Key(), path+" key"); err != nil {
				return err
			}
			return walk(t.Elem(), path+"[…]")
		case reflect.Array:
			fmt.Fprintf(h, "%d:", t.Len())
			return walk(t.Elem(), path+"[…]")
		case reflect.Slice:
			if t.Elem().Size() == 0 {
				return fmt.Errorf("flat: %s holds elements of no size", path)
			}
			return walk(t.Elem(), path+"[…]")
		case reflect.Pointer:
			return walk(t.Elem(), path)
		case reflect.String, reflect.Bool:
		default:
			if number(t.Kind()) == 0 {
				return fmt.Errorf("flat: %s is a %s, which cannot cross", strings.TrimPrefix(path, "."), t)
			}
		}
		return nil
	}
	if err := walk(t, t.Name()); err != nil {
		return 0, err
	}
	return h.Sum64(), nil
}

// fields are the places of a struct's exported fields.
func fields(t reflect.Type) func(func(int) bool) {
	return func(yield func(int) bool) {
		for i := range t.NumField() {
			if t.Field(i).IsExported() && !yield(i) {
				return
			}
		}
	}
}

// number is the size of a number's kind as packed, 0: no number. int and uint take
// eight bytes: they are as wide natively and in WebAssembly, and checked.
func number(k reflect.Kind) int {
	switch k {
	case reflect.Int8, reflect.Uint8:
		return 1
	case reflect.Int16, reflect.Uint16:
		return 2
	case reflect.Int32, reflect.Uint32, reflect.Float32:
		return 4
	case reflect.Int64, reflect.Uint64, reflect.Float64, reflect.Int, reflect.Uint, reflect.Complex64:
		return 8
	case reflect.Complex128:
		return 16
	}
	return 0
}

func sortable(k reflect.Kind) bool {
	return k == reflect.String || number(k) > 0 && k != reflect.Complex64 && k != reflect.Complex128
}

// solid tells whether a value of this type is numbers alone, without gaps: then a
// slice of it is one piece of memory. Bools are not: not every byte is one.
func solid(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Array:
		return t.Len() > 0 && solid(t.Elem())
	case reflect.Struct:
		var size uintptr
		for i := range t.NumField() {
			f := t.Field(i)
			if !f.IsExported() || !solid(f.Type) {
				return false
			}
			size += f.Type.Size()
		}
		return size > 0 && size == t.Size()
	}
	return number(t.Kind()) > 0 && uintptr(number(t.Kind())) == t.Size()
}

// piece is a stretch of memory that was packed already.
type piece struct {
	at    unsafe.Pointer
	count int
	t     reflect.Type
}

type packer struct {
	out  []byte // nil: only counting
	n    int
	seen map[piece]int
}

func (p *packer) raw(b []byte) {
	p.n += len(b)
	if p.out != nil {
		p.out = append(p.out, b...)
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

func (p *packer) value(v reflect.Value, depth int) error {
	t := v.Type()
	if depth > deepest {
		return fmt.Errorf("flat: a %s is nested too deep, or in a ring", t)
	}
	switch t.Kind() {
	case reflect.Bool:
		p.raw([]byte{bit(v.Bool())})
	case reflect.String:
		p.whole(uint64(v.Len()))
		p.raw([]byte(v.String()))
	case reflect.Struct:
		for f := range fields(t) {
			if err := p.value(v.Field(f), depth+1); err != nil {
				return err
			}
		}
	case reflect.Array:
		for i := range v.Len() {
			if err := p.value(v.Index(i), depth+1); err != nil {
				return err
			}
		}
	case reflect.Slice:
		return p.slice(v, depth)
	case reflect.Map:
		return p.table(v, depth)
	case reflect.Pointer:
		p.raw([]byte{bit(!v.IsNil())})
		if !v.IsNil() {
			return p.value(v.Elem(), depth+1)
		}
	default:
		p.number(v)
	}
	return nil
}

func bit(b bool) byte {
	if b {
		return 1
	}
	return 0
}

func (p *packer) number(v reflect.Value) {
	// A copy in memory of its own: fields reached by value have no address.
	c := reflect.New(v.Type()).Elem()
	c.Set(v)
	p.raw(unsafe.Slice((*byte)(c.Addr().UnsafePointer()), c.Type().Size()))
}

// slice writes 0 for nil, else 1 + the length. Solid ones then say how many pieces
// ago the same memory was written (0: never), and only the first one is written.
func (p *packer) slice(v reflect.Value, depth int) error {
	if v.IsNil() {
		p.whole(0)
		return nil
	}
	n := v.Len()
	p.whole(uint64(n) + 1)
	if n == 0 {
		return nil
	}
	t := v.Type().Elem()
	switch {
	case t.Kind() == reflect.Bool:
		p.raw(unsafe.Slice((*byte)(v.UnsafePointer()), n))
	case solid(t):
		at := piece{v.UnsafePointer(), n, t}
		k := len(p.seen)
		if before, ok := p.seen[at]; ok {
			p.whole(uint64(k - before))
			return nil
		}
		p.seen[at] = k
		p.whole(0)
		p.pad()
		p.raw(unsafe.Slice((*byte)(v.UnsafePointer()), n*int(t.Size())))
	default:
		for i := range n {
			if err := p.value(v.Index(i), depth+1); err != nil {
				return err
			}
		}
	}
	return nil
}

// table writes a map in the order of its keys, so that equal maps give equal bytes.
func (p *packer) table(v reflect.Value, depth int) error {
	if v.IsNil() {
		p.whole(0)
		return nil
	}
	p.whole(uint64(v.Len()) + 1)
	keys := v.MapKeys()
	slices.SortFunc(keys, compare)
	for _, k := range keys {
		if err := p.value(k, depth+1); err != nil {
			return err
		}
		if err := p.value(v.MapIndex(k), depth+1); err != nil {
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
