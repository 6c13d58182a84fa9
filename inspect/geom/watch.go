package geom

// Watch looks up from long work now and then, so that somebody may be told how far
// it is, or end it. A nil Watch never looks up. What was at work when it was ended
// answers something whole, but not true: ask Err before using it.
type Watch struct {
	Look func() error // its error ends the work

	spent int
	err   error
}

// lookAfter is the work between two looks: some 10 to 30 ms in WebAssembly. One
// piece of work is about what one vertex of one loop costs, 10 to 30 ns.
const lookAfter = 1 << 20

// Spend counts so many pieces of work and answers whether to go on.
func (w *Watch) Spend(n int) bool {
	if w == nil {
		return true
	}
	if w.spent += n; w.spent >= lookAfter && w.err == nil {
		w.spent = 0
		w.err = w.Look()
	}
	return w.err == nil
}

// Err is what ended the work; nil while it goes on.
func (w *Watch) Err() error {
	if w == nil {
		return nil
	}
	return w.err
}

// Stride is how many turns of a loop over vertices or triangles are counted at once.
const Stride = 1 << 12
