// Package native runs Draco's decoder where no browser does: its WebAssembly program, which
// lies in this folder as its npm package holds it, through wazero.
package native

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"

	"rigloupe/inspect/draco"
)

//go:embed decoder.wasm
var program []byte

// Licence is that of the decoder; it is handed on with it.
//
//go:embed LICENSE
var Licence string

// longest is what one call of the decoder may take. A million triangles take less than a
// second; a stream that keeps it busy for longer was made to.
const longest = 20 * time.Second

// page is the unit in which the memory of a program grows (WebAssembly Core Specification,
// Memory Instances).
const page = 64 << 10

// machine is the compiled program, shared by all copies: made when the first file asks for it.
type machine struct {
	runtime  wazero.Runtime
	compiled wazero.CompiledModule
}

var compile = sync.OnceValues(func() (m machine, err error) {
	ctx := context.Background()
	// Looking whether time is up costs something at each turn of a loop, and is what ends a
	// decoder that does not come back.
	m.runtime = wazero.NewRuntimeWithConfig(ctx, wazero.NewRuntimeConfig().WithCloseOnContextDone(true))
	export := func(name string, f any) func(b wazero.HostModuleBuilder) wazero.HostModuleBuilder {
		return func(b wazero.HostModuleBuilder) wazero.HostModuleBuilder {
			return b.NewFunctionBuilder().WithFunc(f).Export(name)
		}
	}
	b := m.runtime.NewHostModuleBuilder(draco.ImportModule)
	for _, add := range []func(wazero.HostModuleBuilder) wazero.HostModuleBuilder{
		export(draco.ImportThrow, func(_, _, _ uint32) { panic(errThrown) }),
		export(draco.ImportAbort, func() { panic(errAborted) }),
		export(draco.ImportCopy, func(_ context.Context, mod api.Module, to, from, n uint32) {
			src, ok := mod.Memory().Read(from, n)
			if !ok || !mod.Memory().Write(to, src) {
				panic(errOutside)
			}
		}),
		// It asks for a size in bytes; false lets it go without.
		export(draco.ImportGrow, func(_ context.Context, mod api.Module, size uint32) uint32 {
			have := mod.Memory().Size()
			if size <= have {
				return 1
			}
			if _, ok := mod.Memory().Grow((size - have + page - 1) / page); !ok {
				return 0
			}
			return 1
		}),
	} {
		b = add(b)
	}
	if _, err = b.Instantiate(ctx); err != nil {
		return m, err
	}
	m.compiled, err = m.runtime.CompileModule(ctx, program)
	return m, err
})

var (
	errThrown  = errors.New("an exception that nothing catches")
	errAborted = errors.New("it ended itself, for want of memory or for damage")
	errOutside = errors.New("it reached outside its memory")
)

// Start begins a copy of the decoder (draco.Start).
func Start(limit int64) (draco.Program, error) {
	m, err := compile()
	if err != nil {
		return nil, fmt.Errorf("the decoder of Draco does not start: %w", err)
	}
	if begins := int64(m.compiled.ExportedMemories()[draco.Memory].Min()) * page; limit < begins {
		return nil, fmt.Errorf("the decoder of Draco begins with %d bytes of memory, %d are allowed", begins, limit)
	}
	ctx := experimental.WithMemoryAllocator(context.Background(), experimental.MemoryAllocatorFunc(func(cap, _ uint64) experimental.LinearMemory {
		return &bounded{limit: uint64(max(limit, 0)), data: make([]byte, 0, cap)}
	}))
	mod, err := m.runtime.InstantiateModule(ctx, m.compiled, wazero.NewModuleConfig().WithName("").WithStartFunctions())
	if err != nil {
		return nil, fmt.Errorf("the decoder of Draco does not start: %w", err)
	}
	c := &running{mod: mod, calls: map[string]api.Function{}}
	if _, err := c.Call(draco.Begin); err != nil {
		c.Close()
		return nil, fmt.Errorf("the decoder of Draco does not start: %w", err)
	}
	return c, nil
}

// bounded is a memory that grows to a limit.
type bounded struct {
	limit uint64
	data  []byte
}

func (b *bounded) Reallocate(size uint64) []byte {
	if size > b.limit {
		return nil
	}
	if size > uint64(cap(b.data)) {
		grown := make([]byte, size, min(b.limit, size+size/4))
		copy(grown, b.data)
		b.data = grown
	}
	b.data = b.data[:size]
	return b.data
}

func (b *bounded) Free() { b.data = nil }

// running is one copy.
type running struct {
	mod   api.Module
	calls map[string]api.Function
}

// Call calls what it exports (draco.Program).
func (r *running) Call(export string, args ...uint32) (uint32, error) {
	f := r.calls[export]
	if f == nil {
		if f = r.mod.ExportedFunction(export); f == nil {
			return 0, fmt.Errorf("it has no %s", export)
		}
		r.calls[export] = f
	}
	ctx, cancel := context.WithTimeout(context.Background(), longest)
	defer cancel()
	in := make([]uint64, len(args))
	for i, a := range args {
		in[i] = uint64(a)
	}
	out, err := f.Call(ctx, in...)
	switch {
	case ctx.Err() != nil:
		return 0, fmt.Errorf("it did not end within %s", longest)
	case err != nil:
		first, _, _ := strings.Cut(err.Error(), "\n") // what follows is where in its own code
		return 0, errors.New(strings.TrimSuffix(strings.TrimPrefix(first, "wasm error: "), " (recovered by wazero)"))
	case len(out) == 0:
		return 0, nil
	}
	return uint32(out[0]), nil
}

// Read copies bytes of its memory.
func (r *running) Read(at, n uint32) ([]byte, error) {
	b, ok := r.mod.Memory().Read(at, n)
	if !ok {
		return nil, errOutside
	}
	return append(make([]byte, 0, n), b...), nil
}

// Write lays bytes into its memory.
func (r *running) Write(at uint32, data []byte) error {
	if !r.mod.Memory().Write(at, data) {
		return errOutside
	}
	return nil
}

// Close gives its memory back.
func (r *running) Close() { r.mod.Close(context.Background()) }
