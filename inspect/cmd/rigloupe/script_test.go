package main

import (
	"fmt"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"rigloupe/inspect/rounds"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"rigloupe": func() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs the calls of testdata/*.txtar as a person would type them. What stands
// behind `[!long] stop` runs in the long form (inspect/rounds).
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata",
		UpdateScripts: os.Getenv("UPDATE_GOLDEN") != "",
		Condition: func(c string) (bool, error) {
			if c != "long" {
				return false, fmt.Errorf("unknown condition %q", c)
			}
			return rounds.Long(), nil
		},
	})
}
