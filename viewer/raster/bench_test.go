package raster

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// Frames at 1280 × 800 of figures of 7 000, 100 000 and 1 000 000 triangles, and
// their steps. Under WASM:
//
//	env -i PATH=$PATH HOME=$HOME GOOS=js GOARCH=wasm go test -run none -bench . \
//	  -exec "$(go env GOROOT)/lib/wasm/go_js_wasm_exec" .
func BenchmarkFrame(b *testing.B) {
	for _, n := range []int{7_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) { frames(b, n) })
	}
}

// least runs f in the benchmark's loop and reports the shortest run too: on a
// shared machine the mean tells little.
func least(b *testing.B, f func()) {
	shortest := time.Duration(math.MaxInt64)
	for b.Loop() {
		t := time.Now()
		f()
		shortest = min(shortest, time.Since(t))
	}
	b.ReportMetric(float64(shortest.Microseconds())/1000, "least-ms")
}

func frames(b *testing.B, n int) {
	m := mannequin(n)
	p := New(1280, 800)
	v, ru, st := m.viewOf(28, 9, p.W, p.H)
	p.Pave(st.Paper)
	m.Frame.Lens = make([]float32, len(m.S))
	m.Frame.Category = make([]uint8, len(m.S))
	for i := range m.S {
		m.Frame.Lens[i] = m.S[i] - float32(int(m.S[i]))
		m.Frame.Category[i] = uint8(m.S[i]*8) % 4
	}
	pix := make([]uint32, 512*512)
	for i := range pix {
		pix[i] = uint32(i*2654435761) | 0xff000000
	}
	m.Figure.Materials = []Material{{Colour: 0xffffffff, Texture: NewTexture(512, 512, pix, Repeat, Repeat)}}
	all := func(look Look) {
		p.Wipe()
		p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, look)
	}
	full := Engraved(Plain)
	for range max(2, min(40, 4_000_000/n)) { // let the WASM engine reach its optimising tier
		all(full)
	}
	covered := 0
	for _, c := range p.cell {
		if c != 0 {
			covered++
		}
	}
	b.Logf("%d vertices, %d triangles, %d edges, %d covered pixels", len(m.S), len(m.Tri)/3, len(m.Edge), covered)
	moving := Look{Outline: true}
	for _, c := range []struct {
		name string
		look Look
	}{{"engraved", full}, {"moving", moving}, {"value", Engraved(Value)}, {"category", Engraved(Category)}, {"painted", Engraved(Painted)}} {
		b.Run(c.name, func(b *testing.B) {
			for range 5 {
				all(c.look)
			}
			least(b, func() { all(c.look) })
		})
	}
	b.Run("wipe", func(b *testing.B) {
		all(full)
		keep := append([]uint8(nil), p.dirty...)
		least(b, func() {
			copy(p.dirty, keep)
			p.Wipe()
		})
	})
	b.Run("project", func(b *testing.B) {
		least(b, func() { p.Project(&m.Figure, &m.Mesh, &m.Frame, &v, ru) })
	})
	b.Run("wipe+fill", func(b *testing.B) {
		least(b, func() {
			p.Wipe()
			p.Fill(full)
		})
	})
	b.Run("outline", func(b *testing.B) {
		all(full)
		least(b, func() { p.Outline(st, full) })
	})
	for _, c := range []struct {
		name string
		look Look
	}{{"print", full}, {"print-plain", moving}} {
		b.Run(c.name, func(b *testing.B) {
			all(full)
			least(b, func() { p.Print(st, c.look) })
		})
	}
	if n > 200_000 {
		return
	}
	b.Run("idle-2x2", func(b *testing.B) {
		q := New(2560, 1600)
		q.Unit = 2
		q.Pave(st.Paper)
		v, ru, _ := m.viewOf(28, 9, q.W, q.H)
		ru = Rule(v.Focal/6, st.Pitch*2)
		least(b, func() {
			q.Wipe()
			q.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, full)
			q.Halve(p.Pix)
		})
	})
}
