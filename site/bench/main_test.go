package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Lines as go test prints them: of two packages, three runs, units of one's own, and what
// is no benchmark.
const printed = `goos: linux
goarch: amd64
pkg: rigloupe/inspect
BenchmarkExamine/10000-2         	       3	 30000000 ns/op	  12.5 ms-bends
BenchmarkExamine/10000-2         	       3	 34000000 ns/op
BenchmarkExamine/10000-2         	       3	 32000000 ns/op
ok  	rigloupe/inspect	4.2s
goos: js
goarch: wasm
pkg: rigloupe/inspect
BenchmarkExamine/10000         	       1	 90000000 ns/op
goos: linux
goarch: amd64
pkg: rigloupe/site/e2e
BenchmarkReadAndExamine/Knight   	       1	 9000000 ns/op	  2.8 all÷checker-warm
BenchmarkBroken
--- BENCH: BenchmarkBroken
PASS
`

func TestRecord(t *testing.T) {
	name := filepath.Join(t.TempDir(), "new.json")
	var passed bytes.Buffer
	if err := run(name, nil, strings.NewReader(printed), &passed); err != nil {
		t.Fatal(err)
	}
	if passed.String() != printed {
		t.Error("what was printed is not passed on")
	}
	old := filepath.Join(t.TempDir(), "old.json")
	if err := os.WriteFile(old, []byte(`{"inspect BenchmarkExamine/10000":{"ns/op":[64e6,60e6],"B/op":[7]},
		"site/e2e BenchmarkReadAndExamine/Knight":{"all÷checker-warm":[2.7,2.9],"ns/op":[4.5e6]}}`), 0o644); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	if err := run("", []string{old, name}, nil, &said); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"inspect (wasm) BenchmarkExamine/10000 ns/op → 9e+07 only now",
		"inspect BenchmarkExamine/10000 ns/op 6.2e+07 → 3.2e+07 × 0.52",
		"inspect BenchmarkExamine/10000 B/op 7 → not now",
		"inspect BenchmarkExamine/10000 ms-bends → 12.5 only now",
		"site/e2e BenchmarkReadAndExamine/Knight all÷checker-warm 2.8 → 2.8 × (1.00)",
		"site/e2e BenchmarkReadAndExamine/Knight ns/op 4.5e+06 → 9e+06 × 2.00",
	} {
		found := false
		for line := range strings.Lines(said.String()) {
			found = found || strings.Join(strings.Fields(line), " ") == want
		}
		if !found {
			t.Errorf("not said: %s\n%s", want, said.String())
		}
	}
	if n := strings.Count(said.String(), "\n"); n != 6 {
		t.Errorf("%d lines, want 6", n)
	}
}

func TestRefusals(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	a, b, broken := put("a.json", `{"x":{"ns/op":[1]}}`), put("b.json", `{"y":{"ns/op":[1]}}`), put("broken.json", `{`)
	for _, row := range []struct {
		out  string
		args []string
	}{{}, {"", []string{a}}, {"", []string{a, b}}, {"", []string{a, broken}}, {"", []string{a, filepath.Join(dir, "none")}}, {filepath.Join(dir, "out.json"), nil}} {
		if err := run(row.out, row.args, strings.NewReader("PASS\n"), &bytes.Buffer{}); err == nil {
			t.Errorf("%+v: nothing is refused", row)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "out.json")); err == nil {
		t.Error("a record without a benchmark is written")
	}
}
