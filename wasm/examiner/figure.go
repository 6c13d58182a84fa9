package main

import (
	"context"
	"io"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// lenses tells which there are of the open figure.
func (x *examiner) lenses(_ context.Context, _ bridge.AskNothing, _ []gltfio.File) (ending, error) {
	return x.text("lenses", func(w io.Writer) error { return desk.WriteJSON(w, found.Lenses(x.result)) })
}

// field is what one of them shows.
func (x *examiner) field(_ context.Context, a bridge.AskField, _ []gltfio.File) (ending, error) {
	p := found.Params{Weld: a.Weld, Joint: rig.None}
	if a.Move != nil {
		p.Move = scene.Move{Joint: rig.Node(a.Move.Joint), Axis: a.Move.Axis, Degrees: a.Move.Degrees}
	}
	if a.Joint != nil {
		p.Joint = rig.Node(*a.Joint)
	}
	f, err := found.Field(x.result, a.Name, p)
	if err != nil {
		return ending{}, err
	}
	data, err := flat.Pack(f)
	return ending{bridge.Parcel{ID: x.id, Kind: "field", Name: a.Name}, data}, err
}

// overlay is what a finding inks over the figure, or the section around a joint; it has no
// bytes where nothing is inked.
func (x *examiner) overlay(_ context.Context, a bridge.AskOverlay, _ []gltfio.File) (ending, error) {
	m := bridge.Overlay{ID: x.id, Kind: "overlay", Number: a.Number, Places: []bridge.Place{}}
	var o *scene.Overlay
	if a.Number == 0 && a.Joint != nil {
		n := rig.Node(*a.Joint)
		if o = found.SectionOverlay(x.result, n); o != nil {
			m.Places = append(m.Places, bridge.PlaceOf(scene.Place{Surface: -1, Node: n}))
		}
	} else if o = found.Overlay(x.result, a.Number); o != nil {
		for _, p := range found.Places(x.result, &x.result.Findings()[a.Number-1]) {
			m.Places = append(m.Places, bridge.PlaceOf(p))
		}
	}
	if o == nil {
		return ending{message: m}, nil
	}
	data, err := flat.Pack(o)
	return ending{m, data}, err
}
