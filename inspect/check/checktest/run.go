// Package checktest runs tables of planted faults: each row is a rig, what is
// planted in it, and what one check must then find, where and how large. A finding
// that no row asks for fails as well.
package checktest

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Row is one case.
type Row struct {
	Name   string
	Rig    func() *rig.Rig // a fresh rig, clean
	Plant  func(*rig.Rig)  // the fault; nil: none
	Limits map[string]float64
	Want   []Want // findings in order; none: the check is clear
	Skip   string // the check does not look, for this reason
}

// Want is one expected finding. Value is compared always; of the rest what is set.
type Want struct {
	Grade     check.Grade
	Name      string  // of the first measure
	Value     float64 // of the first measure, worked out by hand
	Tolerance float64 // absolute; 0: exact

	Subject  string
	Nodes    []rig.Node
	Joints   []rig.Node
	Surface  int          // of Vertices
	Vertices []rig.Vertex // of the first spot, in any order
	Skin     *rig.Skin
	Clip     *rig.Clip
	Point    *space.Vec // within Near metres
	Near     float64
	Pointer  string
	More     map[string]float64 // further measures by name, within Tolerance each
}

// Run measures and judges every row with one check, as a station of its own.
func Run[F any](t *testing.T, c check.Check[F], measure func(context.Context, *exam.Exam) (*F, error), rows []Row) {
	t.Helper()
	whole(t, c)
	station := check.NewStation("test", "Test", measure, []check.Check[F]{c})
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) {
			r := row.Rig()
			if row.Plant != nil {
				row.Plant(r)
			}
			found, outcomes := Judge(t, &station, r, check.Overrides{c.ID: row.Limits})
			out := outcomes[0]
			if out.Reason != row.Skip {
				t.Errorf("looked at: reason %q, want %q", out.Reason, row.Skip)
			}
			for i := range min(len(found), len(row.Want)) {
				compare(t, &found[i], &row.Want[i])
			}
			for _, f := range found[min(len(found), len(row.Want)):] {
				t.Errorf("not asked for: %s %q %v at %+v", f.Grade, f.Subject, f.Measures, f.Where)
			}
			for _, w := range row.Want[min(len(found), len(row.Want)):] {
				t.Errorf("not found: %+v", w)
			}
		})
	}
}

// Silent examines a rig with a whole station and fails on any finding above the
// grade given (0: on any at all). It answers the findings.
func Silent(t *testing.T, s *check.Station, r *rig.Rig, above check.Grade) []check.Finding {
	t.Helper()
	found, _ := Judge(t, s, r, nil)
	for _, f := range found {
		if f.Grade > above {
			t.Errorf("clean rig blamed: %s %s %q %v", f.Grade, f.ID, f.Subject, f.Measures)
		}
	}
	return found
}

// Judge examines a rig with one station: it fails when the facts cannot be written
// as JSON (a NaN, an infinity) or a finding names something that is not there.
func Judge(t *testing.T, s *check.Station, r *rig.Rig, o check.Overrides) ([]check.Finding, []check.Outcome) {
	t.Helper()
	facts, err := s.Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatalf("measure: %v", err)
	}
	if _, err := json.Marshal(facts); err != nil {
		t.Errorf("facts as JSON: %v", err)
	}
	found, outcomes := s.Judge(facts, o)
	for i := range found {
		sound(t, r, &found[i])
	}
	return found, outcomes
}

func compare(t *testing.T, f *check.Finding, w *Want) {
	t.Helper()
	if f.Grade != w.Grade {
		t.Errorf("grade %s, want %s (%v)", f.Grade, w.Grade, f.Measures)
	}
	m := f.Measures[0]
	if w.Name != "" && m.Name != w.Name {
		t.Errorf("measure %q, want %q", m.Name, w.Name)
	}
	if !(math.Abs(m.Value-w.Value) <= w.Tolerance) {
		t.Errorf("%s = %v, want %v ± %v", m.Name, m.Value, w.Value, w.Tolerance)
	}
	for name, want := range w.More {
		i := slices.IndexFunc(f.Measures, func(m check.Measure) bool { return m.Name == name })
		if i < 0 {
			t.Errorf("no measure %q among %v", name, f.Measures)
		} else if got := f.Measures[i].Value; !(math.Abs(got-want) <= w.Tolerance) {
			t.Errorf("%s = %v, want %v ± %v", name, got, want, w.Tolerance)
		}
	}
	if w.Subject != "" && f.Subject != w.Subject {
		t.Errorf("subject %q, want %q", f.Subject, w.Subject)
	}
	if w.Nodes != nil && !slices.Equal(f.Where.Nodes, w.Nodes) {
		t.Errorf("nodes %v, want %v", f.Where.Nodes, w.Nodes)
	}
	if w.Joints != nil && !slices.Equal(f.Where.Joints, w.Joints) {
		t.Errorf("joints %v, want %v", f.Where.Joints, w.Joints)
	}
	if w.Vertices != nil {
		if len(f.Where.Spots) == 0 {
			t.Errorf("no vertices, want %v of surface %d", w.Vertices, w.Surface)
		} else {
			got, want := slices.Clone(f.Where.Spots[0].Vertices), slices.Clone(w.Vertices)
			slices.Sort(got)
			slices.Sort(want)
			if f.Where.Spots[0].Surface != w.Surface || !slices.Equal(got, want) {
				t.Errorf("vertices %v of surface %d, want %v of surface %d", got, f.Where.Spots[0].Surface, want, w.Surface)
			}
		}
	}
	if w.Skin != nil && f.Where.Skin != *w.Skin {
		t.Errorf("skin %d, want %d", f.Where.Skin, *w.Skin)
	}
	if w.Clip != nil && f.Where.Clip != *w.Clip {
		t.Errorf("clip %d, want %d", f.Where.Clip, *w.Clip)
	}
	if w.Pointer != "" && f.Where.Pointer != w.Pointer {
		t.Errorf("pointer %q, want %q", f.Where.Pointer, w.Pointer)
	}
	if w.Point != nil {
		if p := f.Where.Point; p == nil {
			t.Errorf("no point, want %v", *w.Point)
		} else if d := math.Hypot(math.Hypot(p[0]-w.Point[0], p[1]-w.Point[1]), p[2]-w.Point[2]); !(d <= w.Near) {
			t.Errorf("point %v is %v m from %v", *p, d, *w.Point)
		}
	}
}

// whole fails when a row of the catalogue lacks something it owes its reader.
func whole[F any](t *testing.T, c check.Check[F]) {
	t.Helper()
	for name, text := range map[string]string{"ID": c.ID, "Title": c.Title, "Measure": c.Measure, "Why": c.Why, "Remedy": c.Remedy, "Source": c.Source} {
		if text == "" {
			t.Errorf("%s: no %s", c.ID, name)
		}
	}
	for _, l := range c.Limits {
		if l.Name == "" || l.Grade < check.Note || l.Grade > check.Stop || math.IsNaN(l.Value) {
			t.Errorf("%s: limit %+v is not whole", c.ID, l)
		}
	}
}

// sound fails when a finding has no measure, a figure that is none, or a place that
// the rig does not have.
func sound(t *testing.T, r *rig.Rig, f *check.Finding) {
	t.Helper()
	if len(f.Measures) == 0 {
		t.Fatalf("%s: finding without a measure", f.ID)
	}
	for _, m := range f.Measures {
		if math.IsNaN(m.Value) || math.IsInf(m.Value, 0) {
			t.Errorf("%s: %s is %v", f.ID, m.Name, m.Value)
		}
	}
	w := &f.Where
	for _, n := range slices.Concat(w.Nodes, w.Joints) {
		if n < 0 || int(n) >= len(r.Nodes) {
			t.Errorf("%s: node %d of %d", f.ID, n, len(r.Nodes))
		}
	}
	if int(w.Skin) >= len(r.Skins) || int(w.Clip) >= len(r.Clips) {
		t.Errorf("%s: skin %d of %d, clip %d of %d", f.ID, w.Skin, len(r.Skins), w.Clip, len(r.Clips))
	}
	for _, s := range w.Spots {
		if s.Surface < 0 || s.Surface >= len(r.Surfaces) {
			t.Errorf("%s: surface %d of %d", f.ID, s.Surface, len(r.Surfaces))
			continue
		}
		n := r.Meshes[r.Surfaces[s.Surface].Mesh].Vertices()
		for _, v := range s.Vertices {
			if v < 0 || int(v) >= n {
				t.Errorf("%s: vertex %d of %d", f.ID, v, n)
			}
		}
	}
}
