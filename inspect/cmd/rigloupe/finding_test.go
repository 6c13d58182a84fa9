package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/lamplighter"
	"rigloupe/viewer/found"
)

// A finding is seen from the side that the call names, also where its place looks away.
func TestFindingFromASide(t *testing.T) {
	pictures := map[string]string{}
	model := filepath.Join(t.TempDir(), "slivers.glb")
	if code := run([]string{"sample", "--vertices", "4000", "--fault", "surface/slivers", "--out", model}, nil, io.Discard, os.Stderr); code != exitDone {
		t.Fatal(code)
	}
	for _, from := range []string{"front", "left", "back"} {
		out := filepath.Join(t.TempDir(), "p.png")
		if code := run([]string{"picture", model, "--size", "160x120", "--finding", "2", "--from", from, "--out", out}, nil, io.Discard, os.Stderr); code != exitDone {
			t.Fatal(code)
		}
		data, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		for other, same := range pictures {
			if same == string(data) {
				t.Errorf("from %s it looks as from %s", from, other)
			}
		}
		pictures[from] = string(data)
	}
}

// TestFindingShowsItsOwnPose: the picture of a finding of Bends is that of the same
// finding with its move asked for by hand, and not that of the rest pose.
func TestFindingShowsItsOwnPose(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	findings := res.Findings()
	for i := range findings {
		m := found.MoveOf(&findings[i])
		if m.Axis == "" {
			continue
		}
		dir := t.TempDir()
		draw := func(name string, more ...string) []byte {
			out := filepath.Join(dir, name)
			args := append([]string{"picture", "sample", "--size", "320x240", "--finding", strconv.Itoa(i + 1), "--out", out}, more...)
			if code := run(args, nil, io.Discard, os.Stderr); code != exitDone {
				t.Fatalf("%v: exit %d", args, code)
			}
			data, err := os.ReadFile(out)
			if err != nil {
				t.Fatal(err)
			}
			return data
		}
		name, degrees := r.Nodes[m.Joint].Name, strconv.FormatFloat(m.Degrees, 'g', -1, 64)
		own := draw("own.png")
		if byHand := draw("hand.png", "--move", name, "--axis", m.Axis, "--degrees", degrees); !bytes.Equal(own, byHand) {
			t.Errorf("finding %d is not shown at %s %s %s°", i+1, name, m.Axis, degrees)
		}
		if rest := draw("rest.png", "--move", name, "--axis", m.Axis, "--degrees", "0"); bytes.Equal(own, rest) {
			t.Errorf("finding %d is shown at rest", i+1)
		}
		return
	}
	t.Error("the sample has no finding of a move")
}
