package inspect

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/inspect/tojson"
)

// listed is how many entries a list in "where" shows; the totals are not cut.
const listed = 64

// Document is one examination, as WriteJSON writes it.
type Document = document

// The document, as the page, the command line and reports read it. Keys stand in
// a fixed order; a number that has no value is null.
type document struct {
	Facts    int           `json:"facts"`
	Program  string        `json:"program"`
	File     fileJSON      `json:"file"`
	Summary  summaryJSON   `json:"summary"`
	Verdict  Verdict       `json:"verdict"`
	Findings []findingJSON `json:"findings"`
	Folds    []Fold        `json:"folds"` // notes of one kind, for a ledger; each finding stands whole in findings
	Checks   []outcomeJSON `json:"checks"`
	Stations []stationJSON `json:"stations"`
	Joints   []jointFact   `json:"joints"` // so that a page can list them whichever stations there are
	FactsOf  orderedFacts  `json:"facts_of"`
	Timings  orderedFacts  `json:"timings_ms,omitempty" wire:"Record<string, number>"`
}

type fileJSON struct {
	Name      string   `json:"name"`
	Bytes     int64    `json:"bytes"`
	Kind      string   `json:"kind"`
	Generator rig.Name `json:"generator"`
	Version   rig.Name `json:"version"`
	Used      []string `json:"extensions_used"`
	Required  []string `json:"extensions_required"`
	Remarks   []string `json:"remarks"`
}

type summaryJSON struct {
	Stop         int `json:"stop"`
	Flaw         int `json:"flaw"`
	Note         int `json:"note"`
	NotLookedAt  int `json:"not_looked_at"`
	Clear        int `json:"clear"`
	ChecksInAll  int `json:"checks"`
	FindingsHere int `json:"findings"`
	NoteRows     int `json:"note_rows"` // rows of notes in a ledger that folds them by kind
}

type findingJSON struct {
	Number   int           `json:"number"`
	ID       string        `json:"id"`
	Station  string        `json:"station"`
	Grade    string        `json:"grade" wire:"'stop' | 'flaw' | 'note'"`
	Title    string        `json:"title"`
	Subject  string        `json:"subject"`
	Measures []measureJSON `json:"measures"`
	Where    whereJSON     `json:"where"`
	Why      string        `json:"why"`
	Remedy   string        `json:"remedy"`
	Source   string        `json:"source"`
	Figure   *string       `json:"figure"` // of several in one file, the one it is about; null: all, or the only one
	Cause    *causeJSON    `json:"cause"`  // null: it stands by itself
}

// causeJSON names the finding that another follows from.
type causeJSON struct {
	Number  int    `json:"number"`
	ID      string `json:"id"`
	Title   string `json:"title"`
	Subject string `json:"subject"`
}

type measureJSON struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Unit  say.Unit `json:"unit"`
	Limit *float64 `json:"limit"`

	Says      string `json:"says"`       // the value as words
	Beside    string `json:"beside"`     // the same where the name stands before it: "edges 278", not "edges 278 edges"
	LimitSays string `json:"limit_says"` // "": none
	Against   string `json:"against"`    // the limit beside the value: "limit 1 %", "fewer than 1 skin", "listed"
	Below     bool   `json:"below"`      // the limit is passed by less
}

type whereJSON struct {
	Nodes       []rig.Node  `json:"nodes"`
	Skin        *rig.Skin   `json:"skin"`
	Joints      []jointJSON `json:"joints"`
	JointTotal  int         `json:"joint_total"`
	Clip        *rig.Clip   `json:"clip"`
	Clips       []clipJSON  `json:"clips"` // all that it is found in, clip the first; never cut
	Time        *float64    `json:"time"`
	Mesh        *rig.Mesh   `json:"mesh"`
	Primitive   *int        `json:"primitive"`
	Vertices    []int       `json:"vertices"`
	VertexTotal int         `json:"vertex_total"`
	Edges       [][2]int    `json:"edges"`
	Places      []placeJSON `json:"places"`
	Point       *space.Vec  `json:"point"`
	Extent      *float64    `json:"extent"`
	Pointer     string      `json:"pointer"`
	Move        *moveJSON   `json:"move,omitempty"`
	Hang        []hangJSON  `json:"hang,omitempty"` // never cut
	Rows        []rowJSON   `json:"rows,omitempty"` // the places of a finding that stands in several, the worst first; never cut
}

// rowJSON is one place of a finding: what was measured there, and the pose it shows in.
type rowJSON struct {
	Subject     string        `json:"subject"`
	Measures    []measureJSON `json:"measures"`
	Joints      []jointJSON   `json:"joints"`
	Move        *moveJSON     `json:"move,omitempty"`
	VertexTotal int           `json:"vertex_total"`
	Point       *space.Vec    `json:"point"`
	Extent      *float64      `json:"extent"`
}

// moveJSON is the pose of a finding that shows in one joint turned from rest.
type moveJSON struct {
	Joint   rig.Node `json:"joint"`
	Axis    string   `json:"axis"`
	Degrees float64  `json:"degrees"`
}

// hangJSON is a joint and the one to hang it on; null: none is there.
type hangJSON struct {
	Child  jointJSON  `json:"child"`
	Parent *jointJSON `json:"parent"`
}

type clipJSON struct {
	Clip rig.Clip `json:"clip"`
	Name *string  `json:"name"` // null: it has none
}

type jointJSON struct {
	Node rig.Node `json:"node"`
	Name rig.Name `json:"name"`
}

// placeJSON is one primitive's share of a place; vertices are accessor elements.
type placeJSON struct {
	Surface     int      `json:"surface"` // in node order, as the page and the stage count them
	Node        rig.Node `json:"node"`
	Mesh        rig.Mesh `json:"mesh"`
	Primitive   int      `json:"primitive"`
	Vertices    []int    `json:"vertices"`
	VertexTotal int      `json:"vertex_total"`
	Edges       [][2]int `json:"edges"`
}

type outcomeJSON struct {
	ID     string `json:"id"`
	State  string `json:"state" wire:"'clear' | 'found' | 'not-looked-at'"`
	Reason string `json:"reason,omitempty"`
}

type stationJSON struct {
	Name   string `json:"name"`
	Title  string `json:"title"`
	State  string `json:"state" wire:"'done' | 'not-looked-at'"` // "done" or "not-looked-at"
	Reason string `json:"reason,omitempty"`
}

// orderedFacts is a small map in the order of the stations.
type orderedFacts []namedFacts

type namedFacts struct {
	name  string
	facts []byte // JSON
}

// AppendJSON writes it as an object. An encoder would read what is written of them once
// more for each level that they stand in.
func (o orderedFacts) AppendJSON(dst []byte) []byte {
	dst = append(dst, '{')
	for i, n := range o {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = append(append(append(dst, '"'), n.name...), `":`...)
		dst = append(dst, n.facts...)
	}
	return append(dst, '}')
}

// writtenFacts are the facts of a station as they stand in a document. They are written
// once: a page is told of each station as it ends, and they are most of what it is told.
func (o *Outcome) writtenFacts() ([]byte, error) {
	if o.written == nil || o.writtenOf != o.Facts {
		data, err := marshal(o.Facts)
		if err != nil {
			return nil, fmt.Errorf("facts of %s: %w", o.Name, err)
		}
		o.written, o.writtenOf = data, o.Facts
	}
	return o.written, nil
}

// WriteJSON writes the document on one line with a newline at its end. timings
// adds how long each station took (only with Options.Clock).
func (r *Result) WriteJSON(w io.Writer, timings bool) error {
	data, err := r.AppendJSON(nil, timings)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

// AppendJSON adds to dst what WriteJSON writes.
func (r *Result) AppendJSON(dst []byte, timings bool) ([]byte, error) {
	d, err := r.document()
	if err != nil {
		return nil, fmt.Errorf("write the facts: %w", err)
	}
	if timings {
		for i := range r.Stations {
			took := strconv.AppendFloat(nil, float64(r.Stations[i].Took.Microseconds())/1000, 'f', -1, 64)
			d.Timings = append(d.Timings, namedFacts{r.Stations[i].Name, took})
		}
	}
	room := besideFacts
	for i := range d.FactsOf {
		room += len(d.FactsOf[i].facts)
	}
	if dst, err = tojson.Append(slices.Grow(dst, room), &d, false); err != nil {
		return nil, fmt.Errorf("write the facts: %w", err)
	}
	return append(dst, '\n'), nil
}

// besideFacts is room for what stands in a document beside the facts, in bytes; it grows where
// that is not enough.
const besideFacts = 96 << 10

func (r *Result) document() (document, error) {
	d := document{Facts: FactsVersion, Program: "rigloupe " + Version}
	f := r.File
	d.File = fileJSON{f.Name, f.Bytes, f.Kind, rig.Name(f.Generator), rig.Name(f.Version), some(f.Used), some(f.Required), some(r.Remarks)}
	d.Findings, d.Checks = []findingJSON{}, []outcomeJSON{}
	for i := range r.Stations {
		s := &r.Stations[i]
		st := stationJSON{Name: s.Name, Title: s.Title, State: "done"}
		if s.Facts == nil {
			st.State, st.Reason = "not-looked-at", s.Failed
		} else {
			facts, err := s.writtenFacts()
			if err != nil {
				return d, err
			}
			d.FactsOf = append(d.FactsOf, namedFacts{s.Name, facts})
		}
		d.Stations = append(d.Stations, st)
		for _, c := range s.Checks {
			d.Checks = append(d.Checks, outcomeJSON{c.ID, c.State.String(), c.Reason})
			d.Summary.ChecksInAll++
			switch c.State {
			case check.Clear:
				d.Summary.Clear++
			case check.NotLookedAt:
				d.Summary.NotLookedAt++
			}
		}
		for j := range s.Findings {
			d.Findings = append(d.Findings, r.finding(len(d.Findings)+1, s.Name, &s.Findings[j]))
		}
	}
	d.Joints = r.joints()
	d.Folds, d.Summary.NoteRows = r.Folds(), r.NoteRows()
	d.Summary.FindingsHere = len(d.Findings)
	d.Verdict = r.Verdict()
	d.Summary.Stop, d.Summary.Flaw, d.Summary.Note = r.Count(check.Stop), r.Count(check.Flaw), r.Count(check.Note)
	return d, nil
}

func (r *Result) finding(number int, station string, f *check.Finding) findingJSON {
	out := findingJSON{
		Number: number, ID: f.ID, Station: station, Grade: f.Grade.String(), Title: f.Title, Subject: f.Subject,
		Why: f.Why, Remedy: f.Remedy, Source: f.Source, Where: r.where(&f.Where),
	}
	if f.Figure != "" {
		out.Figure = &f.Figure
	}
	if c := f.Cause; c != nil {
		out.Cause = &causeJSON{r.NumberOf(c), c.ID, c.Title, c.Subject}
	}
	out.Measures = measuresJSON(f.Measures)
	for i := range f.Rows {
		row := &f.Rows[i]
		w := r.where(&row.Where)
		out.Where.Rows = append(out.Where.Rows, rowJSON{row.Subject, measuresJSON(row.Measures), w.Joints, w.Move, w.VertexTotal, w.Point, w.Extent})
	}
	return out
}

func measuresJSON(list []check.Measure) []measureJSON {
	out := []measureJSON{}
	for _, m := range list {
		out = append(out, measureJSON{m.Name, number64(m.Value), m.Unit, number64(m.Limit), m.Says(), m.Beside(), m.LimitSays(), m.Against(), m.Below})
	}
	return out
}

func (r *Result) where(w *check.Where) whereJSON {
	out := whereJSON{
		Nodes: some(cut(w.Nodes)), Joints: []jointJSON{}, JointTotal: len(w.Joints), Clips: []clipJSON{},
		Vertices: []int{}, Edges: [][2]int{}, Places: []placeJSON{}, Point: w.Point, Pointer: w.Pointer,
	}
	if w.Skin >= 0 {
		out.Skin = &w.Skin
	}
	if w.Clip >= 0 {
		out.Clip, out.Time = &w.Clip, number64(w.Time)
		all := w.Clips
		if all == nil {
			all = []rig.Clip{w.Clip}
		}
		for _, c := range all {
			named := clipJSON{Clip: c}
			if name := &r.Exam.Rig.Clips[c].Name; *name != "" {
				named.Name = name
			}
			out.Clips = append(out.Clips, named)
		}
	}
	if w.Extent > 0 {
		out.Extent = number64(w.Extent)
	}
	g := r.Exam.Rig
	for _, n := range cut(w.Joints) {
		out.Joints = append(out.Joints, jointJSON{n, rig.Name(g.Nodes[n].Name)})
	}
	for _, h := range w.Hang {
		row := hangJSON{Child: jointJSON{h[0], rig.Name(g.Nodes[h[0]].Name)}}
		if h[1] >= 0 {
			row.Parent = &jointJSON{h[1], rig.Name(g.Nodes[h[1]].Name)}
		}
		out.Hang = append(out.Hang, row)
	}
	for i := range w.Spots {
		out.Places = append(out.Places, places(g, &w.Spots[i])...)
	}
	if m := w.Move; m != nil {
		out.Move = &moveJSON{m.Joint, m.Axis, m.Degrees}
	}
	best := -1
	for i, p := range out.Places {
		out.VertexTotal += p.VertexTotal
		if best < 0 || p.VertexTotal > out.Places[best].VertexTotal {
			best = i
		}
	}
	if best >= 0 {
		p := &out.Places[best]
		out.Mesh, out.Primitive, out.Vertices, out.Edges = &p.Mesh, &p.Primitive, p.Vertices, p.Edges
	}
	if out.Pointer == "" {
		out.Pointer = pointer(&out)
	}
	return out
}

// pointer names the part of the file that a place belongs to, as a JSON pointer
// (RFC 6901), so that reports of other programs can be joined with ours.
func pointer(w *whereJSON) string {
	switch {
	case w.Clip != nil:
		return fmt.Sprintf("/animations/%d", *w.Clip)
	case w.Mesh != nil:
		return fmt.Sprintf("/meshes/%d/primitives/%d", *w.Mesh, *w.Primitive)
	case len(w.Joints) > 0:
		return fmt.Sprintf("/nodes/%d", w.Joints[0].Node)
	case len(w.Nodes) > 0:
		return fmt.Sprintf("/nodes/%d", w.Nodes[0])
	case w.Skin != nil:
		return fmt.Sprintf("/skins/%d", *w.Skin)
	}
	return ""
}

// places turns vertices of a mesh into elements of each primitive's accessors.
func places(g *rig.Rig, s *check.Spot) (out []placeJSON) {
	surface := g.Surfaces[s.Surface]
	mesh := &g.Meshes[surface.Mesh]
	for i, p := range mesh.Primitives {
		at := placeJSON{Surface: s.Surface, Node: surface.Node, Mesh: surface.Mesh, Primitive: i, Vertices: []int{}, Edges: [][2]int{}}
		inside := func(v rig.Vertex) bool { return int(v) >= p.First && int(v) < p.First+p.Count }
		for _, v := range s.Vertices {
			if inside(v) {
				at.VertexTotal++
				if len(at.Vertices) < listed {
					at.Vertices = append(at.Vertices, int(v)-p.First)
				}
			}
		}
		for _, e := range s.Edges {
			if inside(e[0]) && inside(e[1]) && len(at.Edges) < listed {
				at.Edges = append(at.Edges, [2]int{int(e[0]) - p.First, int(e[1]) - p.First})
			}
		}
		if at.VertexTotal > 0 || len(at.Edges) > 0 {
			out = append(out, at)
		}
	}
	return out
}

// number64 answers nil for what JSON cannot hold.
func number64(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// some makes an absent list an empty one.
func some[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

func cut[T any](s []T) []T { return s[:min(len(s), listed)] }

// CatalogueLimit is one limit of a check.
type CatalogueLimit struct {
	Name    string   `json:"name"`
	Unit    say.Unit `json:"unit"`
	One     string   `json:"one"` // of what unit counts: "vertex"
	Value   float64  `json:"value"`
	Grade   string   `json:"grade" wire:"'stop' | 'flaw' | 'note'"`
	Below   bool     `json:"below"`   // passed by less than value
	Reached bool     `json:"reached"` // value itself passes it
	Per     int      `json:"per"`     // it moves in steps of 1/per, others count as the step under them; 0: freely
	Least   float64  `json:"least"`   // asked for less, it counts as this: less was not measured; 0: it was
	Says    string   `json:"says"`    // when it is passed: "fewer than 1 skin"
}

// CatalogueEntry is a check as the catalogue tells it.
type CatalogueEntry struct {
	ID      string           `json:"id"`
	Station string           `json:"station"`
	Title   string           `json:"title"`
	Measure string           `json:"measure"`
	Limits  []CatalogueLimit `json:"limits"`
	Why     string           `json:"why"`
	Remedy  string           `json:"remedy"`
	Source  string           `json:"source"`
	Lens    string           `json:"lens"` // what the figure is best coloured by where this is found; "": as it is
}

// WriteCatalogue writes every check as JSON, an array on one line.
func WriteCatalogue(w io.Writer) error {
	all := []CatalogueEntry{}
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			row := CatalogueEntry{e.ID, s.Name, e.Title, e.Measure, []CatalogueLimit{}, e.Why, e.Remedy, e.Source, e.Lens}
			for _, l := range e.Limits {
				row.Limits = append(row.Limits, CatalogueLimit{l.Name, l.Unit, l.Unit.One, l.Value, l.Grade.String(), l.Below, l.Reached, l.Per, l.Least, l.Says()})
			}
			all = append(all, row)
		}
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(all)
}
