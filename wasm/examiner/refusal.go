package main

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/panics"
	"rigloupe/wasm/bridge"
)

// refusalOf tells an error: what the reader refused or misses, else the error's
// own words.
func refusalOf(id int, err error) bridge.Refused {
	out := bridge.Refused{ID: id, Kind: "refused", Missing: []string{}}
	var missing *gltfio.Missing
	var refused *gltfio.Refused
	switch {
	case errors.As(err, &missing):
		out.Text = fmt.Sprintf("%q needs %s, not found beside it.", missing.File, listed(missing.Names))
		out.Hint = "Drop the missing files; they are added to what is there."
		if len(missing.Names) == 1 {
			out.Hint = "Drop the missing file; it is added to what is there."
		}
		if len(missing.Far) > 0 {
			out.Text = fmt.Sprintf("%q names %s, on a network. Nothing is fetched from there.", missing.File, listed(missing.Far[:min(4, len(missing.Far))]))
			out.Hint = fmt.Sprintf("Fetch what you trust yourself and drop %s; it is added to what is there.", listed(missing.Names))
		}
		out.Missing = append(out.Missing, missing.Names...)
	case errors.As(err, &refused):
		bare := *refused
		bare.Hint = ""
		out.Text, out.Hint = bare.Error()+".", sentence(refused.Hint)
	default:
		out.Text = err.Error()
	}
	return out
}

// sentence starts with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + strings.TrimSuffix(s[n:], ".") + "."
}

func listed(names []string) string {
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = fmt.Sprintf("%q", n)
	}
	if n := len(quoted); n > 1 {
		return strings.Join(quoted[:n-1], ", ") + " and " + quoted[n-1]
	}
	return strings.Join(quoted, "")
}

// panicRefusal tells a panic with its place: the first line of our own code in the
// stack. It is our mistake, never the person's.
func panicRefusal(id int, what any, stack []byte) bridge.Refused {
	return bridge.Refused{
		ID: id, Kind: "refused", Missing: []string{},
		Text: fmt.Sprintf("The examiner failed: %v (%s).", what, panics.Place(stack)),
		Hint: "This is a fault of Rigloupe, not of the file. Other files can still be opened.",
	}
}
