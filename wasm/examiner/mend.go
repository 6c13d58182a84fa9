package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/road"
	"rigloupe/viewer/found"
	"rigloupe/viewer/plates"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
)

// mending is the open figure while it is mended: the slip, and the mend on trial.
type mending struct {
	slip    *mend.Slip // nil: nothing was tried yet
	trial   *mend.Trial
	receipt *mend.Receipt // of the trial; nil: not proved to its end
	why     string        // the finding it was tried for
}

// mended tells that what lies on the desk is not the file that was opened.
func (m *mending) mended() bool { return m.slip != nil && m.slip.Changed() }

// offers tells which mends there are and with which values the findings call for them.
func (x *examiner) offers(_ context.Context, _ bridge.AskNothing, _ []gltfio.File) (ending, error) {
	return x.text("offers", func(w io.Writer) error { return desk.WriteJSON(w, mend.Offers(x.result)) })
}

// road tells where the figure on the desk stands, and what is left to do.
func (x *examiner) road(context.Context, bridge.AskNothing, []gltfio.File) (ending, error) {
	return x.text("road", func(w io.Writer) error { return desk.WriteJSON(w, road.Of(x.result)) })
}

// begin opens the figure's own files for mending; again it does nothing.
func (x *examiner) begin(ctx context.Context, _ bridge.AskNothing, files []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		if err := x.mends(files); err != nil {
			return ending{}, err
		}
	}
	return x.sheet(breathing{ctx, x})
}

// mends opens files for mending, with nothing on the slip.
func (x *examiner) mends(files []gltfio.File) error {
	d, err := x.source(files).Original()
	if err != nil {
		return err
	}
	start, err := mend.Open(d)
	if err != nil {
		return err
	}
	// The examination of the same bytes is the same one; of a file in several parts it is
	// made anew of the one that is written.
	if len(files) == 1 && bytes.Equal(start.Bytes, files[0].Data) && !slices.ContainsFunc(x.result.Stations, func(o inspect.Outcome) bool { return o.Facts == nil }) {
		start.Examined(x.result)
	}
	start.Watch(x.watch)
	x.mend = mending{slip: mend.NewSlip(start, x.limits)}
	return nil
}

// beside opens a second file, for a mend that takes from it, and tells its surfaces and clips.
func (x *examiner) beside(_ context.Context, _ bridge.AskNothing, files []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		return ending{}, errNotBegun
	}
	other, err := x.source(files).Second()
	if err != nil {
		return ending{}, err
	}
	x.mend.slip.Beside(other)
	return x.text("beside", func(w io.Writer) error { return desk.WriteJSON(w, other.Second()) })
}

// watch tells how far an examination is.
func (x *examiner) watch(station string, done, total int) {
	if x.titles == nil {
		x.titles = stationTitles()
	}
	if done == 0 {
		collect()
	}
	x.progress(station, x.titles[station], done, total, fmt.Sprintf("%s: %d of %d", x.titles[station], done, total))
}

// sheet ends an ask with the slip, which the page can make again of what is told before.
func (x *examiner) sheet(ctx context.Context) (ending, error) {
	s, err := x.mend.slip.Sheet(ctx)
	if err != nil {
		return ending{}, err
	}
	if err := x.saved(); err != nil {
		return ending{}, err
	}
	return x.text("slip", func(w io.Writer) error { return desk.WriteJSON(w, s) })
}

var errNotBegun = errors.New("the figure is not open for mending yet")

// try applies a mend to a copy and shows that: first the figure as it would be, then the
// receipt.
func (x *examiner) try(ctx context.Context, a bridge.AskTry, _ []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		return ending{}, errNotBegun
	}
	ctx = breathing{ctx, x}
	m, err := mend.Named(a.Mend)
	if err != nil {
		return ending{}, err
	}
	values, err := mend.ParseValues([]byte(a.Values))
	if err != nil {
		return ending{}, fmt.Errorf("the values of the mend cannot be read: %w", err)
	}
	x.mend.trial, x.mend.receipt, x.mend.why = nil, nil, a.Why
	t, err := x.mend.slip.State().Try(ctx, m, values)
	if err != nil {
		return ending{}, err
	}
	if t.After != nil {
		collect()
		if err := x.showTrial(ctx, t); err != nil {
			return ending{}, err
		}
	}
	r, err := t.Prove(ctx, x.limits, nil)
	if err != nil {
		return ending{}, err
	}
	x.mend.trial, x.mend.receipt = t, r
	told := r.Told()
	t.Bound(told)
	return x.text("receipt", func(w io.Writer) error { return desk.WriteJSON(w, told) })
}

// showTrial sends the rig as it would be, with the outlines where its shape is another: so
// it is on the stage before anything is examined. What the engraving needs comes after it.
func (x *examiner) showTrial(ctx context.Context, t *mend.Trial) error {
	same := scene.SameShape(t.Before.Rig, t.After.Rig)
	if !same {
		if err := x.parcel("trialSketch", scene.SketchForStage(t.After.Rig)); err != nil {
			return err
		}
	}
	if err := x.parcel("trialRig", scene.ForStage(t.After.Rig)); err != nil {
		return err
	}
	x.breathe()
	if err := ctx.Err(); err != nil || same {
		return err
	}
	prepared, err := scene.Prepare(ctx, t.After.Rig, func(int, int) error { return ctx.Err() })
	if err != nil {
		return err
	}
	return x.parcel("trialPrepared", prepared)
}

// keep puts the trial on the slip; accept are planted checks that the person insists on.
func (x *examiner) keep(ctx context.Context, a bridge.AskKeep, _ []gltfio.File) (ending, error) {
	t, r := x.mend.trial, x.mend.receipt
	if t == nil || r == nil {
		return ending{}, errors.New("there is no mend on trial")
	}
	ctx = breathing{ctx, x}
	if len(a.Accept) > 0 {
		var err error
		if r, err = t.Prove(ctx, x.limits, a.Accept); err != nil {
			return ending{}, err
		}
	}
	if err := x.mend.slip.Keep(t, r, x.mend.why); err != nil {
		return ending{}, err
	}
	x.mend.trial, x.mend.receipt = nil, nil
	return x.desk(ctx)
}

// leave drops the trial.
func (x *examiner) leave(context.Context, bridge.AskNothing, []gltfio.File) (ending, error) {
	x.mend.trial, x.mend.receipt = nil, nil
	return ending{}, nil
}

// slip changes the slip: back, forward, off, on or move.
func (x *examiner) slip(ctx context.Context, a bridge.AskSlip, _ []gltfio.File) (ending, error) {
	s := x.mend.slip
	if s == nil {
		return ending{}, errNotBegun
	}
	ctx = breathing{ctx, x}
	x.mend.trial, x.mend.receipt = nil, nil
	var err error
	switch a.Act {
	case "back":
		_, err = s.Back(ctx)
	case "forward":
		_, err = s.Forward(ctx)
	case "off", "on":
		err = s.Switch(ctx, a.Step, a.Act == "off")
	case "move":
		err = s.Move(ctx, a.Step, a.To)
	default:
		err = fmt.Errorf("%q: want back, forward, off, on or move", a.Act)
	}
	if err != nil {
		return ending{}, err
	}
	return x.desk(ctx)
}

// suggest keeps one after the other what the findings call for, and tells each step.
func (x *examiner) suggest(ctx context.Context, _ bridge.AskNothing, _ []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		return ending{}, errNotBegun
	}
	inner := breathing{ctx, x}
	x.mend.trial, x.mend.receipt = nil, nil
	err := x.mend.slip.Suggest(inner, func(r *mend.Receipt) {
		x.step(r.Told())
	})
	if err != nil && ctx.Err() == nil {
		return ending{}, err
	}
	// Stopped: what was kept before stays, and the desk is that of it.
	return x.desk(breathing{context.WithoutCancel(ctx), x})
}

// desk puts the figure at hand of the slip on the desk: the examination that everything is
// answered of, the figure for the stage, the slip.
func (x *examiner) desk(ctx context.Context) (ending, error) {
	state := x.mend.slip.State()
	result, err := state.Examine(ctx, x.limits)
	if err != nil {
		return ending{}, err
	}
	x.result, x.other, x.shots = result, other{}, shots{}
	x.rest()
	prepared, err := scene.Prepare(ctx, state.Rig, func(int, int) error { return ctx.Err() })
	if err != nil {
		return ending{}, err
	}
	for _, p := range []struct {
		kind string
		of   any
	}{{"mendedPrepared", prepared}, {"mendedFields", found.Fields(result)}, {"mendedRig", scene.ForStage(state.Rig)}} {
		if err := x.parcel(p.kind, p.of); err != nil {
			return ending{}, err
		}
	}
	var b bytes.Buffer
	if err := x.writeJSON(&b); err != nil {
		return ending{}, err
	}
	x.tell(bridge.Document{ID: x.id, Kind: "mended", JSON: b.String()}, nil, false)
	return x.sheet(ctx)
}

// handOver writes what the slip made: the figure, the plan or the proof sheet.
func (x *examiner) handOver(ctx context.Context, a bridge.AskHandOver, _ []gltfio.File) (ending, error) {
	s := x.mend.slip
	if s == nil {
		return ending{}, errNotBegun
	}
	name, state := s.Name(), s.State()
	var data []byte
	switch a.What {
	case "figure":
		data = bytes.Clone(state.Bytes)
		if err := state.Holds(data); err != nil {
			return ending{}, err
		}
	case "plan":
		var err error
		if data, err = s.Plan().JSON(); err != nil {
			return ending{}, err
		}
		name += ".plan.json"
	case "proof":
		inner := breathing{ctx, x}
		done, err := s.Done(inner)
		if err != nil {
			return ending{}, err
		}
		sheet, err := desk.Proof(inner, s.Start(), s.Plan(), done, desk.Mended(s.Start(), done, name), a.Date, plates.New(inner).Pair)
		if err != nil {
			return ending{}, err
		}
		name, data = sheet.Name, sheet.Data
		if err := sheet.Holds(data); err != nil {
			return ending{}, err
		}
	default:
		return ending{}, fmt.Errorf("hand over %q: want figure, plan or proof", a.What)
	}
	return ending{bridge.Parcel{ID: x.id, Kind: "handed", Name: name}, data}, nil
}

// judgeMended holds the slip against other limits; refused where a step would not be kept.
func (x *examiner) judgeMended(ctx context.Context, limits check.Overrides) error {
	if x.mend.slip == nil {
		x.result.Judge(limits)
		return nil
	}
	if err := x.mend.slip.Judge(breathing{ctx, x}, limits); err != nil {
		return fmt.Errorf("with that limit a kept mend would not be: %w", err)
	}
	result, err := x.mend.slip.State().Examine(ctx, limits)
	if err != nil {
		return err
	}
	x.result = result
	return nil
}

// opened is where the figure on the desk is read from: its own files, or what was mended of
// them.
func (x *examiner) opened(files []gltfio.File) *desk.Source {
	if x.mend.mended() {
		files = []gltfio.File{{Name: x.result.Exam.Rig.File.Name, Data: x.mend.slip.State().Bytes}}
	}
	return x.source(files)
}

// breathing is a context that lets a request to stop in whenever it is asked whether it
// has ended, at most every 30 ms: what works on a figure asks that, and knows no page.
type breathing struct {
	context.Context
	x *examiner
}

func (b breathing) Err() error {
	if now := b.x.clock(); now.Sub(b.x.breathed) >= often {
		b.x.breathe()
		b.x.breathed = b.x.clock()
	}
	return b.Context.Err()
}
