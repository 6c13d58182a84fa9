package gltfio

import (
	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// springs reads what a player simulates: VRMC_springBone 1.0, else the boneGroups of VRM 0.x.
func (r *reader) springs() error {
	if _, has := r.doc.Extensions["VRMC_springBone"]; has {
		r.newSprings()
	} else if _, has := r.doc.Extensions["VRM"]; has {
		r.oldSprings()
	}
	return nil
}

// sprung answers a node that springs name, and notes where it does not.
func (r *reader) sprung(n *int, where string) (rig.Node, bool) {
	if n == nil || *n < 0 || *n >= len(r.rig.Nodes) {
		if n != nil {
			r.bad(nowhere, where, "it names node %d, but there are %d nodes; left out", *n, len(r.rig.Nodes))
		}
		return rig.None, false
	}
	return rig.Node(*n), true
}

func (r *reader) newSprings() {
	const ext = "VRMC_springBone"
	type shape struct {
		Offset, Tail [3]float64
		Radius       float64
	}
	var v struct {
		Colliders []struct {
			Node  *int
			Shape struct{ Sphere, Capsule *shape }
		}
		ColliderGroups []struct{ Colliders []int }
		Springs        []struct {
			Name           string
			Center         *int
			ColliderGroups []int
			Joints         []struct {
				Node                               *int
				HitRadius, Stiffness, GravityPower *float64
				GravityDir                         *[3]float64
				DragForce                          *float64
			}
		}
	}
	if !unmarshalExtension(r.doc.Extensions, ext, &v) {
		r.bad(nowhere, "/extensions/"+ext, "the springs cannot be read; ignored")
		return
	}
	at := make([]int, len(v.Colliders)) // place in rig.Colliders, −1
	for i, c := range v.Colliders {
		at[i] = -1
		n, ok := r.sprung(c.Node, place("extensions", ext, "colliders", i, "node"))
		s := c.Shape.Capsule
		if s == nil && c.Shape.Sphere != nil {
			s = c.Shape.Sphere
			s.Tail = s.Offset
		}
		if ok && s != nil {
			at[i] = len(r.rig.Colliders)
			r.rig.Colliders = append(r.rig.Colliders, rig.SpringCollider{Node: n, Offset: s.Offset, Tail: s.Tail, Radius: s.Radius})
		}
	}
	or := func(p *float64, otherwise float64) float64 { // the defaults of the schema
		if p == nil {
			return otherwise
		}
		return *p
	}
	joints, held := 0, 0 // colliders too: every spring may name the same group of thousands
	for i, s := range v.Springs {
		out := rig.Spring{Name: s.Name, Center: rig.None}
		if n, ok := r.sprung(s.Center, place("extensions", ext, "springs", i, "center")); ok {
			out.Center = n
		}
		for _, g := range s.ColliderGroups {
			if g < 0 || g >= len(v.ColliderGroups) {
				continue
			}
			for _, c := range v.ColliderGroups[g].Colliders {
				if c >= 0 && c < len(at) && at[c] >= 0 && len(out.Colliders) < len(at) && held < ceiling.Springs {
					held++
					out.Colliders = append(out.Colliders, at[c])
				}
			}
		}
		for k, j := range s.Joints {
			n, ok := r.sprung(j.Node, place("extensions", ext, "springs", i, "joints", k, "node"))
			if joints++; !ok || joints > ceiling.Springs {
				continue
			}
			one := rig.SpringJoint{Node: n, Radius: or(j.HitRadius, 0), Stiffness: or(j.Stiffness, 1), GravityPower: or(j.GravityPower, 0),
				GravityDir: [3]float64{0, -1, 0}, Drag: or(j.DragForce, .5), Ends: k == len(s.Joints)-1}
			if j.GravityDir != nil {
				one.GravityDir = *j.GravityDir
			}
			out.Joints = append(out.Joints, one)
		}
		r.rig.Springs = append(r.rig.Springs, out)
	}
	r.tooManySprings(max(joints, held+1))
}

func (r *reader) tooManySprings(n int) {
	if n > ceiling.Springs {
		r.remark("more than %s joints or colliders of springs; the rest is left out", say.Whole(ceiling.Springs))
	}
}

// oldSprings reads those of VRM 0.x: all that hangs on a named joint swings.
func (r *reader) oldSprings() {
	var v struct {
		SecondaryAnimation struct {
			BoneGroups []struct {
				Comment string
				Bones   []int
			}
		}
	}
	if !unmarshalExtension(r.doc.Extensions, "VRM", &v) {
		return // humanoid has said so
	}
	taken := make([]bool, len(r.rig.Nodes))
	for i, g := range v.SecondaryAnimation.BoneGroups {
		out := rig.Spring{Name: g.Comment, Center: rig.None}
		for k := range g.Bones {
			first, ok := r.sprung(&g.Bones[k], place("extensions", "VRM", "secondaryAnimation", "boneGroups", i, "bones", k))
			if !ok {
				continue
			}
			for todo := []rig.Node{first}; len(todo) > 0; {
				n := todo[len(todo)-1]
				todo = todo[:len(todo)-1]
				if taken[n] {
					continue
				}
				taken[n] = true
				out.Joints = append(out.Joints, rig.SpringJoint{Node: n})
				todo = append(todo, r.rig.Nodes[n].Children...)
			}
		}
		r.rig.Springs = append(r.rig.Springs, out)
	}
}
