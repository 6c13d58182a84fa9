package lamplighter
import ("testing";"fmt")
func TestDbg(t *testing.T) {
	b := newBody(T)
	n := newNet(b, b.lattice(scaleFor(30000)))
	g := n.g
	var f field
	f.solids = b.solids
	for i := range b.solids { f.near = append(f.near, uint16(i)) }
	for j := range g.y { if g.y[j] > 0.77 && g.y[j] < 0.84 {
		fmt.Printf("%.4f\n", g.y[j])
		for k := range g.z { if g.z[k] < -.13 && g.z[k]>-.22 { for i := range g.x { if g.x[i] > .75 && g.x[i] < .86 { v := n.value(i,j,k); x,y,z := g.node(i,j,k); fmt.Printf("%7.4f/%7.4f ", v, f.distance(x,y,z)) } }
		fmt.Println() }}
	}}
}
