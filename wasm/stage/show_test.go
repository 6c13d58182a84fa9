package stage

import (
	"context"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// sample is the small figure as the examiner hands it over.
var sample = sync.OnceValues(func() (figure, prepared []byte) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	p, err := scene.Prepare(context.Background(), r, nil)
	if err != nil {
		panic(err)
	}
	if figure, err = flat.Pack(r); err != nil {
		panic(err)
	}
	if prepared, err = flat.Pack(p); err != nil {
		panic(err)
	}
	return figure, prepared
})

// bench is a show on a desk of its own: time goes only when the test says so.
type bench struct {
	*show
	t  *testing.T
	at time.Duration
}

func open(t *testing.T) *bench {
	t.Helper()
	return opened(t, 320, 200)
}

// opened is a stage of w × h pixels with the sample on it.
func opened(t *testing.T, w, h int) *bench {
	t.Helper()
	b := &bench{show: newShow(), t: t}
	b.resize(w, h)
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	return b
}

func (b *bench) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

// after lets time pass, one frame each 20 ms, and answers how many pictures were new.
func (b *bench) after(d time.Duration) (pictures int) {
	for end := b.at + d; b.at < end; {
		b.at += 20 * time.Millisecond
		if b.tick(b.at, func() time.Duration { return b.at }) {
			pictures++
		}
	}
	return pictures
}

func TestNothingOnTheStage(t *testing.T) {
	b := &bench{show: newShow(), t: t}
	b.resize(320, 200)
	if n := b.after(time.Second); n != 1 || !b.idle() {
		t.Errorf("%d pictures of an empty stage, idle %v", n, b.idle())
	}
	day := b.pic.Pix[0]
	b.must(b.set(&bridge.Show{Paper: new("night")}))
	if n := b.after(time.Second); n != 1 || b.pic.Pix[0] == day {
		t.Errorf("%d pictures of the other paper", n)
	}
	if err := b.prepared(nil, steady); err == nil {
		t.Error("bytes that are none were taken")
	}
	_, p := sample()
	if err := b.prepared(append([]byte(nil), p...), steady); err == nil || !strings.Contains(err.Error(), "no figure") {
		t.Errorf("%v", err)
	}
	if h := b.pick(10, 10); h.Kind != scene.Nothing || h.Surface != -1 {
		t.Errorf("%+v lies on an empty stage", h)
	}
	b.move(b.state.Camera.Turn(1, 1)) // nothing to turn, nothing breaks
	b.frameAll()
}

// A picture at once, a finer one when nothing has moved for 120 ms, then none.
func TestRefinesWhenStill(t *testing.T) {
	b := open(t)
	if n := b.after(20 * time.Millisecond); n != 1 || !b.state.Moving || b.fine {
		t.Fatalf("%d pictures at once, moving %v, fine %v", n, b.state.Moving, b.fine)
	}
	if n := b.after(60 * time.Millisecond); n != 0 {
		t.Errorf("%d pictures before it is still", n)
	}
	if n := b.after(100 * time.Millisecond); n != 1 || b.state.Moving || !b.fine {
		t.Errorf("%d pictures, moving %v, fine %v: want one fine one", n, b.state.Moving, b.fine)
	}
	if n := b.after(2 * time.Second); n != 0 || !b.idle() {
		t.Errorf("%d pictures of a still figure, idle %v", n, b.idle())
	}
	_, p := sample()
	b.must(b.prepared(append([]byte(nil), p...), steady))
	if b.idle() {
		t.Error("the lines are there, but no frame is asked for")
	}
	if n := b.after(time.Second); n != 2 {
		t.Errorf("%d pictures with lines, want a quick one and a fine one", n)
	}
}

func TestClock(t *testing.T) {
	b := open(t)
	clip := &b.rig.Clips[0]
	b.must(b.set(&bridge.Show{Clip: new(0)}))
	b.after(500 * time.Millisecond)
	if b.state.Seconds != clip.Start {
		t.Errorf("a clip that is chosen stands at %g, want its start", b.state.Seconds)
	}
	b.must(b.set(&bridge.Show{Playing: new(true), Speed: new(.5)}))
	if n := b.after(400 * time.Millisecond); n != 20 {
		t.Errorf("%d pictures in 20 frames of play", n)
	}
	near(t, "half speed", b.state.Seconds, clip.Start+.2)
	if !b.state.Moving || b.idle() {
		t.Error("it plays, but is not moving")
	}
	// Round and round.
	b.must(b.set(&bridge.Show{Seconds: new(clip.Seconds - .005), Speed: new(1.)}))
	b.after(20 * time.Millisecond)
	near(t, "past the end", b.state.Seconds, clip.Start+.015)
	// Pause holds the time.
	b.must(b.set(&bridge.Show{Playing: new(false)}))
	held := b.state.Seconds
	b.after(time.Second)
	near(t, "paused", b.state.Seconds, held)
	if !b.idle() {
		t.Error("paused and still, but frames are asked for")
	}
	// Frames one by one, held at the ends.
	b.step(3, 30)
	near(t, "three frames on", b.state.Seconds, held+.1)
	b.step(-1000, 30)
	near(t, "back to the start", b.state.Seconds, clip.Start)
	b.step(1e9, 0)
	near(t, "on to the end", b.state.Seconds, clip.Seconds)
	// Rest has no time.
	b.must(b.set(&bridge.Show{Clip: new(-1), Playing: new(true)}))
	b.after(100 * time.Millisecond)
	if b.playing || b.state.Seconds != 0 {
		t.Errorf("the rest pose plays: %v, %g", b.playing, b.state.Seconds)
	}
}

// A move plays there and back within its range, and the page hears the angle.
func TestMovePlays(t *testing.T) {
	b := open(t)
	joint := -1
	for i := range b.rig.Nodes {
		if b.rig.Nodes[i].Name == "lowerArm_L" {
			joint = i
		}
	}
	turns := b.turns(joint)
	if len(turns) != 2 || turns[0].Axis != "flexion" || turns[0].Min != 0 || turns[0].Max != 150 || turns[0].Source == "" {
		t.Fatalf("the elbow's moves: %+v", turns)
	}
	if none := b.turns(-1); none == nil || len(none) != 0 {
		t.Errorf("no joint moves: %+v", none)
	}
	b.must(b.set(&bridge.Show{Move: &bridge.Move{Joint: joint, Axis: "flexion", Degrees: 30}}))
	b.after(300 * time.Millisecond)
	bent := slices.Clone(b.pic.Pix)
	near(t, "held", b.state.Move.Degrees, 30)
	if got := b.tell().Move; got != (bridge.Move{Joint: joint, Axis: "flexion", Degrees: 30}) {
		t.Errorf("tells %+v", got)
	}
	b.must(b.set(&bridge.Show{Playing: new(true)}))
	b.after(time.Second)
	near(t, "a second on", b.state.Move.Degrees, 90)
	if c, _ := b.changed(); !c.Playing || math.Abs(c.Degrees-90) > 1e-9 {
		t.Errorf("the page hears %+v", c)
	}
	b.after(1500 * time.Millisecond)
	near(t, "turned round at the end", b.state.Move.Degrees, 120)
	b.after(2500 * time.Millisecond)
	near(t, "turned round at the start", b.state.Move.Degrees, 30)
	b.must(b.set(&bridge.Show{Playing: new(false), Split: new(true)}))
	b.after(300 * time.Millisecond)
	if slices.Equal(b.pic.Pix, bent) {
		t.Error("split looks like whole")
	}
	b.must(b.set(&bridge.Show{Split: new(false)}))
	b.after(300 * time.Millisecond)
	differ := 0
	for i, c := range b.pic.Pix {
		if c != bent[i] {
			differ++
		}
	}
	if differ > 0 {
		t.Errorf("whole again, %d pixels are others", differ)
	}
	// Without a move the clip is there again.
	b.must(b.set(&bridge.Show{Move: &bridge.Move{}}))
	if b.state.Move.Axis != "" {
		t.Errorf("still %+v", b.state.Move)
	}
	b.near(2, 10, 10)
	b.must(b.set(&bridge.Show{Split: new(true)}))
	for _, x := range []float64{100, 220} { // what lies under the pointer stays there
		c := b.state
		b.near(1.5, x, 90)
		ax, ay := c.Across(x*b.ratio, 90*b.ratio)
		p := c.Camera.World(ax, ay, c.Camera.Distance)
		px, py, _, _ := b.state.Camera.Pixel(p)
		if math.Abs(px-ax) > 1e-6 || math.Abs(py-ay) > 1e-6 {
			t.Errorf("nearing at %g moves the place by %g %g", x, px-ax, py-ay)
		}
	}
}

// The page hears of time and play only when they change.
func TestChanged(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	b.changed()
	if _, news := b.changed(); news {
		t.Error("told twice")
	}
	b.must(b.set(&bridge.Show{Clip: new(0), Playing: new(true)}))
	b.after(20 * time.Millisecond)
	if c, news := b.changed(); !news || !c.Playing || !c.Moving {
		t.Errorf("%+v, news %v", c, news)
	}
}

func TestGlide(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	from := b.state.Camera
	b.must(b.set(&bridge.Show{From: new("left")}))
	to := b.scene.View(&b.state, camera.Left)
	b.after(100 * time.Millisecond)
	if y := b.state.Camera.Yaw; !(y > from.Yaw && y < to.Yaw) {
		t.Errorf("half way the eye stands at %g, from %g to %g", y, from.Yaw, to.Yaw)
	}
	b.after(200 * time.Millisecond)
	if b.state.Camera != to || b.gliding {
		t.Errorf("arrived at %+v, want %+v", b.state.Camera, to)
	}
	// A hand on the pad ends the glide where it is.
	b.must(b.set(&bridge.Show{From: new("front")}))
	b.after(60 * time.Millisecond)
	b.move(b.state.Camera.Turn(10, 0))
	held := b.state.Camera
	b.after(time.Second)
	if b.state.Camera != held {
		t.Error("the camera went on after the hand took it")
	}
	// Less motion: at once.
	b.must(b.set(&bridge.Show{ReducedMotion: new(true), From: new("back")}))
	if b.gliding || b.state.Camera != b.scene.View(&b.state, camera.Back) {
		t.Error("it glides though less motion is asked for")
	}
	b.frameAll()
	if c := b.state.Camera; c.Yaw != b.scene.View(&b.state, camera.Back).Yaw {
		t.Error("showing the whole figure turned it")
	}
	if b.frame(&bridge.Place{}) || !b.frame(&bridge.Place{Node: new(1)}) {
		t.Error("a place that is not there was framed, or one that is there was not")
	}
}

// A large window gets a smaller picture; CSS pixels stay what the page speaks of.
func TestLargeWindow(t *testing.T) {
	b := open(t)
	b.resize(3840, 2160)
	if n := b.state.Width * b.state.Height; n > mostPixels || n < mostPixels*9/10 {
		t.Errorf("%d × %d: %d pixels", b.state.Width, b.state.Height, n)
	}
	b.must(b.set(&bridge.Show{Inset: []float64{0, 0, 0, 1920}}))
	near(t, "half the window", float64(b.state.Inset[3]), math.Round(1920*b.ratio))
	b.resize(1920, 1200)
	if b.ratio != 1 || b.state.Inset[3] < 1918 || b.state.Inset[3] > 1922 {
		t.Errorf("ratio %g, inset %d", b.ratio, b.state.Inset[3])
	}
	// What lies under the middle of the figure is picked in CSS pixels.
	b.resize(3840, 2160)
	b.must(b.set(&bridge.Show{Inset: []float64{0, 0, 0, 0}, Bones: new(false)}))
	b.frameAll()
	b.after(time.Second)
	x, y, _, _ := b.state.Camera.Pixel([3]float64(b.scene.Box().Center()))
	if h := b.pick(x/b.ratio, y/b.ratio); h.Kind != scene.OnVertex {
		t.Errorf("under the middle of the figure lies %+v", h)
	}
	if h := b.pick(-1, -1); h.Kind != scene.Nothing {
		t.Errorf("outside lies %+v", h)
	}
}

func TestHover(t *testing.T) {
	b := open(t)
	b.after(time.Second)
	n := rig.Node(0)
	o := b.rig.RestWorld()[n].Origin()
	x, y, _, _ := b.state.Camera.Pixel(o)
	if h := b.hover(x, y); h.Kind != scene.OnJoint || b.state.Hover.Kind != scene.OnJoint {
		t.Fatalf("under the hips lies %+v", h)
	}
	if n := b.after(time.Second); n == 0 {
		t.Error("what lies under the pointer is not pointed out")
	}
	b.hover(x, y)
	if !b.idle() {
		t.Error("the same thing is pointed out twice")
	}
	b.hover(-1, -1)
	if b.state.Hover.Kind != scene.Nothing {
		t.Errorf("%+v", b.state.Hover)
	}
}

// Another figure starts afresh; wrong bytes leave the one that is there.
func TestAnotherFigure(t *testing.T) {
	b := open(t)
	b.must(b.set(&bridge.Show{Clip: new(0), Playing: new(true), Lens: new("count"), Joint: new(2), Chosen: &bridge.Chosen{Kind: "joint", Node: new(2)}}))
	b.after(time.Second)
	if err := b.open([]byte("no figure"), nil, steady); err == nil {
		t.Fatal("these bytes are no figure")
	}
	if !b.playing || b.state.Clip != 0 {
		t.Error("wrong bytes changed what is shown")
	}
	if err := b.set(&bridge.Show{From: new("below"), Lens: new("plain")}); err == nil || b.playing == false {
		t.Errorf("%v", err)
	}
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	st := b.tell()
	if st.Playing || st.Clip != -1 || st.Joint != -1 || b.state.Chosen.Kind != scene.Nothing || st.Lens != "count" {
		t.Errorf("%+v", st)
	}
	b.empty()
	if n := b.after(time.Second); n != 1 || b.tell().Shown {
		t.Errorf("%d pictures of the emptied stage", n)
	}
}

// A stage that starts again takes the camera of the one before.
func TestCameraComesBack(t *testing.T) {
	b := open(t)
	b.must(b.set(&bridge.Show{Inset: []float64{10, 60, 30, 40}}))
	b.turn(100, 20)
	b.near(2, 100, 100)
	b.after(time.Second)
	told := b.tell().Camera
	c := open(t)
	c.must(c.set(&bridge.Show{Inset: told.Inset, Camera: &told}))
	if c.state.Camera != b.state.Camera {
		t.Errorf("got %+v, want %+v", c.state.Camera, b.state.Camera)
	}
}

func TestLegend(t *testing.T) {
	b := &bench{show: newShow(), t: t}
	if l := b.legend(); l.Kind != "none" || l.Ticks == nil {
		t.Errorf("%+v", l)
	}
	b = open(t)
	b.must(b.set(&bridge.Show{Lens: new("count")}))
	if l := b.legend(); l.Caption == "" || len(l.Ticks) == 0 {
		t.Errorf("%+v", l)
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) < 1e-6*max(1, math.Abs(want))) {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

// TestFieldAndOverlay: a field is a lens by its own name, an overlay is inked and
// goes; another figure has neither.
func TestFieldAndOverlay(t *testing.T) {
	b := open(t)
	vertices := b.rig.Meshes[0].Vertices()
	field, err := flat.Pack(&scene.Field{Name: "heat", Caption: "Heat. Of a vertex.", High: 1, Values: [][]float32{make([]float32, vertices)}})
	b.must(err)
	overlay, err := flat.Pack(&scene.Overlay{Number: 1, Grade: 3, Spots: []scene.Spots{{Place: []scene.Anchor{scene.OnMesh(0, 0), scene.OnNode(0)}}}})
	b.must(err)
	name, day := "heat", "night"
	if b.set(&bridge.Show{Lens: &name}) == nil {
		t.Error("a lens without its field is shown")
	}
	b.must(b.field(field))
	b.must(b.set(&bridge.Show{Lens: &name, Paper: &day}))
	if s := b.tell(); s.Lens != "heat" || s.Paper != "night" {
		t.Errorf("lens %q, paper %q", s.Lens, s.Paper)
	}
	if l := b.legend(); l.Kind != "ramp" || l.Caption != "Heat. Of a vertex." {
		t.Errorf("%+v", l)
	}
	b.after(time.Second)
	b.must(b.overlay(overlay))
	if b.after(time.Second) == 0 || b.scene.Overlay() == nil {
		t.Error("nothing is drawn anew")
	}
	b.must(b.overlay(nil))
	if b.after(time.Second) == 0 || b.scene.Overlay() != nil {
		t.Error("the overlay stays")
	}
	if b.field([]byte("no")) == nil || b.overlay([]byte("no")) == nil {
		t.Error("other bytes are taken")
	}
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	if s := b.tell(); s.Lens == "heat" || b.scene.Field() != nil {
		t.Errorf("the new figure has lens %q", s.Lens)
	}
}

// A move that is shown beyond the joint's range, as a finding asks for it, plays from
// there: half a turn of a neck that turns by 70° must not jump to its end.
func TestMovePlaysBeyondItsRange(t *testing.T) {
	b := open(t)
	for joint := range b.rig.Nodes {
		for _, turn := range b.turns(joint) {
			if turn.Axis != "rotation" || turn.Max > 90 {
				continue
			}
			b.must(b.set(&bridge.Show{Move: &bridge.Move{Joint: joint, Axis: turn.Axis, Degrees: 180}, Playing: new(true)}))
			b.after(500 * time.Millisecond)
			near(t, "half a second on", b.state.Move.Degrees, 150)
			b.must(b.set(&bridge.Show{Move: &bridge.Move{Joint: joint, Axis: turn.Axis, Degrees: 0}}))
			b.after(10 * time.Second)
			if d := b.state.Move.Degrees; d > turn.Max || d < turn.Min {
				t.Errorf("asked for at rest it plays to %g, beyond %g to %g", d, turn.Min, turn.Max)
			}
			return
		}
	}
	t.Fatal("no joint turns about its own axis")
}

// Until the examiner told the body from its gear no height is pointed out.
func TestHeightWaitsForFields(t *testing.T) {
	b := open(t)
	if !b.state.Unmeasured {
		t.Error("a figure just opened has a height")
	}
	data, err := flat.Pack(&scene.Fields{Stands: [2]float64{0, 1.7}})
	b.must(err)
	b.must(b.fields(data, steady))
	if b.state.Unmeasured {
		t.Error("the height that came is not shown")
	}
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	if !b.state.Unmeasured {
		t.Error("the next figure has the height of the one before")
	}
}

// A mend on trial stands in the right half; the way of splitting that a person asked for
// meanwhile holds when it goes.
func TestTrialBeside(t *testing.T) {
	b := open(t)
	figure, prepared := sample()
	b.must(b.prepared(append([]byte(nil), prepared...), steady))
	b.after(time.Second)
	whole := b.tell().Camera
	b.must(b.trial(append([]byte(nil), figure...), nil, steady))
	if n := b.after(time.Second); n == 0 {
		t.Error("nothing was drawn")
	}
	if st := b.tell(); !st.Beside || !st.Split || st.Camera.Scale >= whole.Scale {
		t.Errorf("beside %v, split %v, scale %g of %g", st.Beside, st.Split, st.Camera.Scale, whole.Scale)
	}
	b.must(b.set(&bridge.Show{Split: new(false)}))
	if !b.tell().Split {
		t.Error("the trial is not seen any more")
	}
	b.must(b.trialPrepared(append([]byte(nil), prepared...), steady))
	b.must(b.trial(nil, nil, steady))
	if st := b.tell(); st.Beside || st.Split || math.Abs(st.Camera.Scale-whole.Scale) > 1e-9*whole.Scale {
		t.Errorf("left: %+v", st)
	}
	b.must(b.trialPrepared(append([]byte(nil), prepared...), steady)) // it comes late
	b.must(b.trial(append([]byte(nil), figure...), append([]byte(nil), prepared...), steady))
	b.must(b.set(&bridge.Show{Split: new(true)}))
	b.must(b.trial(nil, nil, steady))
	if st := b.tell(); st.Beside || !st.Split {
		t.Errorf("the split that was asked for is gone: %+v", st)
	}
	b.must(b.trial(append([]byte(nil), figure...), nil, steady))
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	if b.tell().Beside {
		t.Error("another figure, and the trial of the one before stands beside it")
	}
}

// TestMakeWay: a large figure makes way before another is unpacked, so that both are never in
// memory; the picture stays until the next is there, and a small one stays itself.
func TestMakeWay(t *testing.T) {
	b := open(t)
	b.tick(1, func() time.Duration { return 0 })
	pic := b.pic.W
	b.makeWay(1 << 20)
	if b.scene == nil {
		t.Fatal("one of 1 MB makes the figure go")
	}
	b.makeWay(16 << 20)
	b.touch()
	if b.scene != nil || b.rig != nil {
		t.Error("it does not make way for one of 16 MB")
	}
	if b.tick(2, func() time.Duration { return 0 }) || b.pic.W != pic {
		t.Error("the picture goes with it")
	}
	figure, _ := sample()
	b.must(b.open(append([]byte(nil), figure...), nil, steady))
	if !b.tick(3, func() time.Duration { return 0 }) || b.scene == nil {
		t.Error("the next one is not drawn")
	}
	b.makeWay(16 << 20)
	if err := b.open([]byte("no figure"), nil, steady); err == nil {
		t.Fatal("bytes of no figure are taken")
	}
	b.touch()
	if !b.tick(4, func() time.Duration { return 0 }) {
		t.Error("of one that cannot be read the picture of the one before stays")
	}
}
