package binding

import (
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Class of a joint without influence.
const (
	ClassEnd        = "end"        // marks the tip of the bone above, which has influence
	ClassCarries    = "carries"    // a surface without skin hangs on it
	ClassStructural = "structural" // joints below it have influence
	ClassHelper     = "helper"     // none of these
)

// Idle is one joint that no vertex hangs on, in any skin.
type Idle struct {
	Node  rig.Node `json:"node"`
	Name  string   `json:"called"` // as words
	Class string   `json:"class"`
}

// classify tells the joints without influence apart.
func (f *Facts) classify(e *exam.Exam, b *bones) {
	n := len(e.Rig.Nodes)
	moves := make([]bool, n) // has influence, in some skin
	for s := range f.Skins {
		for _, j := range f.Skins[s].Joints {
			moves[j.Node] = moves[j.Node] || j.Vertices > 0
		}
	}
	below := make([]bool, n) // has influence below it
	holds := make([]bool, n) // nearest joint above, or the node itself, of a surface without skin
	under := make([]bool, n) // holds, or has such a joint below it
	for _, s := range e.Rig.Surfaces {
		if s.Skin >= 0 {
			continue
		}
		if b.isJoint[s.Node] {
			holds[s.Node] = true
		} else if a := b.above[s.Node]; a >= 0 {
			holds[a] = true
		}
	}
	for i := n - 1; i >= 0 && len(e.Rig.Order) == n; i-- {
		j := e.Rig.Order[i]
		under[j] = under[j] || holds[j]
		if p := e.Rig.Nodes[j].Parent; p >= 0 {
			below[p] = below[p] || below[j] || moves[j]
			under[p] = under[p] || under[j]
		}
	}
	class := make([]string, n)
	for j := range n {
		if !b.isJoint[j] || moves[j] {
			continue
		}
		switch a := b.above[j]; {
		case holds[j]:
			class[j] = ClassCarries
		case below[j]:
			class[j] = ClassStructural
		case under[j]:
			class[j] = ClassCarries
		case len(b.children[j]) == 0 && a >= 0 && moves[a]:
			class[j] = ClassEnd
		default:
			class[j] = ClassHelper
		}
		f.Idle = append(f.Idle, Idle{rig.Node(j), e.NodeName(rig.Node(j)), class[j]})
	}
	for s := range f.Skins {
		for j := range f.Skins[s].Joints {
			f.Skins[s].Joints[j].Class = class[f.Skins[s].Joints[j].Node]
		}
	}
}
