package carry

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/gait"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// hinges are the joints that bend one way: the bone above, the joint, the bone below.
var hinges = [][3]string{
	{"leftUpperLeg", "leftLowerLeg", "leftFoot"}, {"rightUpperLeg", "rightLowerLeg", "rightFoot"},
	{"leftUpperArm", "leftLowerArm", "leftHand"}, {"rightUpperArm", "rightLowerArm", "rightHand"},
}

// measured is what a carried clip does, worked out from the two files' own poses and
// nothing of what the carrying worked out for itself.
type measured struct {
	beyond    float64 // degrees that a knee or elbow bends or straightens beyond its range in the source
	where     string
	times     float64 // fastest of a joint ÷ fastest of what leads it
	fast      string
	slide     float64 // worst standing foot, metres a second, as Motion measures
	slideFrom float64 // the same in the source, in the target's size
	stands    float64 // of the time, worse foot
	standsIn  float64 // in the source
}

// signed angles of the knees and elbows, frame by frame: about the axis that the bone
// above carries along from rest.
func bends(s *match.Skeleton, of func(role string) rig.Node, clip rig.Clip, r *rig.Rig, times []float32, axes map[string]vec) map[string][]float64 {
	p, rest := deform.NewPose(r), worldRotations(r)
	out := map[string][]float64{}
	for _, t := range times {
		p.Sample(clip, float64(t))
		for _, h := range hinges {
			a, b, c := of(h[0]), of(h[1]), of(h[2])
			if a < 0 || b < 0 || c < 0 {
				continue
			}
			turn := stored(p.World[a].Decompose().R).Mul(rest[a].Back())
			u := space.Plain(p.World[b].Origin()).Sub(space.Plain(p.World[a].Origin()))
			v := space.Plain(p.World[c].Origin()).Sub(space.Plain(p.World[b].Origin()))
			axis := turn.Rotate(axes[h[1]])
			angle := math.Atan2(u.Cross(v).Len(), u.Dot(v)) * 180 / math.Pi
			if strings.Contains(h[1], "Leg") { // an upper arm's own turn leaves no fixed axis
				angle = math.Copysign(angle, u.Cross(v).Dot(axis))
			}
			out[h[1]] = append(out[h[1]], angle)
		}
	}
	return out
}

// fastest is each joint's largest turn a second against what leads the joint above it.
func fastest(r *rig.Rig, clip rig.Clip, times []float32, pairs [][2]rig.Node) []float64 {
	p := deform.NewPose(r)
	all := make([][]float64, len(pairs))
	turn := func(k [2]rig.Node) quat {
		q := stored(p.World[k[0]].Decompose().R)
		if k[1] >= 0 {
			q = stored(p.World[k[1]].Decompose().R).Back().Mul(q)
		}
		return q
	}
	last := make([]quat, len(pairs))
	for f, t := range times {
		p.Sample(clip, float64(t))
		for i, k := range pairs {
			q := turn(k)
			if f > 0 {
				if dt := float64(t) - float64(times[f-1]); dt > 1e-3 {
					all[i] = append(all[i], last[i].Back().Mul(q).Angle()*180/math.Pi/dt)
				}
			}
			last[i] = q
		}
	}
	out := make([]float64, len(pairs))
	for i, v := range all {
		if len(v) > 0 {
			slices.Sort(v)
			out[i] = v[int(0.999*float64(len(v)-1)+0.5)] // a capture's first frame is often another pose
		}
	}
	return out
}

func feetOf(s *match.Skeleton, r *rig.Rig, clip rig.Clip, times []float32, height float64) (slide, stands float64) {
	p := deform.NewPose(r)
	up := s.Up
	stands = 1
	for _, side := range []string{"left", "right"} {
		var points [][]space.Vec
		for _, bone := range []string{"Foot", "Toes"} {
			n := s.Bone(side + bone)
			if n < 0 {
				continue
			}
			var way []space.Vec
			for _, t := range times {
				p.Sample(clip, float64(t))
				way = append(way, p.World[n].Origin())
			}
			points = append(points, way)
		}
		if len(points) == 0 {
			continue
		}
		sec := make([]float64, len(times))
		for i, t := range times {
			sec[i] = float64(t)
		}
		f, _ := gait.Read(sec, points, up, height)
		slide, stands = max(slide, f.Speed), min(stands, f.Share)
	}
	return slide, stands
}

func measure(m *match.Match, r *Result) (out measured) {
	s, t := m.S, m.T
	target := r.Rig()
	clip := rig.Clip(len(target.Clips) - 1)
	times := r.times
	// A hinge's axis: across the thigh in the source, brought to the target.
	from := map[string]vec{}
	to := map[string]vec{}
	src := map[string]rig.Node{}
	for _, h := range hinges {
		for i, role := range h {
			pair, ok := m.Of(t.Bone(role))
			if t.Bone(role) < 0 || !ok {
				src[role] = rig.None
				continue
			}
			src[role] = pair.Source
			if i == 1 {
				side := space.Plain(t.Left)
				to[role] = side
				from[role] = r.plan.align.Back().Rotate(side)
				if m.Mirrored {
					from[role] = r.plan.mirror(from[role])
				}
			}
		}
	}
	a := bends(s, func(role string) rig.Node { return src[role] }, r.From, s.Rig, times, from)
	b := bends(t, t.Bone, clip, target, times, to)
	for role, list := range b {
		was := a[role]
		if len(was) == 0 {
			continue
		}
		lo, hi := slices.Min(was), slices.Max(was)
		for f, v := range list {
			if over := max(lo-v, v-hi); over > out.beyond {
				out.beyond, out.where = over, fmt.Sprintf("%s %.0f° (%.0f…%.0f) at %.2f s", role, v, lo, hi, times[f])
			}
		}
	}
	var sp, tp [][2]rig.Node
	var names []string
	for i := range r.plan.drive {
		d := &r.plan.drive[i]
		if d.pair.Beside >= 0 {
			continue
		}
		k, j := [2]rig.Node{d.pair.Source, rig.None}, [2]rig.Node{d.node, rig.None}
		if d.from >= 0 {
			if r.plan.drive[d.from].pair.Beside >= 0 {
				continue
			}
			k[1], j[1] = r.plan.drive[d.from].pair.Source, r.plan.drive[d.from].node
		}
		sp, tp, names = append(sp, k), append(tp, j), append(names, t.Name(d.node)+" "+d.pair.Role)
	}
	was, is := fastest(s.Rig, r.From, times, sp), fastest(target, clip, times, tp)
	for i := range is {
		// Below 10° a second, a third of a degree a frame, nothing pops.
		if x := is[i] / max(was[i], 10/1.5); x > out.times {
			out.times, out.fast = x, fmt.Sprintf("%s %.0f against %.0f °/s", names[i], is[i], was[i])
		}
	}
	height := func(k *match.Skeleton) float64 {
		leg := 0.0
		for _, side := range []string{"left", "right"} {
			hip, knee, foot := k.At(k.Bone(side+"UpperLeg")), k.At(k.Bone(side+"LowerLeg")), k.At(k.Bone(side+"Foot"))
			leg += (knee.Sub(hip).Len() + foot.Sub(knee).Len()) / 2
		}
		return gait.Size(0, leg)
	}
	out.slide, out.stands = feetOf(t, target, clip, times, height(t))
	hs := height(s)
	slide, stands := feetOf(s, s.Rig, r.From, times, hs)
	out.slideFrom, out.standsIn = slide*height(t)/hs, stands
	return out
}

// clips of a source, by name; "*": all that last.
func chosen(r *rig.Rig, names string) (out []rig.Clip) {
	for i := range r.Clips {
		if names == "*" && r.Clips[i].Seconds > r.Clips[i].Start || slices.Contains(strings.Split(names, ","), r.Clips[i].Name) {
			out = append(out, rig.Clip(i))
		}
	}
	return out
}

// The targets of carrying over, on the real capture and the real figures, all clips of
// one onto the other and back, and the sample both ways: no knee or elbow more than 2°
// beyond the range that it has in the source, no joint faster than 1.5 times its
// fastest there, no standing foot that slides by more than 1 cm/s, or than in the
// source. Targets: the project's own.
func TestTargets(t *testing.T) {
	files := []string{"sample", "01_01.bvh", "Knight.glb", "robot.glb", "cesium_man.gltf"}
	open := func(t *testing.T, name string) *rig.Rig {
		if name == "sample" {
			return sample(lamplighter.Options{Sway: true})
		}
		return real(t, name)
	}
	for _, from := range files {
		for _, onto := range files {
			if from == onto || onto == "01_01.bvh" && from != "sample" {
				continue
			}
			t.Run(strings.TrimSuffix(from, filepath.Ext(from))+" to "+strings.TrimSuffix(onto, filepath.Ext(onto)), func(t *testing.T) {
				m := match.Find(open(t, from), open(t, onto))
				for _, clip := range chosen(m.S.Rig, "*") {
					r := carried(t, m, clip, Options{})
					got := measure(m, r)
					name := m.S.Rig.Clips[clip].Name
					t.Logf("%-28s beyond %5.1f° %s; speed × %.2f (%s); slides %.1f cm/s of %.1f, stands %.0f of %.0f %%, cost %.0f° %s", name, got.beyond, got.where, got.times, got.fast,
						100*got.slide, 100*got.slideFrom, 100*got.stands, 100*got.standsIn, r.cost.Degrees, gone(r))
					if got.beyond > 2 {
						t.Errorf("%s: %s is %.1f° beyond", name, got.where, got.beyond)
					}
					if got.times > 1.5 {
						t.Errorf("%s: %s: × %.2f", name, got.fast, got.times)
					}
					// A clip that goes in place, and a foot that was let go, slide: both are told.
					told := slices.ContainsFunc(r.Remarks, func(s string) bool { return strings.Contains(s, "goes in place") })
					for _, l := range r.feet {
						told = told || l.goneFor > 0
					}
					// Where the source hardly stands, or slides itself, nothing is there to be kept.
					if got.slide > max(0.01, 1.25*got.slideFrom+0.03) && !told && got.standsIn > 0.3 && got.slideFrom < 0.1 {
						t.Errorf("%s: a standing foot slides by %.1f cm/s, by %.1f in the source", name, 100*got.slide, 100*got.slideFrom)
					}
				}
			})
		}
	}
}

func gone(r *Result) string {
	var b strings.Builder
	for _, l := range r.feet {
		fmt.Fprintf(&b, "%s gone %d %.2fs ", l.side, len(l.gone), l.goneFor)
	}
	return b.String()
}
