package rest

import (
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// Held is a channel that a clip lacks: one keyframe of the rest pose that was, so that
// the clip goes on as it did.
type Held struct {
	Clip    rig.Clip
	Channel rig.Channel
}

// Held lists the channels that keep every clip as it is: one for each property that the
// pose changes and the clip does not move. A channel that holds nothing usable shows the
// rest pose and cannot be joined by another (glTF 2.0, Animations: one channel a target),
// so it is refused.
func (p *Pose) Held() ([]Held, error) {
	var out []Held
	changed := p.Changed()
	type target struct {
		node rig.Node
		path rig.Path
	}
	for c := range p.r.Clips {
		clip := &p.r.Clips[c]
		if len(clip.Channels) == 0 {
			continue
		}
		has := map[target]bool{}
		for i := range clip.Channels {
			ch := &clip.Channels[i]
			var v [4]float64
			if ch.Path == rig.Weights || ch.Node < 0 || int(ch.Node) >= len(p.Local) {
				continue
			}
			has[target{ch.Node, ch.Path}] = true
			if !deform.Value(ch, clip.Start, &v) && p.differs(ch.Node, ch.Path) {
				return nil, refuse("The clip %q has a channel for the %v of %s without usable keyframes: it shows the rest pose, and would change with it. Take that channel out first.", clip.Name, ch.Path, name(p.r, ch.Node))
			}
		}
		at := []float32{float32(max(0, clip.Start))}
		for _, n := range changed {
			for path, values := range rows(&p.r.Nodes[n].TRS) {
				if path := rig.Path(path); p.differs(n, path) && !has[target{n, path}] {
					out = append(out, Held{rig.Clip(c), rig.Channel{Node: n, Path: path, Interpolation: rig.Step, Times: at, Values: values, Width: len(values)}})
				}
			}
		}
	}
	return out, nil
}

// differs tells that the pose changes a property of a node.
func (p *Pose) differs(n rig.Node, path rig.Path) bool {
	a, b := &p.Local[n], &p.r.Nodes[n].TRS
	switch path {
	case rig.Translation:
		return a.T != b.T
	case rig.Rotation:
		return a.R != b.R
	case rig.Scale:
		return a.S != b.S
	}
	return false
}

// rows are the numbers of a transform in the order of rig.Path.
func rows(t *rig.TRS) [3][]float32 {
	single := func(v ...float64) (out []float32) {
		for _, x := range v {
			out = append(out, float32(x))
		}
		return out
	}
	return [3][]float32{single(t.T[:]...), single(t.R[:]...), single(t.S[:]...)}
}

// Moved answers the rig with the pose as its rest pose and nothing else changed: skins,
// weights and places stay, so every clip plays as it did. It shares what it does not
// change with the old one.
func Moved(r *rig.Rig, p *Pose) (*rig.Rig, []Held, error) {
	held, err := p.Held()
	if err != nil {
		return nil, nil, err
	}
	out := *r
	out.Nodes = append([]rig.NodeData(nil), r.Nodes...)
	for _, n := range p.Changed() {
		node := &out.Nodes[n]
		if node.HasMatrix {
			if a := node.TRS.Affine(); !alike(&a, &node.Matrix) {
				return nil, nil, refuse("The matrix of %s shears it: no other pose of it can be written.", name(r, n))
			}
		}
		node.TRS, node.Matrix, node.HasMatrix = p.Local[n], p.Local[n].Affine(), false
	}
	out.Clips = append([]rig.ClipData(nil), r.Clips...)
	for _, h := range held {
		c := &out.Clips[h.Clip]
		n := len(c.Channels)
		c.Channels = append(c.Channels[:n:n], h.Channel)
	}
	return &out, held, nil
}
