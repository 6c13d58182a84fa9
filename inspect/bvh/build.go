package bvh

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// builder turns rows into channels: rotations as unit quaternions whose signs never
// jump, translations as the whole local translation.
type builder struct {
	f      *file
	r      *rig.Rig
	tracks []track
	frames int
	height float64
}

// track is what one joint's columns give.
type track struct {
	joint     int
	rotations bool
	positions bool
	replace   bool // position columns hold the whole translation, else they add to OFFSET
	last      [4]float64
	quat      []float32
	place     []float32
}

func newBuilder(f *file, r *rig.Rig) *builder {
	b := &builder{f: f, r: r, height: restHeight(r)}
	for i := range f.joints {
		t := track{joint: i, last: [4]float64{3: 1}}
		for _, c := range f.joints[i].channels {
			t.rotations = t.rotations || c.isRotation()
			t.positions = t.positions || c.isPosition()
		}
		if t.rotations || t.positions {
			b.tracks = append(b.tracks, t)
		}
	}
	return b
}

// row adds one row: one number a column, angles in degrees.
func (b *builder) row(row []float64) {
	if b.frames == 0 {
		b.choose(row)
	}
	b.frames++
	for i := range b.tracks {
		t := &b.tracks[i]
		j := &b.f.joints[t.joint]
		q, p := [4]float64{3: 1}, j.offset
		for k, c := range j.channels {
			v := row[j.first+k]
			switch {
			case c.isRotation():
				turn(&q, int(c-xRotation), v)
			case c.isPosition() && t.replace:
				p[c] = v
			case c.isPosition():
				p[c] += v
			}
		}
		if t.rotations {
			l := &t.last
			if q[0]*l[0]+q[1]*l[1]+q[2]*l[2]+q[3]*l[3] < 0 {
				q = [4]float64{-q[0], -q[1], -q[2], -q[3]}
			}
			*l = q
			t.quat = append(t.quat, float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3]))
		}
		if t.positions {
			t.place = append(t.place, float32(p[0]), float32(p[1]), float32(p[2]))
		}
	}
}

// turn multiplies a rotation about one axis onto q from the right: the first channel
// ends up outermost.
func turn(q *[4]float64, axis int, degrees float64) {
	// Whole turns first: the sine of a large angle loses digits.
	s, c := math.Sincos(math.Mod(degrees, 720) * (math.Pi / 360))
	x, y, z, w := q[0], q[1], q[2], q[3]
	switch axis {
	case 0:
		*q = [4]float64{x*c + w*s, y*c + z*s, z*c - y*s, w*c - x*s}
	case 1:
		*q = [4]float64{x*c - z*s, y*c + w*s, z*c + x*s, w*c - y*s}
	default:
		*q = [4]float64{x*c + y*s, y*c - x*s, z*c + w*s, w*c - z*s}
	}
}

// choose tells by the first row whether position columns hold the whole translation
// or what is added to OFFSET: files of both kinds exist. Near OFFSET (within a tenth
// of it or a thousandth of the height) they replace, near zero they add. A root that
// has walked away still stands at its height: where the first row agrees with OFFSET
// along OFFSET's own direction, it replaces. Otherwise a root adds, as the classic
// description of the format says, and a joint takes what is nearer. Joints decide
// together, as one program wrote them.
func (b *builder) choose(row []float64) {
	replace, add, told := 0, 0, -1
	for i := range b.tracks {
		t := &b.tracks[i]
		j := &b.f.joints[t.joint]
		if !t.positions || j.offset == ([3]float64{}) {
			continue
		}
		var there, off space.Vec
		for k, c := range j.channels {
			if c.isPosition() {
				there[c], off[c] = row[j.first+k], j.offset[c]
			}
		}
		long := off.Len()
		if long == 0 {
			continue
		}
		near := there.Sub(off).Len()
		slack := max(0.1*long, 1e-3*b.height)
		if j.parent < 0 {
			along := (there[0]*off[0] + there[1]*off[1] + there[2]*off[2]) / long
			t.replace = near <= slack || there.Len() > slack && math.Abs(along-long) <= 0.1*long && long > 0.2*b.height
			if t.replace {
				b.f.remark("root %q: its position columns were read as the whole translation, as the first row agrees with OFFSET", j.name)
			} else {
				b.f.remark("root %q: its position columns were added to its OFFSET", j.name)
			}
			continue
		}
		if told < 0 {
			told = t.joint
		}
		if near < there.Len() {
			replace++
		} else {
			add++
		}
	}
	if told < 0 {
		return
	}
	if replace > add {
		b.f.remark("position columns below the root were read as the whole translation: in the first row %d of %d agree with OFFSET", replace, replace+add)
	} else {
		b.f.remark("position columns below the root were added to OFFSET: in the first row %d of %d are nearer to zero than to it", add, replace+add)
	}
	for i := range b.tracks {
		if t := &b.tracks[i]; b.f.joints[t.joint].parent >= 0 {
			t.replace = replace > add
		}
	}
}

// clip hands out the channels. They share one list of times.
func (b *builder) clip(name string, dt float64) rig.ClipData {
	times := make([]float32, b.frames)
	for i := range times {
		times[i] = float32(float64(i) * dt)
	}
	c := rig.ClipData{Name: name, Start: float64(times[0]), Seconds: float64(times[len(times)-1])}
	for i := range b.tracks {
		t := &b.tracks[i]
		if t.positions {
			c.Channels = append(c.Channels, rig.Channel{Node: rig.Node(t.joint), Path: rig.Translation, Times: times, Values: t.place, Width: 3})
		}
		if t.rotations {
			c.Channels = append(c.Channels, rig.Channel{Node: rig.Node(t.joint), Path: rig.Rotation, Times: times, Values: t.quat, Width: 4})
		}
	}
	return c
}

// restHeight is the largest side of the box of the rest pose, in the file's unit.
func restHeight(r *rig.Rig) float64 {
	var lo, hi [3]float64
	for i, m := range r.RestWorld() {
		p := m.Origin()
		for c := range p {
			if i == 0 {
				lo[c], hi[c] = p[c], p[c]
			}
			lo[c], hi[c] = min(lo[c], p[c]), max(hi[c], p[c])
		}
	}
	return max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
}
