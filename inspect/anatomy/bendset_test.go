package anatomy

import (
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// tFigure stands in T-pose by the fractions of stature of Drillis & Contini (as
// printed in Winter), 1.75 m, from left side joints by role; the right negates x.
// Only what is named in without is left out.
func tFigure(without ...string) (*Roles, *rig.Rig, []rig.Affine, []rig.Node) {
	places := []struct {
		role    string
		parent  string
		x, y, z float64
	}{
		{"hips", "", 0, .9275, 0}, {"spine", "hips", 0, 1.05, 0}, {"chest", "spine", 0, 1.2, 0},
		{"upperChest", "chest", 0, 1.3, 0}, {"neck", "upperChest", 0, 1.45, 0}, {"head", "neck", 0, 1.55, 0},
		{"leftShoulder", "upperChest", .05, 1.4315, 0},
		{"leftUpperArm", "leftShoulder", .22575, 1.4315, 0}, {"leftLowerArm", "leftUpperArm", .55125, 1.4315, 0},
		{"leftHand", "leftLowerArm", .80675, 1.4315, 0}, {"leftMiddleProximal", "leftHand", .9, 1.4315, 0},
		{"leftThumbMetacarpal", "leftHand", .83, 1.4315, .03}, {"leftThumbProximal", "leftThumbMetacarpal", .85, 1.4315, .05},
		{"leftThumbDistal", "leftThumbProximal", .87, 1.4315, .07},
		{"leftUpperLeg", "hips", .167125, .9275, 0}, {"leftLowerLeg", "leftUpperLeg", .167125, .49875, 0},
		{"leftFoot", "leftLowerLeg", .167125, .06825, 0}, {"leftToes", "leftFoot", .167125, .02, .12},
	}
	g := &rig.Rig{}
	r := &Roles{Bone: map[string]rig.Node{}}
	var world []rig.Affine
	var joints []rig.Node
	add := func(role, parent string, p mgl64.Vec3) {
		n := rig.Node(len(g.Nodes))
		up, ok := r.Bone[parent]
		if !ok {
			up = rig.None
		}
		for _, w := range without {
			if w == role {
				return
			}
		}
		if parent != "" && up < 0 { // the parent is left out: hang on what is next above
			up = n - 1
		}
		g.Nodes = append(g.Nodes, rig.NodeData{Name: role, Parent: up})
		if up >= 0 {
			g.Nodes[up].Children = append(g.Nodes[up].Children, n)
		}
		a := rig.Identity
		a[3], a[7], a[11] = p[0], p[1], p[2]
		world, joints = append(world, a), append(joints, n)
		r.Of = append(r.Of, Part{Role: role, Side: sideOf(role), Partner: rig.None})
		r.Bone[role] = n
		r.positions = append(r.positions, p)
	}
	for _, q := range places {
		add(q.role, q.parent, mgl64.Vec3{q.x, q.y, q.z})
	}
	for _, q := range places {
		if strings.HasPrefix(q.role, "left") {
			parent := q.parent
			if strings.HasPrefix(parent, "left") {
				parent = mirrored(parent)
			}
			add(mirrored(q.role), parent, mgl64.Vec3{-q.x, q.y, q.z})
		}
	}
	g.SetOrder()
	return r, g, world, joints
}

func turnOf(t *testing.T, set []Turn, r *Roles, role, axis string) *Turn {
	t.Helper()
	for i := range set {
		if set[i].Joint == r.Node(role) && set[i].Axis == axis {
			return &set[i]
		}
	}
	t.Fatalf("no %s of %s", axis, role)
	return nil
}

func near(t *testing.T, what string, got, want mgl64.Vec3, within float64) {
	t.Helper()
	if !(got.Sub(want).Len() <= within) {
		t.Errorf("%s: %.5f, want %.5f", what, got, want)
	}
}

// Worked moves of the T-figure (closed form: a turn of a point about an axis).
func TestWorkedMoves(t *testing.T) {
	r, g, world, joints := tFigure()
	set := r.BendSet(g, world, joints)
	elbow, wrist, tip := mgl64.Vec3{.55125, 1.4315, 0}, mgl64.Vec3{.80675, 1.4315, 0}, mgl64.Vec3{.99575, 1.4315, 0}
	knee, ankle, toe := mgl64.Vec3{.167125, .49875, 0}, mgl64.Vec3{.167125, .06825, 0}, mgl64.Vec3{.167125, 0, .175}
	flip := func(v mgl64.Vec3) mgl64.Vec3 { return mgl64.Vec3{-v[0], v[1], v[2]} }
	for _, row := range []struct {
		role, axis string
		degrees    float64
		probe      mgl64.Vec3
		lands      mgl64.Vec3
	}{
		{"leftUpperArm", "abduction", 90, elbow, mgl64.Vec3{.2258, 1.7570, 0}},
		{"leftUpperArm", "abduction", -90, elbow, mgl64.Vec3{.2258, 1.1060, 0}},
		{"rightUpperArm", "abduction", 90, flip(elbow), mgl64.Vec3{-.2258, 1.7570, 0}},
		{"leftUpperArm", "flexion", 130, elbow, mgl64.Vec3{.0165, 1.4315, .2493}},
		{"rightUpperArm", "flexion", 130, flip(elbow), mgl64.Vec3{-.0165, 1.4315, .2493}},
		{"leftLowerArm", "flexion", 90, wrist, mgl64.Vec3{.5513, 1.4315, .2555}},
		{"leftLowerArm", "flexion", 145, wrist, mgl64.Vec3{.3420, 1.4315, .1465}},
		{"rightLowerArm", "flexion", 145, flip(wrist), mgl64.Vec3{-.3420, 1.4315, .1465}},
		{"leftHand", "flexion", 80, tip, mgl64.Vec3{.8396, 1.2454, 0}},
		{"leftHand", "abduction", 20, tip, mgl64.Vec3{.9844, 1.4315, .0646}},
		{"leftUpperLeg", "flexion", 120, knee, mgl64.Vec3{.1671, 1.1419, .3713}},
		{"leftUpperLeg", "abduction", 45, knee, mgl64.Vec3{.4703, .6243, 0}},
		{"leftUpperLeg", "rotation", 45, toe, mgl64.Vec3{.0434, 0, .1237}},
		{"rightUpperLeg", "rotation", 45, flip(toe), mgl64.Vec3{-.0434, 0, .1237}},
		{"leftLowerLeg", "flexion", 135, ankle, mgl64.Vec3{.1671, .8032, -.3044}},
		{"leftFoot", "flexion", 20, toe, mgl64.Vec3{.1671, .0640, .1878}},
		{"leftFoot", "flexion", -50, toe, mgl64.Vec3{.1671, -.1097, .0602}},
	} {
		move := turnOf(t, set, r, row.role, row.axis)
		a := move.Rotation(world[move.Joint].Origin(), row.degrees)
		near(t, row.role+" "+row.axis, a.Point(row.probe), row.lands, 1e-4)
	}
	for _, row := range []struct {
		role, axis  string
		degrees     float64
		probe, turn mgl64.Vec3
	}{
		{"leftLowerArm", "rotation", 80, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{0, -.9848, .1736}},
		{"leftLowerArm", "rotation", 80, mgl64.Vec3{0, -1, 0}, mgl64.Vec3{0, -.1736, -.9848}},
		{"rightLowerArm", "rotation", 80, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{0, -.9848, .1736}},
		{"rightLowerArm", "rotation", 80, mgl64.Vec3{0, -1, 0}, mgl64.Vec3{0, -.1736, -.9848}},
		{"leftFoot", "rotation", 35, mgl64.Vec3{0, -1, 0}, mgl64.Vec3{-.5736, -.8192, 0}},
		{"rightFoot", "rotation", 35, mgl64.Vec3{0, -1, 0}, mgl64.Vec3{.5736, -.8192, 0}},
		{"spine", "flexion", 40, mgl64.Vec3{0, 1, 0}, mgl64.Vec3{0, .7660, .6428}},
		{"spine", "abduction", 20, mgl64.Vec3{0, 1, 0}, mgl64.Vec3{.3420, .9397, 0}},
		{"spine", "rotation", 45, mgl64.Vec3{0, 0, 1}, mgl64.Vec3{.7071, 0, .7071}},
		{"leftThumbMetacarpal", "flexion", 15, mgl64.Vec3{half, 0, half}, mgl64.Vec3{.8660, 0, .5}},
		{"leftThumbMetacarpal", "flexion", -20, mgl64.Vec3{half, 0, half}, mgl64.Vec3{.4226, 0, .9063}},
		{"leftThumbMetacarpal", "abduction", 70, mgl64.Vec3{half, 0, half}, mgl64.Vec3{.2418, -.9397, .2418}},
	} {
		move := turnOf(t, set, r, row.role, row.axis)
		a := move.Rotation(mgl64.Vec3{}, row.degrees)
		near(t, row.role+" "+row.axis, a.Direction(row.probe), row.turn, 1e-4)
	}
}

// A rest pose other than T: axes go with the bone.
func TestCarriedAxes(t *testing.T) {
	for _, row := range []struct {
		arm          mgl64.Vec3
		flex, spread mgl64.Vec3
		below        float64
	}{
		{mgl64.Vec3{.866025, -.5, 0}, mgl64.Vec3{-.5, -.866025, 0}, mgl64.Vec3{0, 0, 1}, 30},
		{mgl64.Vec3{.707107, -.707107, 0}, mgl64.Vec3{-.707107, -.707107, 0}, mgl64.Vec3{0, 0, 1}, 45},
		{mgl64.Vec3{.173648, -.984808, 0}, mgl64.Vec3{-.984808, -.173648, 0}, mgl64.Vec3{0, 0, 1}, 80},
		{mgl64.Vec3{.829561, -.518476, .207390}, mgl64.Vec3{-.518476, -.853070, -.058772}, mgl64.Vec3{-.207390, .058772, .976491}, 31.2293},
	} {
		r, g, world, joints := tFigure()
		at := r.positions[r.Node("leftUpperArm")]
		for i, role := range []string{"leftLowerArm", "leftHand", "leftMiddleProximal"} {
			n := r.Node(role)
			r.positions[n] = at.Add(row.arm.Mul(.25 * float64(i+1)))
			world[n][3], world[n][7], world[n][11] = r.positions[n][0], r.positions[n][1], r.positions[n][2]
		}
		set := r.BendSet(g, world, joints)
		near(t, "LowerArm flexion", turnOf(t, set, r, "leftLowerArm", "flexion").Dir, row.flex, 2e-6)
		spread := turnOf(t, set, r, "leftUpperArm", "abduction")
		near(t, "UpperArm abduction", spread.Dir, row.spread, 2e-6)
		// The ends of the range stay where they are: a Shoulder is there, so 60 up.
		if math.Abs(spread.Min-(-90+row.below)) > 1e-3 || math.Abs(spread.Max-(60+row.below)) > 1e-3 {
			t.Errorf("%.0f° below: %g … %g", row.below, spread.Min, spread.Max)
		}
		near(t, "rotation", turnOf(t, set, r, "leftUpperArm", "rotation").Dir, row.arm, 2e-6)
	}
}

// What a rig lacks of the trunk goes to the next below, or the head.
func TestTrunkShares(t *testing.T) {
	for _, row := range []struct {
		without  []string
		role     string
		axis     string
		min, max float64
	}{
		{nil, "spine", "flexion", -15, 40},
		{[]string{"upperChest"}, "chest", "flexion", -10, 40},
		{[]string{"upperChest", "chest"}, "spine", "flexion", -25, 80}, // the whole trunk
		{[]string{"upperChest", "chest"}, "spine", "abduction", -35, 35},
		{[]string{"upperChest", "chest"}, "spine", "rotation", -45, 45},
		{[]string{"neck"}, "head", "flexion", -45, 45},
		{[]string{"neck"}, "head", "abduction", -45, 45},
		{[]string{"neck"}, "head", "rotation", -60, 60},
		{[]string{"leftShoulder"}, "leftUpperArm", "abduction", -90, 90},
		{nil, "leftUpperArm", "abduction", -90, 60},
	} {
		r, g, world, joints := tFigure(row.without...)
		m := turnOf(t, r.BendSet(g, world, joints), r, row.role, row.axis)
		if math.Abs(m.Min-row.min) > 1e-9 || math.Abs(m.Max-row.max) > 1e-9 {
			t.Errorf("without %v: %s %s %g … %g, want %g … %g", row.without, row.role, row.axis, m.Min, m.Max, row.min, row.max)
		}
	}
}

// A figure that faces elsewhere takes its axes along; partners stay mirror images.
func TestBendSetTurned(t *testing.T) {
	r, g, world, joints := tFigure()
	before := r.BendSet(g, world, joints)
	q := mgl64.QuatRotate(2.1, mgl64.Vec3{0, 1, 0})
	for n := range world {
		r.positions[n] = q.Rotate(r.positions[n])
		world[n][3], world[n][7], world[n][11] = r.positions[n][0], r.positions[n][1], r.positions[n][2]
	}
	after := r.BendSet(g, world, joints)
	if len(before) != len(after) {
		t.Fatalf("%d moves, then %d", len(before), len(after))
	}
	for i := range before {
		near(t, r.Of[before[i].Joint].Role+" "+before[i].Axis, after[i].Dir, q.Rotate(before[i].Dir), 1e-9)
		if math.Abs(before[i].Min-after[i].Min) > 1e-9 || math.Abs(before[i].Max-after[i].Max) > 1e-9 {
			t.Errorf("%s: %g … %g, then %g … %g", r.Of[before[i].Joint].Role, before[i].Min, before[i].Max, after[i].Min, after[i].Max)
		}
	}
	for i := range before {
		m := &before[i]
		if role := r.Of[m.Joint].Role; sideOf(role) == Left {
			p := turnOf(t, before, r, mirrored(role), m.Axis)
			near(t, role, p.Dir, mgl64.Vec3{m.Dir[0], -m.Dir[1], -m.Dir[2]}, 1e-9)
			if p.Min != m.Min || p.Max != m.Max {
				t.Errorf("%s %s: %g … %g, its partner %g … %g", role, m.Axis, m.Min, m.Max, p.Min, p.Max)
			}
		}
	}
}

// A thumb bent by more than 5° turns in its own plane, toward the little finger; one
// that hangs beside the other joints (no chain) too.
func TestBentThumb(t *testing.T) {
	r, g, world, _ := tFigure()
	put := func(role string, p mgl64.Vec3) {
		n := rig.Node(len(g.Nodes))
		if old := r.Node(role); old >= 0 {
			n = old
		} else {
			g.Nodes = append(g.Nodes, rig.NodeData{Name: role, Parent: r.Node("leftHand")})
			world, r.positions = append(world, rig.Identity), append(r.positions, p)
			r.Of = append(r.Of, Part{Role: role, Side: Left, Partner: rig.None})
			r.Bone[role] = n
		}
		r.positions[n] = p
		world[n][3], world[n][7], world[n][11] = p[0], p[1], p[2]
	}
	put("leftLittleProximal", mgl64.Vec3{.9, 1.4315, -.04})
	put("leftThumbDistal", mgl64.Vec3{.875, 1.42, .055}) // down and inwards
	g.SetOrder()
	var joints []rig.Node
	for n := range g.Nodes {
		joints = append(joints, rig.Node(n))
	}
	set := r.BendSet(g, world, joints)
	p, d := turnOf(t, set, r, "leftThumbProximal", "flexion"), turnOf(t, set, r, "leftThumbDistal", "flexion")
	near(t, "both turn in one plane", p.Dir, d.Dir, 1e-12)
	tip := r.positions[r.Node("leftThumbDistal")]
	little := r.positions[r.Node("leftLittleProximal")]
	a := p.Rotation(r.positions[p.Joint], 20)
	if after := a.Point(tip); after.Sub(little).Len() >= tip.Sub(little).Len() {
		t.Errorf("+ takes the tip away from the little finger: %v", after)
	}
}

// Without roles: about the bone and across it, named by the joint's own axes.
func TestBendSetPlain(t *testing.T) {
	g := &rig.Rig{Nodes: []rig.NodeData{{Parent: rig.None, Children: []rig.Node{1}}, {Parent: 0, Children: []rig.Node{2}}, {Parent: 1}}}
	g.SetOrder()
	// The joints' own x runs along the chain, which runs down.
	q := mgl64.QuatBetweenVectors(mgl64.Vec3{1, 0, 0}, mgl64.Vec3{0, -1, 0})
	world := make([]rig.Affine, 3)
	for n := range world {
		world[n] = (&rig.TRS{T: [3]float64{0, -float64(n), 0}, R: [4]float64{q.V[0], q.V[1], q.V[2], q.W}, S: [3]float64{2, 2, 2}}).Affine()
	}
	r := &Roles{Of: make([]Part, 3), Bone: map[string]rig.Node{}, positions: make([]mgl64.Vec3, 3)}
	set := r.BendSet(g, world, []rig.Node{0, 1, 2})
	if len(set) != 9 {
		t.Fatalf("%d moves, want 9", len(set))
	}
	for i, m := range set {
		far := 45.0
		if m.Axis == "x" {
			far = 90
			near(t, "x", m.Dir, mgl64.Vec3{0, -1, 0}, 1e-9)
		} else if math.Abs(m.Dir[1]) > 1e-9 {
			t.Errorf("%s runs along the bone: %v", m.Axis, m.Dir)
		}
		if m.Max != far || m.Min != -far || m.Joint != rig.Node(i/3) {
			t.Errorf("%+v", m)
		}
	}
	// All in one place: still three axes at right angles.
	for n := range world {
		world[n] = rig.Affine{}
	}
	for _, m := range r.BendSet(g, world, []rig.Node{0, 1, 2}) {
		if math.Abs(m.Dir.Len()-1) > 1e-9 {
			t.Errorf("%+v", m)
		}
	}
}

func BenchmarkBendSet(b *testing.B) {
	r, g, world, joints := tFigure()
	for b.Loop() {
		r.BendSet(g, world, joints)
	}
}
