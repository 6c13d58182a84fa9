package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/wasm/bridge"
)

// Plans on the page: one that a person hands over, and the slip of an examiner that died,
// done again in the next.

// saved tells the slip as another examiner could make it again.
func (x *examiner) saved() error {
	return x.aside("slipSaved", func(w io.Writer) error { return desk.WriteJSON(w, x.mend.slip.Saved()) })
}

// step tells one that was tried, and the slip with it.
func (x *examiner) step(told *mend.Told) {
	if x.aside("step", func(w io.Writer) error { return desk.WriteJSON(w, told) }) == nil && x.saved() == nil {
		x.breathe()
	}
}

// aside tells a document beside the one that ends the ask.
func (x *examiner) aside(kind string, write func(io.Writer) error) error {
	end, err := x.text(kind, write)
	if err == nil {
		x.tell(end.message, nil, false)
	}
	return err
}

// doing tells which step is begun, from 0, before it can end the program.
func (x *examiner) doing(step int) {
	x.tell(bridge.Document{ID: x.id, Kind: "doing", JSON: strconv.Itoa(step)}, nil, false)
}

// plan tells what a plan would do.
func (x *examiner) plan(_ context.Context, a bridge.AskPlan, _ []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		return ending{}, errNotBegun
	}
	p, err := desk.Plan([]byte(a.Text))
	if err != nil {
		return ending{}, err
	}
	return x.text("plan", func(w io.Writer) error { return desk.WriteJSON(w, p.Told(x.mend.slip.Start())) })
}

// doPlan does a plan as the command line does it, each step told.
func (x *examiner) doPlan(ctx context.Context, a bridge.AskDoPlan, _ []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		return ending{}, errNotBegun
	}
	p, err := desk.Plan([]byte(a.Text))
	if err != nil {
		return ending{}, err
	}
	x.mend.trial, x.mend.receipt = nil, nil
	_, _, err = x.mend.slip.Do(breathing{ctx, x}, p, mend.Options{GoOn: a.GoOn, Next: x.doing, Each: func(d mend.Done) {
		told := d.Receipt.Told()
		told.Odd = d.Odd
		x.step(told)
	}})
	if err != nil && ctx.Err() == nil {
		return ending{}, err
	}
	x.limits = p.Limits
	return x.desk(breathing{context.WithoutCancel(ctx), x}) // stopped: what was done stays
}

// reopen reads and examines in silence the files of the figure that the page shows
// already, and does the slip again. It ends with the slip, or, where nothing was tried,
// with nothing.
func (x *examiner) reopen(ctx context.Context, a bridge.AskReopen, files []gltfio.File) (ending, error) {
	limits, err := parseLimits(a.Limits)
	if err != nil {
		return ending{}, err
	}
	x.result, x.other, x.mend, x.limits, x.long = nil, other{}, mending{}, limits, 0
	x.titles = stationTitles()
	inner := breathing{ctx, x}
	files, seconds, err := apart(files, a.Beside)
	if err != nil {
		return ending{}, err
	}
	own := make([]gltfio.File, len(files))
	copy(own, files)
	r, err := x.open(files)
	if err != nil {
		return ending{}, err
	}
	result, err := inspect.Examine(inner, r, inspect.Options{Limits: limits, Progress: x.watch})
	if err != nil {
		return ending{}, err
	}
	x.result = result
	if a.Slip == "" {
		return ending{}, nil
	}
	from, err := mend.ParseSaved([]byte(a.Slip))
	if err != nil {
		return ending{}, err
	}
	if err := x.mends(own); err != nil { // not begin: an empty slip must not be told, the page would hold it for the last
		return ending{}, err
	}
	for _, group := range seconds {
		other, err := x.source(group).Second()
		if err != nil {
			return ending{}, fmt.Errorf("a second file cannot be read again: %w", err)
		}
		x.mend.slip.Beside(other)
	}
	off, err := x.mend.slip.Restore(inner, from, x.doing)
	if err != nil {
		return ending{}, fmt.Errorf("the kept mends cannot be done again: %w", err)
	}
	x.limits = from.Plan.Limits
	if len(off) > 0 {
		if err := x.aside("switchedOff", func(w io.Writer) error { return desk.WriteJSON(w, off) }); err != nil {
			return ending{}, err
		}
	}
	return x.desk(inner)
}

// apart parts the files of the figure from those of second figures behind them, by the JSON
// list of how many each of those has.
func apart(files []gltfio.File, counts string) (own []gltfio.File, seconds [][]gltfio.File, err error) {
	if counts == "" {
		return files, nil, nil
	}
	var list []int
	if err := json.Unmarshal([]byte(counts), &list); err != nil {
		return nil, nil, fmt.Errorf("the second files cannot be told apart: %w", err)
	}
	sum := 0
	for _, n := range list {
		if n < 1 || n > len(files)-1-sum {
			return nil, nil, fmt.Errorf("there are not %d files of a second figure", n)
		}
		sum += n
	}
	own = files[:len(files)-sum]
	rest := files[len(own):]
	for _, n := range list {
		seconds, rest = append(seconds, rest[:n]), rest[n:]
	}
	return own, seconds, nil
}
