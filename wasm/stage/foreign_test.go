package stage

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"rigloupe/inspect/lamplighter"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// A figure of another file stands in the right half, under its own words, and goes again;
// one on trial takes its place, and its partners with it.
func TestForeign(t *testing.T) {
	b := open(t)
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000, Pose: lamplighter.A, Names: lamplighter.Snake})
	p, err := scene.Prepare(context.Background(), r, nil)
	if err != nil {
		t.Fatal(err)
	}
	figure, err := flat.Pack(r)
	b.must(err)
	prepared, err := flat.Pack(p)
	b.must(err)
	before := b.tell().Camera
	b.must(b.foreign(figure, prepared, steady))
	b.must(b.set(&bridge.Show{Halves: []string{"newer", "older"}, Partners: []int{1, 2}}))
	if st := b.tell(); !st.Beside || !st.Split || b.state.Halves != [2]string{"newer", "older"} || !b.scene.Foreign() {
		t.Fatalf("%+v", st)
	}
	if err := b.set(&bridge.Show{Halves: []string{"one"}}); err == nil {
		t.Error("one text for two halves is taken")
	}
	b.must(b.foreign(nil, nil, steady))
	if st := b.tell(); st.Beside || st.Split || b.scene.Foreign() || math.Abs(st.Camera.Scale-before.Scale) > 1e-6*before.Scale {
		t.Errorf("taken away: %+v, camera before %+v", st, before)
	}
	b.must(b.foreign(figure, prepared, steady))
	own, _ := sample()
	b.must(b.trial(own, nil, steady))
	if b.scene.Foreign() {
		t.Error("a figure on trial is taken for one of another file")
	}
	if err := b.foreign(figure, []byte("no figure"), steady); err == nil {
		t.Error("what is no parcel is shown")
	}
}

// How far apart two vertices are: over the two ends of a primitive's box it is the box's
// own diagonal, worked out here from the stored places; the sample stands at rest as stored.
func TestLength(t *testing.T) {
	b := open(t)
	m := b.rig.Meshes[b.rig.Surfaces[0].Mesh]
	var low, high int
	for v := range m.Positions[:len(m.Positions)/3] {
		if m.Positions[3*v+1] < m.Positions[3*low+1] {
			low = v
		}
		if m.Positions[3*v+1] > m.Positions[3*high+1] {
			high = v
		}
	}
	b.after(200 * time.Millisecond)
	says, ok := b.length(0, low, 0, high)
	var sum float64
	for k := range 3 {
		d := float64(m.Positions[3*low+k] - m.Positions[3*high+k])
		sum += d * d
	}
	if want := math.Sqrt(sum); !ok || !strings.HasPrefix(says, fmt.Sprintf("%.2f", want)) {
		t.Errorf("%q, %v; want %.2f m", says, ok, want)
	}
	if says, ok := b.length(0, low, 0, low); !ok || !strings.HasPrefix(says, "0") {
		t.Errorf("to itself: %q", says)
	}
	if _, ok := b.length(0, low, 7, 0); ok {
		t.Error("to a surface that is not there")
	}
}
