package ramp

// Assign gives every node of a tree one of n categories, so that a node never
// has its parent's and, as far as n reaches, not its grandparent's, an elder
// sibling's or its parent's sibling's; among what is left, the least used so
// far. parent[i] is negative at a root. n must be 2 or more. The same tree gets
// the same answer.
func Assign(parent []int, n int) []uint8 {
	out := make([]uint8, len(parent))
	kids := make([][]int, len(parent))
	var queue []int
	for i, p := range parent {
		if p < 0 || p >= len(parent) || p == i {
			queue = append(queue, i)
		} else {
			kids[p] = append(kids[p], i)
		}
	}
	n = min(max(n, 2), 255)
	cost, used := make([]int, n), make([]int, n)
	roots := len(queue)
	var elder []int // siblings served before
	last := -1
	for k := 0; k < len(queue); k++ {
		i := queue[k]
		p := parent[i]
		if k < roots {
			p = -1
		}
		if p != last || k == roots {
			elder, last = elder[:0], p
		}
		copy(cost, used)
		if p >= 0 {
			cost[out[p]] += 1 << 40
			if g := parent[p]; g >= 0 && g < len(parent) && g != p {
				cost[out[g]] += 1 << 30
				for _, u := range kids[g] {
					cost[out[u]] += 1 << 15
				}
			}
		}
		for _, e := range elder {
			cost[out[e]] += 1 << 20
		}
		best := 0
		for c := range cost {
			if cost[c] < cost[best] {
				best = c
			}
		}
		out[i] = uint8(best)
		used[best]++
		elder = append(elder, i)
		queue = append(queue, kids[i]...)
	}
	return out
}
