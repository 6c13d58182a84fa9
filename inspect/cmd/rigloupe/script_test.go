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
		"rigloupe": func() {
			code := run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
			if to := os.Getenv("RIGLOUPE_PEAK"); to != "" { // its own: what the parent is told holds the parent's too
				status, _ := os.ReadFile("/proc/self/status")
				os.WriteFile(to, status, 0o644)
			}
			os.Exit(code)
		},
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
