//go:build !js

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "This program runs in the page: build it with GOOS=js GOARCH=wasm. The command line is inspect/cmd/rigloupe.")
	os.Exit(2)
}
