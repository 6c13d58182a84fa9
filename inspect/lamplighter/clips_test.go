package lamplighter

import (
	"math"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func clipsOf(t *testing.T, each func(t *testing.T, r *rig.Rig, c *rig.ClipData)) {
	t.Helper()
	for _, p := range []Pose{T, A} {
		r := Build(Options{Pose: p, Vertices: 4_000})
		for i := range r.Clips {
			t.Run([...]string{"T ", "A "}[p]+r.Clips[i].Name, func(t *testing.T) { each(t, r, &r.Clips[i]) })
		}
	}
}

// TestClips: lengths, loops that close to the bit, unit quaternions that take the
// short way, chains without a key, one set of times from 0.
func TestClips(t *testing.T) {
	want := map[string]float64{"stroll": 1.2, "wave": 2.4}
	clipsOf(t, func(t *testing.T, r *rig.Rig, c *rig.ClipData) {
		if math.Abs(c.Seconds-want[c.Name]) > 1e-6 || c.Start != 0 {
			t.Errorf("%v to %v s, want 0 to %v", c.Start, c.Seconds, want[c.Name])
		}
		moves := 0
		for i := range c.Channels {
			ch := &c.Channels[i]
			if ch.Node >= chainL {
				t.Errorf("%s is keyed", r.Nodes[ch.Node].Name)
			}
			if &ch.Times[0] != &c.Channels[0].Times[0] || len(ch.Values) != ch.Width*len(ch.Times) {
				t.Errorf("%s: times of its own, or %d values", r.Nodes[ch.Node].Name, len(ch.Values))
			}
			last := len(ch.Times) - 1
			for k := range ch.Width {
				if ch.Values[k] != ch.Values[last*ch.Width+k] {
					t.Errorf("%s does not close", r.Nodes[ch.Node].Name)
				}
			}
			if ch.Path != rig.Rotation {
				continue
			}
			moves++
			for f := range ch.Times {
				q := ch.Values[4*f : 4*f+4]
				if l := math.Sqrt(float64(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])); math.Abs(l-1) > 1e-6 {
					t.Fatalf("%s, key %d: length %v", r.Nodes[ch.Node].Name, f, l)
				}
				if f == 0 {
					continue
				}
				p := ch.Values[4*f-4 : 4*f]
				dot := float64(p[0]*q[0] + p[1]*q[1] + p[2]*q[2] + p[3]*q[3])
				if turn := 2 * math.Acos(min(1, dot)) * 180 / math.Pi * rate; dot < 0 || turn > 900 {
					t.Errorf("%s, key %d: dot %.3f, %.0f °/s", r.Nodes[ch.Node].Name, f, dot, turn)
				}
			}
		}
		if moves < 8 {
			t.Errorf("%d joints turn", moves)
		}
	})
}

// TestGround: over each clip the lowest vertex stays within 1 % of the height of the
// ground, between keys too.
func TestGround(t *testing.T) {
	clipsOf(t, func(t *testing.T, r *rig.Rig, c *rig.ClipData) {
		d, p := deform.NewDeformer(r, 0), deform.NewPose(r)
		out := make([]float32, len(r.Meshes[0].Positions))
		for f := range int(c.Seconds*60) + 1 {
			p.Sample(clipNumber(r, c), float64(f)/60)
			d.Apply(p, deform.Linear, out, nil, nil, nil)
			low := math.Inf(1)
			for i := 1; i < len(out); i += 3 {
				low = min(low, float64(out[i]))
			}
			if math.Abs(low) > 0.0186 {
				t.Errorf("at %.3f s the lowest vertex is at %.4f m", float64(f)/60, low)
			}
		}
	})
}

func clipNumber(r *rig.Rig, c *rig.ClipData) rig.Clip {
	for i := range r.Clips {
		if &r.Clips[i] == c {
			return rig.Clip(i)
		}
	}
	return rig.None
}

// TestFeetStand: while a foot stands flat it goes back at one speed (2 · stride ÷ the
// time it stands) and not sideways, by less than 2 % of the height a second; and in
// the wave the feet do not move at all.
func TestFeetStand(t *testing.T) {
	clipsOf(t, func(t *testing.T, r *rig.Rig, c *rig.ClipData) {
		p := deform.NewPose(r)
		speed := 0.0
		if c.Name == "stroll" {
			speed = 2 * stride / (stand * 1.2)
		}
		const n = 240
		step := c.Seconds / n
		at := func(i, j int) space.Vec {
			p.Sample(clipNumber(r, c), float64(i)*step)
			return p.World[j].Origin()
		}
		for side, j := range []int{footL, footR} {
			for i := range n {
				phase := math.Mod(float64(i)/n+0.5*float64(side), 1)
				// Flat until the heel rises; keys either side of the change left out.
				if c.Name == "stroll" && (phase < 0.03 || phase > 0.62*stand-0.03) {
					continue
				}
				a, b := at(i, j), at(i+1, j)
				v := b.Sub(a).Mul(1 / step).Add(space.Vec{0, 0, speed})
				if v.Len() > 0.02*1.86 {
					t.Errorf("side %d, phase %.3f: slides by %v m/s", side, phase, v)
				}
			}
		}
	})
}
