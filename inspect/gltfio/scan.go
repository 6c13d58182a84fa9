package gltfio

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"

	"rigloupe/inspect/ceiling"
)

// cursor reads JSON text once, from left to right. The arrays that make up nearly
// all of a character's JSON (accessors, views, channels) are read with it: no
// reflection, no second look at a byte. After the first error every method
// answers a zero value, so a reader of one object needs no error of its own.
//
//	for k := c.member(); k != nil; k = c.next() {
//		switch string(k) {
//		case "count":
//			a.Count = c.whole()
//		default:
//			c.skip()
//		}
//	}
type cursor struct {
	b   []byte
	i   int
	err *syntaxError
}

// syntaxError is what is wrong with the JSON text and at which byte.
type syntaxError struct {
	at   int
	what string
}

func (c *cursor) fail(format string, args ...any) {
	if c.err == nil {
		c.err = &syntaxError{at: c.i, what: fmt.Sprintf(format, args...)}
	}
	c.i = len(c.b) // every loop ends
}

// peek skips white space and answers the next byte, 0 at the end.
func (c *cursor) peek() byte {
	for c.i < len(c.b) {
		switch ch := c.b[c.i]; ch {
		case ' ', '\n', '\r', '\t':
			c.i++
		default:
			return ch
		}
	}
	return 0
}

// found names what stands at the cursor, for errors.
func (c *cursor) found() string {
	switch ch := c.peek(); {
	case c.i >= len(c.b):
		return "the end of the text"
	case ch == '{':
		return "an object"
	case ch == '[':
		return "a list"
	case ch == '"':
		return "a string"
	case ch == 't' || ch == 'f':
		return "true or false"
	case ch == 'n':
		return "null"
	case ch == '-' || '0' <= ch && ch <= '9':
		return "a number"
	default:
		return fmt.Sprintf("%q", rune(ch))
	}
}

// member opens an object and answers its first key, nil when there is none.
func (c *cursor) member() []byte {
	if c.peek() != '{' {
		c.fail("an object is wanted, here is %s", c.found())
		return nil
	}
	c.i++
	if c.peek() == '}' {
		c.i++
		return nil
	}
	return c.key()
}

// next answers the next key of an object after its value was read, nil at the end.
func (c *cursor) next() []byte {
	switch c.peek() {
	case ',':
		c.i++
		return c.key()
	case '}':
		c.i++
	default:
		c.fail("a comma or } is wanted, here is %s", c.found())
	}
	return nil
}

// key reads keys until one has a value: a null counts as absent, as in the
// library.
func (c *cursor) key() []byte {
	for {
		if c.peek() != '"' {
			c.fail("a name in quotes is wanted, here is %s", c.found())
			return nil
		}
		k := c.text()
		if c.peek() != ':' {
			c.fail("a colon is wanted, here is %s", c.found())
			return nil
		}
		c.i++
		if c.peek() != 'n' {
			return k
		}
		c.literal("null")
		switch c.peek() {
		case ',':
			c.i++
		case '}':
			c.i++
			return nil
		default:
			c.fail("a comma or } is wanted, here is %s", c.found())
			return nil
		}
	}
}

// item opens a list; it answers whether a first item follows.
func (c *cursor) item() bool {
	if c.peek() != '[' {
		c.fail("a list is wanted, here is %s", c.found())
		return false
	}
	c.i++
	if c.peek() == ']' {
		c.i++
		return false
	}
	return true
}

// more answers whether another item follows the one just read.
func (c *cursor) more() bool {
	switch c.peek() {
	case ',':
		c.i++
		if c.peek() == ']' {
			c.fail("a value is wanted after the comma, here is the end of the list")
			return false
		}
		return true
	case ']':
		c.i++
	default:
		c.fail("a comma or ] is wanted, here is %s", c.found())
	}
	return false
}

func (c *cursor) literal(word string) {
	if len(c.b)-c.i < len(word) || string(c.b[c.i:c.i+len(word)]) != word {
		c.fail("%q is wanted", word)
		return
	}
	c.i += len(word)
}

// text reads a string. The answer may share the document's bytes; empty is not nil.
func (c *cursor) text() []byte {
	if c.peek() != '"' {
		c.fail("a string is wanted, here is %s", c.found())
		return nil
	}
	start := c.i + 1
	for i := start; i < len(c.b); i++ {
		switch ch := c.b[i]; {
		case ch == '"':
			c.i = i + 1
			return c.b[start:i:i]
		case ch == '\\' || ch < ' ' || ch >= utf8.RuneSelf:
			return c.hardText(start, i)
		}
	}
	c.fail("a string without an end")
	return nil
}

// hardText is text with escapes or letters beyond ASCII.
func (c *cursor) hardText(start, i int) []byte {
	for ; i < len(c.b) && c.b[i] != '"'; i++ {
		if c.b[i] == '\\' {
			i++
		}
	}
	if i >= len(c.b) {
		c.fail("a string without an end")
		return nil
	}
	raw := c.b[start:i:i]
	if bytes.IndexByte(raw, '\\') < 0 && utf8.Valid(raw) && !hasControl(raw) {
		c.i = i + 1
		return raw
	}
	var s string
	if err := json.Unmarshal(c.b[start-1:i+1], &s); err != nil {
		c.fail("a string that cannot be read: %v", err)
		return nil
	}
	c.i = i + 1
	return append([]byte{}, s...)
}

func hasControl(b []byte) bool {
	for _, ch := range b {
		if ch < ' ' {
			return true
		}
	}
	return false
}

// truth reads true or false.
func (c *cursor) truth() bool {
	switch c.peek() {
	case 't':
		c.literal("true")
		return c.err == nil
	case 'f':
		c.literal("false")
	default:
		c.fail("true or false is wanted, here is %s", c.found())
	}
	return false
}

// raw passes over one value without checking its inside and answers its bytes.
func (c *cursor) raw() []byte {
	ch := c.peek()
	start := c.i
	if ch != '{' && ch != '[' {
		switch ch {
		case '"':
			c.text()
		case 't', 'f':
			c.truth()
		case 'n':
			c.literal("null")
		default:
			c.number()
		}
		return c.b[start:c.i]
	}
	depth := 0
	for i := c.i; i < len(c.b); i++ {
		switch c.b[i] {
		case '"':
			for i++; i < len(c.b) && c.b[i] != '"'; i++ {
				if c.b[i] == '\\' {
					i++
				}
			}
		case '{', '[':
			if depth++; depth > ceiling.Depth {
				c.i = start
				c.fail("objects and lists stand more than %d deep in each other", ceiling.Depth)
				return nil
			}
		case '}', ']':
			if depth--; depth == 0 {
				c.i = i + 1
				return c.b[start:c.i]
			}
		}
	}
	c.fail("%s without an end", c.found())
	return nil
}

// skip passes over one value that nobody needs; it must still be JSON.
func (c *cursor) skip() {
	start := c.i
	if raw := c.raw(); c.err == nil && !json.Valid(raw) {
		c.i = start
		c.fail("this is no JSON")
	}
}

// decode hands one value to encoding/json.
func (c *cursor) decode(to any) {
	start := c.i
	raw := c.raw()
	if c.err != nil {
		return
	}
	if err := json.Unmarshal(raw, to); err != nil {
		c.i = start
		switch e := err.(type) {
		case *json.SyntaxError:
			c.i += max(int(e.Offset)-1, 0)
			c.fail("%s", e)
		case *json.UnmarshalTypeError:
			c.i += max(int(e.Offset)-1, 0)
			c.fail("%s where %s is wanted", article(e.Value), wanted(e.Type.Kind()))
		default:
			c.fail("%s", strings.TrimPrefix(err.Error(), "json: "))
		}
	}
}

// article names a JSON value as encoding/json calls it ("array", "number 1.5").
func article(value string) string {
	switch kind, rest, _ := strings.Cut(value, " "); kind {
	case "array":
		return "a list"
	case "object":
		return "an object"
	case "bool":
		return "true or false"
	case "number":
		return strings.TrimSuffix("the number "+quote(rest), ` ""`)
	default:
		return "a " + kind
	}
}

// wanted names a Go kind as a writer of JSON knows it.
func wanted(k reflect.Kind) string {
	switch k {
	case reflect.String:
		return "a string"
	case reflect.Bool:
		return "true or false"
	case reflect.Slice, reflect.Array:
		return "a list"
	case reflect.Struct, reflect.Map, reflect.Pointer:
		return "an object"
	}
	return "a number"
}
