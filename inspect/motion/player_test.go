package motion

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// clips are the sample's and, where they are, those of real models.
func eachClip(t *testing.T, visit func(name string, r *rig.Rig, f *figure, clip rig.Clip)) {
	t.Helper()
	rigs := map[string]*rig.Rig{"sample": checktest.Built(lamplighter.Options{Sway: true, Vertices: 6000})}
	if !testing.Short() {
		for _, name := range []string{"cesium_man.gltf", "Fox.glb", "robot.glb", "Knight.glb", "interpolation_test.gltf"} {
			if path := checktest.Corpus + "/models/" + name; exists(path) {
				rigs[name] = checktest.Open(t, path)
			}
		}
	}
	for name, r := range rigs {
		f := newFigure(exam.New(r))
		for c := range r.Clips {
			if c%7 == 0 || len(r.Clips) < 20 {
				visit(name, r, f, rig.Clip(c))
			}
		}
	}
}

// times is a·b of stored rotations: b turns first.
func times(a, b [4]float64) [4]float64 {
	return space.XYZW(space.Mul(space.FromXYZW(a), space.FromXYZW(b)))
}

// TestPlayer: the quick poses are those of deform.Pose.Sample, the general way, on real
// clips; at some nodes alone, too.
func TestPlayer(t *testing.T) {
	eachClip(t, func(name string, r *rig.Rig, f *figure, clip rig.Clip) {
		c := &r.Clips[clip]
		last := r.Order[len(r.Order)-1]
		p, one, want := deform.NewPlayer(r, nil), deform.NewPlayer(r, []rig.Node{last}), deform.NewPose(r)
		p.Start(c)
		one.Start(c)
		for i := range 7 {
			at := c.Start + (c.Seconds-c.Start)*float64(i*5%7)/6 // to and fro
			p.At(at)
			one.At(at)
			want.Sample(clip, at)
			// A channel that holds one value is set once: between its keys slerp rounds.
			same := func(n int, got rig.Affine) {
				for k, w := range want.World[n] {
					if !(math.Abs(got[k]-w) <= 1e-12*math.Max(1, math.Abs(w))) {
						t.Fatalf("%s, clip %d at %g: node %d stands at %v, want %v", name, clip, at, n, got, want.World[n])
					}
				}
			}
			for n := range want.World {
				same(n, p.World[n])
			}
			same(int(last), one.World[last])
		}
	})
}

// TestLowest: the bound by joint boxes passes over nothing: the lowest point is that
// of the whole surface, skinned vertex by vertex.
func TestLowest(t *testing.T) {
	eachClip(t, func(name string, r *rig.Rig, f *figure, clip rig.Clip) {
		c := &r.Clips[clip]
		for _, skinned := range []bool{true, false} {
			s := newSole(f, skinned)
			pose := deform.NewPose(r)
			for i := range 5 {
				at := c.Start + (c.Seconds-c.Start)*float64(i)/4
				pose.Rest()
				pose.Sample(clip, at)
				s.reset()
				s.look(pose.World)
				want := math.Inf(1)
				for _, u := range s.surfaces {
					m := &r.Meshes[r.Surfaces[u.surface].Mesh]
					pos := make([]float32, len(m.Positions))
					deform.NewDeformer(r, u.surface).Apply(pose, deform.Linear, pos, nil, nil, nil)
					used := f.e.Used(r.Surfaces[u.surface].Mesh)
					for v := range used {
						if used[v] {
							want = math.Min(want, float64(pos[3*v+1]))
						}
					}
				}
				if math.IsInf(want, 1) && math.IsInf(s.best, 1) {
					continue
				}
				if d := math.Abs(s.best - want); !(d <= 1e-5*f.diagonal) {
					t.Fatalf("%s, clip %d at %g, skinned %v: lowest %g, want %g", name, clip, at, skinned, s.best, want)
				}
			}
		}
	})
}

// TestOddClips: clips that hardly are any get an answer, and it is JSON.
func TestOddClips(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 6000})
	channel := func(times, values []float32) rig.Channel {
		return rig.Channel{Node: lamplighter.Node("head"), Path: rig.Rotation, Width: 4, Times: times, Values: values}
	}
	for name, clip := range map[string]rig.ClipData{
		"no channel":          {Name: "empty"},
		"one key":             {Name: "one", Channels: []rig.Channel{channel([]float32{1}, []float32{0, 0, 0, 1})}, Start: 1, Seconds: 1},
		"no key":              {Name: "none", Channels: []rig.Channel{channel(nil, nil)}},
		"zero rotations":      {Name: "zero", Channels: []rig.Channel{channel([]float32{0, 1}, make([]float32, 8))}, Seconds: 1},
		"keys at one moment":  {Name: "same", Channels: []rig.Channel{channel([]float32{2, 2}, []float32{0, 0, 0, 1, 1, 0, 0, 0})}, Start: 2, Seconds: 2},
		"a channel of no one": {Name: "nobody", Channels: []rig.Channel{{Node: rig.None, Path: rig.Rotation, Width: 4, Times: []float32{0}, Values: []float32{0, 0, 0, 1}}}},
	} {
		t.Run(name, func(t *testing.T) {
			r := lamplighter.Clone(base)
			r.Clips = []rig.ClipData{clip}
			answers(t, r)
		})
	}
	t.Run("clips without a skin", func(t *testing.T) {
		r := lamplighter.Clone(base)
		lamplighter.Unskin(r)
		answers(t, r)
	})
}

func exists(path string) bool { _, err := os.Stat(path); return err == nil }

// answers measures and judges a rig, and fails on facts that are no JSON.
func answers(t *testing.T, r *rig.Rig) {
	t.Helper()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(f); err != nil {
		t.Error(err)
	}
	Station.Judge(f, nil)
}

// TestCopies: size, place and turn of the whole figure make no flaw of its motion.
func TestCopies(t *testing.T) {
	for _, o := range rounds.Rows([]lamplighter.Options{
		{Sway: true}, {Sway: true, Pose: lamplighter.A, Names: lamplighter.Snake}, {Sway: true, Names: lamplighter.Prefix},
	}, 3) {
		base := checktest.Built(o)
		for name, plant := range map[string]func(*rig.Rig) lamplighter.Planted{
			"as it is":          func(*rig.Rig) lamplighter.Planted { return lamplighter.Planted{} },
			"a hundredth":       lamplighter.RootScale(0.01, 0.01, 0.01, true),
			"2.54 times":        lamplighter.RootScale(2.54, 2.54, 2.54, true),
			"stored enlarged":   lamplighter.Enlarge(100),
			"turned by 90°":     lamplighter.RootTurn(90, 0),
			"leaning by 12°":    lamplighter.RootTurn(0, 12),
			"shifted sideways":  lamplighter.Shift(3, 0, -2),
			"half a metre high": lamplighter.Shift(0, 0.5, 0),
		} {
			t.Run(o.FileName()+"/"+name, func(t *testing.T) {
				r := lamplighter.Clone(base)
				plant(r)
				f, err := Measure(context.Background(), exam.New(r))
				if err != nil {
					t.Fatal(err)
				}
				found, _ := Station.Judge(f, nil)
				for _, x := range found {
					if x.Grade > check.Note {
						t.Errorf("%s %s %v %s", x.Grade, x.ID, x.Measures, x.Subject)
					}
				}
			})
		}
	}
}
