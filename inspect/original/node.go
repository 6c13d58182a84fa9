package original

import (
	"fmt"
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// SetTRS gives a node a translation, rotation and scale, in place of a matrix too. Parts
// that are as they were keep their spelling; one that is the default is not written where
// it was not.
func (d *Document) SetTRS(node int, t rig.TRS) {
	o := d.Object(Nodes, node)
	o.Set("matrix", nil)
	set := func(key string, to, none []float64) {
		was := o.Get(key)
		stands := none
		if was != nil {
			stands = was.Floats()
		}
		same := len(stands) == len(to)
		if key == "rotation" && same { // readers make it unit: that is no change
			if u, ok := space.UnitQuat(space.FromXYZW([4]float64(stands))); ok {
				v := space.XYZW(u)
				stands = v[:]
			}
		}
		for i := 0; same && i < len(to); i++ {
			same = math.Abs(stands[i]-to[i]) <= 1e-15*math.Abs(to[i])
		}
		if !same {
			o.Set(key, Numbers(to...))
		}
	}
	set("translation", t.T[:], []float64{0, 0, 0})
	set("rotation", t.R[:], []float64{0, 0, 0, 1})
	set("scale", t.S[:], []float64{1, 1, 1})
}

// SetMatrix gives a node that has a matrix another one.
func (d *Document) SetMatrix(node int, a rig.Affine) {
	o := d.Object(Nodes, node)
	m := make([]float64, 16)
	for r := range 3 {
		for c := range 4 {
			m[4*c+r] = a[4*r+c]
		}
	}
	m[15] = 1
	o.Set("matrix", Numbers(m...))
}

// shearSlack is how far a matrix may be from what its parts make again, × its largest
// number.
const shearSlack = 1e-5

// Movable gives a node that a clip moves a translation, rotation and scale for a matrix
// (glTF 2.0, Animations); an error where the matrix has shear.
func (d *Document) Movable(node int) error { return d.movable(node, true) }

func (d *Document) movable(node int, write bool) error {
	o := d.Object(Nodes, node)
	if o == nil {
		return fmt.Errorf("there is no node %d, there are %d", node, d.Count(Nodes))
	}
	m := o.Get("matrix").Floats()
	if len(m) != 16 {
		return nil
	}
	a, _ := rig.AffineFromColumns([16]float64(m))
	t := a.Decompose()
	again, size := t.Affine(), 0.0
	for c := range a {
		size = max(size, math.Abs(a[c]))
	}
	for c := range a {
		if !(math.Abs(a[c]-again[c]) <= shearSlack*size) {
			return fmt.Errorf("node %d, %q, has a matrix with shear: it cannot be moved by a clip", node, o.Get("name").String())
		}
	}
	if !write {
		return nil
	}
	o.Set("matrix", nil)
	o.Set("translation", Numbers(t.T[:]...))
	o.Set("rotation", Numbers(t.R[:]...))
	o.Set("scale", Numbers(t.S[:]...))
	return nil
}
