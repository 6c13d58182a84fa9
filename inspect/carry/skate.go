package carry

import (
	"rigloupe/inspect/gait"
	"rigloupe/inspect/space"
)

// feet measures how what stands slides (package gait): in the source, by the turns
// alone and in the result, each by its own ways.
func (w *watch) feet() {
	p := w.r.plan
	times := make([]float64, len(w.r.times))
	for f, t := range w.r.times {
		times[f] = float64(t)
	}
	read := func(ankle, toes []vec, up vec, size float64, lift []float64) (g gait.Foot, slide float64) {
		points := [][]space.Vec{ways(ankle)}
		if toes != nil {
			points = append(points, ways(toes))
		}
		var ok bool
		if g, ok = gait.Read(times, points, up.Vec(), size); lift != nil {
			g, ok = gait.ReadOver(times, points, up.Vec(), size, lift)
		}
		if ok {
			last := len(points) - 1
			slide = gait.Slide(gait.Levelled(points[last], up.Vec(), lift), up.Vec(), g.Ground[last], gait.Fade*size)
		}
		return g, slide
	}
	for _, l := range w.r.feet {
		out := Foot{Side: l.side, LetGo: l.goneFor}
		var lift []float64 // of the source
		for _, h := range l.climb {
			lift = append(lift, h/p.k)
		}
		source, _ := read(l.srcA, l.srcT, p.srcUp, p.size.src, lift)
		before, slideBefore := read(l.was, l.wasToes, p.dstUp, p.size.dst, l.climb)
		after, slideAfter := read(l.c, l.t, p.dstUp, p.size.dst, l.climb)
		out.StandsIn, out.Source = source.Share, source.Speed*p.k
		out.Before, out.SlideBefore = before.Speed, slideBefore
		out.Stands, out.After, out.SlideAfter = after.Share, after.Speed, slideAfter
		out.Free, out.Held = l.parted(&after)
		for i := range after.Steps {
			if s := &after.Steps[i]; s.Stands && s.Speed > out.Largest {
				out.Largest, out.LargestAt = s.Speed, times[i]
			}
		}
		w.rep.Feet = append(w.rep.Feet, out)
	}
}

// parted is for how long the foot stands in the result where nothing holds it, and how fast it
// slides where it is held.
func (l *foot) parted(g *gait.Foot) (free, held float64) {
	seconds, way := 0.0, 0.0
	for i := range g.Steps {
		s := &g.Steps[i]
		switch {
		case !s.Stands:
		case i+1 < len(l.holds) && l.holds[i] > .999 && l.holds[i+1] > .999:
			seconds, way = seconds+s.Seconds, way+s.Speed*s.Seconds
		default:
			free += s.Seconds
		}
	}
	if seconds > 0 {
		held = way / seconds
	}
	return free, held
}
