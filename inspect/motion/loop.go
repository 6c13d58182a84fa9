package motion

import (
	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Limits within which a clip reads as a loop. In 86 real clips that move more than one
// joint, those made to be repeated close every joint within 5°, those that are played
// once leave three of five open or more; what lies between is told by names and by
// how a joint comes to its last key (common practice, no source).
const (
	loopClose    = 5.0  // degrees: a joint that closes
	loopShare    = 0.8  // of the joints that move must close
	namedShare   = 0.5  // in a clip that calls itself a loop, or whose other joints leap
	loopFarthest = 45.0 // degrees: what a loop may be open by without more evidence
	loopStray    = 0.1  // of the joints that move may be open farther: no limb of a pose that is kept
	leapPart     = 0.5  // of a gap, made up in the last step
	leapTimes    = 4.0  // × the joint's mean step
)

// What a clip's name says of how it is played.
type playing uint8

const (
	unsaid playing = iota
	repeated
	playedOnce
)

// Words of clip names, lower case (common practice, no source). The first lists
// outweigh the second: "Sit idle" is repeated, "Walk start" is not.
var (
	repeatedAlways = words("loop", "looped", "looping", "cycle", "cyclic", "cycled", "idle", "idling")
	onceAlways     = words("death", "die", "dies", "dying", "dead", "start", "begin", "stop", "end", "ending", "to", "into", "enter", "exit", "intro", "outro",
		"transition", "land", "landing", "once", "down", "standup", "getup", "collapse", "faint")
	repeatedWords = words("walk", "walking", "run", "running", "jog", "jogging", "stroll", "strolling", "sprint", "sprinting", "trot", "canter", "gallop", "gait",
		"march", "sneak", "crawl", "crawling", "swim", "swimming", "fly", "flying", "flight", "hover", "hovering", "breathe", "breathing", "strafe", "treadmill")
	onceWords = words("fall", "falling", "sit", "sitting", "stand", "standing", "lie", "lay", "lying", "kneel", "rise", "attack", "hit", "punch", "kick", "slash", "stab", "chop", "shoot", "throw",
		"pick", "pickup", "jump", "leap", "dodge", "roll", "draw", "sheathe", "raise", "lower", "open", "close", "react", "pose", "block", "aim", "aiming")
)

func words(list ...string) map[string]bool {
	m := make(map[string]bool, len(list))
	for _, w := range list {
		m[w] = true
	}
	return m
}

// saidOf reads a clip's name.
func saidOf(name string) playing {
	tokens := anatomy.Tokens(name)
	for _, list := range []struct {
		words map[string]bool
		says  playing
	}{{repeatedAlways, repeated}, {onceAlways, playedOnce}, {repeatedWords, repeated}, {onceWords, playedOnce}} {
		for _, w := range tokens {
			if list.words[w] {
				return list.says
			}
		}
	}
	return unsaid
}

// seam is how the joints of a clip come back to their first pose.
type seam struct {
	moving, near int     // joints that move; that close
	open, leaps  int     // that do not; of those, that are thrown off in the last step
	farthest     float64 // degrees
}

// isLoop tells that a clip reads as a loop. How far a joint is open counts against it
// only where it may be a pose that is kept: an arm that stays raised, a fall.
func (s *seam) isLoop(says playing) bool {
	if s.moving == 0 {
		return false
	}
	share := float64(s.near) / float64(s.moving)
	switch says {
	case playedOnce:
		return share >= loopShare && s.farthest <= loopFarthest
	case repeated:
		return share >= namedShare
	}
	if share < loopShare {
		return share >= namedShare && s.moving > 1 && s.leaps == s.open
	}
	return s.farthest <= loopFarthest || s.open <= 1 || float64(s.open) <= loopStray*float64(s.moving) || s.leaps == s.open
}

// leaps tells that most of a gap at the seam opens in the last step, where the joint
// else turns little: a last key that is wrong, no pose that was meant.
func leaps(c *rig.Channel, gap float64) bool {
	n := len(c.Times)
	if n < 4 || c.Interpolation == rig.Step {
		return false
	}
	turned := func(i int) float64 {
		p, okP := space.UnitQuat(rotationOf(c, i-1))
		q, okQ := space.UnitQuat(rotationOf(c, i))
		if !okP || !okQ {
			return 0
		}
		return mgl64.RadToDeg(space.Apart(p, q))
	}
	sum := 0.0
	for i := 1; i < n-1; i++ {
		sum += turned(i)
	}
	last := turned(n - 1)
	return last >= leapPart*gap && last >= leapTimes*sum/float64(n-2)
}

// readLoop compares the last pose with the first. What carries the figure counts
// without its way along and its turn about the vertical.
func (f *figure) readLoop(clip *Clip, c *rig.ClipData, keys []keyed, carried []bool) {
	carrier := rig.Node(rig.None)
	if clip.Travel.Node != nil {
		carrier = *clip.Travel.Node
	}
	var s seam
	metres := 0.0
	clip.LoopNode = rig.None
	count := func(n rig.Node, d float64, ch *rig.Channel) {
		s.moving++
		if d <= loopClose {
			s.near++
		} else {
			s.open++
			if ch != nil && leaps(ch, d) {
				s.leaps++
			}
		}
		if d > s.farthest || clip.LoopNode < 0 {
			s.farthest, clip.LoopNode = d, n
		}
	}
	for i := range keys {
		k := &keys[i]
		if !k.moves || k.path == rig.Weights || !f.isJoint[k.node] || !f.carries[k.node] && len(f.r.Surfaces) > 0 {
			continue
		}
		if carrier >= 0 && (k.node == carrier || f.isAbove(k.node, carrier)) {
			continue
		}
		switch k.path {
		case rig.Rotation:
			count(k.node, k.close, &c.Channels[k.channel])
		case rig.Translation:
			metres = max(metres, k.close)
		}
	}
	if carrier >= 0 && carried[carrier] {
		count(carrier, clip.carrierSwing, nil)
		metres = max(metres, clip.carrierShift)
	}
	if s.moving == 0 || !(clip.Seconds > clip.Start) {
		return
	}
	clip.LoopDegrees, clip.LoopMetres = &s.farthest, &metres
	clip.LoopNear, clip.LoopOf = s.near, s.moving
	clip.Loop = s.isLoop(saidOf(string(clip.Name)))
}
