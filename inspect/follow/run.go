package follow

import (
	"context"
	"fmt"
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Rate is how often a second a chain is worked out, whatever the keys of the clip are.
const Rate = 240

// A root whose speed changes by more than this from one step to the next, or that turns
// faster, is cut to another place, and the chain goes along without a swing: heights and
// degrees a second, the limits of motion/jump.
const (
	cutShift = 20.0
	cutTurn  = 4000.0
)

// mostRecorded bounds the rotations that are kept of one clip; beyond, every second moment is
// left out, and so on.
const mostRecorded = 4_000_000

// closes is when a loop counts as come round: the largest turn, degrees, between a link at the
// end of a period and a period before; near what may be left in the end, and is spread over the
// loop: links that rub on a body never come round altogether. longestRun is how long, in seconds of settling, it is
// played for that; mostDamped is how many times as much drag it gets before it is closed as it is.
const (
	closes     = 0.02
	near       = 0.5
	longestRun = 8
	mostDamped = 64
)

// Unturnable is the error of a joint that cannot be turned where it hangs.
type Unturnable struct {
	Joint rig.Node
	Why   Hindrance
}

// Hindrance is why a joint cannot be turned.
type Hindrance uint8

const (
	Sheared  Hindrance = iota // the scale above differs by axis: what hangs there would be sheared
	Flat                      // it is scaled to nothing
	NoNumber                  // its place is not finite
)

func (u *Unturnable) Error() string {
	return fmt.Sprintf("node %d cannot be turned: %s", u.Joint, [...]string{"the scale above it differs by axis", "it is scaled to nothing", "its place is not finite"}[u.Why])
}

// Motion is what chains do in one clip.
type Motion struct {
	Widest  float64 // radians: farthest that a link is from its drawn direction
	Periods int     // of a loop, played before the one that is kept
	Damped  float64 // × the drag of the dials with which a loop comes round; 0: no loop
	Gap     float64 // degrees by which the last pose of a loop missed the first, before it was closed
	Cuts    int     // moments at which a root is cut to another place
	Deepest float64 // metres that a link is inside a capsule, at most
	Deep    rig.Node
	DeepAt  float64 // seconds

	chains *Chains
	times  []float64
	turns  [][]space.Turn // by link, by moment: local rotation; nil: no direction
	last   space.XYZ      // direction of the last link at the end
}

// runner is chains at work in one clip.
type runner struct {
	*Chains
	trees  []*tree
	fields []space.XYZ // scratch
	body   *body
	clip   rig.Clip
	pose   *deform.Pose
	track  []*deform.Track // by link: of its rotation, nil: it rests
	world  []rig.Affine    // by node, of Chains.path
	links  []link
	drawn  []space.XYZ  // by link: its direction in the clip without any swing
	head   []space.XYZ  // by tree: where its root hangs
	speed  []space.XYZ  // by tree: of that over the last step
	turn   []space.Turn // by link: local rotation
	hung   []rig.Affine // by link: what its joint hangs on, at the moment
	inRest []rig.Affine // by link: the same at rest, inverse
	dt     float64
	pace   []space.XYZ // by link: of what a root hangs on, over the last step
	fresh  bool        // no step was made yet: speeds are not known

	gravity, settles float64
	out              Motion
}

// Follow plays chains through a clip, from its first key to its last. loop: the clip is repeated,
// so the last pose becomes the first. capsules nil: they pass through everything.
func (c *Chains) Follow(ctx context.Context, clip rig.Clip, loop bool, d Dials, capsules []Capsule) (*Motion, error) {
	r := c.newRunner(clip, d, capsules)
	data := &c.e.Rig.Clips[clip]
	long := data.Seconds - data.Start
	if !(long > 0) || math.IsInf(long, 0) {
		return nil, fmt.Errorf("clip %d has no length", clip)
	}
	n := max(int(math.Ceil(long*Rate-1e-6)), 2)
	r.dt = long / float64(n)
	at := func(k int) float64 { return data.Start + long*float64(k)/float64(n) }
	if err := r.settle(ctx, at(0)); err != nil {
		return nil, err
	}
	if loop {
		if err := r.comeRound(ctx, at, n); err != nil {
			return nil, err
		}
	}
	every := 1
	for (n/every+1)*len(c.Links) > mostRecorded {
		every *= 2
	}
	r.body.forget()
	r.out.Widest, r.out.Cuts = 0, 0
	for k := 0; k <= n; k++ {
		if k > 0 {
			if err := r.step(at(k)); err != nil {
				return nil, err
			}
			if k%512 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
		}
		if k%every == 0 || k == n {
			r.record(at(k))
		}
	}
	if loop {
		r.close()
	}
	r.out.tell(r.body, c)
	r.out.last = r.links[len(r.links)-1].u
	return &r.out, nil
}

func (c *Chains) newRunner(clip rig.Clip, d Dials, capsules []Capsule) *runner {
	n := len(c.Links)
	r := &runner{Chains: c, clip: clip, pose: deform.NewPose(c.e.Rig), world: make([]rig.Affine, len(c.e.Rig.Nodes)), links: make([]link, n),
		drawn: make([]space.XYZ, n), fields: make([]space.XYZ, n), turn: make([]space.Turn, n),
		hung: make([]rig.Affine, n), inRest: make([]rig.Affine, n), track: make([]*deform.Track, n), pace: make([]space.XYZ, n), body: c.newBody(capsules), fresh: true}
	r.out = Motion{chains: c, turns: make([][]space.Turn, n), Deep: rig.None}
	r.trees, r.gravity, r.settles = c.trees(d), d.Gravity, c.Settles(d)
	r.head, r.speed = make([]space.XYZ, len(r.trees)), make([]space.XYZ, len(r.trees))
	rest := c.e.RestWorld()
	for i := range c.Links {
		l := &c.Links[i]
		r.links[i].u = l.rest
		r.inRest[i] = rig.Identity
		if p := c.e.Rig.Nodes[l.Joint].Parent; p >= 0 {
			r.inRest[i], _ = rest[p].Inverse()
		}
		for k := range c.e.Rig.Clips[clip].Channels {
			ch := &c.e.Rig.Clips[clip].Channels[k]
			if ch.Node != l.Joint || ch.Path != rig.Rotation {
				continue
			}
			if t, ok := deform.NewTrack(ch); ok {
				r.track[i] = &t
				break
			}
		}
	}
	return r
}

// settle lets the chains come to rest in the first pose.
func (r *runner) settle(ctx context.Context, seconds float64) error {
	r.pose.Sample(r.clip, seconds)
	r.body.stand(r.pose.World)
	r.draw()
	for i := range r.links { // begins as drawn
		r.links[i] = link{u: r.drawn[i]}
	}
	r.noPace()
	dt := r.dt
	r.dt = 1.0 / Rate
	quiet := 0
	for k := range int(longestRun * Rate * max(r.settles, .1)) {
		r.swing()
		if err := r.stand(seconds); err != nil {
			return err
		}
		// Quiet for a while: a swing stands still for a moment at its ends, too.
		fastest := 0.0
		for i := range r.links {
			fastest = max(fastest, r.links[i].v.Len())
		}
		if quiet++; fastest > 1e-4 {
			quiet = 0
		}
		if quiet > Rate/8 {
			break
		}
		if k%512 == 511 && ctx.Err() != nil {
			return ctx.Err()
		}
	}
	r.dt = dt
	for i := range r.links {
		r.links[i].v = space.XYZ{}
	}
	r.fresh = true
	return nil
}

// comeRound plays a loop until it repeats itself: twice at least, then as long as it takes. What
// does not, as a chain that its holder's pace whips up anew each time, is damped twice as much
// and tried again.
func (r *runner) comeRound(ctx context.Context, at func(int) float64, n int) error {
	before := make([]space.XYZ, len(r.links))
	for r.out.Damped = 1; ; r.out.Damped *= 2 {
		most := r.out.Periods + int(longestRun*r.settles/(r.out.Damped*r.dt*float64(n))) + 2
		worst := 0.0
		for least := r.out.Periods + 2; r.out.Periods < most; {
			for i := range r.links {
				before[i] = r.links[i].u
			}
			if err := r.period(ctx, at, n); err != nil {
				return err
			}
			worst = 0
			for i := range r.links {
				worst = max(worst, angle(before[i], r.links[i].u))
			}
			if r.out.Periods >= least && worst < closes*math.Pi/180 {
				return nil
			}
		}
		if worst < near*math.Pi/180 || r.out.Damped >= mostDamped {
			return nil
		}
		for _, t := range r.trees {
			t.drag *= 2
		}
	}
}

// period plays a loop once, to its first pose again.
func (r *runner) period(ctx context.Context, at func(int) float64, n int) error {
	for k := 1; k <= n; k++ {
		if err := r.step(at(k)); err != nil {
			return err
		}
		if k%512 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
	}
	r.out.Periods++
	return r.move(at(0))
}

func angle(a, b space.XYZ) float64 { return math.Atan2(a.Cross(b).Len(), a.Dot(b)) }

// step goes to the next moment.
func (r *runner) step(seconds float64) error {
	if r.isCut(seconds) {
		r.out.Cuts++
		return r.move(seconds)
	}
	r.body.stand(r.pose.World)
	r.draw()
	r.swing()
	r.fresh = false
	return r.stand(seconds)
}

// roots calls f with every link that hangs on no other and what it hangs on.
func (r *runner) roots(f func(i int, parent rig.Affine)) {
	for i := range r.Links {
		if r.Links[i].Above < 0 {
			parent := rig.Identity
			if p := r.e.Rig.Nodes[r.Links[i].Joint].Parent; p >= 0 {
				parent = r.pose.World[p]
			}
			f(i, parent)
		}
	}
}

// isCut samples the pose of a moment and tells whether a root leaps there.
func (r *runner) isCut(seconds float64) (cut bool) {
	was := map[int]rig.Affine{}
	r.roots(func(i int, parent rig.Affine) { was[i] = parent })
	r.pose.Sample(r.clip, seconds)
	r.roots(func(i int, parent rig.Affine) {
		before := was[i]
		pace := space.Plain(parent.Origin().Sub(before.Origin())).Mul(1 / r.dt)
		if leap := pace.Sub(r.pace[i]).Len(); !r.fresh && leap > cutShift*r.height {
			cut = true
			return // its pace is that of before
		}
		r.pace[i] = pace
		if inverse, ok := before.Inverse(); ok {
			turned := parent.Mul(&inverse)
			cut = cut || isCutTurn(turned.Turned(), r.dt)
		}
	})
	return cut
}

// isCutTurn tells that nothing turns so far, radians, in so many seconds without a cut.
func isCutTurn(turn, seconds float64) bool { return turn > cutTurn*math.Pi/180*seconds }

// move carries the chains stiffly to a moment: every link turns with what its root hangs on.
func (r *runner) move(seconds float64) error {
	// hung holds what roots hung on at the last moment, before any sample of the pose.
	was := map[int]rig.Affine{}
	r.roots(func(i int, _ rig.Affine) { was[i] = r.hung[i] })
	r.pose.Sample(r.clip, seconds)
	turns := make([]space.Turn, len(r.Links))
	r.roots(func(i int, parent rig.Affine) {
		before := was[i]
		a, b := space.FromXYZW(before.Decompose().R), space.FromXYZW(parent.Decompose().R)
		turns[i] = space.PlainTurn(b).Mul(space.PlainTurn(a).Back())
	})
	for i := range r.Links {
		if up := r.Links[i].Above; up >= 0 {
			turns[i] = turns[up]
		}
	}
	for i := range r.links {
		l := &r.links[i]
		l.u, l.v = turns[i].Rotate(l.u), turns[i].Rotate(l.v)
		r.pace[i] = turns[i].Rotate(r.pace[i])
	}
	for k, t := range r.trees {
		r.speed[k] = turns[t.links[0]].Rotate(r.speed[k])
	}
	r.body.stand(r.pose.World)
	r.draw()
	r.noPace()
	return r.stand(seconds)
}

// noPace takes the heads of the roots where they are: they came there without a swing.
func (r *runner) noPace() {
	for k, t := range r.trees {
		r.head[k] = space.Plain(r.pose.World[r.Links[t.links[0]].Joint].Origin())
	}
}

func (r *runner) record(seconds float64) {
	r.out.times = append(r.out.times, seconds)
	for i := range r.Links {
		if r.Links[i].Length > 0 {
			r.out.turns[i] = append(r.out.turns[i], r.turn[i])
		}
	}
}

// close spreads what the last pose of a loop misses the first by over the whole of it.
func (r *runner) close() {
	for i, list := range r.out.turns {
		if len(list) == 0 {
			continue
		}
		first, last := list[0], list[len(list)-1]
		if first.Dot(last) < 0 {
			last = space.Turn{X: -last.X, Y: -last.Y, Z: -last.Z, W: -last.W}
		}
		miss := last.Back().Mul(first)
		r.out.Gap = max(r.out.Gap, miss.Angle()*180/math.Pi)
		arc := space.NewArc(space.Turn{W: 1}, miss)
		for k := range list {
			to, ok := list[k].Mul(arc.At(float64(k) / float64(len(list)-1))).Unit()
			if ok {
				r.out.turns[i][k] = to
			}
		}
		r.out.turns[i][len(list)-1] = first
	}
}

func (b *body) forget() { b.deepest, b.at, b.by = 0, 0, 0 }

func (m *Motion) tell(b *body, c *Chains) {
	m.Deepest, m.DeepAt = b.deepest, b.at
	if b.deepest > 0 {
		m.Deep = c.Links[b.by].Joint
	}
}
