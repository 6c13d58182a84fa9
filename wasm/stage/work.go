package stage

import (
	"errors"
	"time"
)

// slice is how long work on a figure holds the main thread at once: a browser counts
// more than 50 ms as a block (Long Tasks API), and a slice ends only at the next look.
const slice = 8 * time.Millisecond

// errOvertaken ends work on a figure that nobody wants any more.
var errOvertaken = errors.New("another figure came meanwhile")

// work is what the page handed over and the stage has not finished taking: one thing
// after the other, in slices, so that the page answers meanwhile.
type work struct {
	breathe func()               // lets the page's other tasks run
	since   func() time.Duration // the presenter's clock
	ended   func() bool          // the stage is ending

	list  []task
	busy  bool
	idle  chan struct{} // closed when the busy one is done
	round int           // of the figure wanted last
}

type task struct {
	round int
	do    func(look func() error) error
	done  func(error)
}

// add queues a task; one that brings another figure makes those before it vain.
func (w *work) add(another bool, do func(look func() error) error, done func(error)) {
	if another {
		w.round++
	}
	w.list = append(w.list, task{w.round, do, done})
	if !w.busy {
		w.busy, w.idle = true, make(chan struct{})
		go w.run()
	}
}

// drop makes all that is queued vain.
func (w *work) drop() { w.round++ }

func (w *work) run() {
	defer close(w.idle)
	for len(w.list) > 0 {
		t := w.list[0]
		w.list = w.list[1:]
		start := time.Duration(-slice) // the first look breathes
		look := func() error {
			if w.since()-start >= slice {
				w.breathe()
				start = w.since()
			}
			if t.round != w.round || w.ended() {
				return errOvertaken
			}
			return nil
		}
		err := look()
		if err == nil {
			err = t.do(look)
		}
		t.done(err)
	}
	w.busy = false
}

// wait ends what is at work: its breath must not come back to an ended program.
func (w *work) wait() {
	w.drop()
	if w.busy {
		<-w.idle
	}
}
