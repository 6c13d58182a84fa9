package inspect

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Faults of creatures: found where a rule holds for the kind, at the joint or the place
// they were planted.
func TestFaultsOfCreatures(t *testing.T) {
	kinds := []struct {
		name  string
		build func(menagerie.Options) *rig.Rig
	}{
		{"ox", menagerie.Ox}, {"horse", menagerie.Horse}, {"dog", menagerie.Dog}, {"bird", menagerie.Bird}, {"spider", menagerie.Spider},
		{"three heads high", menagerie.ThreeHeads}, {"person", menagerie.Person},
		{"person with a tail", menagerie.Tailed}, {"person with wings", menagerie.Angel}, {"laden ox", menagerie.LadenOx},
		{"bird in hood and rings", menagerie.LadenBird}, {"spider in plates", menagerie.LadenSpider},
	}
	round := 0
	for _, k := range kinds {
		for _, names := range []menagerie.Naming{menagerie.Named, menagerie.Numbered} {
			for _, f := range creatureFaults {
				if round++; !rounds.Run(round, 23) {
					continue
				}
				r := k.build(menagerie.Options{Names: names})
				joint := f.plant(r)
				if joint < 0 {
					t.Fatalf("%s, naming %d: no place for %s", k.name, names, f.name)
				}
				res := lookedAt(t, r)
				var ids []string
				hit := false
				for _, x := range res.Findings() {
					// All of a joint's weights given to the one above is told as that, at the joint itself.
					if x.ID == "skeleton/role-unheld" && f.id == "binding/mirror-mismatch" && x.Grade >= f.grade && slices.Contains(x.Where.Joints, joint) {
						hit = true
					}
					if x.ID == f.id && x.Grade >= f.grade && (len(x.Where.Joints) == 0 || slices.Contains(x.Where.Joints, joint) || near(res, &x, joint)) {
						hit = true
					}
					if x.Grade > check.Note {
						ids = append(ids, x.ID)
					}
				}
				if !hit {
					t.Errorf("%s, naming %d: %s at joint %d is not found; flaws %q", k.name, names, f.name, joint, ids)
				}
			}
		}
	}
}

func near(res *Result, x *check.Finding, joint rig.Node) bool {
	if x.Where.Point == nil {
		return false
	}
	p, o := *x.Where.Point, res.Exam.RestWorld()[joint].Origin()
	return math.Hypot(math.Hypot(p[0]-o[0], p[1]-o[1]), p[2]-o[2]) < .3*res.Exam.Diagonal()
}

var creatureFaults = []struct {
	name, id string
	grade    check.Grade
	plant    func(r *rig.Rig) rig.Node // the joint it is about, −1: no place
}{
	{"a limb's last joint gone on the right", "skeleton/lone-side", check.Note, func(r *rig.Rig) rig.Node {
		tip := tipOn(r, -1)
		left := opposite(r, tip)
		*r = *menagerie.Without(r, tip)
		if left > tip {
			left--
		}
		return left
	}},
	{"a limb's last joint moved on the right", "skeleton/uneven-pair", check.Note, func(r *rig.Rig) rig.Node {
		tip := tipOn(r, -1)
		up := r.Nodes[tip].Parent
		n := &r.Nodes[tip]
		shift := .4 * math.Hypot(math.Hypot(n.T[0], n.T[1]), n.T[2])
		// Joint and bind move together: it is bound where it stands.
		n.T[1] += shift
		n.Matrix = n.TRS.Affine()
		for j, s := range r.Skins[0].Joints {
			if s == tip {
				r.Skins[0].Bind[j][7] -= shift
			}
		}
		_ = up
		return tip
	}},
	{"vertices bound to nothing", "binding/unbound", check.Flaw, func(r *rig.Rig) rig.Node {
		tip, m := tipOn(r, 1), &r.Meshes[0]
		for v, n := 0, 0; v < m.Vertices() && n < 10; v++ {
			if int(m.Joints[4*v]) == int(tip) {
				copy(m.Weights[4*v:4*v+4], []float32{0, 0, 0, 0})
				n++
			}
		}
		return tip
	}},
	{"weights of one limb on the other side's", "binding/cross-body", check.Flaw, func(r *rig.Rig) rig.Node {
		tip, m := tipOn(r, 1), &r.Meshes[0]
		other, n := opposite(r, tip), 0
		for v := 0; v < m.Vertices() && n < 12; v++ {
			if int(m.Joints[4*v]) == int(tip) && m.Weights[4*v] > .9 {
				m.Weights[4*v] -= .4
				for k := 1; k < 4; k++ {
					if m.Weights[4*v+k] == 0 {
						m.Joints[4*v+k], m.Weights[4*v+k] = uint16(other), .4
						break
					}
				}
				n++
			}
		}
		if n < 5 {
			return rig.None
		}
		return other
	}},
	{"one side of the weights stiff", "binding/mirror-mismatch", check.Flaw, func(r *rig.Rig) rig.Node {
		tip, m := tipOn(r, 1), &r.Meshes[0]
		up := r.Nodes[tip].Parent
		for v := range m.Vertices() {
			for k := range 4 {
				if int(m.Joints[4*v+k]) == int(tip) && m.Weights[4*v+k] > 0 {
					m.Joints[4*v+k] = uint16(up)
				}
			}
		}
		return tip
	}},
	{"a foot drawn out on one side", "surface/lopsided", check.Flaw, func(r *rig.Rig) rig.Node {
		tip, m := tipOn(r, 1), &r.Meshes[0]
		for v := range m.Vertices() {
			for k := range 4 {
				if int(m.Joints[4*v+k]) == int(tip) {
					m.Positions[3*v+2] += .15 * m.Weights[4*v+k]
				}
			}
		}
		return tip
	}},
}

// tipOn is the last joint of the lowest limb on one side: x > 0 for 1.
func tipOn(r *rig.Rig, side float64) rig.Node {
	best, low := rig.Node(rig.None), math.Inf(1)
	world := r.RestWorld()
	for i := range r.Skins[0].Joints {
		p := world[i].Origin()
		if len(r.Nodes[i].Children) == 0 && p[0]*side > .01 && p[1] < low-1e-6 {
			best, low = rig.Node(i), p[1]
		}
	}
	return best
}

// opposite is the joint at the mirror image over x = 0.
func opposite(r *rig.Rig, n rig.Node) rig.Node {
	world := r.RestWorld()
	p := world[n].Origin()
	for i := range r.Skins[0].Joints {
		q := world[i].Origin()
		if math.Abs(p[0]+q[0])+math.Abs(p[1]-q[1])+math.Abs(p[2]-q[2]) < 1e-5 && rig.Node(i) != n {
			return rig.Node(i)
		}
	}
	return rig.None
}
