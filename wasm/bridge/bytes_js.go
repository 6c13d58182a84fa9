package bridge

import (
	"syscall/js"

	"rigloupe/wasm/flat"
)

// Bytes copies a Uint8Array, or an ArrayBuffer, into Go.
func Bytes(v js.Value) []byte {
	if v.InstanceOf(js.Global().Get("ArrayBuffer")) {
		v = js.Global().Get("Uint8Array").New(v)
	}
	b := make([]byte, v.Length())
	js.CopyBytesToGo(b, v)
	return b
}

// Array copies bytes into a Uint8Array of its own, so that it can be handed over.
func Array(b []byte) js.Value {
	v := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(v, b)
	return v
}

// few is up to how many bytes are gathered before they cross: each crossing takes as long as
// copying some thousand.
const few = 64 << 10

// Packed packs a value by package flat into a Uint8Array of its own. A large figure does not
// lie in Go's memory as bytes on its way.
func Packed(v any) (array js.Value, err error) {
	at := 0
	gathered := make([]byte, 0, few)
	cross := func(b []byte) {
		if len(b) > 0 {
			js.CopyBytesToJS(array.Call("subarray", at, at+len(b)), b)
			at += len(b)
		}
	}
	err = flat.Send(v, func(size int) func([]byte) {
		array = js.Global().Get("Uint8Array").New(size)
		return func(b []byte) {
			if len(gathered)+len(b) > few {
				cross(gathered)
				gathered = gathered[:0]
			}
			if len(b) > few {
				cross(b)
				return
			}
			gathered = append(gathered, b...)
		}
	})
	cross(gathered)
	return array, err
}
