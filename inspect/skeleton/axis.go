package skeleton

import (
	"context"
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// AxesFact is how the joints' own axes lie.
type AxesFact struct {
	Majority  string   `json:"majority"` // own axis that lies along most bones of joints with a role, "" without any
	Outliers  int      `json:"outliers"` // of those, how many have it more than 45° off
	Of        int      `json:"of"`
	Parallel  bool     `json:"parallel_to_world"` // all frames are the world's
	Frames    string   `json:"frames"`            // of pairs: mirrored, copied, both, mixed, neither, ""
	Hand      bool     `json:"webxr_hand"`
	HandWorst *float64 `json:"webxr_worst_degrees"`
	OldWorst  *float64 `json:"vrm0_worst_degrees"` // largest rest rotation of a declared bone, VRM 0.x

	Off     []rig.Node `json:"off" wire:"null"`        // the outliers
	HandOff []OffBone  `json:"webxr_off" wire:"null"`  // −Z off the bone
	OldOff  []OffBone  `json:"vrm0_turns" wire:"null"` // rest rotations
}

// OffBone is a joint and how far its frame is from where the format wants it.
type OffBone struct {
	Node    rig.Node `json:"node"`
	Name    rig.Name `json:"name"`
	Degrees float64  `json:"degrees"`
}

var axisNames = [6]string{"+x", "-x", "+y", "-y", "+z", "-z"}

const (
	farOff    = 45.0 // degrees: nearer to another axis
	sameFrame = 20.0 // degrees: two frames count as equal. Rolls of 10° to 15° apart are met in sound figures (common practice)
)

// measureAxes tells which own axis lies along each bone, and how the frames of
// partners go together.
func (f *Facts) measureAxes(context.Context) error {
	world := f.e.RestWorld()
	own := func(n rig.Node) [3]space.Vec { return columns(&world[n]) }
	var votes [6]int
	f.Axes.Parallel = len(f.Joints) > 1
	for i := range f.Joints {
		j := &f.Joints[i]
		c := own(j.Node)
		for k := range 3 {
			if !(c[k][k] > math.Cos(math.Pi/180)) {
				f.Axes.Parallel = false
			}
		}
		d, ok := f.bone(j)
		if !ok {
			continue
		}
		best, angle := -1, math.Inf(1)
		for k, name := range axisNames {
			a := c[k/2]
			if k%2 == 1 {
				a = a.Mul(-1)
			}
			if off := mgl64.RadToDeg(space.Angle(a, d)); a.Len() > 0 && off < angle-1e-6 {
				best, angle = k, off
				j.Axis, j.AxisOff = word(name), number(off)
			}
		}
		if best >= 0 && j.Role != nil {
			votes[best]++
			f.Axes.Of++
		}
	}
	most := 0
	for k := range votes {
		if votes[k] > votes[most] {
			most = k
		}
	}
	if f.Axes.Of > 0 {
		f.Axes.Majority = axisNames[most]
		for i := range f.Joints {
			j := &f.Joints[i]
			d, ok := f.bone(j)
			if !ok || j.Role == nil || j.Axis == nil {
				continue
			}
			a := own(j.Node)[most/2]
			if most%2 == 1 {
				a = a.Mul(-1)
			}
			if mgl64.RadToDeg(space.Angle(a, d)) > farOff {
				f.Axes.Outliers++
				f.Axes.Off = append(f.Axes.Off, j.Node)
			}
		}
	}
	f.pairFrames(own)
	f.handAxes(own)
	f.oldRotations()
	return nil
}

// bone is the direction of a joint's bone, false at ends.
func (f *Facts) bone(j *Joint) (space.Vec, bool) {
	t := f.at(j.Towards)
	if t == nil || !t.Placed || !j.Placed {
		return space.Vec{}, false
	}
	d := t.Position.Sub(j.Position)
	if !(d.Len() > zeroShare*f.Diagonal) || d.Len() == 0 {
		return space.Vec{}, false
	}
	return d.Normalize(), true
}

// rules are the ways to flip own axes so that a mirrored frame is right-handed again.
var rules = [4]space.Vec{{-1, 1, 1}, {1, -1, 1}, {1, 1, -1}, {-1, -1, -1}}

// pairFrames tells for each pair whether the right frame is the mirror image of the
// left one (one or all three axes flipped, so that it stays right-handed), a copy of
// it, both (frames parallel to the mirror plane), or neither. Before that the right
// bone is turned onto the image of the left one, the shortest way: what a pose of one
// arm alone does to its frame is no rule.
func (f *Facts) pairFrames(own func(rig.Node) [3]space.Vec) {
	var mirrored, copied, both, neither int
	for i := range f.Pairs {
		p := &f.Pairs[i]
		if !f.middle.known {
			continue
		}
		l, r := own(p.Left), own(p.Right)
		if l[0].Len() == 0 || l[1].Len() == 0 || l[2].Len() == 0 || r[0].Len() == 0 || r[1].Len() == 0 || r[2].Len() == 0 {
			continue
		}
		image := [3]space.Vec{f.middle.flip(l[0]), f.middle.flip(l[1]), f.middle.flip(l[2])}
		fits := map[bool]bool{}
		p.rule = -1
		straight := r
		lb, okL := f.bone(f.at(p.Left))
		rb, okR := f.bone(f.at(p.Right))
		if okL && okR {
			straight = turned(r, rb, f.middle.flip(lb))
		}
		best := sameFrame
		for k, s := range rules {
			worst := 0.0
			for c := range 3 {
				worst = max(worst, mgl64.RadToDeg(space.Angle(image[c].Mul(s[c]), straight[c])))
			}
			if worst <= best {
				fits[true], p.rule, best = true, k, worst
			}
		}
		worst := 0.0
		for c := range 3 {
			worst = max(worst, mgl64.RadToDeg(space.Angle(l[c], r[c])))
		}
		fits[false] = worst <= sameFrame
		switch {
		case fits[true] && fits[false]:
			p.Frames = "both"
		case fits[true]:
			p.Frames = "mirrored"
		case fits[false]:
			p.Frames = "copied"
		default:
			p.Frames = "neither"
		}
		if !p.Known {
			continue
		}
		switch p.Frames {
		case "both":
			both++
		case "mirrored":
			mirrored++
		case "copied":
			copied++
		default:
			neither++
		}
	}
	switch {
	case mirrored+copied+both+neither == 0:
	case neither > 0 && mirrored+copied+both == 0:
		f.Axes.Frames = "neither"
	case neither > 0 || mirrored > 0 && copied > 0:
		f.Axes.Frames = "mixed"
	case mirrored > 0:
		f.Axes.Frames = "mirrored"
	case copied > 0:
		f.Axes.Frames = "copied"
	default:
		f.Axes.Frames = "both"
	}
}

// turned carries a frame along the least rotation from one direction to another.
func turned(frame [3]space.Vec, from, to space.Vec) [3]space.Vec {
	axis := from.Cross(to)
	s, c := axis.Len(), from.Dot(to)
	if s < 1e-12 {
		return frame
	}
	axis = axis.Mul(1 / s)
	for i, v := range frame {
		frame[i] = v.Mul(c).Add(axis.Cross(v).Mul(s)).Add(axis.Mul(axis.Dot(v) * (1 - c)))
	}
	return frame
}

// webXRFingers and their joints: the names of WebXR Hand Input.
var (
	webXRFingers = []string{"thumb", "index-finger", "middle-finger", "ring-finger", "pinky-finger"}
	webXRJoints  = []string{"metacarpal", "phalanx-proximal", "phalanx-intermediate", "phalanx-distal", "tip"}
)

// handAxes measures −Z against the bones of a hand that is named as WebXR names it.
func (f *Facts) handAxes(own func(rig.Node) [3]space.Vec) {
	by := map[string]rig.Node{}
	for i := range f.Joints {
		name := strings.ToLower(string(f.Joints[i].Name))
		if _, twice := by[name]; twice {
			return // two hands in one file: the names say nothing
		}
		by[name] = f.Joints[i].Node
	}
	hits := 0
	for _, finger := range webXRFingers {
		for _, joint := range webXRJoints {
			if _, ok := by[finger+"-"+joint]; ok {
				hits++
			}
		}
	}
	if _, wrist := by["wrist"]; !wrist || hits < 20 {
		return
	}
	f.Axes.Hand = true
	worst := 0.0
	look := func(from, to rig.Node) {
		a, b := f.at(from), f.at(to)
		d := b.Position.Sub(a.Position)
		if !(d.Len() > 0) {
			return
		}
		off := mgl64.RadToDeg(space.Angle(own(from)[2].Mul(-1), d))
		f.Axes.HandOff = append(f.Axes.HandOff, OffBone{from, a.Name, off})
		worst = max(worst, off)
	}
	for _, finger := range webXRFingers {
		last := rig.Node(rig.None)
		for _, joint := range webXRJoints {
			n, ok := by[finger+"-"+joint]
			if !ok {
				continue
			}
			if last >= 0 {
				look(last, n)
			}
			last = n
		}
	}
	f.Axes.HandWorst = number(worst)
}

// oldRotations measures the rest rotations of the bones that a VRM 0.x file declares.
func (f *Facts) oldRotations() {
	h := &f.e.Rig.Humanoid
	if h.Version != "0" {
		return
	}
	worst := 0.0
	for _, role := range sortedRoles(h.Bones) {
		n := h.Bones[role]
		if n < 0 || int(n) >= len(f.e.Rig.Nodes) {
			continue
		}
		d := mgl64.RadToDeg(f.e.Rig.Nodes[n].Matrix.Turned())
		worst = max(worst, zeroNaN(d))
		f.Axes.OldOff = append(f.Axes.OldOff, OffBone{n, rig.Name(f.e.Rig.Nodes[n].Name), zeroNaN(d)})
	}
	f.Axes.OldWorst = number(worst)
}
