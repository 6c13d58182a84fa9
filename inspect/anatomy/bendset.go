package anatomy

import (
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Turn is one move of the bend set: a joint turns about an axis through its place
// at rest, and everything that hangs on it with it.
type Turn struct {
	Joint    rig.Node
	Axis     string     // flexion, abduction, rotation; without a role: x, y, z, the joint's own axis nearest to it
	Dir      mgl64.Vec3 // unit, world, rest pose; right-hand rule
	Min, Max float64    // degrees from rest; Min ≤ 0 ≤ Max
	Source   string     // of the limits
	Rest     float64    // degrees that the joint is turned about the axis at rest, from the anatomical zero of the table
	From, To float64    // the limits from that zero
}

// Ends are the angles at the ends of the range, without 0.
func (t *Turn) Ends() (degrees []float64) {
	for _, d := range [2]float64{t.Min, t.Max} {
		if d != 0 {
			degrees = append(degrees, d)
		}
	}
	return degrees
}

// Rotation is the matrix of the move at an angle: the turn about Dir through the
// joint's place at rest.
func (t *Turn) Rotation(place mgl64.Vec3, degrees float64) rig.Affine {
	return Rotation(place, t.Dir, degrees)
}

// Rotation turns about a unit axis through a place, right-hand rule
// (p → place + R(p − place)).
func Rotation(place, axis mgl64.Vec3, degrees float64) rig.Affine {
	s, c := math.Sincos(degrees * math.Pi / 180)
	x, y, z, k := axis[0], axis[1], axis[2], 1-c
	a := rig.Affine{
		c + x*x*k, x*y*k - z*s, x*z*k + y*s, 0,
		y*x*k + z*s, c + y*y*k, y*z*k - x*s, 0,
		z*x*k - y*s, z*y*k + x*s, c + z*z*k, 0,
	}
	q := place.Sub(a.Direction(place))
	a[3], a[7], a[11] = q[0], q[1], q[2]
	return a
}

// Angles of the fallback: a joint without a role turns so far about both axes across
// its bone, and about the bone (common practice, no source).
const (
	acrossDegrees = 45
	aboutDegrees  = 90
)

// SkinJoints are the joints of all skins, each once, in node order: what the bend set
// turns.
func SkinJoints(r *rig.Rig) (joints []rig.Node) {
	is := make([]bool, len(r.Nodes))
	for s := range r.Skins {
		for _, j := range r.Skins[s].Joints {
			if j >= 0 && int(j) < len(is) {
				is[j] = true
			}
		}
	}
	for n, yes := range is {
		if yes {
			joints = append(joints, rig.Node(n))
		}
	}
	return joints
}

// BendSet lists the moves of every joint, in the order given: those with a role
// about their anatomical axes to the range of motion of a healthy adult, each axis
// carried along where the rest pose is not a T-pose; those without about their own
// axes. Hips are not bent. Joints whose bone has no length and no parent to go by
// turn about the world's axes.
func (r *Roles) BendSet(g *rig.Rig, restWorld []rig.Affine, joints []rig.Node) []Turn {
	b := &bender{roles: r, world: restWorld, main: MainChildren(g, restWorld, joints), nodes: g.Nodes}
	b.lateral, b.up, b.forward, b.upright = r.bodyFrame()
	b.extra = b.shares()
	var out []Turn
	for _, j := range joints {
		role := r.Of[j].Role
		if role == "hips" {
			continue
		}
		before := len(out)
		if role != "" {
			out = b.anatomical(out, j, role)
		}
		if len(out) == before {
			out = b.plain(out, j)
		}
	}
	return out
}

// bender works out the moves of one rig.
type bender struct {
	roles                *Roles
	nodes                []rig.NodeData
	world                []rig.Affine
	main                 []rig.Node
	lateral, up, forward mgl64.Vec3 // the figure's left, up, front: a right-handed frame
	upright              bool       // the frame of the body is known
	extra                map[string]map[string][2]float64
}

// Frame answers the figure's left, up and front at rest, unit, a right-handed frame;
// false when it has no limbs to tell them by. Up is the world's unless the trunk
// leans by more than 30°.
func (r *Roles) Frame() (left, up, front mgl64.Vec3, ok bool) { return r.bodyFrame() }

// bodyFrame answers left, up and front of the figure. A figure that stands has the
// world's up; one that lies or leans by more than 30° its own, along the trunk.
func (r *Roles) bodyFrame() (left, up, front mgl64.Vec3, ok bool) {
	up = mgl64.Vec3{0, 1, 0}
	lean := r.Stands()
	if f, found := r.Facing(); found && !(lean > 30) {
		front = f
		return up.Cross(front), up, front, true
	}
	trunk := r.up()
	if trunk.Len() == 0 {
		return left, up, front, false
	}
	trunk = trunk.Normalize()
	for _, bone := range []string{"UpperLeg", "UpperArm"} {
		l, rt := r.Node("left"+bone), r.Node("right"+bone)
		if l < 0 || rt < 0 {
			continue
		}
		left = r.positions[l].Sub(r.positions[rt])
		left = left.Sub(trunk.Mul(left.Dot(trunk)))
		if left.Len() > 1e-9 {
			left = left.Normalize()
			return left, trunk, left.Cross(trunk), true
		}
	}
	return left, up, front, false
}

// handFrame answers the frame that a hand alone would have on a body in T-pose:
// fingers outwards, index finger in front.
func (b *bender) handFrame(s Side) (left, up, front mgl64.Vec3, ok bool) {
	hand, middle := b.roles.Node(sided(s, "Hand")), b.roles.Node(sided(s, "MiddleProximal"))
	index, little := b.roles.Node(sided(s, "IndexProximal")), b.roles.Node(sided(s, "LittleProximal"))
	if middle < 0 || index < 0 || little < 0 {
		return
	}
	from := b.roles.positions[middle]
	if hand >= 0 {
		from = b.roles.positions[hand]
		left = b.roles.positions[middle].Sub(from)
	} else if tip := b.roles.Node(sided(s, "MiddleDistal")); tip >= 0 {
		left = b.roles.positions[tip].Sub(from)
	}
	if left.Len() < 1e-12 {
		return
	}
	left = left.Normalize()
	if s == Right {
		left = left.Mul(-1)
	}
	front = b.roles.positions[index].Sub(b.roles.positions[little])
	front = front.Sub(left.Mul(front.Dot(left)))
	if front.Len() < 1e-12 {
		return
	}
	front = front.Normalize()
	return left, front.Cross(left), front, true
}

// shares adds up what the trunk bones take over from those that the rig lacks.
func (b *bender) shares() map[string]map[string][2]float64 {
	out := map[string]map[string][2]float64{}
	for i := range bends {
		row := &bends[i]
		if b.roles.Node(row.bone) >= 0 {
			continue
		}
		for _, heir := range heirs[row.bone] {
			if b.roles.Node(heir) < 0 {
				continue
			}
			if out[heir] == nil {
				out[heir] = map[string][2]float64{}
			}
			e := out[heir][row.axis]
			out[heir][row.axis] = [2]float64{e[0] + row.min, e[1] + row.max}
			break
		}
	}
	return out
}

// anatomical appends the moves of a joint with a role; none where the figure's
// frame cannot be told.
func (b *bender) anatomical(out []Turn, j rig.Node, role string) []Turn {
	side, bone := sideOf(role), strings.TrimPrefix(strings.TrimPrefix(role, "left"), "right")
	left, up, front, ok := b.lateral, b.up, b.forward, b.upright
	if !ok && !isBody(role) || !ok && bone == "Hand" {
		left, up, front, ok = b.handFrame(side)
	}
	if !ok {
		return out
	}
	mirror := 1.0 // of what a turn's axis loses on the right
	if side == Right {
		mirror = -1
	}
	world := func(x, y, z float64) mgl64.Vec3 {
		return left.Mul(x).Add(up.Mul(y)).Add(front.Mul(z))
	}
	var d0 mgl64.Vec3
	if t, has := tPose[bone]; has {
		d0 = world(mirror*t[0], t[1], t[2])
	} else if side == Centre && role != "jaw" {
		d0 = up
	}
	d1, known := b.along(j, role)
	if known && (bone == "Foot" || bone == "Toes") {
		// The slope of a foot at rest is its build, not its pose: only its heading counts.
		if level := d1.Sub(up.Mul(d1.Dot(up))); level.Len() > 0.2 {
			d1 = level.Normalize()
		} else {
			known = false
		}
	}
	carry := func(v mgl64.Vec3) mgl64.Vec3 { return v }
	moved := known && d0.Len() > 0
	if moved && side == Centre && d1.Dot(up) >= math.Cos(30*math.Pi/180) {
		moved = false
	}
	if moved {
		q := space.Between(d0, d1)
		carry = q.Rotate
	}
	for i := range bends {
		row := &bends[i]
		if row.bone != bone {
			continue
		}
		t := Turn{Joint: j, Axis: row.axis, Min: row.min, Max: row.max, Source: row.source, From: row.min, To: row.max}
		t.Dir = carry(world(row.x, mirror*row.y, mirror*row.z)).Normalize()
		if moved && row.axis == "rotation" {
			s := world(row.x, mirror*row.y, mirror*row.z).Dot(d0)
			t.Dir = d1.Mul(math.Copysign(1, s))
		}
		if e, more := b.extra[role][row.axis]; more {
			t.Min, t.Max = t.Min+e[0], t.Max+e[1]
			t.From, t.To = t.Min, t.Max
		}
		switch {
		case bone == "UpperArm" && row.axis == "abduction":
			if b.roles.Node(sided(side, "Shoulder")) >= 0 {
				t.Max, t.To = 60, 60 // 120 of 180 at this joint, less the 60 used in the T-pose
			}
			if moved {
				below := math.Asin(max(-1, min(1, -d1.Dot(up)))) * 180 / math.Pi
				t.Min, t.Max, t.Rest = t.Min+below, t.Max+below, -below
			}
		case (bone == "LowerArm" || bone == "LowerLeg") && row.axis == "flexion":
			t.Rest = b.bent(j, role, d1, known, t.Dir)
			t.Max -= t.Rest
		case bone == "UpperLeg" && row.axis != "rotation" && moved:
			// How far the thigh is swung from hanging, for those who count from there; the
			// moves start from the rest pose as it is.
			t.Rest = math.Asin(max(-1, min(1, d1.Dot(world(row.x, mirror*row.y, mirror*row.z).Cross(d0))))) * 180 / math.Pi
		case (bone == "ThumbProximal" || bone == "ThumbDistal") && row.axis == "flexion":
			if n, ok := b.thumb(side); ok {
				t.Dir = n
			}
		}
		t.Min, t.Max = min(t.Min, 0), max(t.Max, 0)
		out = append(out, t)
	}
	return out
}

// plain appends the moves of a joint without a role. The joint's own axis nearest
// to the bone gives its letter to the turn about the bone; the two others, squared
// to it, to the turns across.
func (b *bender) plain(out []Turn, j rig.Node) []Turn {
	var own [3]mgl64.Vec3
	for c := range 3 {
		v := mgl64.Vec3{b.world[j][c], b.world[j][4+c], b.world[j][8+c]}
		if l := v.Len(); l > 1e-12 && !math.IsInf(l, 0) {
			own[c] = v.Mul(1 / l)
		} else {
			own[c][c] = 1
		}
	}
	along, ok := b.along(j, "")
	if !ok {
		along = own[1]
	}
	nearest := 0
	for c := range 3 {
		if math.Abs(own[c].Dot(along)) > math.Abs(own[nearest].Dot(along))+1e-9 {
			nearest = c
		}
	}
	if own[nearest].Dot(along) < 0 {
		along = along.Mul(-1)
	}
	var dirs [3]mgl64.Vec3
	dirs[nearest] = along
	a, z := (nearest+1)%3, (nearest+2)%3
	dirs[a] = own[a].Sub(along.Mul(own[a].Dot(along)))
	if dirs[a].Len() < 1e-6 {
		dirs[a] = space.Square(along)
	}
	dirs[a] = dirs[a].Normalize()
	dirs[z] = along.Cross(dirs[a])
	if dirs[z].Dot(own[z]) < 0 {
		dirs[z] = dirs[z].Mul(-1)
	}
	for c, name := range [3]string{"x", "y", "z"} {
		far := float64(acrossDegrees)
		if c == nearest {
			far = aboutDegrees
		}
		out = append(out, Turn{Joint: j, Axis: name, Dir: dirs[c], Min: -far, Max: far, From: -far, To: far, Source: practice})
	}
	return out
}
