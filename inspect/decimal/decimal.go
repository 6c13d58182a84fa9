// Package decimal holds what the readers of numbers written in digits share, and the
// writing of a length that a person is to type. What is a number is each format's own
// matter: readers find the digits by themselves. It imports nothing of ours.
package decimal

import "strconv"

// exactDigits is how many digits any whole number may have that float64 holds exactly:
// 10¹⁵ < 2⁵³ < 10¹⁶.
const exactDigits = 15

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// Exact is the float64 nearest to a whole number of so many digits times a power of ten,
// by one multiplication or division of two exact numbers; false where that is no way to
// it: more digits than 15, a power beyond 22. Source: Clinger 1990, How to Read Floating
// Point Numbers Accurately.
func Exact(whole uint64, digits, power int) (v float64, ok bool) {
	switch {
	case digits > exactDigits, power < -len(tens)+1, power > len(tens)-1:
		return 0, false
	case power < 0:
		return float64(whole) / tens[-power], true
	}
	return float64(whole) * tens[power], true
}

// Upwards rounds a length to two figures, never down, so that a person who types the
// number that is shown reaches as far; 0 for what is none.
func Upwards(metres float64) float64 {
	if !(metres > 0) {
		return 0
	}
	for _, more := range []float64{0, 0.04, 0.1} {
		// Through the digits, so that 0.000038 is the number written so.
		if x, err := strconv.ParseFloat(strconv.FormatFloat(metres*(1+more), 'e', 1, 64), 64); err == nil && x >= metres {
			return x
		}
	}
	return metres
}
