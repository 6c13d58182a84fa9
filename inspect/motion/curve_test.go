package motion

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func curvesOf(t *testing.T, r *rig.Rig, n rig.Node) *JointCurves {
	t.Helper()
	c, err := Curves(exam.New(r), 0, n)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Two whole turns about one axis in steps of 50°: the curve runs to 720 and does not
// fall back at each half turn; the speed is even.
func TestCurveGoesOnPastAHalfTurn(t *testing.T) {
	c := rig.Channel{Node: 1, Path: rig.Rotation, Width: 4}
	for i := 0; i <= 20; i++ {
		c.Times = append(c.Times, float32(i)/10)
		c.Values = append(c.Values, about(0, 0.6, 0.8, 36*float64(i))...)
	}
	r := twoJoints(c)
	r.Nodes[1].R = [4]float64(wide(about(1, 0, 0, 20)))
	// Rest is turned too: the keys say rest first, then the turn, in the joint's own axes.
	for i := range c.Times {
		q := times(r.Nodes[1].R, [4]float64(wide(c.Values[4*i:4*i+4])))
		for k := range q {
			c.Values[4*i+k] = float32(q[k])
		}
	}
	got := curvesOf(t, r, 1)
	for i, at := range got.Times {
		want := 360 * at
		if math.Abs(got.Angle[i]-want) > 1e-3 || math.Abs(got.Y[i]-0.6*want) > 1e-3 || math.Abs(got.Z[i]-0.8*want) > 1e-3 || math.Abs(got.X[i]) > 1e-3 {
			t.Fatalf("at %g s: %g about (%g, %g, %g), want %g", at, got.Angle[i], got.X[i], got.Y[i], got.Z[i], want)
		}
		if math.Abs(got.Speed[i]-360) > 0.05 {
			t.Fatalf("at %g s: %g °/s, want 360", at, got.Speed[i])
		}
	}
	if len(got.Channels) != 1 || got.Channels[0].Interpolation != "LINEAR" || len(got.Channels[0].Keys) != 21 || len(got.ShiftX) != 0 {
		t.Errorf("%+v", got.Channels)
	}
}

func wide(v []float32) (out []float64) {
	for _, x := range v {
		out = append(out, float64(x))
	}
	return out
}

// A step stands upright in the curve and has no speed of its own.
func TestCurveOfAStep(t *testing.T) {
	got := curvesOf(t, twoJoints(rig.Channel{Node: 0, Path: rig.Rotation, Interpolation: rig.Step, Width: 4, Times: []float32{0, 1},
		Values: slices.Concat(about(1, 0, 0, 0), about(1, 0, 0, 30))}), 0)
	i := slices.Index(got.Times, 1)
	if i < 1 || got.X[i-1] != 0 || math.Abs(got.X[i]-30) > 1e-4 || 1-got.Times[i-1] > 1e-12 {
		t.Fatalf("around the step: %v at %v", got.X[i-1:i+1], got.Times[i-1:i+1])
	}
	if slices.Max(got.Speed) != 0 {
		t.Errorf("speed %g", slices.Max(got.Speed))
	}
}

// The curves are those of the general pose, on every joint of the sample.
func TestCurvesAgreeWithPoses(t *testing.T) {
	r := checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000})
	e, pose := exam.New(r), deform.NewPose(r)
	for n := range r.Nodes {
		c, err := Curves(e, 0, rig.Node(n))
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(c.Times); i += 40 {
			pose.Sample(0, c.Times[i])
			// The local matrix again, from rest and the rotation vector.
			a := c.Angle[i] * math.Pi / 180
			q := [4]float64{3: 1}
			if a > 0 {
				s := math.Sin(a/2) / c.Angle[i]
				q = [4]float64{s * c.X[i], s * c.Y[i], s * c.Z[i], math.Cos(a / 2)}
			}
			trs := r.Nodes[n].TRS
			trs.R = times(trs.R, q)
			if len(c.ShiftX) > 0 {
				trs.T[0] += c.ShiftX[i]
				trs.T[1] += c.ShiftY[i]
				trs.T[2] += c.ShiftZ[i]
			}
			want := trs.Affine()
			for k := range want {
				if math.Abs(pose.Local[n][k]-want[k]) > 1e-6 {
					t.Fatalf("%s at %g s: %v, want %v", c.Name, c.Times[i], pose.Local[n], want)
				}
			}
		}
	}
}

func TestCurvesAskedWrongly(t *testing.T) {
	e := exam.New(twoJoints())
	for _, w := range []struct {
		clip rig.Clip
		node rig.Node
	}{{1, 0}, {-1, 0}, {0, 2}, {0, -1}} {
		if _, err := Curves(e, w.clip, w.node); err == nil {
			t.Errorf("clip %d, node %d: no error", w.clip, w.node)
		}
	}
	if c := curvesOf(t, twoJoints(), 0); slices.Max(c.Angle) != 0 || len(c.Channels) != 0 {
		t.Errorf("a joint without a channel: %+v", c)
	}
}

// TestPlainProduct: the rotation vector of a product in plain numbers is that of the library,
// to the last bit, small turns and half ones and those on the far side alike.
func TestPlainProduct(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range 2000 {
		var q [2]space.Quat
		for k := range q {
			q[k] = space.Quat{W: rng.NormFloat64(), V: space.Vec{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}}.Normalize()
		}
		switch i % 4 {
		case 0:
			q[1] = q[0].Conjugate()
		case 1:
			q[1].W += 1e3 // nearly no turn
			q[1] = q[1].Normalize()
		}
		want := space.Log(q[0].Mul(q[1])).Mul(180 / math.Pi)
		if got := degreesOf(product(&q[0], &q[1])); got != want {
			t.Fatalf("%v · %v: %v, want %v", q[0], q[1], got, want)
		}
	}
}
