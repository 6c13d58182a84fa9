package main

import (
	"context"
	"slices"
	"testing"

	"rigloupe/wasm/bridge"
)

// A warm examiner has told nothing and holds nothing open, and what it answers next is what a
// fresh one answers.
func TestWarm(t *testing.T) {
	fresh, warm := newPage(), newPage()
	warm.ask(context.Background(), asked{ID: 1, Kind: "warm", Size: 500}, nil)
	if got := warm.kinds(); got != "done" {
		t.Errorf("told %q", got)
	}
	warm.ask(context.Background(), asked{ID: 2, Kind: "joints"}, nil)
	if last[bridge.Refused](t, warm).Text == "" {
		t.Error("the joints of a figure that nobody opened")
	}
	for _, p := range []*page{fresh, warm} {
		p.told = nil
		p.ask(context.Background(), small, nil)
	}
	if a, b := documents(fresh), documents(warm); len(a) < 4 || !slices.Equal(a, b) {
		t.Errorf("%d and %d documents, and not the same", len(a), len(b))
	}
	for kind, data := range fresh.parcels {
		if string(warm.parcels[kind]) != string(data) {
			t.Errorf("%s: other bytes", kind)
		}
	}
}

// It is stopped like any other work.
func TestWarmStops(t *testing.T) {
	p := newPage()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p.ask(ctx, asked{ID: 1, Kind: "warm"}, nil)
	if done := last[bridge.Done](t, p); !done.Stopped {
		t.Errorf("%+v", done)
	}
}

// documents are those that were told, in their order.
func documents(p *page) (out []string) {
	for _, m := range p.told {
		if d, ok := m.(bridge.Document); ok {
			out = append(out, d.Kind+d.JSON)
		}
	}
	return out
}
