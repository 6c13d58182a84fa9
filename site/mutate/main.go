// Command mutate breaks a stated list of lines one by one and says which test saw it.
// A line that can be broken unseen is a number that nobody holds: a threshold, a
// suggested value, a score, a tie-break. The lists stand in lines/, one a part of the
// project; the files of the project are never touched (see break.go).
//
//	mutate [-only WORDS] [-jobs N] [-share I/N] [-fresh]
//
// It ends with a table and fails where fewer than 97 % were seen.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"os/signal"
	"strings"
	"sync"
	"time"
)

// wantSeen is the share of broken lines that the tests must see; set by the issue that
// asked for this program.
const wantSeen = 0.97

func main() {
	log.SetFlags(0)
	log.SetPrefix("mutate: ")
	root := flag.String("root", ".", "the project")
	only := flag.String("only", "", "rows whose list, title or place holds this text")
	jobs := flag.Int("jobs", 2, "rows at a time")
	share := flag.String("share", "1/1", "the I-th of N shares of the rows")
	fresh := flag.Bool("fresh", false, "do not take over what an earlier run saw")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()

	rows, err := readLists(os.DirFS(*root), "site/mutate/lines")
	if err != nil {
		log.Fatal(err)
	}
	if rows, err = choose(rows, *only, *share); err != nil {
		log.Fatal(err)
	}
	r := runner{root: *root, out: os.Stdout, memory: "site/dist/mutate.json", fresh: *fresh}
	ok, err := r.all(ctx, rows, *jobs)
	if err != nil {
		log.Fatal(err)
	}
	if !ok {
		os.Exit(1)
	}
}

// choose keeps the rows that a person asked for.
func choose(rows []row, only, share string) ([]row, error) {
	var i, n int
	if _, err := fmt.Sscanf(share, "%d/%d", &i, &n); err != nil || i < 1 || i > n {
		return nil, fmt.Errorf("-share %q: want I/N with 1 ≤ I ≤ N", share)
	}
	var kept []row
	for at, r := range rows {
		if at%n == i-1 && strings.Contains(r.List+" "+r.Title+" "+r.In, only) {
			kept = append(kept, r)
		}
	}
	if len(kept) == 0 {
		return nil, fmt.Errorf("no row for -only %q -share %s", only, share)
	}
	return kept, nil
}

// runner breaks rows and tells.
type runner struct {
	root   string
	out    io.Writer
	memory string // file of what was seen, below root
	fresh  bool

	mu   sync.Mutex
	seen memory
}

// all breaks every row, a few at a time, and prints a line each and the table. It
// answers whether enough were seen, and an error where a row cannot be judged.
func (r *runner) all(ctx context.Context, rows []row, jobs int) (bool, error) {
	r.seen = memory{}
	if err := r.load(); err != nil {
		return false, err
	}
	if err := r.sound(ctx, rows); err != nil {
		return false, err
	}
	results := make([]result, len(rows))
	next := make(chan int)
	var wg sync.WaitGroup
	for range max(1, jobs) {
		wg.Go(func() {
			for i := range next {
				results[i] = r.one(ctx, &rows[i])
				r.tell(&rows[i], &results[i])
			}
		})
	}
	for i := range rows {
		next <- i
	}
	close(next)
	wg.Wait()
	if err := r.save(); err != nil {
		return false, err
	}
	return table(r.out, rows, results)
}

// one breaks one row, or takes over that it was seen with the same code and tests.
func (r *runner) one(ctx context.Context, w *row) result {
	if ctx.Err() != nil {
		return result{Err: "stopped"}
	}
	key := w.key(r.root)
	r.mu.Lock()
	old, known := r.seen[key]
	r.mu.Unlock()
	if known && !r.fresh {
		return result{By: old, Kept: true}
	}
	began := time.Now()
	x := w.broken(ctx, r.root)
	x.Took = time.Since(began)
	if x.By != "" {
		r.mu.Lock()
		r.seen[key] = x.By
		err := r.saveLocked()
		r.mu.Unlock()
		if err != nil {
			x.Err = err.Error()
		}
	}
	return x
}

func (r *runner) tell(w *row, x *result) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case x.Err != "":
		fmt.Fprintf(r.out, "ERROR     %-9s %s: %s\n", w.List, w.Title, x.Err)
	case x.By == "":
		fmt.Fprintf(r.out, "UNSEEN    %-9s %s (%s, %.0f s)\n", w.List, w.Title, w.In, x.Took.Seconds())
	default:
		fmt.Fprintf(r.out, "seen      %-9s %s: %s\n", w.List, w.Title, x.By)
	}
}

// sound runs the tests that the rows name, unbroken: where one fails already, that it
// fails on a broken line says nothing.
func (r *runner) sound(ctx context.Context, rows []row) error {
	done := map[string]bool{}
	for i := range rows {
		w := &rows[i]
		name := w.See + " " + w.Run
		if done[name] {
			continue
		}
		done[name] = true
		if _, known := r.seen[w.key(r.root)]; known && !r.fresh {
			continue // it was sound when the row was seen with the same tests
		}
		fmt.Fprintf(r.out, "unbroken  %s\n", strings.TrimSpace(name))
		if x := w.unbroken(ctx, r.root); x.Err != "" {
			return fmt.Errorf("%s: %s", name, x.Err)
		} else if x.By != "" {
			return fmt.Errorf("%s: %s fails with no line broken", name, x.By)
		}
	}
	return nil
}
