package checktest

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Sample says how the faults planted in the sample are looked for by one station.
// Every fault of lamplighter whose check is the station's is planted in every figure.
// The findings of its check must have its grade, name its joints and vertices, and
// say its size; nothing may be found with it but what it must set off (Fault.Also) and
// what is found in the sound figure too.
type Sample struct {
	Station *check.Station
	On      []lamplighter.Options // the figures; none: that of the zero Options
	Judged  check.Grade           // what may be said of the sound figures, at most

	// By the id of a check, or its id and the name of a fault ("id: name").
	Measure map[string]string  // which measure has the planted size; else the one of Planted.Measure's name, else the first
	Size    map[string]float64 // the size itself, where the measure tells another than Planted.Size
	Near    map[string]float64 // how near it comes, in its unit; else 1e-4 of it
	Named   map[string]float64 // the least share of the planted vertices that are named; else all

	// More looks at the finding that was held against the fault; may be nil.
	More func(t *testing.T, r *rig.Rig, f *check.Finding)
}

// Run plants and looks.
func (s Sample) Run(t *testing.T) {
	on := s.On
	if len(on) == 0 {
		on = []lamplighter.Options{{}}
	}
	faults := s.faults()
	if len(faults) == 0 {
		t.Fatal("no fault of lamplighter is of this station")
	}
	for i, o := range on {
		base := Built(o)
		sound := Silent(t, s.Station, base, s.Judged)
		for k, fault := range faults {
			if i > 0 && !rounds.Run(k, 4) {
				continue
			}
			t.Run(o.FileName()+"/"+fault.ID+": "+fault.Name, func(t *testing.T) {
				r, planted := fault.On(base)
				found, _ := Judge(t, s.Station, r, nil)
				f, wrong := s.look(fault, planted, found, sound)
				for _, w := range wrong {
					t.Error(w)
				}
				if f != nil && s.More != nil {
					s.More(t, r, f)
				}
			})
		}
	}
}

// faults are those of lamplighter that the station has a check for.
func (s Sample) faults() (out []lamplighter.Fault) {
	for _, f := range lamplighter.Faults() {
		if slices.ContainsFunc(s.Station.Entries, func(e check.Entry) bool { return e.ID == f.ID }) {
			out = append(out, f)
		}
	}
	return out
}

// look holds the findings against what was planted: the finding that names most of it
// among those of the fault's grade, and what is wrong.
func (s Sample) look(fault lamplighter.Fault, planted lamplighter.Planted, found, sound []check.Finding) (best *check.Finding, wrong []string) {
	say := func(format string, a ...any) { wrong = append(wrong, fmt.Sprintf(format, a...)) }
	var own []*check.Finding
	worst := check.Grade(0)
	for i := range found {
		f := &found[i]
		if slices.ContainsFunc(sound, func(x check.Finding) bool {
			return x.ID == f.ID && x.Title == f.Title && x.Subject == f.Subject && x.Grade == f.Grade
		}) {
			continue
		}
		switch {
		case f.ID == fault.ID:
			own, worst = append(own, f), max(worst, f.Grade)
		case !slices.Contains(fault.Also, f.ID) && !slices.ContainsFunc(sound, func(x check.Finding) bool { return x.ID == f.ID && x.Grade == f.Grade }):
			say("set off as well: %s %s %q %v", f.Grade, f.ID, f.Subject, f.Measures)
		}
	}
	if len(own) == 0 {
		say("not found among %d findings", len(found))
		return nil, wrong
	}
	if worst.String() != fault.Grade {
		say("grade %q, want %q", worst, fault.Grade)
	}
	most := -1
	vertices := map[rig.Vertex]bool{}
	marked := false
	for _, f := range own {
		for _, spot := range f.Where.Spots {
			marked = true
			for _, v := range spot.Vertices {
				vertices[v] = true
			}
		}
		if n := names(f, planted); f.Grade == worst && n > most {
			best, most = f, n
		}
	}
	s.size(fault, planted, best, say)
	for _, n := range planted.Nodes {
		if !slices.ContainsFunc(own, func(f *check.Finding) bool {
			return slices.Contains(f.Where.Joints, n) || slices.Contains(f.Where.Nodes, n)
		}) {
			say("node %d is not named: %v %v", n, best.Where.Joints, best.Where.Nodes)
		}
	}
	if len(planted.Vertices) > 0 && marked {
		named := 0
		for _, v := range planted.Vertices {
			if vertices[v] {
				named++
			}
		}
		if least := of(s.Named, fault, 1); float64(named) < least*float64(len(planted.Vertices)) {
			say("%d of %d vertices are named, want %.0f %%", named, len(planted.Vertices), 100*least)
		}
	}
	if p, at := planted.Point, best.Where.Point; p != nil && at != nil && of(s.Named, fault, 1) == 1 {
		moved := 0.0 // what was moved stands off by so much
		if planted.Unit == "m" {
			moved = planted.Size
		}
		if d := p.Sub(*at).Len(); d > best.Where.Extent+moved+0.01 {
			say("at %v ± %v, planted at %v", *at, best.Where.Extent, *p)
		}
	}
	return best, wrong
}

// size holds one measure of a finding against the planted size.
func (s Sample) size(fault lamplighter.Fault, planted lamplighter.Planted, f *check.Finding, say func(string, ...any)) {
	want := of(s.Size, fault, planted.Size)
	near := of(s.Near, fault, 1e-4*math.Abs(want))
	name := of(s.Measure, fault, "")
	if name == "" && slices.ContainsFunc(f.Measures, func(m check.Measure) bool { return m.Name == planted.Measure }) {
		name = planted.Measure
	}
	for _, m := range f.Measures {
		if (name == "" || m.Name == name) && math.Abs(m.Value-want) <= near {
			return
		}
		if name == "" {
			break
		}
	}
	say("%q of %v is not %g ± %g (planted: %s)", name, f.Measures, want, near, planted.Measure)
}

// names counts the planted places that a finding names.
func names(f *check.Finding, planted lamplighter.Planted) (n int) {
	for _, x := range planted.Nodes {
		if slices.Contains(f.Where.Joints, x) || slices.Contains(f.Where.Nodes, x) {
			n++
		}
	}
	for _, spot := range f.Where.Spots {
		for _, v := range planted.Vertices {
			if slices.Contains(spot.Vertices, v) {
				n++
			}
		}
	}
	return n
}

// of is what a table says of a fault, of its check, or else.
func of[V any](table map[string]V, fault lamplighter.Fault, other V) V {
	if v, is := table[fault.ID+": "+fault.Name]; is {
		return v
	}
	if v, is := table[fault.ID]; is {
		return v
	}
	return other
}

var built sync.Map // lamplighter.Options → func() *rig.Rig

// Built is a figure of its own of a variant of the sample, which is built once.
func Built(o lamplighter.Options) *rig.Rig {
	make, _ := built.LoadOrStore(o, sync.OnceValue(func() *rig.Rig { return lamplighter.Build(o) }))
	return lamplighter.Clone(make.(func() *rig.Rig)())
}
