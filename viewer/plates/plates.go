// Package plates draws the pictures of documents that are printed: the place that a mend
// changed, before and after. The same figure gives the same PNG on every machine.
package plates

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"

	"rigloupe/inspect"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
	"rigloupe/viewer/texels"
)

// Plates draws figures that were examined. It keeps the scenes of the last two: what one
// step ends with the next begins with.
type Plates struct {
	ctx  context.Context
	last [2]*plate
}

// plate is a figure ready to be drawn.
type plate struct {
	result *inspect.Result
	scene  *scene.Scene
}

// New begins with none. A context that ends ends the drawing.
func New(ctx context.Context) *Plates { return &Plates{ctx: ctx} }

// of is the plate of an examination.
func (p *Plates) of(r *inspect.Result) (*plate, error) {
	for _, l := range p.last {
		if l != nil && l.result == r {
			return l, nil
		}
	}
	prepared, err := scene.Prepare(p.ctx, r.Exam.Rig, func(int, int) error { return p.ctx.Err() })
	if err != nil {
		return nil, err
	}
	l := &plate{r, scene.New(r.Exam.Rig, prepared, found.Fields(r))}
	l.scene.DecodeBy(texels.Decode)
	p.last[0], p.last[1] = p.last[1], l
	return l, nil
}

// Width and Height of a picture, in pixels: two of them side by side fill a page at 180
// dots an inch.
const (
	Width  = 640
	Height = 520
)

// bare is a state that shows the whole figure at rest by day.
func bare() scene.State {
	return scene.State{Width: Width, Height: Height, Lens: scene.Plain, Joint: rig.None, Clip: rig.None,
		Chosen: scene.Choice{Node: rig.None, Surface: -1}, Hover: scene.Choice{Node: rig.None, Surface: -1}}
}

// picture draws a state and encodes it.
func (l *plate) picture(st *scene.State, caption paper.Text, says string) (paper.Picture, error) {
	pic := l.scene.Draw(st)
	img := image.NewNRGBA(image.Rect(0, 0, pic.W, pic.H))
	for i, c := range pic.Pix[:pic.W*pic.H] {
		img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2], img.Pix[4*i+3] = uint8(c), uint8(c>>8), uint8(c>>16), 255
	}
	var b bytes.Buffer
	e := png.Encoder{}
	if err := e.Encode(&b, img); err != nil {
		return paper.Picture{}, fmt.Errorf("a picture: %w", err)
	}
	return paper.Picture{PNG: b.Bytes(), W: pic.W, H: pic.H, Caption: caption, Says: says}, nil
}
