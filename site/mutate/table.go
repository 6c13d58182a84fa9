package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"text/tabwriter"
)

// memory is which test saw a row, by the row's key, so that a run that was stopped goes on.
type memory map[string]string

// load adds what is written to what this run knows: shares may run side by side.
func (r *runner) load() error {
	text, err := os.ReadFile(filepath.Join(r.root, r.memory))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return err
	}
	written := memory{}
	if json.Unmarshal(text, &written) == nil { // else torn: what it held is asked again
		maps.Copy(r.seen, written)
	}
	return nil
}

func (r *runner) save() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.saveLocked()
}

func (r *runner) saveLocked() error {
	if err := r.load(); err != nil {
		return err
	}
	text, err := json.MarshalIndent(r.seen, "", "\t")
	if err != nil {
		return err
	}
	to := filepath.Join(r.root, r.memory)
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	return os.WriteFile(to, text, 0o644)
}

// table prints a line a list and the sum, and what was not seen once more. It answers
// whether the share that was seen is enough; a row that cannot be judged is an error.
func table(out io.Writer, rows []row, results []result) (bool, error) {
	type sum struct {
		rows, seen, kept int
		seconds          float64
	}
	var lists []string
	sums := map[string]*sum{}
	all := sum{}
	errs := 0
	for i := range rows {
		s := sums[rows[i].List]
		if s == nil {
			s = &sum{}
			sums[rows[i].List] = s
			lists = append(lists, rows[i].List)
		}
		for _, s := range []*sum{s, &all} {
			s.rows++
			s.seconds += results[i].Took.Seconds()
			if results[i].By != "" {
				s.seen++
			}
			if results[i].Kept {
				s.kept++
			}
		}
		if results[i].Err != "" {
			errs++
		}
	}
	w := tabwriter.NewWriter(out, 0, 8, 2, ' ', 0)
	fmt.Fprintln(w, "\nlist\tbroken\tseen\tunseen\tfrom an earlier run\tseconds")
	line := func(name string, s *sum) {
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%.0f\n", name, s.rows, s.seen, s.rows-s.seen, s.kept, s.seconds)
	}
	for _, name := range lists {
		line(name, sums[name])
	}
	line("all", &all)
	if err := w.Flush(); err != nil {
		return false, err
	}
	for i := range rows {
		if results[i].By == "" {
			fmt.Fprintf(out, "unseen: %s: %s\n", rows[i].List, rows[i].Title)
		}
	}
	share := float64(all.seen) / float64(all.rows)
	fmt.Fprintf(out, "%.1f %% seen, wanted %.0f %%\n", 100*share, 100*wantSeen)
	if errs > 0 {
		return false, fmt.Errorf("%d rows cannot be judged", errs)
	}
	return share >= wantSeen, nil
}
