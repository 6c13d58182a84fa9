// Package motion is the station that looks at the clips.
package motion

import (
	"context"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Station is the motion's row of the catalogue.
var Station = check.NewStation("motion", "Motion", Measure, []check.Check[Facts]{
	noClip,
})

// Facts are what the station measured.
type Facts struct {
	Clips []Clip `json:"clips"`
}

// Clip holds the figures of one clip.
type Clip struct {
	Clip     rig.Clip `json:"clip"`
	Name     string   `json:"name"`
	Seconds  float64  `json:"seconds"`       // last key of any channel
	Start    float64  `json:"start_seconds"` // first key of any channel
	Channels int      `json:"channels"`
	Nodes    int      `json:"nodes"` // distinct nodes its channels name
}

// Measure works out the facts of all clips.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	f := &Facts{Clips: make([]Clip, len(e.Rig.Clips))}
	seen := make([]int, len(e.Rig.Nodes)) // node → last clip that names it, +1
	for i := range e.Rig.Clips {
		if err := e.Tick(ctx, i, len(e.Rig.Clips)); err != nil {
			return nil, err
		}
		c := &e.Rig.Clips[i]
		f.Clips[i] = Clip{Clip: rig.Clip(i), Name: c.Name, Seconds: c.Seconds, Start: c.Start, Channels: len(c.Channels)}
		for k := range c.Channels {
			if n := c.Channels[k].Node; n >= 0 && seen[n] != i+1 {
				seen[n] = i + 1
				f.Clips[i].Nodes++
			}
		}
	}
	return f, nil
}
