package motion

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// intoParts cuts the skinned surface of a rig into rigid parts: each triangle goes to the
// node of the joint that holds most of it. Skins and the surface are taken off.
func intoParts(r *rig.Rig) *rig.Rig {
	r = lamplighter.Clone(r)
	world := r.RestWorld()
	parts := map[rig.Node]*rig.MeshData{}
	for i, s := range r.Surfaces {
		m, rest := &r.Meshes[s.Mesh], exam.New(r).RestPositions(i)
		for t := 0; t < len(m.Triangles); t += 3 {
			sum := map[rig.Node]float32{}
			for _, v := range m.Triangles[t : t+3] {
				for c := int(v) * m.K; c < (int(v)+1)*m.K; c++ {
					sum[r.Skins[s.Skin].Joints[m.Joints[c]]] += m.Weights[c]
				}
			}
			best := rig.Node(rig.None)
			for _, n := range r.Skins[s.Skin].Joints {
				if w := sum[n]; w > 0 && (best < 0 || w > sum[best]) {
					best = n
				}
			}
			p := parts[best]
			if p == nil {
				p = &rig.MeshData{Name: r.Nodes[best].Name}
				parts[best] = p
			}
			back, _ := world[best].Inverse()
			for _, v := range m.Triangles[t : t+3] {
				q := back.Point(mgl64.Vec3{float64(rest[3*v]), float64(rest[3*v+1]), float64(rest[3*v+2])})
				p.Triangles = append(p.Triangles, uint32(len(p.Positions)/3))
				p.Positions = append(p.Positions, float32(q[0]), float32(q[1]), float32(q[2]))
			}
		}
		r.Nodes[s.Node].Mesh, r.Nodes[s.Node].Skin = rig.None, rig.None
	}
	r.Skins, r.Surfaces, r.Meshes = nil, nil, nil
	for n := range r.Nodes {
		if p := parts[rig.Node(n)]; p != nil {
			k := len(p.Positions) / 3
			p.Primitives = []rig.PrimitiveData{{Count: k, TriCount: len(p.Triangles) / 3, Material: rig.None, Array: n, Mode: 4}}
			r.Nodes[n].Mesh = rig.Mesh(len(r.Meshes))
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: rig.Node(n), Mesh: rig.Mesh(len(r.Meshes)), Skin: rig.None})
			r.Meshes = append(r.Meshes, *p)
		}
	}
	return r
}

// A figure cut into rigid parts has the joints, the moving joints and the findings of
// the skinned one, but for what only a skin shows.
func TestPartsAreJoints(t *testing.T) {
	for name, base := range map[string]*rig.Rig{
		"still chains":   checktest.Built(lamplighter.Options{Vertices: 4000}),
		"sway":           checktest.Built(lamplighter.Options{Vertices: 4000, Sway: true}),
		"sway, numbered": checktest.Built(lamplighter.Options{Vertices: 4000, Sway: true, Pose: lamplighter.A, Names: lamplighter.Snake}),
	} {
		parts := intoParts(base)
		want, err := Measure(context.Background(), exam.New(base))
		if err != nil {
			t.Fatal(err)
		}
		got, err := Measure(context.Background(), exam.New(parts))
		if err != nil {
			t.Fatal(err)
		}
		for i := range want.Clips {
			a, b := &want.Clips[i], &got.Clips[i]
			if a.Moving != b.Moving || a.Travel.Class != b.Travel.Class || a.Loop != b.Loop || len(a.Feet) != len(b.Feet) || math.Abs(a.Speed-b.Speed) > 1e-9 {
				t.Errorf("%s %q: %d joints move, %s, loop %v, %d feet; skinned %d, %s, %v, %d", name, a.Name, b.Moving, b.Travel.Class, b.Loop, len(b.Feet), a.Moving, a.Travel.Class, a.Loop, len(a.Feet))
			}
			if b.LowestFigure == nil || math.Abs(*a.LowestFigure-*b.LowestFigure) > 0.02 {
				t.Errorf("%s %q: lowest %v, skinned %v", name, a.Name, b.LowestFigure, *a.LowestFigure)
			}
		}
		sum := func(r *rig.Rig) (out []string) {
			found, _ := checktest.Judge(t, &Station, r, nil)
			for _, f := range found {
				if f.ID != "motion/worst-frame" {
					out = append(out, f.Grade.String()+" "+f.ID+" "+f.Subject)
				}
			}
			return out
		}
		if a, b := sum(base), sum(parts); !slices.Equal(a, b) {
			t.Errorf("%s: found %q, skinned %q", name, b, a)
		}
	}
}

// Every planted fault of the station is found in the parts as in the skinned figure.
func TestFaultsOfParts(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 4000, Sway: true})
	for _, fault := range lamplighter.Faults() {
		if len(fault.ID) < 7 || fault.ID[:7] != "motion/" || fault.ID == "motion/worst-frame" {
			continue
		}
		r, planted := fault.On(base)
		found, _ := checktest.Judge(t, &Station, intoParts(r), nil)
		hit := false
		for _, f := range found {
			if f.ID == fault.ID && f.Grade.String() == fault.Grade && (planted.Size == 0 || math.Abs(f.Measures[0].Value-planted.Size) <= 0.02*planted.Size) {
				hit = true
			}
		}
		// What moves nothing is no joint of parts: without keys of their own the links are
		// things that hang on the yoke; and without a clip nothing tells parts from scenery.
		if !hit {
			t.Errorf("%s, %s: %+v", fault.ID, fault.Name, found)
		}
	}
}

// The rows of a clip are those of the parts; things that lie side by side are no figure.
func TestRowsOfParts(t *testing.T) {
	rows, err := Rows(exam.New(menagerie.Parts(menagerie.Options{Gear: true})), 0, 10)
	if err != nil {
		t.Fatal(err)
	}
	names := []string{}
	for _, j := range rows.Joints {
		names = append(names, string(j.Name))
	}
	if len(rows.Joints) != 21 || slices.Contains(names, "sword") {
		t.Errorf("%d rows: %q", len(rows.Joints), names)
	}
	checktest.Models(t)
	for _, name := range []string{"interpolation_test.gltf", "MorphStressTest.gltf"} {
		r := checktest.Open(t, checktest.Corpus+"/models/"+name)
		if r.OfParts() != nil {
			t.Errorf("%s has joints", name)
		}
		_, outcomes := checktest.Judge(t, &Station, r, nil)
		for _, o := range outcomes {
			if o.ID == "motion/still-chain" && o.State != check.NotLookedAt {
				t.Errorf("%s: %s", name, o.State)
			}
		}
	}
}

// Sound people of parts are silent.
func TestSoundParts(t *testing.T) {
	for _, gear := range []bool{false, true} {
		found, _ := checktest.Judge(t, &Station, menagerie.Parts(menagerie.Options{Gear: gear}), nil)
		for _, f := range found {
			t.Errorf("%s %s %s %v", f.Grade, f.ID, f.Subject, f.Measures)
		}
	}
}

// The sound figures of every kind: nothing is said of how they move. Their clip sways
// each joint, so hooves do slide and a snake does dip; two people name theirs alike.
func TestSoundKinds(t *testing.T) {
	for name, build := range map[string]func(menagerie.Options) *rig.Rig{
		"person": menagerie.Person, "three heads": menagerie.ThreeHeads, "two": menagerie.Two, "horse": menagerie.Horse, "ox": menagerie.Ox, "dog": menagerie.Dog,
		"bird": menagerie.Bird, "spider": menagerie.Spider, "snake": menagerie.Snake, "hand": menagerie.Hand, "cart": menagerie.Cart,
	} {
		for _, o := range rounds.Rows([]menagerie.Options{{}, {Names: menagerie.Numbered}}, 2) {
			found, _ := checktest.Judge(t, &Station, build(o), nil)
			for _, f := range found {
				if slices.Contains([]string{"motion/foot-skate", "motion/under-ground", "motion/split-clip"}, f.ID) {
					continue
				}
				t.Errorf("%s %d: %s %s %s %v", name, o.Names, f.Grade, f.ID, f.Subject, f.Measures)
			}
		}
	}
}
