package main

import (
	"bytes"
	"strings"
	"testing"
)

// What an option cannot be is said as it is typed, in one line, with what it wants.
func TestOptionWords(t *testing.T) {
	for call, want := range map[string]string{
		"bends sample --top x":                      `--top "x": want a number`,
		"bends sample --top":                        "--top: a value is missing after it",
		"examine sample --json=maybe":               `--json "maybe": it takes no value`,
		"examine sample --nope":                     "there is no option --nope",
		"match sample":                              "want SOURCE and TARGET, got 1 file",
		"checks sample":                             "rigloupe checks: takes no file",
		"lineup sample --jobs 99999999999999999999": `--jobs "99999999999999999999": want a number`,
	} {
		var out, errs bytes.Buffer
		code := run(strings.Fields(call), strings.NewReader(""), &out, &errs)
		if got := errs.String(); code != 2 || !strings.Contains(got, want) || strings.Contains(got, "flag") {
			t.Errorf("%s: %d, %q; want 2 and %q", call, code, got, want)
		}
	}
}
