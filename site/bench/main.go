// Command bench keeps what benchmarks measured, and sets two such records side by side.
//
//	go test -bench . ./... | go run ./site/bench -out new.json
//	go run ./site/bench old.json new.json
//
// A record is JSON: by benchmark and unit all values of its runs. Values of one machine say
// nothing about those of another, but for units with ÷ in them: ratios to a program that
// was timed in the same run.
package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

func main() {
	out := flag.String("out", "", "write a record of the benchmarks on standard input here, and pass them on")
	flag.Parse()
	if err := run(*out, flag.Args(), os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(2)
	}
}

func run(out string, args []string, in io.Reader, w io.Writer) error {
	switch {
	case out != "" && len(args) == 0:
		r, err := read(io.TeeReader(in, w))
		if err != nil {
			return err
		}
		if len(r) == 0 {
			return fmt.Errorf("no benchmark on standard input; nothing is written")
		}
		data, err := json.MarshalIndent(r, "", " ")
		if err != nil {
			return err
		}
		return os.WriteFile(out, append(data, '\n'), 0o644)
	case out == "" && len(args) == 2:
		var r [2]record
		for i, name := range args {
			data, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			if err := json.Unmarshal(data, &r[i]); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
		return compare(w, r[0], r[1])
	}
	return fmt.Errorf("want -out FILE, or two records: OLD NEW")
}

// record is by benchmark ("inspect BenchmarkExamine/10000") and unit the values of all runs.
type record map[string]map[string][]float64

var processors = regexp.MustCompile(`-\d+$`)

// read takes in what go test prints (the Go benchmark data format). A line that ends
// within a value, as of a run that was broken off, counts as far as it goes.
func read(in io.Reader) (record, error) {
	r := record{}
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 1<<20)
	of, as := "", ""
	for lines.Scan() {
		f := strings.Fields(lines.Text())
		switch {
		case len(f) == 2 && f[0] == "goarch:": // said before the package
			as = ""
			if f[1] == "wasm" {
				as = "(wasm)" // the same benchmark is run natively too
			}
		case len(f) == 2 && f[0] == "pkg:":
			_, of, _ = strings.Cut(f[1], "/")
			of = strings.TrimSpace(of + " " + as)
		case len(f) >= 4 && strings.HasPrefix(f[0], "Benchmark"):
			if _, err := strconv.Atoi(f[1]); err != nil {
				continue
			}
			name := strings.TrimSpace(of + " " + processors.ReplaceAllString(f[0], ""))
			for i := 2; i+1 < len(f); i += 2 {
				v, err := strconv.ParseFloat(f[i], 64)
				if err != nil {
					break
				}
				if r[name] == nil {
					r[name] = map[string][]float64{}
				}
				r[name][f[i+1]] = append(r[name][f[i+1]], v)
			}
		}
	}
	return r, lines.Err()
}

// compare prints new ÷ old of the medians. Where the ranges of both overlap nothing has
// been shown, so the ratio stands in brackets.
func compare(w io.Writer, old, fresh record) error {
	rows := 0
	for _, name := range names(old, fresh) {
		for _, unit := range names(old[name], fresh[name]) {
			a, b := old[name][unit], fresh[name][unit]
			switch {
			case len(a) == 0:
				fmt.Fprintf(w, "%-60s %-22s           → %-10.4g only now\n", name, unit, median(b))
			case len(b) == 0:
				fmt.Fprintf(w, "%-60s %-22s %-10.4g →            not now\n", name, unit, median(a))
			default:
				ratio := fmt.Sprintf("%.2f", median(b)/median(a))
				if slices.Min(a) <= slices.Max(b) && slices.Min(b) <= slices.Max(a) {
					ratio = "(" + ratio + ")"
				}
				fmt.Fprintf(w, "%-60s %-22s %-10.4g → %-10.4g × %s\n", name, unit, median(a), median(b), ratio)
				rows++
			}
		}
	}
	if rows == 0 {
		return fmt.Errorf("the two records have nothing in common")
	}
	return nil
}

func names[V any](a, b map[string]V) (all []string) {
	for _, m := range []map[string]V{a, b} {
		for name := range m {
			all = append(all, name)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// median is the middle value, of an even number the mean of the two.
func median(values []float64) float64 {
	s := slices.Sorted(slices.Values(values))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
