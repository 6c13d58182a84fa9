package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/lineup"
	"rigloupe/inspect/say"
)

// modelsIn names the models to set side by side: of a folder all that lie in it and below,
// in the order of their names, what is hidden left out. folders: there was one.
func modelsIn(names []string) (all []string, folders bool, err error) {
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.IsDir() {
			all = append(all, name) // what is wrong with it is said in its row
			continue
		}
		folders = true
		before := len(all)
		err = filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && path != name && strings.HasPrefix(d.Name(), "."):
				return fs.SkipDir
			case d.IsDir() || strings.HasPrefix(d.Name(), "."):
				return nil
			}
			if desk.IsModel(d.Name()) {
				all = append(all, path)
			}
			return nil
		})
		if err == nil && len(all) == before {
			err = errors.New("no model lies in it or below (.glb, .gltf, .vrm, .bvh)")
		}
		if err != nil {
			return nil, false, fmt.Errorf("%s: %s", shown(name), reason(err))
		}
	}
	return all, folders, nil
}

// lineupRows examines models, some at a time, and keeps their rows alone, in the order of
// their names whatever is done first. told: each is told as it is done.
func (p *program) lineupRows(names []string, o inspect.Options, jobs int, told bool) (rows []lineup.Row, unread bool) {
	rows = make([]lineup.Row, len(names))
	readers := make([]*program, len(names)) // each takes down its own inputs
	todo := make(chan int)
	var said sync.Mutex
	done := 0
	var all sync.WaitGroup
	for range min(jobs, len(names)) {
		all.Go(func() {
			for i := range todo {
				q := &program{in: p.in, out: io.Discard, err: io.Discard}
				row, err := q.lineupRow(names[i], o)
				said.Lock()
				done++
				if err != nil {
					fmt.Fprintf(p.err, "rigloupe: %s\n", line(err.Error()))
					row, unread = lineup.UnreadRow(names[i], err.Error()), true
				}
				if told {
					fmt.Fprintf(p.err, "%d of %d  %s: %s\n", done, len(names), line(names[i]), rowWords(&row))
				}
				rows[i], readers[i] = row, q
				said.Unlock()
			}
		})
	}
	for i := range names {
		todo <- i
	}
	close(todo)
	all.Wait()
	for _, q := range readers {
		p.inputs = append(p.inputs, q.inputs...)
	}
	return rows, unread
}

// rowWords says in short what was found in a model.
func rowWords(r *lineup.Row) string {
	if r.State == lineup.Unread {
		return "not read"
	}
	c := &r.Counted
	return typed(fmt.Sprintf("%s, %s, %s", say.Count(c.Stop, "stop", "stops"), say.Count(c.Flaw, "flaw", "flaws"), say.Count(c.Note, "note", "notes")))
}
