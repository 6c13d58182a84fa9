package paper

import (
	"strings"
	"testing"
)

// TestBars: the tallest bar is as high as the line, half as many half as high, the faintest
// still seen, none not drawn. By hand: 18 units high, bars 6 apart.
func TestBars(t *testing.T) {
	got := Bars([]int{10, 0, 5, 1, 0, 0, 0, 0, 0, 2000}, "a<b").html
	for _, want := range []string{
		`aria-label="a&lt;b"`, `viewBox="0 0 60 18"`, `<rect class="v10" x="54" y="0.0" width="5" height="18.0"/>`,
		`<rect class="v1" x="0" y="17.0" width="5" height="1.0"/>`, `<rect class="v3" x="12" y="17.0"`, `<rect class="v4" x="18" y="17.0"`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%s\nlacks %s", got, want)
		}
	}
	if n := strings.Count(got, "<rect"); n != 4 {
		t.Errorf("%d bars, want 4", n)
	}
	if half := Bars([]int{4, 2}, "").html; !strings.Contains(half, `y="9.0" width="5" height="9.0"`) {
		t.Error(half)
	}
	if none := Bars(nil, "").html; strings.Contains(none, "<rect") {
		t.Error(none)
	}
}

// TestRibbon: columns of one shade are one piece; none is paper, all is the darkest, one of
// many is seen. Shades by hand: fifths of all, rounded up, two steps of the ramp each.
func TestRibbon(t *testing.T) {
	got := Ribbon([]int{0, 1, 1, 10, 10, 5, 0}, 10, "says").html
	want := `<rect class="v2" x="1" y="0" width="2" height="10"/><rect class="v10" x="3" y="0" width="2" height="10"/><rect class="v6" x="5" y="0" width="1" height="10"/></svg>`
	if !strings.HasSuffix(got, want) || strings.Count(got, "<rect") != 3 {
		t.Errorf("%s\nwant %s", got, want)
	}
	if one := Ribbon([]int{1}, 1000, "").html; !strings.Contains(one, `class="v2"`) {
		t.Error(one)
	}
	if still := Ribbon([]int{0, 0}, 0, "").html; strings.Contains(still, "<rect") {
		t.Error(still)
	}
}
