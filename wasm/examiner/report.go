package main

import (
	"context"
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/report"
	"rigloupe/inspect/say"
	"rigloupe/viewer/plates"
	"rigloupe/wasm/bridge"
)

// shots draws places of the figure on the desk.
type shots struct {
	of    *inspect.Result
	draws *plates.Plates
}

// report writes the figure on the desk down, the same bytes as the command line.
func (x *examiner) report(ctx context.Context, a bridge.AskReport, files []gltfio.File) (ending, error) {
	inner := breathing{ctx, x}
	draws := plates.New(inner)
	total, done := 1+len(x.result.Findings()), 0
	drawn := func() error {
		done++
		x.progress("report", "Report", done, total, fmt.Sprintf("Report: %d of %d pictures", done, total))
		return ctx.Err()
	}
	x.progress("report", "Report", 0, total, "Drawing the report")
	lengths, err := say.Lengths(a.Units)
	if err != nil {
		return ending{}, err
	}
	s, err := desk.Report(x.result, x.limits, x.opened(files), a.Date, lengths, report.Draw{
		Sides: func(r *inspect.Result) ([]paper.Picture, error) {
			list, err := draws.Sides(r)
			if err != nil {
				return nil, err
			}
			return list, drawn()
		},
		Finding: func(r *inspect.Result, number int) (paper.Picture, bool, error) {
			pic, has, err := draws.Finding(r, number)
			if err != nil {
				return pic, false, err
			}
			return pic, has, drawn()
		},
	})
	if err != nil {
		return ending{}, err
	}
	if err := s.Holds(s.Data); err != nil {
		return ending{}, err
	}
	return ending{bridge.Parcel{ID: x.id, Kind: "reported", Name: s.Name}, s.Data}, nil
}

// Bounds of a picture that the page may ask for, in pixels, and the most triangles of a
// figure whose places are drawn beside the ledger: what the drawing keeps of a heavier one
// takes more memory and time than a small picture is worth.
const (
	leastShot, mostShot = 16, 2048
	mostShotTriangles   = 400_000
)

// place draws the place of a finding. What the figure needs to be drawn is worked out once
// and kept while it lies on the desk.
func (x *examiner) place(ctx context.Context, a bridge.AskPlace, _ []gltfio.File) (ending, error) {
	if n := len(x.result.Findings()); a.Number < 1 || a.Number > n {
		return ending{}, fmt.Errorf("finding %d: this file has %d", a.Number, n)
	}
	if min(a.Width, a.Height) < leastShot || max(a.Width, a.Height) > mostShot {
		return ending{}, fmt.Errorf("a picture of %d by %d pixels: want %d to %d each way", a.Width, a.Height, leastShot, mostShot)
	}
	end := bridge.Parcel{ID: x.id, Kind: "placed"}
	if triangles(x.result.Exam.Rig) > mostShotTriangles {
		return ending{end, nil}, nil
	}
	if x.shots.of != x.result {
		x.shots = shots{x.result, plates.New(context.Background())}
	}
	pic, has, err := x.shots.draws.Place(x.result, a.Number, plates.Paper{Width: a.Width, Height: a.Height, Night: a.Night})
	if err != nil || !has {
		return ending{end, nil}, err
	}
	return ending{end, pic.PNG}, ctx.Err()
}
