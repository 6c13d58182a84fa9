// Command gpu is the stage that Ebitengine presents. It is twice as large as wasm/plain,
// so the page fetches it behind everything else, and only where a real graphics processor
// answers.
package main

import (
	"syscall/js"

	"github.com/hajimehoshi/ebiten/v2"

	"rigloupe/wasm/stage"
)

// still is how many frames in a row have nothing to draw before the loop sleeps:
// Ebitengine may take one more than the picture to show it.
const still = 4

// game presents through Ebitengine: one upload a new picture, none otherwise.
type game struct {
	*stage.Stage
	page  js.Value // stageOptions: rest, wake
	fresh bool     // pixels that were not uploaded yet
	idle  int      // frames in a row without anything to draw
}

func (g *game) Layout(w, h int) (int, int) { return g.Resize(w, h) }

func (g *game) Update() error {
	if g.Stopped() {
		return ebiten.Termination
	}
	if g.Frame() {
		g.fresh = true
	}
	if g.idle++; g.fresh || !g.Idle() {
		g.idle = 0
	}
	if g.idle >= still { // Ebitengine asks for a frame in each: the page keeps that back until it is woken
		g.page.Call("rest")
	}
	return nil
}

func (g *game) Draw(screen *ebiten.Image) {
	size := screen.Bounds()
	if w, h := g.Size(); !g.fresh || size.Dx() != w || size.Dy() != h {
		return // the screen keeps its pixels
	}
	g.fresh = false
	screen.WritePixels(g.Upload())
}

func main() {
	stage.Run(false, func(s *stage.Stage) error {
		g := &game{Stage: s, page: js.Global().Get("stageOptions")}
		s.OnWake(func() { g.page.Call("wake") })
		ebiten.SetScreenClearedEveryFrame(false)
		ebiten.SetTPS(ebiten.SyncWithFPS) // one Update a frame: the clock is ours
		return ebiten.RunGameWithOptions(g, &ebiten.RunGameOptions{
			InitUnfocused:     true,
			ScreenTransparent: true,
			DisableHiDPI:      true,
		})
	})
}
