package geom

// Loop is one boundary: places in the order of the walk.
type Loop struct {
	Places []uint32 // not repeated at the end
	Closed bool     // false: a chain that ends, as only broken surfaces have
}

// BoundaryLoops walks the edges of one triangle. A walk that comes by a place again
// closes a loop there, so holes that touch at a corner are two.
func BoundaryLoops(edges *Edges) (loops []Loop) {
	var open []uint32
	for i, n := range edges.Count {
		if n == 1 {
			open = append(open, uint32(i))
		}
	}
	if open == nil {
		return nil
	}
	// The boundary edges at each place, as a linked list in rising order.
	head := map[uint32]int32{}
	next := make([]int32, 2*len(open)) // place in open·2+end, +1
	for i := len(open) - 1; i >= 0; i-- {
		for end := range 2 {
			v := edges.Ends[2*open[i]+uint32(end)]
			next[2*i+end] = head[v]
			head[v] = int32(2*i+end) + 1
		}
	}
	used := make([]bool, len(open))
	take := func(v uint32) (to uint32, ok bool) {
		h := head[v]
		for h != 0 && used[(h-1)/2] {
			h = next[h-1]
		}
		head[v] = h // used ones are not passed twice
		if h == 0 {
			return 0, false
		}
		used[(h-1)/2] = true
		return edges.Ends[2*open[(h-1)/2]+uint32(1-(h-1)%2)], true
	}
	place := map[uint32]int{} // on the path, +1
	for i := range open {
		if used[i] {
			continue
		}
		path := []uint32{edges.Ends[2*open[i]]}
		place[path[0]] = 1
		for len(path) > 0 {
			to, ok := take(path[len(path)-1])
			if !ok {
				if len(path) > 1 {
					loops = append(loops, Loop{Places: path})
				}
				for _, v := range path {
					delete(place, v)
				}
				break
			}
			if k := place[to]; k > 0 {
				ring := append([]uint32(nil), path[k-1:]...)
				loops = append(loops, Loop{Places: ring, Closed: true})
				for _, v := range path[k:] {
					delete(place, v)
				}
				path = path[:k]
				continue
			}
			path = append(path, to)
			place[to] = len(path)
		}
	}
	return loops
}
