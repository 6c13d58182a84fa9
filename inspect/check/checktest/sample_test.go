package checktest

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The harness itself: what it must complain of, a complaint each, and that it is content
// with what is right.
func TestSampleComplains(t *testing.T) {
	fault := lamplighter.Fault{ID: "test/gap", Name: "a gap", Grade: "flaw", Also: []string{"test/near"}}
	planted := lamplighter.Planted{Nodes: []rig.Node{4}, Vertices: []rig.Vertex{1, 2, 3}, Point: &space.Vec{0, 1, 0}, Measure: "gap", Size: 2, Unit: "vertices"}
	right := func() check.Finding {
		w := check.Nowhere()
		w.Joints = []rig.Node{4}
		w.Spots = []check.Spot{{Vertices: []rig.Vertex{1, 2, 3}}}
		w.Point, w.Extent = &space.Vec{0, 1, 0.1}, 0.1
		return check.Finding{ID: "test/gap", Title: "Gap", Grade: check.Flaw, Where: w, Measures: []check.Measure{{Name: "share", Value: 0.5}, {Name: "gap", Value: 2}}}
	}
	also := func(id string, g check.Grade) check.Finding {
		return check.Finding{ID: id, Title: "Other", Grade: g, Where: check.Nowhere(), Measures: []check.Measure{{Name: "n", Value: 1}}}
	}
	station := check.Station{Name: "test"}
	for _, c := range []struct {
		name   string
		with   Sample
		change func(*check.Finding)
		more   []check.Finding
		sound  []check.Finding
		want   string // of the complaint; "": none
	}{
		{name: "right"},
		{name: "set off rightly", more: []check.Finding{also("test/near", check.Stop)}},
		{name: "set off", more: []check.Finding{also("test/far", check.Note)}, want: "set off as well"},
		{name: "found in the sound one too", more: []check.Finding{also("test/far", check.Note)}, sound: []check.Finding{also("test/far", check.Note)}},
		{name: "worse than in the sound one", more: []check.Finding{also("test/far", check.Flaw)}, sound: []check.Finding{also("test/far", check.Note)}, want: "set off as well"},
		{name: "not found", change: func(f *check.Finding) { f.ID = "test/near" }, want: "not found"},
		{name: "found as in the sound one", sound: []check.Finding{right()}, want: "not found"},
		{name: "grade", change: func(f *check.Finding) { f.Grade = check.Note }, want: "grade"},
		{name: "a worse one beside it", more: []check.Finding{{ID: "test/gap", Grade: check.Stop, Where: right().Where, Measures: right().Measures}}, want: "grade"},
		{name: "size", change: func(f *check.Finding) { f.Measures[1].Value = 2.001 }, want: "is not 2"},
		{name: "no number", change: func(f *check.Finding) { f.Measures[1].Value = math.NaN() }, want: "is not 2"},
		{name: "another measure", with: Sample{Measure: map[string]string{"test/gap": "share"}}, want: "is not 2"},
		{name: "no measure of the name", with: Sample{Measure: map[string]string{"test/gap": "width"}}, want: "is not 2"},
		{name: "another measure and size", with: Sample{Measure: map[string]string{"test/gap": "share"}, Size: map[string]float64{"test/gap: a gap": 0.5}}},
		{name: "nearly", with: Sample{Near: map[string]float64{"test/gap": 0.01}}, change: func(f *check.Finding) { f.Measures[1].Value = 2.001 }},
		{name: "the first measure, where none has the name", change: func(f *check.Finding) { f.Measures = []check.Measure{{Name: "a", Value: 1}, {Name: "b", Value: 2}} }, want: "is not 2"},
		{name: "node", change: func(f *check.Finding) { f.Where.Joints = []rig.Node{5} }, want: "node 4"},
		{name: "as a node", change: func(f *check.Finding) { f.Where.Joints, f.Where.Nodes = nil, []rig.Node{4} }},
		{name: "vertices", change: func(f *check.Finding) { f.Where.Spots[0].Vertices = []rig.Vertex{1, 3, 9} }, want: "2 of 3"},
		{name: "most vertices", with: Sample{Named: map[string]float64{"test/gap": 0.6}}, change: func(f *check.Finding) { f.Where.Spots[0].Vertices = []rig.Vertex{1, 3, 9} }},
		{name: "point", change: func(f *check.Finding) { f.Where.Point = &space.Vec{0, 1, 0.12} }, want: "planted at"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := right()
			if c.change != nil {
				c.change(&f)
			}
			c.with.Station = &station
			_, wrong := c.with.look(fault, planted, append([]check.Finding{f}, c.more...), c.sound)
			if said := strings.Join(wrong, "; "); c.want == "" && said != "" || !strings.Contains(said, c.want) {
				t.Errorf("complains %q, want %q", said, c.want)
			}
		})
	}
}

// Every fault of lamplighter whose check a station has is looked for.
func TestSampleTakesTheStations(t *testing.T) {
	s := check.Station{Entries: []check.Entry{{ID: "binding/unbound"}, {ID: "surface/lopsided"}}}
	var ids []string
	for _, f := range (Sample{Station: &s}).faults() {
		ids = append(ids, f.ID)
	}
	if !slices.Equal(ids, []string{"surface/lopsided", "surface/lopsided", "binding/unbound"}) {
		t.Error(ids)
	}
}

// A figure is built once and handed out as one's own.
func TestBuilt(t *testing.T) {
	o := lamplighter.Options{Vertices: 4000}
	a, b := Built(o), Built(o)
	a.Meshes[0].Positions[0] = 99
	if b.Meshes[0].Positions[0] == 99 || Built(o).Meshes[0].Positions[0] == 99 {
		t.Error("two share their places")
	}
}
