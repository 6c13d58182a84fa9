package main

import (
	"context"
	"errors"
	"io"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/wasm/bridge"
)

// rows answers one clip joint by joint: what `rigloupe clip --json` prints.
func (x *examiner) rows(_ context.Context, a bridge.AskRows, _ []gltfio.File) (ending, error) {
	if a.Clip == nil {
		return ending{}, errors.New("which clip is meant is not said")
	}
	rows, err := motion.Rows(x.moved(), rig.Clip(*a.Clip), a.Columns)
	if err != nil {
		return ending{}, err
	}
	return x.text("rows", func(w io.Writer) error { return desk.WriteJSON(w, rows) })
}

// curves answers the curves of one joint in a clip.
func (x *examiner) curves(_ context.Context, a bridge.AskCurves, _ []gltfio.File) (ending, error) {
	switch {
	case a.Clip == nil:
		return ending{}, errors.New("which clip is meant is not said")
	case a.Joint == nil:
		return ending{}, errors.New("which joint is meant is not said")
	}
	c, err := motion.Curves(x.moved(), rig.Clip(*a.Clip), rig.Node(*a.Joint))
	if err != nil {
		return ending{}, err
	}
	return x.text("curves", func(w io.Writer) error { return desk.WriteJSON(w, c) })
}

// moved is the open figure with what was carried over behind its own clips.
func (x *examiner) moved() *exam.Exam {
	if x.other.shown == nil {
		return x.result.Exam
	}
	with := *x.result.Exam
	with.Rig = x.other.shown
	return &with
}
