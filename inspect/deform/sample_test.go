package deform

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func channel(path rig.Path, i rig.Interpolation, width int, times []float32, values ...float32) rig.Channel {
	return rig.Channel{Path: path, Interpolation: i, Width: width, Times: times, Values: values}
}

// Interpolation as glTF 2.0, Appendix C; the linear row is the Khronos tutorial's
// (chapter 7), the cubic ones are worked by hand.
func TestValue(t *testing.T) {
	tutorial := channel(rig.Translation, rig.Linear, 3, []float32{0, .8, 1.6, 2.4},
		10, 5, -5, 14, 3, -2, 18, 1, 1, 22, -1, 4)
	step := tutorial
	step.Interpolation = rig.Step
	cubic := channel(rig.Scale, rig.Cubic, 3, []float32{0, 2},
		9, 9, 9, 1, 1, 1, .5, .5, .5,
		-1, -1, -1, 3, 3, 3, 9, 9, 9)
	h := float32(math.Sqrt2 / 2)
	turn := channel(rig.Rotation, rig.Linear, 4, []float32{0, 1}, 0, 0, 0, 1, 0, 0, h, h)
	negated := channel(rig.Rotation, rig.Linear, 4, []float32{0, 1}, 0, 0, 0, 1, 0, 0, -h, -h)
	cubicTurn := channel(rig.Rotation, rig.Cubic, 4, []float32{0, 1},
		0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0,
		0, 0, 0, 0, 0, 0, h, h, 0, 0, 0, 0)
	loose := channel(rig.Rotation, rig.Step, 4, []float32{1}, 0, 0, .383, .924)
	for _, w := range []struct {
		name    string
		channel rig.Channel
		at      float64
		want    []float64
		slack   float64
	}{
		{"linear, tutorial", tutorial, 1.2, []float64{16, 2, -.5}, 1e-6},
		{"linear, at a key, as stored", tutorial, float64(float32(1.6)), []float64{18, 1, 1}, 0},
		{"before the first key", tutorial, -1, []float64{10, 5, -5}, 0},
		{"after the last key", tutorial, 99, []float64{22, -1, 4}, 0},
		{"step holds", step, 1.59, []float64{14, 3, -2}, 0},
		{"step, at a key", step, float64(float32(1.6)), []float64{18, 1, 1}, 0},
		{"cubic", cubic, .5, []float64{1.546875, 1.546875, 1.546875}, 0},
		{"cubic, first key: its value, not a tangent", cubic, 0, []float64{1, 1, 1}, 0},
		{"cubic, last key", cubic, 2, []float64{3, 3, 3}, 0},
		{"cubic, clamped", cubic, 7, []float64{3, 3, 3}, 0},
		{"W23 slerp", turn, .25, []float64{0, 0, .195090, .980785}, 1e-6},
		{"W23 slerp the short way", negated, .25, []float64{0, 0, .195090, .980785}, 1e-6},
		{"cubic rotation is made unit", cubicTurn, .25, []float64{0, 0, 0.115016, 0.993364}, 1e-6},
		{"cubic rotation, middle: as slerp", cubicTurn, .5, []float64{0, 0, .382683, .923880}, 1e-6},
		{"stored rotation off unit length", loose, 1, []float64{0, 0, .383 / 1.000232474, .924 / 1.000232474}, 1e-7},
	} {
		t.Run(w.name, func(t *testing.T) {
			var v [4]float64
			if !Value(&w.channel, w.at, &v) {
				t.Fatal("no value")
			}
			near(t, "value", v[:len(w.want)], w.want, w.slack)
		})
	}
}

// Channels of a broken file are left at rest; nothing panics.
func TestUnusableChannels(t *testing.T) {
	nan := float32(math.NaN())
	for _, w := range []struct {
		name    string
		channel rig.Channel
	}{
		{"no keys", channel(rig.Translation, rig.Linear, 3, nil)},
		{"values missing", channel(rig.Translation, rig.Linear, 3, []float32{0, 1}, 1, 2, 3)},
		{"tangents missing", channel(rig.Translation, rig.Cubic, 3, []float32{0}, 1, 2, 3)},
		{"width of another path", channel(rig.Rotation, rig.Linear, 3, []float32{0}, 1, 2, 3)},
		{"zero rotation", channel(rig.Rotation, rig.Step, 4, []float32{0}, 0, 0, 0, 0)},
		{"rotation not a number", channel(rig.Rotation, rig.Step, 4, []float32{0}, nan, 0, 0, 1)},
		{"weights of a mesh without targets", channel(rig.Weights, rig.Linear, 1, []float32{0}, 1)},
	} {
		t.Run(w.name, func(t *testing.T) {
			r := points([]float32{1, 2, 3}, 1)
			r.Nodes[0].TRS.T = [3]float64{0, 0, 4}
			r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
			r.Clips = []rig.ClipData{{Channels: []rig.Channel{w.channel}}}
			p := NewPose(r)
			p.Sample(0, .5)
			if p.Local[0] != r.Nodes[0].Matrix {
				t.Errorf("moved to %v", p.Local[0])
			}
		})
	}
	t.Run("times that go back: some key, no panic", func(t *testing.T) {
		c := channel(rig.Translation, rig.Linear, 3, []float32{2, 1, 1, nan, 0}, make([]float32, 15)...)
		for _, at := range []float64{-1, 0, .5, 1, 1.5, 2, 3, math.NaN(), math.Inf(1)} {
			var v [4]float64
			Value(&c, at, &v)
		}
	})
}

// A clip is laid over the rest pose: what it does not name keeps its rest value,
// and nothing of the moment before remains.
func TestSampleOverRest(t *testing.T) {
	r := points([]float32{1, 0, 0}, .5, .5)
	r.Nodes[0].TRS = rig.TRS{T: [3]float64{0, 1, 0}, R: axis(0, 0, 1, .5), S: [3]float64{1, 2, 1}}
	r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
	up := channel(rig.Translation, rig.Linear, 3, []float32{0, 1}, 0, 0, 0, 0, 0, 8)
	other := up
	other.Node = 1
	nowhere := up
	nowhere.Node = rig.None
	r.Clips = []rig.ClipData{{Channels: []rig.Channel{up, nowhere}}, {Channels: []rig.Channel{other}}}
	p := NewPose(r)
	rest := p.Local[0]
	p.Sample(0, .5)
	want := r.Nodes[0].TRS
	want.T = [3]float64{0, 0, 4}
	m := want.Affine()
	near(t, "only the translation changes", p.Local[0][:], m[:], 0)
	p.Sample(1, 1)
	if p.Local[0] != rest {
		t.Error("the other clip left the first one's pose behind")
	}
	near(t, "moved", p.World[1][:], []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 8}, 0)
	p.Sample(rig.None, 1)
	if p.Local[1] != rig.Identity {
		t.Error("no clip is the rest pose")
	}
	if n := testing.AllocsPerRun(20, func() { p.Sample(0, .3) }); n != 0 {
		t.Errorf("sampling allocates %g times a frame", n)
	}
}

// Children follow their parents, scale before rotation before translation
// (glTF 2.0, Transformations).
func TestWorldOrder(t *testing.T) {
	r := points([]float32{0, 0, 0}, .5, .5)
	r.Nodes[0].TRS = rig.TRS{T: [3]float64{0, 0, 1}, R: axis(0, 0, 1, 90*degree), S: [3]float64{2, 2, 2}}
	r.Nodes[0].Matrix = r.Nodes[0].TRS.Affine()
	r.Nodes[0].Children = []rig.Node{1}
	r.Nodes[1].Parent = 0
	r.Nodes[1].TRS.T = [3]float64{1, 0, 0}
	r.Nodes[1].Matrix = r.Nodes[1].TRS.Affine()
	r.SetOrder()
	p := NewPose(r)
	o := p.World[1].Origin()
	near(t, "child", o[:], []float64{0, 2, 1}, 1e-15)
}

// A track that keeps its place answers what a fresh one does, whatever the order of the
// moments, on even, uneven and doubled keys.
func TestTrackInAnyOrder(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	for _, times := range [][]float32{{0}, {1, 2}, {0, .5, .5, .5, 2}, {0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, {-3, -1, 0, 100, 101}} {
		for _, how := range []rig.Interpolation{rig.Linear, rig.Step, rig.Cubic} {
			values := make([]float32, 9*len(times))
			for i := range values {
				values[i] = draw.Float32()
			}
			c := channel(rig.Translation, how, 3, times, values...)
			kept, ok := NewTrack(&c)
			if !ok {
				t.Fatal("it can be read")
			}
			for i := range 400 {
				at := float64(times[draw.IntN(len(times))])
				if i%2 == 0 {
					at = 15*draw.Float64() - 4
				}
				fresh, _ := NewTrack(&c)
				if got, want := kept.Vector(at), fresh.Vector(at); got != want {
					t.Fatalf("keys at %v, at %g: %v, want %v", times, at, got, want)
				}
				// By the definition: the last key not later than the moment holds until the next.
				if how == rig.Step {
					k := 0
					for k+1 < len(times) && float64(times[k+1]) <= at {
						k++
					}
					if got := kept.Vector(at); got != space.At(values, k) {
						t.Fatalf("keys at %v, at %g: %v, want key %d", times, at, got, k)
					}
				}
			}
		}
	}
}

// A key without direction leaves its joint at rest, not where the moment before left it:
// the player as the pose.
func TestKeyWithoutDirection(t *testing.T) {
	r := points([]float32{1, 2, 3}, 1)
	turn := channel(rig.Rotation, rig.Linear, 4, []float32{0, 1, 2}, 1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0)
	r.Clips = []rig.ClipData{{Seconds: 2, Channels: []rig.Channel{turn}}}
	pose, play := NewPose(r), NewPlayer(r, nil)
	play.Start(&r.Clips[0])
	for _, at := range []float64{.5, 1.5, 2} {
		pose.Sample(0, at)
		play.At(at)
		if play.World[0] != pose.World[0] {
			t.Errorf("at %g the player stands at %v, the pose at %v", at, play.World[0], pose.World[0])
		}
		if rest := r.Nodes[0].Matrix; (play.World[0] == rest) != (at > 1) {
			t.Errorf("at %g it stands at %v, rest is %v", at, play.World[0], rest)
		}
	}
}

// Still is for what holds one value at all moments.
func TestStill(t *testing.T) {
	for _, row := range []struct {
		name string
		c    rig.Channel
		want bool
	}{
		{"one key", channel(rig.Translation, rig.Linear, 3, []float32{0}, 1, 2, 3), true},
		{"equal keys", channel(rig.Translation, rig.Step, 3, []float32{0, 1}, 1, 2, 3, 1, 2, 3), true},
		{"the last number differs", channel(rig.Translation, rig.Linear, 3, []float32{0, 1}, 1, 2, 3, 1, 2, 3.0000002), false},
		{"tangents may move it", channel(rig.Translation, rig.Cubic, 3, []float32{0}, 0, 0, 0, 1, 2, 3, 0, 0, 0), false},
		{"no width", channel(rig.Translation, rig.Linear, 0, []float32{0}, 1), false},
	} {
		if got := Still(&row.c); got != row.want {
			t.Errorf("%s: %v", row.name, got)
		}
	}
}
