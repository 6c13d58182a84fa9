package intake

import (
	"context"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// sampled is the box of one surface over all clips by full skinning, at every key
// of the densest channel.
func sampled(r *rig.Rig, surface int) geom.Box {
	p, d := deform.NewPose(r), deform.NewDeformer(r, surface)
	out := make([]float32, len(r.Meshes[r.Surfaces[surface].Mesh].Positions))
	d.Apply(p, deform.Linear, out, nil, nil, nil)
	b := geom.BoxOf(out)
	for c := range r.Clips {
		var times []float32
		for _, h := range r.Clips[c].Channels {
			if len(h.Times) > len(times) {
				times = h.Times
			}
		}
		for _, t := range times {
			p.Sample(rig.Clip(c), float64(t))
			d.Apply(p, deform.Linear, out, nil, nil, nil)
			b = b.Union(geom.BoxOf(out))
		}
	}
	return b
}

func TestSafeBoxHolds(t *testing.T) {
	for name, build := range map[string]func(*testing.T) *rig.Rig{
		"lamplighter": func(t *testing.T) *rig.Rig { return checktest.Built(lamplighter.Options{}) },
		"with gear":   func(t *testing.T) *rig.Rig { return menagerie.Person(menagerie.Options{Gear: true}) },
		"rigid parts": func(t *testing.T) *rig.Rig { return menagerie.Parts(menagerie.Options{}) },
		"Knight.glb":  func(t *testing.T) *rig.Rig { return model(t, "Knight.glb") },
		"Fox.glb":     func(t *testing.T) *rig.Rig { return model(t, "Fox.glb") },
		"cesium":      func(t *testing.T) *rig.Rig { return model(t, "cesium_man.gltf") },
		"robot":       func(t *testing.T) *rig.Rig { return model(t, "robot.glb") },
		"simple":      func(t *testing.T) *rig.Rig { return model(t, "rigged_simple.gltf") },
	} {
		t.Run(name, func(t *testing.T) {
			r := build(t)
			f, err := Measure(context.Background(), exam.New(r))
			if err != nil {
				t.Fatal(err)
			}
			// The box of the whole figure holds every surface that is shown, skinned or not.
			if f.Safe.Min == nil {
				t.Fatal("no safe box")
			}
			safe := geom.Box{Min: *f.Safe.Min, Max: *f.Safe.Max}
			for i := range f.PerSurface {
				if p := &f.PerSurface[i]; p.Shown {
					if o := outside(sampled(r, p.Surface), safe); o > 0.005 {
						t.Errorf("%s: %.1f %% of it lies outside the safe box of the figure", p.Name, 100*o)
					}
				}
			}
			for _, s := range f.Safe.Surfaces {
				p := &f.PerSurface[s.At]
				truth := sampled(r, p.Surface)
				t.Logf("%s: rest %.3v truth %.3v safe %.3v: outside %.3f, true %.3f; volume %.2f", p.Name, p.Bounds.True.Size(), truth.Size(), s.Box.Size(), s.Outside, outside(truth, p.Bounds.Player), s.Box.Volume()/truth.Volume())
				// A sword is swung far from one moment to the next; the box of all holds it.
				if o := outside(truth, s.Box); o > 0.02 && !s.Stiff {
					t.Errorf("%s: %.1f %% of the true box lies outside the safe one", p.Name, 100*o)
				}
			}
		})
	}
}
