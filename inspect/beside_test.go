package inspect

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A real figure whose feet hang on the root, beside the hips, keeps them where another stands in the file: it is as high
// as alone, stands where it stood, and nothing of it lies beside the figures.
func TestFeetOnTheRootStayWithTheirFigure(t *testing.T) {
	read := func(name string) *rig.Rig {
		data, err := os.ReadFile(filepath.Join("..", "..", "shared", "corpus", "models", name))
		if os.IsNotExist(err) {
			t.Skipf("%s is not here: the corpus lies beside the repository", name)
		}
		if err != nil {
			t.Fatal(err)
		}
		r, err := gltfio.Read([]gltfio.File{{Name: name, Data: data}}, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	knight, robot := read("Knight.glb"), read("robot.glb")
	alone := lookedAt(t, robot).Exam.Height()
	both := lamplighter.Merge(knight, robot)
	for i := range both.Nodes {
		if n := &both.Nodes[i]; n.Parent < 0 && i >= len(knight.Nodes) {
			n.TRS.T[0] += 8
			n.Matrix = n.TRS.Affine()
		}
	}
	e := lookedAt(t, both).Exam
	figures := e.Figures()
	if len(figures) != 2 {
		t.Fatalf("%d figures, want 2", len(figures))
	}
	if got := figures[1].Exam.Height(); math.Abs(got-alone) > 1e-3 {
		t.Errorf("the robot is %.3f m high beside the knight, %.3f m alone", got, alone)
	}
	if b := e.Beside(); b != nil {
		t.Errorf("%d surfaces lie beside the figures", len(b.Surfaces))
	}
}
