package main

import (
	"encoding/json"
	"errors"

	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/wasm/bridge"
)

// motion answers one clip joint by joint, or the curves of one joint in it: what
// `rigloupe clip --json` prints.
func (x *examiner) motion(a bridge.Ask) error {
	if a.Clip == nil {
		return errors.New("which clip is meant is not said")
	}
	e := x.result.Exam
	if x.other.shown != nil { // what was carried over stands behind the figure's own clips
		with := *e
		with.Rig = x.other.shown
		e = &with
	}
	var answer any
	var err error
	switch {
	case a.Kind == "rows":
		answer, err = motion.Rows(e, rig.Clip(*a.Clip), a.Columns)
	case a.Joint == nil:
		err = errors.New("which joint is meant is not said")
	default:
		answer, err = motion.Curves(e, rig.Clip(*a.Clip), rig.Node(*a.Joint))
	}
	if err != nil {
		return err
	}
	data, err := json.Marshal(answer)
	if err != nil {
		return err
	}
	x.tell(bridge.Document{ID: x.id, Kind: a.Kind, JSON: string(data)}, nil)
	return nil
}
