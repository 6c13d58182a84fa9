// Package heap keeps what a program takes of memory near what it holds. WebAssembly gives
// none back while a program lives, and has one thread: a heap that may double before it is
// looked through, as Go's may, takes twice of a large figure for good. Of such a one most is
// lists of numbers, which are quickly looked through.
package heap

import (
	"runtime"
	"runtime/debug"
)

const (
	slack = 64 << 20 // bytes that a heap may grow by before it is looked through, where much is held
	least = 10       // per cent of what is held that it may grow by all the same
	most  = 400      // per cent of what is held that it may grow by where Ease lets it
)

// Tighten collects rubbish and sets how far the heap may grow from here on, where more than
// much bytes are held; below that it may double, as usual.
func Tighten(much uint64) {
	if !Over(much) {
		debug.SetGCPercent(100)
		return
	}
	runtime.GC()
	debug.SetGCPercent(percent(held()))
}

// Ease is Tighten in a program that looks at one figure and ends: where little is held the
// heap may grow by slack, to five times as much at most. To look through a small figure's
// memory again and again took a tenth of its examination (fox and hand, measured).
func Ease(much uint64) {
	if h := held(); h <= much {
		debug.SetGCPercent(eased(h))
		return
	}
	Tighten(much)
}

// eased is how far a heap of so few bytes may grow, per cent of them.
func eased(held uint64) int { return int(min(most, max(100, 100*slack/max(held, 1)))) }

// Over tells that more than so many bytes are held, rubbish counted.
func Over(much uint64) bool { return held() > much }

// percent is how far a heap of so many bytes may grow, per cent of them.
func percent(held uint64) int { return int(min(100, max(least, 100*slack/max(held, 1)))) }

func held() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
