package flat

import (
	"fmt"
	"hash/fnv"
	"reflect"
	"strings"
	"sync"
	"unsafe"
)

// plan is what packing has to know of a type, worked out once: asking reflect of every
// value took five times as long as the values themselves.
type plan struct {
	t      reflect.Type
	kind   reflect.Kind
	size   uintptr
	solid  bool    // numbers alone, without gaps: a slice of it is one piece of memory
	fields []field // of a struct, the exported ones
	elem   *plan   // of an array, slice, map or pointer
	key    *plan   // of a map
	print  uint64  // of the type that was asked for: see fingerprint
}

type field struct {
	offset uintptr
	of     *plan
}

// header is how a slice lies in memory.
type header struct {
	first            unsafe.Pointer
	length, capacity int
}

var plans struct {
	sync.Mutex
	asked map[reflect.Type]*plan // those with a fingerprint
	all   planned
}

// planOf answers the plan of a type that can cross.
func planOf(t reflect.Type) (*plan, error) {
	plans.Lock()
	defer plans.Unlock()
	if pl := plans.asked[t]; pl != nil {
		return pl, nil
	}
	print, err := fingerprint(t)
	if err != nil {
		return nil, err
	}
	if plans.all == nil {
		plans.all, plans.asked = planned{}, map[reflect.Type]*plan{}
	}
	pl := plans.all.of(t)
	pl.print = print
	plans.asked[t] = pl
	return pl, nil
}

type planned map[reflect.Type]*plan

// of is the plan of a type, which may hold itself by way of slices and pointers.
func (all planned) of(t reflect.Type) *plan {
	if pl := all[t]; pl != nil {
		return pl
	}
	pl := &plan{t: t, kind: t.Kind(), size: t.Size(), solid: solid(t)}
	all[t] = pl
	switch pl.kind {
	case reflect.Struct:
		for i := range fields(t) {
			f := t.Field(i)
			pl.fields = append(pl.fields, field{f.Offset, all.of(f.Type)})
		}
	case reflect.Map:
		pl.key, pl.elem = all.of(t.Key()), all.of(t.Elem())
	case reflect.Array, reflect.Slice, reflect.Pointer:
		pl.elem = all.of(t.Elem())
	}
	return pl
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
// slice of it is one piece of memory. Bools are not: not every byte is one. A gap may be
// filled up with a blank field, which crosses with the rest.
func solid(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Array:
		return t.Len() > 0 && solid(t.Elem())
	case reflect.Struct:
		var size uintptr
		for i := range t.NumField() {
			f := t.Field(i)
			if !f.IsExported() && f.Name != "_" || !solid(f.Type) {
				return false
			}
			size += f.Type.Size()
		}
		return size > 0 && size == t.Size()
	}
	return number(t.Kind()) > 0 && uintptr(number(t.Kind())) == t.Size()
}
