package stage

import (
	"errors"
	"syscall/js"
)

// Plain shows the picture on a 2D canvas. A frame is asked for only while there is
// something to draw; it returns when the show stops.
func Plain(g *Stage) error {
	window := js.Global()
	document := window.Get("document")
	body := document.Get("body")
	canvas := document.Call("createElement", "canvas")
	body.Call("appendChild", canvas)
	ctx := canvas.Call("getContext", "2d", map[string]any{"alpha": false})
	if !ctx.Truthy() {
		return errors.New("this browser gives no canvas to draw on")
	}

	var image, data js.Value
	w, h := 0, 0
	fit := func() { g.resize(body.Get("clientWidth").Int(), body.Get("clientHeight").Int()) }
	var frame js.Func
	asked, next := false, js.Undefined()
	ask := func() {
		if !asked && !g.Stopped() {
			asked, next = true, window.Call("requestAnimationFrame", frame)
		}
	}
	frame = js.FuncOf(func(js.Value, []js.Value) any {
		asked = false
		if g.Frame() {
			if g.pic.W != w || g.pic.H != h { // a fresh array of this size costs 30 ms: only now
				w, h = g.pic.W, g.pic.H
				canvas.Set("width", w)
				canvas.Set("height", h)
				image = ctx.Call("createImageData", w, h)
				data = image.Get("data")
			}
			js.CopyBytesToJS(data, g.Upload())
			ctx.Call("putImageData", image, 0, 0)
		}
		if !g.idle() {
			ask()
		}
		return nil
	})
	resize := js.FuncOf(func(js.Value, []js.Value) any { fit(); ask(); return nil })
	g.wake = ask
	fit()
	window.Call("addEventListener", "resize", resize)
	ask()
	<-g.stop
	if asked {
		window.Call("cancelAnimationFrame", next) // a frame after the end would throw
	}
	window.Call("removeEventListener", "resize", resize)
	frame.Release()
	resize.Release()
	return nil
}
