package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"rigloupe/inspect/carry"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// several tells a call about several sources: more than one, a folder that is no single
// model, or a folder for the results.
func (c *carryCall) several() bool {
	if len(c.files) > 2 || c.intoFolder() {
		return true
	}
	if info, err := os.Stat(c.files[0]); err != nil || !info.IsDir() {
		return false
	}
	_, _, err := modelIn(c.files[0])
	return err != nil
}

// intoFolder tells that --out names a folder: one that is there, or a name that ends as none
// of a file does.
func (c *carryCall) intoFolder() bool {
	if c.out == "" {
		return false
	}
	if info, err := os.Stat(c.out); err == nil {
		return info.IsDir()
	}
	return filepath.Ext(c.out) == "" || strings.HasSuffix(c.out, string(filepath.Separator))
}

// sweeper carries clips of several sources onto one target.
type sweeper struct {
	p      *program
	c      *carryCall
	names  []string // of the sources
	at     *place
	target *rig.Rig
	one    *output         // all clips go into this file; nil: a file a source, or none
	taken  []string        // names of clips in it
	done   []*carry.Result // their clips alone
	files  map[string]bool // names given to results
	told   carry.Several
	failed int // sources and clips
}

// carrySeveral carries all clips of several sources onto one target, one after the other. A
// source that cannot be read, and a clip that cannot be carried, costs itself alone.
func (p *program) carrySeveral(c *carryCall) (int, error) {
	s := &sweeper{p: p, c: c, files: map[string]bool{}}
	switch {
	case c.name != "":
		return 0, callError{"--name names one clip of one source; each keeps its own name here"}
	case c.out != "" && !c.intoFolder() && !strings.EqualFold(filepath.Ext(c.out), ".glb"):
		return 0, callError{fmt.Sprintf("--out %q: want a folder, a file for each source, or a name that ends in .glb, which holds all", c.out)}
	}
	target := c.files[len(c.files)-1]
	names, _, err := modelsIn(c.files[:len(c.files)-1])
	if err != nil {
		return 0, err
	}
	for _, name := range names {
		if !sameFile(name, target) { // it lies among the captures
			s.names = append(s.names, name)
		}
	}
	if len(s.names) == 0 {
		return 0, callError{"no source is left beside the target"}
	}
	if c.out != "" && !c.intoFolder() {
		if s.one, err = p.output("--out", c.out, append(s.names, target, c.pins)...); err != nil {
			return 0, err
		}
	}
	if s.at, err = p.find(target); err != nil {
		return 0, err
	}
	if s.target, err = s.at.read(); err != nil {
		return 0, err
	}
	s.told = carry.Several{Carry: carry.Version, Target: s.target.File.Name, Sources: []carry.Source{}}
	for _, name := range s.names {
		if err := s.source(name); err != nil {
			return 0, err
		}
	}
	return s.end()
}

// sameFile tells two names of one file.
func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// source carries the clips of one source and tells of each in a line. Its error is a wrong
// call, which all others would meet as well.
func (s *sweeper) source(name string) error {
	t := carry.Source{Source: name, Clips: []carry.Report{}, Failed: []carry.Failed{}}
	err := s.carry(name, &t)
	var call callError
	if errors.As(err, &call) {
		return err
	}
	if err != nil {
		t.Error = err.Error()
		s.failed++
		fmt.Fprintf(s.p.err, "rigloupe: %s\n", line(err.Error()))
		if !s.c.json {
			fmt.Fprintf(s.p.out, "%s: not carried over\n", line(name))
		}
	}
	s.told.Sources = append(s.told.Sources, t)
	return nil
}

func (s *sweeper) carry(name string, t *carry.Source) (err error) {
	defer rescueFile(name, &err)
	source, err := s.p.open(name)
	if err != nil {
		return err
	}
	which := s.c.which
	if which == "" {
		which = "all"
	}
	clips, err := clipsNamed(source, which)
	if err != nil {
		return fmt.Errorf("%s: %s", shown(name), err) // another source may hold that clip
	}
	list, err := s.p.pins(s.c.pins, source, s.target)
	if err != nil {
		return fmt.Errorf("%s: %s", shown(name), err) // likewise
	}
	m := match.Find(source, s.target, list...)
	t.Pairs = len(m.Pairs)
	o := carry.Options{FreeFeet: s.c.free, Taken: s.taken}
	var done []*carry.Result
	for _, clip := range clips {
		d, reports, err := carry.All(context.Background(), m, []rig.Clip{clip}, o)
		if err != nil {
			was := rig.Name(source.Clips[clip].Name)
			t.Failed = append(t.Failed, carry.Failed{Clip: clip, Name: was, Why: err.Error()})
			s.failed++
			fmt.Fprintf(s.p.err, "rigloupe: %s, %s: %s\n", shown(name), clipCalled(clip, was), line(err.Error()))
			continue
		}
		o.Taken = append(o.Taken, d[0].Clip.Name)
		done = append(done, &carry.Result{Clip: d[0].Clip}) // a long capture's work is not kept
		t.Clips = append(t.Clips, reports...)
	}
	if len(done) == 0 {
		return fmt.Errorf("%s: no clip of it could be carried over", shown(name))
	}
	switch {
	case s.one != nil:
		s.taken, s.done = o.Taken, append(s.done, done...)
		t.Wrote = s.c.out
	case s.c.out != "":
		if t.Wrote, err = s.write(name, done); err != nil {
			return err
		}
	}
	if !s.c.json {
		s.tell(m, name, t)
	}
	return nil
}

// write writes a copy of the target with the clips of one source into the folder.
func (s *sweeper) write(source string, done []*carry.Result) (string, error) {
	if err := os.Mkdir(s.c.out, 0o777); err != nil && !os.IsExist(err) {
		return "", callError{fmt.Sprintf("--out %s: %s", shown(s.c.out), reason(err))}
	}
	stem := func(name string) string { return strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) }
	base := stem(s.target.File.Name) + "-" + stem(source)
	name := base
	for i := 2; s.files[strings.ToLower(name)]; i++ { // some disks do not tell capitals
		name = fmt.Sprintf("%s %d", base, i)
	}
	s.files[strings.ToLower(name)] = true
	path := filepath.Join(s.c.out, name+"."+desk.GLB)
	out, err := s.p.output("--out", path, append(s.names, s.c.files[len(s.c.files)-1], s.c.pins)...)
	var call callError
	if errors.As(err, &call) {
		return "", errors.New(call.text) // this one alone
	}
	if err != nil {
		return "", err
	}
	return path, s.at.carried(out, s.target, done, desk.GLB)
}

// tell prints a line a clip; with --all its whole report.
func (s *sweeper) tell(m *match.Match, name string, t *carry.Source) {
	for i := range t.Clips {
		r := &t.Clips[i]
		if s.c.all {
			s.p.carryReport(m, r, true)
			continue
		}
		fmt.Fprintf(s.p.out, "%s, %s → clip %q: %s over %s. %s\n", line(name), clipCalled(r.SourceClip, r.SourceName), r.Name,
			typed(say.Count(r.Frames, "keyframe", "keyframes")), typed(say.Quantity(r.Seconds, say.Second)), typed(line(r.Said)))
	}
	if s.one == nil && t.Wrote != "" {
		s.p.written(len(t.Clips), s.target, t.Wrote)
	}
}

// end writes the one file where one is asked for, and counts.
func (s *sweeper) end() (int, error) {
	if s.one != nil && len(s.done) > 0 {
		if err := s.at.carried(s.one, s.target, s.done, desk.GLB); err != nil {
			return 0, err
		}
	}
	clips, sources := 0, 0
	for _, t := range s.told.Sources {
		clips += len(t.Clips)
		if t.Error == "" {
			sources++
		}
	}
	if s.c.json {
		if err := s.told.WriteJSON(s.p.out); err != nil {
			return 0, err
		}
	} else {
		if s.one != nil && clips > 0 {
			s.p.written(len(s.done), s.target, s.c.out)
		}
		fmt.Fprintf(s.p.out, "%s of %s carried onto %q\n", typed(say.Count(clips, "clip", "clips")), typed(fmt.Sprintf("%s of %s", say.Whole(sources), say.Count(len(s.names), "source", "sources"))), line(s.target.File.Name))
	}
	if s.failed > 0 {
		return exitUnread, nil
	}
	return exitDone, nil
}
