// Package solve answers systems of linear equations with a large, sparse, symmetric and
// positive definite matrix: Cholesky's factors over an order of nested dissection.
//
//	a := solve.New(diagonal, ends, values)  // n numbers; pairs of unlike places with one number each
//	f, err := solve.Factor(a, look)         // once
//	f.Solve(b, k)                           // n·k numbers: k right sides at once, in place
//
// It knows neither surfaces nor figures. Entries are float64 without units.
package solve
