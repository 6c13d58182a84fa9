// Package lamplighter is the sample figure, built by code: the guide of a town's
// winter light festival, in a long coat, with a yoke across the shoulders and a
// lantern on a chain at each end. It is the truth model of the tests: one closed
// surface, symmetric to the bit, weights that sum to exactly one. Faults are
// planted in copies of it.
//
// It stands in metres, +Y up, facing +Z, its left towards +X, soles on y = 0.
package lamplighter

import "rigloupe/inspect/rig"

// Pose is how the arms are held at rest.
type Pose uint8

const (
	T Pose = iota // level
	A             // 45° below level
)

// Naming is how the joints are called.
type Naming uint8

const (
	Plain  Naming = iota // upperArm_L
	Snake                // left_upper_arm
	Prefix               // lampUpperArmLeft
)

// Options choose a variant. The zero value is the figure of the page: T, plain
// names, about 10,000 vertices.
type Options struct {
	Pose     Pose
	Names    Naming
	Vertices int // about as many, from 6,000 to 2,000,000; 0: 10,000

	// Sway keys the chains in both clips. Without it they stay still, which is the
	// one fault that the figure shows by itself.
	Sway bool
}

// Build answers the figure as a read file would be. Equal options give equal bits.
func Build(o Options) *rig.Rig {
	n := o.Vertices
	if n == 0 {
		n = 10_000
	}
	b := newBody(o.Pose)
	b.sway = o.Sway
	s := b.surface(min(max(n, 4_000), 2_000_000)) // the links keep it over 6,000
	r := &rig.Rig{
		File:      rig.File{Name: o.FileName(), Kind: "glb", Version: "2.0", Generator: "rigloupe lamplighter"},
		Shown:     0,
		Materials: []rig.Material{{Name: "loden", Color: [4]float32{0.62, 0.5, 0.36, 1}, Image: rig.None}},
	}
	b.nodes(r, o.Names)
	r.Meshes = []rig.MeshData{s}
	r.Clips = []rig.ClipData{b.stroll(), b.wave()}
	return r
}

// FileName is what the variant is called when it is saved.
func (o Options) FileName() string {
	name := "lamplighter"
	if o.Pose == A {
		name += "-a"
	}
	name += [...]string{"", "-snake", "-prefix"}[o.Names]
	if o.Sway {
		name += "-sway"
	}
	switch {
	case o.Vertices >= 1_000_000:
		name += "-1m"
	case o.Vertices >= 100_000:
		name += "-100k"
	}
	return name + ".glb"
}
