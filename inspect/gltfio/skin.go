package gltfio

import (
	"math"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

func (r *reader) skins() error {
	g := r.rig
	root := make([]rig.Node, len(g.Nodes))
	for _, n := range g.Order {
		root[n] = n
		if p := g.Nodes[n].Parent; p != rig.None {
			root[n] = root[p]
		}
	}
	g.Skins = make([]rig.SkinData, len(r.doc.Skins))
	for i, src := range r.doc.Skins {
		s := &g.Skins[i]
		s.Name, s.Skeleton = src.Name, rig.None
		if len(src.Joints) == 0 {
			r.bad(onSkin(i), place("skins", i, "joints"), "a skin without a joint")
		}
		if len(src.Joints) > math.MaxUint16+1 {
			return r.refuse(label("skin", i, src.Name), faultf("%d joints; a vertex can name 65536", len(src.Joints)))
		}
		seen, roots := make(map[int]int, len(src.Joints)), map[rig.Node]bool{}
		s.Joints = make([]rig.Node, len(src.Joints))
		for j, n := range src.Joints {
			if n < 0 || n >= len(g.Nodes) {
				return r.refuse(label("skin", i, src.Name), faultf("joint %d is node %d, but there are %d nodes", j, n, len(g.Nodes)))
			}
			if first, twice := seen[n]; twice {
				r.bad(onSkin(i), place("skins", i, "joints", j), "node %d is joint %d already; kept twice, so that vertices find their places", n, first)
			} else {
				seen[n] = j
			}
			roots[root[n]] = true
			s.Joints[j] = rig.Node(n)
		}
		if len(roots) > 1 {
			r.bad(onSkin(i), place("skins", i, "joints"), "its joints stand under %d separate roots, one common root is wanted", len(roots))
		}
		if n := src.Skeleton; n != nil {
			if *n < 0 || *n >= len(g.Nodes) {
				r.bad(onSkin(i), place("skins", i, "skeleton"), "node %d does not exist, there are %d; ignored", *n, len(g.Nodes))
			} else {
				s.Skeleton = rig.Node(*n)
				if j := notBelow(g, s.Skeleton, s.Joints); j != rig.None {
					r.bad(onSkin(i), place("skins", i, "skeleton"), "node %d is no common root: joint node %d does not hang on it", *n, j)
				}
			}
		}
		if err := r.bindMatrices(i, s); err != nil {
			return err
		}
	}
	return nil
}

// A fourth row farther from 0 0 0 1 than single precision explains is told.
const rowTolerance = 1e-5

// bindMatrices reads the inverse bind matrices; without them each is the identity.
func (r *reader) bindMatrices(i int, s *rig.SkinData) error {
	src := r.doc.Skins[i]
	s.Bind = make([]rig.Affine, len(s.Joints))
	for j := range s.Bind {
		s.Bind[j] = rig.Identity
	}
	if src.InverseBindMatrices == nil {
		return nil
	}
	where := label("skin", i, src.Name) + ", inverseBindMatrices"
	c, err := r.column(*src.InverseBindMatrices, plainData, gltf.AccessorMat4)
	if err == nil && c.component != gltf.ComponentFloat {
		err = faultf("accessor %d is %s, FLOAT is wanted", *src.InverseBindMatrices, componentName[c.component])
	}
	if err != nil {
		return r.refuse(where, err)
	}
	s.HasBind = true
	at := place("skins", i, "inverseBindMatrices")
	if c.count < len(s.Joints) {
		r.bad(onSkin(i), at, "%d matrices for %d joints; the others are read as no transform", c.count, len(s.Joints))
	}
	n := min(c.count, len(s.Joints))
	if err := r.spend(c.count, 64); err != nil {
		return r.refuse(where, err)
	}
	raw := make([]float32, 16*c.count)
	if odd := c.floats(raw, 16); odd > 0 {
		r.bad(onSkin(i), at, "%s %s not finite; read as 0", say.Whole(odd), say.Word(odd, "number is", "numbers are"))
	}
	rows, off := make([]float64, 4*len(s.Joints)), 0
	exact := true
	for j := range s.Joints {
		rows[4*j+3] = 1
		if j >= n {
			continue
		}
		var m [16]float64
		for k := range m {
			m[k] = float64(raw[16*j+k])
		}
		var row [4]float64
		s.Bind[j], row = rig.AffineFromColumns(m)
		copy(rows[4*j:], row[:])
		exact = exact && row == [4]float64{0, 0, 0, 1}
		if max(math.Abs(row[0]), math.Abs(row[1]), math.Abs(row[2]), math.Abs(row[3]-1)) > rowTolerance {
			off++
		}
	}
	if !exact {
		s.BindRow = rows
	}
	if off > 0 {
		r.bad(onSkin(i), at, "%d of %d matrices %s a fourth row other than 0 0 0 1; read as that", off, n, say.Word(off, "has", "have"))
	}
	return nil
}

// notBelow answers the first joint that is neither a node nor hangs on it; None.
func notBelow(g *rig.Rig, root rig.Node, joints []rig.Node) rig.Node {
	under := make([]bool, len(g.Nodes))
	for _, n := range g.Order {
		p := g.Nodes[n].Parent
		under[n] = n == root || p >= 0 && under[p]
	}
	for _, j := range joints {
		if !under[j] {
			return j
		}
	}
	return rig.None
}
