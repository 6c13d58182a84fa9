package main

import (
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// TestScenario writes the files of a whole job into the folder that RIGLOUPE_SCENARIO names,
// for the test that does it from end to end and holds the result against programs that are
// not ours (site/test/job.test.js): three sculpts to choose from, a visitor whose coat is
// wanted, a lantern on a chain, and a stroll as motion capture.
func TestScenario(t *testing.T) {
	folder := os.Getenv("RIGLOUPE_SCENARIO")
	if folder == "" {
		folder = t.TempDir()
	}
	stroll, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{
		"large.glb":    menagerie.GLB(menagerie.Large()),
		"lopsided.glb": menagerie.GLB(menagerie.Lopsided()),
		"shaken.glb":   menagerie.GLB(menagerie.Shaken()),
		"visitor.glb":  menagerie.GLB(menagerie.Visitor()),
		"lantern.glb":  menagerie.GLB(menagerie.Lantern(space.Vec{.8, 1.37, 0})), // beside the left hand of who stands in T
		"stroll.bvh":   stroll,
	} {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
