package skeleton

import (
	"reflect"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Figures side by side: a joint's section is cut in what stands around it, not in all
// figures there are, and is the section that the figure alone has.
func TestSectionsCutWhatIsNear(t *testing.T) {
	row := func(n int) *rig.Rig {
		var list []*rig.Rig
		for i := range n {
			r := checktest.Built(lamplighter.Options{Vertices: 1000})
			for k := range r.Nodes {
				if d := &r.Nodes[k]; d.Parent < 0 {
					d.T[0] += 8 * float64(i)
					d.Matrix = d.TRS.Affine()
				}
			}
			list = append(list, r)
		}
		if n == 1 {
			return list[0]
		}
		return lamplighter.Merge(list...)
	}
	one, four, eight := measured(t, row(1)), measured(t, row(4)), measured(t, row(8))
	if len(one.Sections) == 0 || len(four.Sections) == 0 || len(eight.Sections) != 2*len(four.Sections) {
		t.Fatalf("%d, %d, %d sections", len(one.Sections), len(four.Sections), len(eight.Sections))
	}
	if eight.cuts > 2*four.cuts+len(eight.Sections)/10 {
		t.Errorf("%d cuts for four figures, %d for eight", four.cuts, eight.cuts)
	}
	for i := range four.Sections[:len(four.Sections)/4] { // of the first, which stands where it stood
		a, b := four.Sections[i], eight.Sections[i]
		if !reflect.DeepEqual(a, b) {
			t.Errorf("joint %d: %+v among four, %+v among eight", a.Joint, a, b)
		}
	}
}
