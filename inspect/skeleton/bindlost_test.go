package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/space"
)

// A surface that is kept joint by joint, each part in the space of its joint and no
// matrix in the file, is sound (glTF 2.0, Skins): nothing is called lost.
func TestPartsInTheSpacesOfTheirJoints(t *testing.T) {
	corpusless := lamp()
	world := corpusless.RestWorld()
	m := &corpusless.Meshes[0]
	for v := range m.Vertices() {
		heavy := v * m.K
		for i := heavy; i < (v+1)*m.K; i++ {
			if m.Weights[i] > m.Weights[heavy] {
				heavy = i
			}
		}
		back, _ := world[corpusless.Skins[0].Joints[m.Joints[heavy]]].Inverse()
		p := back.Point(space.Vec{float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2])})
		for c := range 3 {
			m.Positions[3*v+c] = float32(p[c])
		}
		joint := m.Joints[heavy]
		clear(m.Joints[v*m.K : (v+1)*m.K])
		clear(m.Weights[v*m.K : (v+1)*m.K])
		m.Joints[v*m.K], m.Weights[v*m.K] = joint, 1
	}
	lamplighter.LoseBinds(false)(corpusless)
	if found := bindFindings(t, corpusless); len(found) > 0 {
		t.Errorf("sound, but %s %s %q", found[0].Grade, found[0].ID, found[0].Subject)
	}
}

// Lost matrices are a stop where more of the surface stands off its place than the limit,
// a flaw where any joint has lost its own, and nothing where none has.
func TestBindLostLimits(t *testing.T) {
	lost := lamplighter.LoseBinds(true)
	r := lamp()
	lost(r)
	w := measured(t, r).BindWrong[0]
	if w.Torn < .9 || w.What != bindIdentity {
		t.Fatalf("%s, %v of the surface torn; a figure whose matrices are all the identity flies apart", w.What, w.Torn)
	}
	bothSides(t, bindLost.ID, lamp, []side{
		{name: "as it is"},
		{name: "all lost", plant: of(lost), grade: check.Stop, measure: "share off its place", value: w.Torn},
		{name: "just torn", plant: of(lost), limits: map[string]float64{"torn": math.Nextafter(w.Torn, 0)}, grade: check.Stop, measure: "share off its place", value: w.Torn},
		{name: "not quite", plant: of(lost), limits: map[string]float64{"torn": w.Torn}, grade: check.Flaw, measure: "joints", value: float64(len(w.Joints))},
		{name: "all may be", plant: of(lost), limits: map[string]float64{"torn": w.Torn, "joints": float64(len(w.Joints))}},
	})
}
