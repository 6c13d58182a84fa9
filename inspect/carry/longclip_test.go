package carry

import (
	"testing"

	"rigloupe/inspect/rig"
)

// However far keys lie apart, the moments between them are some 100,000 at most, in
// order, and hold every key.
func TestMomentsOfLongClips(t *testing.T) {
	even := func(n int, step float32) (times []float32) {
		for i := range n {
			times = append(times, float32(i)*step)
		}
		return times
	}
	for name, times := range map[string][]float32{
		"last key at 1e9 s":                 {0, 1, 1e9},
		"the end of float32":                {0, 3e38},
		"10,000 keys, a quarter hour apart": even(10_000, 900),
		"all before and after zero":         {-3e38, 3e38},
		"a minute":                          {0, 60},
	} {
		c := &rig.ClipData{Channels: []rig.Channel{{Node: 0, Path: rig.Translation, Times: times, Values: make([]float32, 3*len(times)), Width: 3}}}
		out := moments(c, func(rig.Node) bool { return true })
		if len(out) < len(times) || len(out) > len(times)+mostParted {
			t.Errorf("%s: %d moments", name, len(out))
		}
		k := 0
		for i, x := range out {
			if x-x != 0 || i > 0 && x < out[i-1] {
				t.Fatalf("%s: moment %d is %g", name, i, x)
			}
			if k < len(times) && x == times[k] {
				k++
			}
		}
		if k != len(times) {
			t.Errorf("%s: %d of %d keys are moments", name, k, len(times))
		}
		if name == "a minute" && len(out) != 1801 && len(out) != 1800 {
			t.Errorf("a minute in thirtieths: %d", len(out))
		}
	}
}
