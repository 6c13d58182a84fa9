// Package tojson writes values as JSON, byte for byte as encoding/json does, in a program
// that has only begun. The library looks at a type thoroughly before it writes the first
// value of it; where a program is started for each file, as on the page, that took as long
// as writing the facts of a hand seven times.
//
// It knows what facts are made of: numbers, texts, structs with embedded ones, lists, maps
// by text or whole numbers, pointers. Types with a json.Marshaler
// and fields with a rarer option are left to encoding/json. Three
// things are otherwise: a number that is none is null instead of an error; what only the
// pointer to a value can write is not heeded; and a value that holds itself is not found out.
package tojson

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Appender writes itself, as JSON without any space.
type Appender interface {
	AppendJSON(dst []byte) []byte
}

// NullWhereEmpty marks a kind of text that is null where it has no letters.
type NullWhereEmpty interface{ NullWhereEmpty() }

// Append adds v to dst. markup: <, > and & are escaped, as json.Marshal does.
func Append(dst []byte, v any, markup bool) ([]byte, error) {
	if v == nil {
		return append(dst, "null"...), nil
	}
	return writerOf(reflect.TypeOf(v))(dst, reflect.ValueOf(v), markup)
}

// writer adds a value of one type to dst.
type writer func(dst []byte, v reflect.Value, markup bool) ([]byte, error)

var known struct {
	sync.Mutex
	writers writers
}

func writerOf(t reflect.Type) writer {
	known.Lock()
	defer known.Unlock()
	if known.writers == nil {
		known.writers = writers{}
	}
	return known.writers.of(t)
}

// writers are those of the types that were met.
type writers map[reflect.Type]writer

// of is the writer of a type, which may hold itself by way of slices and pointers.
func (all writers) of(t reflect.Type) writer {
	if w := all[t]; w != nil {
		return w
	}
	var w writer
	all[t] = func(dst []byte, v reflect.Value, markup bool) ([]byte, error) { return w(dst, v, markup) }
	w = all.build(t)
	all[t] = w
	return w
}

var (
	appends    = reflect.TypeFor[Appender]()
	emptyNull  = reflect.TypeFor[NullWhereEmpty]()
	writesJSON = reflect.TypeFor[json.Marshaler]()
	writesText = reflect.TypeFor[encoding.TextMarshaler]()
)

func (all writers) build(t reflect.Type) writer {
	if t.NumMethod() > 0 && t.Kind() != reflect.Interface {
		switch {
		case t.Implements(appends):
			return func(dst []byte, v reflect.Value, _ bool) ([]byte, error) {
				return v.Interface().(Appender).AppendJSON(dst), nil
			}
		case t.Kind() == reflect.String && t.Implements(emptyNull):
			return writeTextOrNull
		case t.Implements(writesJSON) || t.Implements(writesText) && t.Kind() == reflect.Pointer:
			return byLibrary
		case t.Implements(writesText):
			return func(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
				text, err := v.Interface().(encoding.TextMarshaler).MarshalText()
				if err != nil {
					return dst, err
				}
				return appendText(dst, string(text), markup), nil
			}
		}
	}
	switch t.Kind() {
	case reflect.Bool:
		return func(dst []byte, v reflect.Value, _ bool) ([]byte, error) {
			return strconv.AppendBool(dst, v.Bool()), nil
		}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return func(dst []byte, v reflect.Value, _ bool) ([]byte, error) {
			return strconv.AppendInt(dst, v.Int(), 10), nil
		}
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr:
		return func(dst []byte, v reflect.Value, _ bool) ([]byte, error) {
			return strconv.AppendUint(dst, v.Uint(), 10), nil
		}
	case reflect.Float32:
		return func(dst []byte, v reflect.Value, _ bool) ([]byte, error) { return appendFloat(dst, v.Float(), 32), nil }
	case reflect.Float64:
		return func(dst []byte, v reflect.Value, _ bool) ([]byte, error) { return appendFloat(dst, v.Float(), 64), nil }
	case reflect.String:
		return func(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
			return appendText(dst, v.String(), markup), nil
		}
	case reflect.Pointer:
		return writePointer(all.of(t.Elem()))
	case reflect.Interface:
		return func(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
			if v.IsNil() {
				return append(dst, "null"...), nil
			}
			return writerOf(v.Elem().Type())(dst, v.Elem(), markup)
		}
	case reflect.Slice:
		if t.Elem().Kind() == reflect.Uint8 {
			return byLibrary // base64
		}
		list := writeList(all.of(t.Elem()))
		return func(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
			if v.IsNil() {
				return append(dst, "null"...), nil
			}
			return list(dst, v, markup)
		}
	case reflect.Array:
		return writeList(all.of(t.Elem()))
	case reflect.Map:
		if k := t.Key(); k.Implements(writesText) || k.Kind() != reflect.String && !k.ConvertibleTo(reflect.TypeFor[int64]()) {
			return byLibrary
		}
		return writeMap(all.of(t.Elem()))
	case reflect.Struct:
		return all.structs(t)
	}
	return byLibrary // which says what is wrong with it
}

// byLibrary leaves a value to encoding/json.
func byLibrary(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(markup)
	if err := e.Encode(v.Interface()); err != nil {
		return dst, err
	}
	return append(dst, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...), nil
}

func writeTextOrNull(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
	if v.Len() == 0 {
		return append(dst, "null"...), nil
	}
	return appendText(dst, v.String(), markup), nil
}

func writePointer(of writer) writer {
	return func(dst []byte, v reflect.Value, markup bool) ([]byte, error) {
		if v.IsNil() {
			return append(dst, "null"...), nil
		}
		return of(dst, v.Elem(), markup)
	}
}

func writeList(of writer) writer {
	return func(dst []byte, v reflect.Value, markup bool) (_ []byte, err error) {
		dst = append(dst, '[')
		for i := range v.Len() {
			if i > 0 {
				dst = append(dst, ',')
			}
			if dst, err = of(dst, v.Index(i), markup); err != nil {
				return dst, err
			}
		}
		return append(dst, ']'), nil
	}
}

// writeMap is for keys of text or whole numbers, which stand in the order of their letters.
func writeMap(of writer) writer {
	type entry struct {
		key   string
		value reflect.Value
	}
	return func(dst []byte, v reflect.Value, markup bool) (_ []byte, err error) {
		if v.IsNil() {
			return append(dst, "null"...), nil
		}
		all := make([]entry, 0, v.Len())
		for m := v.MapRange(); m.Next(); {
			switch k := m.Key(); {
			case k.Kind() == reflect.String:
				all = append(all, entry{k.String(), m.Value()})
			case k.CanInt():
				all = append(all, entry{strconv.FormatInt(k.Int(), 10), m.Value()})
			case k.CanUint():
				all = append(all, entry{strconv.FormatUint(k.Uint(), 10), m.Value()})
			default:
				return dst, fmt.Errorf("a map by %s is no JSON", k.Type())
			}
		}
		slices.SortFunc(all, func(a, b entry) int { return strings.Compare(a.key, b.key) })
		dst = append(dst, '{')
		for i := range all {
			if i > 0 {
				dst = append(dst, ',')
			}
			dst = append(appendText(dst, all[i].key, markup), ':')
			if dst, err = of(dst, all[i].value, markup); err != nil {
				return dst, err
			}
		}
		return append(dst, '}'), nil
	}
}
