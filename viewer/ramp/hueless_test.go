package ramp_test

import (
	"fmt"
	"math"
	"testing"

	"rigloupe/viewer/ramp"
	"rigloupe/viewer/raster"
)

// seenBy are the eyes that read a lens without telling its hues: "normal" stands for a copy in
// grey, whose lightness is what is left.
var seenBy = []string{"normal", "protan", "deutan", "tritan"}

// styles are the engraver's tables of both papers.
var styles = map[bool]*raster.Style{false: styled(ramp.Day()), true: styled(ramp.Night())}

func styled(p *ramp.Paper) *raster.Style {
	return raster.NewStyle(raster.Colours{Night: p.Night, Paper: p.Paper, Figure: p.Figure, Ink: p.Ink, Rule: p.Rule, Ramp: p.Ramp, Press: p.Press, Category: p.Category, Count: p.Count})
}

// strip is a sheet that faces the eye, columns wide, drawn under a lens: the pixels of its middle
// row from edge to edge. value and category are those of the lines between columns.
func strip(p *ramp.Paper, columns int, value func(i int) float32, category func(i int) uint8, show raster.Surface) []uint32 {
	fig, frame := &raster.Figure{}, &raster.Frame{}
	for i := range columns + 1 {
		for _, y := range []float32{-.2, .2} {
			frame.Pos = append(frame.Pos, float32(2*i)/float32(columns)-1, y, 0)
			frame.Normal = append(frame.Normal, 0, 0, 1)
			if value != nil {
				frame.Lens = append(frame.Lens, value(i))
			}
			if category != nil {
				frame.Category = append(frame.Category, category(i))
			}
		}
		if q := uint32(2 * i); i < columns {
			fig.Mesh.Tri = append(fig.Mesh.Tri, q, q+2, q+3, q, q+3, q+1)
		}
	}
	plate := raster.New(640, 100)
	view := raster.View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -4}, Focal: 1200, CX: 320, CY: 50, Near: .1}
	plate.Draw(fig, &fig.Mesh, frame, &view, raster.Ruling{}, styles[p.Night], raster.Look{Surface: show})
	var row []uint32
	for x := range plate.W {
		if _, ok := plate.Pick(x, 50); ok {
			row = append(row, plate.Pix[50*plate.W+x])
		}
	}
	return row
}

// eachEye runs a test for both papers and all eyes.
func eachEye(t *testing.T, test func(t *testing.T, p *ramp.Paper, l func(c uint32) float64)) {
	for _, p := range []*ramp.Paper{ramp.Day(), ramp.Night()} {
		for _, eye := range seenBy {
			t.Run(fmt.Sprintf("night %v, %s", p.Night, eye), func(t *testing.T) {
				test(t, p, func(c uint32) float64 { return ramp.Lightness(c, eye) })
			})
		}
	}
}

// TestValuesWithoutHue: on the figure as it is drawn, lightness alone tells the larger of two
// values a twentieth of the scale apart, over the whole scale.
func TestValuesWithoutHue(t *testing.T) {
	eachEye(t, func(t *testing.T, p *ramp.Paper, l func(c uint32) float64) {
		row := strip(p, 20, func(i int) float32 { return float32(i) / 20 }, nil, raster.Value)
		if len(row) < 590 {
			t.Fatalf("%d pixels of the strip", len(row))
		}
		sign, last := map[bool]float64{false: -1, true: 1}[p.Night], 0.
		for k := range 20 {
			c := l(row[(2*k+1)*len(row)/40])
			if k > 0 && sign*(c-last) < 2 {
				t.Errorf("from %.3f to %.3f of the scale L* goes from %.1f to %.1f", float64(2*k-1)/40, float64(2*k+1)/40, last, c)
			}
			last = c
		}
	})
}

// TestTwoSidedWithoutHue: both ways from the middle lightness changes evenly, and the pressed side,
// equally light, is told from the stretched one by its hatching.
func TestTwoSidedWithoutHue(t *testing.T) {
	eachEye(t, func(t *testing.T, p *ramp.Paper, l func(c uint32) float64) {
		row := strip(p, 20, func(i int) float32 { return float32(i)/10 - 1 }, nil, raster.TwoSided)
		part := func(from, to float64) (mean, rough float64) {
			a, b := int(from*float64(len(row))), int(to*float64(len(row)))
			for i := a; i < b; i++ {
				mean += l(row[i]) / float64(b-a)
				if i > a {
					rough = max(rough, math.Abs(l(row[i])-l(row[i-1])))
				}
			}
			return mean, rough
		}
		middle, _ := part(.49, .51)
		sign, less, more := map[bool]float64{false: -1, true: 1}[p.Night], middle, middle
		for k := 1; k <= 4; k++ {
			far := float64(k) / 10
			pressed, hatch := part(.5-far-.05, .5-far+.05)
			stretched, plain := part(.5+far-.05, .5+far+.05)
			if sign*(pressed-less) < 2 || sign*(stretched-more) < 2 {
				t.Errorf("at %.1f of the way L* is %.1f and %.1f, nearer the middle %.1f and %.1f", 2*far, pressed, stretched, less, more)
			}
			if hatch < 3 || plain > 2 {
				t.Errorf("at %.1f of the way neighbours differ by %.1f where it is pressed, by %.1f where it is stretched", 2*far, hatch, plain)
			}
			less, more = pressed, stretched
		}
	})
}

// TestStepsWithoutHue: ten counts are ten shades that differ in lightness.
func TestStepsWithoutHue(t *testing.T) {
	eachEye(t, func(t *testing.T, p *ramp.Paper, l func(c uint32) float64) {
		row := strip(p, 19, nil, func(i int) uint8 { return uint8(i / 2) }, raster.Count)
		sign, last := map[bool]float64{false: -1, true: 1}[p.Night], 0.
		for k := range 10 {
			c := l(row[(4*k+1)*len(row)/38])
			if k > 0 && sign*(c-last) < 5 {
				t.Errorf("%d joints are drawn with L* %.1f, %d with %.1f", k-1, last, k, c)
			}
			last = c
		}
	})
}

// TestCategoriesWithoutHue: twelve inks cannot all differ in lightness (the closest two are within
// 1 L* of each other), so a line parts what two joints hold, whatever the inks: it stands out from
// both sides by more than the shade of the form moves, 6 L*.
func TestCategoriesWithoutHue(t *testing.T) {
	eachEye(t, func(t *testing.T, p *ramp.Paper, l func(c uint32) float64) {
		closest := math.Inf(1)
		for a := range p.Category {
			for b := range a {
				row := strip(p, 3, nil, func(i int) uint8 { return []uint8{uint8(a), uint8(b)}[i/2] }, raster.Category)
				left, right, line := l(row[len(row)/4]), l(row[3*len(row)/4]), 0.
				for _, c := range row[len(row)*2/5 : len(row)*3/5] {
					line = max(line, min(math.Abs(l(c)-left), math.Abs(l(c)-right)))
				}
				closest = min(closest, math.Abs(left-right))
				if line < 8 {
					t.Errorf("inks %d and %d: L* %.1f and %.1f, the line between them is %.1f off the nearer", a, b, left, right, line)
				}
			}
		}
		if closest > 2 {
			t.Errorf("all inks differ by %.1f L*: the line is not needed", closest)
		}
	})
}
