package main

import (
	"flag"
	"io"
	"strings"
	"testing"
)

// TestHelp: each command has a help of its own, which names every option that it takes and
// no command beside it; the whole usage names every command.
func TestHelp(t *testing.T) {
	for _, name := range []string{"examine", "compare", "road", "lineup", "pose", "probe", "picture", "bends", "clip", "match", "carry", "mend", "mends", "verify", "checks", "sample", "version", "lesson", "mark"} {
		p := &program{out: io.Discard, err: io.Discard, csv: io.Discard}
		_, err := p.command(name, []string{"--help"})
		asked, ok := err.(helpAsked)
		if !ok {
			t.Errorf("%s --help: %v", name, err)
			continue
		}
		help := helpOf(name)
		if help == usage || !strings.HasPrefix(help, "  rigloupe "+name) {
			t.Errorf("%s has no help of its own", name)
		}
		asked.flags.VisitAll(func(f *flag.Flag) {
			if !strings.Contains(help, "--"+f.Name) {
				t.Errorf("the help of %s does not name --%s", name, f.Name)
			}
		})
		for text := range strings.Lines(help) {
			if rest, begins := strings.CutPrefix(text, "  rigloupe "); begins && !strings.HasPrefix(rest, name+" ") && strings.TrimSpace(rest) != name {
				t.Errorf("the help of %s speaks of %s", name, strings.TrimSpace(text))
			}
		}
		if n := strings.Count(help, "\n"); n > 40 {
			t.Errorf("the help of %s has %d lines", name, n)
		}
	}
	if helpOf("no such command") != usage {
		t.Error("a command that is not there has a help")
	}
}
