package motion

import (
	"context"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Its limits from both sides.
func TestDeadWeightLimits(t *testing.T) {
	bothSides(t, "motion/dead-weight", []both{
		{"dead channels", deadChannels(0.49), deadChannels(0.51), 0, check.Note, "share of the channels", 0},
		{"dead bytes", deadBytes(1<<20 - 1000), deadBytes(1<<20 + 1000), 0, check.Note, "bytes", 0},
	})
}

// deadChannels adds still channels of a node below everything until they are a share
// of all; the size is the share.
func deadChannels(share float64) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		channels, dead := 0.0, 0.0
		for i := range r.Clips {
			for k := range r.Clips[i].Channels {
				channels++
				ch := &r.Clips[i].Channels[k]
				if rests(r, ch) {
					dead++
				}
			}
		}
		c := &r.Clips[1]
		for (dead+1)/(channels+1) <= share {
			c.Channels = append(c.Channels, restChannel(r, c, lamplighter.Node("hand_L"), 2))
			channels++
			dead++
		}
		if share > 0.5 {
			c.Channels = append(c.Channels, restChannel(r, c, lamplighter.Node("hand_L"), 2))
			channels++
			dead++
		}
		return lamplighter.Planted{Size: dead / channels}
	}
}

// rests tells that all keys of a rotation are the rest value, to the bit.
func rests(r *rig.Rig, c *rig.Channel) bool {
	if c.Path != rig.Rotation {
		return false
	}
	for k := range c.Times {
		for x, v := range c.Values[4*k : 4*k+4] {
			if v != float32(r.Nodes[c.Node].R[x]) {
				return false
			}
		}
	}
	return true
}

// deadBytes keys one joint at rest until all that does nothing has that size; what
// the clean clips hold of it is worked out first. 16 bytes a key.
func deadBytes(bytes int) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		has := 0
		facts, err := Measure(context.Background(), exam.New(r))
		if err != nil {
			panic(err)
		}
		for _, c := range facts.Clips {
			has += c.DeadBytes
		}
		c := &r.Clips[1]
		keys := (bytes - has) / 16
		c.Channels = append(c.Channels, restChannel(r, c, lamplighter.Node("hand_L"), keys))
		return lamplighter.Planted{Size: float64(has + 16*keys)}
	}
}
