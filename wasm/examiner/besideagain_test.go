package main

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/mend"
)

// TestReopenWithSecondFiles: the examiner died with a clip of a second file on the slip. The
// one that takes its place is handed that file, too, and stands as the one before; without it
// the step is off and said to be.
func TestReopenWithSecondFiles(t *testing.T) {
	stroll, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		t.Fatal(err)
	}
	data := faulty(t, "skeleton/fragile-name")
	file := func() gltfio.File { return gltfio.File{Name: "lamp.glb", Data: bytes.Clone(data)} }
	second := func() gltfio.File { return gltfio.File{Name: "stroll.bvh", Data: bytes.Clone(stroll)} }
	first, _ := mendable(t, data)
	first.ask(context.Background(), asked{Kind: "beside"}, []gltfio.File{second()})
	first.does(t, asked{Kind: "try", Mend: "carry", Values: `{"from":"stroll.bvh"}`})
	var told mend.Told
	read(t, first, "receipt", &told)
	first.does(t, asked{Kind: "keep", Accept: told.Insist})
	saved, slip := first.lastOf("slipSaved"), first.lastOf("slip")
	if !strings.Contains(saved, `"stroll.bvh"`) {
		t.Fatalf("the plan does not name it: %s", saved)
	}
	next := newPage()
	next.ask(context.Background(), asked{Kind: "reopen", Slip: saved, Beside: "[1]"}, []gltfio.File{file(), second()})
	if next.lastOf("slip") != slip {
		t.Errorf("the slip is another: %s", next.lastOf("slip"))
	}
	if !bytes.Equal(next.handed(t, "figure"), first.handed(t, "figure")) {
		t.Error("it hands over another figure")
	}
	for _, counts := range []string{"[2]", "[0]", "[1,1]", "x"} {
		p := newPage()
		p.ask(context.Background(), asked{Kind: "reopen", Slip: saved, Beside: counts}, []gltfio.File{file(), second()})
		if got := p.kinds(); got != "refused" {
			t.Errorf("%s: told %q", counts, got)
		}
	}
}

// after is a context that ends when it was asked so many times whether it has.
type after struct {
	context.Context
	left int
}

func (a *after) Err() error {
	if a.left--; a.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestStoppedStepLosesNothing: a step is stopped at several moments of its work, on trial and
// while it is kept: what was kept before stands bit by bit, nothing is on trial, and the same
// step goes through afterwards.
func TestStoppedStepLosesNothing(t *testing.T) {
	data := faulty(t, "binding/stray-island", "skeleton/fragile-name")
	p, _ := mendable(t, data)
	p.does(t, asked{Kind: "suggest"})
	figure, plan := p.handed(t, "figure"), p.handed(t, "plan")
	stopped := 0
	for _, mended := range []string{"bind", "rebind", "lighter", "even"} {
		for _, left := range []int{0, 1, 3, 10, 40} {
			p.told = nil
			p.ask(&after{context.Background(), left}, asked{Kind: "try", Mend: mended, Values: "{}"}, nil)
			if strings.HasSuffix(p.kinds(), "receipt") {
				continue // it was done before it could be stopped
			}
			stopped++
			p.told = nil
			p.ask(context.Background(), asked{Kind: "keep"}, nil)
			if got := p.kinds(); got != "refused" {
				t.Errorf("%s stopped after %d: keeping is answered with %q", mended, left, got)
			}
			if !bytes.Equal(p.handed(t, "figure"), figure) || !bytes.Equal(p.handed(t, "plan"), plan) {
				t.Errorf("%s stopped after %d: the figure is another", mended, left)
			}
		}
	}
	if stopped < 8 {
		t.Errorf("only %d steps were stopped", stopped)
	}
	p.does(t, asked{Kind: "try", Mend: "even", Values: `{"form":"weights"}`})
}
