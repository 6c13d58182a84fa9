package bvh

import (
	"bytes"
	"math"
	"strconv"
	"strings"

	"rigloupe/inspect/decimal"
)

// scanner walks over the bytes and counts lines; LF, CR LF and CR alone end one.
type scanner struct {
	data  []byte
	at    int
	line  int
	comma bool // a comma is a decimal point
}

func newScanner(data []byte) *scanner {
	s := &scanner{data: bytes.TrimPrefix(data, []byte{0xEF, 0xBB, 0xBF}), line: 1}
	s.comma = decimalComma(s.data)
	return s
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\v' || c == '\f' || c == 0 }

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

// peek is the byte k places on, 0 at the end.
func (s *scanner) peek(k int) byte {
	if s.at+k < len(s.data) {
		return s.data[s.at+k]
	}
	return 0
}

// newline steps over a line's end, if one is here.
func (s *scanner) newline() bool {
	switch s.peek(0) {
	case '\r':
		s.at++
		if s.peek(0) == '\n' {
			s.at++
		}
	case '\n':
		s.at++
	default:
		return false
	}
	s.line++
	return true
}

// comment tells whether one begins here: # or // at the start of a line or after a
// blank.
func (s *scanner) comment() bool {
	c := s.peek(0)
	if c != '#' && (c != '/' || s.peek(1) != '/') {
		return false
	}
	if s.at == 0 {
		return true
	}
	b := s.data[s.at-1]
	return isBlank(b) || b == '\n' || b == '\r' || b == '{' || b == '}'
}

// skip goes to the next byte that is neither blank, line end nor comment.
func (s *scanner) skip() {
	for s.at < len(s.data) {
		switch c := s.data[s.at]; {
		case isBlank(c):
			s.at++
		case c == '\n' || c == '\r':
			s.newline()
		case (c == '#' || c == '/') && s.comment():
			s.restOfLine()
		default:
			return
		}
	}
}

// restOfLine steps to the line's end and answers what was left of it.
func (s *scanner) restOfLine() []byte {
	from := s.at
	for s.at < len(s.data) && s.data[s.at] != '\n' && s.data[s.at] != '\r' {
		s.at++
	}
	return s.data[from:s.at]
}

// word is the next brace, or run without blanks and braces; "" at the end.
func (s *scanner) word() string {
	s.skip()
	from := s.at
	for s.at < len(s.data) {
		c := s.data[s.at]
		if c == '{' || c == '}' {
			if s.at == from {
				s.at++
			}
			break
		}
		if isBlank(c) || c == '\n' || c == '\r' {
			break
		}
		s.at++
	}
	return string(s.data[from:s.at])
}

// next is the next word without stepping over it.
func (s *scanner) next() string {
	at, line := s.at, s.line
	w := s.word()
	s.at, s.line = at, line
	return w
}

// name is what follows ROOT, JOINT or End Site up to the brace; it may hold blanks
// and be empty. Where no brace follows it ends with its line.
func (s *scanner) name() string {
	for isBlank(s.peek(0)) && s.at < len(s.data) {
		s.at++
	}
	from := s.at
	for s.at < len(s.data) {
		c := s.data[s.at]
		if c == '{' || c == '}' || c == '\n' || c == '\r' || s.nameComment() {
			break
		}
		s.at++
	}
	text := strings.TrimSpace(string(s.data[from:s.at]))
	if text != "" {
		return tidy(text)
	}
	// On a line of its own, unless that line says something else.
	switch w := s.next(); keyword(w) {
	case none:
		if w != "" {
			s.skip()
			return s.name()
		}
	}
	return ""
}

// nameComment tells whether a comment begins within a name: "#1" belongs to it.
func (s *scanner) nameComment() bool {
	if !s.comment() {
		return false
	}
	if s.peek(0) == '/' {
		return true
	}
	c := s.peek(1)
	return isBlank(c) || c == '\n' || c == '\r' || s.at+1 >= len(s.data)
}

// tidy makes a name valid UTF-8 and its blanks single.
func tidy(s string) string {
	return strings.Join(strings.Fields(strings.ToValidUTF8(s, "\uFFFD")), " ")
}

// found is what a place that should hold a number holds.
type found uint8

const (
	number  found = iota
	noValue       // nan, inf or a text that is no number
	other         // a brace or the end of the file
)

// number reads the next number. Two that touch are parted before a sign; a comma is
// a decimal point in files that write it so, else it parts numbers as a blank does.
func (s *scanner) number() (v float64, what found) {
	for s.at < len(s.data) {
		c := s.data[s.at]
		if c == ';' || c == ',' && !(s.comma && isDigit(s.peek(1))) {
			s.at++
			continue
		}
		if !isBlank(c) && c != '\n' && c != '\r' && c != '#' && c != '/' {
			break
		}
		before := s.at
		s.skip()
		if s.at == before {
			break
		}
	}
	c := s.peek(0)
	if s.at >= len(s.data) || c == '{' || c == '}' {
		return 0, other
	}
	from := s.at
	v, ok := s.decimal()
	if ok && !isLetter(s.peek(0)) && s.peek(0) != '#' && !math.IsInf(v, 0) {
		return v, number
	}
	for s.at < len(s.data) {
		if c := s.data[s.at]; isBlank(c) || c == '\n' || c == '\r' || c == '{' || c == '}' || c == ';' {
			break
		}
		s.at++
	}
	if s.at == from {
		s.at++
	}
	return 0, noValue
}

// decimal reads sign, digits, point and exponent: the quick way (decimal.Exact), else
// the library's.
func (s *scanner) decimal() (float64, bool) {
	from, d := s.at, s.data
	i := s.at
	negative := false
	if i < len(d) && (d[i] == '+' || d[i] == '-') {
		negative = d[i] == '-'
		i++
	}
	var mantissa uint64
	digits, any, fraction := 0, false, 0
	point := false
	for ; i < len(d); i++ {
		c := d[i]
		if isDigit(c) {
			any = true
			if digits < 19 {
				mantissa = mantissa*10 + uint64(c-'0')
			}
			if mantissa > 0 {
				digits++
			}
			if point {
				fraction++
			}
			continue
		}
		if !point && (c == '.' || c == ',' && s.comma && i+1 < len(d) && isDigit(d[i+1])) {
			point = true
			continue
		}
		break
	}
	if !any {
		return 0, false
	}
	exponent := 0
	if i < len(d) && (d[i] == 'e' || d[i] == 'E') {
		k, minus := i+1, false
		if k < len(d) && (d[k] == '+' || d[k] == '-') {
			minus = d[k] == '-'
			k++
		}
		if k < len(d) && isDigit(d[k]) {
			for ; k < len(d) && isDigit(d[k]); k++ {
				exponent = min(exponent*10+int(d[k]-'0'), 9999)
			}
			if minus {
				exponent = -exponent
			}
			i = k
		}
	}
	s.at = i
	exponent -= fraction
	v, ok := decimal.Exact(mantissa, digits, exponent)
	if !ok {
		text := string(d[from:i])
		if s.comma {
			text = strings.Replace(text, ",", ".", 1)
		}
		v, _ := strconv.ParseFloat(text, 64) // out of range: ±Inf, told by the caller
		return v, true
	}
	if negative {
		v = -v
	}
	return v, true
}

// decimalComma tells whether numbers are written with a comma for a point: commas
// between digits, never two in one number, and no point beside a digit. Names are
// left out: only OFFSET lines and what follows MOTION count.
func decimalComma(data []byte) bool {
	if bytes.IndexByte(data, ',') < 0 {
		return false
	}
	commas := false
	look := func(part []byte) (point bool) {
		last := -1
		for i, c := range part {
			switch {
			case c == ',' && i > 0 && i+1 < len(part) && isDigit(part[i-1]) && isDigit(part[i+1]):
				if last >= 0 {
					return true // 1,2,3: commas part whole numbers
				}
				commas, last = true, i
			case c == '.' && (i > 0 && isDigit(part[i-1]) || i+1 < len(part) && isDigit(part[i+1])):
				return true
			case !isDigit(c):
				last = -1
			}
		}
		return false
	}
	rest := data
	for len(rest) > 0 {
		end := bytes.IndexAny(rest, "\r\n")
		line := rest
		if end >= 0 {
			line, rest = rest[:end], rest[end+1:]
		} else {
			rest = nil
		}
		trimmed := bytes.TrimSpace(line)
		if len(trimmed) >= 6 && bytes.EqualFold(trimmed[:6], []byte("offset")) && look(trimmed[6:]) {
			return false
		}
		if bytes.EqualFold(trimmed, []byte("motion")) {
			return !look(rest) && commas
		}
	}
	return commas
}
