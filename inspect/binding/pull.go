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
}

// put adds a place's own weights times by.
func (p *pull) put(place uint32, by float32) {
	m, v := p.m, int(p.weld.First[place])
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
