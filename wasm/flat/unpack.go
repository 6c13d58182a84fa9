package flat

import (
	"errors"
	"fmt"
	"reflect"
	"unsafe"
)

var errShort = errors.New("the bytes end too early")

// unpacker trusts nothing: every length is held against what is left before it is
// used, so broken bytes give an error and cost no more memory than they are long,
// times the size of an empty element.
type unpacker struct {
	data   []byte
	at     int
	pieces []solidPiece
	look   func() error
	values int // since the last look
}

// lookAfter is how many values are unpacked between two looks: about a millisecond in
// WebAssembly.
const lookAfter = 2048

type solidPiece struct {
	at    unsafe.Pointer
	count int
	of    *plan
}

func (u *unpacker) raw(n int) ([]byte, error) {
	if n < 0 || n > len(u.data)-u.at {
		return nil, errShort
	}
	b := u.data[u.at : u.at+n : u.at+n]
	u.at += n
	return b, nil
}

func (u *unpacker) whole() (v uint64, err error) {
	for shift := 0; shift < 64; shift += 7 {
		b, err := u.raw(1)
		if err != nil {
			return 0, err
		}
		v |= uint64(b[0]&0x7f) << shift
		if b[0] < 0x80 {
			return v, nil
		}
	}
	return 0, errors.New("a number does not end")
}

func (u *unpacker) flag() (bool, error) {
	b, err := u.raw(1)
	if err != nil {
		return false, err
	}
	if b[0] > 1 {
		return false, fmt.Errorf("%d stands for yes or no", b[0])
	}
	return b[0] == 1, nil
}

// length reads 1 + a length, 0 for nil. Every element takes at least one byte.
func (u *unpacker) length() (n int, isNil bool, err error) {
	v, err := u.whole()
	if err != nil || v == 0 {
		return 0, true, err
	}
	if v-1 > uint64(len(u.data)-u.at) {
		return 0, false, errShort
	}
	return int(v - 1), false, nil
}

// value fills what lies at to, which is of the plan's type and empty.
func (u *unpacker) value(to unsafe.Pointer, pl *plan, depth int) error {
	if depth > deepest {
		return fmt.Errorf("a %s is nested too deep", pl.t)
	}
	if u.values++; u.values >= lookAfter && u.look != nil {
		u.values = 0
		if err := u.look(); err != nil {
			return err
		}
	}
	switch pl.kind {
	case reflect.Bool:
		b, err := u.flag()
		*(*bool)(to) = b
		return err
	case reflect.String:
		n, err := u.whole()
		if err != nil {
			return err
		}
		if n > uint64(len(u.data)-u.at) {
			return errShort
		}
		b, err := u.raw(int(n))
		*(*string)(to) = string(b)
		return err
	case reflect.Struct:
		for i := range pl.fields {
			f := &pl.fields[i]
			if err := u.value(unsafe.Add(to, f.offset), f.of, depth+1); err != nil {
				return err
			}
		}
		return nil
	case reflect.Array:
		return u.elements(to, pl, pl.t.Len(), depth)
	case reflect.Slice:
		return u.slice(to, pl, depth)
	case reflect.Map:
		return u.table(reflect.NewAt(pl.t, to).Elem(), pl, depth)
	case reflect.Pointer:
		is, err := u.flag()
		if err != nil {
			return err
		}
		if !is {
			*(*unsafe.Pointer)(to) = nil
			return nil
		}
		own := reflect.New(pl.elem.t).UnsafePointer()
		*(*unsafe.Pointer)(to) = own
		return u.value(own, pl.elem, depth+1)
	}
	b, err := u.raw(int(pl.size))
	if err != nil {
		return err
	}
	copy(unsafe.Slice((*byte)(to), len(b)), b)
	return nil
}

func (u *unpacker) elements(first unsafe.Pointer, pl *plan, n, depth int) error {
	for i := range n {
		if err := u.value(unsafe.Add(first, i*int(pl.elem.size)), pl.elem, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (u *unpacker) slice(to unsafe.Pointer, pl *plan, depth int) error {
	if pl.elem.solid {
		return u.solid(to, pl)
	}
	n, isNil, err := u.length()
	if err != nil {
		return err
	}
	if isNil {
		*(*header)(to) = header{}
		return nil
	}
	bools := pl.elem.kind == reflect.Bool
	var b []byte
	if bools {
		if b, err = u.raw(n); err != nil {
			return err
		}
	}
	first := reflect.MakeSlice(pl.t, n, n).UnsafePointer()
	*(*header)(to) = header{first, n, n}
	if !bools {
		return u.elements(first, pl, n, depth)
	}
	for i, x := range b {
		if x > 1 {
			return fmt.Errorf("%d stands for yes or no", x)
		}
		*(*bool)(unsafe.Add(first, i)) = x == 1
	}
	return nil
}

// solid sets a slice of numbers to where they lie in the bytes.
func (u *unpacker) solid(to unsafe.Pointer, pl *plan) error {
	count, err := u.whole()
	if err != nil {
		return err
	}
	if count == 0 {
		*(*header)(to) = header{}
		return nil
	}
	count--
	if count == 0 {
		*(*header)(to) = header{first: reflect.MakeSlice(pl.t, 0, 0).UnsafePointer()}
		return nil
	}
	ago, err := u.whole()
	if err != nil {
		return err
	}
	var at solidPiece
	if ago > 0 {
		if ago > uint64(len(u.pieces)) {
			return errors.New("a piece is said to stand where none is")
		}
		at = u.pieces[len(u.pieces)-int(ago)]
		if at.of != pl.elem || uint64(at.count) != count {
			return errors.New("a piece is of another kind or length than it was")
		}
	} else {
		if _, err := u.raw(-u.at & 7); err != nil {
			return err
		}
		size := int(pl.elem.size)
		if count > uint64((len(u.data)-u.at)/size) {
			return errShort
		}
		b, err := u.raw(int(count) * size)
		if err != nil {
			return err
		}
		at = solidPiece{unsafe.Pointer(unsafe.SliceData(b)), int(count), pl.elem}
		if uintptr(at.at)&7 != 0 { // bytes that do not start on a word: copy
			own := reflect.MakeSlice(pl.t, at.count, at.count).UnsafePointer()
			copy(unsafe.Slice((*byte)(own), len(b)), b)
			at.at = own
		}
		u.pieces = append(u.pieces, at)
	}
	*(*header)(to) = header{at.at, at.count, at.count}
	return nil
}

func (u *unpacker) table(v reflect.Value, pl *plan, depth int) error {
	n, isNil, err := u.length()
	if err != nil {
		return err
	}
	if isNil {
		v.SetZero()
		return nil
	}
	v.Set(reflect.MakeMapWithSize(pl.t, n))
	for range n {
		key, value := reflect.New(pl.key.t), reflect.New(pl.elem.t)
		if err := u.value(key.UnsafePointer(), pl.key, depth+1); err != nil {
			return err
		}
		if err := u.value(value.UnsafePointer(), pl.elem, depth+1); err != nil {
			return err
		}
		v.SetMapIndex(key.Elem(), value.Elem())
	}
	return nil
}
