package space

import "math"

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

// Percentile answers the smallest value of the list that at least so many per cent of
// the list do not exceed; NaN for none. It stirs the list. Source: Hyndman, Fan 1996,
// Sample Quantiles in Statistical Packages, definition 1 (the inverse of the
// distribution function, also called nearest rank): the answer is a value that occurs.
func Percentile[F float32 | float64](list []F, percent float64) F {
	if len(list) == 0 {
		return F(math.NaN())
	}
	return Ranked(list, Rank(len(list), percent))
}

// Rank is the place of a percentile in a list of n values in rising order.
func Rank(n int, percent float64) int {
	return max(0, int(math.Ceil(percent*float64(n)/100))-1)
}

// Median answers the middle value, the mean of the two middle ones where their number
// is even (Hyndman, Fan 1996, definition 2); NaN for none. It stirs the list.
func Median[F float32 | float64](list []F) F {
	n := len(list)
	if n == 0 {
		return F(math.NaN())
	}
	high := Ranked(list, n/2)
	if n%2 == 1 {
		return high
	}
	low := list[0] // all before place n/2 are no larger now
	for _, v := range list[1 : n/2] {
		low = max(low, v)
	}
	return (low + high) / 2
}

// Halve puts the k that come first before the others, in no order among them, in linear
// time. Of two different values one comes before the other. The pivot is drawn from a fixed
// stream of numbers, so that no order in a file makes it slow.
func Halve[T any](list []T, k int, before func(a, b T) bool) {
	seed := uint32(2463534242) // Marsaglia 2003, xorshift
	for lo, hi := 0, len(list); hi-lo > 1; {
		seed ^= seed << 13
		seed ^= seed >> 17
		seed ^= seed << 5
		pivot := list[lo+int(seed%uint32(hi-lo))]
		i, j := lo, hi-1
		for i <= j {
			for before(list[i], pivot) {
				i++
			}
			for before(pivot, list[j]) {
				j--
			}
			if i <= j {
				list[i], list[j] = list[j], list[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j + 1
		case k >= i:
			lo = i
		default:
			return
		}
	}
}
