// Package rounds thins exhaustive tests: all pairs of faults and mends, all figures in all
// guises. Plain `go test ./...` runs one round in so many, evenly spread, which still fails
// where the code is broken as a whole; RIGLOUPE_LONG=1, as `make test` sets it, runs all.
// What a number is held by may stand in either form: site/mutate asks both.
package rounds

import (
	"maps"
	"os"
	"slices"
)

// Long tells that every round is to run.
func Long() bool { return os.Getenv("RIGLOUPE_LONG") != "" }

// Run tells whether round k, counted from 0, runs: in the short form every n-th. Where two
// lists are crossed, k = i*len(inner)+j with n no divisor of len(inner) goes through both.
func Run(k, n int) bool { return k%n == 0 || Long() }

// Rows is every n-th row of a table in the short form, from the first on; in the long
// form all of them.
func Rows[T any](all []T, n int) (some []T) {
	for k, row := range all {
		if Run(k, n) {
			some = append(some, row)
		}
	}
	return some
}

// Named is the same of a table by name, in the order of the names.
func Named[T any](all map[string]T, n int) map[string]T {
	some := map[string]T{}
	for _, name := range Rows(slices.Sorted(maps.Keys(all)), n) {
		some[name] = all[name]
	}
	return some
}

// Dear leaves a test out of the short form: one that takes a good part of a second and
// whose subject others of the package go over too.
func Dear(t interface {
	Helper()
	Skip(...any)
}) {
	if t.Helper(); !Long() {
		t.Skip("in the long form: RIGLOUPE_LONG=1")
	}
}
