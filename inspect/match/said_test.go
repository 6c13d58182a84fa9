package match

import (
	"regexp"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// TestEvidenceIsForPeople: why joints have a pair, and why not, names parts of a body in
// words, never by the identifiers of a format.
func TestEvidenceIsForPeople(t *testing.T) {
	identifier := regexp.MustCompile(`\b(left|right)(Upper|Lower|Hand|Foot|Shoulder|Toes|Eye|Thumb|Index|Middle|Ring|Little)\w*|upperChest`)
	quoted := regexp.MustCompile(`"[^"]*"`)
	whole := lamplighter.Build(lamplighter.Options{Vertices: 500})
	cut := lamplighter.Build(lamplighter.Options{Vertices: 500})
	lamplighter.Amputate(cut)
	roles := 0
	for _, m := range []*Match{Find(whole, cut), Find(cut, whole)} {
		say := func(text string) {
			bare := quoted.ReplaceAllString(text, "")
			if s := identifier.FindString(bare); s != "" {
				t.Errorf("%q stands in %q", s, text)
			}
			if regexp.MustCompile(`left (upper|lower) arm`).MatchString(bare) {
				roles++
			}
		}
		for _, p := range m.Pairs {
			say(p.Evidence)
		}
		for _, l := range append(m.Source, m.Target...) {
			say(l.Why)
		}
	}
	if roles == 0 {
		t.Error("no text names an arm")
	}
}
