package motion

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// planted goes through the channels of the sound figures' clips that turn a joint: plant
// changes one, read looks at the clip again, and the channel is put back.
func planted(t *testing.T, plant func(r *rand.Rand, ch *rig.Channel) bool, read func(clip *Clip, m *meter, q keyed, was, ch *rig.Channel)) {
	t.Helper()
	random := rand.New(rand.NewSource(19))
	rigs := soundRigs(t)
	for _, name := range []string{"Fox.glb", "Knight.glb", "capture", "cesium_man.gltf", "robot.glb", "sample", "sample A"} {
		r := rigs[name]
		if r == nil {
			continue
		}
		m := newMeter(exam.New(r))
		for i := range r.Clips {
			c := &r.Clips[i]
			m.readClip(rig.Clip(i))
			for k := range m.keys {
				q := m.keys[k]
				ch := &c.Channels[q.channel]
				if q.path != rig.Rotation || !q.moves || len(ch.Times) < 12 || ch.Interpolation != rig.Linear || !m.carries[q.node] && len(r.Surfaces) > 0 {
					continue
				}
				old := *ch
				if plant(random, ch) {
					all := slices.Clone(m.keys)
					all[k] = m.readKeys(q.channel, ch)
					clip := Clip{Name: rig.Name(c.Name), Seconds: c.Seconds}
					m.locals.Start(c)
					m.readLoop(&clip, c, all, m.carried)
					m.readStray(&clip, c, all)
					read(&clip, m, q, &old, ch)
				}
				*ch = old
			}
		}
	}
}

// The first or the last key of a joint turned away by 30 to 42° in a clip that reads as a
// loop: found at its joint and its end. In clips that are played once nothing is said of
// their ends.
func TestStrayKeysAtTheEndsOfLoops(t *testing.T) {
	key, all, found, once := 0, 0, 0, 0
	planted(t, func(random *rand.Rand, ch *rig.Channel) bool {
		key = random.Intn(2) * (len(ch.Times) - 1)
		turnKeys(ch, key, key, random.Intn(3), 30+12*random.Float64())
		return true
	}, func(clip *Clip, _ *meter, q keyed, _, ch *rig.Channel) {
		s := clip.StrayOff
		atEnd := s.Node == q.node && math.Abs(s.Time-float64(ch.Times[key])) < 1e-6
		switch {
		case !clip.Loop && atEnd:
			once++
		case clip.Loop:
			all++
			if atEnd && s.Value > 15 {
				found++
			}
		}
	})
	t.Logf("%d of %d", found, all)
	if float64(found) < 0.97*float64(all) || all < 50 || once > 0 {
		t.Errorf("%d of %d ends of loops found, want 97 %%; %d told in clips that are played once", found, all, once)
	}
}

// 0.3 s of keys cut out of one joint's channel, where more than a degree of movement went
// with them.
func TestHolesInOneChannel(t *testing.T) {
	const heldHole = 0.02 // of what was lost
	all, found, held, key, steps := 0, 0, 0, 0, 0
	planted(t, func(random *rand.Rand, ch *rig.Channel) bool {
		n := len(ch.Times)
		usual := float64(ch.Times[n/2] - ch.Times[n/2-1])
		steps = int(math.Round(.3 / usual))
		if steps < 5 || n < steps+6 {
			return false
		}
		key = 1 + random.Intn(n-steps-2)
		if ch.Times[key+steps]-ch.Times[key] < .25 {
			return false
		}
		ch.Times = slices.Delete(slices.Clone(ch.Times), key+1, key+steps)
		ch.Values = slices.Delete(slices.Clone(ch.Values), 4*(key+1), 4*(key+steps))
		return true
	}, func(clip *Clip, _ *meter, q keyed, was, _ *rig.Channel) {
		full, lost := series{c: was}, 0.0
		full.set(key)
		end := full.place(key + steps)
		for a := key + 1; a < key+steps; a++ {
			lost = max(lost, full.place(a).Sub(end.Mul(float64(a-key)/float64(steps))).Len())
		}
		if lost < 1 {
			return
		}
		if end.Len() < heldHole*lost {
			held++ // a joint that ends where it began may have held its pose: told of several together alone
			return
		}
		all++
		if slices.Contains(clip.GapNodes, q.node) {
			found++
		}
	})
	t.Logf("%d of %d, and %d that end where they began", found, all, held)
	if float64(found) < 0.97*float64(all) || all < 50 || held > all/20 {
		t.Errorf("%d of %d holes found, want 97 %%; %d end where they began", found, all, held)
	}
}

// A key at the seam that is off at both ends alike is the movement's own accent.
func TestAccentAtTheSeam(t *testing.T) {
	for _, row := range []struct {
		name string
		keys []int
		want int
	}{
		{"both ends", []int{0, 72}, 0},
		{"the first", []int{0}, 1},
		{"the last", []int{72}, 1},
	} {
		r := lamplighter.Clone(checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000}))
		ch := turning(r, 1, lamplighter.Node("head"))
		if len(ch.Times) != 73 {
			t.Fatalf("%d keys", len(ch.Times))
		}
		for _, k := range row.keys {
			turnKeys(ch, k, k, 0, 32)
		}
		got := filed(t, r, "motion/stray-key")
		if len(got) != row.want || len(got) == 1 && (got[0].Grade != check.Flaw || math.Abs(got[0].Measures[0].Value-32) > 2 || got[0].Where.Joints[0] != lamplighter.Node("head")) {
			t.Errorf("%s: %+v", row.name, got)
		}
	}
}
