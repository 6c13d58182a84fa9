package tojson

import (
	"reflect"
	"strings"
	"unicode"
)

// field is one member of an object.
type field struct {
	plain, escaped []byte // its name in quotes with a colon
	path           []int  // through embedded structs
	omit           bool   // left out where it is empty
	write          writer
}

// structs is the writer of a struct.
func (all writers) structs(t reflect.Type) writer {
	fields, ok := all.fields(nil, t, nil)
	if !ok {
		return byLibrary
	}
	fields = visible(fields)
	return func(dst []byte, v reflect.Value, markup bool) (_ []byte, err error) {
		dst = append(dst, '{')
		first := true
		for i := range fields {
			f := &fields[i]
			of := v
			for _, k := range f.path {
				of = of.Field(k)
			}
			if f.omit && empty(of) {
				continue
			}
			if !first {
				dst = append(dst, ',')
			}
			first = false
			if markup {
				dst = append(dst, f.escaped...)
			} else {
				dst = append(dst, f.plain...)
			}
			if dst, err = f.write(dst, of, markup); err != nil {
				return dst, err
			}
		}
		return append(dst, '}'), nil
	}
}

// fields adds the members of a struct, those of embedded ones in their place; false: some
// are declared in a way that is left to the library.
func (all writers) fields(list []field, t reflect.Type, path []int) ([]field, bool) {
	for i := range t.NumField() {
		f := t.Field(i)
		tag := f.Tag.Get("json")
		if tag == "-" {
			continue
		}
		name, options, _ := strings.Cut(tag, ",")
		own := append(path[:len(path):len(path)], i)
		if f.Anonymous && name == "" {
			if f.Type.Kind() == reflect.Struct && options == "" {
				var ok bool
				if list, ok = all.fields(list, f.Type, own); !ok {
					return nil, false
				}
				continue
			}
			return nil, false
		}
		if !f.IsExported() {
			continue
		}
		if options != "" && options != "omitempty" || !simple(name) {
			return nil, false
		}
		if name == "" {
			name = f.Name
		}
		list = append(list, field{
			plain: append(appendText(nil, name, false), ':'), escaped: append(appendText(nil, name, true), ':'),
			path: own, omit: options == "omitempty", write: all.of(f.Type),
		})
	}
	return list, true
}

// simple tells that a name in a tag is taken as it is.
func simple(name string) bool {
	for _, c := range name {
		if c != '_' && !unicode.IsLetter(c) && !unicode.IsDigit(c) {
			return false
		}
	}
	return true
}

// visible leaves out, of members of one name, those that lie deeper, as Go does; where
// several lie alike, the tagged one is meant or none, which nothing of ours declares.
func visible(fields []field) []field {
	least := map[string]int{}
	for i := range fields {
		name := string(fields[i].plain)
		if d, ok := least[name]; !ok || len(fields[i].path) < d {
			least[name] = len(fields[i].path)
		}
	}
	if len(least) == len(fields) {
		return fields
	}
	var out []field
	for i := range fields {
		if len(fields[i].path) == least[string(fields[i].plain)] {
			out = append(out, fields[i])
		}
	}
	return out
}

// empty is what omitempty leaves out.
func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Array, reflect.Map, reflect.Slice, reflect.String:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}
