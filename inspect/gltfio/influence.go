package gltfio

import (
	"fmt"
	"math"
	"strings"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// influences finds the sets of joints and weights.
func (r *reader) influences(mesh int, where string, attributes map[string]int, c *parts, d *rig.PrimitiveData, at func(...any) string) error {
	for name := range attributes {
		if strings.HasPrefix(name, "JOINTS_") {
			d.JointSets++
		} else if strings.HasPrefix(name, "WEIGHTS_") {
			d.WeightSets++
		}
	}
	for s := 0; ; s++ {
		joints, hasJoints := attributes[fmt.Sprintf("JOINTS_%d", s)]
		weights, hasWeights := attributes[fmt.Sprintf("WEIGHTS_%d", s)]
		if !hasJoints || !hasWeights {
			break
		}
		j, err := r.column(joints, vertexData, gltf.AccessorVec4)
		if err == nil && j.component == gltf.ComponentFloat {
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("JOINTS_%d", s)), "joint places are FLOAT, UNSIGNED_BYTE or UNSIGNED_SHORT is wanted; read as whole numbers")
		} else if err == nil && j.component != gltf.ComponentUbyte && j.component != gltf.ComponentUshort {
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("JOINTS_%d", s)), "joint places are %s, UNSIGNED_BYTE or UNSIGNED_SHORT is wanted; read all the same", componentName[j.component])
		}
		if err != nil {
			return r.refuse(fmt.Sprintf("%s, JOINTS_%d", where, s), err)
		}
		w, err := r.column(weights, vertexData, gltf.AccessorVec4)
		if err == nil {
			switch w.component {
			case gltf.ComponentFloat, gltf.ComponentUbyte, gltf.ComponentUshort:
			default:
				err = faultf("accessor %d is %s; FLOAT, UNSIGNED_BYTE or UNSIGNED_SHORT is wanted", weights, componentName[w.component])
			}
		}
		if err != nil {
			return r.refuse(fmt.Sprintf("%s, WEIGHTS_%d", where, s), err)
		}
		if w.component != gltf.ComponentFloat && !w.normalized {
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("WEIGHTS_%d", s)), "whole-number weights must be normalised; read as normalised")
		}
		r.level(mesh, &j, c.count, at("attributes", fmt.Sprintf("JOINTS_%d", s)))
		r.level(mesh, &w, c.count, at("attributes", fmt.Sprintf("WEIGHTS_%d", s)))
		c.joints, c.weight = append(c.joints, j), append(c.weight, w)
		if s == 0 {
			d.JointType, d.WeightType = componentCode[j.component], componentCode[w.component]
		}
	}
	d.Sets = len(c.joints)
	if d.Sets != d.JointSets || d.Sets != d.WeightSets {
		r.bad(onMesh(mesh), at("attributes"), "%d sets of joints and %d of weights, counted from 0 in pairs; %d are read", d.JointSets, d.WeightSets, d.Sets)
	}
	return nil
}

// bind fills joints and weights of one primitive.
func (r *reader) bind(mesh int, c *parts, d *rig.PrimitiveData, m *rig.MeshData, at func(...any) string) {
	if len(c.joints) == 0 {
		return
	}
	k := m.K
	from, to := d.First*k, (d.First+d.Count)*k
	weights, joints := m.Weights[from:to], m.Joints[from:to]
	whole := true
	for s := range c.weight {
		w := &c.weight[s]
		whole = whole && w.component != gltf.ComponentFloat
		if w.floats(weights[4*s:], k) > 0 {
			n := r.unsound(w, d.First, m)
			r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("WEIGHTS_%d", s)), "%s %s with a weight that is not finite; read as 0", say.Whole(n), say.Word(n, "vertex", "vertices"))
		}
	}
	if whole { // the standard wants these sums exact, so they are taken before rounding
		d.WeightSums = make([]uint32, d.Count)
		for v := range d.WeightSums {
			sum := float32(0)
			for _, w := range weights[v*k : v*k+k] {
				sum += w
			}
			d.WeightSums[v] = uint32(sum)
		}
	}
	for s := range c.weight {
		normalise(c.weight[s].component, weights[4*s:], k, 4)
	}
	for s := range c.joints {
		r.joints(mesh, s, &c.joints[s], joints[4*s:], k, at)
	}
}

// unsound lists the vertices whose weight in w is not finite.
func (r *reader) unsound(w *column, first int, m *rig.MeshData) (n int) {
	row := make([]float32, 4)
	one := *w
	one.count, one.patch = 1, patch{}
	look := func(v int, data []byte) {
		if convert(w.component, data, w.stride, 1, 4, row, 4) > 0 {
			m.NonFinite = append(m.NonFinite, rig.Vertex(first+v))
			n++
		}
	}
	for v := range w.count {
		if w.data != nil {
			look(v, w.data[v*w.stride:])
		}
	}
	for k := range w.patch.count {
		if v := w.patch.index(k); v < w.count {
			look(v, w.patch.values[16*k:])
		}
	}
	return n
}

// joints writes joint places as they stand, right or wrong: the check for places
// outside the skin is not the reader's.
func (r *reader) joints(mesh, set int, c *column, out []uint16, step int, at func(...any) string) {
	if c.component == gltf.ComponentFloat {
		row := make([]float32, 4*c.count)
		c.floats(row, 4)
		for i, f := range row {
			out[i/4*step+i%4] = uint16(min(max(f, 0), math.MaxUint16))
		}
		return
	}
	raw := make([]uint32, 4*c.count)
	c.whole(raw, 4)
	beyond := 0
	for i, j := range raw {
		if j > math.MaxUint16 {
			j = math.MaxUint16
			beyond++
		}
		out[i/4*step+i%4] = uint16(j)
	}
	if beyond > 0 {
		r.bad(onMesh(mesh), at("attributes", fmt.Sprintf("JOINTS_%d", set)), "%d joint places are beyond 65535; kept as 65535", beyond)
	}
}
