package motion

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Climb is how a clip lies over ground that is not level, a stair or a slope, as far as
// its feet tell where that is (gait.Legs).
type Climb struct {
	Start   float64    `json:"start_m"` // y of the ground at the clip's first moment
	End     float64    `json:"end_m"`
	Lowest  float64    `json:"lowest_m"` // of the skinned surfaces over that ground; below zero: under it
	Time    float64    `json:"lowest_time"`
	Surface int        `json:"lowest_surface"` // −1: none
	Vertex  rig.Vertex `json:"lowest_vertex"`
}

// startsOn, × height: a clip that begins so near to the floor begins on it, and is held
// against it. Half the least riser of a stair (IBC 1011.5.2: 4 in, 102 mm; value from
// memory) of a grown person.
const startsOn = 0.03

// readClimb looks again at how low the surface lies, over the ground that the feet stand
// on: levels are heights along y, a moment each, which the ground's differ from by one
// length that the surface itself tells, since most of the time something stands.
func (m *meter) readClimb(times, levels []float64) *Climb {
	every := (len(times) + mostLow - 1) / mostLow
	type look struct {
		time, low, level float64
		surface          int
		vertex           rig.Vertex
	}
	var looks []look
	var off []float64
	for i := 0; i < len(times); i += every {
		m.player.At(times[i])
		m.sole.reset()
		m.sole.look(m.player.World)
		if y := m.sole.best; !math.IsInf(y, 0) && !math.IsNaN(y) && !math.IsInf(levels[i], 0) {
			looks = append(looks, look{times[i], y, levels[i], m.sole.surface, m.sole.vertex})
			off = append(off, y-levels[i])
		}
	}
	if len(looks) == 0 {
		return nil
	}
	under := space.Percentile(off, 50)
	c := &Climb{Start: looks[0].level + under, End: looks[len(looks)-1].level + under, Lowest: math.Inf(1), Surface: -1}
	for _, l := range looks {
		if over := l.low - l.level - under; over < c.Lowest {
			c.Lowest, c.Time, c.Surface, c.Vertex = over, l.time, l.surface, l.vertex
		}
	}
	c.Lowest += m.startsOff(c.Start, levels[0])
	return c
}

// startsOff is how far over the floor a clip begins: by its lowest point and by its
// ankles, the less of the two, since on a slope toes reach lower than the heel's ground
// and feet may hang at rest. 0: it does not begin on the floor at all.
func (m *meter) startsOff(lowest, ankle float64) float64 {
	rest := math.Inf(1)
	for _, leg := range m.legs {
		rest = min(rest, m.e.RestWorld()[leg[0].node][7])
	}
	return startOff(lowest-m.floor, ankle-rest, m.height)
}

// startOff is startsOff by how far the lowest point and the ankles are over where they rest.
func startOff(a, b, height float64) float64 {
	if a*b <= 0 {
		return 0
	}
	if math.Abs(b) < math.Abs(a) {
		a = b
	}
	if math.Abs(a) > startsOn*height {
		return 0
	}
	return a
}

// lowest is what the figure is held against the ground by: how far its lowest point lies
// over it, and where.
func (c *Clip) lowest(floor float64) (over, time float64, surface int, vertex rig.Vertex, ok bool) {
	switch {
	case c.LowestFigure == nil:
		return 0, 0, -1, 0, false
	case c.Climb != nil:
		return c.Climb.Lowest, c.Climb.Time, c.Climb.Surface, c.Climb.Vertex, true
	}
	return *c.LowestFigure - floor, c.LowestTime, c.LowestOf, c.LowestAt, true
}
