package exam

import (
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Three bones of a palm that begin in one place, without names, are opposite each other
// by where they lead; one that leads elsewhere on one side, by where it begins.
func TestOppositeInOnePlace(t *testing.T) {
	r := menagerie.Person(menagerie.Options{Names: menagerie.Numbered, Still: true})
	world := r.RestWorld()
	hands := [2]rig.Node{rig.None, rig.None}
	for n := range r.Nodes {
		if x := world[n].Origin()[0]; r.Nodes[n].Mesh < 0 && (hands[0] < 0 || x > world[hands[0]].Origin()[0]) {
			hands[0] = rig.Node(n)
		}
	}
	for n := range r.Nodes {
		if world[n].Origin()[0] < -.7 {
			hands[1] = rig.Node(n)
		}
	}
	var palm, tip [2][3]rig.Node
	hang := func(up rig.Node, t [3]float64) rig.Node {
		n := rig.Node(len(r.Nodes))
		d := rig.NodeData{Parent: up, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: t, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		r.Nodes[up].Children = append(r.Nodes[up].Children, n)
		r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, n), append(r.Skins[0].Bind, rig.Identity)
		return n
	}
	for side, out := range []float64{1, -1} {
		for k := range 3 {
			if side == 1 {
				k = 2 - k // listed the other way round
			}
			palm[side][k] = hang(hands[side], [3]float64{.02 * out, 0, 0})
		}
		for k := range 3 {
			tip[side][k] = hang(palm[side][k], [3]float64{.05 * out, 0, .03 * float64(k-1)})
		}
	}
	r.SetOrder()
	check := func(when string) {
		t.Helper()
		to := New(r).Opposite()
		for k := range 3 {
			for _, pair := range [][2]rig.Node{{palm[0][k], palm[1][k]}, {tip[0][k], tip[1][k]}} {
				if to[pair[0]] != pair[1] || to[pair[1]] != pair[0] {
					t.Errorf("%s, finger %d: %d and %d are opposite %d and %d", when, k, pair[0], pair[1], to[pair[0]], to[pair[1]])
				}
			}
		}
	}
	check("alike")
	long := &r.Nodes[tip[0][0]]
	long.T[0] += .2 // its tip has no partner then
	long.Matrix = long.TRS.Affine()
	if to := New(r).Opposite(); to[palm[0][0]] != palm[1][0] || to[palm[0][1]] != palm[1][1] {
		t.Errorf("one finger longer: opposite %v are %v, %v", palm, to[palm[0][0]], to[palm[0][1]])
	}
}
