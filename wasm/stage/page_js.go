package stage

import (
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"strings"
	"syscall/js"
	"time"
	"unsafe"

	"rigloupe/inspect/panics"
	"rigloupe/viewer/camera"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/heap"
)

// Stage is the show with what hangs it into the page.
type Stage struct {
	*show
	options js.Value // stageOptions: changed, failed, fault
	plain   bool
	start   time.Time
	stop    chan struct{}
	wake    func() // asks the presenter for a frame
	uploads int
	work    work
	lies    map[string][]byte // what the figure was unpacked from, by kind
}

// Run hangs the stage into the page and has it presented until it is stopped. plain: by a
// canvas that needs no graphics processor.
func Run(plain bool, present func(*Stage) error) {
	options := js.Global().Get("stageOptions")
	g := &Stage{
		show: newShow(), options: options, plain: plain,
		start: time.Now(), stop: make(chan struct{}), wake: func() {},
	}
	g.work = work{breathe: bridge.Breather(), since: g.since, ended: g.Stopped}
	hooks := g.hooks()
	js.Global().Set("stage", hooks.Object)
	defer hooks.Release()
	defer g.work.wait()
	if err := present(g); err != nil {
		options.Call("failed", err.Error())
	}
}

// Stopped tells that the page has ended the stage.
func (g *Stage) Stopped() bool {
	select {
	case <-g.stop:
		return true
	default:
		return false
	}
}

// Resize follows the window, in CSS pixels, and answers the size of the picture.
func (g *Stage) Resize(w, h int) (int, int) {
	g.resize(w, h)
	return g.state.Width, g.state.Height
}

// Idle tells that no frame need come before something is asked for.
func (g *Stage) Idle() bool { return g.idle() }

// OnWake sets what is called whenever something is asked for.
func (g *Stage) OnWake(wake func()) { g.wake = wake }

// Size is that of the picture drawn last.
func (g *Stage) Size() (w, h int) { return g.pic.W, g.pic.H }

// Upload is the picture drawn last, R G B A, opaque, for a presenter that shows it now.
func (g *Stage) Upload() []byte { g.uploads++; return g.pixels() }

func (g *Stage) since() time.Duration { return time.Since(g.start) }

// Frame is one turn of either presenter: it answers whether there are new pixels.
// What breaks while drawing ends the drawing, not the page.
func (g *Stage) Frame() (fresh bool) {
	defer func() {
		if p := recover(); p != nil {
			g.broke(p, debug.Stack())
			fresh = false
		}
	}()
	fresh = g.tick(g.since(), g.since)
	if c, news := g.changed(); news {
		g.options.Call("changed", bridge.Out(c))
	}
	return fresh
}

// broke tells a fault of ours and stops drawing until the next figure.
func (g *Stage) broke(what any, stack []byte) {
	g.fault = fmt.Sprintf("Drawing failed: %v (%s).", what, panics.Place(stack))
	g.playing = false
	g.options.Call("fault", g.fault)
}

// pixels are the picture's bytes: R G B A, opaque, as both presenters take them.
func (g *Stage) pixels() []byte {
	if len(g.pic.Pix) == 0 {
		return nil
	}
	return unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(g.pic.Pix))), 4*len(g.pic.Pix))
}

// hooks are the functions of globalThis.stage. Those that can fail answer null, or
// what went wrong. Every one wakes the presenter.
func (g *Stage) hooks() *bridge.Hooks {
	h := bridge.NewHooks(g.broke)
	add := func(name string, f func(args []js.Value) any) {
		h.Add(name, func(args []js.Value) any {
			g.now = max(g.now, g.since()) // so that what is touched now is still moving
			defer g.wake()
			return f(args)
		})
	}
	g.figureHooks(add)
	g.eyeHooks(add)
	g.answerHooks(add)
	lenses := js.Global().Get("Array").New()
	for _, l := range bridge.LensNames() {
		lenses.Call("push", l)
	}
	h.Object.Set("lenses", lenses)
	views := js.Global().Get("Array").New()
	for _, f := range []camera.From{camera.ThreeQuarter, camera.Front, camera.Left, camera.Back} {
		views.Call("push", strings.ToLower(f.String()))
	}
	h.Object.Set("views", views)
	return h
}

// hook puts one function in its place.
type hook = func(name string, f func(args []js.Value) any)

// figureHooks show a figure, what is found of it, and a trial beside it.
func (g *Stage) figureHooks(add hook) {
	add("show", func(a []js.Value) any {
		return g.later(true, a, func(look func() error) error {
			g.makeWay(sizeOf(a))
			data, sketch := parcel(a, 0), parcel(a, 1)
			if err := g.open(data, sketch, look); err != nil {
				return err
			}
			g.lies = map[string][]byte{"rig": data, "prepared": sketch}
			return nil
		})
	})
	add("prepared", func(a []js.Value) any {
		return g.later(false, a, func(look func() error) error {
			data := parcel(a, 0)
			if err := g.prepared(data, look); err != nil {
				return err
			}
			g.lies["prepared"] = data
			return nil
		})
	})
	add("fields", func(a []js.Value) any {
		return g.later(false, a, func(look func() error) error {
			data := parcel(a, 0)
			if err := g.fields(data, look); err != nil {
				return err
			}
			g.lies["fields"] = data
			return nil
		})
	})
	add("trial", func(a []js.Value) any { // nothing: it goes
		return g.later(false, a, func(look func() error) error { return g.trial(parcel(a, 0), parcel(a, 1), look) })
	})
	add("foreign", func(a []js.Value) any { // nothing: it goes
		return g.later(false, a, func(look func() error) error { return g.foreign(parcel(a, 0), parcel(a, 1), look) })
	})
	add("foreignTexture", func(a []js.Value) any {
		return g.later(false, a, func(look func() error) error { return g.foreignTexture(parcel(a, 0), look) })
	})
	add("trialPrepared", func(a []js.Value) any {
		return g.later(false, a, func(look func() error) error { return g.trialPrepared(parcel(a, 0), look) })
	})
	// Where the bytes lie that the figure was unpacked from, as place and length in this program's memory: the page
	// keeps no copy of a large one. Null: they are not there.
	add("lies", func(a []js.Value) any {
		b := g.lies[a[0].String()]
		if g.scene == nil || len(b) == 0 {
			return js.Null()
		}
		return []any{float64(uintptr(unsafe.Pointer(unsafe.SliceData(b)))), len(b)}
	})
	add("field", func(a []js.Value) any { return failed(g.field(bridge.Bytes(a[0]))) })
	add("overlay", func(a []js.Value) any { // null or nothing: takes it away
		if len(a) == 0 || a[0].Type() != js.TypeObject {
			return failed(g.overlay(nil))
		}
		return failed(g.overlay(bridge.Bytes(a[0])))
	})
	add("texture", func(a []js.Value) any {
		return g.later(false, a, func(look func() error) error { return g.texture(parcel(a, 0), look) })
	})
	add("empty", func([]js.Value) any { g.work.drop(); g.empty(); g.lies = nil; return js.Null() })
}

// eyeHooks change what is shown and where the eye stands.
func (g *Stage) eyeHooks(add hook) {
	add("set", func(a []js.Value) any {
		var m bridge.Show
		if err := bridge.In(a[0], &m); err != nil {
			return err.Error()
		}
		return failed(g.set(&m))
	})
	n := bridge.Number
	add("turn", func(a []js.Value) any {
		g.turn(n(a, 0, 0), n(a, 1, 0))
		return nil
	})
	add("near", func(a []js.Value) any {
		g.near(n(a, 0, 1), n(a, 1, math.NaN()), n(a, 2, math.NaN()))
		return nil
	})
	add("shift", func(a []js.Value) any {
		g.shift(n(a, 0, 0), n(a, 1, 0))
		return nil
	})
	add("frameAll", func([]js.Value) any { g.frameAll(); return nil })
	add("frame", func(a []js.Value) any {
		var p bridge.Place
		if err := bridge.In(a[0], &p); err != nil {
			return err.Error()
		}
		if !g.show.frame(&p) {
			return "the figure has no such place"
		}
		return js.Null()
	})
	add("keepView", func([]js.Value) any { g.keepView(); return nil })
	add("undoView", func([]js.Value) any { return g.undoView() })
	add("back", func([]js.Value) any { return g.goBack() })
	add("turns", func(a []js.Value) any { return bridge.Out(g.turns(int(n(a, 0, -1)))) })
	add("step", func(a []js.Value) any { g.step(n(a, 0, 1), n(a, 1, 30)); return nil })
}

// answerHooks tell what is shown and what lies under the pointer, and end the drawing.
func (g *Stage) answerHooks(add hook) {
	n := bridge.Number
	add("pick", func(a []js.Value) any { return bridge.Out(bridge.HitOf(g.pick(n(a, 0, -1), n(a, 1, -1)), g.rig)) })
	add("hover", func(a []js.Value) any { return bridge.Out(bridge.HitOf(g.hover(n(a, 0, -1), n(a, 1, -1)), g.rig)) })
	add("probe", func(a []js.Value) any {
		surface, vertex := int(n(a, 0, -1)), int(n(a, 1, -1))
		if g.scene == nil {
			return js.Null()
		}
		s, v := bridge.Vertex(g.rig, &surface, nil, &vertex)
		if p, ok := g.scene.Probe(s, v); ok {
			return bridge.Out(bridge.ProbeOf(p, g.rig))
		}
		return js.Null()
	})
	add("reads", func(a []js.Value) any { // what the lens says of a vertex, in words
		surface, vertex := int(n(a, 0, -1)), int(n(a, 1, -1))
		if g.scene == nil {
			return ""
		}
		s, v := bridge.Vertex(g.rig, &surface, nil, &vertex)
		return g.scene.Reads(&g.state, s, v)
	})
	add("length", func(a []js.Value) any { // between two vertices, as posed: words, or null
		if says, ok := g.length(int(n(a, 0, -1)), int(n(a, 1, -1)), int(n(a, 2, -1)), int(n(a, 3, -1))); ok {
			return says
		}
		return js.Null()
	})
	add("sum", func(a []js.Value) any {
		surface, vertex := int(n(a, 0, -1)), int(n(a, 1, -1))
		if g.scene == nil {
			return js.Null()
		}
		s, v := bridge.Vertex(g.rig, &surface, nil, &vertex)
		if w, ok := g.scene.Sum(&g.state, s, v); ok {
			return bridge.Out(bridge.SumOf(w, g.rig))
		}
		return js.Null()
	})
	add("state", func([]js.Value) any {
		s := g.tell()
		s.Plain, s.Uploads = g.plain, g.uploads
		return bridge.Out(s)
	})
	add("legend", func([]js.Value) any { return bridge.Out(g.legend()) })
	add("pixels", func([]js.Value) any { // {w, h, rgba}, a copy, for tests and for saving
		o := js.Global().Get("Object").New()
		o.Set("w", g.pic.W)
		o.Set("h", g.pic.H)
		o.Set("rgba", bridge.Array(g.pixels()))
		return o
	})
	add("stop", func([]js.Value) any {
		if !g.Stopped() {
			close(g.stop)
		}
		return nil
	})
}

// failed is what a hook answers: null, or what went wrong.
func failed(err error) any {
	if err == nil {
		return js.Null()
	}
	return err.Error()
}

// parcel copies the i-th argument, bytes, into Go; nil: there is none.
func parcel(args []js.Value, i int) []byte {
	if i >= len(args) || args[i].Type() != js.TypeObject {
		return nil
	}
	return bridge.Bytes(args[i])
}

// sizeOf is how many bytes the arguments hold.
func sizeOf(args []js.Value) (n int) {
	for _, a := range args {
		if a.Type() == js.TypeObject {
			n += a.Length()
		}
	}
	return n
}

// later does what takes long with parcels, in slices, and answers a promise of null or what
// went wrong. another: it is about another figure, and what waits for this one is dropped.
func (g *Stage) later(another bool, parcels []js.Value, do func(look func() error) error) any {
	large := sizeOf(parcels) >= largeParcel || len(parcels) == 0 // none: a figure goes
	promise, keep := bridge.Promise()
	g.work.add(another, func(look func() error) (err error) {
		defer func() {
			if p := recover(); p != nil {
				g.broke(p, debug.Stack())
				err = errors.New(g.fault)
			}
		}()
		if large { // before memory grows by it, what the one before left behind
			heap.Tighten(muchHeld)
			defer heap.Tighten(muchHeld)
		}
		return do(look)
	}, func(err error) { keep(failed(err)); g.now = max(g.now, g.since()); g.touch(); g.wake() })
	return promise
}
