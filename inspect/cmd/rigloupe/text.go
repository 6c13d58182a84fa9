package main

import "strconv"

// shown is a name for a sentence: quoted, with whatever could move the cursor, turn the
// writing round or begin a line written as an escape.
func shown(name string) string { return strconv.Quote(name) }
