package skeleton

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// side is one planted figure on one side of a limit: what is just under is not named.
// Sizes come from what was planted, not from the measure.
type side struct {
	name    string
	plant   func(*rig.Rig)
	grade   check.Grade // the worst of the check; 0: clear
	title   string      // of the finding of that grade; "": not looked at
	measure string      // its first; "": not looked at
	value   float64
	near    float64  // how near the value must be
	joints  []string // names that must be among its place; nil: not looked at
	limits  map[string]float64
}

// bothSides judges copies of a rig with what each row plants.
func bothSides(t *testing.T, id string, base func() *rig.Rig, rows []side) {
	t.Helper()
	clean := base()
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			r := lamplighter.Clone(clean)
			if row.plant != nil {
				row.plant(r)
				r.SetOrder()
			}
			found, _ := checktest.Judge(t, &Station, r, check.Overrides{id: row.limits})
			var f *check.Finding
			for i := range found {
				if found[i].ID == id && (f == nil || found[i].Grade > f.Grade || found[i].Grade == f.Grade && found[i].Title == row.title && f.Title != row.title) {
					f = &found[i]
				}
			}
			switch {
			case f == nil && row.grade == 0:
				return
			case f == nil:
				t.Fatalf("clear, want a %s", row.grade)
			case f.Grade != row.grade:
				t.Fatalf("grade %q %q %q %v, want %q", f.Grade, f.Title, f.Subject, f.Measures, row.grade)
			}
			m := f.Measures[0]
			if row.title != "" && f.Title != row.title {
				t.Errorf("title %q, want %q", f.Title, row.title)
			}
			if row.measure != "" && (m.Name != row.measure || !(math.Abs(m.Value-row.value) <= row.near)) {
				t.Errorf("%s %v, want %s %v ± %v", m.Name, m.Value, row.measure, row.value, row.near)
			}
			for _, name := range row.joints {
				n := nodeOf(t, r, name)
				if !slices.Contains(f.Where.Joints, n) && !slices.Contains(f.Where.Nodes, n) {
					t.Errorf("%q is not named: joints %v, nodes %v", name, f.Where.Joints, f.Where.Nodes)
				}
			}
		})
	}
}

// lamp is the sample.
func lamp() *rig.Rig { return checktest.Built(lamplighter.Options{}) }

// of takes a fault of the sample for a row.
func of(plant func(*rig.Rig) lamplighter.Planted) func(*rig.Rig) {
	return func(r *rig.Rig) { plant(r) }
}

// nodeOf finds a node by its name.
func nodeOf(t testing.TB, r *rig.Rig, name string) rig.Node {
	t.Helper()
	for i := range r.Nodes {
		if r.Nodes[i].Name == name {
			return rig.Node(i)
		}
	}
	t.Fatalf("no node %q", name)
	return rig.None
}

// rename gives a node another name.
func rename(from, to string) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for i := range r.Nodes {
			if r.Nodes[i].Name == from {
				r.Nodes[i].Name = to
				return
			}
		}
	}
}

// local gives a node another transform at rest; binds stay.
func local(r *rig.Rig, n rig.Node, m rig.Affine) {
	r.Nodes[n].Matrix, r.Nodes[n].TRS = m, m.Decompose()
}

// spin is a turn about an axis, as a matrix.
func spin(axis space.Vec, degrees float64) rig.Affine {
	s, c := math.Sincos(degrees / 2 * math.Pi / 180)
	a := axis.Normalize().Mul(s)
	t := rig.TRS{R: [4]float64{a[0], a[1], a[2], c}, S: [3]float64{1, 1, 1}}
	return t.Affine()
}

// turnJoint turns joints of the sample about their own X at rest; binds stay.
func turnJoint(degrees float64, names ...string) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for _, name := range names {
			n, s := lamplighter.Node(name), spin(space.Vec{1, 0, 0}, degrees)
			local(r, n, r.Nodes[n].Matrix.Mul(&s))
		}
	}
}
