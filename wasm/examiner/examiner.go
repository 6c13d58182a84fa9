// Command examiner is the program of the worker: it reads files, examines them and
// tells what it finds while it works. Everything it says is a message of package
// bridge; what is large crosses as bytes beside it.
package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strconv"
	"time"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/draco"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
	"rigloupe/viewer/texels"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
	"rigloupe/wasm/heap"
)

// memoryLimit is what the numbers of one file may take when decoded: browsers were
// seen to end a program between 1 and 2 GB, and the figure is there twice while it
// crosses.
const memoryLimit = 600 << 20

// often is the least time between two progress messages.
const often = 30 * time.Millisecond

// examiner answers asks, one at a time.
type examiner struct {
	tell    func(message any, parcel []byte, end bool) // parcel nil: none; end: the last of an ask
	send    func(message, v any) error                 // tell with what v is packed to, which then never lies here; nil: it does
	breathe func()                                     // lets a request to stop in
	memory  func() float64                             // bytes in use
	clock   func() time.Time
	draco   draco.Start // nil: none

	result *inspect.Result // of the last examination: judged again with other limits
	id     int
	told   time.Time // the last progress message
	long   int       // bytes of the document that was told last
	room   []byte    // that one, while stations are told of
	titles map[string]string
	other  other // a second file, for the open figure
	mend   mending
	board  board           // the figure before a fit
	shots  shots           // of the result
	limits check.Overrides // that the result was judged with

	breathed time.Time // see breathing
}

// catalogue tells all checks.
func (x *examiner) catalogue(_ context.Context, _ bridge.AskNothing, _ []gltfio.File) (ending, error) {
	return x.text("catalogue", inspect.WriteCatalogue)
}

func (x *examiner) askExamine(ctx context.Context, a bridge.AskExamine, files []gltfio.File) (ending, error) {
	return ending{}, x.examine(ctx, files, a.Limits)
}

// sample builds the built-in figure and examines it.
func (x *examiner) sample(ctx context.Context, a bridge.AskSample, _ []gltfio.File) (ending, error) {
	x.progress("read", "Reading", 0, 1, "Building the sample figure")
	file, err := desk.Sample{Pose: a.Pose, Names: a.Names, Vertices: a.Size, Number: a.Fault}.File()
	if err != nil {
		return ending{}, err
	}
	x.tell(bridge.Parcel{ID: x.id, Kind: "file", Name: file.Name}, file.Data, false)
	return ending{}, x.examine(ctx, []gltfio.File{file}, a.Limits)
}

// judge holds the facts against other limits.
func (x *examiner) judge(ctx context.Context, a bridge.AskJudge, _ []gltfio.File) (ending, error) {
	limits, err := parseLimits(a.Limits)
	if err != nil {
		return ending{}, err
	}
	if err := x.judgeMended(ctx, limits); err != nil {
		return ending{}, err
	}
	x.limits = limits
	x.rest()
	return x.text("result", x.writeJSON)
}

func (x *examiner) list(_ context.Context, a bridge.AskList, _ []gltfio.File) (ending, error) {
	return x.text("list", func(w io.Writer) error { return x.result.WriteList(w, a.Number) })
}

func (x *examiner) joints(_ context.Context, _ bridge.AskNothing, _ []gltfio.File) (ending, error) {
	return x.text("joints", x.result.WriteJoints)
}

func (x *examiner) writeJSON(w io.Writer) error { return x.result.WriteJSON(w, false) }

func parseLimits(text string) (check.Overrides, error) {
	if text == "" {
		return nil, nil
	}
	return inspect.ParseLimits([]byte(text))
}

// source is what was handed over, with what unpacks it.
func (x *examiner) source(files []gltfio.File) *desk.Source {
	s := desk.Files(files...)
	s.Draco = x.draco
	return s
}

// open reads what was handed over and lets go of its bytes.
func (x *examiner) open(files []gltfio.File) (*rig.Rig, error) {
	from := x.source(slices.Clone(files))
	from.Memory = memoryLimit
	clear(files)
	return from.Open()
}

// shownAfter is the station after which the fields that lenses show are told: those
// before it measure them, those after it may take seconds.
const shownAfter = "binding"

// drawnFirst is the most triangles of a figure that is engraved after engravedAfter, the
// first station, whose answers are quick: they come before the lines do. How open each place
// lies, which takes longer, comes after all answers. A heavier one is drawn in full, see
// drawnAfter.
const (
	drawnFirst    = 60000
	engravedAfter = "intake"
)

// drawnEarly is from how many triangles on a figure is drawn before stations fill the memory:
// drawing takes as much as any of them, and then they take what it leaves.
const drawnEarly = 400_000

// drawnAfter is the station after which a figure of so many triangles is drawn in full.
func drawnAfter(triangles int) string {
	if triangles < drawnEarly {
		return shownAfter
	}
	return engravedAfter
}

// examine reads, shows and examines: first the picture, then what is wrong with it.
func (x *examiner) examine(ctx context.Context, files []gltfio.File, limitsText string) error {
	limits, err := parseLimits(limitsText)
	if err != nil {
		return err
	}
	x.result, x.other, x.mend, x.limits, x.long, x.shots = nil, other{}, mending{}, limits, 0, shots{}
	x.progress("read", "Reading", 0, 1, "Reading the file")
	loosen(files)
	r, err := x.open(files)
	if err != nil {
		return err
	}
	collect()
	x.progress("read", "Reading", 1, 1, "The file is read")
	x.tell(bridge.Left{ID: x.id, Kind: "left", Words: append([]string{}, scene.LeftOut(r)...)}, nil, false)
	if err := x.parcel("sketch", scene.SketchForStage(r)); err != nil {
		return err
	}
	if err := x.parcel("rig", scene.ForStage(r)); err != nil {
		return err
	}
	for _, i := range scene.Pictures(r) {
		x.tell(bridge.Parcel{ID: x.id, Kind: "picture", Name: strconv.Itoa(i)}, r.Images[i].Data, false)
	}
	shade := func() error { return nil }
	draw, after := func() error { return x.draw(ctx, r) }, drawnAfter(triangles(r))
	if triangles(r) <= drawnFirst {
		draw, after = func() (err error) {
			shade, err = x.engrave(ctx, r)
			return err
		}, engravedAfter
	}
	if err := x.stations(ctx, r, limits, draw, after); err != nil {
		return err // where it could not be drawn the sketch stays, and what was found
	}
	return shade()
}

// triangles counts those of all surfaces.
func triangles(r *rig.Rig) (n int) {
	for _, s := range r.Surfaces {
		if s.Mesh >= 0 && int(s.Mesh) < len(r.Meshes) {
			n += len(r.Meshes[s.Mesh].Triangles) / 3
		}
	}
	return n
}

// draw works out what the engraving needs, once.
func (x *examiner) draw(ctx context.Context, r *rig.Rig) error {
	prepared, err := scene.Prepare(ctx, r, x.drawing(ctx))
	if err != nil {
		return err
	}
	return x.parcel("prepared", prepared)
}

// engrave tells the drawing without how open its places lie; shade tells it once more
// with that.
func (x *examiner) engrave(ctx context.Context, r *rig.Rig) (shade func() error, err error) {
	prepared, open, err := scene.Engrave(ctx, r, x.drawing(ctx))
	if err != nil {
		return nil, err
	}
	return func() error {
		if err := open(ctx); err != nil {
			return err
		}
		return x.parcel("prepared", prepared)
	}, x.parcel("prepared", prepared)
}

// drawing tells how far the drawing is.
func (x *examiner) drawing(ctx context.Context) func(done, total int) error {
	return func(done, total int) error {
		x.progress("draw", "Drawing", done, total, fmt.Sprintf("Drawing: %d of %d", done, total))
		return ctx.Err()
	}
}

// stations runs the examination itself; draw is called after the station of that name.
// Stopped or broken off, what was found until then is told all the same; what cannot be
// drawn ends no examination.
func (x *examiner) stations(ctx context.Context, r *rig.Rig, limits check.Overrides, draw func() error, after string) error {
	x.titles = stationTitles()
	var failed, undrawn error
	result, err := inspect.Examine(ctx, r, inspect.Options{
		Limits: limits,
		Progress: func(station string, done, total int) {
			x.progress(station, x.titles[station], done, total, fmt.Sprintf("%s: %d of %d", x.titles[station], done, total))
		},
		Done: func(res *inspect.Result) {
			x.result = res
			if len(res.Stations) < len(x.titles) { // after the last the result says the same
				if err := x.partial(); err != nil && failed == nil {
					failed = err
				}
			}
			x.rest()
			name := res.Stations[len(res.Stations)-1].Name
			if failed == nil && name == after {
				undrawn = draw()
				collect()
			}
			if failed == nil && name == shownAfter {
				failed = x.parcel("fields", found.Fields(res))
			}
		},
	})
	if result != nil {
		x.result = result
		document, err := x.result.AppendJSON(x.room[:0], false)
		if err != nil {
			return err
		}
		x.room = nil
		x.tell(bridge.Document{ID: x.id, Kind: "result", JSON: string(document)}, nil, false)
	}
	if err != nil {
		return err
	}
	return cmp.Or(failed, undrawn)
}

// muchHeld is from where on memory is kept tight, bytes.
const muchHeld = 128 << 20

// collect gives back what a station left behind, where that may be much: with one thread the
// collector gets too little done beside the work.
func collect() { heap.Ease(muchHeld) }

// rest is collect of what the examination on the desk can work out again, too.
func (x *examiner) rest() {
	if x.result != nil && heap.Over(muchHeld) {
		x.result.Rest(nil)
	}
	collect()
}

// smallFile is the most bytes of files that are read with a heap that grows as it will:
// numbers may take 64 times as much as the bytes they are packed in.
const smallFile = 1 << 20

// loosen sets how far the heap may grow while files are read: what comes of large ones is
// not known before collect.
func loosen(files []gltfio.File) {
	bytes := 0
	for i := range files {
		bytes += len(files[i].Data)
	}
	if bytes <= smallFile {
		collect()
	}
}

// progress tells how far a station is, at most each 30 ms apart from its start and
// end, and lets a request to stop in.
func (x *examiner) progress(station, title string, done, total int, text string) {
	now := x.clock()
	if now.Sub(x.told) < often && done != 0 && done != total {
		return
	}
	x.told = now
	x.tell(bridge.Progress{
		ID: x.id, Kind: "progress", Station: station, StationTitle: title,
		Done: done, Total: total, Text: text, Memory: x.memory(),
	}, nil, false)
	x.breathe()
}

// longDocument is from where on a document is only told when it has doubled: the page
// reads each at once, about 10 ms a megabyte.
const longDocument = 2 << 20

// partial tells what is found so far.
func (x *examiner) partial() error {
	document, err := x.result.AppendJSON(x.room[:0], false)
	if err != nil {
		return err
	}
	x.room = document
	if len(document) > longDocument && len(document) < 2*x.long {
		return nil
	}
	x.long = len(document)
	x.tell(bridge.Document{ID: x.id, Kind: "partial", JSON: string(document)}, nil, false)
	return nil
}

// paint decodes pictures for the stage: in a worker of its own, whose memory is given
// back afterwards.
func (x *examiner) paint(ctx context.Context, _ bridge.AskNothing, files []gltfio.File) (ending, error) {
	for i := range files {
		place, err := strconv.Atoi(files[i].Name)
		if err != nil {
			return ending{}, fmt.Errorf("picture %q: want its place in the file", files[i].Name)
		}
		t := scene.Decoder(texels.Decode).Texture(place, files[i].Data)
		files[i].Data = nil
		if t != nil {
			if err := x.parcel("texture", t); err != nil {
				return ending{}, err
			}
		}
		runtime.GC() // the next may be as large, and nothing is given back before the end
		x.breathe()
		if err := ctx.Err(); err != nil {
			return ending{}, err
		}
	}
	return ending{message: bridge.Document{ID: x.id, Kind: "painted"}}, nil
}

func (x *examiner) parcel(kind string, v any) error {
	if x.send != nil {
		return x.send(bridge.Parcel{ID: x.id, Kind: kind}, v)
	}
	data, err := flat.Pack(v)
	if err != nil {
		return err
	}
	x.tell(bridge.Parcel{ID: x.id, Kind: kind}, data, false)
	return nil
}
