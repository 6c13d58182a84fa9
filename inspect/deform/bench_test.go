package deform

import (
	"fmt"
	"math"
	"testing"
	"time"

	"rigloupe/inspect/rig"
)

// crowd is a rig with V vertices of n influences each over 60 joints, as the
// vertices of a figure lie: neighbours share their joints.
func crowd(v, n int) *rig.Rig {
	r := points(make([]float32, 3*v), make([]float32, 60)...)
	m := &r.Meshes[0]
	m.K = (n + 3) / 4 * 4
	m.Joints, m.Weights = make([]uint16, m.K*v), make([]float32, m.K*v)
	m.Normals = make([]float32, 3*v)
	for i := range v {
		m.Positions[3*i], m.Positions[3*i+1], m.Positions[3*i+2] = float32(i%100)/100, float32(i%77)/77, float32(i%31)/31
		m.Normals[3*i+i%3] = 1
		for k := range n {
			m.Joints[m.K*i+k], m.Weights[m.K*i+k] = uint16((i*60/v+k)%60), 1/float32(n)
		}
	}
	return r
}

// Nanoseconds a vertex, 10,000 vertices. Normals: positions and normals; slope:
// one direction field more.
func BenchmarkApply(b *testing.B) {
	const v = 10_000
	for _, n := range []int{1, 2, 3, 4, 8} {
		for _, w := range []struct {
			name           string
			method         Method
			normals, slope bool
			uneven         bool
		}{
			{"linear", Linear, false, false, false},
			{"linear+normals", Linear, true, false, false},
			{"linear+normals+slope", Linear, true, true, false},
			{"linear+normals, uneven scale", Linear, true, false, true},
			{"dual+normals", Dual, true, false, false},
		} {
			b.Run(fmt.Sprintf("%d/%s", n, w.name), func(b *testing.B) {
				r := crowd(v, n)
				p := NewPose(r)
				for i := range 60 {
					p.Local[i] = about(1, 2, 3, float64(i)/60)
					if w.uneven {
						s := rig.Affine{0: 1, 5: 1.5, 10: 1}
						p.Local[i] = p.Local[i].Mul(&s)
					}
				}
				p.Update()
				d := NewDeformer(r, 0)
				pos := make([]float32, 3*v)
				var normals, in, out []float32
				if w.normals {
					normals = make([]float32, 3*v)
				}
				if w.slope {
					in, out = r.Meshes[0].Normals, make([]float32, 3*v)
				}
				for range 50 { // warm: WebAssembly is compiled in two steps
					d.Apply(p, w.method, pos, normals, in, out)
				}
				for b.Loop() {
					d.Apply(p, w.method, pos, normals, in, out)
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/v, "ns/vertex")
			})
		}
	}
}

// BenchmarkSkin lays the positions of a small and of a large figure by four influences;
// site/e2e sets it beside three.js.
func BenchmarkSkin(b *testing.B) {
	for _, v := range []int{1_000, 100_000} {
		b.Run(fmt.Sprint(v), func(b *testing.B) {
			r := crowd(v, 4)
			p := NewPose(r)
			for i := range 60 {
				p.Local[i] = about(1, 2, 3, float64(i)/60)
			}
			p.Update()
			d, pos := NewDeformer(r, 0), make([]float32, 3*v)
			rounds := max(1, 20_000/v) // a clock of a browser has coarse steps
			least := math.Inf(1)
			for b.Loop() {
				start := time.Now()
				for range rounds {
					d.Apply(p, Linear, pos, nil, nil, nil)
				}
				least = min(least, float64(time.Since(start))/float64(rounds))
			}
			b.ReportMetric(least, "least-ns") // a busy machine lengthens the mean
		})
	}
}

// A clip of 60 joints, three channels each, 100 keys.
func BenchmarkSample(b *testing.B) {
	r := crowd(1, 1)
	var times []float32
	for i := range 100 {
		times = append(times, float32(i)/30)
	}
	c := rig.ClipData{Seconds: 3.3}
	for n := range 60 {
		t, q := make([]float32, 300), make([]float32, 400)
		for i := range 100 {
			a := axis(0, 0, 1, float64(i)/50)
			q[4*i+2], q[4*i+3] = float32(a[2]), float32(a[3])
		}
		c.Channels = append(c.Channels,
			rig.Channel{Node: rig.Node(n), Path: rig.Translation, Width: 3, Times: times, Values: t},
			rig.Channel{Node: rig.Node(n), Path: rig.Rotation, Width: 4, Times: times, Values: q},
			rig.Channel{Node: rig.Node(n), Path: rig.Scale, Width: 3, Times: times, Values: t})
	}
	r.Clips = []rig.ClipData{c}
	p, at := NewPose(r), 0.0
	for b.Loop() {
		p.Sample(0, at)
		at += .0171
		if at > 3 {
			at = 0
		}
	}
}
