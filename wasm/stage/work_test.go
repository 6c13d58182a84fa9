package stage

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"rigloupe/viewer/scene"
	"rigloupe/wasm/flat"
)

// steady looks up and goes on.
func steady() error { return nil }

// TestWorkInSlices: what the stage takes is taken one after the other, in slices with a
// breath between them; another figure makes those before it vain.
func TestWorkInSlices(t *testing.T) {
	now := time.Duration(0)
	breaths := 0
	w := work{since: func() time.Duration { return now }, ended: func() bool { return false }}
	w.breathe = func() { breaths++ }
	var log []string
	done := make(chan struct{})
	add := func(another bool, name string, steps int, then func()) {
		w.add(another, func(look func() error) error {
			for range steps {
				now += slice / 2
				if err := look(); err != nil {
					return err
				}
			}
			log = append(log, name)
			return nil
		}, func(err error) {
			if errors.Is(err, errOvertaken) {
				log = append(log, "no "+name)
			}
			then()
		})
	}
	none := func() {}
	gate := make(chan struct{})
	w.breathe = func() { breaths++; <-gate }
	add(true, "first", 10, none)
	add(false, "its lines", 3, none)
	add(true, "second", 3, none)
	add(false, "its lines too", 3, func() { close(done) })
	close(gate)
	<-done
	if want := []string{"no first", "no its lines", "second", "its lines too"}; !slices.Equal(log, want) {
		t.Errorf("%q, want %q", log, want)
	}
	if breaths < 6 { // one before each, one for each whole slice
		t.Errorf("%d breaths", breaths)
	}
	w.wait() // nothing is at work: answers at once
}

// TestBrokenOff: a figure that is broken off while it is opened leaves the one before.
func TestBrokenOff(t *testing.T) {
	b, figure := open(t), figureBytes()
	before := b.scene
	for after := range 3 {
		looks := 0
		err := b.open(append([]byte(nil), figure...), nil, func() error {
			if looks++; looks > after {
				return errOvertaken
			}
			return nil
		})
		if !errors.Is(err, errOvertaken) || b.scene != before {
			t.Fatalf("broken off at look %d: %v, the figure before stays: %v", after+1, err, b.scene == before)
		}
	}
}

// TestOpenWithSketch: a sketch saves the stage the welding, and shows the same picture.
func TestOpenWithSketch(t *testing.T) {
	b, figure := open(t), figureBytes()
	s, err := flat.Pack(scene.Sketch(b.rig))
	if err != nil {
		t.Fatal(err)
	}
	picture := func(sketch []byte) []uint32 {
		b.must(b.open(append([]byte(nil), figure...), sketch, steady))
		return slices.Clone(b.scene.Draw(&b.state).Pix)
	}
	if !slices.Equal(picture(nil), picture(s)) {
		t.Error("the picture by the sketch is another one")
	}
	if err := b.open(append([]byte(nil), figure...), []byte("no sketch"), steady); err == nil || !strings.Contains(err.Error(), "flat") {
		t.Errorf("a broken sketch: %v", err)
	}
}

func figureBytes() []byte { f, _ := sample(); return f }
