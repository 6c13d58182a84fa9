package original

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Value is one JSON value that stays as it is written: members keep their order, numbers
// their spelling, and what nobody touches keeps every byte, white space too. An object or
// list is taken apart when it is first looked into, so a document of megabytes costs
// what is looked at. All methods take a nil Value for one that is not there.
type Value struct {
	raw     []byte // as it stands; nil: made here, or a member or item was added or taken away
	opened  bool
	members []member // of an object
	items   []*Value // of a list
}

type member struct {
	spelled []byte // the key as it stands, in quotes
	key     string
	value   *Value
}

// Parse takes the text of one JSON value that a reader has accepted. The answer shares
// its memory.
func Parse(text []byte) *Value {
	s := scan{b: text}
	return &Value{raw: s.value()}
}

// first is the byte that tells the kind of a value.
func (v *Value) first() byte {
	switch {
	case v == nil:
		return 'n'
	case len(v.raw) > 0:
		return v.raw[0]
	case v.items != nil:
		return '['
	}
	return '{'
}

// IsObject and IsList tell the kind.
func (v *Value) IsObject() bool { return v.first() == '{' }
func (v *Value) IsList() bool   { return v.first() == '[' }

func (v *Value) open() {
	if v.opened {
		return
	}
	v.opened = true
	s := scan{b: v.raw}
	switch v.first() {
	case '{':
		for s.i++; s.next() == '"'; {
			spelled := s.value()
			s.next() // the colon
			s.i++
			s.next()
			v.members = append(v.members, member{spelled, unquoted(spelled), &Value{raw: s.value()}})
			if s.next() == ',' {
				s.i++
			}
		}
	case '[':
		v.items = []*Value{}
		for s.i++; s.next() != ']' && s.i < len(s.b); {
			v.items = append(v.items, &Value{raw: s.value()})
			if s.next() == ',' {
				s.i++
			}
		}
	}
}

// Get answers a member of an object, nil where there is none or it is null. Of a key
// given twice the last counts, as for the reader.
func (v *Value) Get(key string) *Value {
	if !v.IsObject() {
		return nil
	}
	v.open()
	for i := len(v.members) - 1; i >= 0; i-- {
		if m := &v.members[i]; m.key == key {
			if m.value.first() == 'n' {
				return nil
			}
			return m.value
		}
	}
	return nil
}

// Keys lists the keys of an object, in order.
func (v *Value) Keys() (keys []string) {
	if !v.IsObject() {
		return nil
	}
	v.open()
	for i := range v.members {
		keys = append(keys, v.members[i].key)
	}
	return keys
}

// Len counts the items of a list.
func (v *Value) Len() int {
	if !v.IsList() {
		return 0
	}
	v.open()
	return len(v.items)
}

// At answers an item of a list; nil beyond it.
func (v *Value) At(i int) *Value {
	if i < 0 || i >= v.Len() {
		return nil
	}
	return v.items[i]
}

// Set puts a member into an object, in the place of the old one or behind all; nil takes
// it away.
func (v *Value) Set(key string, to *Value) {
	v.open()
	if to == nil {
		n := len(v.members)
		v.members = slices.DeleteFunc(v.members, func(m member) bool { return m.key == key })
		if len(v.members) < n {
			v.raw = nil
		}
		return
	}
	v.raw = nil
	for i := len(v.members) - 1; i >= 0; i-- {
		if v.members[i].key == key {
			v.members[i].value = to
			return
		}
	}
	v.members = append(v.members, member{quoted(key), key, to})
}

// SetAt puts an item in the place of another.
func (v *Value) SetAt(i int, to *Value) {
	v.open()
	v.raw = nil
	v.items[i] = to
}

// Append puts items behind a list.
func (v *Value) Append(more ...*Value) {
	v.open()
	v.raw = nil
	v.items = append(v.items, more...)
}

// Delete takes the items away that a function names.
func (v *Value) Delete(gone func(i int) bool) {
	v.open()
	kept := make([]*Value, 0, len(v.items))
	for i, x := range v.items {
		if !gone(i) {
			kept = append(kept, x)
		}
	}
	if len(kept) < len(v.items) {
		v.items, v.raw = kept, nil
	}
}

// Float answers a number; false where it is none.
func (v *Value) Float() (float64, bool) {
	if c := v.first(); c != '-' && (c < '0' || c > '9') {
		return 0, false
	}
	f, err := strconv.ParseFloat(string(v.raw), 64)
	return f, err == nil
}

// Int answers a whole number, −1 where it is none.
func (v *Value) Int() int {
	f, ok := v.Float()
	if !ok || f != math.Trunc(f) || math.Abs(f) > 1<<52 {
		return -1
	}
	return int(f)
}

// Floats answers a list of numbers; what is none counts as 0.
func (v *Value) Floats() (out []float64) {
	for i := range v.Len() {
		f, _ := v.items[i].Float()
		out = append(out, f)
	}
	return out
}

// String answers a text, "" where it is none.
func (v *Value) String() string {
	if v.first() != '"' {
		return ""
	}
	return unquoted(v.raw)
}

// Clone answers a value that can be changed without changing this one.
func (v *Value) Clone() *Value {
	if v == nil {
		return nil
	}
	c := &Value{raw: v.raw, opened: v.opened}
	if v.members != nil {
		c.members = slices.Clone(v.members)
		for i := range c.members {
			c.members[i].value = c.members[i].value.Clone()
		}
	}
	if v.items != nil {
		c.items = make([]*Value, len(v.items))
		for i := range c.items {
			c.items[i] = v.items[i].Clone()
		}
	}
	return c
}

// changed tells that the text no longer says what the value is.
func (v *Value) changed() bool {
	return v.raw == nil ||
		slices.ContainsFunc(v.members, func(m member) bool { return m.value.changed() }) ||
		slices.ContainsFunc(v.items, (*Value).changed)
}

// Bytes answers the text: unchanged values as they stood.
func (v *Value) Bytes() []byte { return v.appendTo(nil) }

func (v *Value) appendTo(b []byte) []byte {
	if !v.changed() {
		return append(b, v.raw...)
	}
	if v.IsList() {
		b = append(b, '[')
		for i, x := range v.items {
			if i > 0 {
				b = append(b, ',')
			}
			b = x.appendTo(b)
		}
		return append(b, ']')
	}
	b = append(b, '{')
	for i := range v.members {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(b, v.members[i].spelled...), ':')
		b = v.members[i].value.appendTo(b)
	}
	return append(b, '}')
}

// Number, Whole, Text, Numbers, Wholes, List and Object make values. Numbers are exact: a
// reader gets the same float64 again.
func Number(f float64) *Value { return &Value{raw: strconv.AppendFloat(nil, f, 'g', -1, 64)} }
func Whole(n int) *Value      { return &Value{raw: strconv.AppendInt(nil, int64(n), 10)} }
func Text(s string) *Value    { return &Value{raw: quoted(s)} }

func Numbers(f ...float64) *Value {
	l := List()
	for _, x := range f {
		l.items = append(l.items, Number(x))
	}
	return l
}

func Wholes(n ...int) *Value {
	l := List()
	for _, x := range n {
		l.items = append(l.items, Whole(x))
	}
	return l
}

func List(items ...*Value) *Value {
	return &Value{opened: true, items: append([]*Value{}, items...)}
}

// Object takes keys and values by turns: string, *Value.
func Object(pairs ...any) *Value {
	v := &Value{opened: true}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Set(pairs[i].(string), pairs[i+1].(*Value))
	}
	return v
}

// Resolve answers the value that a JSON pointer (RFC 6901) names; nil: there is none.
func (v *Value) Resolve(pointer string) *Value {
	for pointer != "" {
		step, rest, _ := strings.Cut(pointer[1:], "/")
		if pointer = rest; rest != "" {
			pointer = "/" + rest
		}
		step = unescape(step)
		if v.IsList() {
			n, err := strconv.Atoi(step)
			if err != nil {
				return nil
			}
			v = v.At(n)
		} else {
			v = v.Get(step)
		}
		if v == nil {
			return nil
		}
	}
	return v
}

func escape(step string) string {
	return strings.ReplaceAll(strings.ReplaceAll(step, "~", "~0"), "/", "~1")
}

func unescape(step string) string {
	return strings.ReplaceAll(strings.ReplaceAll(step, "~1", "/"), "~0", "~")
}

func quoted(s string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if e.Encode(s) != nil {
		return []byte(`""`) // no string fails
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}

func unquoted(raw []byte) string {
	if len(raw) >= 2 && bytes.IndexByte(raw, '\\') < 0 {
		return string(raw[1 : len(raw)-1])
	}
	var s string
	if json.Unmarshal(raw, &s) != nil {
		return string(raw)
	}
	return s
}

// scan finds where values end. The text is JSON already.
type scan struct {
	b []byte
	i int
}

// next passes over white space and answers the byte there, 0 at the end.
func (s *scan) next() byte {
	for ; s.i < len(s.b); s.i++ {
		switch c := s.b[s.i]; c {
		case ' ', '\n', '\r', '\t':
		default:
			return c
		}
	}
	return 0
}

func (s *scan) value() []byte {
	c, from := s.next(), s.i
	switch c {
	case '"':
		s.text()
	case '{', '[':
		for depth := 0; s.i < len(s.b); s.i++ {
			switch s.b[s.i] {
			case '"':
				s.text()
				s.i--
			case '{', '[':
				depth++
			case '}', ']':
				depth--
			}
			if depth == 0 {
				s.i++
				break
			}
		}
	default:
		for s.i < len(s.b) && !strings.ContainsRune(",]} \n\r\t:", rune(s.b[s.i])) {
			s.i++
		}
	}
	return s.b[from:s.i:s.i]
}

// text passes over a string; the cursor stands at its first quote.
func (s *scan) text() {
	for s.i++; s.i < len(s.b) && s.b[s.i] != '"'; s.i++ {
		if s.b[s.i] == '\\' {
			s.i++
		}
	}
	s.i = min(s.i+1, len(s.b))
}
