package rig

// Spring is a run of joints that a player simulates (VRMC_springBone 1.0; VRM 0.x, whose runs
// are all joints below those it names). The file says so; nothing here moves them.
type Spring struct {
	Name      string
	Joints    []SpringJoint
	Center    Node  // None: the world
	Colliders []int // places in Rig.Colliders
}

// SpringJoint is one joint of a spring: it turns so that the next one swings. The last turns
// nothing and only ends the one before it, but in VRM 0.x (Ends is false there).
type SpringJoint struct {
	Node         Node
	Radius       float64 // hitRadius, metres
	Stiffness    float64
	GravityPower float64
	GravityDir   [3]float64
	Drag         float64 // dragForce, 0 to 1
	Ends         bool    // it is the last, and is not turned
}

// SpringCollider is what springs keep out of: a capsule, a ball where Offset is Tail.
type SpringCollider struct {
	Node         Node
	Offset, Tail [3]float64 // in the node's own space
	Radius       float64
}

// Sprung tells for every node whether a spring turns it.
func (r *Rig) Sprung() []bool {
	out := make([]bool, len(r.Nodes))
	for i := range r.Springs {
		for _, j := range r.Springs[i].Joints {
			if j.Node >= 0 && int(j.Node) < len(out) && !j.Ends {
				out[j.Node] = true
			}
		}
	}
	return out
}
