package main

import (
	"context"
	"syscall/js"
	"time"

	"rigloupe/inspect/gltfio"
	"rigloupe/wasm/bridge"
)

// main serves the worker's messages. worker.js has hung memoryUsed on the worker.
func main() {
	self := js.Global()
	x := &examiner{
		breathe: bridge.Breather(),
		clock:   time.Now,
		draco:   bridge.StartDraco,
		memory:  func() float64 { return self.Call("memoryUsed").Float() },
	}
	x.tell = func(message any, parcel []byte, end bool) {
		object := bridge.Out(message)
		if end {
			object.Set("end", true)
		}
		if parcel == nil {
			self.Call("postMessage", object)
			return
		}
		post(object, bridge.Array(parcel))
	}
	x.send = func(message, v any) error {
		array, err := bridge.Packed(v)
		if err != nil {
			return err
		}
		post(bridge.Out(message), array)
		return nil
	}
	asks := make(chan js.Value, 16)
	stop := func() {}
	self.Set("onmessage", js.FuncOf(func(_ js.Value, args []js.Value) any {
		// Only receive here: waiting in a callback would wait for itself.
		data := args[0].Get("data")
		if data.Get("kind").String() == "stop" {
			stop()
			return nil
		}
		select {
		case asks <- data:
		default: // the page asks faster than it may; it waits for each answer
		}
		return nil
	}))
	self.Call("postMessage", map[string]any{"kind": "ready"})
	for data := range asks {
		var a bridge.Ask
		if err := bridge.In(data, &a); err != nil {
			x.tell(refusalOf(0, err), nil, true)
			continue
		}
		var files []gltfio.File
		if list := data.Get("files"); list.Type() == js.TypeObject {
			for i := range list.Length() {
				f := list.Index(i)
				files = append(files, gltfio.File{Name: f.Get("name").String(), Data: bridge.Bytes(f.Get("bytes"))})
			}
		}
		data.Delete("files") // the page's copy goes with it
		ctx, cancel := context.WithCancel(context.Background())
		stop = cancel
		x.answer(ctx, a, func(ask any) error { return bridge.In(data, ask) }, files)
		cancel()
	}
}

// post tells the page a message with bytes, which are the page's from then on.
func post(object, array js.Value) {
	buffer := array.Get("buffer")
	object.Set("bytes", buffer)
	js.Global().Call("postMessage", object, []any{buffer})
}
