package bends

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
)

// Every finding above a note on the real models: what was looked at and found true. A
// new one is looked at before it stands here.
func TestRealModels(t *testing.T) {
	want := map[string][]string{
		"cesium_man.gltf": {"flaw bends/collapse node 13, rotation −90°", "flaw bends/tear-along node 13 and node 16, abduction 117°"},
		"hand_left.glb":   {`flaw bends/tear-along "pinky-finger-metacarpal", turned −90° about its own y axis`},
		"hand_right.glb":  {`flaw bends/tear-along "pinky-finger-metacarpal", turned 90° about its own y axis`},
	}
	paths, _ := filepath.Glob(checktest.Corpus + "/models/*.gl*")
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository")
	}
	for _, p := range paths {
		name := filepath.Base(p)
		found, _ := checktest.Judge(t, &Station, checktest.Open(t, p), nil)
		var got []string
		facts := measured(t, checktest.Open(t, p))
		for _, f := range found {
			posed(t, name, facts, &f)
			if f.Grade > check.Note {
				got = append(got, fmt.Sprintf("%s %s %s", f.Grade, f.ID, f.Subject))
			}
		}
		if !slices.Equal(got, want[name]) {
			t.Errorf("%s: %q, want %q", name, got, want[name])
		}
	}
}

// The walking man's weights do not sum to 1 at 210 vertices, which throws them up to
// 0.85 m off. Made whole, his shoulder keeps its volume; two vertices of the hip still
// hang on an arm by a tenth.
func TestWalkingManMadeWhole(t *testing.T) {
	path := checktest.Corpus + "/models/cesium_man.gltf"
	if _, err := os.Stat(path); err != nil {
		t.Skip("the real models are not beside the repository")
	}
	r := checktest.Open(t, path)
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		w, sum := m.Weights[m.K*v:m.K*v+m.K], float32(0)
		for _, x := range w {
			sum += x
		}
		for k := range w {
			w[k] /= sum
		}
	}
	found, _ := checktest.Judge(t, &Station, r, nil)
	for _, f := range found {
		if f.Grade > check.Note && (f.ID != tearAlong.ID || f.Measures[0].Value != 2) {
			t.Errorf("%s %s %s %v", f.Grade, f.ID, f.Subject, f.Measures)
		}
	}
}

// posed tells that the move a finding names is one of the bend set, so that it can be
// shown.
func posed(t *testing.T, name string, facts *Facts, f *check.Finding) {
	t.Helper()
	m := f.Where.Move
	if m == nil {
		t.Errorf("%s: %s %s has no pose", name, f.ID, f.Subject)
		return
	}
	if !slices.ContainsFunc(facts.Turns, func(u Turn) bool { return u.Joint == m.Joint && u.Axis == m.Axis }) {
		t.Errorf("%s: %s %s: the bend set has no turn of joint %d about %s", name, f.ID, f.Subject, m.Joint, m.Axis)
	}
}
