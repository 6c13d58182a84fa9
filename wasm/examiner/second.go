package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
)

// other is a second figure, whose clips are laid over the open one.
type other struct {
	source, target *match.Skeleton
}

// secondDocument tells what a second file holds.
type secondDocument struct {
	Name   string       `json:"name"`
	Kind   string       `json:"kind"` // "glb", "gltf" or "bvh"
	Joints int          `json:"joints"`
	Meshes int          `json:"meshes"`
	Clips  []secondClip `json:"clips"`
}

type secondClip struct {
	Clip     int     `json:"clip"`
	Name     string  `json:"name"`
	Start    float64 `json:"start"`
	Seconds  float64 `json:"seconds"` // the last key
	Channels int     `json:"channels"`
}

// motions answers what is asked about a second figure.
func (x *examiner) motions(ctx context.Context, a bridge.Ask, files []gltfio.File) error {
	if a.Kind == "second" {
		return x.second(ctx, files)
	}
	if x.other.source == nil {
		return errors.New("there is no second file yet; hand over the one that holds the motion")
	}
	pins, err := x.pins(a.Pins)
	if err != nil {
		return err
	}
	m := match.Between(x.other.source, x.other.target, pins...)
	switch a.Kind {
	case "match":
		var b bytes.Buffer
		if err := m.WriteJSON(&b); err != nil {
			return err
		}
		x.tell(bridge.Document{ID: x.id, Kind: "match", JSON: b.String()}, nil)
		return nil
	}
	return fmt.Errorf("%q is not there yet", a.Kind)
}

// second reads another figure, shows it and tells what it holds.
func (x *examiner) second(ctx context.Context, files []gltfio.File) error {
	x.other = other{}
	x.progress("read", "Reading", 0, 1, "Reading the second file")
	r, err := read(files)
	if err != nil {
		return err
	}
	clear(files)
	if err := x.parcel("secondRig", r); err != nil {
		return err
	}
	prepared, err := scene.Prepare(ctx, r, func(done, total int) error {
		x.progress("draw", "Drawing", done, total, fmt.Sprintf("Drawing: %d of %d", done, total))
		return ctx.Err()
	})
	if err != nil {
		return err
	}
	if err := x.parcel("secondPrepared", prepared); err != nil {
		return err
	}
	source := match.NewSkeleton(r)
	if err := x.parcel("secondFields", scene.RoleFields(r, source.Roles)); err != nil {
		return err
	}
	x.other = other{source: source, target: match.NewSkeleton(x.open())}
	d := secondDocument{Name: r.File.Name, Kind: r.File.Kind, Joints: len(source.Joints), Meshes: len(r.Surfaces), Clips: []secondClip{}}
	for i := range r.Clips {
		c := &r.Clips[i]
		d.Clips = append(d.Clips, secondClip{i, c.Name, c.Start, c.Seconds, len(c.Channels)})
	}
	text, err := json.Marshal(d)
	if err != nil {
		return err
	}
	x.tell(bridge.Document{ID: x.id, Kind: "second", JSON: string(text)}, nil)
	return nil
}

// pins reads a saved table; no text: none.
func (x *examiner) pins(text string) ([]match.Pin, error) {
	if text == "" {
		return nil, nil
	}
	return match.ReadPins([]byte(text), x.other.source.Rig, x.other.target.Rig)
}

// open is the figure on the desk.
func (x *examiner) open() *rig.Rig { return x.result.Exam.Rig }
