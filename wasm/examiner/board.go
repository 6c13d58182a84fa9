package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/plates"
	"rigloupe/wasm/bridge"
)

// board is the figure seen from two sides, for setting the points of a fit.
type board struct {
	of   *mend.State
	now  *mend.FitBoard
	eyes [2]camera.Camera // from before, from its left
}

// boardDocument is a board with the two eyes: where a place of the world stands on a picture
// is c + scale·distance / (distance − d·back) · (d·right, −d·up), d from the target to it.
type boardDocument struct {
	mend.FitBoard
	Eyes []boardEye `json:"eyes"` // from before, from its left; none before pictures were asked for
}

type boardEye struct {
	Target   space.Vec `json:"target"`
	Right    space.Vec `json:"right"`
	Up       space.Vec `json:"up"`
	Back     space.Vec `json:"back"`
	Distance float64   `json:"distance"`
	Scale    float64   `json:"scale"` // pixels a metre at the target
	CX       float64   `json:"cx"`
	CY       float64   `json:"cy"`
}

// board tells where the points of a fit are, and draws the figure where that is asked for.
func (x *examiner) boardOf(ctx context.Context, a bridge.AskBoard, _ []gltfio.File) (ending, error) {
	if x.mend.slip == nil {
		return ending{}, errNotBegun
	}
	values, err := mend.ParseValues([]byte(a.Values))
	if err != nil {
		return ending{}, fmt.Errorf("the values of the fit cannot be read: %w", err)
	}
	inner := breathing{ctx, x}
	state := x.mend.slip.State()
	b, err := state.FitBoard(inner, values)
	if err != nil {
		return ending{}, err
	}
	if x.board.of != state {
		x.board = board{of: state}
	}
	x.board.now = b
	if a.Width > 0 && b.Front != (space.Vec{}) {
		if min(a.Width, a.Height) < leastShot || max(a.Width, a.Height) > mostShot {
			return ending{}, fmt.Errorf("a picture of %d by %d pixels: want %d to %d each way", a.Width, a.Height, leastShot, mostShot)
		}
		pics, eyes, err := plates.New(inner).Two(x.result, b.Front, plates.Paper{Width: a.Width, Height: a.Height, Night: a.Night})
		if err != nil {
			return ending{}, err
		}
		x.board.eyes = eyes
		for i, kind := range []string{"boardFront", "boardSide"} {
			x.tell(bridge.Parcel{ID: x.id, Kind: kind}, pics[i].PNG, false)
		}
	}
	d := boardDocument{FitBoard: *b, Eyes: []boardEye{}}
	for _, e := range x.board.eyes {
		if e.Scale > 0 {
			right, up, back := e.Axes()
			d.Eyes = append(d.Eyes, boardEye{space.Vec(e.Target), space.Vec(right), space.Vec(up), space.Vec(back), e.Distance, e.Scale, e.CX, e.CY})
		}
	}
	return x.text("board", func(w io.Writer) error { return desk.WriteJSON(w, d) })
}

// settled is where a point went.
type settledDocument struct {
	Inside bool      `json:"inside"` // false: it lies beside the figure, and stays as deep as it was
	At     space.Vec `json:"at"`
	Text   string    `json:"text"` // as a value of the mend's points
}

// settle tells where a point goes that was put on one of the pictures.
func (x *examiner) settle(_ context.Context, a bridge.AskSettle, _ []gltfio.File) (ending, error) {
	b := &x.board
	eye := b.eyes[0]
	if a.Side {
		eye = b.eyes[1]
	}
	if b.now == nil || eye.Scale == 0 {
		return ending{}, errors.New("the figure does not lie on the board")
	}
	was := space.Vec(eye.Target)
	if fields := strings.Fields(a.Was); len(fields) == 3 {
		for c, f := range fields {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil || v-v != 0 {
				return ending{}, fmt.Errorf("%q is no place", a.Was)
			}
			was[c] = v
		}
	}
	from := space.Vec(eye.Eye())
	along, ok := space.Unit(space.Vec(eye.World(a.X, a.Y, eye.Distance)).Sub(from))
	if !ok {
		return ending{}, fmt.Errorf("%v, %v is no place on the picture", a.X, a.Y)
	}
	_, _, axis := eye.Axes()
	d := settledDocument{Inside: true}
	if a.Side {
		d.At = b.now.Beside(a.Name, from, along, space.Vec(axis), was)
	} else if d.At, d.Inside = b.now.Settle(a.Name, from, along, was); !d.Inside {
		d.At = b.now.Beside(a.Name, from, along, space.Vec(axis), was)
	}
	d.Text = mend.PointText(d.At)
	return x.text("settled", func(w io.Writer) error { return desk.WriteJSON(w, d) })
}
