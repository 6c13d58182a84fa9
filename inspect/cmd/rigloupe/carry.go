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

// carry lays clips of one file over the skeleton of another.
func (p *program) carry(args []string) (int, error) {
	f := flag.NewFlagSet("carry", flag.ContinueOnError)
	which, pinFile, name, to := f.String("clip", "", ""), f.String("pins", "", ""), f.String("name", "", ""), f.String("out", "", "")
	free, asJSON, all := f.Bool("free-feet", false, ""), f.Bool("json", false, ""), f.Bool("all", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	kind := strings.ToLower(filepath.Ext(*to))
	if *to != "" && kind != ".glb" && kind != ".bvh" {
		return 0, callError{fmt.Sprintf("--out %q: want a name that ends in .glb or .bvh", *to)}
	}
	if len(files) != 2 {
		return 0, callError{fmt.Sprintf("want SOURCE and TARGET, got %d files", len(files))}
	}
	out, err := p.output("--out", *to, append(files, *pinFile)...)
	if err != nil {
		return 0, err
	}
	source, err := p.open(files[0])
	if err != nil {
		return 0, err
	}
	at, err := p.find(files[1])
	if err != nil {
		return 0, err
	}
	target, err := at.read()
	if err != nil {
		return 0, err
	}
	clips, err := clipsNamed(source, *which)
	if err != nil {
		return 0, err
	}
	switch {
	case len(clips) > 1 && kind == ".bvh":
		return 0, callError{"--out: a .bvh holds one clip; choose it with --clip"}
	case len(clips) > 1 && *name != "":
		return 0, callError{"--name names one clip; choose it with --clip"}
	}
	list, err := p.pins(*pinFile, source, target)
	if err != nil {
		return 0, err
	}
	m := match.Find(source, target, list...)
	done, reports, err := carry.All(context.Background(), m, clips, carry.Options{FreeFeet: *free, Name: *name})
	if err != nil {
		return 0, err
	}
	if out != nil {
		err := at.with(func(s *desk.Source) error {
			saved, err := desk.Carried(s, target, done, kind[1:])
			if err != nil {
				return err
			}
			return out.bytes(saved.Data, saved.Holds)
		})
		if err != nil {
			return 0, err
		}
	}
	if *asJSON {
		return exitDone, carry.WriteJSON(p.out, m, reports)
	}
	for i := range reports {
		p.carryReport(m, &reports[i], *all)
	}
	if *to != "" {
		fmt.Fprintf(p.out, "%s %s of %q written to %s\n", say.Whole(len(done)), say.Word(len(done), "clip", "clips"), line(target.File.Name), line(*to))
	}
	return exitDone, nil
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

// carryReport prints a report for reading: one sentence, what to look at, and with all
// the rest.
func (p *program) carryReport(m *match.Match, r *carry.Report, all bool) {
	fmt.Fprintf(p.out, "%s, clip %d %q → %s, clip %q: %s over %s\n", line(m.S.Rig.File.Name), r.SourceClip, r.SourceName, line(m.T.Rig.File.Name), r.Name, typed(say.Count(r.Frames, "keyframe", "keyframes")), typed(say.Quantity(r.Seconds, say.Second)))
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
