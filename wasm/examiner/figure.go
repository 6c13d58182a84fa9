package main

import (
	"encoding/json"

	"rigloupe/inspect/rig"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// figure answers what can be shown on the figure: which lenses there are, what one
// of them shows, and what a finding inks.
func (x *examiner) figure(a bridge.Ask) error {
	switch a.Kind {
	case "lenses":
		list, err := json.Marshal(found.Lenses(x.result))
		if err != nil {
			return err
		}
		x.tell(bridge.Document{ID: x.id, Kind: "lenses", JSON: string(list)}, nil)
	case "field":
		p := found.Params{Weld: a.Weld, Joint: rig.None}
		if a.Move != nil {
			p.Move = scene.Move{Joint: rig.Node(a.Move.Joint), Axis: a.Move.Axis, Degrees: a.Move.Degrees}
		}
		if a.Joint != nil {
			p.Joint = rig.Node(*a.Joint)
		}
		f, err := found.Field(x.result, a.Name, p)
		if err != nil {
			return err
		}
		data, err := flat.Pack(f)
		if err != nil {
			return err
		}
		x.tell(bridge.Parcel{ID: x.id, Kind: "field", Name: a.Name}, data)
	case "overlay":
		if a.Number == 0 && a.Joint != nil {
			return x.section(a.ID, rig.Node(*a.Joint))
		}
		m := bridge.Overlay{ID: x.id, Kind: "overlay", Number: a.Number, Places: []bridge.Place{}}
		all := x.result.Findings()
		o := found.Overlay(x.result, a.Number)
		if o == nil {
			x.tell(m, nil)
			return nil
		}
		for _, p := range found.Places(x.result, &all[a.Number-1]) {
			m.Places = append(m.Places, bridge.PlaceOf(p))
		}
		data, err := flat.Pack(o)
		if err != nil {
			return err
		}
		x.tell(m, data)
	}
	return nil
}

// section answers what the section around a joint inks; nothing where none was
// measured.
func (x *examiner) section(id int, n rig.Node) error {
	m := bridge.Overlay{ID: id, Kind: "overlay", Places: []bridge.Place{}}
	o := found.SectionOverlay(x.result, n)
	if o == nil {
		x.tell(m, nil)
		return nil
	}
	m.Places = append(m.Places, bridge.PlaceOf(scene.Place{Surface: -1, Node: n}))
	data, err := flat.Pack(o)
	if err != nil {
		return err
	}
	x.tell(m, data)
	return nil
}
