package carry

import (
	"rigloupe/inspect/gait"
	"rigloupe/inspect/rig"
)

// feet measures how what stands moves.
func (w *watch) feet() {
	p := w.r.plan
	h0 := gait.Fade * p.size.dst
	for _, l := range w.r.feet {
		out := Foot{Side: l.side}
		n := len(w.r.times)
		steps, time, seen := 0, 0.0, 0.0
		out.Stands = l.share
		ankle, toes := p.drive[l.ankle].node, rig.Node(rig.None)
		if l.toes >= 0 {
			toes = p.drive[l.toes].node
		}
		// The level of each point on the floor: its place at rest.
		rest := func(i int) float64 { return p.dstAt(p.drive[i].node).dot(p.dstUp) }
		last := -1
		var lastA, lastT vec
		for _, f := range spread(max(0, n-1), mostSteps) {
			if last != f {
				w.pose.Sample(w.clip, float64(w.r.times[f]))
				lastA = w.at(w.pose, ankle)
				if toes >= 0 {
					lastT = w.at(w.pose, toes)
				}
			}
			w.pose.Sample(w.clip, float64(w.r.times[f+1]))
			nowA, nowT := w.at(w.pose, ankle), vec{}
			if toes >= 0 {
				nowT = w.at(w.pose, toes)
			}
			after, before, source := flat(nowA.sub(lastA), p.dstUp).len(), flat(l.was[f+1].sub(l.was[f]), p.dstUp).len(), flat(l.srcA[f+1].sub(l.srcA[f]), p.srcUp).len()
			highAfter, highBefore := lastA.dot(p.dstUp)-rest(l.ankle), l.was[f].dot(p.dstUp)-rest(l.ankle)
			if l.state[f] == onToes && l.state[f+1] == onToes {
				after, before = flat(nowT.sub(lastT), p.dstUp).len(), flat(l.wasToes[f+1].sub(l.wasToes[f]), p.dstUp).len()
				source = flat(l.srcT[f+1].sub(l.srcT[f]), p.srcUp).len()
				highAfter, highBefore = lastT.dot(p.dstUp)-rest(l.toes), l.wasToes[f].dot(p.dstUp)-rest(l.toes)
			}
			seen += float64(w.r.times[f+1]) - float64(w.r.times[f])
			out.SlideAfter += after * gait.Weight(highAfter, h0)
			out.SlideBefore += before * gait.Weight(highBefore, h0)
			if dt := float64(w.r.times[f+1]) - float64(w.r.times[f]); l.state[f] != inAir && l.state[f] == l.state[f+1] && dt > 0 {
				steps++
				time += dt
				out.Source += source * p.k
				out.Before += before
				out.After += after
				out.Largest = max(out.Largest, after/dt)
			}
			last, lastA, lastT = f+1, nowA, nowT
		}
		// Of a very long clip not every step is looked at: the ways stand for the rest.
		if whole := float64(w.r.times[n-1]) - float64(w.r.times[0]); seen > 0 && n-1 > mostSteps {
			out.SlideAfter *= whole / seen
			out.SlideBefore *= whole / seen
		}
		if steps > 0 && time > 0 {
			out.Source, out.Before, out.After = out.Source/time, out.Before/time, out.After/time
		}
		w.rep.Feet = append(w.rep.Feet, out)
	}
}
