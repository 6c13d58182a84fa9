package main

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"io"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
)

// largest is the greatest width or height of a picture, in pixels.
const largest = 8192

// picture draws what the page would show.
func (p *program) picture(args []string) (int, error) {
	f := flag.NewFlagSet("picture", flag.ContinueOnError)
	var m moment
	m.flags(f)
	to := f.String("out", "", "")
	lens := f.String("lens", "plain", "")
	joint := f.String("joint", "", "")
	from := f.String("from", "three-quarter", "")
	size := f.String("size", "1280x800", "")
	paper := f.String("paper", "day", "")
	number := f.Int("finding", 0, "")
	weld := f.Float64("weld", 0, "")
	section := f.Bool("section", false, "")
	split := f.Bool("split", false, "")
	noBones := f.Bool("no-bones", false, "")
	noPointers := f.Bool("no-pointers", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	name, err := one(files)
	if err != nil {
		return 0, err
	}
	if *to == "" {
		return 0, callError{"--out names the picture to write"}
	}
	out, err := p.output("--out", *to, name)
	if err != nil {
		return 0, err
	}
	st := scene.State{Split: *split, Bones: !*noBones, Pointers: !*noPointers, Staff: true, Night: *paper == "night", Joint: rig.None, Clip: rig.None}
	if st.Width, st.Height, err = pixels(*size); err != nil {
		return 0, err
	}
	if *paper != "day" && *paper != "night" {
		return 0, callError{fmt.Sprintf("--paper %q: want day or night", *paper)}
	}
	var own bool // a lens of the scene's own; else the examination makes it
	if st.Lens, own = scene.LensNamed(*lens); !own {
		st.Lens = scene.Measured
		if names := lensNames(); !slices.Contains(names, *lens) {
			return 0, callError{fmt.Sprintf("--lens %q: want one of %s", *lens, strings.Join(names, ", "))}
		}
	}
	view, ok := camera.FromNamed(*from)
	if !ok {
		return 0, callError{fmt.Sprintf("--from %q: want three-quarter, front, left or back", *from)}
	}
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	if err := m.resolve(r, &st); err != nil {
		return 0, err
	}
	if st.Joint, err = jointNamed(r, "joint", *joint); err != nil {
		return 0, err
	}
	if st.Joint < 0 && st.Move.Axis != "" {
		st.Joint = st.Move.Joint // the page shows a move from its joint's card
	}
	if st.Lens == scene.Influence && st.Joint < 0 {
		return 0, callError{"--lens influence needs --joint NAME"}
	}
	if st.Joint >= 0 {
		st.Chosen = scene.Choice{Kind: scene.OnJoint, Node: st.Joint, Surface: -1}
	}
	if *section && (st.Joint < 0 || *number != 0) {
		return 0, callError{"--section inks the section around one joint: it needs --joint NAME, and no --finding"}
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(name), err)
	}
	prepared, err := scene.Prepare(context.Background(), r, nil)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(name), err)
	}
	s := scene.New(r, prepared, found.Fields(res))
	findings := res.Findings()
	st.PointerList = found.Pointers(res)
	if *number < 0 || *number > len(findings) {
		return 0, callError{fmt.Sprintf("--finding %d: this file has %d", *number, len(findings))}
	}
	if *number > 0 && st.Move.Axis == "" && st.Clip < 0 {
		st.Move = found.MoveOf(&findings[*number-1]) // a finding of a move shows in its own pose
	}
	st.Camera = s.View(&st, view)
	if !own {
		field, err := found.Field(res, *lens, found.Params{Weld: *weld, Joint: st.Joint, Move: st.Move})
		if err != nil {
			return 0, callError{"--" + err.Error()}
		}
		s.SetField(field)
	}
	if *number != 0 {
		st.Chosen = scene.Choice{Kind: scene.OnFinding, Number: *number, Node: rig.None, Surface: -1}
		s.SetOverlay(found.Overlay(res, *number))
		if places := found.Places(res, &findings[*number-1]); len(places) > 0 {
			st.Camera = s.ViewOf(&st, places[0])
		}
	}
	if *section {
		o := found.SectionOverlay(res, st.Joint)
		if o == nil {
			return 0, callError{fmt.Sprintf("--section: no closed section was measured around joint %s", res.Exam.NodeName(st.Joint))}
		}
		s.SetOverlay(o)
		st.Camera = s.ViewOf(&st, scene.Place{Surface: -1, Node: st.Joint})
	}
	pic := s.Draw(&st)
	if err := out.write(func(w io.Writer) error { return writePicture(w, pic) }, nil); err != nil {
		return 0, err
	}
	fmt.Fprintln(p.err, s.Caption(&st))
	return exitDone, nil
}

// lensNames are all that --lens takes.
func lensNames() (names []string) {
	for _, l := range scene.Lenses() {
		names = append(names, l.String())
	}
	return append(names, found.LensNames()...)
}

// pixels reads "1280x800".
func pixels(size string) (w, h int, err error) {
	if n, err := fmt.Sscanf(size, "%dx%d", &w, &h); n != 2 || err != nil || w < 16 || h < 16 || w > largest || h > largest {
		return 0, 0, callError{fmt.Sprintf("--size %q: want WIDTHxHEIGHT, each from 16 to %d", size, largest)}
	}
	return w, h, nil
}

// jointNamed finds the joint that an option names, or by "#" and its node index where names are
// missing or not unique.
func jointNamed(r *rig.Rig, option, name string) (rig.Node, error) {
	if name == "" {
		return rig.None, nil
	}
	var index int
	if n, err := fmt.Sscanf(name, "#%d", &index); n == 1 && err == nil && index >= 0 && index < len(r.Nodes) {
		return rig.Node(index), nil
	}
	found := rig.Node(rig.None)
	for i, in := range r.Joints() {
		n := rig.Node(i)
		if !in || r.Nodes[n].Name != name {
			continue
		}
		if found >= 0 {
			return 0, callError{fmt.Sprintf("--%s %q: nodes %d and %d have that name; name one as #%d", option, name, found, n, n)}
		}
		found = n
	}
	if found < 0 {
		return 0, callError{fmt.Sprintf("--%s %q: no joint has that name", option, name)}
	}
	return found, nil
}

// writePicture encodes a picture as PNG.
func writePicture(w io.Writer, pic scene.Picture) error {
	img := image.NewNRGBA(image.Rect(0, 0, pic.W, pic.H))
	for i, c := range pic.Pix[:pic.W*pic.H] {
		img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2], img.Pix[4*i+3] = uint8(c), uint8(c>>8), uint8(c>>16), 255
	}
	return png.Encode(w, img)
}
