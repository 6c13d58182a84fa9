package geom

// Ranked answers what would stand at place k of the list in rising order. It stirs the
// list: quickselect (Hoare 1961), linear on average.
func Ranked[F float32 | float64](list []F, k int) F {
	lo, hi := 0, len(list)-1
	for lo < hi {
		a, b, c := list[lo], list[(lo+hi)/2], list[hi]
		pivot := max(min(a, b), min(max(a, b), c)) // the middle one of three
		i, j := lo, hi
		for i <= j {
			for list[i] < pivot {
				i++
			}
			for list[j] > pivot {
				j--
			}
			if i <= j {
				list[i], list[j] = list[j], list[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return list[k]
		}
	}
	return list[k]
}
