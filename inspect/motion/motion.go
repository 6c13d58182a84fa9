// Package motion is the station that looks at the clips: what stays still, what
// slides, what jumps, and what the keys are made of.
package motion

import (
	"cmp"
	"context"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Station is the motion's row of the catalogue.
var Station = check.NewStation("motion", "Motion", Measure, []check.Check[Facts]{
	stillChain,
	footSkate,
	underGround,
	travel,
	loopJump,
	lateStart,
	longWay,
	stretchedBone,
	deadWeight,
	splitClip,
	offUnit,
	scaleKeys,
	strayKey,
	missingKeys,
	jump,
	worstFrame,
	noClip,
})

// Facts are what the station measured.
type Facts struct {
	Clips []Clip `json:"clips"`

	Chains []Chain    `json:"chains" wire:"null"`       // at rest in some clip while what they hang on moves
	Stiff  []rig.Node `json:"stiff_joints" wire:"null"` // joints with influence that no clip moves by themselves, those of chains left out
	Split  []Split    `json:"split" wire:"null"`

	StiffClips int `json:"stiff_clips"` // that move what the stiff joints hang on
	StiffHeld  int `json:"stiff_held"`  // of Stiff, those held in another pose somewhere

	Of Of `json:"of"`
}

// Clip holds the figures of one clip.
type Clip struct {
	Clip     rig.Clip `json:"clip"`
	Name     rig.Name `json:"name"`
	Seconds  float64  `json:"seconds"`       // last key of any channel
	Start    float64  `json:"start_seconds"` // first key of any channel
	Channels int      `json:"channels"`
	Nodes    int      `json:"nodes"`  // distinct nodes its channels name
	Frames   int      `json:"frames"` // moments it was looked at

	Moving      int          `json:"moving_joints"`
	Still       []rig.Node   `json:"still_joints"`   // the rest of the joints
	Unkeyed     []rig.Node   `json:"unkeyed_joints"` // of Still, those without a channel
	Held        []rig.Node   `json:"held_joints"`    // of Still, those that hold another pose than at rest
	StillChains [][]rig.Node `json:"still_chains"`   // at rest while what they hang on moves, two joints or more

	LoopDegrees *float64 `json:"loop_jump_degrees"` // null: nothing moves
	LoopMetres  *float64 `json:"loop_jump_m"`
	Loop        bool     `json:"loop"` // it reads as a loop
	LoopNode    rig.Node `json:"loop_node"`
	LoopNear    int      `json:"loop_joints_closed"` // of loop_joints, those within 5° of their first pose at the end
	LoopOf      int      `json:"loop_joints"`        // that move; what carries the figure counts as one

	carrierSwing, carrierShift float64 // of the travel node: left turn (degrees) and shift (m) at the seam

	Feet  []Foot   `json:"foot_skate"`
	Floor *float64 `json:"floor_metres_per_second"` // of a walk in place: the speed both feet are carried at

	Lowest       *float64   `json:"lowest_m"`         // y of the lowest point of all surfaces; null: no surface
	LowestFigure *float64   `json:"lowest_skinned_m"` // of those that are skinned; null: none
	LowestTime   float64    `json:"lowest_skinned_time"`
	LowestAt     rig.Vertex `json:"lowest_vertex"`
	LowestOf     int        `json:"lowest_surface"` // −1: none
	Climb        *Climb     `json:"climb"`          // over ground that is not level; null: it is

	Worst *WorstFrame `json:"worst_frame"` // null: nothing is skinned, or nothing moves

	Speed      float64  `json:"largest_speed_degrees"` // a second, between neighbouring keys of a joint
	SpeedTime  float64  `json:"largest_speed_time"`
	SpeedNode  rig.Node `json:"largest_speed_node"`
	LimbSpeed  Speed    `json:"limb_speed"`  // of joints with a role of the body that carry something
	LooseSpeed Speed    `json:"loose_speed"` // of the others that carry something
	ShiftSpeed Speed    `json:"shift_speed"` // m/s

	Stray    int        `json:"stray_keys"`            // that leave the curve of their neighbours and come back
	StrayOff Speed      `json:"stray_turn"`            // the farthest: degrees
	StrayWay Speed      `json:"stray_shift"`           // the farthest: metres
	Gap      float64    `json:"gap_seconds"`           // longest range without a key where keys stood close, and the joint moves; 0: none
	GapAt    float64    `json:"gap_at"`                // where it starts
	GapStep  float64    `json:"gap_step"`              // median step of that channel
	GapNodes []rig.Node `json:"gap_nodes" wire:"null"` // joints with such a range, the longest first

	Travel Travel `json:"travel"`

	Flips       int      `json:"sign_flips"`
	FlipDegrees float64  `json:"sign_flip_degrees"` // largest true angle there
	FlipCubic   bool     `json:"sign_flip_cubic"`
	FlipTime    float64  `json:"sign_flip_time"`
	FlipNode    rig.Node `json:"sign_flip_node"`
	Opposite    int      `json:"opposite_keys"` // neighbouring keys 170° or more apart
	Wide        float64  `json:"opposite_degrees"`
	WideTime    float64  `json:"opposite_time"`
	WideNode    rig.Node `json:"opposite_node"`

	Dead      int `json:"dead_channels"` // constant and at rest
	HeldCount int `json:"held_channels"` // constant, another pose than at rest
	Idle      int `json:"idle_channels"` // that move, on nodes which carry nothing
	Spare     int `json:"spare_keys"`    // that interpolation gives without them
	Keys      int `json:"keys"`
	DeadBytes int `json:"dead_bytes"` // of the values of all these

	Stretched []Stretched `json:"stretched"`

	OffUnit      float64  `json:"off_unit"` // largest error of a rotation key's length
	OffUnitTime  float64  `json:"off_unit_time"`
	OffUnitNode  rig.Node `json:"off_unit_node"`
	OffUnitSteps bool     `json:"off_unit_8_bit"` // 8-bit keys, whose step makes such errors

	Scaled     []rig.Node `json:"scaled_nodes" wire:"null"` // nodes whose scale channel is not always 1
	ScaleOff   float64    `json:"scale_off"`
	Step       float64    `json:"key_step_seconds"`       // median step of its longest channel
	EarlyEnds  []rig.Node `json:"early_ends" wire:"null"` // moving channels that end early
	EarliestAt float64    `json:"earliest_end"`
}

// Speed is the largest of a clip, with where and when.
type Speed struct {
	Value float64  `json:"value"`
	Node  rig.Node `json:"node"`
	Time  float64  `json:"time"`
}

// Of is the figure that the clips move, as far as it is judged by.
type Of struct {
	Height   float64             `json:"height_m"`  // of the body, else of the joints
	Floor    float64             `json:"floor_m"`   // y of the ground: 0, or the lowest point at rest when that is far from it
	OffFloor bool                `json:"off_floor"` // the figure does not stand on y = 0 at rest
	Shown    bool                `json:"surface"`   // some surface is shown
	Bare     bool                `json:"joints_alone"`
	Rigid    bool                `json:"rigid_parts"`
	Skins    int                 `json:"skins"`
	Feet     int                 `json:"feet"`          // that were recognised
	Unstated bool                `json:"unit_unstated"` // the file states no unit
	Names    map[rig.Node]string `json:"names"`         // of the nodes, as words
	FarBones int                 `json:"far_bones"`     // whose ends lie more than 64 nodes below what both stand under: not watched
}

func (f *figure) of() Of {
	of := Of{
		Height: f.height, Floor: f.floor, OffFloor: f.offFloor, Shown: f.e.Height() > 0, Bare: f.bare != nil, Rigid: f.rigid,
		Skins: len(f.r.Skins), Feet: len(f.feet()), Unstated: f.r.File.Kind == "bvh", FarBones: f.farBones, Names: map[rig.Node]string{},
	}
	for n := range f.r.Nodes {
		of.Names[rig.Node(n)] = f.e.NodeName(rig.Node(n))
	}
	return of
}

// name is a node in words.
func (o *Of) name(n rig.Node) string { return o.Names[n] }

func (s *Speed) take(value float64, n rig.Node, time float64) {
	if value > s.Value {
		*s = Speed{value, n, time}
	}
}

// How many moments of a clip are looked at: joints only, the lowest point, surfaces
// with morph targets, the stretch of the surface.
const (
	mostFrames  = 20_000   // ten minutes at 30 a second are 18,000
	mostLow     = 1_000    // each looks for the lowest vertex
	mostMorphed = 12       // each lays all targets over all vertices
	mostStrain  = 200      // each ranks a moment by its joints alone
	mostTense   = 4        // each skins the whole figure and stretches every triangle
	tenseApart  = 1.0 / 12 // of the clip, between those
)

// Measure works out the facts of all clips.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	f := &Facts{Clips: make([]Clip, len(e.Rig.Clips))}
	if len(f.Clips) == 0 {
		f.Of = newFigure(e).of()
		return f, ctx.Err()
	}
	m := newMeter(e)
	f.Of, f.Split = m.figure.of(), splits(e.Rig)
	// A movement cut up by node leaves all other nodes still in each of its clips.
	m.isPart = make([]bool, len(f.Clips))
	for _, s := range f.Split {
		for _, c := range s.Clips {
			m.isPart[c] = true
		}
	}
	for i := range e.Rig.Clips {
		if err := e.Tick(ctx, i, len(e.Rig.Clips)); err != nil {
			return nil, err
		}
		if err := m.clip(ctx, &f.Clips[i], rig.Clip(i)); err != nil {
			return nil, err
		}
	}
	m.findStill(f)
	return f, e.Tick(ctx, len(e.Rig.Clips), len(e.Rig.Clips))
}

// meter measures clip after clip with the same memory.
type meter struct {
	*figure
	player  *deform.Player
	pose    *deform.Pose
	sole    *sole // of the skinned surfaces
	gear    *sole // of the others
	tension *tension
	tallies []tally      // by node
	still   [][]rig.Clip // by run of the figure: clips that leave it at rest altogether
	isPart  []bool       // by clip: of a movement that is cut up
	moves   [][]bool     // by clip and node: it or a node above it moves
	states  []State
	carried []bool
	keys    []keyed
	legs    [][]track
}

func newMeter(e *exam.Exam) *meter {
	m := &meter{figure: newFigure(e), player: deform.NewPlayer(e.Rig, nil), pose: deform.NewPose(e.Rig)}
	m.sole, m.gear, m.tension = newSole(m.figure, true), newSole(m.figure, false), newTension(m.figure)
	m.states, m.carried = make([]State, len(e.Rig.Nodes)), make([]bool, len(e.Rig.Nodes))
	m.tallies, m.still = make([]tally, len(e.Rig.Nodes)), make([][]rig.Clip, len(m.figure.chains))
	for _, leg := range m.feet() {
		var tracks []track
		for _, n := range leg {
			tracks = append(tracks, track{node: n})
		}
		m.legs = append(m.legs, tracks)
	}
	return m
}

// clip measures one clip: first what its keys tell, then what it does to the figure.
func (m *meter) clip(ctx context.Context, clip *Clip, id rig.Clip) error {
	c := &m.r.Clips[id]
	*clip = Clip{Clip: id, Name: rig.Name(c.Name), Seconds: finite(c.Seconds), Start: finite(c.Start), Channels: len(c.Channels),
		Still: []rig.Node{}, Unkeyed: []rig.Node{}, Held: []rig.Node{}, StillChains: [][]rig.Node{}, Feet: []Foot{}, Stretched: []Stretched{}, LowestOf: -1}
	m.readClip(id)
	m.moves = append(m.moves, slices.Clone(m.carried))
	if !m.isPart[id] {
		m.addStill(clip)
	}
	m.readJoints(clip, c)
	m.readChannels(clip, c, m.keys)
	m.readTimes(clip, c, m.keys)
	m.readWeight(clip, c, m.keys)
	m.player.Start(c)
	m.locals.Start(c)
	m.readStretched(clip, c, m.keys)
	m.readTravel(clip, m.player, m.states, m.carried)
	m.readLoop(clip, c, m.keys, m.carried)
	m.readStray(clip, c, m.keys)
	return m.play(ctx, clip, c)
}

// readJoints counts what moves and what does not.
func (m *meter) readJoints(clip *Clip, c *rig.ClipData) {
	named := make([]bool, len(m.r.Nodes))
	for i := range c.Channels {
		if n := c.Channels[i].Node; n >= 0 && int(n) < len(named) && !named[n] {
			named[n] = true
			clip.Nodes++
		}
	}
	morphs := make([]bool, len(m.r.Nodes))
	for i := range m.keys {
		if k := &m.keys[i]; k.path == rig.Weights && k.moves {
			morphs[k.node] = true
		}
	}
	for _, n := range m.joints {
		if m.states[n] == Moves || morphs[n] {
			clip.Moving++
			continue
		}
		clip.Still = append(clip.Still, n)
		switch m.states[n] {
		case NeverKeyed:
			clip.Unkeyed = append(clip.Unkeyed, n)
		case Held:
			clip.Held = append(clip.Held, n)
		}
	}
}

// readChannels sums up what single channels tell.
func (m *meter) readChannels(clip *Clip, c *rig.ClipData, keys []keyed) {
	clip.FlipNode, clip.WideNode, clip.OffUnitNode, clip.SpeedNode = rig.None, rig.None, rig.None, rig.None
	clip.LimbSpeed.Node, clip.LooseSpeed.Node, clip.ShiftSpeed.Node = rig.None, rig.None, rig.None
	for i := range keys {
		k := &keys[i]
		ch := &c.Channels[k.channel]
		bears := m.carries[k.node] || len(m.r.Surfaces) == 0
		switch k.path {
		case rig.Rotation:
			if k.flips > 0 && (clip.Flips == 0 || k.flipDegrees > clip.FlipDegrees) {
				clip.FlipDegrees, clip.FlipTime, clip.FlipNode = k.flipDegrees, k.flipTime, k.node
			}
			clip.Flips += k.flips
			clip.FlipCubic = clip.FlipCubic || k.flips > 0 && ch.Interpolation == rig.Cubic
			clip.Opposite += k.opposite
			if k.opposite > 0 && k.wide > clip.Wide {
				clip.Wide, clip.WideTime, clip.WideNode = k.wide, k.wideTime, k.node
			}
			if k.offUnit > clip.OffUnit {
				clip.OffUnit, clip.OffUnitTime, clip.OffUnitNode = k.offUnit, k.offUnitTime, k.node
				clip.OffUnitSteps = k.offUnit > unitError && inSteps(ch)
			}
			if m.isJoint[k.node] && k.speed > clip.Speed {
				clip.Speed, clip.SpeedTime, clip.SpeedNode = k.speed, k.speedTime, k.node
			}
			switch {
			case !bears:
			case m.isLimb(k.node) || m.e.Roles().Of[k.node].Role == "hips":
				clip.LimbSpeed.take(k.speed, k.node, k.speedTime)
			default:
				clip.LooseSpeed.take(k.speed, k.node, k.speedTime)
			}
		case rig.Translation:
			if bears {
				clip.ShiftSpeed.take(k.speed, k.node, k.speedTime)
			}
		case rig.Scale:
			if k.offOne > scaleError {
				clip.Scaled = append(clip.Scaled, k.node)
				clip.ScaleOff = max(clip.ScaleOff, k.offOne)
			}
		}
	}
}

// play stands the figure in the poses of a clip, in one pass.
func (m *meter) play(ctx context.Context, clip *Clip, c *rig.ClipData) error {
	times := frames(c, m.keys, mostFrames)
	clip.Frames = len(times)
	for i := range m.legs {
		for p := range m.legs[i] {
			m.legs[i][p].path = m.legs[i][p].path[:0]
		}
	}
	lows, strains := (len(times)+mostLow-1)/mostLow, (len(times)+mostStrain-1)/mostStrain
	m.sole.reset()
	m.gear.reset()
	var best []ranked
	looked := 0
	moves := m.player.Moves()
	var hips []space.Vec
	carrier := m.e.Roles().Node("hips")
	for i, t := range times {
		if i%512 == 511 {
			if err := m.e.Tick(ctx, int(clip.Clip), len(m.r.Clips)); err != nil {
				return err
			}
		}
		m.player.At(t)
		for l := range m.legs {
			for p := range m.legs[l] {
				k := &m.legs[l][p]
				k.path = append(k.path, m.player.World[k.node].Origin())
			}
		}
		if carrier >= 0 {
			hips = append(hips, m.player.World[carrier].Origin())
		}
		if i%lows == 0 {
			m.gear.look(m.player.World)
			if m.sole.look(m.player.World) {
				clip.LowestTime = t
			}
		}
		if moves && i%strains == 0 && len(m.tension.skinned) > 0 {
			looked++
			best = append(best, ranked{finite(m.tension.strain(m.player.World)), t})
		}
	}
	if len(m.sole.morphs)+len(m.gear.morphs) > 0 {
		for i := range mostMorphed {
			t := c.Start + (c.Seconds-c.Start)*float64(i)/(mostMorphed-1)
			m.pose.Sample(clip.Clip, t)
			m.gear.lookMorphed(m.pose)
			if m.sole.lookMorphed(m.pose) {
				clip.LowestTime = t
			}
		}
	}
	if y := m.sole.best; !math.IsInf(y, 0) && !math.IsNaN(y) {
		clip.LowestFigure, clip.LowestAt, clip.LowestOf = &y, m.sole.vertex, m.sole.surface
	}
	if y := min(m.sole.best, m.gear.best); !math.IsInf(y, 0) && !math.IsNaN(y) {
		clip.Lowest = &y
	}
	tense := tensest(best, c.Seconds-c.Start)
	for _, t := range tense {
		m.pose.Sample(clip.Clip, t)
		if w, worse := m.tension.look(m.pose, clip.Worst); worse {
			w.Time, w.Looked, w.Of = t, len(tense), looked
			clip.Worst = &w
		}
	}
	feet, levels := m.readFeet(times, m.legs, hips)
	clip.Feet = append(clip.Feet, feet...)
	if levels != nil && clip.LowestFigure != nil {
		clip.Climb = m.readClimb(times, levels)
	}
	if speed, ok := sameFloor(clip.Feet, m.height); ok && clip.Loop && clip.Travel.Class == inPlace {
		clip.Floor = &speed
	}
	return nil
}

// ranked is a moment and how tense joints are in it.
type ranked struct{ strain, time float64 }

// tensest are the moments of a clip of so many seconds whose surface is looked at, the tensest
// first. Neighbours in time are alike: one of each stretch of time is enough. It sorts best.
func tensest(best []ranked, seconds float64) (tense []float64) {
	slices.SortStableFunc(best, func(a, b ranked) int { return cmp.Compare(b.strain, a.strain) })
	for i := 0; i < len(best) && len(tense) < mostTense; i++ {
		near := func(t float64) bool { return math.Abs(t-best[i].time) < tenseApart*seconds }
		if !slices.ContainsFunc(tense, near) {
			tense = append(tense, best[i].time)
		}
	}
	return tense
}
