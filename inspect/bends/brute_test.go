package bends

import (
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// brute measures one move of a figure of one surface without any short cut: the whole
// surface is skinned, every triangle measured by its gradient, every influence looked
// at.
type brute struct {
	p99, most, turned, volume float64
	triangles                 int
	touching                  bool
	over                      [][3]mgl64.Vec3 // triangles turned over, at rest
}

func measureBrute(r *rig.Rig, joint rig.Node, axis mgl64.Vec3, degrees float64, method deform.Method) (out brute) {
	p := deform.NewPose(r)
	world := slices.Clone(p.World)
	below := make([]bool, len(r.Nodes))
	for _, n := range r.Order {
		up := r.Nodes[n].Parent
		below[n] = n == joint || up >= 0 && below[up]
	}
	mesh, skin := &r.Meshes[0], &r.Skins[0]
	rest := deform.RestSurface(r, 0)
	turn := anatomy.Rotation(world[joint].Origin(), axis, degrees)
	moved := turn.Mul(&world[joint])
	inv, _ := world[r.Nodes[joint].Parent].Inverse()
	p.Local[joint] = inv.Mul(&moved)
	p.Update()
	now := make([]float32, len(rest))
	deform.NewDeformer(r, 0).Apply(p, method, now, nil, nil, nil)

	share := make([]float64, mesh.Vertices())
	for v := range share {
		sum := 0.0
		for k := v * mesh.K; k < (v+1)*mesh.K; k++ {
			w := float64(mesh.Weights[k])
			sum += w
			if below[skin.Joints[mesh.Joints[k]]] {
				share[v] += w
			}
		}
		share[v] /= sum
	}
	at := func(s []float32, v uint32) mgl64.Vec3 {
		return mgl64.Vec3{float64(s[3*v]), float64(s[3*v+1]), float64(s[3*v+2])}
	}
	var stretches []float64
	half := degrees * math.Pi / 360
	between := map[[2][3]float32]int{} // directed edges of the zone, by place
	place := func(v uint32) [3]float32 {
		return [3]float32{mesh.Positions[3*v] + 0, mesh.Positions[3*v+1] + 0, mesh.Positions[3*v+2] + 0}
	}
	type edge struct{ a, b uint32 }
	var edges []edge
	volumeOf := func(s []float32, fan func(loop int) mgl64.Vec3, loops map[edge]int, zone []uint32) (v float64) {
		for t := 0; t < len(zone); t += 3 {
			v += at(s, zone[t]).Dot(at(s, zone[t+1]).Cross(at(s, zone[t+2]))) / 6
		}
		for e, l := range loops {
			v += fan(l).Dot(at(s, e.b).Cross(at(s, e.a))) / 6
		}
		return v
	}
	var zone []uint32
	for t := 0; t < len(mesh.Triangles); t += 3 {
		a, b, c := mesh.Triangles[t], mesh.Triangles[t+1], mesh.Triangles[t+2]
		if share[a] == 0 && share[b] == 0 && share[c] == 0 {
			continue
		}
		was, is := [3]mgl64.Vec3{at(rest, a), at(rest, b), at(rest, c)}, [3]mgl64.Vec3{at(now, a), at(now, b), at(now, c)}
		if share[a] != 1 || share[b] != 1 || share[c] != 1 {
			zone = append(zone, a, b, c)
		}
		f, ok := deform.Gradient(was, is)
		if !ok {
			continue
		}
		most, _ := deform.Principal(f)
		stretches = append(stretches, most)
		w := (share[a] + share[b] + share[c]) / 3
		angle := 2 * math.Atan2(w*math.Sin(half), 1-w+w*math.Cos(half))
		m := anatomy.Rotation(mgl64.Vec3{}, axis, angle*180/math.Pi)
		n := m.Direction(was[1].Sub(was[0]).Cross(was[2].Sub(was[0])))
		if is[1].Sub(is[0]).Cross(is[2].Sub(is[0])).Dot(n) < 0 {
			out.turned++
			out.over = append(out.over, was)
		}
	}
	slices.Sort(stretches)
	out.triangles = len(stretches)
	out.most = stretches[len(stretches)-1]
	out.p99 = stretches[int(math.Ceil(0.99*float64(len(stretches))))-1]
	out.turned /= float64(len(stretches))

	// The zone's border: directed edges whose twin no triangle of the zone has.
	for t := 0; t < len(zone); t += 3 {
		for k := range 3 {
			a, b := zone[t+k], zone[t+(k+1)%3]
			between[[2][3]float32{place(a), place(b)}]++
			edges = append(edges, edge{a, b})
		}
	}
	loops := map[edge]int{}
	next := map[[3]float32]edge{}
	for _, e := range edges {
		if between[[2][3]float32{place(e.b), place(e.a)}] == 0 {
			if _, twice := next[place(e.a)]; twice {
				out.touching = true // the simple walk below does not part loops that touch
			}
			next[place(e.a)] = e
			loops[e] = -1
		}
	}
	n := 0
	var members [][]uint32
	for _, e := range edges {
		if l, open := loops[e]; !open || l >= 0 {
			continue
		}
		members = append(members, nil)
		for c := e; loops[c] < 0; c = next[place(c.b)] {
			loops[c] = n
			members[n] = append(members[n], c.a)
		}
		n++
	}
	middle := func(s []float32) func(int) mgl64.Vec3 {
		return func(l int) (m mgl64.Vec3) {
			for _, v := range members[l] {
				m = m.Add(at(s, v))
			}
			return m.Mul(1 / float64(len(members[l])))
		}
	}
	out.volume = volumeOf(now, middle(now), loops, zone) / volumeOf(rest, middle(rest), loops, zone)
	return out
}

// open counts the triangles of a move that are turned over and have no corner in
// the wedge which the bend closes: as seen along the axis, less than half the angle of the
// whole bend (whole) off the direction straight inwards, at right angles to the bone.
func (b *brute) open(at, axis, bone mgl64.Vec3, whole float64) (n int) {
	axis = axis.Mul(math.Copysign(1, whole))
	across := bone.Sub(axis.Mul(bone.Dot(axis)))
	for _, t := range b.over {
		in := false
		for _, p := range t {
			p = p.Sub(at)
			along, inwards := p.Dot(across.Normalize()), p.Dot(axis.Cross(across).Normalize())
			in = in || math.Abs(math.Atan2(along, inwards)) < math.Abs(whole)*math.Pi/360
		}
		if !in || across.Len() < 0.2*bone.Len() {
			n++
		}
	}
	return n
}

// turnedLongWay answers the largest share that a joint's moves turn over, the long way
// round, outside the wedge, when each goes by part of its range.
func turnedLongWay(t *testing.T, r *rig.Rig, joint rig.Node, bone mgl64.Vec3, part float64) (most float64) {
	t.Helper()
	at := r.RestWorld()[joint].Origin()
	for _, turn := range measured(t, r).Turns {
		if turn.Joint != joint {
			continue
		}
		for _, degrees := range [2]float64{turn.Min, turn.Max} {
			if degrees == 0 {
				continue
			}
			b := measureBrute(r, joint, turn.Dir, degrees*part, deform.Linear)
			most = max(most, float64(b.open(at, turn.Dir, bone, degrees))/float64(b.triangles))
		}
	}
	return most
}

// Every figure of every move of a limb of the sample, against the long way round.
func TestMovesAreTheLongWays(t *testing.T) {
	r := checktest.Built(lamplighter.Options{Pose: lamplighter.A, Vertices: 4000})
	f := measured(t, r)
	compared := 0
	for i := range f.Moves {
		m := &f.Moves[i]
		switch r.Nodes[m.Joint].Name {
		case "upperArm_L", "lowerArm_L", "hand_R", "upperLeg_R", "lowerLeg_L", "foot_L", "toes_R", "neck", "spine", "chain_L_2":
		default:
			continue
		}
		compared++
		linear := measureBrute(r, m.Joint, m.turn.Dir, m.Degrees, deform.Linear)
		dual := measureBrute(r, m.Joint, m.turn.Dir, m.Degrees, deform.Dual)
		name := f.called(m.Joint) + " " + m.Axis
		if m.Triangles != linear.triangles {
			t.Errorf("%s: %d triangles, want %d", name, m.Triangles, linear.triangles)
		}
		for _, w := range []struct {
			what      string
			got       *float64
			want, off float64
		}{
			{"p99", m.P99, linear.p99, 2e-5}, {"most", m.Max, linear.most, 5e-5}, {"turned", m.Turned, linear.turned, 0}, {"volume", m.Volume, linear.volume, 5e-5},
			{"dual p99", m.P99Dual, dual.p99, 5e-5}, {"dual most", m.MaxDual, dual.most, 1e-4}, {"dual turned", m.TurnedDual, dual.turned, 0}, {"dual volume", m.VolumeDual, dual.volume, 5e-5},
		} {
			if w.got == nil {
				t.Errorf("%s %s: no value, want %g", name, w.what, w.want)
			} else if !(linear.touching && (w.what == "volume" || w.what == "dual volume")) {
				// float32 on the other side: relative to what is measured.
				near(t, name+" "+w.what, *w.got, w.want, w.off*max(1, w.want))
			}
		}
	}
	if compared < 40 {
		t.Errorf("only %d moves were compared", compared)
	}
}
