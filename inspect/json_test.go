package inspect

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"testing"
	"time"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// text examines a rig and answers the document.
func text(t *testing.T, r *rig.Rig, o Options) []byte {
	t.Helper()
	res, err := Examine(context.Background(), r, o)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := res.WriteJSON(&b, o.Clock != nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// written answers the document of an examination, without times.
func written(t *testing.T, res *Result) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := res.WriteJSON(&b, false); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestJudgeAgain: other limits give other findings without measuring again, and
// the default ones give the first document back.
func TestJudgeAgain(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	res, err := Examine(context.Background(), r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	before := res.Count(check.Note)
	limits, err := ParseLimits([]byte(`{"binding/faint": {"share": 0}, "intake/bounds-off": {"clips": 99}}`))
	if err != nil {
		t.Skipf("the limits' names changed: %v", err)
	}
	res.Judge(limits)
	found := false
	for _, f := range res.Findings() {
		found = found || f.ID == "binding/faint"
	}
	if !found {
		t.Error("a limit of 0 for faint weights finds nothing")
	}
	res.Judge(nil)
	if res.Count(check.Note) != before {
		t.Errorf("with the defaults again there are %d notes, %d before", res.Count(check.Note), before)
	}
}

func TestStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	stations := 0
	res, err := Examine(ctx, lamplighter.Build(lamplighter.Options{}), Options{Done: func(*Result) {
		if stations++; stations == 1 {
			cancel()
		}
	}})
	if err == nil || res == nil {
		t.Fatalf("stopped: result %v, error %v", res, err)
	}
	if res.Stations[0].Facts == nil {
		t.Error("what was found before the stop is gone")
	}
	if n := len(res.Stations); n != len(Catalogue()) {
		t.Errorf("%d stations told, want all %d", n, len(Catalogue()))
	}
	last := res.Stations[len(res.Stations)-1]
	if last.Facts != nil || len(last.Checks) == 0 || last.Checks[0].State != check.NotLookedAt {
		t.Errorf("the last station reads %+v, want it not looked at", last)
	}
	var b bytes.Buffer
	if err := res.WriteJSON(&b, false); err != nil {
		t.Error(err)
	}
}

func TestLeftOutAndTimed(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	var d struct {
		Stations []struct{ Name, State, Reason string }
		Timings  map[string]float64 `json:"timings_ms"`
	}
	if err := json.Unmarshal(text(t, r, Options{Only: []string{"binding"}, Clock: time.Now}), &d); err != nil {
		t.Fatal(err)
	}
	for _, s := range d.Stations {
		if want := map[bool]string{true: "done", false: "not-looked-at"}[s.Name == "binding"]; s.State != want {
			t.Errorf("%s is %s, want %s", s.Name, s.State, want)
		}
	}
	if _, ok := d.Timings["binding"]; !ok {
		t.Errorf("timings %v", d.Timings)
	}
	if _, err := Examine(context.Background(), r, Options{Only: []string{"skin"}}); err == nil {
		t.Error("an unknown station is taken")
	}
}

func TestParseLimits(t *testing.T) {
	for _, row := range []struct{ name, text string }{
		{"no JSON", `nonsense`},
		{"unknown check", `{"surface/none": {"share": 1}}`},
		{"unknown limit", `{"surface/lopsided": {"none": 1}}`},
		{"no number", `{"surface/lopsided": {"share": "much"}}`},
	} {
		if _, err := ParseLimits([]byte(row.text)); err == nil {
			t.Errorf("%s is taken", row.name)
		}
	}
	o, err := ParseLimits([]byte(`{"surface/lopsided": {"share": 0.5}}`))
	if err != nil || o["surface/lopsided"]["share"] != 0.5 {
		t.Errorf("got %v, %v", o, err)
	}
}

func TestNumbersThatAreNone(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if number64(v) != nil {
			t.Errorf("%v is told", v)
		}
	}
}

// A number that is none is null wherever it stands in the facts, and stays what it was
// in the facts themselves.
func TestFactsWithNumbersThatAreNone(t *testing.T) {
	type inner struct {
		A float64    `json:"a"`
		B []float32  `json:"b"`
		C *float64   `json:"c"`
		D [2]float64 `json:"d"`
		E any        `json:"e"`
		M map[string]float64
		f float64
		G float64 `json:"-"`
	}
	nan, inf := math.NaN(), math.Inf(-1)
	v := &inner{A: nan, B: []float32{1, float32(inf)}, C: &inf, D: [2]float64{2, nan}, E: &inner{A: 3, C: &nan}, M: map[string]float64{"x": nan}, f: nan, G: nan}
	got, err := marshal(v)
	want := `{"a":null,"b":[1,null],"c":null,"d":[2,null],"e":{"a":3,"b":null,"c":null,"d":[0,0],"e":null,"M":null},"M":{"x":null}}`
	if err != nil || string(got) != want {
		t.Errorf("%s, %v; want %s", got, err, want)
	}
	if !math.IsNaN(v.A) || !math.IsInf(float64(v.B[1]), -1) || !math.IsInf(*v.C, -1) || !math.IsNaN(v.M["x"]) {
		t.Errorf("the facts were changed: %+v", v)
	}
}

// TestDocumentIsTheEncoders: a document is put together from facts that are written once;
// what comes out is what the library writes of the whole (encoding/json), also where no
// station ran and where names hold what HTML would escape.
func TestDocumentIsTheEncoders(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	r.Nodes[0].Name = `<b>&"\`
	for _, o := range []Options{{}, {Only: []string{"surface"}}, {Clock: time.Now}} {
		res, err := Examine(t.Context(), r, o)
		if err != nil {
			t.Fatal(err)
		}
		hold(t, res, o.Clock != nil)
		res.Stations = nil
		hold(t, res, false)
	}
}

// hold compares what WriteJSON writes, twice, with the library's way through the same.
func hold(t *testing.T, res *Result, timings bool) {
	t.Helper()
	d, err := res.document()
	if err != nil {
		t.Fatal(err)
	}
	whole := struct {
		*document
		FactsOf json.RawMessage `json:"facts_of"`
		Timings json.RawMessage `json:"timings_ms,omitempty"`
	}{document: &d}
	members := func(write func(add func(name string, v any))) json.RawMessage {
		var b bytes.Buffer
		b.WriteByte('{')
		write(func(name string, v any) {
			data, err := json.Marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			if b.Len() > 1 {
				b.WriteByte(',')
			}
			b.WriteString(`"` + name + `":`)
			b.Write(data)
		})
		b.WriteByte('}')
		return b.Bytes()
	}
	whole.FactsOf = members(func(add func(string, any)) {
		for i := range res.Stations {
			if s := &res.Stations[i]; s.Facts != nil {
				add(s.Name, s.Facts)
			}
		}
	})
	if timings {
		whole.Timings = members(func(add func(string, any)) {
			for i := range res.Stations {
				add(res.Stations[i].Name, float64(res.Stations[i].Took.Microseconds())/1000)
			}
		})
	}
	var want bytes.Buffer
	enc := json.NewEncoder(&want)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(whole); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		var got bytes.Buffer
		if err := res.WriteJSON(&got, timings); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), want.Bytes()) {
			t.Errorf("%d bytes, the encoder's are %d", got.Len(), want.Len())
		}
	}
}
