package lamplighter

import (
	"math"

	"rigloupe/inspect/rig"
)

func intakeFaults() []Fault {
	return []Fault{
		{ID: "intake/several-figures", Name: "a second lamplighter 4 m beside", Grade: "note", Also: []string{"motion/split-clip"}, Plant: Twin(4)},
		{ID: "intake/unapplied-scale", Name: "scale 0.01 left on the root", Grade: "flaw",
			Also: []string{"intake/odd-height", "intake/bounds-off"}, Plant: RootScale(0.01, 0.01, 0.01, false)},
		{ID: "intake/unapplied-scale", Name: "scale 0.01 on the root of joints and surface", Grade: "flaw",
			Also: []string{"intake/odd-height", "intake/ignored-placement"}, Plant: RootScale(0.01, 0.01, 0.01, true)},
		{ID: "intake/uneven-scale", Name: "root wider by 5 %, turned joints below", Grade: "stop",
			Also: []string{"intake/unapplied-scale"}, Plant: RootScale(1.05, 1, 1, false)},
		{ID: "intake/uneven-scale", Name: "root mirrored", Grade: "flaw",
			Also: []string{"intake/unapplied-scale", "intake/facing"}, Plant: RootScale(-1, 1, 1, false)},
		{ID: "intake/unapplied-turn", Name: "lies on its back", Grade: "flaw",
			Also: []string{"intake/bounds-off", "intake/off-ground", "intake/odd-height", "intake/facing"}, Plant: RootTurn(0, -90)},
		{ID: "intake/unapplied-turn", Name: "leans by 2°", Grade: "note", Plant: RootTurn(0, 2)},
		{ID: "intake/ignored-placement", Name: "surface node half a metre up", Grade: "flaw",
			Also: []string{"intake/bounds-off"}, Plant: Misplace(0, 0.5, 0)},
		{ID: "intake/ignored-placement", Name: "surface node half a millimetre up", Grade: "note", Plant: Misplace(0, 0.0005, 0)},
		{ID: "intake/odd-height", Name: "stored in centimetres", Grade: "flaw", Plant: Enlarge(100)},
		{ID: "intake/off-ground", Name: "60 mm above the ground", Grade: "note", Plant: Shift(0, 0.06, 0)},
		{ID: "intake/off-ground", Name: "400 m beside the origin", Grade: "flaw", Plant: Shift(400, 0, 0)},
		{ID: "intake/facing", Name: "looks to its left", Grade: "note",
			Also: []string{"intake/unapplied-turn", "intake/bounds-off"}, Plant: RootTurn(90, 0)},
		{ID: "intake/heavy", Name: "surface drawn in twelve parts that share one array", Grade: "note", Plant: Split(12)},
		{ID: "intake/needs-extension", Name: "an extension nobody knows", Grade: "stop", Plant: Require("EXT_lamp_oil")},
		{ID: "intake/packed", Name: "positions in steps of 6 mm", Grade: "flaw",
			Also: []string{"intake/bounds-off"}, Plant: Pack(0.006)},
		{ID: "intake/bounds-off", Name: "declared box ends at the neck", Grade: "flaw", Plant: Declare(1.5)},
		{ID: "intake/bounds-off", Name: "stored a hundred times too small, bound back", Grade: "flaw", Plant: StoreSmall(0.01)},
		{ID: "intake/morphs", Name: "a smile switched on at rest", Grade: "note", Plant: Morph(0.01, 1)},
		{ID: "intake/morphs", Name: "a target that throws the nose", Grade: "flaw", Plant: Morph(4, 0)},
		{ID: "intake/malformed", Name: "an accessor read around", Grade: "flaw", Plant: Break},
		{ID: "intake/nothing-bound", Name: "no skin", Grade: "note", Also: []string{"intake/unapplied-turn"}, Plant: Unskin},
	}
}

// RootScale puts a scaled node above the skeleton, and on request the same scale on
// the surface's node, which glTF ignores. Size: the factor farthest from 1.
func RootScale(x, y, z float64, both bool) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		s := [3]float64{x, y, z}
		p := aboutNodes(addNode(r, "root", rig.None, rig.TRS{S: s}, hips))
		if both {
			set(r, joints, rig.TRS{R: [4]float64{0, 0, 0, 1}, S: s})
		}
		p.Measure, p.Size = "scale", 1
		for _, v := range s {
			if math.Abs(v-1) > math.Abs(p.Size-1) {
				p.Size = v
			}
		}
		return p
	}
}

// RootTurn puts a node above the skeleton that is turned by yaw degrees about +Y,
// then pitch about +X. Size: degrees.
func RootTurn(yaw, pitch float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		q := about(axisX, pitch).Mul(about(axisY, yaw))
		p := aboutNodes(addNode(r, "root", rig.None, rig.TRS{R: [4]float64{q.V[0], q.V[1], q.V[2], q.W}}, hips))
		p.Measure, p.Unit = "turn", "°"
		p.Size = 2 * math.Acos(min(1, math.Abs(q.W))) * 180 / math.Pi
		return p
	}
}

// Misplace moves the node that carries the skinned surface. Size: metres.
func Misplace(x, y, z float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		set(r, joints, rig.TRS{T: [3]float64{x, y, z}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}})
		p := aboutNodes(joints)
		p.Measure, p.Unit, p.Size = "shift", "m", math.Sqrt(x*x+y*y+z*z)
		return p
	}
}

// Enlarge stores the whole figure in another unit: no scale anywhere, every length
// times factor. Size: the height in metres.
func Enlarge(factor float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		for i := range m.Positions {
			m.Positions[i] = float32(float64(m.Positions[i]) * factor)
		}
		rebound(m)
		for n := range r.Nodes {
			t := r.Nodes[n].TRS
			for k := range 3 {
				t.T[k] *= factor
			}
			set(r, rig.Node(n), t)
		}
		rebind(r)
		for i := range r.Clips {
			for c := range r.Clips[i].Channels {
				ch := &r.Clips[i].Channels[c]
				for k := range ch.Values {
					if ch.Path == rig.Translation {
						ch.Values[k] = float32(float64(ch.Values[k]) * factor)
					}
				}
			}
		}
		b := &m.Primitives[0]
		return Planted{Surface: rig.None, Measure: "height", Unit: "m", Size: b.TrueMax[1] - b.TrueMin[1]}
	}
}

// rebind takes the inverse bind matrices from the rest pose.
func rebind(r *rig.Rig) {
	w := r.RestWorld()
	for j, n := range r.Skins[0].Joints {
		inv, _ := w[n].Inverse()
		r.Skins[0].Bind[j] = inv
	}
}

// Shift moves surface, joints and clips together. Size: metres.
func Shift(x, y, z float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		d := [3]float64{x, y, z}
		m := &r.Meshes[0]
		for i := range m.Positions {
			m.Positions[i] = float32(float64(m.Positions[i]) + d[i%3])
		}
		rebound(m)
		t := r.Nodes[hips].TRS
		for k := range 3 {
			t.T[k] += d[k]
		}
		set(r, hips, t)
		rebind(r)
		for i := range r.Clips {
			for c := range r.Clips[i].Channels {
				ch := &r.Clips[i].Channels[c]
				if ch.Path != rig.Translation || ch.Node != hips {
					continue
				}
				for k := range ch.Values {
					ch.Values[k] = float32(float64(ch.Values[k]) + d[k%3])
				}
			}
		}
		return Planted{Surface: rig.None, Measure: "shift", Unit: "m", Size: math.Sqrt(x*x + y*y + z*z)}
	}
}

// Split draws the surface as parts primitives over one vertex array. Size: the
// vertices counted, once a primitive.
func Split(parts int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		whole := m.Primitives[0]
		m.Primitives = nil
		for i := range parts {
			p := whole
			p.FirstTri = whole.TriCount * i / parts
			p.TriCount = whole.TriCount*(i+1)/parts - p.FirstTri
			m.Primitives = append(m.Primitives, p)
		}
		return Planted{Surface: 0, Nodes: []rig.Node{joints}, Measure: "vertices", Size: float64(parts * whole.Count)}
	}
}

// Require asks for an extension that this reader cannot honour. Size: 1.
func Require(name string) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		r.File.Used = append(r.File.Used, name)
		r.File.Required = append(r.File.Required, name)
		r.File.NotHonored = append(r.File.NotHonored, name)
		return Planted{Surface: rig.None, Measure: "extensions", Size: 1}
	}
}

// Pack stores positions as normalised 16-bit integers with a step of so many metres,
// bound back by the inverse bind matrices. Size: the step in metres.
func Pack(step float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		const full = 32767 // glTF 2.0, Animations: f = c ÷ 32767
		m := &r.Meshes[0]
		for i, v := range m.Positions {
			m.Positions[i] = float32(math.Round(float64(v)/step) / full)
		}
		rebound(m)
		for i := range m.Primitives {
			p := &m.Primitives[i]
			p.PositionType, p.PositionNormalized = 5122, true
			for k := range 3 { // bounds of integer data are given in stored units
				p.Min[k], p.Max[k] = math.Round(p.Min[k]*full), math.Round(p.Max[k]*full)
			}
			p.TrueMin, p.TrueMax = p.Min, p.Max
		}
		unstore(r, 1/(step*full))
		r.File.Used = append(r.File.Used, "KHR_mesh_quantization")
		r.File.Required = append(r.File.Required, "KHR_mesh_quantization")
		return Planted{Nodes: []rig.Node{joints}, Surface: 0, Measure: "step", Unit: "m", Size: step}
	}
}

// unstore makes up for positions that are stored times factor: B' = B · (1 ÷ factor).
func unstore(r *rig.Rig, factor float64) {
	for j := range r.Skins[0].Bind {
		b := &r.Skins[0].Bind[j]
		for i := range 12 {
			if i%4 < 3 {
				b[i] /= factor
			}
		}
	}
}

// Declare writes a box for POSITION that ends at a height. Size: metres missing.
func Declare(top float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := &r.Meshes[0].Primitives[0]
		p.Max[1] = top
		return Planted{Nodes: []rig.Node{joints}, Surface: 0, Measure: "off", Unit: "m", Size: p.TrueMax[1] - top}
	}
}

// StoreSmall stores positions times factor and makes up for it in the inverse bind
// matrices: drawn right, but a box made from the stored numbers is too small. Size:
// player's box ÷ true box.
func StoreSmall(factor float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		for i := range m.Positions {
			m.Positions[i] = float32(float64(m.Positions[i]) * factor)
		}
		rebound(m)
		unstore(r, factor)
		return Planted{Nodes: []rig.Node{joints}, Surface: 0, Measure: "ratio", Size: factor}
	}
}

// Morph adds a target that pushes twelve vertices at the nose forward by so many
// metres, with a weight at rest. Size: the push ÷ the diagonal of the rest box, or
// the weight when there is one.
func Morph(push, weight float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		p := at(r, nearest(r, 0, 1.655, 0.11, 12))
		t := rig.Target{Name: "smile", Positions: make([]float32, len(m.Positions))}
		for _, v := range p.Vertices {
			t.Positions[3*v+2] = push
		}
		m.Targets, m.Morph = append(m.Targets, t), append(m.Morph, weight)
		b := &m.Primitives[0]
		x, y, z := b.TrueMax[0]-b.TrueMin[0], b.TrueMax[1]-b.TrueMin[1], b.TrueMax[2]-b.TrueMin[2]
		p.Measure, p.Size = "shift ÷ diagonal", float64(push)/math.Sqrt(x*x+y*y+z*z)
		if weight != 0 {
			p.Measure, p.Size = "default weight", float64(weight)
		}
		return p
	}
}

// brokenAt is the place in the file that Break is about.
const brokenAt = "/accessors/0/max"

// Break notes one breach of glTF 2.0, as the reader does when it reads around it.
func Break(r *rig.Rig) Planted {
	r.Malformed = append(r.Malformed, rig.Malformed{
		Place: brokenAt, What: "max has two numbers where POSITION needs three; measured again",
		Node: rig.None, Mesh: 0, Skin: rig.None, Clip: rig.None,
	})
	return Planted{Surface: rig.None, Measure: "places", Size: 1}
}

// Unskin takes the skin away: the surface stays where it is stored.
func Unskin(r *rig.Rig) Planted {
	r.Skins = nil
	r.Nodes[joints].Skin = rig.None
	r.Surfaces[0].Skin = rig.None
	m := &r.Meshes[0]
	m.Joints, m.Weights, m.K = nil, nil, 0
	p := &m.Primitives[0]
	p.Sets, p.JointSets, p.WeightSets, p.JointType, p.WeightType = 0, 0, 0, 0, 0
	return Planted{Surface: rig.None, Measure: "skins", Size: 0}
}
