package solve

import "math/bits"

// Order answers the places of a matrix in the order in which they are worked off, so that
// the factors stay sparse: nested dissection (George 1973). A part that hangs together is
// cut along a level of a breadth-first walk from one of its far ends (George, Liu 1978);
// the two sides come first, what parts them last. What is small is put in the order of
// least degree (Tinney, Walker 1967). n·log n on surfaces.
func (a *Matrix) Order() []int32 {
	d := &dissection{a: a, out: make([]int32, a.N), part: make([]int32, a.N), level: make([]int32, a.N), queue: make([]int32, a.N)}
	for i := range d.out {
		d.out[i] = int32(i)
	}
	d.pieces(0, a.N)
	for len(d.todo) > 0 {
		p := d.todo[len(d.todo)-1]
		d.todo = d.todo[:len(d.todo)-1]
		d.cut(p.lo, p.hi)
	}
	return d.out
}

const (
	leafPlaces = 64  // what one word holds
	leastShare = 0.3 // of a part, on either side of a cut
)

type dissection struct {
	a     *Matrix
	out   []int32 // places; every part is a stretch of it
	part  []int32 // place → the name of the part it is of
	level []int32 // place → steps from where the last walk in its part began; −1: not met
	queue []int32
	names int32
	todo  []stretch
}

type stretch struct{ lo, hi int }

// pieces sorts a stretch by what hangs together, and lists each to be cut.
func (d *dissection) pieces(lo, hi int) {
	if lo == hi {
		return
	}
	d.names++
	for _, v := range d.out[lo:hi] {
		d.part[v], d.level[v] = d.names, -1
	}
	n := 0
	for _, v := range d.out[lo:hi] {
		if d.level[v] >= 0 {
			continue
		}
		from := n
		n = d.walk(v, d.names, n)
		d.todo = append(d.todo, stretch{lo + from, lo + n})
	}
	copy(d.out[lo:hi], d.queue[:n])
}

// walk goes out from a place over its part, into queue from n on, and answers where that
// ends. Levels of the part must be −1.
func (d *dissection) walk(v, part int32, n int) int {
	d.level[v] = 0
	d.queue[n] = v
	for i, end := n, n+1; ; i++ {
		if i == end {
			return end
		}
		u := d.queue[i]
		for k := d.a.Start[u]; k < d.a.Start[u+1]; k++ {
			if t := d.a.To[k]; d.part[t] == part && d.level[t] < 0 {
				d.level[t] = d.level[u] + 1
				d.queue[end] = t
				end++
			}
		}
	}
}

// cut works on a stretch that hangs together.
func (d *dissection) cut(lo, hi int) {
	n := hi - lo
	if n <= leafPlaces {
		d.least(d.out[lo:hi])
		return
	}
	part := d.names + 1
	d.names = part
	again := func(v int32) int32 {
		for _, u := range d.out[lo:hi] {
			d.level[u] = -1
		}
		d.walk(v, part, 0)
		return d.queue[n-1]
	}
	for _, v := range d.out[lo:hi] {
		d.part[v] = part
	}
	// To one far end, and from there to the other: the longest way gives the narrowest cuts.
	far := again(again(d.out[lo]))
	again(far)
	// The narrowest level that leaves enough on both sides.
	levels := int(d.level[d.queue[n-1]]) + 1
	best, bestSize := -1, n
	for i := 0; i < n; {
		l, j := d.level[d.queue[i]], i
		for j < n && d.level[d.queue[j]] == l {
			j++
		}
		if float64(i) >= leastShare*float64(n) && float64(n-j) >= leastShare*float64(n) || levels < 8 && i > 0 && j < n {
			if j-i < bestSize {
				best, bestSize = int(l), j-i
			}
		}
		i = j
	}
	if best < 0 {
		best = int(d.level[d.queue[n/2]])
	}
	// Only what touches the next level parts the two sides.
	count := [3]int{}
	side := func(v int32) int {
		switch l := int(d.level[v]); {
		case l < best:
			return 0
		case l > best:
			return 1
		}
		for k := d.a.Start[v]; k < d.a.Start[v+1]; k++ {
			if t := d.a.To[k]; d.part[t] == part && int(d.level[t]) > best {
				return 2
			}
		}
		return 0
	}
	for _, v := range d.queue[:n] {
		count[side(v)]++
	}
	if count[0] == 0 || count[1] == 0 { // all of it within two steps: nothing to cut
		d.byDegree(lo, hi)
		return
	}
	at := [3]int{lo, lo + count[0], lo + count[0] + count[1]}
	for _, v := range d.queue[:n] {
		s := side(v)
		d.out[at[s]] = v
		at[s]++
	}
	// Pieces renames what it is given, so both sides are named before either is cut.
	d.pieces(lo, lo+count[0])
	d.pieces(lo+count[0], lo+count[0]+count[1])
}

// byDegree orders what cannot be cut: those with few fellows first.
func (d *dissection) byDegree(lo, hi int) {
	most := int32(0)
	for _, v := range d.out[lo:hi] {
		most = max(most, d.a.Start[v+1]-d.a.Start[v])
	}
	at := make([]int, most+2)
	for _, v := range d.out[lo:hi] {
		at[d.a.Start[v+1]-d.a.Start[v]+1]++
	}
	for i := range most {
		at[i+1] += at[i]
	}
	copy(d.queue, d.out[lo:hi])
	for _, v := range d.queue[:hi-lo] {
		k := d.a.Start[v+1] - d.a.Start[v]
		d.out[lo+at[k]] = v
		at[k]++
	}
}

// least orders up to 64 places: one after the other that with the fewest fellows, which
// then become each other's.
func (d *dissection) least(list []int32) {
	d.names++
	var fellows [leafPlaces]uint64
	for i, v := range list {
		d.part[v], d.level[v] = d.names, int32(i)
	}
	for i, v := range list {
		for k := d.a.Start[v]; k < d.a.Start[v+1]; k++ {
			if t := d.a.To[k]; d.part[t] == d.names {
				fellows[i] |= 1 << d.level[t]
			}
		}
	}
	var done [leafPlaces]int32
	left := ^uint64(0) >> (64 - len(list))
	if len(list) == 0 {
		return
	}
	for n := range list {
		best, degree := -1, leafPlaces+1
		for rest := left; rest != 0; rest &= rest - 1 {
			i := bits.TrailingZeros64(rest)
			if k := bits.OnesCount64(fellows[i]); k < degree {
				best, degree = i, k
			}
		}
		left &^= 1 << best
		mine := fellows[best] & left
		for rest := mine; rest != 0; rest &= rest - 1 {
			i := bits.TrailingZeros64(rest)
			fellows[i] = (fellows[i] | mine) &^ (1 << i) &^ (1 << best)
		}
		done[n] = list[best]
	}
	copy(list, done[:len(list)])
}
