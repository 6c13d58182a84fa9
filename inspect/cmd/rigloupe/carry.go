package main

import (
	"context"
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/carry"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// carryCall is a call of carry.
type carryCall struct {
	files                  []string
	which, pins, name, out string
	free, json, all        bool
}

// carry lays clips of one file, or of several, over the skeleton of another.
func (p *program) carry(args []string) (int, error) {
	var c carryCall
	f := flag.NewFlagSet("carry", flag.ContinueOnError)
	f.StringVar(&c.which, "clip", "", "")
	f.StringVar(&c.pins, "pins", "", "")
	f.StringVar(&c.name, "name", "", "")
	f.StringVar(&c.out, "out", "", "")
	f.BoolVar(&c.free, "free-feet", false, "")
	f.BoolVar(&c.json, "json", false, "")
	f.BoolVar(&c.all, "all", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if c.files = files; len(files) < 2 {
		return 0, callError{fmt.Sprintf("want SOURCE and TARGET, got %s", say.Count(len(files), "file", "files"))}
	}
	if c.several() {
		return p.carrySeveral(&c)
	}
	return p.carryOne(&c)
}

// carryOne lays clips of one file over the skeleton of another.
func (p *program) carryOne(c *carryCall) (int, error) {
	kind := strings.ToLower(filepath.Ext(c.out))
	if c.out != "" && kind != ".glb" && kind != ".bvh" {
		return 0, callError{fmt.Sprintf("--out %q: want a name that ends in .glb or .bvh, or a folder", c.out)}
	}
	out, err := p.output("--out", c.out, append(c.files, c.pins)...)
	if err != nil {
		return 0, err
	}
	source, err := p.open(c.files[0])
	if err != nil {
		return 0, err
	}
	at, err := p.find(c.files[1])
	if err != nil {
		return 0, err
	}
	target, err := at.read()
	if err != nil {
		return 0, err
	}
	clips, err := clipsNamed(source, c.which)
	if err != nil {
		return 0, err
	}
	switch {
	case len(clips) > 1 && kind == ".bvh":
		return 0, callError{"--out: a .bvh holds one clip; choose it with --clip"}
	case len(clips) > 1 && c.name != "":
		return 0, callError{"--name names one clip; choose it with --clip"}
	}
	list, err := p.pins(c.pins, source, target)
	if err != nil {
		return 0, err
	}
	m := match.Find(source, target, list...)
	done, reports, err := carry.All(context.Background(), m, clips, carry.Options{FreeFeet: c.free, Name: c.name})
	if err != nil {
		return 0, err
	}
	if out != nil {
		if err := at.carried(out, target, done, kind[1:]); err != nil {
			return 0, err
		}
	}
	if c.json {
		return exitDone, carry.WriteJSON(p.out, m, reports)
	}
	for i := range reports {
		p.carryReport(m, &reports[i], c.all)
	}
	if out != nil {
		p.written(len(done), target, c.out)
	}
	return exitDone, nil
}

// carried writes what was carried over onto the figure of a place.
func (at *place) carried(out *output, target *rig.Rig, done []*carry.Result, format string) error {
	return at.with(func(s *desk.Source) error {
		saved, err := desk.Carried(s, target, done, format)
		if err != nil {
			return err
		}
		return out.bytes(saved.Data, saved.Holds)
	})
}

// written tells of a file with carried clips.
func (p *program) written(clips int, target *rig.Rig, name string) {
	fmt.Fprintf(p.out, "%s %s of %q written to %s\n", say.Whole(clips), say.Word(clips, "clip", "clips"), line(target.File.Name), line(name))
}

// clipsNamed answers the clips that --clip means; without it the only one.
func clipsNamed(r *rig.Rig, which string) ([]rig.Clip, error) {
	all, err := desk.Clips(r, nil)
	switch {
	case err != nil || which == "all":
		return all, err
	case which == "" && len(r.Clips) == 1:
		return []rig.Clip{0}, nil
	case which == "":
		return nil, callError{fmt.Sprintf("--clip: want all or one of %s", clipNames(r))}
	}
	if i := slices.IndexFunc(r.Clips, func(c rig.ClipData) bool { return c.Name == which }); i >= 0 {
		return []rig.Clip{rig.Clip(i)}, nil
	}
	if n, err := strconv.Atoi(which); err == nil && n >= 0 && n < len(r.Clips) {
		return []rig.Clip{rig.Clip(n)}, nil
	}
	return nil, callError{fmt.Sprintf("--clip %q: want all or one of %s", which, clipNames(r))}
}

// clipCalled names the source's clip by its number, and its name where it has one.
func clipCalled(clip rig.Clip, name rig.Name) string {
	if name == "" {
		return fmt.Sprintf("clip %d", clip)
	}
	return fmt.Sprintf("clip %d %q", clip, line(string(name)))
}

// carryReport prints a report for reading: one sentence, what to look at, and with all
// the rest.
func (p *program) carryReport(m *match.Match, r *carry.Report, all bool) {
	fmt.Fprintf(p.out, "%s, %s → %s, clip %q: %s over %s\n", line(m.S.Rig.File.Name), clipCalled(r.SourceClip, r.SourceName), line(m.T.Rig.File.Name), r.Name, typed(say.Count(r.Frames, "keyframe", "keyframes")), typed(say.Quantity(r.Seconds, say.Second)))
	fmt.Fprintf(p.out, "  %s\n", typed(line(r.Said)))
	rest := 0
	for _, row := range r.Rows {
		if row.Grade == "" && !all {
			rest++
			continue
		}
		fmt.Fprintf(p.out, "  %-5s %s\n", row.Grade, typed(line(row.Text)))
	}
	if rest > 0 {
		fmt.Fprintf(p.out, "        %s, as they should be: --all\n", typed(say.Count(rest, "more row", "more rows")))
	}
}
