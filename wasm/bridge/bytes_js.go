package bridge

import "syscall/js"

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
