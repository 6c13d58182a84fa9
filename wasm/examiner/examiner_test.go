package main

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// page stands for the other side: it writes down what it is told.
type page struct {
	*examiner
	told    []any
	parcels map[string][]byte
	breaths int
	ended   int // messages with an end since the last ask
	late    int // messages after one
}

// asked is an ask with the fields of every kind; only those of its own cross.
type asked struct {
	ID     int
	Kind   string
	Number int
	Limits string
	Pose   string
	Names  string
	Size   int

	Name  string
	Rows  string
	Weld  float64
	Joint *int
	Move  *bridge.Move

	Clip    *int
	Clips   string
	Columns int

	Pins     string
	FreeFeet bool
	Rename   string
	Format   string

	Mend   string
	Values string
	Why    string
	Accept []string
	Act    string
	Step   int
	To     int
	What   string
	Date   string
	Units  string

	Width  int
	Height int
	Night  bool

	Before string

	Text   string
	GoOn   bool
	Slip   string
	Beside string

	Fault    int
	At       *float64
	Answer   string
	Findings []string

	Side bool
	Was  string
	X    float64
	Y    float64
}

// ask asks, and holds that exactly one message ends it, the last.
func (p *page) ask(ctx context.Context, a asked, files []gltfio.File) {
	p.ended, p.late = 0, 0
	p.answer(ctx, bridge.Ask{ID: a.ID, Kind: a.Kind}, func(to any) error {
		from, into := reflect.ValueOf(a), reflect.ValueOf(to).Elem()
		for i := range into.NumField() {
			name := into.Type().Field(i).Name
			v := from.FieldByName(name)
			switch to := into.Field(i); {
			case !v.IsValid():
				return fmt.Errorf("no test can ask with %s", name)
			case v.Type() == to.Type():
				to.Set(v)
			case v.Kind() == reflect.Pointer && !v.IsNil():
				to.Set(v.Elem())
			}
		}
		return nil
	}, files)
	if p.ended != 1 || p.late != 0 {
		panic(fmt.Sprintf("%q ended %d times, and %d messages came after it: %s", a.Kind, p.ended, p.late, p.kinds()))
	}
}

func newPage() *page {
	p := &page{parcels: map[string][]byte{}}
	at := time.Unix(0, 0)
	p.examiner = &examiner{
		tell: func(m any, parcel []byte, end bool) {
			p.told = append(p.told, m)
			if p.ended > 0 {
				p.late++
			}
			if end {
				p.ended++
			}
			switch m := m.(type) {
			case bridge.Parcel:
				p.parcels[m.Kind] = slices.Clone(parcel)
			case bridge.Overlay:
				p.parcels[m.Kind] = slices.Clone(parcel)
			}
		},
		breathe: func() { p.breaths++ },
		memory:  func() float64 { return 1 << 20 },
		clock:   func() time.Time { at = at.Add(20 * time.Millisecond); return at }, // each look takes 20 ms
	}
	return p
}

// kinds is the order of messages, progress left out and repeats joined.
func (p *page) kinds() string {
	var out []string
	for _, m := range p.told {
		kind := ""
		switch m := m.(type) {
		case bridge.Progress:
			continue
		case bridge.Document:
			kind = m.Kind
		case bridge.Parcel:
			kind = m.Kind
		case bridge.Done:
			kind = m.Kind
		case bridge.Left:
			kind = m.Kind
		case bridge.Refused:
			kind = m.Kind
		}
		if len(out) == 0 || out[len(out)-1] != kind {
			out = append(out, kind)
		}
	}
	return strings.Join(out, " ")
}

func last[M any](t *testing.T, p *page) M {
	t.Helper()
	for _, m := range slices.Backward(p.told) {
		if m, ok := m.(M); ok {
			return m
		}
	}
	var none M
	t.Fatalf("no %T was told, only %s", none, p.kinds())
	return none
}

func (p *page) document(t *testing.T) (doc struct {
	Findings []struct{ ID, Grade string }
	Stations []struct{ Name, State string }
}) {
	t.Helper()
	if err := json.Unmarshal([]byte(last[bridge.Document](t, p).JSON), &doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

var small = asked{ID: 7, Kind: "sample", Size: 4000}

func TestSample(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), small, nil)
	if got, want := p.kinds(), "file left sketch rig partial prepared partial fields partial result prepared done"; got != want { // engraved after Intake, how open its places lie after all answers
		t.Fatalf("told %q, want %q", got, want)
	}
	done := last[bridge.Done](t, p)
	if done.ID != 7 || done.Stopped || !(done.MS > 0) || done.Memory != 1<<20 {
		t.Errorf("%+v", done)
	}
	// What crossed is whole: the stage can draw from it alone.
	r, prepared, fields := &rig.Rig{}, &scene.Prepared{}, &scene.Fields{}
	for kind, to := range map[string]any{"rig": r, "prepared": prepared, "fields": fields} {
		if err := flat.Unpack(p.parcels[kind], to); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
	}
	if len(r.Surfaces) != 1 || len(prepared.Tri) == 0 || len(fields.Side) != len(r.Nodes) {
		t.Errorf("%d surfaces, %d corners, sides of %d of %d nodes", len(r.Surfaces), len(prepared.Tri), len(fields.Side), len(r.Nodes))
	}
	if string(p.parcels["file"][:4]) != "glTF" {
		t.Error("the sample's file is no glb")
	}
	// Progress goes from the reader through the drawing to the stations.
	var course []string
	for _, m := range p.told {
		if m, ok := m.(bridge.Progress); ok && (len(course) == 0 || course[len(course)-1] != m.Station) {
			course = append(course, m.Station)
			if m.StationTitle == "" || m.Text == "" {
				t.Errorf("%+v", m)
			}
		}
	}
	if got := strings.Join(course, " "); got != "read intake draw surface skeleton binding bends motion draw" {
		t.Errorf("course %q", got)
	}
	if p.breaths == 0 {
		t.Error("no request to stop could have come in")
	}
}

func TestJudgeAgain(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), asked{ID: 1, Kind: "judge"}, nil)
	if got := last[bridge.Refused](t, p); !strings.Contains(got.Text, "open a file first") {
		t.Errorf("%+v", got)
	}
	p.ask(context.Background(), small, nil)
	before := len(p.document(t).Findings)
	p.told = nil
	p.ask(context.Background(), asked{ID: 2, Kind: "judge", Limits: `{"intake/odd-height": {"lowest": 3, "highest": 4}}`}, nil)
	if got := p.kinds(); got != "result" {
		t.Fatalf("told %q", got)
	}
	found := false
	for _, f := range p.document(t).Findings {
		found = found || f.ID == "intake/odd-height"
	}
	if !found || len(p.document(t).Findings) <= before {
		t.Error("a limit that the sample breaks found nothing")
	}
	p.ask(context.Background(), asked{ID: 3, Kind: "judge", Limits: `{"intake/no-such": {"x": 1}}`}, nil)
	if got := last[bridge.Refused](t, p); !strings.Contains(got.Text, "no-such") {
		t.Errorf("%+v", got)
	}
}

// Stopped within a station, what is done is told, and it can be judged again.
func TestStop(t *testing.T) {
	p := newPage()
	ctx, cancel := context.WithCancel(context.Background())
	tell := p.tell
	p.tell = func(m any, parcel []byte, end bool) {
		if m, ok := m.(bridge.Progress); ok && m.Station == "surface" {
			cancel()
		}
		tell(m, parcel, end)
	}
	p.ask(ctx, small, nil)
	if got, want := p.kinds(), "file left sketch rig partial prepared result done"; got != want {
		t.Fatalf("told %q, want %q", got, want)
	}
	if !last[bridge.Done](t, p).Stopped {
		t.Error("done does not say that it was stopped")
	}
	stations := p.document(t).Stations
	if stations[0].State != "done" || stations[1].State == "done" {
		t.Errorf("%+v", stations)
	}
	p.ask(context.Background(), asked{ID: 8, Kind: "judge"}, nil)
	if m := last[bridge.Document](t, p); m.ID != 8 || m.Kind != "result" {
		t.Error("what was found cannot be judged again")
	}
}

// Each way a file can fail reaches the page in words.
func TestRefused(t *testing.T) {
	text := `{"asset":{"version":"2.0"},"buffers":[{"uri":"a b.bin","byteLength":36}],"bufferViews":[{"buffer":0,"byteLength":36}],
"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[0,0,0]}],
"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"nodes":[{"mesh":0}],"scenes":[{"nodes":[0]}]}`
	for _, w := range []struct {
		name    string
		ask     asked
		files   []gltfio.File
		text    string
		missing int
	}{
		{"no model", asked{Kind: "examine"}, []gltfio.File{{Name: "notes.txt", Data: []byte("hello")}}, "notes.txt", 0},
		{"nothing", asked{Kind: "examine"}, nil, "no file", 0},
		{"a side file is missing", asked{Kind: "examine"}, []gltfio.File{{Name: "x.gltf", Data: []byte(text)}}, "not found beside it", 1},
		{"unknown ask", asked{Kind: "dance"}, nil, `"dance"`, 0},
		{"unknown pose", asked{Kind: "sample", Pose: "Y"}, nil, "want T or A", 0},
		{"unknown names", asked{Kind: "sample", Names: "odd"}, nil, "want plain, snake or prefix", 0},
		{"limits that are no JSON", asked{Kind: "examine", Limits: "{"}, nil, "limits", 0},
	} {
		t.Run(w.name, func(t *testing.T) {
			p := newPage()
			w.ask.ID = 3
			p.ask(context.Background(), w.ask, w.files)
			got := last[bridge.Refused](t, p)
			if got.ID != 3 || got.Kind != "refused" || !strings.Contains(got.Text, w.text) || len(got.Missing) != w.missing || got.Missing == nil {
				t.Errorf("%+v", got)
			}
			if p.kinds() != "refused" {
				t.Errorf("told %q", p.kinds())
			}
		})
	}
}

// A fault of ours is told with its place, and the next file is examined.
func TestPanicIsTold(t *testing.T) {
	p := newPage()
	tell := p.tell
	p.tell = func(m any, parcel []byte, end bool) {
		if d, ok := m.(bridge.Document); ok && d.Kind == "partial" {
			panic("broken on purpose")
		}
		tell(m, parcel, end)
	}
	p.ask(context.Background(), small, nil)
	got := last[bridge.Refused](t, p)
	if !strings.Contains(got.Text, "broken on purpose") || !strings.Contains(got.Text, ".go:") || !strings.Contains(got.Hint, "not of the file") {
		t.Errorf("%+v", got)
	}
	p.tell, p.told = tell, nil
	p.ask(context.Background(), small, nil)
	if !strings.HasSuffix(p.kinds(), "done") {
		t.Errorf("told %q after a fault", p.kinds())
	}
}

func TestCatalogue(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), asked{ID: 1, Kind: "catalogue"}, nil)
	var checks []struct{ ID, Station string }
	if err := json.Unmarshal([]byte(last[bridge.Document](t, p).JSON), &checks); err != nil || len(checks) == 0 {
		t.Fatal(len(checks), err)
	}
	if p.kinds() != "catalogue" {
		t.Errorf("told %q", p.kinds())
	}
}

// Progress is told at most each 30 ms, start and end of a station always.
func TestProgressIsSparse(t *testing.T) {
	p := newPage()
	at := time.Unix(0, 0)
	p.clock = func() time.Time { at = at.Add(time.Millisecond); return at }
	for i := range 101 {
		p.progress("surface", "Surface", i, 100, fmt.Sprint(i))
	}
	if n := len(p.told); n < 4 || n > 6 {
		t.Errorf("101 ticks of 1 ms were told %d times", n)
	}
	if m := p.told[len(p.told)-1].(bridge.Progress); m.Done != 100 {
		t.Errorf("the end was not told: %+v", m)
	}
}

// TestFigure: after an examination the page asks for lenses, fields and overlays;
// each crosses whole, and what there is not is refused in words.
func TestFigure(t *testing.T) {
	p := newPage()
	p.ask(context.Background(), asked{ID: 1, Kind: "lenses"}, nil)
	if last[bridge.Refused](t, p).Text == "" {
		t.Error("lenses of nothing")
	}
	r, _ := lamplighter.Faults()[slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == "binding/sum-off" })].On(lamplighter.Build(lamplighter.Options{Vertices: 4000}))
	if err := p.stations(context.Background(), r, nil, func() error { return nil }, shownAfter); err != nil {
		t.Fatal(err)
	}
	p.ask(context.Background(), asked{ID: 2, Kind: "lenses"}, nil)
	var list []struct {
		Name, Why string
		Ready     bool
	}
	if d := last[bridge.Document](t, p); d.Kind != "lenses" || d.ID != 2 {
		t.Fatalf("%s %d", d.Kind, d.ID)
	} else if err := json.Unmarshal([]byte(d.JSON), &list); err != nil || len(list) == 0 {
		t.Fatalf("%v %s", err, d.JSON)
	}
	for i, l := range list {
		p.ask(context.Background(), asked{ID: 10 + i, Kind: "field", Name: l.Name}, nil)
		if !l.Ready {
			if last[bridge.Refused](t, p).ID != 10+i || l.Why == "" {
				t.Errorf("%s is not ready, %q", l.Name, l.Why)
			}
			continue
		}
		f := &scene.Field{}
		if m := last[bridge.Parcel](t, p); m.ID != 10+i || m.Kind != "field" || m.Name != l.Name {
			t.Errorf("%s: %+v", l.Name, m)
		} else if err := flat.Unpack(p.parcels["field"], f); err != nil || f.Name != l.Name {
			t.Errorf("%s: %v, %q", l.Name, err, f.Name)
		}
	}
	p.ask(context.Background(), asked{ID: 90, Kind: "field", Name: "rainbow"}, nil)
	if m := last[bridge.Refused](t, p); m.ID != 90 || !strings.Contains(m.Text, "rainbow") {
		t.Errorf("%+v", m)
	}
	all := p.result.Findings()
	n := 1 + slices.IndexFunc(all, func(f check.Finding) bool { return f.ID == "binding/sum-off" })
	p.ask(context.Background(), asked{ID: 91, Kind: "overlay", Number: n}, nil)
	if m := last[bridge.Overlay](t, p); m.ID != 91 || m.Number != n || len(m.Places) == 0 || m.Places[0].Surface == nil || len(m.Places[0].Vertices) == 0 {
		t.Errorf("%+v", m)
	}
	o := &scene.Overlay{}
	if err := flat.Unpack(p.parcels["overlay"], o); err != nil || o.Number != n || len(o.Spots) == 0 {
		t.Errorf("%v, %+v", err, o)
	}
	elbow, neck, nobody := int(lamplighter.Node("lowerArm_L")), int(lamplighter.Node("neck")), 9999
	p.ask(context.Background(), asked{ID: 93, Kind: "overlay", Joint: &elbow}, nil)
	if m := last[bridge.Overlay](t, p); m.ID != 93 || len(m.Places) != 1 || m.Places[0].Node == nil || *m.Places[0].Node != elbow {
		t.Errorf("%+v", m)
	}
	if err := flat.Unpack(p.parcels["overlay"], o); err != nil || o.Number != 0 || len(o.Lines) != 2 {
		t.Errorf("section: %v, %+v", err, o)
	}
	for i, n := range []*int{&neck, &nobody} { // arms part below the neck; a node that is not there
		p.ask(context.Background(), asked{ID: 94 + i, Kind: "overlay", Joint: n}, nil)
		if m := last[bridge.Overlay](t, p); m.ID != 94+i || len(m.Places) != 0 {
			t.Errorf("%+v", m)
		}
	}
	p.ask(context.Background(), asked{ID: 97, Kind: "field", Name: "detail-at-risk", Weld: .014}, nil)
	lost := &scene.Field{}
	if err := flat.Unpack(p.parcels["field"], lost); err != nil || !strings.Contains(lost.Caption, "Welding at 14 mm") {
		t.Errorf("%v, %q", err, lost.Caption)
	}
	p.ask(context.Background(), asked{ID: 92, Kind: "overlay", Number: 999}, nil)
	if m := last[bridge.Overlay](t, p); m.ID != 92 || len(m.Places) != 0 {
		t.Errorf("%+v", m)
	}
}

// The rows of a clip and the curves of a joint, and what is asked wrongly.
func TestMotionAsks(t *testing.T) {
	p := newPage()
	zero, far, leg := 0, 99, -1
	p.ask(context.Background(), asked{ID: 1, Kind: "rows", Clip: &zero, Columns: 12}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "nothing has been examined") {
		t.Errorf("before a file: %q", r.Text)
	}
	p.ask(context.Background(), small, nil)
	p.ask(context.Background(), asked{ID: 2, Kind: "rows", Clip: &zero, Columns: 12}, nil)
	rows := last[bridge.Document](t, p)
	if rows.Kind != "rows" || !strings.HasPrefix(rows.JSON, `{"clip":0,"name":"stroll"`) {
		t.Errorf("rows: %.80s", rows.JSON)
	}
	for n, node := range p.result.Exam.Rig.Nodes {
		if node.Name == "lowerLeg_L" {
			leg = n
		}
	}
	p.ask(context.Background(), asked{ID: 3, Kind: "curves", Clip: &zero, Joint: &leg}, nil)
	if c := last[bridge.Document](t, p); c.Kind != "curves" || !strings.Contains(c.JSON, `"name":"lowerLeg_L"`) {
		t.Errorf("curves: %.80s", c.JSON)
	}
	for want, a := range map[string]asked{
		"which clip":    {Kind: "rows", Columns: 12},
		"no clip 99":    {Kind: "rows", Clip: &far, Columns: 12},
		"0 columns":     {Kind: "rows", Clip: &zero},
		"which joint":   {Kind: "curves", Clip: &zero},
		"no node 99":    {Kind: "curves", Clip: &zero, Joint: &far},
		"clip 99; the ": {Kind: "curves", Clip: &far, Joint: &leg},
	} {
		p.ask(context.Background(), a, nil)
		if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, want) {
			t.Errorf("%+v: %q, want %q", a, r.Text, want)
		}
	}
}

// A heavy figure is drawn once those stations are over that lenses show, or, where memory is
// dear, before the stations that take much of it: on both sides of 400,000 triangles.
func TestDrawnAfter(t *testing.T) {
	for n, want := range map[int]string{60_001: "binding", 399_999: "binding", 400_000: "intake", 4_000_000: "intake"} {
		if got := drawnAfter(n); got != want {
			t.Errorf("%d triangles: after %q, want %q", n, got, want)
		}
	}
}
