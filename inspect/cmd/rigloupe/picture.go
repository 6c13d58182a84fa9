package main

import (
	"cmp"
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
	"rigloupe/viewer/texels"
)

// largest is the greatest width or height of a picture, in pixels.
const largest = 8192

// shot is a call of picture: what is to be drawn, and onto what.
type shot struct {
	m       moment
	file    string
	out     *output
	lens    string
	own     bool // the lens is the scene's; else the examination makes it
	joint   string
	view    camera.From
	finding int  // from 1; 0: none
	asked   bool // the call names the side to look from
	weld    float64
	section bool
	state   scene.State
}

// picture draws what the page would show.
func (p *program) picture(args []string) (int, error) {
	c, err := p.shot(args)
	if err != nil {
		return 0, err
	}
	r, err := p.open(c.file)
	if err != nil {
		return 0, err
	}
	if err := c.resolve(r); err != nil {
		return 0, err
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(c.file), err)
	}
	prepared, err := scene.Prepare(context.Background(), r, nil)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(c.file), err)
	}
	s := scene.New(r, prepared, found.Fields(res))
	s.DecodeBy(texels.Decode)
	if err := c.dress(s, res); err != nil {
		return 0, err
	}
	pic := s.Draw(&c.state)
	if err := c.out.write(func(w io.Writer) error { return writePicture(w, pic) }, nil); err != nil {
		return 0, err
	}
	fmt.Fprintln(p.err, s.Caption(&c.state))
	return exitDone, nil
}

// shot reads a call; all that can be wrong without a look at the file is told here.
func (p *program) shot(args []string) (*shot, error) {
	c := &shot{}
	f := flag.NewFlagSet("picture", flag.ContinueOnError)
	c.m.flags(f)
	to := f.String("out", "", "")
	f.StringVar(&c.lens, "lens", "plain", "")
	f.StringVar(&c.joint, "joint", "", "")
	from := f.String("from", "", "")
	size := f.String("size", "1280x800", "")
	paper := f.String("paper", "day", "")
	f.IntVar(&c.finding, "finding", 0, "")
	f.Float64Var(&c.weld, "weld", 0, "")
	f.BoolVar(&c.section, "section", false, "")
	split := f.Bool("split", false, "")
	noBones := f.Bool("no-bones", false, "")
	noPointers := f.Bool("no-pointers", false, "")
	files, err := parse(f, args)
	if err != nil {
		return nil, err
	}
	if c.file, err = one(files); err != nil {
		return nil, err
	}
	if *to == "" {
		return nil, callError{"--out names the picture to write"}
	}
	if c.out, err = p.output("--out", *to, c.file); err != nil {
		return nil, err
	}
	c.state = scene.State{Split: *split, Bones: !*noBones, Pointers: !*noPointers, Staff: true, Night: *paper == "night", Joint: rig.None, Clip: rig.None}
	if c.state.Width, c.state.Height, err = pixels(*size); err != nil {
		return nil, err
	}
	if *paper != "day" && *paper != "night" {
		return nil, callError{fmt.Sprintf("--paper %q: want day or night", *paper)}
	}
	if c.state.Lens, c.own = scene.LensNamed(c.lens); !c.own {
		c.state.Lens = scene.Measured
		if names := lensNames(); !slices.Contains(names, c.lens) {
			return nil, callError{fmt.Sprintf("--lens %q: want one of %s", c.lens, strings.Join(names, ", "))}
		}
	}
	c.asked = *from != ""
	ok := false
	if c.view, ok = camera.FromNamed(cmp.Or(*from, camera.ThreeQuarter.String())); !ok {
		return nil, callError{fmt.Sprintf("--from %q: want three-quarter, front, left or back", *from)}
	}
	return c, nil
}

// resolve finds what the call names in the figure: clip, move and joint.
func (c *shot) resolve(r *rig.Rig) (err error) {
	st := &c.state
	if err := c.m.resolve(r, st); err != nil {
		return err
	}
	if st.Joint, err = jointNamed(r, "joint", c.joint); err != nil {
		return err
	}
	if st.Joint < 0 && st.Move.Axis != "" {
		st.Joint = st.Move.Joint // the page shows a move from its joint's card
	}
	if st.Lens == scene.Influence && st.Joint < 0 {
		return callError{"--lens influence needs --joint NAME"}
	}
	if st.Joint >= 0 {
		st.Chosen = scene.Choice{Kind: scene.OnJoint, Node: st.Joint, Surface: -1}
	}
	if c.section && (st.Joint < 0 || c.finding != 0) {
		return callError{"--section inks the section around one joint: it needs --joint NAME, and no --finding"}
	}
	return nil
}

// dress gives the scene what the examination found: pointers, the lens, what is chosen, and
// the place to look from.
func (c *shot) dress(s *scene.Scene, res *inspect.Result) error {
	st, findings := &c.state, res.Findings()
	st.PointerList = found.Pointers(res)
	if c.finding < 0 || c.finding > len(findings) {
		return callError{fmt.Sprintf("--finding %d: this file has %d", c.finding, len(findings))}
	}
	if c.finding > 0 && st.Move.Axis == "" && st.Clip < 0 {
		st.Move = found.MoveOf(&findings[c.finding-1]) // a finding of a move shows in its own pose
	}
	st.Camera = s.View(st, c.view)
	if !c.own {
		field, err := found.Field(res, c.lens, found.Params{Weld: c.weld, Joint: st.Joint, Move: st.Move})
		if err != nil {
			return callError{"--" + err.Error()}
		}
		s.SetField(field)
	}
	if c.finding != 0 {
		st.Chosen = scene.Choice{Kind: scene.OnFinding, Number: c.finding, Node: rig.None, Surface: -1}
		s.SetOverlay(found.Overlay(res, c.finding))
		if places := found.Places(res, &findings[c.finding-1]); len(places) > 0 {
			st.Camera = c.near(s, places[0])
		}
	}
	if c.section {
		o := found.SectionOverlay(res, st.Joint)
		if o == nil {
			return callError{fmt.Sprintf("--section: no closed section was measured around joint %s", res.Exam.NodeName(st.Joint))}
		}
		s.SetOverlay(o)
		st.Camera = c.near(s, scene.Place{Surface: -1, Node: st.Joint})
	}
	return nil
}

// near looks at a place: from the side that the call names, else from where it shows best.
func (c *shot) near(s *scene.Scene, place scene.Place) camera.Camera {
	if c.asked {
		return s.ViewFrom(&c.state, place, c.view)
	}
	return s.ViewOf(&c.state, place)
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
