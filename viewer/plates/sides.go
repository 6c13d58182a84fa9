package plates

import (
	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
)

// Sizes of a report's pictures, in pixels: four sides stand in a row; a finding stands
// beside its words, large where it is a stop or a flaw.
const (
	sideWidth, sideHeight   = 420, 560
	placeWidth, placeHeight = 640, 500
	noteWidth, noteHeight   = 420, 330
)

// Paper is what a picture is drawn on; sizes in pixels.
type Paper struct {
	Width, Height int
	Night         bool
}

// Sides draws a figure at rest from four sides, with pointers at what was found.
func (p *Plates) Sides(r *inspect.Result) (list []paper.Picture, err error) {
	l, err := p.of(r)
	if err != nil {
		return nil, err
	}
	l.scene.SetOverlay(nil)
	pointers := found.Pointers(r)
	for _, from := range []camera.From{camera.ThreeQuarter, camera.Front, camera.Left, camera.Back} {
		st := bare()
		st.Width, st.Height = sideWidth, sideHeight
		st.Bones, st.Pointers, st.PointerList = true, true, pointers
		st.Camera = l.scene.View(&st, from)
		pic, err := l.picture(&st, paper.Words(paper.Capital(from.String())), "The figure, "+from.String())
		if err != nil {
			return nil, err
		}
		list = append(list, pic)
	}
	return list, nil
}

// Portrait draws a figure at rest, for a row of a table.
func (p *Plates) Portrait(r *inspect.Result, on Paper) (paper.Picture, error) {
	l, err := p.of(r)
	if err != nil {
		return paper.Picture{}, err
	}
	l.scene.SetOverlay(nil)
	l.scene.SetField(nil)
	st := bare()
	st.Width, st.Height, st.Night = on.Width, on.Height, on.Night
	st.Camera = l.scene.View(&st, camera.ThreeQuarter)
	return l.picture(&st, paper.Text{}, "The figure")
}

// Finding draws the place of a finding for a report; false: it has no place.
func (p *Plates) Finding(r *inspect.Result, number int) (pic paper.Picture, has bool, err error) {
	on := Paper{Width: placeWidth, Height: placeHeight}
	if r.Findings()[number-1].Grade < check.Flaw {
		on = Paper{Width: noteWidth, Height: noteHeight}
	}
	return p.Place(r, number, on)
}

// Place draws the place of a finding, by its lens and in its own pose; false: it has no
// place.
func (p *Plates) Place(r *inspect.Result, number int, on Paper) (pic paper.Picture, has bool, err error) {
	if err := p.ctx.Err(); err != nil {
		return pic, false, err
	}
	l, err := p.of(r)
	if err != nil {
		return pic, false, err
	}
	f := &r.Findings()[number-1]
	places := found.Places(r, f)
	if len(places) == 0 {
		return pic, false, nil
	}
	st := bare()
	st.Width, st.Height, st.Night = on.Width, on.Height, on.Night
	st.Bones = len(f.Where.Spots) == 0
	l.scene.SetField(nil)
	pose(&st, f)
	l.colour(&st, f.ID, 0)
	st.Camera = l.scene.View(&st, camera.ThreeQuarter)
	st.Camera = l.scene.ViewOf(&st, places[0])
	if at, ok := l.middle(&places[0]); ok {
		st.Loupe = true // left out where there is no room for it
		st.Chosen = scene.Choice{Kind: scene.OnFinding, Number: number, Surface: -1, Node: rig.None, Point: at, Extent: places[0].Extent, Placed: true}
	}
	l.scene.SetOverlay(found.Overlay(r, number))
	pic, err = l.picture(&st, paper.Text{}, "The place of finding "+f.Title)
	return pic, err == nil, err
}
