package plates

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/original"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/viewer/found"
)

// step does one mend on the sample with a fault planted, and draws it.
func step(t *testing.T, plant func(*rig.Rig) lamplighter.Planted, id string, v mend.Values) ([]paper.Picture, *mend.Receipt) {
	t.Helper()
	r, _ := lamplighter.Fault{Plant: plant}.On(lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 6000}))
	d, err := original.Open([]gltfio.File{{Name: "lamp.glb", Data: lamplighter.Write(r)}})
	if err != nil {
		t.Fatal(err)
	}
	s, err := mend.Open(d)
	if err != nil {
		t.Fatal(err)
	}
	p := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: id, Parameters: v}}}
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	done, _, err := p.Run(context.Background(), s, mend.Options{})
	if err != nil || !done[0].Receipt.Kept {
		t.Fatal(err, done[0].Receipt.Sentence())
	}
	list, err := New(context.Background()).Pair(s, done[0].State, done[0].Receipt)
	if err != nil {
		t.Fatal(err)
	}
	return list, done[0].Receipt
}

// first is the first fault that a check finds.
func first(t *testing.T, id string) func(*rig.Rig) lamplighter.Planted {
	for _, f := range lamplighter.Faults() {
		if f.ID == id {
			return f.Plant
		}
	}
	t.Fatalf("no fault for %s", id)
	return nil
}

// differ is the share of pixels in which two pictures differ, and how many colours the
// first has.
func differ(t *testing.T, a, b paper.Picture) (share float64, colours int) {
	t.Helper()
	p, err := png.Decode(bytes.NewReader(a.PNG))
	q, err2 := png.Decode(bytes.NewReader(b.PNG))
	if err != nil || err2 != nil || p.Bounds() != q.Bounds() {
		t.Fatal(err, err2)
	}
	seen, n := map[any]bool{}, 0
	for y := range a.H {
		for x := range a.W {
			seen[p.At(x, y)] = true
			if p.At(x, y) != q.At(x, y) {
				n++
			}
		}
	}
	return float64(n) / float64(a.W*a.H), len(seen)
}

// TestPair: of each step both pictures show a figure, and what parts them is the place
// alone: one camera; where the figure got another size, all of it.
func TestPair(t *testing.T) {
	for i, row := range []struct {
		check, mend string
		values      mend.Values
		least, most float64 // share of pixels that differ
	}{
		{"binding/stray-island", "clean", mend.Values{"strays": true}, .01, .25},
		{"binding/sum-off", "clean", nil, 1e-4, .12},
		{"skeleton/loose-chain", "hang", nil, .01, .35}, // the whole chain goes along with the yoke
		{"intake/off-ground", "scale", mend.Values{"ground": true}, .01, .6},
	} {
		if !rounds.Run(i, 4) {
			continue
		}
		t.Run(row.check, func(t *testing.T) {
			v := row.values
			if row.mend == "hang" {
				v = mend.Values{"on": map[string]string{"chain_L_1": "yoke"}}
			}
			list, _ := step(t, first(t, row.check), row.mend, v)
			if len(list) != 2 {
				t.Fatalf("%d pictures", len(list))
			}
			share, colours := differ(t, list[0], list[1])
			if share < row.least || share > row.most || colours < 100 {
				t.Errorf("%.4f of the pixels differ, %d colours", share, colours)
			}
		})
	}
}

// TestShows: what is not seen at rest is shown in a pose, which the caption names; what is
// seen at rest stays there.
func TestShows(t *testing.T) {
	for _, row := range rounds.Rows([]struct {
		check, mend string
		values      mend.Values
		posed       bool
	}{
		{"binding/stray-island", "clean", mend.Values{"strays": true}, true},
		{"binding/cross-body", "clean", mend.Values{"cross": true}, true},
		{"skeleton/loose-chain", "hang", mend.Values{"on": map[string]string{"chain_L_1": "yoke"}}, true},
		{"skeleton/name-clash", "names", nil, false},
		{"surface/near-coincident", "weld", nil, false},
	}, 4) {
		list, _ := step(t, first(t, row.check), row.mend, row.values)
		_, words, _ := strings.Cut(list[0].Caption.Plain(), ", seen ")
		if posed := words != ""; posed != row.posed {
			t.Errorf("%s: %q", row.check, list[0].Caption.Plain())
		}
		if row.posed && !strings.Contains(words, "turned by") && !strings.Contains(words, "of clip") {
			t.Errorf("%s: %q", row.check, words)
		}
	}
}

// TestSides: four views of one figure, each another, with pointers at what was found; a
// finding with a place is drawn, one without is not.
func TestSides(t *testing.T) {
	r, _ := lamplighter.Fault{Plant: first(t, "binding/stray-island")}.On(lamplighter.Build(lamplighter.Options{Vertices: 6000}))
	res, err := inspect.Examine(t.Context(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := New(t.Context())
	sides, err := p.Sides(res)
	if err != nil || len(sides) != 4 {
		t.Fatal(len(sides), err)
	}
	for i := range sides {
		for k := range i {
			if share, colours := differ(t, sides[i], sides[k]); share < .02 || colours < 100 {
				t.Errorf("views %d and %d: %.4f differ, %d colours", i, k, share, colours)
			}
		}
	}
	// The pointers follow the verdict, whatever stands first in the file.
	pointers, order := found.Pointers(res), res.Verdict().Order
	at := -1
	for _, k := range pointers {
		i := slices.Index(order, k.Number)
		if i <= at {
			t.Errorf("pointer %d stands out of the order %v", k.Number, order)
		}
		at = i
	}
	if at < 3 {
		t.Errorf("%d pointers", len(pointers))
	}
	clean := *res
	clean.Stations = nil
	bare, err := New(t.Context()).Sides(&clean)
	if err != nil {
		t.Fatal(err)
	}
	if share, _ := differ(t, sides[1], bare[1]); share == 0 {
		t.Error("no pointer is drawn")
	}
	drawn := 0
	for i, f := range res.Findings() {
		pic, has, err := p.Finding(res, i+1)
		if err != nil || has != (len(found.Places(res, &f)) > 0) || has && len(pic.PNG) < 10000 {
			t.Errorf("%s: %v, %v, %d bytes", f.ID, has, err, len(pic.PNG))
		}
		if has {
			drawn++
		}
	}
	if drawn < 3 {
		t.Errorf("%d findings are drawn", drawn)
	}
}

// TestSameBytes: the same pictures, to the byte, on every machine and in WebAssembly
// (`make wasmtest`). The sum changes where the sample, the drawing or its packing does.
func TestSameBytes(t *testing.T) {
	list, _ := step(t, first(t, "binding/sum-off"), "clean", nil)
	h := sha256.New()
	for _, p := range list {
		h.Write(p.PNG)
	}
	const want = "3f2258e6a65c0fc5"
	if got := hex.EncodeToString(h.Sum(nil)[:8]); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// TestPlace: a picture is as large as asked, by day or by night; drawing ends with its
// context.
func TestPlace(t *testing.T) {
	r, _ := lamplighter.Fault{Plant: first(t, "binding/stray-island")}.On(lamplighter.Build(lamplighter.Options{Vertices: 6000}))
	res, err := inspect.Examine(t.Context(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	number := 1 + slices.IndexFunc(res.Findings(), func(f check.Finding) bool { return f.ID == "binding/stray-island" })
	ctx, end := context.WithCancel(t.Context())
	p := New(ctx)
	place := func(on Paper) image.Image {
		t.Helper()
		pic, has, err := p.Place(res, number, on)
		if err != nil || !has {
			t.Fatal(has, err)
		}
		img, err := png.Decode(bytes.NewReader(pic.PNG))
		if err != nil || img.Bounds() != image.Rect(0, 0, on.Width, on.Height) {
			t.Fatal(img.Bounds(), err)
		}
		return img
	}
	corner := func(img image.Image) int { // paper, and nothing else
		c := color.GrayModel.Convert(img.At(2, 2)).(color.Gray)
		return int(c.Y)
	}
	if day, night := corner(place(Paper{Width: 200, Height: 150})), corner(place(Paper{Width: 200, Height: 150, Night: true})); day < 200 || night > 60 {
		t.Errorf("day paper %d, night paper %d", day, night)
	}
	end()
	if _, _, err := p.Place(res, number, Paper{Width: 200, Height: 150}); err == nil {
		t.Error("drawn after its context has ended")
	}
}
