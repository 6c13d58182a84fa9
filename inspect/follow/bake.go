package follow

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// longest is the most moments that a stretch between two keys may leave out: a chain that rests
// for a minute gets a key now and then, and looking for keys stays linear.
const longest = 240

// keys are the places of a list of rotations to keep, so that the way at even speed between
// them leaves none farther off than a tolerance in radians. The first and the last are kept.
func keys(turns []space.Turn, tolerance float64) (out []int) {
	if len(turns) == 0 {
		return nil
	}
	fits := func(from, to int) bool {
		arc := space.NewArc(turns[from], turns[to])
		for k := from + 1; k < to; k++ {
			at, ok := arc.At(float64(k-from) / float64(to-from)).Unit()
			if !ok || at.Back().Mul(turns[k]).Angle() > tolerance {
				return false
			}
		}
		return true
	}
	last := len(turns) - 1
	for from := 0; from < last; {
		out = append(out, from)
		good, bad := from+1, from+2
		for bad <= last && bad-from <= longest && fits(from, bad) {
			good, bad = bad, from+2*(bad-from)
		}
		bad = min(bad, last+1, from+longest+1)
		for good+1 < bad {
			if mid := (good + bad) / 2; fits(from, mid) {
				good = mid
			} else {
				bad = mid
			}
		}
		from = good
	}
	return append(out, last)
}

// Channels are the rotations of a motion as linear keys, one channel a link that has a
// direction. tolerance is how far, in radians, a rotation between two keys may be off.
func (m *Motion) Channels(tolerance float64) (out []rig.Channel) {
	for i := range m.chains.Links {
		if len(m.turns[i]) == 0 {
			continue
		}
		ch := rig.Channel{Node: m.chains.Links[i].Joint, Path: rig.Rotation, Width: 4}
		before := space.Turn{}
		for _, k := range keys(m.turns[i], tolerance) {
			at := float32(m.times[k])
			if n := len(ch.Times); n > 0 && at <= ch.Times[n-1] {
				continue // nearer than float32 tells apart
			}
			q := m.turns[i][k]
			if q.Dot(before) < 0 {
				q = space.Turn{X: -q.X, Y: -q.Y, Z: -q.Z, W: -q.W}
			}
			before = q
			ch.Times = append(ch.Times, at)
			ch.Values = append(ch.Values, float32(q.X), float32(q.Y), float32(q.Z), float32(q.W))
		}
		out = append(out, ch)
	}
	return out
}
