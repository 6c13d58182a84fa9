package wire

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
)

// Fits holds JSON against the type that is printed for typ: every property there, none
// besides, none null that may not be. The answer names what does not fit, each once.
func (t *Types) Fits(typ reflect.Type, text []byte) []string {
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		return []string{err.Error()}
	}
	bad := map[string]bool{}
	t.fit(typ, "", v, "$", bad)
	return slices.Sorted(maps.Keys(bad))
}

func (t *Types) fit(typ reflect.Type, wire string, v any, at string, bad map[string]bool) {
	complain := func(want string) { bad[fmt.Sprintf("%s is %s, want %s", at, kindOf(v), want)] = true }
	if other, is := t.Instead[typ]; is {
		typ = other
	}
	if as, is := t.As[typ]; is && wire == "" {
		wire = as
	}
	if wire == "null" {
		if v == nil {
			return
		}
		wire = ""
	}
	if wire != "" {
		if _, nested := v.(map[string]any); !nested && !oneOf(wire, v) {
			complain(wire)
		}
		return
	}
	switch {
	case typ.Kind() == reflect.Pointer:
		if v != nil {
			t.fit(typ.Elem(), "", v, at, bad)
		}
		return
	case typ.Implements(writesText):
		if _, is := v.(string); !is {
			complain("a string")
		}
		return
	}
	switch typ.Kind() {
	case reflect.Bool:
		if _, is := v.(bool); !is {
			complain("a boolean")
		}
	case reflect.String:
		if _, is := v.(string); !is {
			complain("a string")
		}
	case reflect.Slice, reflect.Array:
		all, is := v.([]any)
		if !is || typ.Kind() == reflect.Array && len(all) != typ.Len() {
			complain("a list")
			return
		}
		for _, x := range all {
			t.fit(typ.Elem(), "", x, at+"[]", bad)
		}
	case reflect.Map:
		all, is := v.(map[string]any)
		if !is {
			complain("an object")
			return
		}
		for _, x := range all {
			t.fit(typ.Elem(), "", x, at+"[…]", bad)
		}
	case reflect.Struct:
		all, is := v.(map[string]any)
		if !is {
			complain("an object")
			return
		}
		known := map[string]bool{}
		for _, f := range t.fields(typ) {
			known[f.name] = true
			x, there := all[f.name]
			switch {
			case there:
				t.fit(f.typ, f.wire, x, at+"."+f.name, bad)
			case !f.optional:
				bad[fmt.Sprintf("%s lacks %s", at, f.name)] = true
			}
		}
		for name := range all {
			if !known[name] {
				bad[fmt.Sprintf("%s has %s besides", at, name)] = true
			}
		}
	case reflect.Interface:
	default:
		if _, is := v.(float64); !is {
			complain("a number")
		}
	}
}

// oneOf tells that a value is one of those that a printed union names.
func oneOf(union string, v any) bool {
	for _, part := range strings.Split(union, " | ") {
		switch of := v.(type) {
		case nil:
			if part == "null" {
				return true
			}
		case string:
			if part == "string" || part == "'"+of+"'" {
				return true
			}
		case float64:
			if part == "number" {
				return true
			}
		case bool:
			if part == "boolean" {
				return true
			}
		}
	}
	return false
}

func kindOf(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case string:
		return fmt.Sprintf("%.20q", v)
	}
	return fmt.Sprintf("%T", v)
}
