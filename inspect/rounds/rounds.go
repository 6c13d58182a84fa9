// Package rounds thins exhaustive tests: all pairs of faults and mends, all figures in all
// guises. Plain `go test ./...` runs one round in so many, evenly spread, which still fails
// where the code is broken as a whole; RIGLOUPE_LONG=1, as `make test` sets it, runs all.
// What a number is held by may stand in either form: site/mutate asks both.
package rounds

import "os"

// Long tells that every round is to run.
func Long() bool { return os.Getenv("RIGLOUPE_LONG") != "" }

// Run tells whether round k, counted from 0, runs: in the short form every n-th. Where two
// lists are crossed, k = i*len(inner)+j with n no divisor of len(inner) goes through both.
func Run(k, n int) bool { return k%n == 0 || Long() }
