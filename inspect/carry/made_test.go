package carry

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Captures made by code: a grown person, whose feet stand where a list says, on legs
// reached by the law of cosines. Segments in heights: Drillis and Contini 1966, in Winter,
// Biomechanics and Motor Control; 1.75 m high.
const (
	madeHeight = 1.75
	madeThigh  = .245 * madeHeight
	madeShank  = .246 * madeHeight
	madeAnkle  = .039 * madeHeight
	madeFoot   = .11 * madeHeight // ankle to toe joint, of a foot .152 long
	madeToes   = .04 * madeHeight
	madeHip    = .0955 * madeHeight // half of it
	madeArm    = .129 * madeHeight
	madeUpper  = .186 * madeHeight
	madeFore   = .146 * madeHeight
	madePalm   = .05 * madeHeight
)

// tread is one stand of one foot: from when to when, where its ankle is over the floor,
// which way it points, and how far its heel is raised, degrees.
type tread struct {
	from, to float64
	at       mgl64.Vec3 // metres, on the floor
	yaw      float64    // degrees, left positive
	heel     float64
}

// movement is one made capture.
type movement struct {
	name  string
	long  float64
	feet  [2][]tread // left, right
	high  func(t float64) float64
	floor func(at mgl64.Vec3) float64 // height of the ground
	lift  float64                     // of a foot in the air, metres
	roll  bool                        // heels leave the ground first
}

// skeletonStyle is how a capture is written down.
type skeletonStyle struct {
	name string
	a    bool    // A-pose at rest, T else
	zUp  bool    // offsets and places along +Z up, facing −Y
	unit float64 // of the file, a metre
	rate float64 // Hz
}

func eased(x float64) float64 { x = max(0, min(1, x)); return x * x * x * (x*(6*x-15) + 10) }

// footAt answers ankle, yaw, heel (radians) of one foot.
func (m *movement) footAt(side int, t float64) (ankle mgl64.Vec3, yaw, heel float64) {
	list := m.feet[side]
	ground := func(at mgl64.Vec3) float64 {
		if m.floor == nil {
			return 0
		}
		return m.floor(at)
	}
	pose := func(s *tread, heel float64) mgl64.Vec3 { // about the toe joint, which stays
		ahead := mgl64.Vec3{math.Sin(s.yaw * math.Pi / 180), 0, math.Cos(s.yaw * math.Pi / 180)}
		toe := s.at.Add(ahead.Mul(madeFoot))
		toe[1] = ground(s.at) + madeAnkle/3
		back := ahead.Mul(-madeFoot).Add(mgl64.Vec3{0, madeAnkle * 2 / 3, 0})
		across := mgl64.Vec3{0, 1, 0}.Cross(ahead)
		return toe.Add(space.About(across, heel).Rotate(back))
	}
	const rollOver, pitch = 0.2, 35 * math.Pi / 180
	heelOf := func(k int, t float64) float64 {
		s := &list[k]
		h := s.heel * math.Pi / 180
		if m.roll && k+1 < len(list) {
			h += pitch * eased((t-(s.to-rollOver))/rollOver)
		}
		return h
	}
	for k := range list {
		s := &list[k]
		if t <= s.to || k+1 == len(list) {
			h := heelOf(k, t)
			return pose(s, h), s.yaw * math.Pi / 180, h
		}
		if next := &list[k+1]; t < next.from {
			x := (t - s.to) / (next.from - s.to)
			a, b := pose(s, heelOf(k, s.to)), pose(next, next.heel*math.Pi/180)
			y := eased(x)
			at := a.Mul(1 - y).Add(b.Mul(y))
			at[1] += m.lift * math.Sin(math.Pi*x) * math.Sin(math.Pi*x)
			return at, (s.yaw + (next.yaw-s.yaw)*y) * math.Pi / 180, heelOf(k, s.to)*(1-y) + next.heel*math.Pi/180*y
		}
	}
	panic("no stand")
}

// made builds the capture as a file would hold it.
func made(t testing.TB, m *movement, style skeletonStyle) *rig.Rig {
	t.Helper()
	turn := space.Still() // metres, y up to the file's axes
	if style.zUp {
		turn = space.About(mgl64.Vec3{1, 0, 0}, math.Pi/2)
	}
	place := func(v mgl64.Vec3) mgl64.Vec3 { return turn.Rotate(v).Mul(style.unit) }
	r := &rig.Rig{File: rig.File{Name: "made.glb", Kind: "glb"}, Shown: rig.None, Skins: []rig.SkinData{{Skeleton: rig.None}}}
	index := map[string]int{}
	add := func(name, up string, at mgl64.Vec3) {
		parent := rig.Node(rig.None)
		if up != "" {
			parent = rig.Node(index[up])
		}
		index[name] = len(r.Nodes)
		r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: place(at), R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
		n := rig.Node(len(r.Nodes) - 1)
		r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
		r.Skins[0].Joints = append(r.Skins[0].Joints, n)
	}
	down := func(x float64) mgl64.Vec3 { // of an arm at rest
		if style.a {
			return mgl64.Vec3{x * math.Sqrt2 / 2, -math.Abs(x) * math.Sqrt2 / 2, 0}
		}
		return mgl64.Vec3{x, 0, 0}
	}
	add("Hips", "", mgl64.Vec3{0, madeThigh + madeShank + madeAnkle, 0})
	for _, side := range []struct {
		name string
		x    float64
	}{{"Left", 1}, {"Right", -1}} {
		add(side.name+"UpLeg", "Hips", mgl64.Vec3{side.x * madeHip, 0, 0})
		add(side.name+"Leg", side.name+"UpLeg", mgl64.Vec3{0, -madeThigh, 0})
		add(side.name+"Foot", side.name+"Leg", mgl64.Vec3{0, -madeShank, 0})
		add(side.name+"ToeBase", side.name+"Foot", mgl64.Vec3{0, -madeAnkle * 2 / 3, madeFoot})
		add(side.name+"ToeEnd", side.name+"ToeBase", mgl64.Vec3{0, 0, madeToes})
	}
	add("Spine", "Hips", mgl64.Vec3{0, .06 * madeHeight, 0})
	add("Spine1", "Spine", mgl64.Vec3{0, .1 * madeHeight, 0})
	add("Neck", "Spine1", mgl64.Vec3{0, .13 * madeHeight, 0})
	add("Head", "Neck", mgl64.Vec3{0, .05 * madeHeight, 0})
	add("HeadEnd", "Head", mgl64.Vec3{0, .1 * madeHeight, 0})
	for _, side := range []struct {
		name string
		x    float64
	}{{"Left", 1}, {"Right", -1}} {
		add(side.name+"Shoulder", "Spine1", mgl64.Vec3{side.x * .02 * madeHeight, .11 * madeHeight, 0})
		add(side.name+"Arm", side.name+"Shoulder", mgl64.Vec3{side.x * (madeArm - .02*madeHeight), 0, 0})
		add(side.name+"ForeArm", side.name+"Arm", down(side.x*madeUpper))
		add(side.name+"Hand", side.name+"ForeArm", down(side.x*madeFore))
		add(side.name+"HandEnd", side.name+"Hand", down(side.x*madePalm))
	}
	r.SetOrder()
	c := rig.ClipData{Name: m.name}
	frames := int(m.long*style.rate) + 1
	keys := map[string]*rig.Channel{}
	put := func(name string, path rig.Path, time float64, v ...float64) {
		id := name
		if path == rig.Translation {
			id += " at"
		}
		ch := keys[id]
		if ch == nil {
			ch = &rig.Channel{Node: rig.Node(index[name]), Path: path, Width: len(v)}
			keys[id] = ch
		}
		ch.Times = append(ch.Times, float32(time))
		for _, x := range v {
			ch.Values = append(ch.Values, float32(x))
		}
	}
	world := func(name string, time float64, q, up mgl64.Quat) {
		l := up.Conjugate().Mul(q)
		f := turn.Mul(l).Mul(turn.Conjugate())
		x := space.XYZW(f)
		put(name, rig.Rotation, time, x[0], x[1], x[2], x[3])
	}
	for f := range frames {
		time := float64(f) / style.rate
		c.Seconds = time
		var ankles [2]mgl64.Vec3
		var yaws, heels [2]float64
		for s := range 2 {
			ankles[s], yaws[s], heels[s] = m.footAt(s, time)
		}
		hips := ankles[0].Add(ankles[1]).Mul(.5)
		// The hips glide: the mean of a second of both feet's middles.
		var mean mgl64.Vec3
		var yaw float64
		const looks = 21
		for k := range looks {
			at := max(0, min(m.long, time+float64(k-looks/2)*.04))
			for s := range 2 {
				a, y, _ := m.footAt(s, at)
				mean, yaw = mean.Add(a.Mul(.5/looks)), yaw+y*.5/looks
			}
		}
		hips[0], hips[2] = mean[0], mean[2]
		ground := 0.0
		if m.floor != nil {
			ground = m.floor(mean)
		}
		hips[1] = ground + madeAnkle + m.high(time)*(madeThigh+madeShank)
		body := space.About(mgl64.Vec3{0, 1, 0}, yaw)
		// No leg is stretched: the hips come down for the farther foot.
		for s := range 2 {
			side := float64(1 - 2*s)
			hip := hips.Add(body.Rotate(mgl64.Vec3{side * madeHip, 0, 0}))
			d := ankles[s].Sub(hip)
			reach := .985 * (madeThigh + madeShank)
			if flat := math.Hypot(d[0], d[2]); d.Len() > reach && flat < reach {
				hips[1] -= -d[1] - math.Sqrt(reach*reach-flat*flat)
			}
		}
		p := place(hips)
		put("Hips", rig.Translation, time, p[0], p[1], p[2])
		world("Hips", time, body, space.Still())
		swing := .4 * math.Sin(2*math.Pi*time/1.1)
		for s, name := range []string{"Left", "Right"} {
			side := float64(1 - 2*s)
			hip := hips.Add(body.Rotate(mgl64.Vec3{side * madeHip, 0, 0}))
			foot := space.About(mgl64.Vec3{0, 1, 0}, yaws[s])
			ahead := foot.Rotate(mgl64.Vec3{0, 0, 1})
			d := ankles[s].Sub(hip)
			long := min(d.Len(), .9999*(madeThigh+madeShank))
			u := d.Normalize()
			out := ahead.Sub(u.Mul(ahead.Dot(u))).Normalize()
			cos := (madeThigh*madeThigh + long*long - madeShank*madeShank) / (2 * madeThigh * long)
			a := math.Acos(max(-1, min(1, cos)))
			thigh := u.Mul(math.Cos(a)).Add(out.Mul(math.Sin(a)))
			shank := ankles[s].Sub(hip.Add(thigh.Mul(madeThigh))).Normalize()
			frame := func(bone mgl64.Vec3) mgl64.Quat {
				y := bone.Mul(-1)
				x := y.Cross(out.Sub(y.Mul(out.Dot(y)))).Normalize()
				z := x.Cross(y)
				return mgl64.Mat4ToQuat(mgl64.Mat3FromCols(x, y, z).Mat4())
			}
			qa, qb := frame(thigh), frame(shank)
			world(name+"UpLeg", time, qa, body)
			world(name+"Leg", time, qb, qa)
			tilted := foot.Mul(space.About(mgl64.Vec3{1, 0, 0}, heels[s]))
			world(name+"Foot", time, tilted, qb)
			toes := foot
			if ankles[s][1] > 3*madeAnkle+ground {
				toes = tilted
			}
			world(name+"ToeBase", time, toes, tilted)
			hang := math.Pi / 2
			if style.a {
				hang = math.Pi / 4
			}
			arm := body.Mul(space.About(mgl64.Vec3{1, 0, 0}, side*swing)).Mul(space.About(mgl64.Vec3{0, 0, 1}, -side*(hang-.15)))
			world(name+"Arm", time, arm, body)
			world(name+"ForeArm", time, arm.Mul(space.About(mgl64.Vec3{0, 1, 0}, -side*.3)), arm)
		}
		world("Spine", time, body, body)
	}
	for _, id := range []string{"Hips at", "Hips", "Spine", "LeftUpLeg", "LeftLeg", "LeftFoot", "LeftToeBase", "RightUpLeg", "RightLeg", "RightFoot", "RightToeBase", "LeftArm", "LeftForeArm", "RightArm", "RightForeArm"} {
		c.Channels = append(c.Channels, *keys[id])
	}
	r.Clips = []rig.ClipData{c}
	text, err := bvh.Write(r, 0)
	if err != nil {
		t.Fatal(err)
	}
	out, err := bvh.Read(m.name+" "+style.name+".bvh", text)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// movements that bodies make.
func movements() []*movement {
	v := func(x, z float64) mgl64.Vec3 { return mgl64.Vec3{x, 0, z} }
	level := func(share float64) func(float64) float64 { return func(float64) float64 { return share } }
	walk := func(name string, floor func(mgl64.Vec3) float64) *movement {
		m := &movement{name: name, long: 5, high: level(.97), lift: .09, roll: true, floor: floor}
		const stand, swing, step = .7, .4, .62
		for s := range 2 {
			at, start := float64(s)*step, -float64(1-s)*(stand+swing)/2
			x := madeHip * float64(1-2*s)
			m.feet[s] = append(m.feet[s], tread{from: -1, to: start + stand, at: v(x, at)})
			for k := 1; k < 5; k++ {
				t0 := start + float64(k)*(stand+swing)
				m.feet[s] = append(m.feet[s], tread{from: t0, to: t0 + stand, at: v(x, at+2*step*float64(k))})
			}
		}
		return m
	}
	turn := &movement{name: "turn", long: 5, high: level(.96), lift: .07}
	aside := &movement{name: "sidestep", long: 5, high: level(.95), lift: .06}
	for s := range 2 {
		side := float64(1 - 2*s)
		start := .5 + .5*float64(s)
		for k := range 5 {
			yaw := 40 * float64(k)
			q := space.About(mgl64.Vec3{0, 1, 0}, yaw*math.Pi/180)
			from, to := start+float64(k-1)+.4, start+float64(k)
			if k == 0 {
				from = -1
			}
			turn.feet[s] = append(turn.feet[s], tread{from: from, to: to, at: q.Rotate(mgl64.Vec3{side * madeHip, 0, 0}), yaw: yaw})
			aside.feet[s] = append(aside.feet[s], tread{from: from, to: to, at: v(side*madeHip-.3*float64(k), 0)})
		}
	}
	jump := &movement{name: "jump", long: 3, lift: .45, roll: true, high: func(t float64) float64 {
		return .97 - .25*eased(t/.7)*(1-eased((t-.75)/.25)) + .3*eased((t-.9)/.3)*(1-eased((t-1.2)/.3)) - .2*eased((t-1.4)/.2)*(1-eased((t-1.8)/.6))
	}}
	crouch := &movement{name: "crouch", long: 4, high: func(t float64) float64 { return .97 - .42*eased(t/1.5)*(1-eased((t-2.2)/1.5)) }}
	toe := &movement{name: "on toes", long: 3, high: level(.97)}
	for s := range 2 {
		x := madeHip * float64(1-2*s)
		jump.feet[s] = []tread{{from: -1, to: 1, at: v(x, 0)}, {from: 1.45, to: 9, at: v(x, .5)}}
		crouch.feet[s] = []tread{{from: -1, to: 9, at: v(1.3*x, .15*float64(s))}}
		toe.feet[s] = []tread{{from: -1, to: 9, at: v(x, .3*float64(s)), heel: 38 * float64(s)}}
	}
	return []*movement{walk("walk", nil), turn, aside, jump, crouch, walk("slope", func(at mgl64.Vec3) float64 { return .1 * at[2] }), toe}
}
