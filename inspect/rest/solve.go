package rest

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// How the fit to the clips is made (common practice, no source): damping keeps a vertex
// near its place by dual quaternions where the moments do not say where it goes; rounds
// of Lawson's weighting (Lawson 1961) take the fit from the least sum of squares towards
// the least worst moment, which is what a person sees.
const (
	damping  = 1e-3 // of the mean stiffness of a vertex
	rounds   = 6
	mostFit  = 240 // moments that one vertex is fitted to
	anchored = .04 // weight of the old rest pose beside clips, which together have 1
)

// solve puts the blended vertices of a mesh where the moments of the clips, and the old
// rest pose, stay nearest to what they were: x′ = argmin Σₜ ωₜ‖Mₜx′ − yₜ‖² + λ‖x′ − d‖²
// with Mₜ = Σ wⱼ Wₜⱼ B′ⱼ, yₜ the place that the old binding gives, d the place by dual
// quaternions (after Le & Hodgins 2016). Morph targets are fitted likewise.
func (j *binder) solve(m rig.Mesh, skin rig.Skin) {
	if j.worlds == nil {
		j.sample()
	}
	mesh, fresh := &j.old.Meshes[m], &j.new.Meshes[m]
	old, new := &j.old.Skins[skin], &j.new.Skins[skin]
	joints := len(old.Joints)
	was, is := make([]rig.Affine, joints*len(j.worlds)), make([]rig.Affine, joints*len(j.worlds))
	for t, world := range j.worlds {
		for k, n := range old.Joints {
			was[t*joints+k], is[t*joints+k] = rig.Identity, rig.Identity
			if n >= 0 && int(n) < len(world) {
				a, b := bindOf(old, k), bindOf(new, k)
				was[t*joints+k], is[t*joints+k] = world[n].Mul(&a), world[n].Mul(&b)
			}
		}
	}
	f := &fit{from: make([]rig.Affine, len(j.worlds)), to: make([]rig.Affine, len(j.worlds)), weight: make([]float64, len(j.worlds)), off: make([]float64, len(j.worlds))}
	sets := mesh.SetsOf()
	for v := range mesh.Vertices() {
		if sets[v] == 0 || !finite(mesh.Positions[3*v:3*v+3]) || !j.shared(mesh, old, v) {
			continue
		}
		for t := range j.worlds {
			f.from[t], f.to[t] = rig.Affine{}, rig.Affine{}
			for e := v * mesh.K; e < (v+1)*mesh.K; e++ {
				w, k := float64(mesh.Weights[e]), int(mesh.Joints[e])
				if w == 0 || w-w != 0 || k >= joints {
					continue
				}
				a, b := &was[t*joints+k], &is[t*joints+k]
				x, y := &f.from[t], &f.to[t]
				for c := range x {
					x[c] += w * a[c]
					y[c] += w * b[c]
				}
			}
		}
		at := fresh.Positions[3*v : 3*v+3]
		f.even()
		if x, ok := f.best(mesh.Positions[3*v:3*v+3], at, 1, rounds); ok {
			copy(at, x[:])
		}
		for t := range fresh.Targets {
			d := fresh.Targets[t].Positions
			if d == nil || mesh.Targets[t].Positions[3*v] == 0 && mesh.Targets[t].Positions[3*v+1] == 0 && mesh.Targets[t].Positions[3*v+2] == 0 {
				continue
			}
			f.even()
			if x, ok := f.best(mesh.Targets[t].Positions[3*v:3*v+3], d[3*v:3*v+3], 0, 1); ok {
				copy(d[3*v:], x[:])
			}
		}
	}
	fresh.Remeasure()
}

// shared tells that joints share a vertex which the pose moves differently.
func (j *binder) shared(mesh *rig.MeshData, skin *rig.SkinData, v int) bool {
	first := rig.Node(rig.None)
	var turn rig.Affine
	for e := v * mesh.K; e < (v+1)*mesh.K; e++ {
		if mesh.Weights[e] == 0 || int(mesh.Joints[e]) >= len(skin.Joints) {
			continue
		}
		n := skin.Joints[mesh.Joints[e]]
		if n < 0 || int(n) >= len(j.rest) || n == first {
			continue
		}
		if first < 0 {
			first, turn = n, j.delta(n)
		} else if d := j.delta(n); !alike(&d, &turn) {
			return true
		}
	}
	return false
}

// delta is how the pose moves what hangs on a node, in the world.
func (j *binder) delta(n rig.Node) rig.Affine {
	if j.deltas == nil {
		j.deltas = make([]rig.Affine, len(j.rest))
		for i := range j.rest {
			j.deltas[i] = rig.Identity
			if back, ok := j.rest[i].Inverse(); ok && j.pose.World[i] != j.rest[i] {
				j.deltas[i] = j.pose.World[i].Mul(&back)
			}
		}
	}
	return j.deltas[n]
}

// sample works out where the nodes stand at the moments and at the old rest.
func (j *binder) sample() {
	list := j.moments
	if n := len(list); n > mostFit {
		thin := make([]At, mostFit)
		for i := range thin {
			thin[i] = list[i*(n-1)/(mostFit-1)]
		}
		list = thin
	}
	j.worlds = [][]rig.Affine{j.rest}
	pose := deform.NewPose(j.old)
	for _, m := range list {
		if m.Clip < 0 {
			continue
		}
		pose.Sample(m.Clip, m.Seconds)
		j.worlds = append(j.worlds, slices.Clone(pose.World))
	}
}

// fit is one vertex at all moments.
type fit struct {
	from, to []rig.Affine // old and new blend
	weight   []float64    // of the moments
	off      []float64    // how far each is off
}

func (f *fit) even() {
	for t := range f.weight {
		f.weight[t] = 1 / float64(len(f.weight))
	}
	if n := f.anchors(); n > 0 {
		f.weight[0] = anchored
	}
}

// best answers the place (one 1) or displacement (0) in the new binding that stands for p
// in the old one. near is what it is damped towards.
func (f *fit) best(p, near []float32, one float64, rounds int) (out [3]float32, ok bool) {
	x, y, z := float64(p[0]), float64(p[1]), float64(p[2])
	least := math.Inf(1)
	for range rounds {
		var n [6]float64 // xx xy xz yy yz zz
		var r [3]float64
		for t := range f.from {
			a, b, w := &f.from[t], &f.to[t], f.weight[t]
			for row := 0; row < 12; row += 4 {
				goal := a[row]*x + a[row+1]*y + a[row+2]*z + one*(a[row+3]-b[row+3])
				n[0] += w * b[row] * b[row]
				n[1] += w * b[row] * b[row+1]
				n[2] += w * b[row] * b[row+2]
				n[3] += w * b[row+1] * b[row+1]
				n[4] += w * b[row+1] * b[row+2]
				n[5] += w * b[row+2] * b[row+2]
				r[0] += w * b[row] * goal
				r[1] += w * b[row+1] * goal
				r[2] += w * b[row+2] * goal
			}
		}
		l := damping * (n[0] + n[3] + n[5]) / 3
		n[0], n[3], n[5] = n[0]+l, n[3]+l, n[5]+l
		for c := range r {
			r[c] += l * float64(near[c])
		}
		s := symmetric(n, r)
		if s[0]-s[0] != 0 || s[1]-s[1] != 0 || s[2]-s[2] != 0 {
			return out, ok
		}
		worst, sum := 0.0, 0.0
		for t := f.anchors(); t < len(f.from); t++ {
			a, b, d := &f.from[t], &f.to[t], 0.0
			for row := 0; row < 12; row += 4 {
				e := a[row]*x + a[row+1]*y + a[row+2]*z - b[row]*s[0] - b[row+1]*s[1] - b[row+2]*s[2] + one*(a[row+3]-b[row+3])
				d += e * e
			}
			f.off[t] = math.Sqrt(d)
			worst = max(worst, f.off[t])
			sum += f.weight[t] * f.off[t]
		}
		if worst < least {
			least, ok = worst, true
			out = [3]float32{float32(s[0]), float32(s[1]), float32(s[2])}
		}
		if !(sum > 0) {
			return out, ok
		}
		for t := f.anchors(); t < len(f.weight); t++ {
			f.weight[t] *= f.off[t] / sum
		}
	}
	return out, ok
}

// anchors is how many moments, from the first on, are fitted to without being judged: the
// old rest pose, which no clip need show, where there are clips.
func (f *fit) anchors() int { return min(1, len(f.from)-1) }

// symmetric solves a symmetric 3×3 system by its cofactors.
func symmetric(n [6]float64, r [3]float64) [3]float64 {
	a, b, c, d, e, f := n[0], n[1], n[2], n[3], n[4], n[5]
	A, B, C := d*f-e*e, c*e-b*f, b*e-c*d
	k := 1 / (a*A + b*B + c*C)
	D, E, F := a*f-c*c, b*c-a*e, a*d-b*b
	return [3]float64{
		k * (A*r[0] + B*r[1] + C*r[2]),
		k * (B*r[0] + D*r[1] + E*r[2]),
		k * (C*r[0] + E*r[1] + F*r[2]),
	}
}
