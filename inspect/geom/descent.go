package geom

// branch is a node of a tree of boxes and the places lo…hi in Tree.id below it.
type branch struct{ k, lo, hi int }

// halves are the two nodes below.
func (b branch) halves() (left, right branch) {
	mid := int(uint(b.lo+b.hi) / 2)
	return branch{2*b.k + 1, b.lo, mid}, branch{2*b.k + 2, mid, b.hi}
}

// descent is a way through a tree of boxes that whoever asks steers: it takes a branch,
// passes it over, looks at its places where it is a leaf, or puts its halves back, the one
// to be taken first last. One loop asks it:
//
//	var d descent
//	d.begin(t)
//	for d.more() {
//		b := d.take()
//		…
//	}
//
// (Declared in the for, it would be copied in every round, and answered by a function once more.) It is a value without calls through pointers to functions, since it is walked millions of
// times in WebAssembly.
type descent struct {
	stack  [80]branch // two a level
	top    int
	leaves int // nodes from here on are leaves
}

// begin takes up the whole tree.
func (d *descent) begin(t *Tree) {
	if len(t.id) > 0 {
		d.stack[0], d.top = branch{0, 0, len(t.id)}, 1
	}
	d.leaves = 1<<t.depth - 1
}

func (d *descent) more() bool { return d.top > 0 }

func (d *descent) take() branch {
	d.top--
	return d.stack[d.top]
}

func (d *descent) put(second, first branch) {
	d.stack[d.top], d.stack[d.top+1] = second, first
	d.top += 2
}

func (d *descent) isLeaf(b branch) bool { return b.k >= d.leaves }

// box is the box of a node: min, max.
func (t *Tree) box(k int) []float32 { return t.boxes[6*k : 6*k+6 : 6*k+6] }
