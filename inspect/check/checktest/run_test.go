package checktest

import (
	"context"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

type facts struct {
	Nodes int `json:"nodes"`
}

func measure(_ context.Context, e *exam.Exam) (*facts, error) { return &facts{len(e.Rig.Nodes)}, nil }

var crowded = check.Check[facts]{
	ID: "test/crowded", Title: "Many nodes", Measure: "nodes", Why: "w", Remedy: "r", Source: "s",
	Limits: []check.Limit{{Name: "nodes", Value: 2, Grade: check.Flaw}},
	Needs: func(f *facts) string {
		if f.Nodes == 0 {
			return "no node in this file"
		}
		return ""
	},
	Judge: func(f *facts, d *check.Docket) {
		if l := d.Limit("nodes"); float64(f.Nodes) > l.Value {
			w := check.Nowhere()
			w.Nodes = []rig.Node{2}
			d.Found(l, "nodes", float64(f.Nodes), w)
		}
	},
}

func nodes(n int) func() *rig.Rig {
	return func() *rig.Rig { return &rig.Rig{Nodes: make([]rig.NodeData, n)} }
}

func TestRun(t *testing.T) {
	Run(t, crowded, measure, []Row{
		{Name: "at the limit", Rig: nodes(2)},
		{Name: "over", Rig: nodes(3), Want: []Want{{Grade: check.Flaw, Name: "nodes", Value: 3, Nodes: []rig.Node{2}}}},
		{Name: "planted", Rig: nodes(2), Plant: func(r *rig.Rig) { r.Nodes = append(r.Nodes, rig.NodeData{}) },
			Want: []Want{{Grade: check.Flaw, Value: 3}}},
		{Name: "limit moved", Rig: nodes(3), Limits: map[string]float64{"nodes": 3}},
		{Name: "none", Rig: nodes(0), Skip: "no node in this file"},
	})
}
