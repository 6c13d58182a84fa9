// Package exam is one examination of one rig: the rig itself, progress and
// cancelling, and the values that several stations share, each worked out once.
package exam

import (
	"context"
	"runtime"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// Exam is made once a file and handed from station to station.
type Exam struct {
	Rig *rig.Rig

	// Progress is called by Tick; nil: nobody listens. In the browser it also lets
	// the event loop run.
	Progress func(station string, done, total int)

	Station string // the one at work, for Progress

	// What the last Tick was told: Watch tells it again.
	ctx         context.Context
	done, total int

	// Worked out on first use; see the methods of the same names.
	restPose       *deform.Pose
	roles          *anatomy.Roles
	fromSurface    *anatomy.Shape
	noShape        bool
	restPositions  [][]float32
	wholePositions [][]float32
	shapeBoxes     []*geom.Box
	isShown        []bool
	shown          []int
	boxes          []*geom.Box
	box            *geom.Box
	welds          []*geom.Welded
	used           [][]bool
	parts          *parts
	bodyBox        *geom.Box
	sought         bool // figures is worked out
	inner          int  // how many figures this one is a part of
	figures        []Figure
	fused          int // whole figures in one shell
	beside         *Figure
	standingTold   *told
	unlike         bool     // skeletons were left out that nobody looked at; see Unsought
	moreRiders     bool     // the same of places where a rider may hang
	copies         []Figure // skeletons in one place, where there are several; see Roles
	mirror         *Mirror
	wholeMirror    *Mirror
}

// New starts an examination.
func New(r *rig.Rig) *Exam { return &Exam{Rig: r} }

// Tick reports progress within a station, lets others run, and answers ctx.Err().
// Call it once a surface, joint or frame, never once a vertex.
func (e *Exam) Tick(ctx context.Context, done, total int) error {
	e.ctx, e.done, e.total = ctx, done, total
	// WebAssembly has one thread and nobody who interrupts: without this the collector
	// is not let in, and a million vertices were seen to take 1.3 GB in place of 0.5.
	runtime.Gosched()
	if e.Progress != nil {
		e.Progress(e.Station, done, total)
	}
	return ctx.Err()
}

// Watch looks up within long work between two ticks: it ticks again with the same
// numbers. What is ended so is not kept, and the next Tick answers the error. nil
// before the first Tick and once the examination is over.
func (e *Exam) Watch() *geom.Watch {
	if e.ctx == nil {
		return nil
	}
	return &geom.Watch{Look: func() error { return e.Tick(e.ctx, e.done, e.total) }}
}

// Over is said when no station follows: values that are asked for later are worked
// out without looking up.
func (e *Exam) Over() { e.ctx = nil }
