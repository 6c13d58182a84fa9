package bridge

import (
	"errors"
	"strings"
	"syscall/js"

	"rigloupe/inspect/draco"
)

// StartDraco begins a copy of Draco's decoder in the browser (draco.Start): the worker's own
// startDraco (site/js/programs/draco.js) has the page fetch the program when the first file
// asks for it. It waits, so it must not be called inside a callback.
func StartDraco(limit int64) (draco.Program, error) {
	start := js.Global().Get("startDraco")
	if start.Type() != js.TypeFunction {
		return nil, errors.New("their decoder is not at hand")
	}
	names := map[string]any{
		"module": draco.ImportModule, "raise": draco.ImportThrow, "abort": draco.ImportAbort, "copy": draco.ImportCopy, "grow": draco.ImportGrow, "memory": draco.Memory,
	}
	instance, err := settled(start.Invoke(float64(limit), names))
	if err != nil {
		return nil, errors.New("their decoder cannot be loaded: " + err.Error())
	}
	p := &browserProgram{exports: instance.Get("exports"), calls: map[string]js.Value{}}
	p.memory = p.exports.Get(draco.Memory)
	if _, err := p.Call(draco.Begin); err != nil {
		return nil, errors.New("their decoder does not start: " + err.Error())
	}
	return p, nil
}

// settled waits for a promise.
func settled(promise js.Value) (v js.Value, err error) {
	type end struct {
		v   js.Value
		err error
	}
	ends := make(chan end, 1)
	done := js.FuncOf(func(_ js.Value, a []js.Value) any { ends <- end{v: a[0]}; return nil })
	failed := js.FuncOf(func(_ js.Value, a []js.Value) any { ends <- end{err: errors.New(words(a[0]))}; return nil })
	defer done.Release()
	defer failed.Release()
	promise.Call("then", done, failed)
	e := <-ends
	return e.v, e.err
}

// words are those of something thrown.
func words(thrown js.Value) string {
	if thrown.Type() == js.TypeObject {
		if m := thrown.Get("message"); m.Type() == js.TypeString {
			return m.String()
		}
	}
	return js.Global().Get("String").Invoke(thrown).String()
}

// browserProgram is a copy that the browser runs.
type browserProgram struct {
	exports, memory js.Value
	calls           map[string]js.Value
}

// Call calls what it exports (draco.Program).
func (p *browserProgram) Call(export string, args ...uint32) (answer uint32, err error) {
	f, known := p.calls[export]
	if !known {
		if f = p.exports.Get(export); f.Type() != js.TypeFunction {
			return 0, errors.New("it has no " + export)
		}
		p.calls[export] = f
	}
	defer func() {
		switch thrown := recover().(type) {
		case nil:
		case js.Error:
			err = errors.New(strings.TrimSpace(words(thrown.Value)))
		default:
			panic(thrown)
		}
	}()
	in := make([]any, len(args))
	for i, a := range args {
		in[i] = float64(a)
	}
	if v := f.Invoke(in...); v.Type() == js.TypeNumber {
		answer = uint32(int64(v.Float())) // it answers 32 bits with a sign
	}
	return answer, nil
}

// part is a stretch of its memory, as it lies there now: growing lays it elsewhere.
func (p *browserProgram) part(at, n uint32) (js.Value, error) {
	buffer := p.memory.Get("buffer")
	if have := int64(buffer.Get("byteLength").Int()); int64(at) > have || int64(n) > have-int64(at) {
		return js.Undefined(), errors.New("it reached outside its memory")
	}
	return js.Global().Get("Uint8Array").New(buffer, float64(at), float64(n)), nil
}

// Read copies bytes of its memory.
func (p *browserProgram) Read(at, n uint32) ([]byte, error) {
	v, err := p.part(at, n)
	if err != nil {
		return nil, err
	}
	b := make([]byte, n)
	js.CopyBytesToGo(b, v)
	return b, nil
}

// Write lays bytes into its memory.
func (p *browserProgram) Write(at uint32, data []byte) error {
	v, err := p.part(at, uint32(len(data)))
	if err == nil {
		js.CopyBytesToJS(v, data)
	}
	return err
}

// Close lets go of it; the browser takes its memory back.
func (p *browserProgram) Close() {
	p.exports, p.memory, p.calls = js.Undefined(), js.Undefined(), map[string]js.Value{}
}
