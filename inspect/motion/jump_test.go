package motion

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Its limits from both sides.
func TestJumpLimits(t *testing.T) {
	w := waving()
	bothSides(t, "motion/jump", []both{
		{"a limb that jumps", lamplighter.Jump(1999 * step), lamplighter.Jump(2001 * step), 0, check.Note, "turning speed", 0},
		{"a link that jumps", linkJump(3999 * step), linkJump(4001 * step), 0, check.Note, "turning speed", 4001},
		{"hips that jump", hipsJump(19.9*w.height, step), hipsJump(20.1*w.height, step), 0, check.Note, "speed", 20.1},
	})
}

// linkJump turns one key of a chain's last link away.
func linkJump(degrees float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		n := lamplighter.Node("chain_L_6")
		c := &r.Clips[1]
		for i := range c.Channels {
			if ch := &c.Channels[i]; ch.Node == n && ch.Path == rig.Rotation {
				*ch = restChannel(r, c, n, 1+int(math.Round(c.Seconds*30)))
				k := len(ch.Times) / 2
				turned := times(r.Nodes[n].R, [4]float64(wide(about(1, 0, 0, degrees))))
				for x := range turned {
					ch.Values[4*k+x] = float32(turned[x])
				}
			}
		}
		return lamplighter.Planted{}
	}
}

// hipsJump shifts the hips by some metres a second between two keys, and back.
func hipsJump(speed, step float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		n := lamplighter.Node("hips")
		c := &r.Clips[1]
		at := r.Nodes[n].T
		ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3}
		for _, k := range [][2]float64{{0, 0}, {1, 0}, {1 + step, speed * step}, {1 + 3*step, 0}, {c.Seconds, 0}} {
			ch.Times = append(ch.Times, float32(k[0]))
			ch.Values = append(ch.Values, float32(at[0]), float32(at[1]), float32(at[2]+k[1]))
		}
		c.Channels = append(c.Channels, ch)
		return lamplighter.Planted{}
	}
}
