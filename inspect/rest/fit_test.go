package rest

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rig"
)

// Where the clip says nothing of a direction the old rest pose does: joints that flatten x in the clip leave it open where
// a vertex goes along x, and it stays at 1, where it was, not at 2, which it is damped towards.
func TestRestAnchors(t *testing.T) {
	flat := rig.Identity
	flat[0] = 0
	f := &fit{from: []rig.Affine{rig.Identity, flat}, to: []rig.Affine{rig.Identity, flat}, weight: make([]float64, 2), off: make([]float64, 2)}
	f.even()
	at, ok := f.best([]float32{1, 1, 1}, []float32{2, 1, 1}, 1, 1)
	if !ok || at[0] > 1.05 {
		t.Errorf("it goes to %v", at)
	}
}

// More rounds are never worse at the worst moment: the best round is taken, not the last.
func TestBestRound(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	for range 200 {
		f := &fit{weight: make([]float64, 7), off: make([]float64, 7)}
		for range f.weight {
			a, b := rig.Identity, rig.Identity
			for c := range a {
				a[c] += .4 * random.NormFloat64()
				b[c] += .4 * random.NormFloat64()
			}
			f.from, f.to = append(f.from, a), append(f.to, b)
		}
		p := []float32{float32(random.NormFloat64()), float32(random.NormFloat64()), float32(random.NormFloat64())}
		before := math.Inf(1)
		for n := 1; n <= 6; n++ {
			f.even()
			x, ok := f.best(p, p, 1, n)
			if !ok {
				t.Fatal("no place")
			}
			worst := 0.0
			for k := 1; k < len(f.from); k++ {
				a, b, d := &f.from[k], &f.to[k], 0.0
				for row := 0; row < 12; row += 4 {
					e := a[row]*float64(p[0]) + a[row+1]*float64(p[1]) + a[row+2]*float64(p[2]) + a[row+3] - b[row]*float64(x[0]) - b[row+1]*float64(x[1]) - b[row+2]*float64(x[2]) - b[row+3]
					d += e * e
				}
				worst = max(worst, math.Sqrt(d))
			}
			if worst > before*(1+1e-5) {
				t.Fatalf("%d rounds are off by %g, fewer by %g", n, worst, before)
			}
			before = worst
		}
	}
}
