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
	t     reflect.Type
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

func (u *unpacker) value(v reflect.Value, depth int) error {
	t := v.Type()
	if depth > deepest {
		return fmt.Errorf("a %s is nested too deep", t)
	}
	if u.values++; u.values >= lookAfter && u.look != nil {
		u.values = 0
		if err := u.look(); err != nil {
			return err
		}
	}
	switch t.Kind() {
	case reflect.Bool:
		b, err := u.flag()
		v.SetBool(b)
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
		v.SetString(string(b))
		return err
	case reflect.Struct:
		for f := range fields(t) {
			if err := u.value(v.Field(f), depth+1); err != nil {
				return err
			}
		}
		return nil
	case reflect.Array:
		for i := range v.Len() {
			if err := u.value(v.Index(i), depth+1); err != nil {
				return err
			}
		}
		return nil
	case reflect.Slice:
		return u.slice(v, depth)
	case reflect.Map:
		return u.table(v, depth)
	case reflect.Pointer:
		is, err := u.flag()
		if err != nil {
			return err
		}
		if !is {
			v.SetZero()
			return nil
		}
		v.Set(reflect.New(t.Elem()))
		return u.value(v.Elem(), depth+1)
	}
	b, err := u.raw(int(t.Size()))
	if err != nil {
		return err
	}
	copy(unsafe.Slice((*byte)(v.Addr().UnsafePointer()), len(b)), b)
	return nil
}

func (u *unpacker) slice(v reflect.Value, depth int) error {
	t := v.Type()
	if isSolid := solid(t.Elem()); isSolid {
		return u.solid(v)
	}
	n, isNil, err := u.length()
	if err != nil {
		return err
	}
	if isNil {
		v.SetZero()
		return nil
	}
	if t.Elem().Kind() == reflect.Bool {
		b, err := u.raw(n)
		if err != nil {
			return err
		}
		v.Set(reflect.MakeSlice(t, n, n))
		for i, x := range b {
			if x > 1 {
				return fmt.Errorf("%d stands for yes or no", x)
			}
			v.Index(i).SetBool(x == 1)
		}
		return nil
	}
	v.Set(reflect.MakeSlice(t, n, n))
	for i := range n {
		if err := u.value(v.Index(i), depth+1); err != nil {
			return err
		}
	}
	return nil
}

// solid sets a slice of numbers to where they lie in the bytes.
func (u *unpacker) solid(v reflect.Value) error {
	count, err := u.whole()
	if err != nil {
		return err
	}
	if count == 0 {
		v.SetZero()
		return nil
	}
	count--
	t := v.Type()
	if count == 0 {
		v.Set(reflect.MakeSlice(t, 0, 0))
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
		if at.t != t.Elem() || uint64(at.count) != count {
			return errors.New("a piece is of another kind or length than it was")
		}
	} else {
		if _, err := u.raw(-u.at & 7); err != nil {
			return err
		}
		size := int(t.Elem().Size())
		if count > uint64((len(u.data)-u.at)/size) {
			return errShort
		}
		b, err := u.raw(int(count) * size)
		if err != nil {
			return err
		}
		at = solidPiece{unsafe.Pointer(unsafe.SliceData(b)), int(count), t.Elem()}
		if uintptr(at.at)&7 != 0 { // bytes that do not start on a word: copy
			own := reflect.MakeSlice(t, at.count, at.count)
			copy(unsafe.Slice((*byte)(own.UnsafePointer()), len(b)), b)
			at.at = own.UnsafePointer()
		}
		u.pieces = append(u.pieces, at)
	}
	v.Set(reflect.SliceAt(t.Elem(), at.at, at.count).Convert(t))
	return nil
}

func (u *unpacker) table(v reflect.Value, depth int) error {
	n, isNil, err := u.length()
	if err != nil {
		return err
	}
	t := v.Type()
	if isNil {
		v.SetZero()
		return nil
	}
	v.Set(reflect.MakeMapWithSize(t, n))
	for range n {
		key, value := reflect.New(t.Key()).Elem(), reflect.New(t.Elem()).Elem()
		if err := u.value(key, depth+1); err != nil {
			return err
		}
		if err := u.value(value, depth+1); err != nil {
			return err
		}
		v.SetMapIndex(key, value)
	}
	return nil
}
