package mend

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The loose chain of the sample hangs where it belongs, the finding clears, and nothing
// moves at rest.
func TestHangPlanted(t *testing.T) {
	for _, f := range planted("skeleton/loose-chain") {
		t.Run(f.Name, func(t *testing.T) {
			r, _ := f.On(sample())
			s := ofRig(t, r)
			res, _ := s.Examine(t.Context(), nil)
			v := hangOn.Suggest(Look(res))
			if len(v) != 1 {
				t.Fatalf("suggested %v", v)
			}
			x := try(t, s, "hang", v[0])
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if !slices.Contains(receipt.Cleared, "skeleton/loose-chain") || !receipt.Kept {
				t.Error(receipt.Sentence())
			}
			if receipt.Moved.Max > 1e-6*exam.New(s.Rig).Size() {
				t.Errorf("at rest it moved by %g m", receipt.Moved.Max)
			}
			t.Log(receipt.Sentence(), receipt.Says, receipt.Measures)
		})
	}
}

// A keyed joint under another parent goes the same way in the world, at and between keys,
// within 1e-5 of the height: the left forearm on the chest, while stroll and wave move
// both.
func TestHangKeepsTheWay(t *testing.T) {
	s := ofRig(t, sample())
	x := try(t, s, "hang", Values{"on": map[string]any{"lowerArm_L": "chest"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	was, is := deform.NewPose(s.Rig), deform.NewPose(x.After.Rig)
	n := lamplighter.Node("lowerArm_L")
	hand := lamplighter.Node("hand_L")
	if x.After.Rig.Nodes[n].Parent != lamplighter.Node("chest") {
		t.Fatal("it hangs where it did")
	}
	height := exam.New(s.Rig).WholeHeight()
	worst := 0.0
	for c := range s.Rig.Clips {
		for i := range 400 {
			at := s.Rig.Clips[c].Seconds * float64(i) / 399
			was.Sample(rig.Clip(c), at)
			is.Sample(rig.Clip(c), at)
			for _, j := range []rig.Node{n, hand} {
				worst = max(worst, was.World[j].Origin().Sub(is.World[j].Origin()).Len())
			}
		}
	}
	if worst > 2e-5*height {
		t.Errorf("%g m off its way", worst)
	}
	t.Logf("%.3g of the height off its way", worst/height)
}

// The real hands, whose joints hang side by side: hung as found, nothing moves at rest, a
// turn of the wrist takes the fingers along, and the check clears.
func TestHangHands(t *testing.T) {
	for _, file := range []string{"hand_left.glb", "hand_right.glb"} {
		t.Run(file, func(t *testing.T) {
			s := corpusState(t, file)
			res, _ := s.Examine(t.Context(), nil)
			v := hangOn.Suggest(Look(res))
			if len(v) != 1 {
				t.Fatalf("suggested %v", v)
			}
			x := try(t, s, "hang", v[0])
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			r := prove(t, x)
			if !slices.Contains(r.Cleared, "skeleton/loose-chain") {
				t.Error(r.Sentence())
			}
			if d := r.Moved.Max / exam.New(s.Rig).Size(); d > 1e-7 {
				t.Errorf("at rest it moved by %g of the diagonal", d)
			}
			if r.Bytes.Added+len(r.Bytes.Rewritten) > 0 {
				t.Errorf("the binary part changed: %+v", r.Bytes)
			}
			wrist, err := findNode(s.Rig, "wrist")
			if err != nil {
				t.Fatal(err)
			}
			if n := followers(x.After.Rig, wrist); n != 1360 {
				t.Errorf("a turn of the wrist moves %d vertices, want all 1360", n)
			}
			t.Log(r.Sentence(), len(v[0].Pairs("on")), "joints; before", followers(s.Rig, wrist))
		})
	}
}

func TestHangRefuses(t *testing.T) {
	s := ofRig(t, sample())
	for _, row := range []struct{ child, parent, want string }{
		{"chest", "lowerArm_L", "hang on itself"},
		{"chest", "no such joint", "There is no node"},
		{"lowerArm_L", "upperArm_L", "No joint is named that hangs elsewhere."},
	} {
		x := try(t, s, "hang", Values{"on": map[string]any{row.child: row.parent}})
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%s on %s: %q", row.child, row.parent, x.Refused())
		}
	}
	// An uneven scale above a turned joint would shear what is hung there.
	r := sample()
	p := lamplighter.Node("upperArm_R")
	r.Nodes[p].S = [3]float64{1, 2, 1}
	r.Nodes[p].R = [4]float64{0, 0, math.Sin(.3), math.Cos(.3)}
	r.Nodes[p].Matrix = r.Nodes[p].TRS.Affine()
	x := try(t, ofRig(t, r), "hang", Values{"on": map[string]any{"lowerArm_L": "upperArm_R"}})
	if x.After != nil || !strings.Contains(x.Refused(), "sheared") {
		t.Errorf("sheared: %q", x.Refused())
	}
}
