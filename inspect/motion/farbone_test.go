package motion

import (
	"fmt"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A bone whose end hangs by more nodes than are watched is not said to keep its length.
func TestFarBoneIsNotLookedAt(t *testing.T) {
	for _, row := range []struct {
		between int
		looked  bool
	}{{62, true}, {64, false}} {
		r := lamplighter.Clone(checktest.Built(lamplighter.Options{Sway: true, Vertices: 2000}))
		hand := lamplighter.Node("hand_L")
		up := r.Nodes[hand].Parent
		kept := r.Nodes[up].Children[:0:0]
		for _, c := range r.Nodes[up].Children {
			if c != hand {
				kept = append(kept, c)
			}
		}
		r.Nodes[up].Children = kept
		for i := range row.between { // nodes that are no joints, on the way
			n := rig.Node(len(r.Nodes))
			d := rig.NodeData{Name: fmt.Sprint("on the way ", i), Parent: up, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
			d.Matrix = d.TRS.Affine()
			r.Nodes[up].Children = append(r.Nodes[up].Children, n)
			r.Nodes = append(r.Nodes, d)
			up = n
		}
		r.Nodes[up].Children = append(r.Nodes[up].Children, hand)
		r.Nodes[hand].Parent = up
		r.SetOrder()
		_, outcomes := checktest.Judge(t, &Station, r, nil)
		for _, o := range outcomes {
			if o.ID == "motion/stretched-bone" && (o.State == check.Clear) != row.looked {
				t.Errorf("%d nodes between: %s, %s", row.between, o.State, o.Reason)
			}
			if o.ID == "motion/stretched-bone" && !row.looked && !strings.HasPrefix(o.Reason, "1 bone reaches over more than 64 nodes") {
				t.Error(o.Reason)
			}
		}
	}
}
