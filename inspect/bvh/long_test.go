package bvh

import (
	"fmt"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

const twoJoints = "HIERARCHY\nROOT r\n{\nOFFSET 0 0 0\nCHANNELS 3 Zrotation Xrotation Yrotation\nJOINT b\n{\nOFFSET 0 1 0\nCHANNELS 3 Zrotation Xrotation Yrotation\nEnd Site\n{\nOFFSET 0 1 0\n}\n}\n}\nMOTION\n"

// A frame time that no movement has is not believed, whatever the number of rows, and
// that is said; one a minute long and one of a microsecond stand.
func TestFrameTimesBeyondAnyMovement(t *testing.T) {
	for _, rows := range []int{2, 9, 30} {
		for text, sound := range map[string]bool{"1e9": false, "1e18": false, "3e38": false, "1e308": false, "1e-9": false, "1e-300": false, "0.5": true, "0.0001": true} {
			r, err := Read("x.bvh", []byte(fmt.Sprintf("%sFrames: %d\nFrame Time: %s\n%s", twoJoints, rows, text, strings.Repeat("1 2 3 4 5 6\n", rows))))
			if err != nil {
				t.Errorf("%s: %v", text, err)
				continue
			}
			end, said := r.Clips[0].Seconds, fmt.Sprint(r.Malformed)
			if !sound && (end != float64(float32(float64(rows-1)/fallbackRate)) || !strings.Contains(said, "Frame Time")) {
				t.Errorf("%d rows of %s s end at %g s; said %s", rows, text, end, said)
			}
			if sound && len(r.Malformed) > 0 {
				t.Errorf("%s: %s", text, said)
			}
		}
	}
}

// A clip too long for even steps is refused in words: cut short or with longer steps it
// would be another movement.
func TestWriteTooLong(t *testing.T) {
	r, err := Read("x.bvh", []byte(twoJoints+"Frames: 2\nFrame Time: 0.04\n1 2 3 4 5 6\n2 3 4 5 6 7\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, last := range []float32{1e9, 3e38} {
		for i := range r.Clips[0].Channels {
			r.Clips[0].Channels[i].Times = []float32{0, last}
		}
		r.Clips[0].Seconds = float64(last)
		if b, err := Write(r, 0); err == nil || !strings.Contains(err.Error(), "last keyframe") {
			t.Errorf("%g s: %d bytes, %v", last, len(b), err)
		}
	}
	for i := range r.Clips[0].Channels { // an hour of two keys is written
		r.Clips[0].Channels[i].Times = []float32{0, 3600}
	}
	r.Clips[0].Seconds = 3600
	b, err := Write(r, 0)
	if err != nil {
		t.Fatal(err)
	}
	back, err := Read("y.bvh", b)
	if err != nil || len(back.Clips) != 1 || back.Clips[0].Seconds < 3599 || back.Clips[0].Seconds > 3601 {
		t.Errorf("an hour came back as %v, %v", back.Clips, err)
	}
	if _, err := Write(r, rig.None); err != nil {
		t.Errorf("at rest: %v", err)
	}
}
