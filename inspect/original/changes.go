package original

import (
	"bytes"
	"crypto/sha256"
	"strconv"
)

// Change is what parts two documents, the later made of the earlier.
type Change struct {
	Untouched int      // buffer views whose bytes are as they were
	Rewritten []int    // buffer views whose bytes are not, or that are gone
	Added     int      // buffer views behind them
	Bytes     int64    // of the added ones
	Pointers  []string // JSON pointers that differ, as high as all below differs; what was added or taken away by itself
}

// Changes compares bytes with bytes and JSON with JSON; nothing is taken from what the
// edits said of themselves.
func Changes(was, is *Document) (c Change) {
	if is.Count(Views) < was.Count(Views) {
		c = fewer(was, is)
		compare(was.Root, is.Root, "", &c.Pointers)
		return c
	}
	for i := range was.Count(Views) {
		if a, b := was.ViewBytes(i), is.ViewBytes(i); is.Object(Views, i) != nil && bytes.Equal(a, b) {
			c.Untouched++
		} else {
			c.Rewritten = append(c.Rewritten, i)
		}
	}
	for i := was.Count(Views); i < is.Count(Views); i++ {
		c.Added++
		c.Bytes += int64(len(is.ViewBytes(i)))
	}
	compare(was.Root, is.Root, "", &c.Pointers)
	return c
}

// fewer pairs views by their bytes, since numbers moved up where some went.
func fewer(was, is *Document) (c Change) {
	left := map[[sha256.Size]byte]int{}
	for i := range is.Count(Views) {
		left[sha256.Sum256(is.ViewBytes(i))]++
	}
	for i := range was.Count(Views) {
		if h := sha256.Sum256(was.ViewBytes(i)); left[h] > 0 {
			left[h]--
			c.Untouched++
		} else {
			c.Rewritten = append(c.Rewritten, i)
		}
	}
	return c
}

// compare lists where two values differ. Texts that are equal byte for byte are equal
// values; others are looked into.
func compare(a, b *Value, at string, out *[]string) {
	if a == b || a != nil && b != nil && a.raw != nil && b.raw != nil && !a.changed() && !b.changed() && bytes.Equal(a.raw, b.raw) {
		return
	}
	switch {
	case a.IsObject() && b.IsObject():
		for _, k := range a.Keys() {
			compare(a.Get(k), b.Get(k), at+"/"+escape(k), out)
		}
		for _, k := range b.Keys() {
			if a.Get(k) == nil && b.Get(k) != nil {
				*out = append(*out, at+"/"+escape(k))
			}
		}
	case a.IsList() && b.IsList():
		for i := range max(a.Len(), b.Len()) {
			if i < a.Len() && i < b.Len() {
				compare(a.At(i), b.At(i), at+"/"+strconv.Itoa(i), out)
			} else {
				*out = append(*out, at+"/"+strconv.Itoa(i))
			}
		}
	case a != nil && b != nil && same(a, b):
	default:
		*out = append(*out, at)
	}
}

// same tells that two scalars are one value: 1 and 1.0 are, "a" and "\u0061" are.
func same(a, b *Value) bool {
	if x, ok := a.Float(); ok {
		y, ok := b.Float()
		return ok && x == y
	}
	if a.first() == '"' {
		return b.first() == '"' && a.String() == b.String()
	}
	return bytes.Equal(a.raw, b.raw)
}
