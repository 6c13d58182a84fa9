package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lineup"
	"rigloupe/viewer/plates"
	"rigloupe/wasm/bridge"
)

// row examines files for a line-up and tells the row alone: nothing is drawn, so
// nothing is made ready for drawing. Without files the row is that of the figure
// that is open.
func (x *examiner) row(ctx context.Context, a bridge.AskRow, files []gltfio.File) (ending, error) {
	limits, err := parseLimits(a.Limits)
	if err != nil {
		return ending{}, err
	}
	res := x.result
	if len(files) > 0 {
		x.progress("read", "Reading", 0, 1, "Reading the file")
		r, err := x.open(files)
		if err != nil {
			return ending{}, err
		}
		x.titles = stationTitles()
		res, err = inspect.Examine(ctx, r, inspect.Options{Limits: limits, Progress: func(station string, done, total int) {
			x.progress(station, x.titles[station], done, total, fmt.Sprintf("%s: %d of %d", x.titles[station], done, total))
		}})
		if err != nil {
			return ending{}, err
		}
	}
	if res == nil {
		return ending{}, errNothingOpen
	}
	if err := x.portraits(ctx, res, a.Width, a.Height); err != nil {
		return ending{}, err
	}
	return x.text("row", func(w io.Writer) error { return desk.WriteJSON(w, lineup.Of(a.Name, res)) })
}

// portraits tells pictures of a figure as parcels named day and night. Of one without a
// surface, and of one too heavy for a small picture, none.
func (x *examiner) portraits(ctx context.Context, res *inspect.Result, width, height int) error {
	if width == 0 || triangles(res.Exam.Rig) == 0 || triangles(res.Exam.Rig) > mostShotTriangles {
		return nil
	}
	if min(width, height) < leastShot || max(width, height) > mostShot {
		return fmt.Errorf("a picture of %d by %d pixels: want %d to %d each way", width, height, leastShot, mostShot)
	}
	draws := plates.New(ctx)
	for _, name := range []string{"day", "night"} {
		pic, err := draws.Portrait(res, plates.Paper{Width: width, Height: height, Night: name == "night"})
		if err != nil {
			return err
		}
		x.tell(bridge.Parcel{ID: x.id, Kind: "portrait", Name: name}, pic.PNG, false)
	}
	return nil
}

// lineup joins rows to the table, as the command line writes it.
func (x *examiner) lineup(_ context.Context, a bridge.AskLineup, _ []gltfio.File) (ending, error) {
	var rows []lineup.Row
	if err := json.Unmarshal([]byte(a.Rows), &rows); err != nil {
		return ending{}, fmt.Errorf("the rows of the line-up: %w", err)
	}
	t := lineup.New(rows)
	var text, csv bytes.Buffer
	if err := errors.Join(t.WriteJSON(&text), t.WriteCSV(&csv)); err != nil {
		return ending{}, err
	}
	m := bridge.Lineup{ID: x.id, Kind: "lineup", JSON: text.String(), CSV: csv.String(), From: []int{}}
	for i := range t.Rows {
		m.From = append(m.From, t.Rows[i].From)
	}
	return ending{message: m}, nil
}

func stationTitles() map[string]string {
	titles := map[string]string{}
	for _, s := range inspect.Catalogue() {
		titles[s.Name] = s.Title
	}
	return titles
}
