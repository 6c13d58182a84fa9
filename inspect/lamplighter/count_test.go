package lamplighter

import (
	"fmt"
	"testing"
)

func TestCount(t *testing.T) {
	b := newBody(T)
	n := newNet(b, b.lattice(scaleFor(10000)))
	h := newHalf(n)
	h.place()
	names := []string{"coat", "arm", "neckhead", "hat", "hand", "leg", "boot", "bar", "chain", "lantern"}
	var c [groups]int
	for i, q := range n.cells {
		n.field.solids, n.field.near = n.solids, n.blocks[n.at[(int(q[2])>>bits*n.by+int(q[1])>>bits)*n.bx+int(q[0])>>bits]].near
		var d [groups]float64
		n.field.parts(h.pos[3*i], h.pos[3*i+1], h.pos[3*i+2], &d)
		best := 0
		for g := range d {
			if d[g] < d[best] {
				best = g
			}
		}
		c[best] += 2
	}
	for g := range c {
		fmt.Println(names[g], c[g])
	}
	fmt.Println(n.mended, len(n.blocks), len(n.g.x), len(n.g.y), len(n.g.z))
}
func TestMend(t *testing.T) {
	for _, p := range []Pose{T, A} {
	b := newBody(p)
	n := &net{solids: b.solids, g: b.lattice(scaleFor(10000))}
	g := n.g
	n.bx, n.by, n.bz = (len(g.x)+mask)>>bits, (len(g.y)+mask)>>bits, (len(g.z)+mask)>>bits
	n.at = make([]int32, n.bx*n.by*n.bz)
	n.sample()
	n.collect()
	for _, c := range n.cells { var d [8]float32; if critical[n.corners(int(c[0]),int(c[1]),int(c[2]),&d)] { x,y,z := g.node(int(c[0]),int(c[1]),int(c[2])); fmt.Printf("%.3f %.3f %.3f\n", x,y,z) } }
	fmt.Println()
	}
}
