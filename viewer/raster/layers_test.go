package raster

import (
	"math/rand/v2"
	"testing"
)

// heap is n triangles as large as the plate that all cross: with their own edges.
func heap(n int) (*Figure, *Frame) {
	r := rand.New(rand.NewPCG(3, 4))
	f, fr := &Figure{}, &Frame{Pos: make([]float32, 9*n), Normal: make([]float32, 9*n)}
	for i := range fr.Pos {
		fr.Pos[i], fr.Normal[i] = 2*r.Float32()-1, .57
	}
	for t := range uint32(n) {
		f.Tri = append(f.Tri, 3*t, 3*t+1, 3*t+2)
		f.Part, f.Open = append(f.Part, 0), append(f.Open, true)
		for c := range uint32(3) {
			f.Edge = append(f.Edge, Edge{A: 3*t + c, B: 3*t + (c+1)%3, T0: t, T1: t, Kind: Border})
		}
	}
	return f, fr
}

// TestLayers: what a picture costs is bounded by its size, not by how many triangles
// cross; what is left out is told, and a figure within the limit is drawn whole.
func TestLayers(t *testing.T) {
	const side = 200
	view := View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -4}, Focal: 2 * side, CX: side / 2, CY: side / 2, Near: .1}
	for _, row := range []struct {
		n    int
		left bool
	}{{20, false}, {60, false}, {2000, true}, {50000, true}} {
		f, fr := heap(row.n)
		p := New(side, side)
		p.Pave(0xffffffff)
		p.Project(f, &f.Mesh, fr, &view, Ruling{})
		p.Fill(Look{})
		if (p.Left > 0) != row.left || p.Left >= row.n {
			t.Errorf("of %d triangles %d are left out", row.n, p.Left)
		}
		if p.work > (layers+1)*side*side {
			t.Errorf("%d triangles: %d pixels of work on a plate of %d", row.n, p.work, side*side)
		}
		for i := row.n - p.Left; i < row.n; i++ {
			if p.facing[i] != 0 {
				t.Fatalf("triangle %d is left out, and its edges are drawn", i)
			}
		}
		p.Outline(NewStyle(testDay), Look{Outline: true})
		if p.work > (layers+1)*side*side+strokeWork*3*side {
			t.Errorf("%d triangles: %d pixels of work for the outline", row.n, p.work)
		}
	}
}
