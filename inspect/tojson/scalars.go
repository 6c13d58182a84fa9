package tojson

import (
	"math"
	"strconv"
	"unicode/utf8"
)

// appendFloat writes a number as ECMAScript does, as encoding/json promises; null for what
// is none.
func appendFloat(dst []byte, x float64, bits int) []byte {
	if x-x != 0 {
		return append(dst, "null"...)
	}
	form := byte('f')
	if a := math.Abs(x); a != 0 {
		if bits == 64 && (a < 1e-6 || a >= 1e21) || bits == 32 && (float32(a) < 1e-6 || float32(a) >= 1e21) {
			form = 'e'
		}
	}
	dst = strconv.AppendFloat(dst, x, form, -1, bits)
	if n := len(dst); form == 'e' && n >= 4 && dst[n-4] == 'e' && (dst[n-3] == '-' || dst[n-3] == '+') && dst[n-2] == '0' {
		dst[n-2] = dst[n-1] // e-09 is e-9
		dst = dst[:n-1]
	}
	return dst
}

const digits = "0123456789abcdef"

// appendText writes a text in quotes. Bytes that are no UTF-8 are U+FFFD; U+2028 and U+2029,
// which ended lines in older scripts, are escaped.
func appendText(dst []byte, s string, markup bool) []byte {
	dst = append(dst, '"')
	from := 0
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			if c >= ' ' && c != '"' && c != '\\' && !(markup && (c == '<' || c == '>' || c == '&')) {
				i++
				continue
			}
			dst = append(dst, s[from:i]...)
			switch c {
			case '"', '\\':
				dst = append(dst, '\\', c)
			case '\b':
				dst = append(dst, `\b`...)
			case '\f':
				dst = append(dst, `\f`...)
			case '\n':
				dst = append(dst, `\n`...)
			case '\r':
				dst = append(dst, `\r`...)
			case '\t':
				dst = append(dst, `\t`...)
			default:
				dst = append(dst, `\u00`...)
				dst = append(dst, digits[c>>4], digits[c&15])
			}
			i++
			from = i
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			dst = append(append(dst, s[from:i]...), `\ufffd`...)
			from = i + size
		case r == '\u2028', r == '\u2029':
			dst = append(append(dst, s[from:i]...), `\u202`...)
			dst = append(dst, digits[r&15])
			from = i + size
		}
		i += size
	}
	return append(append(dst, s[from:]...), '"')
}
