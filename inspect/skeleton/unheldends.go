package skeleton

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// bodied tells a figure of a kind that has a body of joints that hold surface.
func (f *Facts) bodied() bool { return f.Figure || f.Kind.Beast || f.Kind.Kind == "hand" }

// finger splits the role of a finger's joint into side, finger and segment.
var finger = regexp.MustCompile(`^(left|right)(Thumb|Index|Middle|Ring|Little)(Metacarpal|Proximal|Intermediate|Distal)$`)

// measureEnds lists toes and fingers that hold nothing while their partner does, in figures of
// any kind, or, in a hand, while the same joint of two other fingers does: toes of both sides
// are often structure alone, and so is a mitten's whole hand. Ends of chains without a role count
// where the surface of what is above goes on beyond them; they are told as a note, since a
// mark of where a chain ends may stand short of its end.
func (f *Facts) measureEnds(stiff []bool) {
	holds := map[string]int{} // side and segment → fingers that hold
	for role, n := range f.roles.Bone {
		if m, j := finger.FindStringSubmatch(role), f.at(n); m != nil && j != nil && j.Influence > 0 {
			holds[m[1]+m[3]]++
		}
	}
	for i := range f.Joints {
		j := &f.Joints[i]
		if j.Influence > 0 || !j.Placed || stiff[j.Node] || j.EndSite || slices.Contains(f.Unheld, j.Node) {
			continue
		}
		part := &f.roles.Of[j.Node]
		m := finger.FindStringSubmatch(part.Role)
		partner := f.at(part.Partner)
		switch {
		case m == nil && !strings.HasSuffix(part.Role, "Toes"):
			if part.Role == "" && j.mainChild < 0 && f.endsChain(j.Node) && f.beyondEnd(j) {
				f.UnheldStill = append(f.UnheldStill, j.Node)
			}
		case j.below > 0 || f.helped(j):
		case partner != nil && partner.Influence > 0, m != nil && f.roles.Kind == anatomy.HandAlone && holds[m[1]+m[3]] >= 2:
			f.Unheld = append(f.Unheld, j.Node)
		}
	}
}

// endsChain tells that a joint without a side ends a run of three or more without a role.
func (f *Facts) endsChain(n rig.Node) bool {
	run := 0
	for ; n >= 0 && run < 3 && f.at(n) != nil && f.role(n) == "" && f.roles.Of[n].Partner < 0 && !f.roles.Of[n].Helper; n = f.jointParent(n) {
		run++
	}
	return run == 3
}

// beyondEnd tells that the surface which the joints above an end hold, up to the last one
// without a role, goes on beyond it by more than half of what lies between it and the next of
// them, in twelve places.
func (f *Facts) beyondEnd(j *Joint) bool {
	run := map[rig.Node]bool{}
	for up := f.jointParent(j.Node); up >= 0 && f.role(up) == "" && !run[up]; up = f.jointParent(up) {
		run[up] = true
	}
	up := f.at(f.jointParent(j.Node))
	if !up.Placed {
		return false
	}
	way := space.Vec(j.Position).Sub(space.Vec(up.Position))
	length := way.Len()
	return length > 0 && f.countBeyond(run, space.Vec(j.Position), way.Mul(1/length), goesOnBy*length) >= leastThere
}

// goesOnBy is how far the surface goes on beyond a mark of where a chain ends, of the bone
// before it: such a mark stands a little short of the end (common practice, no source).
const goesOnBy = 0.5

// countBeyond counts vertices that some joints hold by half or more and that lie farther than
// so much beyond a place, along a direction of length 1.
func (f *Facts) countBeyond(held map[rig.Node]bool, at, along space.Vec, far float64) (count int) {
	for i := range f.binds {
		joints := f.e.Rig.Skins[f.binds[i].skin].Joints
		for _, s := range f.binds[i].surfaces {
			m, rest := &f.e.Rig.Meshes[f.e.Rig.Surfaces[s].Mesh], f.e.RestPositions(s)
			for v := range m.Vertices() {
				if space.At(rest, v).Sub(at).Dot(along) <= far {
					continue
				}
				sum := float32(0)
				for x := v * m.K; x < (v+1)*m.K; x++ {
					if k := int(m.Joints[x]); m.Weights[x] > 0 && k < len(joints) && held[joints[k]] {
						sum += m.Weights[x]
					}
				}
				if sum >= 0.5 {
					count++
				}
			}
		}
	}
	return count
}

// turnsLeast is a turn of a joint in a clip that is seen where the surface stays behind.
const turnsLeast = 5.0 // degrees

// measureBranch lists the joint that limbs of both sides hang on (a chest, a croup) where
// it holds nothing while a joint above it holds and so do the limbs: the limbs leave the
// trunk when it turns. Hips are often structure alone and bear all of it.
func (f *Facts) measureBranch(stiff []bool) {
	hips := f.roles.Node("hips")
	for i := range f.Joints {
		j := &f.Joints[i]
		if j.Influence > 0 || !j.Placed || slices.Contains(f.Unheld, j.Node) || stiff[j.Node] && !f.holdsBeyond(j) || j.Node == hips || f.roles.Of[j.Node].Helper || !f.bearsPair(j.Node) {
			continue
		}
		held := false
		for up := f.jointParent(j.Node); up >= 0 && !held; up = f.jointParent(up) {
			held = f.at(up).Influence > 0
		}
		if !held || f.helped(j) || f.sharesPlace(j) {
			continue
		}
		if f.turned(j.Node) > turnsLeast {
			f.Unheld = append(f.Unheld, j.Node)
		} else {
			f.UnheldStill = append(f.UnheldStill, j.Node)
		}
	}
}

// bearsPair tells that two partners hang right below a joint and hold surface, themselves or
// by what is below them.
func (f *Facts) bearsPair(n rig.Node) bool {
	for i := range f.Joints {
		a := &f.Joints[i]
		if f.jointParent(a.Node) != n || a.below <= 0 {
			continue
		}
		if b := f.at(f.roles.Of[a.Node].Partner); b != nil && b.below > 0 && f.jointParent(b.Node) == n {
			return true
		}
	}
	return false
}

// sharesPlace tells that a joint with influence stands where this one does.
func (f *Facts) sharesPlace(j *Joint) bool {
	return slices.ContainsFunc(f.Joints, func(o Joint) bool {
		return o.Node != j.Node && o.Influence > 0 && o.Placed && space.Vec(o.Position).Sub(space.Vec(j.Position)).Len() < 1e-3*f.Diagonal
	})
}

// turned is how far clips turn a joint from one key to another at most, degrees.
func (f *Facts) turned(n rig.Node) (most float64) {
	for i := range f.e.Rig.Clips {
		for k := range f.e.Rig.Clips[i].Channels {
			c := &f.e.Rig.Clips[i].Channels[k]
			if c.Node != n || c.Path != rig.Rotation || c.Width != 4 || c.Interpolation == rig.Cubic {
				continue
			}
			var first space.Quat
			for v := 0; v+4 <= len(c.Values); v += 4 {
				q, _ := space.UnitQuat(space.FromXYZW([4]float64{float64(c.Values[v]), float64(c.Values[v+1]), float64(c.Values[v+2]), float64(c.Values[v+3])}))
				if v == 0 {
					first = q
				}
				if d := space.Apart(first, q) * 180 / math.Pi; d > most {
					most = d
				}
			}
		}
	}
	return most
}
