package gltfio

import (
	"math"
	"strconv"

	"rigloupe/inspect/decimal"
)

// number answers the bytes of a number after checking their grammar (RFC 8259 §6).
func (c *cursor) number() (raw []byte, whole bool) {
	c.peek()
	start, i, whole := c.i, c.i, true
	digits := func() bool {
		from := i
		for i < len(c.b) && c.b[i]-'0' <= 9 {
			i++
		}
		return i > from
	}
	if i < len(c.b) && c.b[i] == '-' {
		i++
	}
	if first := i; !digits() || c.b[first] == '0' && i > first+1 {
		c.fail("a number is wanted, here is %s", c.found())
		return nil, false
	}
	if i < len(c.b) && c.b[i] == '.' {
		whole = false
		i++
		if !digits() {
			c.fail("a digit is wanted after the point")
			return nil, false
		}
	}
	if i < len(c.b) && c.b[i]|0x20 == 'e' {
		whole = false
		i++
		if i < len(c.b) && (c.b[i] == '+' || c.b[i] == '-') {
			i++
		}
		if !digits() {
			c.fail("a digit is wanted in the exponent")
			return nil, false
		}
	}
	c.i = i
	return c.b[start:i], whole
}

// largest whole number that any place or size may have: beyond it float64, and so
// many JSON writers, no longer tell neighbours apart.
const largestWhole = 1 << 53

// whole reads a whole number; 3.0 is one (JSON Schema, "integer").
func (c *cursor) whole() int {
	if c.peek()-'0' <= 9 { // nearly always: a few digits and a comma
		n, i := 0, c.i
		for i < len(c.b) && c.b[i]-'0' <= 9 && n < largestWhole/10 {
			n = n*10 + int(c.b[i]-'0')
			i++
		}
		if i < len(c.b) && (c.b[i] == ',' || c.b[i] == '}' || c.b[i] == ']') && (c.b[c.i] != '0' || i == c.i+1) {
			c.i = i
			return n
		}
	}
	start := c.i
	raw, whole := c.number()
	if c.err != nil {
		return 0
	}
	f, err := strconv.ParseFloat(string(raw), 64)
	if !whole && f != math.Trunc(f) {
		c.i = start
		c.fail("a whole number is wanted, here is %s", raw)
		return 0
	}
	if err != nil || math.Abs(f) > largestWhole {
		c.i = start
		c.fail("%.40s is too large for a place or a size", raw)
		return 0
	}
	return int(f)
}

// float reads a number. Up to 15 digits with a point and no exponent go the quick way
// (decimal.Exact); the rest is left to strconv. A number beyond float64 becomes ±Inf and is judged by its user.
func (c *cursor) float() float64 {
	c.peek()
	i, m, n, point := c.i, 0, 0, -1
	if i < len(c.b) && c.b[i] == '-' {
		i++
	}
	first := i
	for ; i < len(c.b); i++ {
		if d := c.b[i] - '0'; d <= 9 {
			m = m*10 + int(d)
			n++
		} else if c.b[i] == '.' && point < 0 && n > 0 {
			point = i
		} else {
			break
		}
		if n > 15 {
			break
		}
	}
	if i < len(c.b) && 0 < n && n <= 15 && point != i-1 && (c.b[first] != '0' || i == first+1 || point == first+1) {
		if ch := c.b[i]; ch == ',' || ch == ']' || ch == '}' {
			power := 0
			if point >= 0 {
				power = point + 1 - i
			}
			f, _ := decimal.Exact(uint64(m), n, power)
			if first > c.i {
				f = -f
			}
			c.i = i
			return f
		}
	}
	raw, _ := c.number()
	f, _ := strconv.ParseFloat(string(raw), 64)
	return f
}

// floats reads a list of numbers behind those already in to.
func (c *cursor) floats(to []float64) []float64 {
	for ok := c.item(); ok; ok = c.more() {
		to = append(to, c.float())
	}
	return to
}
