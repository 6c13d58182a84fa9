package rest

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// Way is how blended vertices are written in the new rest pose. Blends of joint matrices
// do not compose: what two joints share cannot be exact in the new rest pose and in every
// clip at once.
type Way uint8

const (
	ByLinear Way = iota // what the linear blend shows in the pose: exact there
	ByDual              // what dual quaternions show in the pose (Kavan et al. 2008)
	BySolved            // what keeps the clips nearest to what they were
)

// Baked is a rig bound in its new rest pose, and what was done to it.
type Baked struct {
	Rig   *rig.Rig
	Held  []Held
	Skins []rig.Skin // whose bind matrices are new, in order
	// Maps holds for each mesh whose places are new one 3×4 matrix a vertex, row by row,
	// the mesh's space: directions that the rig does not hold (tangents) go by it. nil:
	// the mesh is as it was. A vertex that no joint moves has the identity.
	Maps [][]float32

	Blended int // vertices, over all meshes, for which the ways differ
	Kept    int // vertices that stay where they are: no weight on a joint, or no finite place
}

// Bound answers the rig with the pose as its rest pose and bound in it: places are what
// is seen in the pose, every bind matrix the inverse of the joint's new rest. moments are
// what BySolved is fitted to; others ignore them. Refused errors are for a person.
//
// Each vertex goes by x′ = G⁻¹·(Σ wⱼ W′ⱼ Bⱼ / Σ wⱼ)·x with G the matrix that takes the
// mesh to the world at the old rest, so that a mesh keeps its own unit; B′ⱼ = W′ⱼ⁻¹·G.
// A vertex of one joint is exact: Wₜ B′ x′ = Wₜ B x. Morph targets go by the 3×3 part,
// normals by its inverse transpose.
func Bound(r *rig.Rig, p *Pose, way Way, moments []At) (*Baked, error) {
	moved, held, err := Moved(r, p)
	if err != nil {
		return nil, err
	}
	b := &Baked{Rig: moved, Held: held, Maps: make([][]float32, len(r.Meshes))}
	j := &binder{old: r, new: moved, pose: p, out: b, way: way, moments: moments, rest: r.RestWorld(), common: make([]rig.Affine, len(r.Skins))}
	moved.Skins = slices.Clone(r.Skins)
	for s := range r.Skins {
		if j.moves(rig.Skin(s)) {
			if err := j.skin(rig.Skin(s)); err != nil {
				return nil, err
			}
			b.Skins = append(b.Skins, rig.Skin(s))
		}
	}
	moved.Meshes = slices.Clone(r.Meshes)
	for m := range r.Meshes {
		if err := j.mesh(rig.Mesh(m)); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// binder is one call of Bound.
type binder struct {
	old, new *rig.Rig
	pose     *Pose
	out      *Baked
	way      Way
	moments  []At
	rest     []rig.Affine
	common   []rig.Affine   // by skin: G
	worlds   [][]rig.Affine // of the moments, worked out once
	deltas   []rig.Affine   // by node: how the pose moves what hangs on it
}

// moves tells that the pose moves a joint of a skin, or that one was bound elsewhere than
// the others.
func (j *binder) moves(s rig.Skin) bool {
	if g, ok := common(j.old, j.rest, s); ok {
		for k, n := range j.old.Skins[s].Joints {
			if n < 0 || int(n) >= len(j.rest) {
				continue
			}
			bind := bindOf(&j.old.Skins[s], k)
			if x := j.rest[n].Mul(&bind); !alike(&x, &g) {
				return true
			}
		}
	}
	return slices.ContainsFunc(j.old.Skins[s].Joints, func(n rig.Node) bool {
		return n >= 0 && int(n) < len(j.rest) && j.pose.World[n] != j.rest[n]
	})
}

// How many joints of a skin are asked where it was bound, and the share that must agree
// with the topmost one for its word to count (common practice, no source).
const (
	mostVoices = 200
	withTop    = 0.1
)

// common is the matrix that takes a skin's mesh to the world at rest: W·B, which is one for
// all joints where the rest pose is the one it was bound in. Where they differ, a figure
// was bent after it was bound: what stands as it was is where its topmost joint is, with a
// tenth of the others; else where most are, the first among equals. false where no joint
// has an inverse.
func common(r *rig.Rig, rest []rig.Affine, s rig.Skin) (g rig.Affine, ok bool) {
	skin := &r.Skins[s]
	place := map[rig.Node]int{}
	var list []rig.Affine
	for k, n := range skin.Joints {
		if n < 0 || int(n) >= len(rest) || len(list) == mostVoices {
			continue
		}
		bind := bindOf(skin, k)
		x := rest[n].Mul(&bind)
		if _, ok := x.Inverse(); ok {
			place[n] = len(list)
			list = append(list, x)
		}
	}
	voices := func(i int) (same int) {
		for k := range list {
			if alike(&list[k], &list[i]) {
				same++
			}
		}
		return same
	}
	for _, n := range r.Order {
		if i, has := place[n]; has {
			if float64(voices(i)) >= withTop*float64(len(list)) {
				return list[i], true
			}
			break
		}
	}
	most := 0
	for i := range list {
		if same := voices(i); same > most {
			g, most = list[i], same
		}
	}
	return g, most > 0
}

func bindOf(s *rig.SkinData, k int) rig.Affine {
	if k < len(s.Bind) {
		return s.Bind[k]
	}
	return rig.Identity // glTF 2.0, Skins: none means identities
}

// skin works out G and the new bind matrices.
func (j *binder) skin(s rig.Skin) error {
	old := &j.old.Skins[s]
	found := false
	if j.common[s], found = common(j.old, j.rest, s); !found {
		return refuse("No joint of the skin %q has a size: nothing can be bound to it.", old.Name)
	}
	new := &j.new.Skins[s]
	new.Bind, new.BindRow, new.HasBind = make([]rig.Affine, len(old.Joints)), nil, true
	for k, n := range old.Joints {
		new.Bind[k] = bindOf(old, k)
		if n < 0 || int(n) >= len(j.rest) {
			continue
		}
		bind := bindOf(old, k)
		if g := j.rest[n].Mul(&bind); j.pose.World[n] == j.rest[n] && alike(&g, &j.common[s]) {
			continue // it stays to the bit
		}
		back, ok := j.pose.World[n].Inverse()
		if !ok {
			return refuse("%s is scaled to nothing: it cannot be bound.", name(j.old, n))
		}
		new.Bind[k] = back.Mul(&j.common[s])
	}
	return nil
}

// mesh writes the places of one mesh. Two surfaces that wear it with two skins must agree.
func (j *binder) mesh(m rig.Mesh) error {
	mesh := &j.old.Meshes[m]
	worn := rig.Skin(rig.None)
	var maps []float32
	for i, s := range j.old.Surfaces {
		if s.Mesh != m || mesh.K == 0 || s.Skin < 0 || int(s.Skin) >= len(j.old.Skins) || s.Skin == worn {
			continue
		}
		if !slices.Contains(j.out.Skins, s.Skin) {
			if maps != nil {
				return j.twoSkins(m)
			}
			worn = s.Skin
			continue
		}
		own := j.maps(i)
		switch {
		case worn >= 0 && maps == nil, maps != nil && !close(maps, own):
			return j.twoSkins(m)
		}
		maps, worn = own, s.Skin
	}
	if maps == nil {
		return nil
	}
	j.out.Maps[m] = maps
	j.write(m, maps)
	if j.way == BySolved && len(j.moments) > 0 {
		j.solve(m, worn)
	}
	return nil
}

func (j *binder) twoSkins(m rig.Mesh) error {
	return refuse("The mesh %q is worn with two skins that the pose moves differently: its places can follow only one. Give each skin a mesh of its own.", j.old.Meshes[m].Name)
}

func close(a, b []float32) bool {
	for i := range a {
		if d := float64(a[i]) - float64(b[i]); !(math.Abs(d) <= square*math.Max(1, math.Abs(float64(a[i])))) {
			return false
		}
	}
	return true
}

// maps works out the matrix of every vertex of a surface.
func (j *binder) maps(surface int) []float32 {
	s := j.old.Surfaces[surface]
	mesh, skin := &j.old.Meshes[s.Mesh], &j.old.Skins[s.Skin]
	back, _ := j.common[s.Skin].Inverse()
	whole := make([]rig.Affine, len(skin.Joints)) // G⁻¹ W′ B
	for k, n := range skin.Joints {
		whole[k] = rig.Identity
		bind := bindOf(skin, k)
		if n < 0 || int(n) >= len(j.rest) {
			continue
		}
		if g := j.rest[n].Mul(&bind); j.pose.World[n] == j.rest[n] && alike(&g, &j.common[s.Skin]) {
			continue // places stay to the bit, as the bind matrix does
		}
		whole[k] = j.pose.World[n].Mul(&bind)
		whole[k] = back.Mul(&whole[k])
	}
	v := mesh.Vertices()
	out := make([]float32, 12*v)
	sets := mesh.SetsOf()
	var blended []rig.Vertex
	for i := range v {
		row := (*[12]float32)(out[12*i:])
		*row = rig.Identity.Float32()
		if sets[i] == 0 || !finite(mesh.Positions[3*i:3*i+3]) {
			j.out.Kept++
			continue
		}
		var sum rig.Affine
		weight, first, ways := 0.0, -1, false
		for e := i * mesh.K; e < (i+1)*mesh.K; e++ {
			w, k := float64(mesh.Weights[e]), int(mesh.Joints[e])
			if w == 0 || w-w != 0 || k >= len(whole) {
				continue
			}
			for c := range sum {
				sum[c] += w * whole[k][c]
			}
			weight += w
			if first < 0 {
				first = k
			} else if !alike(&whole[k], &whole[first]) {
				ways = true
			}
		}
		if first < 0 || !(math.Abs(weight) > leastWeight) {
			j.out.Kept++
			continue
		}
		if !ways {
			*row = whole[first].Float32()
			continue
		}
		for c := range sum {
			sum[c] /= weight
		}
		*row = sum.Float32()
		blended = append(blended, rig.Vertex(i))
	}
	j.out.Blended += len(blended)
	if j.way != ByLinear && len(blended) > 0 {
		j.dual(surface, back, blended, out)
	}
	return out
}

// leastWeight is the least sum of weights that places a vertex: under it a division
// throws the vertex away.
const leastWeight = 0.01

// dual puts the matrices of dual quaternion skinning in the place of blended ones. The
// skinning is deform's own: three directions and the place give the matrix.
func (j *binder) dual(surface int, back rig.Affine, blended []rig.Vertex, out []float32) {
	s := j.old.Surfaces[surface]
	mesh := &j.old.Meshes[s.Mesh]
	pose := deform.NewPose(j.old)
	copy(pose.World, j.pose.World)
	pose.Morph[s.Node] = make([]float32, len(mesh.Targets))
	d := deform.NewDeformer(j.old, surface)
	v := mesh.Vertices()
	place, unit := make([]float32, 3*v), make([]float32, 3*v)
	var axis [3][]float32
	for c := range axis {
		clear(unit)
		for i := range v {
			unit[3*i+c] = 1
		}
		axis[c] = make([]float32, 3*v)
		d.Apply(pose, deform.Dual, place, nil, unit, axis[c])
	}
	for _, x := range blended {
		i := int(x)
		var a rig.Affine
		for row := range 3 {
			rest := float64(place[3*i+row])
			for c := range 3 {
				a[4*row+c] = float64(axis[c][3*i+row])
				rest -= a[4*row+c] * float64(mesh.Positions[3*i+c])
			}
			a[4*row+3] = rest
		}
		a = back.Mul(&a)
		if m := a.Float32(); finite(m[:]) {
			copy(out[12*i:12*i+12], m[:])
		}
	}
}

// write carries places, normals and morph targets by the maps.
func (j *binder) write(m rig.Mesh, maps []float32) {
	old, new := &j.old.Meshes[m], &j.new.Meshes[m]
	v := old.Vertices()
	new.Positions, new.Normals = slices.Clone(old.Positions), slices.Clone(old.Normals)
	new.Targets = slices.Clone(old.Targets)
	for t := range new.Targets {
		new.Targets[t].Positions, new.Targets[t].Normals = slices.Clone(old.Targets[t].Positions), slices.Clone(old.Targets[t].Normals)
	}
	for i := range v {
		a := (*[12]float32)(maps[12*i:])
		if *a == rig.Identity.Float32() {
			continue
		}
		p := new.Positions[3*i : 3*i+3]
		x := carry(a, p, 1)
		copy(p, x[:])
		for t := range new.Targets {
			if d := new.Targets[t].Positions; d != nil {
				x := carry(a, d[3*i:3*i+3], 0)
				copy(d[3*i:], x[:])
			}
		}
		if new.Normals == nil {
			continue
		}
		n, k := Facing(a, new.Normals[3*i:3*i+3])
		for t := range new.Targets {
			if d := new.Targets[t].Normals; d != nil {
				x := turned(a, d[3*i:3*i+3], k)
				copy(d[3*i:], x[:])
			}
		}
		copy(new.Normals[3*i:], n[:])
	}
	new.Primitives = slices.Clone(new.Primitives)
	new.Remeasure()
}

// carry multiplies in float64 and rounds once.
func carry(a *[12]float32, p []float32, one float64) (out [3]float32) {
	x, y, z := float64(p[0]), float64(p[1]), float64(p[2])
	for r := range 3 {
		out[r] = float32(float64(a[4*r])*x + float64(a[4*r+1])*y + float64(a[4*r+2])*z + one*float64(a[4*r+3]))
	}
	return out
}

// Facing answers a unit normal carried by a map, and the factor that its length was
// divided by, for displacements of it. A normal of no length stays.
func Facing(a *[12]float32, n []float32) ([3]float32, float64) {
	x := turned(a, n, 1)
	l := math.Sqrt(float64(x[0])*float64(x[0]) + float64(x[1])*float64(x[1]) + float64(x[2])*float64(x[2]))
	if !(l > 0) || math.IsInf(l, 0) {
		return [3]float32(n), 1
	}
	for c := range x {
		x[c] = float32(float64(x[c]) / l)
	}
	return x, 1 / l
}

// turned carries a normal by the cofactors of the 3×3 part: its inverse transpose times
// the determinant, which also holds where the matrix flattens.
func turned(m *[12]float32, n []float32, k float64) (out [3]float32) {
	var f [12]float64
	for i := range f {
		f[i] = float64(m[i])
	}
	a, b, c, d, e, g, h, i, l := f[0], f[1], f[2], f[4], f[5], f[6], f[8], f[9], f[10]
	co := [9]float64{e*l - g*i, g*h - d*l, d*i - e*h, c*i - b*l, a*l - c*h, b*h - a*i, b*g - c*e, c*d - a*g, a*e - b*d}
	if a*co[0]+b*co[1]+c*co[2] < 0 {
		k = -k
	}
	for r := range 3 {
		out[r] = float32(k * (co[3*r]*float64(n[0]) + co[3*r+1]*float64(n[1]) + co[3*r+2]*float64(n[2])))
	}
	return out
}

func finite(v []float32) bool {
	for _, x := range v {
		if x-x != 0 {
			return false
		}
	}
	return true
}
