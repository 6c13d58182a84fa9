package bridge

import (
	"runtime/debug"
	"syscall/js"
)

// Hooks is an object whose functions run Go. All of them are released together:
// a function left behind keeps an ended program's memory.
type Hooks struct {
	Object js.Value

	// Fault is told what broke and where when a function panics; the function then
	// answers undefined and the program goes on.
	Fault func(what any, stack []byte)

	funcs []js.Func
}

// NewHooks makes an object without functions.
func NewHooks(fault func(what any, stack []byte)) *Hooks {
	return &Hooks{Object: js.Global().Get("Object").New(), Fault: fault}
}

// Func wraps a function; it may not wait for anything.
func (h *Hooks) Func(f func(args []js.Value) any) js.Func {
	fn := js.FuncOf(func(_ js.Value, args []js.Value) (answer any) {
		defer func() {
			if p := recover(); p != nil {
				h.Fault(p, debug.Stack())
				answer = js.Undefined()
			}
		}()
		return f(args)
	})
	h.funcs = append(h.funcs, fn)
	return fn
}

// Add hangs a function on the object.
func (h *Hooks) Add(name string, f func(args []js.Value) any) { h.Object.Set(name, h.Func(f)) }

// Release lets go of all functions.
func (h *Hooks) Release() {
	for _, f := range h.funcs {
		f.Release()
	}
	h.funcs = nil
}

// Number is the i-th argument as a number, or what stands in for it.
func Number(args []js.Value, i int, other float64) float64 {
	if i >= len(args) || args[i].Type() != js.TypeNumber {
		return other
	}
	return args[i].Float()
}

// Promise is a promise of JavaScript and what keeps it.
func Promise() (promise js.Value, keep func(any)) {
	var kept js.Value
	executor := js.FuncOf(func(_ js.Value, args []js.Value) any { kept = args[0]; return nil })
	promise = js.Global().Get("Promise").New(executor)
	executor.Release()
	return promise, func(v any) { kept.Invoke(v) }
}
