package motion

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Its limits from both sides.
func TestStillChainLimits(t *testing.T) {
	bothSides(t, "motion/still-chain", []both{
		{"a chain of two", unkeyed(1), unkeyed(2), 0, check.Flaw, "still joints", 0},
	})
}

// unkeyed takes the channels of the last links of one chain out of all clips.
func unkeyed(links int) func(*rig.Rig) lamplighter.Planted {
	return func(r *rig.Rig) lamplighter.Planted {
		var nodes []rig.Node
		for k := 7 - links; k <= 6; k++ {
			nodes = append(nodes, lamplighter.Node("chain_L_"+string(rune('0'+k))))
		}
		for i := range r.Clips {
			r.Clips[i].Channels = slices.DeleteFunc(r.Clips[i].Channels, func(ch rig.Channel) bool { return slices.Contains(nodes, ch.Node) })
		}
		return lamplighter.Planted{Size: float64(links)}
	}
}
