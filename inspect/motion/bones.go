package motion

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Bone says what stands between a joint and the one that it is measured from, and so
// what a change of that distance means.
type Bone string

const (
	LimbBone   Bone = "limb"   // of an arm or a leg, from its first joint outwards: it does not grow
	TrunkBone  Bone = "trunk"  // spine, neck, head
	FingerBone Bone = "finger" // from the second joint outwards
	ChainBone  Bone = "chain"  // of a tail, a strap, a cable, from its second joint outwards
	Socket     Bone = "socket" // no bone: shoulder, hip, palm, jaw and eye slide in the body, a helper where it likes
)

// limbs are the bones of arms and legs: the joint a bone ends at, and the one it starts at,
// on the left; where one is missing, the next.
var limbs = map[string][]string{
	"LowerArm": {"UpperArm"},
	"Hand":     {"LowerArm", "UpperArm"},
	"LowerLeg": {"UpperLeg"},
	"Foot":     {"LowerLeg", "UpperLeg"},
	"Toes":     {"Foot"},
}

// Stretched is a joint whose distance from the joint before it changes in a clip.
type Stretched struct {
	Node  rig.Node `json:"node"`
	From  rig.Node `json:"from"`  // of a limb the joint at which its bone starts, else the joint above
	Ratio float64  `json:"ratio"` // largest change of the distance ÷ that at rest
	Bone  Bone     `json:"bone"`
	Time  float64  `json:"time"`
}

// bone is one distance that is watched.
type bone struct {
	node, from rig.Node
	kind       Bone
	top        rig.Node   // the node under which both stand; None: roots
	between    []rig.Node // nodes below it on the ways to both, both among them
	rest       float64    // in the units of top
}

// farBone is how many nodes stand at most between a bone's end and the node above both of its
// ends (common practice, no source): what hangs by more is no bone, and nodes shared by
// thousands of such ways would be walked thousands of times.
const farBone = 64

// findBones lists the bones of the figure: those of the limbs by their roles, wherever
// their joints hang, and all others from joint to joint.
func (f *figure) findBones() {
	roles := f.e.Roles()
	isFigure := roles.IsFigure()
	for _, n := range f.r.Order {
		if !f.isJoint[n] || n == roles.Node("hips") || f.bare == nil && !f.bends[n] || f.bare != nil && !f.bare[n] {
			continue
		}
		b := bone{node: n, from: f.above[n], kind: f.boneOf(n, isFigure)}
		if from := f.limbFrom(n); b.kind == LimbBone && from >= 0 {
			b.from = from
		}
		if f.bare != nil && b.kind != LimbBone {
			if b.from = f.r.Nodes[n].Parent; b.from >= 0 && !f.bare[b.from] {
				b.from = rig.None
			}
		}
		if b.from < 0 {
			continue
		}
		// Joints at one place have no bone.
		if b.ways(f) && b.rest*f.scaleOf(b.top) > 1e-4*f.diagonal {
			f.bones = append(f.bones, b)
		}
	}
}

// limbFrom is the joint at which the bone starts that ends at a joint of a limb, None.
func (f *figure) limbFrom(n rig.Node) rig.Node {
	role := f.e.Roles().Of[n].Role
	side := "left"
	if strings.HasPrefix(role, "right") {
		side = "right"
	}
	for _, up := range limbs[strings.TrimPrefix(role, side)] {
		if from := f.e.Roles().Node(side + up); from >= 0 {
			return from
		}
	}
	return rig.None
}

// boneOf tells what kind of bone ends at a joint.
func (f *figure) boneOf(n rig.Node, isFigure bool) Bone {
	part := &f.e.Roles().Of[n]
	role := part.Role
	switch {
	case f.limbFrom(n) >= 0:
		return LimbBone
	case role == "spine", role == "chest", role == "upperChest", role == "neck", role == "head":
		return TrunkBone
	case part.Limb != "":
		// Of a figure that is no person: from the second joint outwards a limb is bones.
		up := f.above[n]
		switch {
		case up < 0 || f.e.Roles().Of[up].Limb != part.Limb:
			return Socket
		case strings.Contains(part.Limb, " limb"), strings.Contains(part.Limb, " leg"), strings.Contains(part.Limb, " wing"):
			return LimbBone
		}
		return ChainBone
	case strings.HasSuffix(role, "Intermediate"), strings.HasSuffix(role, "Distal"), strings.HasSuffix(role, "ThumbProximal"):
		return FingerBone
	case role != "", part.Helper:
		return Socket
	}
	// Without a role: the first joint of a run may slide where it hangs, and of a run of two
	// the second is mostly what a prop is drawn by. Where no body is known, any run counts.
	least := 3
	if !isFigure {
		least = 2
	}
	if run, at := f.runOf(n); at > 0 && run >= least {
		return ChainBone
	}
	return Socket
}

// runPlace is where a joint stands in a row of joints without a role, no branch between.
type runPlace struct{ length, at int }

// runOf is how many joints without a role stand in one row with a joint, no branch
// between them, and its place among them.
func (f *figure) runOf(n rig.Node) (length, at int) {
	if f.runs == nil {
		f.findRuns()
	}
	return f.runs[n].length, f.runs[n].at
}

// findRuns counts every row once from its first joint, and back from its last.
func (f *figure) findRuns() {
	roles := f.e.Roles()
	f.runs = make([]runPlace, len(f.r.Nodes))
	inRow := func(n rig.Node) bool { // with the joint above
		up := f.above[n]
		return up >= 0 && roles.Of[up].Role == "" && len(f.below[up]) == 1 && f.below[up][0] == n
	}
	for _, n := range f.r.Order {
		if inRow(n) {
			f.runs[n].at = f.runs[f.above[n]].at + 1
		}
	}
	for _, n := range slices.Backward(f.r.Order) {
		f.runs[n].length = f.runs[n].at + 1
		if len(f.below[n]) == 1 && roles.Of[n].Role == "" && roles.Of[f.below[n][0]].Role == "" {
			f.runs[n].length = f.runs[f.below[n][0]].length
		}
	}
}

// ways finds the node under which both ends stand and the nodes on the ways to them; false
// where those are too many for a bone.
func (b *bone) ways(f *figure) bool {
	up := func(n rig.Node) rig.Node { return f.r.Nodes[n].Parent }
	depth := func(n rig.Node) int32 {
		if n < 0 {
			return -1
		}
		return f.depth[n]
	}
	var other []rig.Node
	a, c := b.node, b.from
	for a != c {
		if len(b.between) == farBone || len(other) == farBone {
			f.farBones++
			return false
		}
		if depth(a) >= depth(c) {
			b.between, a = append(b.between, a), up(a)
		} else {
			other, c = append(other, c), up(c)
		}
	}
	b.top, b.between = a, append(b.between, other...)
	b.rest = b.length(f.locals, 0)
	return true
}

// scaleOf is how many metres one unit below a node is at rest.
func (f *figure) scaleOf(n rig.Node) float64 {
	if n < 0 {
		return 1
	}
	if one := f.e.RestWorld()[n].Scale(); one > 0 {
		return one
	}
	return 1
}

// length is the distance of both ends at a moment, in the units of the node above both: what
// turns, moves or scales the whole changes no bone.
func (b *bone) length(l *deform.Locals, seconds float64) float64 {
	end, start := l.Below(b.top, b.node, farBone, seconds), l.Below(b.top, b.from, farBone, seconds)
	return end.Origin().Sub(start.Origin()).Len()
}

// readStretched measures the bones that translation keys may pull. Where only the
// translation of the joint itself is keyed, its keys are all there is to look at; else
// the clip is stood in the moments of all channels between.
func (f *figure) readStretched(clip *Clip, c *rig.ClipData, keys []keyed) {
	shifts, other := make([]int, len(f.r.Nodes)), make([]bool, len(f.r.Nodes)) // channel + 1
	any := false
	for i := range keys {
		k := &keys[i]
		switch {
		case k.path == rig.Translation && !k.atRest:
			shifts[k.node], any = k.channel+1, true
		case k.path == rig.Rotation || k.path == rig.Scale:
			other[k.node] = other[k.node] || k.moves || !k.atRest
		}
	}
	if !any {
		return
	}
	for i := range f.bones {
		b := &f.bones[i]
		shifted, turned := false, b.top != b.from
		for _, n := range b.between {
			shifted = shifted || shifts[n] > 0
			turned = turned || n != b.node && (other[n] || shifts[n] > 0)
		}
		if !shifted {
			continue
		}
		s := Stretched{Node: b.node, From: b.from, Bone: b.kind}
		if turned {
			b.inClip(c, shifts, f.locals, &s)
		} else {
			f.byKeys(b, &c.Channels[shifts[b.node]-1], &s)
		}
		if s.Ratio = finite(s.Ratio); s.Ratio > 1e-3 {
			clip.Stretched = append(clip.Stretched, s)
		}
	}
	slices.SortStableFunc(clip.Stretched, func(a, b Stretched) int { return int(a.Node - b.Node) })
}

// byKeys looks at the translation keys of a joint, the nodes between at rest.
func (f *figure) byKeys(b *bone, ch *rig.Channel, s *Stretched) {
	between := rig.Identity
	for p := f.r.Nodes[b.node].Parent; p >= 0 && p != b.from; p = f.r.Nodes[p].Parent {
		between = f.r.Nodes[p].Matrix.Mul(&between)
	}
	length := func(t space.Vec) float64 { return between.Point(t).Len() }
	rest := length(f.r.Nodes[b.node].T)
	for x := range ch.Times {
		v := at(ch, x)
		l := length(space.At(ch.Values[v:], 0))
		s.take(l, rest, float64(ch.Times[x]))
	}
}

// mostStretched moments are looked at where more than a joint's own keys move a bone.
const mostStretched = 600

// inClip looks at the moments of the longest translation channel between.
func (b *bone) inClip(c *rig.ClipData, shifts []int, l *deform.Locals, s *Stretched) {
	var times []float32
	for _, n := range b.between {
		if k := shifts[n]; k > 0 && len(c.Channels[k-1].Times) > len(times) {
			times = c.Channels[k-1].Times
		}
	}
	step := (len(times) + mostStretched - 1) / mostStretched
	for i := 0; i < len(times); i += step {
		t := float64(times[i])
		s.take(b.length(l, t), b.rest, t)
	}
}

func (s *Stretched) take(length, rest, time float64) {
	if ratio := math.Abs(length-rest) / rest; ratio > s.Ratio {
		s.Ratio, s.Time = ratio, time
	}
}
