package raster

import (
	"math"
	"testing"
)

// laid is how much ink a mark put on a white plate, in pixels.
func laid(p *Plate) (sum float64) {
	for _, c := range p.Pix {
		sum += float64(255-c&255) / 255
	}
	return sum
}

// A mark lays as much ink as its shape has area; closed forms.
func TestMarksHaveTheirArea(t *testing.T) {
	const black, white = 0xff000000, 0xffffffff
	for _, c := range []struct {
		name string
		draw func(p *Plate)
		want float64
		off  float64 // share
	}{
		{"level line", func(p *Plate) { p.Line(20, 50.5, 170, 50.5, 2, black, 1) }, 150*2 + math.Pi, .02},
		{"hair line", func(p *Plate) { p.Line(20, 50, 170, 80, .5, black, 1) }, math.Hypot(150, 30)*.5 + math.Pi/16, .02},
		{"slanting line", func(p *Plate) { p.Line(20, 20, 150, 140, 3, black, 1) }, math.Hypot(130, 120)*3 + math.Pi*2.25, .02},
		{"half as strong", func(p *Plate) { p.Line(20, 20, 150, 140, 3, black, .5) }, (math.Hypot(130, 120)*3 + math.Pi*2.25) / 2, .02},
		{"disc", func(p *Plate) { p.Disc(90.3, 80.8, 30, black, 1) }, math.Pi * 900, .01},
		{"ring", func(p *Plate) { p.Ring(90.3, 80.8, 30, 2, black, 1) }, 2 * math.Pi * 30 * 2, .02},
		{"triangle", func(p *Plate) { p.Polygon([]float32{10.2, 10.7, 150.4, 30.1, 60.6, 140.9}, black, 1) },
			math.Abs((150.4-10.2)*(140.9-10.7)-(60.6-10.2)*(30.1-10.7)) / 2, .005},
		{"even-odd", func(p *Plate) {
			p.Polygon([]float32{10, 10, 110, 10, 110, 110, 10, 110, 10, 10, 30, 30, 90, 30, 90, 90, 30, 90, 30, 30}, black, 1)
		}, 100*100 - 60*60, .005},
		{"dashes", func(p *Plate) { p.Dashed(20, 50.5, 180, 50.5, 1, 5, 3, black, 1) }, 20 * (5 + math.Pi/4), .08},
		{"joint of a faint polyline is laid once", func(p *Plate) { p.Polyline([]float32{20, 80, 90, 80, 90, 80, 160, 80}, 3, black, .5, false) }, (140*3 + math.Pi*2.25) / 2, .02},
	} {
		p := New(200, 160)
		p.Pave(white)
		c.draw(p)
		if got := laid(p); math.Abs(got/c.want-1) > c.off {
			t.Errorf("%s: %.1f pixels of ink, want %.1f", c.name, got, c.want)
		}
	}
}

func TestTheFaceIsWhole(t *testing.T) {
	m := signs()
	for r := '!'; r <= '~'; r++ {
		g, ok := m[r]
		if !ok || g.width <= 0 {
			t.Errorf("no sign for %q", r)
			continue
		}
		for _, s := range g.strokes {
			if len(s) < 2 {
				t.Errorf("%q has an empty stroke", r)
			}
			for i := 0; i < len(s); i += 2 {
				if s[i] < .5 || s[i] > g.width-.5 || s[i+1] < -1.5 || s[i+1] > 8.5 {
					t.Errorf("%q leaves its field at %g, %g", r, s[i], s[i+1])
				}
			}
		}
	}
	for _, r := range "0123456789" {
		if m[r].width != m['0'].width {
			t.Errorf("digit %q has its own width", r)
		}
	}
	for _, r := range "−×°µ –’…\u202f\u00a0" {
		if _, ok := m[r]; !ok {
			t.Errorf("no sign for %q", r)
		}
	}
}

func TestTextKeepsItsWidth(t *testing.T) {
	for _, size := range []float32{11, 12, 22, 24} {
		s := "upperArm_L 0.61"
		w := TextWidth(size, s)
		p := New(600, 60)
		p.Pave(0xffffffff)
		if got := p.Text(300, 40, size, s, 0xff000000, 1, Middle); got != w {
			t.Errorf("size %g: drawn %g wide, said %g", size, got, w)
		}
		for i, c := range p.Pix {
			if x := float32(i % p.W); c != 0xffffffff && (x < 300-w/2-2 || x > 300+w/2+2) {
				t.Fatalf("size %g: ink at %g, outside %g about 300", size, x, w)
			}
		}
	}
}

// Marks of a usual frame: a floor rose, 60 bones with casings, 20 names.
func BenchmarkMarks(b *testing.B) {
	p := New(1280, 800)
	p.Pave(RGB(0xefe9d8))
	var rings [3][]float32
	for k := range rings {
		for i := range 120 {
			a := float64(i) * math.Pi / 60
			r := float64(k+1) * 90
			rings[k] = append(rings[k], float32(640+r*math.Cos(a)), float32(700+r*.3*math.Sin(a)))
		}
	}
	least(b, func() {
		p.Wipe()
		for _, r := range rings {
			p.Polyline(r, .8, RGB(0x827c67), 1, true)
		}
		for i := range 60 {
			x, y := float32(400+i*8), float32(200+i*37%400)
			p.Line(x, y, x+30, y+40, 3.3, RGB(0xfcf6eb), .62)
			p.Line(x, y, x+30, y+40, 1.1, RGB(0x1b2a36), 1)
			p.Disc(x, y, 2.6, RGB(0xfcf6eb), 1)
			p.Ring(x, y, 2.6, 1.1, RGB(0x1b2a36), 1)
			if i%3 == 0 {
				p.Text(x, y, 11, "upperArm_L", RGB(0x1b2a36), 1, Left)
			}
		}
	})
}
