package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lineup"
	"rigloupe/wasm/bridge"
)

// row examines files for a line-up and tells the row alone: nothing is drawn, so
// nothing is made ready for drawing. Without files the row is that of the figure
// that is open.
func (x *examiner) row(ctx context.Context, a bridge.Ask, files []gltfio.File, limits check.Overrides) error {
	res := x.result
	if len(files) > 0 {
		x.progress("read", "Reading", 0, 1, "Reading the file")
		r, err := read(files)
		if err != nil {
			return err
		}
		clear(files)
		x.titles = stationTitles()
		res, err = inspect.Examine(ctx, r, inspect.Options{Limits: limits, Progress: func(station string, done, total int) {
			x.progress(station, x.titles[station], done, total, fmt.Sprintf("%s: %d of %d", x.titles[station], done, total))
		}})
		if err != nil {
			return err
		}
	}
	if res == nil {
		return errors.New("nothing has been examined yet; open a file first")
	}
	text, err := json.Marshal(lineup.Of(a.Name, res))
	if err != nil {
		return err
	}
	x.tell(bridge.Document{ID: x.id, Kind: "row", JSON: string(text)}, nil)
	return nil
}

// lineup joins rows to the table, as the command line writes it.
func (x *examiner) lineup(a bridge.Ask) error {
	var rows []lineup.Row
	if err := json.Unmarshal([]byte(a.Rows), &rows); err != nil {
		return fmt.Errorf("the rows of the line-up: %w", err)
	}
	t := lineup.New(rows)
	var text, csv bytes.Buffer
	if err := errors.Join(t.WriteJSON(&text), t.WriteCSV(&csv)); err != nil {
		return err
	}
	m := bridge.Lineup{ID: x.id, Kind: "lineup", JSON: text.String(), CSV: csv.String(), From: []int{}}
	for i := range t.Rows {
		m.From = append(m.From, t.Rows[i].From)
	}
	x.tell(m, nil)
	return nil
}

func stationTitles() map[string]string {
	titles := map[string]string{}
	for _, s := range inspect.Catalogue() {
		titles[s.Name] = s.Title
	}
	return titles
}
