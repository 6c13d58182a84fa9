package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func skeletonFaults() []Fault {
	return []Fault{
		{ID: "skeleton/roles", Name: "left hand cut off", Grade: "note", Also: []string{"skeleton/lone-side", "skeleton/off-centre"}, Plant: Amputate},
		{ID: "skeleton/side-label", Name: "names of the toes exchanged", Grade: "flaw",
			Also: []string{"skeleton/proportions", "skeleton/loose-chain"}, Plant: SwapNames(toesL)},
		{ID: "skeleton/lone-side", Name: "a satchel on the left", Grade: "note", Plant: AddJoint("satchel_left", hips, 0.2, 0.9, 0)},
		{ID: "skeleton/uneven-pair", Name: "left elbow 20 mm farther out", Grade: "flaw", Plant: MoveJoint(lowerArmL, 0.02)},
		{ID: "skeleton/uneven-pair", Name: "left elbow 6 mm farther out", Grade: "note", Plant: MoveJoint(lowerArmL, 0.006)},
		{ID: "skeleton/off-centre", Name: "elbows 40 mm to the back", Grade: "note", Plant: MovePair(lowerArmL, 0, 0, -0.04)},
		{ID: "skeleton/off-centre", Name: "elbows 90 mm to the back", Grade: "flaw", Plant: MovePair(lowerArmL, 0, 0, -0.09)},
		{ID: "skeleton/rest-pose", Name: "arms 15° lower", Grade: "note", Also: []string{"skeleton/bind-odd"}, Plant: LowerArms(15, 15)},
		{ID: "skeleton/rest-pose", Name: "left arm 8° lower", Grade: "note", Also: []string{"skeleton/bind-odd"}, Plant: LowerArms(8, 0)},
		{ID: "skeleton/bind-lost", Name: "no bind matrices", Grade: "stop", Also: []string{"skeleton/off-centre", "skeleton/proportions"}, Plant: LoseBinds(false)},
		{ID: "skeleton/bind-lost", Name: "all bind matrices the identity", Grade: "stop", Also: []string{"skeleton/off-centre", "skeleton/proportions"}, Plant: LoseBinds(true)},
		{ID: "skeleton/bind-mixed", Name: "bind matrices of both hands exchanged", Grade: "flaw", Also: []string{"skeleton/off-centre"}, Plant: ExchangeBinds(handL, handR)},
		{ID: "skeleton/bind-mixed", Name: "bind matrices one place on in the list", Grade: "stop", Also: []string{"skeleton/off-centre"}, Plant: ShiftBinds(1)},
		{ID: "skeleton/bind-odd", Name: "head bound 30 mm higher", Grade: "flaw", Plant: Misbind(head, 0.03, 0)},
		{ID: "skeleton/bind-odd", Name: "head bound turned by 3°", Grade: "flaw", Plant: Misbind(head, 0, 3)},
		{ID: "skeleton/bind-odd", Name: "bent at the spine by 10°", Grade: "note", Plant: Bow(10)},
		{ID: "skeleton/bind-odd", Name: "head bound flat", Grade: "stop", Plant: FlatBind(head)},
		{ID: "skeleton/bind-odd", Name: "a second skin with another head", Grade: "flaw", Plant: SecondSkin(head, 0.03)},
		{ID: "skeleton/proportions", Name: "forearms half as long again", Grade: "note", Plant: MovePair(handL, 0.135, 0, 0)},
		{ID: "skeleton/loose-chain", Name: "left chain taken off the yoke", Grade: "flaw", Also: []string{"skeleton/off-centre"}, Plant: Detach(chainL)},
		{ID: "skeleton/role-unheld", Name: "left forearm's weights given to the upper arm", Grade: "flaw", Plant: Unhold(lowerArmL, upperArmL)},
		{ID: "skeleton/zero-length", Name: "last links pushed into the ones above", Grade: "note", Plant: MovePair(chainL+links-1, 0, pitch, 0)},
		{ID: "skeleton/name-clash", Name: "two links with one name", Grade: "flaw", Also: []string{"skeleton/lone-side"}, Plant: Rename(chainL+2, "chain_L_2", 1)},
		{ID: "skeleton/name-clash", Name: "a link without a name", Grade: "note", Plant: Rename(chainL+2, "", 1)},
		{ID: "skeleton/fragile-name", Name: "a link called Yoke", Grade: "flaw", Plant: Rename(chainL+5, "Yoke", 2)},
		{ID: "skeleton/fragile-name", Name: "a blank after the name of the yoke", Grade: "note", Plant: Rename(yoke, "yoke ", 1)},
		{ID: "skeleton/axes", Name: "left forearm rolled by 40°", Grade: "flaw", Plant: Roll(40)},
		{ID: "skeleton/axes", Name: "all axes parallel to the world", Grade: "note", Plant: Straighten},
		{ID: "skeleton/role-order", Name: "the yoke declared as the neck", Grade: "flaw", Plant: Declared("neck", yoke, head)},
		{ID: "skeleton/scaled-joint", Name: "head scaled by 1.02", Grade: "flaw", Plant: ScaleJoint(head, 1.02)},
		{ID: "skeleton/scaled-joint", Name: "head scaled to nothing", Grade: "stop", Also: []string{"skeleton/axes"}, Plant: ScaleJoint(head, 0)},
		{ID: "skeleton/scaled-joint", Name: "head given as a matrix", Grade: "note", Plant: GiveMatrix(head)},
	}
}

// Rebind puts joints elsewhere in the rest pose: one world matrix for each. All other
// nodes stay where they are, and the inverse bind matrices of the moved ones are made
// anew, rounded to float32 as a file stores them: the surface does not move.
func Rebind(r *rig.Rig, to map[rig.Node]rig.Affine) {
	world := r.RestWorld()
	for n, m := range to {
		world[n] = m
	}
	for i := range r.Nodes {
		n := rig.Node(i)
		p := r.Nodes[n].Parent
		_, own := to[n]
		_, up := to[p]
		if !own && !up {
			continue
		}
		local := world[n]
		if p >= 0 {
			back, _ := world[p].Inverse()
			local = back.Mul(&world[n])
		}
		set(r, n, tidyTRS(local.Decompose()))
	}
	for k, n := range r.Skins[0].Joints {
		if m, ok := to[n]; ok {
			inv, _ := m.Inverse()
			r.Skins[0].Bind[k] = single(inv)
		}
	}
}

// tidyTRS takes the dust of rounding off.
func tidyTRS(t rig.TRS) rig.TRS {
	for c := range 3 {
		t.T[c] = clean(t.T[c])
		if math.Abs(t.S[c]-1) < 1e-9 {
			t.S[c] = 1
		}
	}
	q := tidy(space.FromXYZW(t.R))
	t.R = space.XYZW(q)
	return t
}

// single rounds a matrix to float32.
func single(m rig.Affine) rig.Affine {
	for i, v := range m {
		m[i] = float64(float32(clean(v)))
	}
	return m
}

// moved shifts a matrix in the world.
func moved(m rig.Affine, x, y, z float64) rig.Affine {
	m[3], m[7], m[11] = m[3]+x, m[7]+y, m[11]+z
	return m
}

// spin is a turn about an axis, as a matrix.
func spin(axis space.Vec, degrees float64) rig.Affine {
	q := space.About(axis, degrees*math.Pi/180)
	t := rig.TRS{R: space.XYZW(q), S: [3]float64{1, 1, 1}}
	return t.Affine()
}

// Amputate takes the left hand out of the skeleton; the forearm carries its weights.
// Size: 1 bone missing.
func Amputate(r *rig.Rig) Planted {
	m, s := &r.Meshes[0], &r.Skins[0]
	for i, j := range m.Joints {
		switch {
		case j == handL:
			m.Joints[i] = lowerArmL
		case j > handL:
			m.Joints[i]--
		}
	}
	for v := range m.Vertices() { // a joint stands but once at a vertex
		for a := v * m.K; a < (v+1)*m.K; a++ {
			for b := a + 1; b < (v+1)*m.K; b++ {
				if m.Weights[b] > 0 && m.Weights[a] > 0 && m.Joints[a] == m.Joints[b] {
					m.Weights[a], m.Weights[b], m.Joints[b] = m.Weights[a]+m.Weights[b], 0, 0
				}
			}
		}
	}
	s.Joints, s.Bind = slices.Delete(s.Joints, handL, handL+1), slices.Delete(s.Bind, handL, handL+1)
	p := r.Nodes[handL].Parent
	r.Nodes[p].Children = slices.DeleteFunc(r.Nodes[p].Children, func(n rig.Node) bool { return n == handL })
	r.Nodes[handL].Parent, r.Nodes[handL].Name = rig.None, "left over"
	r.SetOrder()
	return Planted{Surface: rig.None, Measure: "missing", Size: 1}
}

// SwapNames exchanges the names of a left joint and its partner. Size: how far they
// stand from the middle ÷ height.
func SwapNames(left int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		a, b := rig.Node(left), rig.Node(mirror(left))
		r.Nodes[a].Name, r.Nodes[b].Name = r.Nodes[b].Name, r.Nodes[a].Name
		p := aboutNodes(a, b)
		p.Measure, p.Unit, p.Size = "across", "× height", r.RestWorld()[a].Origin()[0]/tallness(r)
		return p
	}
}

// tallness is the y extent of mesh 0 as stored.
func tallness(r *rig.Rig) float64 {
	lo, hi := float32(math.Inf(1)), float32(math.Inf(-1))
	for i, p := 1, r.Meshes[0].Positions; i < len(p); i += 3 {
		lo, hi = min(lo, p[i]), max(hi, p[i])
	}
	return float64(hi) - float64(lo)
}

// AddJoint adds a joint that no vertex follows. Size: 1.
func AddJoint(name string, parent int, x, y, z float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		back, _ := r.RestWorld()[parent].Inverse()
		at := back.Point(space.Vec{x, y, z})
		n := addNode(r, name, rig.Node(parent), rig.TRS{T: [3]float64(at)})
		w := r.RestWorld()[n]
		inv, _ := w.Inverse()
		r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, n), append(r.Skins[0].Bind, single(inv))
		p := aboutNodes(n)
		p.Measure, p.Size = "joints", 1
		return p
	}
}

// MoveJoint moves a joint along the bone above it, away from its parent, and binds it
// there. Size: the move ÷ the bone that begins at it.
func MoveJoint(j int, metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		w := r.RestWorld()
		d := w[j].Origin().Sub(w[parentOf(j)].Origin()).Normalize().Mul(metres)
		bone := w[j+1].Origin().Sub(w[j].Origin()).Len()
		Rebind(r, map[rig.Node]rig.Affine{rig.Node(j): moved(w[j], d[0], d[1], d[2])})
		p := aboutNodes(rig.Node(j), rig.Node(mirror(j)))
		p.Measure, p.Unit, p.Size = "difference", "× bone", metres/bone
		return p
	}
}

// MovePair moves a left joint, and its partner as its mirror image, and binds them
// there. Size: metres.
func MovePair(left int, x, y, z float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		w, m := r.RestWorld(), mirror(left)
		Rebind(r, map[rig.Node]rig.Affine{rig.Node(left): moved(w[left], x, y, z), rig.Node(m): moved(w[m], -x, y, z)})
		p := aboutNodes(rig.Node(left), rig.Node(m))
		p.Measure, p.Unit, p.Size = "moved", "m", math.Sqrt(x*x+y*y+z*z)
		return p
	}
}

// LowerArms turns the upper arms down in the rest pose; the bind stays. Size: the
// difference of the two, else degrees.
func LowerArms(left, right float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		w := r.RestWorld()
		for j, degrees := range map[int]float64{upperArmL: -left, upperArmR: right} {
			turnLocal(r, w, j, space.Vec{0, 0, 1}, degrees)
		}
		p := aboutNodes(upperArmL, upperArmR)
		p.Measure, p.Unit, p.Size = "degrees", "°", left
		if left != right {
			p.Size = math.Abs(left - right)
		}
		return p
	}
}

// turnLocal turns a joint and all below it about a world axis through it; the bind
// stays.
func turnLocal(r *rig.Rig, w []rig.Affine, j int, axis space.Vec, degrees float64) {
	s := spin(axis, degrees)
	at := w[j].Origin()
	m := w[j]
	m[3], m[7], m[11] = 0, 0, 0
	m = s.Mul(&m)
	m[3], m[7], m[11] = at[0], at[1], at[2]
	if p := parentOf(j); p >= 0 {
		back, _ := w[p].Inverse()
		m = back.Mul(&m)
	}
	set(r, rig.Node(j), tidyTRS(m.Decompose()))
}

// Misbind says that a joint was bound higher, or turned about +X through it. Size:
// metres, else degrees.
func Misbind(j int, metres, degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		w := r.RestWorld()[j]
		at := w.Origin()
		w[3], w[7], w[11] = 0, 0, 0
		s := spin(space.Vec{1, 0, 0}, degrees)
		w = s.Mul(&w)
		w = moved(w, at[0], at[1]+metres, at[2])
		inv, _ := w.Inverse()
		r.Skins[0].Bind[j] = single(inv)
		p := aboutNodes(rig.Node(j))
		if p.Measure, p.Unit, p.Size = "its shift", "m", metres; degrees != 0 {
			p.Measure, p.Unit, p.Size = "turn", "°", degrees
		}
		return p
	}
}

// Bow bends the figure forward at the spine in the rest pose; the bind stays. Size:
// degrees.
func Bow(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		turnLocal(r, r.RestWorld(), spine, space.Vec{1, 0, 0}, degrees)
		p := aboutNodes()
		p.Measure, p.Unit, p.Size = "turn", "°", degrees
		return p
	}
}

// FlatBind presses a bind matrix flat. Size: determinant 0.
func FlatBind(j int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		b := &r.Skins[0].Bind[j]
		b[8], b[9], b[10] = 0, 0, 0
		p := aboutNodes(rig.Node(j))
		p.Measure = "determinant ÷ largest scale³"
		return p
	}
}

// SecondSkin adds a skin of the same joints in which one was bound higher. Size:
// metres.
func SecondSkin(j int, metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		s := r.Skins[0]
		s.Name, s.Joints, s.Bind = "lantern light", slices.Clone(s.Joints), slices.Clone(s.Bind)
		w := moved(r.RestWorld()[j], 0, metres, 0)
		inv, _ := w.Inverse()
		s.Bind[j] = single(inv)
		r.Skins = append(r.Skins, s)
		p := aboutNodes(rig.Node(j))
		p.Measure, p.Unit, p.Size = "shift of the joint", "m", metres
		return p
	}
}

// Detach makes a joint a root of the scene; it keeps its place in the world. Size: 1.
func Detach(j int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		n := rig.Node(j)
		w := r.RestWorld()[j]
		p := r.Nodes[n].Parent
		r.Nodes[p].Children = slices.DeleteFunc(r.Nodes[p].Children, func(c rig.Node) bool { return c == n })
		r.Nodes[n].Parent = rig.None
		set(r, n, tidyTRS(w.Decompose()))
		r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
		r.SetOrder()
		out := aboutNodes(n)
		out.Measure, out.Size = "chains", 1
		return out
	}
}

// Rename gives a joint another name. Size: as told.
func Rename(j int, name string, size float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		r.Nodes[j].Name = name
		p := aboutNodes(rig.Node(j))
		p.Measure, p.Size = "names", size
		return p
	}
}

// Roll turns the axes of the left forearm about its bone and binds it so. Size:
// degrees.
func Roll(degrees float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		w := r.RestWorld()
		s := spin(space.Vec{0, 1, 0}, degrees) // +Y lies along the bone
		Rebind(r, map[rig.Node]rig.Affine{lowerArmL: w[lowerArmL].Mul(&s)})
		p := aboutNodes(lowerArmL, lowerArmR)
		p.Measure, p.Unit, p.Size = "roll", "°", degrees
		return p
	}
}

// Straighten gives all joints the axes of the world and binds them so. Size: share of
// the bones of joints with a role that then lie along another axis than most do.
func Straighten(r *rig.Rig) Planted {
	to := map[rig.Node]rig.Affine{}
	for j, w := range r.RestWorld()[:joints] {
		to[rig.Node(j)] = moved(rig.Identity, w[3], w[7], w[11])
	}
	Rebind(r, to)
	p := aboutNodes()
	// Bones: arms 3 and 3 sideways, spine 4 up, thighs, shanks and feet 6 down (feet
	// slope more ahead than down).
	p.Measure, p.Unit, p.Size = "joints off", "share", 12.0/16
	return p
}

// Declared declares the bones of the body (VRM 1.0), one of them at another node; so
// the bone that should hang on it does not. Size: 1 breach.
func Declared(role string, node, hangs int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		DeclareBones(r)
		r.Humanoid.Bones[role] = rig.Node(node)
		p := aboutNodes(rig.Node(hangs))
		p.Measure, p.Size = "breaches", 1
		return p
	}
}

// DeclareBones adds the map of bones of VRM 1.0.
func DeclareBones(r *rig.Rig) {
	r.Humanoid = rig.Humanoid{Version: "1", Bones: map[string]rig.Node{"hips": hips, "spine": spine, "chest": chest, "neck": neck, "head": head}}
	for i, bone := range []string{"Shoulder", "UpperArm", "LowerArm", "Hand"} {
		r.Humanoid.Bones["left"+bone], r.Humanoid.Bones["right"+bone] = rig.Node(shoulderL+i), rig.Node(shoulderR+i)
	}
	for i, bone := range []string{"UpperLeg", "LowerLeg", "Foot", "Toes"} {
		r.Humanoid.Bones["left"+bone], r.Humanoid.Bones["right"+bone] = rig.Node(upperLegL+i), rig.Node(upperLegR+i)
	}
}

// ScaleJoint scales a joint without children and binds it so. Size: how far the
// factor is off 1; at 0 the product of scales, 0.
func ScaleJoint(j int, k float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		t := r.Nodes[j].TRS
		t.S = [3]float64{k, k, k}
		set(r, rig.Node(j), t)
		w := r.RestWorld()[j]
		if inv, ok := w.Inverse(); ok {
			r.Skins[0].Bind[j] = single(inv)
		}
		p := aboutNodes(rig.Node(j))
		p.Measure, p.Size = "scale off by", math.Abs(k-1)
		if k == 0 {
			p.Measure, p.Size = "product of scales", 0
		}
		return p
	}
}

// GiveMatrix writes a joint as a matrix. Size: 1.
func GiveMatrix(j int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		r.Nodes[j].HasMatrix = true
		p := aboutNodes(rig.Node(j))
		p.Measure, p.Size = "joints given as a matrix", 1
		return p
	}
}

// ExchangeBinds gives two joints each other's inverse bind matrix.
func ExchangeBinds(a, b int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := r.Skins[0].Bind
		m[a], m[b] = m[b], m[a]
		p := aboutNodes(r.Skins[0].Joints[a], r.Skins[0].Joints[b])
		p.Measure, p.Size = "joints", 2
		return p
	}
}

// ShiftBinds moves the list of inverse bind matrices on by some places; the last ones
// come first.
func ShiftBinds(places int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m, n := slices.Clone(r.Skins[0].Bind), len(r.Skins[0].Bind)
		for k := range m {
			r.Skins[0].Bind[((k+places)%n+n)%n] = m[k]
		}
		p := aboutNodes(r.Skins[0].Joints...)
		p.Measure, p.Size = "joints", float64(n)
		return p
	}
}

// LoseBinds makes all inverse bind matrices the identity, as a file has them that gives
// none (glTF 2.0, Skins), or that writes the identity itself.
func LoseBinds(written bool) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		s := &r.Skins[0]
		s.HasBind, s.BindRow = written, nil
		for k := range s.Bind {
			s.Bind[k] = rig.Identity
		}
		p := aboutNodes(s.Joints...)
		p.Measure, p.Size = "joints", float64(len(s.Joints))
		return p
	}
}

// Unhold gives all weights of a joint to another. Size: joints.
func Unhold(j, to int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		give(r, j, to)
		p := aboutNodes(rig.Node(j))
		p.Measure, p.Size = "joints", 1
		return p
	}
}

// give hands all weights of one joint of the skin to another; a vertex that has both
// keeps one entry.
func give(r *rig.Rig, j, to int) {
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		old, new := -1, -1
		for i := v * m.K; i < (v+1)*m.K; i++ {
			switch {
			case m.Weights[i] > 0 && int(m.Joints[i]) == j:
				old = i
			case m.Weights[i] > 0 && int(m.Joints[i]) == to:
				new = i
			}
		}
		switch {
		case old >= 0 && new >= 0:
			m.Weights[new] += m.Weights[old]
			m.Weights[old], m.Joints[old] = 0, 0
		case old >= 0:
			m.Joints[old] = uint16(to)
		}
	}
}
