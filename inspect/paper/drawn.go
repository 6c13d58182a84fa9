package paper

import (
	"fmt"
	"slices"
	"strings"
)

// Bars is a small histogram, each bar in its step of the value ramp, the tallest as high as
// the line. says is for those who do not see it.
func Bars(counts []int, says string) Text {
	const width, high = 6, 18
	most := max(1, slices.Max(append([]int{1}, counts...)))
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="bars" role="img" aria-label="%s" viewBox="0 0 %d %d">`, escape(says), width*len(counts), high)
	for i, n := range counts {
		if n <= 0 {
			continue
		}
		h := max(1, float64(high)*float64(n)/float64(most)) // what is there is seen
		fmt.Fprintf(&b, `<rect class="v%d" x="%d" y="%.1f" width="%d" height="%.1f"/>`, min(10, 1+i*10/len(counts)), i*width, high-h, width-1, h)
	}
	return Text{b.String() + "</svg>"}
}

// Ribbon is a strip of columns, each the darker the nearer its count is to all: paper at
// none, then in fifths.
func Ribbon(counts []int, all int, says string) Text {
	const high = 10
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="ribbon" role="img" aria-label="%s" viewBox="0 0 %d %d" preserveAspectRatio="none">`, escape(says), len(counts), high)
	for i := 0; i < len(counts); {
		k := i + 1
		for k < len(counts) && shade(counts[k], all) == shade(counts[i], all) {
			k++
		}
		if v := shade(counts[i], all); v > 0 {
			fmt.Fprintf(&b, `<rect class="v%d" x="%d" y="0" width="%d" height="%d"/>`, v, i, k-i, high)
		}
		i = k
	}
	return Text{b.String() + "</svg>"}
}

// shade is the step of the value ramp for a part of all: 0, or 2 to 10 by fifths.
func shade(n, all int) int {
	if n <= 0 || all <= 0 {
		return 0
	}
	return 2 * min(5, (5*n+all-1)/all)
}

// Beside sets a picture at the left of what fill writes, half as wide as the page or, not
// large, a third; kept together on a page where that fits on one. Without a picture it is
// the text alone.
func (s *Sheet) Beside(p *Picture, large bool, fill func()) {
	class := "finding"
	if large {
		class += " large"
	}
	if p == nil {
		class += " bare"
	}
	fmt.Fprintf(&s.b, "<section class=\"%s\">\n", class)
	if p != nil {
		s.figure(p)
	}
	s.b.WriteString("<div>\n")
	fill()
	s.b.WriteString("</div>\n</section>\n")
}
