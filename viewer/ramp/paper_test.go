package ramp

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Three rows of the test data of Sharma, Wu and Dalal 2005, table 1.
func TestCIEDE2000(t *testing.T) {
	for _, c := range []struct {
		p, q lab
		want float64
	}{
		{lab{50, 2.6772, -79.7751}, lab{50, 0, -82.7485}, 2.0425},
		{lab{50, 2.5, 0}, lab{73, 25, -18}, 27.1492},
		{lab{2.0776, .0795, -1.1350}, lab{.9033, -.0636, -.5514}, .9082},
	} {
		if got := ciede2000(c.p, c.q); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%v, %v: %.4f, want %.4f", c.p, c.q, got, c.want)
		}
	}
}

var papers = []struct {
	name  string
	paper *Paper
}{{"day", Day()}, {"night", Night()}}

// The style sheet and this package must hold the same colours.
func TestColoursAreThePages(t *testing.T) {
	var css []byte
	var err error
	for _, name := range []string{"../../site/css/tokens.css", "../../../shared/look/tokens.css"} {
		if css, err = os.ReadFile(name); err == nil {
			break
		}
	}
	if err != nil {
		t.Skip("no style sheet to compare with")
	}
	root := string(css) // the first block, before the harder colours for more contrast
	if i := strings.Index(root, "@media"); i > 0 {
		root = root[:i]
	}
	tokens := map[string][2]uint32{}
	for _, m := range regexp.MustCompile(`--([a-z0-9-]+):\s*light-dark\(#([0-9a-f]{6}),\s*#([0-9a-f]{6})\)`).FindAllStringSubmatch(root, -1) {
		day, _ := strconv.ParseUint(m[2], 16, 32)
		night, _ := strconv.ParseUint(m[3], 16, 32)
		tokens[m[1]] = [2]uint32{rgb(uint32(day)), rgb(uint32(night))}
	}
	for i, c := range papers {
		p := c.paper
		ours := map[string]uint32{
			"paper": p.Paper, "sheet": p.Sheet, "well": p.Well, "figure": p.Figure, "ink": p.Ink, "ink-2": p.Ink2,
			"rule": p.Rule, "hair": p.Hair, "brass": p.Brass, "brass-leaf": p.BrassLeaf, "wash": p.Wash,
			"stop": p.Stop, "flaw": p.Flaw, "note": p.Note, "left": p.Left, "right": p.Right,
		}
		for k, v := range p.Ramp {
			ours[fmt.Sprintf("ramp-%d", k)] = v
		}
		for k, v := range p.Press[1:] {
			ours[fmt.Sprintf("press-%d", k+1)] = v
		}
		for name, v := range ours {
			w, ok := tokens[name]
			if !ok {
				t.Errorf("--%s: not in the style sheet", name)
			} else if w[i] != v {
				t.Errorf("--%s by %s: %08x, style sheet %08x (bytes A B G R)", name, c.name, v, w[i])
			}
		}
		if p.Figure != p.Ramp[0] || p.Press[0] != p.Ramp[0] {
			t.Errorf("%s: the scales do not begin with the figure's colour", c.name)
		}
	}
}

// L* of the eleven stops, as worked out when the colours were chosen.
var lightnesses = map[string][11]float64{
	"day normal":   {97.1, 88.7, 80.7, 72.3, 64.1, 56.1, 47.9, 39.6, 31.2, 23.1, 15.2},
	"day protan":   {96.7, 87.8, 79.3, 70.2, 61.3, 53.4, 45.4, 37.7, 30.4, 23.1, 16.0},
	"day deutan":   {97.3, 89.2, 81.5, 73.6, 65.8, 57.8, 49.4, 40.7, 31.7, 23.2, 14.7},
	"day tritan":   {97.0, 88.5, 80.4, 72.0, 63.8, 55.8, 47.6, 39.4, 31.2, 23.1, 15.3},
	"night normal": {20.0, 27.8, 35.3, 43.2, 50.9, 58.5, 66.3, 73.8, 81.6, 89.2, 97.0},
	"night protan": {20.9, 28.6, 35.9, 42.9, 49.7, 56.5, 63.6, 71.4, 79.7, 88.0, 96.5},
	"night deutan": {19.4, 27.3, 34.9, 43.4, 51.6, 59.7, 68.0, 75.3, 82.7, 89.9, 97.2},
	"night tritan": {20.1, 27.8, 35.3, 43.1, 50.8, 58.2, 66.0, 73.4, 81.2, 88.9, 96.6},
}

// The ramp must be read by lightness alone, whatever colours a person sees.
func TestRampIsMonotone(t *testing.T) {
	for _, c := range papers {
		for _, v := range visions {
			row := c.name + " " + v.name
			least, step := math.Inf(1), math.Inf(1)
			for i, stop := range c.paper.Ramp {
				p := seen(stop, &v.m)
				if want := lightnesses[row][i]; math.Abs(p.l-want) > .25 {
					t.Errorf("%s: L* of stop %d is %.1f, was %.1f", row, i, p.l, want)
				}
				if i > 0 {
					q := seen(c.paper.Ramp[i-1], &v.m)
					step = min(step, math.Abs(p.l-q.l))
					least = min(least, ciede2000(p, q))
				}
			}
			if step < 6.75 || least < 5.5 {
				t.Errorf("%s: least step %.2f L*, ΔE %.2f; want 6.8 and 5.6", row, step, least)
			}
			// 8 bits a channel: equal neighbours happen, turning back must not,
			// beyond what rounding one byte can do.
			last := seen(c.paper.At(0), &v.m).l
			for i := 1; i < 256; i++ {
				l := seen(c.paper.At(float32(i)/255), &v.m).l
				if d := (l - last) * map[bool]float64{false: -1, true: 1}[c.paper.Night]; d < 0 {
					t.Errorf("%s: at %d of 255 L* turns back by %.3f", row, i, -d)
				}
				last = l
			}
		}
	}
}

// Grades and sides, ΔE by CIEDE2000 for normal, protan, deutan, tritan.
func TestMarksStayApart(t *testing.T) {
	day, night := papers[0].paper, papers[1].paper
	for _, c := range []struct {
		name       string
		a, b       func(p *Paper) uint32
		day, night [4]float64
	}{
		{"stop and flaw", func(p *Paper) uint32 { return p.Stop }, func(p *Paper) uint32 { return p.Flaw }, [4]float64{28, 19, 14, 15}, [4]float64{31, 17, 10, 11}},
		{"stop and note", func(p *Paper) uint32 { return p.Stop }, func(p *Paper) uint32 { return p.Note }, [4]float64{48, 33, 39, 52}, [4]float64{47, 30, 36, 54}},
		{"flaw and note", func(p *Paper) uint32 { return p.Flaw }, func(p *Paper) uint32 { return p.Note }, [4]float64{44, 40, 45, 46}, [4]float64{42, 41, 44, 45}},
		{"left and right", func(p *Paper) uint32 { return p.Left }, func(p *Paper) uint32 { return p.Right }, [4]float64{38, 31, 36, 46}, [4]float64{37, 27, 32, 50}},
	} {
		for i, v := range visions {
			for _, s := range []struct {
				name string
				p    *Paper
				want float64
			}{{"day", day, c.day[i]}, {"night", night, c.night[i]}} {
				got := ciede2000(seen(c.a(s.p), &v.m), seen(c.b(s.p), &v.m))
				if math.Abs(got-s.want) > .8 {
					t.Errorf("%s by %s, %s: ΔE %.1f, was %.0f", c.name, s.name, v.name, got, s.want)
				}
			}
		}
	}
}

// Text needs 4.5 on every ground, marks and edges 3 (WCAG 2.2, 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	for _, c := range papers {
		p := c.paper
		for _, g := range []uint32{p.Paper, p.Sheet, p.Well, p.Wash} {
			for _, m := range []struct {
				name string
				c    uint32
				need float64
			}{
				{"ink", p.Ink, 4.5}, {"ink-2", p.Ink2, 4.5}, {"brass", p.Brass, 4.5}, {"left", p.Left, 4.5}, {"right", p.Right, 4.5},
				{"stop", p.Stop, 3}, {"flaw", p.Flaw, 3}, {"note", p.Note, 3}, {"rule", p.Rule, 3},
			} {
				if got := contrast(m.c, g); got < m.need {
					t.Errorf("%s: %s on %06x: contrast %.2f, needs %.1f", c.name, m.name, g&0xffffff, got, m.need)
				}
			}
		}
	}
}

// Category inks: any two can be told apart by any eye, and from the bare figure;
// lines and labels in ink stay readable on them.
func TestCategoryInks(t *testing.T) {
	for _, c := range papers {
		inks := c.paper.Category
		if len(inks) < 12 {
			t.Errorf("%s: %d inks", c.name, len(inks))
		}
		for _, v := range visions {
			need := 9.5
			if v.name == "normal" {
				need = 16
			}
			for i, a := range inks {
				for j, b := range append([]uint32{c.paper.Figure}, inks[:i]...) {
					if d := ciede2000(seen(a, &v.m), seen(b, &v.m)); d < need {
						t.Errorf("%s, %s: ink %d and %d (−1: figure): ΔE %.1f, needs %.1f", c.name, v.name, i, j-1, d, need)
					}
				}
			}
		}
		for i, a := range inks {
			if k := contrast(a, c.paper.Ink); k < 2.4 {
				t.Errorf("%s: ink %d: lines on it have contrast %.2f", c.name, i, k)
			}
		}
	}
}

// Stretched and pressed are equally light at equal size, and zero is the figure.
func TestTwoSided(t *testing.T) {
	for _, c := range papers {
		p := c.paper
		if p.AtTwo(0) != p.Figure {
			t.Errorf("%s: zero is not the figure's colour", c.name)
		}
		for k := 1; k <= 3; k++ {
			v := float32(k) / 3
			a, b := seen(p.AtTwo(v), &visions[0].m), seen(p.AtTwo(-v), &visions[0].m)
			if math.Abs(a.l-b.l) > 1.5 {
				t.Errorf("%s: at ±%d/3 L* is %.1f and %.1f", c.name, k, a.l, b.l)
			}
			if d := ciede2000(a, b); d < 5 {
				t.Errorf("%s: at ±%d/3 ΔE %.1f", c.name, k, d)
			}
		}
	}
}

func TestAt(t *testing.T) {
	p := Day()
	for i, want := range p.Ramp {
		if got := p.At(float32(i) / 10); got != want {
			t.Errorf("at %d/10: %08x, want stop %08x", i, got, want)
		}
	}
	for _, c := range []struct {
		v    float32
		want uint32
	}{{-1, p.Ramp[0]}, {2, p.Ramp[10]}, {float32(math.NaN()), p.Ramp[0]}} {
		if got := p.At(c.v); got != c.want {
			t.Errorf("at %g: %08x, want %08x", c.v, got, c.want)
		}
	}
}
