package gltfio

import (
	"github.com/qmuntal/gltf"
)

func (d *decoder) node(i int) *gltf.Node {
	n := d.nodes.one()
	n.Matrix, n.Rotation, n.Scale = gltf.DefaultMatrix, gltf.DefaultRotation, gltf.DefaultScale
	var g given
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "name":
			n.Name = d.name()
		case "children":
			n.Children = d.indices(n.Children)
		case "translation":
			g.translation = d.fixed(n.Translation[:])
		case "rotation":
			g.rotation = d.fixed(n.Rotation[:])
		case "scale":
			g.scale = d.fixed(n.Scale[:])
		case "matrix":
			g.matrix = d.fixed(n.Matrix[:])
		case "mesh":
			n.Mesh = d.index()
		case "skin":
			n.Skin = d.index()
		case "camera":
			n.Camera = d.index()
		case "weights":
			n.Weights = d.numbers()
		default:
			d.common(k, &n.Extensions, &n.Extras)
		}
	}
	d.doc.given = append(d.doc.given[:i], g)
	return n
}

// fixed reads a list of numbers of a known length. It answers how many there
// were, at least 1; too few leave zeros, as in encoding/json.
func (d *decoder) fixed(to []float64) int8 {
	n := 0
	clear(to)
	for ok := d.item(); ok; ok = d.more() {
		f := d.float()
		if n < len(to) {
			to[n] = f
		}
		n = min(n+1, 100)
	}
	return int8(max(n, 1))
}

func (d *decoder) scene(int) *gltf.Scene {
	s := &gltf.Scene{}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "name":
			s.Name = d.name()
		case "nodes":
			s.Nodes = d.indices(s.Nodes)
		default:
			d.common(k, &s.Extensions, &s.Extras)
		}
	}
	return s
}

func (d *decoder) skin(int) *gltf.Skin {
	s := &gltf.Skin{}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "name":
			s.Name = d.name()
		case "joints":
			s.Joints = d.indices(s.Joints)
			d.spend(400 * int64(len(s.Joints)))
		case "inverseBindMatrices":
			s.InverseBindMatrices = d.index()
		case "skeleton":
			s.Skeleton = d.index()
		default:
			d.common(k, &s.Extensions, &s.Extras)
		}
	}
	return s
}

func (d *decoder) mesh(i int) *gltf.Mesh {
	m := &gltf.Mesh{}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "name":
			m.Name = d.name()
		case "primitives":
			m.Primitives = list(d, m.Primitives, func(p int) *gltf.Primitive { return d.primitive(i, p) })
		case "weights":
			m.Weights = d.numbers()
		default:
			d.common(k, &m.Extensions, &m.Extras)
		}
	}
	return m
}

// modes holds the library's names of glTF's modes 0 to 6.
var modes = [...]gltf.PrimitiveMode{gltf.PrimitivePoints, gltf.PrimitiveLines, gltf.PrimitiveLineLoop,
	gltf.PrimitiveLineStrip, gltf.PrimitiveTriangles, gltf.PrimitiveTriangleStrip, gltf.PrimitiveTriangleFan}

func (d *decoder) primitive(mesh, i int) *gltf.Primitive {
	p := &gltf.Primitive{}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "attributes":
			p.Attributes = d.attributes()
		case "indices":
			p.Indices = d.index()
		case "material":
			p.Material = d.index()
		case "mode":
			m := d.whole()
			if 0 <= m && m < len(modes) {
				p.Mode = modes[m]
			} else {
				set(&d.doc.oddMode, [2]int{mesh, i}, m)
			}
		case "targets":
			p.Targets = p.Targets[:0]
			for ok := d.item(); ok && d.err == nil; ok = d.more() {
				d.spend(200)
				p.Targets = append(p.Targets, d.attributes())
			}
			if p.Targets == nil {
				p.Targets = []gltf.PrimitiveAttributes{}
			}
		default:
			d.common(k, &p.Extensions, &p.Extras)
		}
	}
	return p
}

func (d *decoder) attributes() gltf.PrimitiveAttributes {
	a := gltf.PrimitiveAttributes{}
	for k := d.member(); k != nil; k = d.next() {
		a[string(k)] = d.whole()
	}
	return a
}

func (d *decoder) animation(i int) *gltf.Animation {
	a := &gltf.Animation{}
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "name":
			a.Name = d.name()
		case "channels":
			a.Channels = list(d, a.Channels, func(c int) *gltf.AnimationChannel { return d.channel(i, c) })
		case "samplers":
			a.Samplers = list(d, a.Samplers, func(s int) *gltf.AnimationSampler { return d.sampler(i, s) })
		default:
			d.common(k, &a.Extensions, &a.Extras)
		}
	}
	return a
}

func (d *decoder) channel(clip, i int) *gltf.AnimationChannel {
	c := d.channels.one()
	c.Sampler = -1
	path := false
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "sampler":
			c.Sampler = d.whole()
		case "target":
			for k := d.member(); k != nil; k = d.next() {
				switch string(k) {
				case "node":
					c.Target.Node = d.index()
				case "path":
					path = true
					switch name := d.text(); string(name) {
					case "translation":
						c.Target.Path = gltf.TRSTranslation
					case "rotation":
						c.Target.Path = gltf.TRSRotation
					case "scale":
						c.Target.Path = gltf.TRSScale
					case "weights":
						c.Target.Path = gltf.TRSWeights
					default:
						set(&d.doc.oddPath, [2]int{clip, i}, string(name))
					}
				default:
					d.common(k, &c.Target.Extensions, &c.Target.Extras)
				}
			}
		default:
			d.common(k, &c.Extensions, &c.Extras)
		}
	}
	if !path {
		set(&d.doc.oddPath, [2]int{clip, i}, "")
	}
	return c
}

func (d *decoder) sampler(clip, i int) *gltf.AnimationSampler {
	s := d.samplers.one()
	s.Input, s.Output = -1, -1
	for k := d.member(); k != nil; k = d.next() {
		switch string(k) {
		case "input":
			s.Input = d.whole()
		case "output":
			s.Output = d.whole()
		case "interpolation":
			switch name := d.text(); string(name) {
			case "LINEAR":
				s.Interpolation = gltf.InterpolationLinear
			case "STEP":
				s.Interpolation = gltf.InterpolationStep
			case "CUBICSPLINE":
				s.Interpolation = gltf.InterpolationCubicSpline
			default:
				set(&d.doc.oddBlend, [2]int{clip, i}, string(name))
			}
		default:
			d.common(k, &s.Extensions, &s.Extras)
		}
	}
	return s
}
