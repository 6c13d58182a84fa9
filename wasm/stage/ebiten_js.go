package main

import (
	"runtime/debug"

	"github.com/hajimehoshi/ebiten/v2"
)

func stackHere() []byte { return debug.Stack() }

// game presents through Ebitengine: one upload a new picture, none otherwise.
type game struct {
	*stage
	fresh bool // pixels that were not uploaded yet
}

func (g *game) Layout(w, h int) (int, int) {
	g.resize(w, h)
	return g.state.Width, g.state.Height
}

func (g *game) Update() error {
	if g.stopped() {
		return ebiten.Termination
	}
	if g.frame() {
		g.fresh = true
	}
	return nil
}

func (g *game) Draw(screen *ebiten.Image) {
	size := screen.Bounds()
	if !g.fresh || size.Dx() != g.pic.W || size.Dy() != g.pic.H {
		return // the screen keeps its pixels
	}
	g.fresh = false
	g.uploads++
	screen.WritePixels(g.pixels())
}

func presentEbiten(g *stage) error {
	ebiten.SetScreenClearedEveryFrame(false)
	ebiten.SetTPS(ebiten.SyncWithFPS) // one Update a frame: the clock is ours
	return ebiten.RunGameWithOptions(&game{stage: g}, &ebiten.RunGameOptions{
		InitUnfocused:     true,
		ScreenTransparent: true,
		DisableHiDPI:      true,
	})
}
