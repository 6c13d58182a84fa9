package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Its limits from both sides.
func TestSplitClipLimits(t *testing.T) {
	bothSides(t, "motion/split-clip", []both{
		{"clips of one node", single(2), single(3), 0, check.Flaw, "clips", 0},
		{"names", renamed("waves"), renamed("stroll"), 0, check.Note, "clips", 0},
		{"no name", renamed("waves"), renamed(""), 0, check.Note, "clips", 1},
	})
}

// single adds clips of one span that turn one node each.
func single(n int) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		for i := range n {
			c := rig.ClipData{Name: string(rune('a' + i)), Seconds: 5}
			node := rig.Node(2 + i)
			ch := restChannel(r, &c, node, 3)
			turned := times([4]float64(wide(about(1, 0, 0, 5))), r.Nodes[node].R)
			for x := range turned {
				ch.Values[4+x] = float32(turned[x])
			}
			c.Channels = []rig.Channel{ch}
			r.Clips = append(r.Clips, c)
		}
		return lamplighter.Planted{Size: float64(n)}
	}
}

// renamed gives the wave another name; two clips bear it then.
func renamed(name string) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		r.Clips[wave].Name = name
		return lamplighter.Planted{Size: 2}
	}
}
