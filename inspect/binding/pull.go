package binding

import (
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// pull sums up how far places are off what their neighbours predict, joint by joint, one
// sum at a time: adds, then one take.
type pull struct {
	m       *rig.MeshData
	weld    *geom.Welded
	g       *graph
	share   []float32 // by place: 1 ÷ Σ 1/length of its edges; 0: it is not looked at
	diff    []float32 // by joint of the skin
	touched []uint16  // joints that diff was written for
	puts    int       // places whose weights were added so far
}

// hubEdges: an edge whose two ends have more edges than that between them is measured by
// its larger end's sum, made once for all its edges. Else a place where thousands meet
// costs the square of them. A mesh of a figure has a dozen (set so that none of the corpus
// goes that way, whose last digit may differ).
const hubEdges = 512

// degree is how many edges meet at a place.
func (p *pull) degree(place uint32) int { return int(p.g.start[place+1] - p.g.start[place]) }

// byHubs answers half the sum of |δ_b − δ_a| of every edge at a hub, by its place in the
// graph seen from the lower end; wanted are those that are asked for. The hub's own δ
// stands still while its neighbours' are laid over it: the sum changes where they have
// weight alone, ½ (Σ|δ_a| + Σ over b's joints of |δ_b − δ_a| − |δ_a|).
func (p *pull) byHubs(wanted func(a, b uint32) bool) map[uint32]float32 {
	var out map[uint32]float32
	hub := make([]float32, 0)
	for a := range uint32(len(p.share)) {
		if p.degree(a) <= hubEdges/2 {
			continue
		}
		var whole float32
		laid := false
		for i := p.g.start[a]; i < p.g.start[a+1]; i++ {
			b := p.g.to[i]
			low, high := min(a, b), max(a, b)
			if p.degree(a)+p.degree(b) <= hubEdges || p.degree(b) > p.degree(a) || p.degree(b) == p.degree(a) && b < a || !wanted(low, high) {
				continue
			}
			if !laid {
				p.add(a, 1)
				hub = append(hub[:0], p.diff...)
				whole, laid = 2*p.take(), true
			}
			p.add(b, 1)
			sum := whole
			for _, j := range p.touched {
				if d := p.diff[j]; d != 0 {
					sum += abs(d-hub[j]) - abs(hub[j])
				}
				p.diff[j] = 0
			}
			p.touched = p.touched[:0]
			if out == nil {
				out = map[uint32]float32{}
			}
			out[p.edge(low, high, i, a == low)] = sum / 2
		}
	}
	return out
}

// edge is an edge's place in the graph seen from its lower end.
func (p *pull) edge(low, high, i uint32, here bool) uint32 {
	if here {
		return i
	}
	for k := p.g.start[low]; k < p.g.start[low+1]; k++ {
		if p.g.to[k] == high {
			return k
		}
	}
	return i
}

func abs(x float32) float32 {
	if x < 0 {
		return -x
	}
	return x
}

// put adds a place's own weights times by.
func (p *pull) put(place uint32, by float32) {
	m, v := p.m, int(p.weld.First[place])
	p.puts++
	for c := v * m.K; c < v*m.K+m.K; c++ {
		if w := m.Weights[c]; w != 0 && int(m.Joints[c]) < len(p.diff) {
			p.diff[m.Joints[c]] += by * w
			p.touched = append(p.touched, m.Joints[c])
		}
	}
}

// add adds δ of a place times by.
func (p *pull) add(place uint32, by float32) {
	p.put(place, by)
	for i := p.g.start[place]; i < p.g.start[place+1]; i++ {
		p.put(p.g.to[i], -by*p.share[place]/p.g.length[i])
	}
}

// take answers half the sum of the amounts, 0 to 1 for whole weights, and begins anew.
func (p *pull) take() float32 {
	sum := float32(0)
	for _, j := range p.touched {
		if d := p.diff[j]; d < 0 {
			sum -= d
		} else {
			sum += d
		}
		p.diff[j] = 0
	}
	p.touched = p.touched[:0]
	return sum / 2
}

// lone answers by place the one joint that holds it, −1 where there are several or none.
func (p *pull) lone() []int32 {
	m, lone := p.m, make([]int32, len(p.share))
	for place := range lone {
		v, count := int(p.weld.First[place]), 0
		lone[place] = -1
		for c := v * m.K; c < v*m.K+m.K; c++ {
			if m.Weights[c] != 0 {
				lone[place] = int32(m.Joints[c])
				count++
			}
		}
		if count != 1 {
			lone[place] = -1
		}
	}
	return lone
}
