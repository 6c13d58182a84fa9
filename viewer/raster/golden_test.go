package raster

import (
	"encoding/binary"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// golden compares a picture with testdata/golden, to the bit, natively and under
// WASM alike. UPDATE_GOLDEN=1 rewrites the pictures; look at every changed one.
func golden(t *testing.T, name string, w, h int, pix []uint32) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name+".png")
	if os.Getenv("UPDATE_GOLDEN") != "" {
		save(t, file, w, h, pix)
		return
	}
	in, err := os.Open(file)
	if err != nil {
		t.Fatalf("no golden picture: %v; make it with UPDATE_GOLDEN=1", err)
	}
	defer in.Close()
	img, err := png.Decode(in)
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	want := image.NewRGBA(img.Bounds())
	draw.Draw(want, want.Bounds(), img, image.Point{}, draw.Src)
	if want.Bounds() != image.Rect(0, 0, w, h) {
		t.Fatalf("%s is %v, the picture %d × %d", file, want.Bounds().Size(), w, h)
	}
	first, count := -1, 0
	diff := make([]uint32, len(pix))
	for i, c := range pix {
		diff[i] = 0xffffffff
		if c != binary.LittleEndian.Uint32(want.Pix[4*i:]) {
			if first < 0 {
				first = i
			}
			count++
			diff[i] = 0xff0000ff
		}
	}
	if count > 0 {
		dir := filepath.Join(os.TempDir(), "rigloupe-raster")
		_ = os.MkdirAll(dir, 0o755)
		got, marked := filepath.Join(dir, name+"-got.png"), filepath.Join(dir, name+"-diff.png")
		save(t, got, w, h, pix)
		save(t, marked, w, h, diff)
		t.Errorf("%s: %d pixels differ, the first at %d, %d: %08x, golden %08x (bytes A B G R); see %s and %s", name, count,
			first%w, first/w, pix[first], binary.LittleEndian.Uint32(want.Pix[4*first:]), got, marked)
	}
}

func save(t *testing.T, name string, w, h int, pix []uint32) {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i, c := range pix {
		binary.LittleEndian.PutUint32(img.Pix[4*i:], c)
	}
	out, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	if err := enc.Encode(out, img); err != nil {
		t.Error(err)
	}
	if err := out.Close(); err != nil {
		t.Error(err)
	}
}

// bend turns the left arm up at its elbow by degrees, blended over a hand's
// width as two joints would: positions, normals and slopes alike.
func (m *maker) bend(degrees float64) {
	const x, y, width = .48, 1.28, .09
	for i := 0; i < len(m.Pos); i += 3 {
		p := m.Pos[i : i+3]
		w := (float64(p[0]) - x + width) / (2 * width)
		if p[1] < 1.05 || w <= 0 {
			continue
		}
		w = min(1, w)
		s, c := math.Sincos(degrees * math.Pi / 180)
		s, c = w*s, 1-w+w*c // the blend of two matrices, thinning and all
		turn := func(v []float32, ox, oy float64) {
			a, b := float64(v[0])-ox, float64(v[1])-oy
			v[0], v[1] = float32(ox+c*a-s*b), float32(oy+s*a+c*b)
		}
		turn(p, x, y)
		turn(m.Normal[i:i+3], 0, 0)
		turn(m.Slope[i:i+3], 0, 0)
		n := m.Normal[i : i+3]
		l := float32(math.Sqrt(float64(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])))
		n[0], n[1], n[2] = n[0]/l, n[1]/l, n[2]/l
	}
}

func TestGolden(t *testing.T) {
	const w, h = 320, 200
	edges := Engraved(Plain)
	edges.Edges = true
	for _, c := range []struct {
		name  string
		night bool
		look  Look
		yaw   float64
		bend  float64
		near  float32 // metres the eye is moved in
		unit  int
	}{
		{"day", false, Engraved(Plain), 28, 0, 0, 1},
		{"day-2x2", false, Engraved(Plain), 28, 0, 0, 2},
		{"night", true, Engraved(Plain), 28, 0, 0, 1},
		{"bent", false, Engraved(Plain), 12, 110, 0, 2},
		{"bent-night", true, Engraved(Plain), 12, 110, 0, 2},
		{"moving", false, Look{Outline: true}, 28, 0, 0, 1},
		{"value", false, Engraved(Value), 28, 0, 0, 1},
		{"value-night", true, Engraved(Value), 28, 60, 0, 2},
		{"two-sided", false, Engraved(TwoSided), 28, 0, 0, 2},
		{"category", false, Engraved(Category), 28, 0, 0, 2},
		{"count-night", true, Engraved(Count), 28, 0, 0, 2},
		{"painted", false, Engraved(Painted), 28, 0, 0, 2},
		{"painted-night", true, Engraved(Painted), -150, 0, 0, 1},
		{"edges", false, edges, 60, 0, 4.6, 2},
		{"close", false, Engraved(Plain), 60, 0, 5.4, 1},
		{"close-painted", false, Engraved(Painted), 60, 0, 5.4, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := dressed(3000)
			if c.look.Surface == TwoSided {
				for i := range m.Lens {
					m.Lens[i] = 2*m.Lens[i] - 1
				}
			}
			m.bend(c.bend)
			p := New(w*c.unit, h*c.unit)
			p.Unit = float32(c.unit)
			v, _, _ := m.viewOf(c.yaw, 9, p.W, p.H)
			v.M[11] += c.near
			if c.near > 0 {
				v.Focal *= .7
			}
			st := NewStyle(testDay)
			if c.night {
				st = NewStyle(testNight)
			}
			ru := Rule(v.Focal/(6-c.near), st.Pitch*p.Unit)
			p.Pave(st.Paper)
			p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, c.look)
			pix := p.Pix
			if c.unit == 2 {
				pix = make([]uint32, w*h)
				p.Halve(pix)
			}
			golden(t, c.name, w, h, pix)
		})
	}
}

func TestGoldenMarks(t *testing.T) {
	for _, unit := range []int{1, 2} {
		p := New(320*unit, 200*unit)
		p.Unit = float32(unit)
		st := NewStyle(testDay)
		p.Pave(st.Paper)
		u := p.Unit
		for i, s := range []string{"0123456789  1.86 m  −0.37°  12×34 %", "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz",
			"upperArm_L  hand:Left  (pelvis/2) [x]", "!\"#$&'*,-/:;<=>?@\\^{|}~  +x  +z  é  20 µm"} {
			p.Text(8*u, (16+float32(i)*15)*u, 11*u, s, st.Ink, 1, Left)
		}
		p.Polygon([]float32{8 * u, 90 * u, 80 * u, 96 * u, 60 * u, 140 * u, 20 * u, 130 * u}, st.Rule, .5)
		p.Halo(44*u, 116*u, 12*u, "cased", st.Figure, 1, 2*u, Middle)
		p.Text(44*u, 116*u, 12*u, "cased", st.Ink, 1, Middle)
		for i := range 12 {
			a := float64(i) * math.Pi / 6
			c, s := float32(math.Cos(a)), float32(math.Sin(a))
			p.Line((140+8*c)*u, (120+8*s)*u, (140+34*c)*u, (120+34*s)*u, (.6+float32(i)*.2)*u, st.Ink, 1)
		}
		p.Dashed(190*u, 90*u, 300*u, 100*u, 1.1*u, 5*u, 3*u, RGB(0x85401a), 1)
		p.Line(190*u, 98*u, 300*u, 108*u, 2.25*u+3*u, st.Figure, 1)
		p.Line(190*u, 98*u, 300*u, 108*u, 2.25*u, st.Ink, 1)
		p.Disc(200*u, 130*u, 5.5*u, RGB(0xc39a45), 1)
		p.Ring(200*u, 130*u, 5.5*u, 2*u, st.Ink, 1)
		p.Disc(220*u, 130*u, 3.2*u, st.Figure, 1)
		p.Ring(220*u, 130*u, 3.2*u, 1.1*u, RGB(0x0f5566), 1)
		p.Polyline([]float32{240 * u, 120 * u, 260 * u, 150 * u, 280 * u, 118 * u, 300 * u, 150 * u}, 3*u, st.Ink, .5, false)
		loupe := New(60*unit, 60*unit)
		loupe.Pave(st.Figure)
		loupe.Polygon([]float32{0, 0, 60 * u, 0, 0, 60 * u}, st.Rule, 1)
		p.Inset(loupe, 270*u, 172*u, 26*u)
		p.Ring(270*u, 172*u, 26*u, 1.5*u, st.Ink, 1)
		pix := p.Pix
		if unit == 2 {
			pix = make([]uint32, 320*200)
			p.Halve(pix)
		}
		golden(t, fmt.Sprintf("marks-%dx", unit), 320, 200, pix)
	}
}
