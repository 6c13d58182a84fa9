package geom

// Union is a union-find over n places. The smallest member stands for its set, so
// the answer does not depend on the order of joining.
type Union struct{ parent []uint32 }

// NewUnion starts with every place on its own.
func NewUnion(n int) *Union {
	u := &Union{make([]uint32, n)}
	for i := range u.parent {
		u.parent[i] = uint32(i)
	}
	return u
}

// Find answers the smallest member of the set; halves the path as it walks.
func (u *Union) Find(i uint32) uint32 {
	p := u.parent
	for p[i] != i {
		p[i] = p[p[i]]
		i = p[i]
	}
	return i
}

// Join makes one set of two; false: they were one already.
func (u *Union) Join(a, b uint32) bool {
	a, b = u.Find(a), u.Find(b)
	if a == b {
		return false
	}
	u.parent[max(a, b)] = min(a, b)
	return true
}

// Flatten makes every place point at its representative and answers the list; it
// stays valid until the next Join.
func (u *Union) Flatten() []uint32 {
	for i := range u.parent {
		// The smallest stands for all: parents come before, and are flat already.
		u.parent[i] = u.parent[u.parent[i]]
	}
	return u.parent
}

// Numbered answers the number of each member's set, in the order of their first
// members, and how many sets there are.
func (u *Union) Numbered() (of []uint32, count int) {
	flat := u.Flatten()
	of = make([]uint32, len(flat))
	for i, first := range flat {
		if int(first) == i {
			of[i] = uint32(count)
			count++
		} else {
			of[i] = of[first]
		}
	}
	return of, count
}
