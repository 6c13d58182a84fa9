// Package wire prints the shapes of Go values as types that the page's JavaScript is
// checked by, and holds values against them. What is printed is what encoding/json and
// package bridge write; no shape is written down twice.
package wire

import (
	"encoding"
	"encoding/json"
	"fmt"
	"io"
	"path"
	"reflect"
	"strconv"
	"strings"
	"unicode"
)

// Types knows which Go types are printed, each once and under one name.
type Types struct {
	// As are types that write themselves: what stands for them.
	As map[reflect.Type]string
	// Instead are types that write themselves as another type would.
	Instead map[reflect.Type]reflect.Type
	// Names are given to types whose own name would be another's.
	Names map[reflect.Type]string

	order []reflect.Type
	named map[string]reflect.Type
	notes *notes
}

// New reads the comments of the sources in root, the folder of the module called module.
func New(root, module string) *Types {
	return &Types{As: map[reflect.Type]string{}, Instead: map[reflect.Type]reflect.Type{}, Names: map[reflect.Type]string{}, named: map[string]reflect.Type{}, notes: &notes{root: root, module: module, of: map[string]map[string]note{}}}
}

// field is one property of an object.
type field struct {
	name     string
	typ      reflect.Type
	wire     string // the tag wire: what stands for the type, or "null" for a list that may be none
	optional bool   // it may be missing
	note     string
}

// fields are what a struct crosses with: by its tags js, else json. Embedded structs
// without a name give theirs.
func (t *Types) fields(typ reflect.Type) (out []field) {
	notes := t.notes.in(typ)
	for i := range typ.NumField() {
		f := typ.Field(i)
		tag, is := f.Tag.Lookup("js")
		if !is {
			tag = f.Tag.Get("json")
		}
		name, options, _ := strings.Cut(tag, ",")
		switch {
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			out = append(out, t.fields(f.Type)...)
			continue
		case !f.IsExported() || tag == "-":
			continue
		case name == "":
			name = f.Name
		}
		out = append(out, field{name, f.Type, f.Tag.Get("wire"), strings.Contains(options, "omitempty") || strings.Contains(options, "omitzero"), notes.fields[f.Name]})
	}
	return out
}

var (
	writesJSON = reflect.TypeFor[json.Marshaler]()
	writesText = reflect.TypeFor[encoding.TextMarshaler]()
)

// Of is the type's name, or what stands for it; structs are put down to be printed.
func (t *Types) Of(typ reflect.Type) string {
	if other, is := t.Instead[typ]; is {
		typ = other
	}
	if as, is := t.As[typ]; is {
		return as
	}
	switch {
	case typ.Implements(writesJSON):
		panic(fmt.Sprintf("%s writes itself: say what in As", typ))
	case typ.Implements(writesText):
		return "string"
	}
	switch typ.Kind() {
	case reflect.Bool:
		return "boolean"
	case reflect.String:
		return "string"
	case reflect.Pointer:
		return t.Of(typ.Elem()) + " | null"
	case reflect.Slice:
		return list(t.Of(typ.Elem()))
	case reflect.Array:
		of := t.Of(typ.Elem())
		if typ.Len() > 4 {
			return list(of)
		}
		return "[" + strings.TrimSuffix(strings.Repeat(of+", ", typ.Len()), ", ") + "]"
	case reflect.Map:
		return "Record<string, " + t.Of(typ.Elem()) + ">"
	case reflect.Struct:
		return t.name(typ)
	case reflect.Interface:
		return "unknown"
	}
	return "number" // of any width
}

func list(of string) string {
	if strings.Contains(of, " ") {
		return "(" + of + ")[]"
	}
	return of + "[]"
}

// name is what a struct is called: with its package in front, but for those of the
// examination and the messages themselves.
func (t *Types) name(typ reflect.Type) string {
	name := t.Names[typ]
	if name == "" {
		name = title(strings.TrimSuffix(typ.Name(), "JSON"))
		if name == "" {
			panic(fmt.Sprintf("%s has no name", typ))
		}
		switch pkg := path.Base(typ.PkgPath()); pkg {
		case "inspect", "bridge", "examiner", "main":
		default:
			name = title(pkg) + strings.TrimPrefix(name, title(pkg))
		}
	}
	switch other, is := t.named[name]; {
	case !is:
		t.named[name] = typ
		t.order = append(t.order, typ)
		for _, f := range t.fields(typ) {
			t.property(f)
		}
	case other != typ:
		panic(fmt.Sprintf("%s and %s are both called %s", other, typ, name))
	}
	return name
}

func title(s string) string {
	r := []rune(s)
	if len(r) > 0 {
		r[0] = unicode.ToUpper(r[0])
	}
	return string(r)
}

// Print writes all that was asked for, in the order of asking.
func (t *Types) Print(w io.Writer) {
	for _, typ := range t.order {
		fmt.Fprintf(w, "\n%s  interface %s {\n", comment("  ", t.notes.in(typ).of), t.name(typ))
		for _, f := range t.fields(typ) {
			mark := ""
			if f.optional {
				mark = "?"
			}
			fmt.Fprintf(w, "%s    %s%s: %s;\n", comment("    ", f.note), key(f.name), mark, t.property(f))
		}
		fmt.Fprintln(w, "  }")
	}
}

// key is a name as TypeScript takes it: in quotation marks where it is no identifier.
func key(name string) string {
	for i, r := range name {
		if !(r == '_' || unicode.IsLetter(r) || i > 0 && unicode.IsDigit(r)) {
			return strconv.Quote(name)
		}
	}
	return name
}

// property is what a field is; what is left out where it is none is never null.
func (t *Types) property(f field) string {
	if f.optional && f.typ.Kind() == reflect.Pointer {
		f.typ = f.typ.Elem()
	}
	switch f.wire {
	case "":
		return t.Of(f.typ)
	case "null":
		return t.Of(f.typ) + " | null"
	}
	return f.wire
}

func comment(indent, text string) string {
	if text == "" {
		return ""
	}
	return indent + "/** " + strings.ReplaceAll(text, "*/", "* /") + " */\n"
}
