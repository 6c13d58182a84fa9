package found

import (
	"encoding/binary"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
)

// TestGolden compares what findings and lenses of the stations put on the figure,
// pixel by pixel. UPDATE_GOLDEN=1 writes the pictures anew; look at every one that
// changed.
func TestGolden(t *testing.T) {
	elbow := lamplighter.Node("lowerArm_L")
	for _, row := range rounds.Rows([]struct {
		name, fault string
		night       bool
		show        func(*testing.T, *inspect.Result, *scene.Scene, *scene.State)
	}{
		{"off-centre", "skeleton/off-centre", false, inked("skeleton/off-centre", scene.Place{Surface: -1, Node: elbow})},
		{"off-centre-night", "skeleton/off-centre", true, inked("skeleton/off-centre", scene.Place{Surface: -1, Node: elbow})},
		{"section-in-a-clip", "", false, func(t *testing.T, r *inspect.Result, s *scene.Scene, st *scene.State) {
			s.SetOverlay(SectionOverlay(r, elbow))
			st.Clip, st.Seconds = 1, .84
			st.Camera = s.ViewOf(st, scene.Place{Surface: -1, Node: elbow})
		}},
		{"section-depth", "skeleton/off-centre", false, lensed("section-depth", Params{})},
		{"section-depth-night", "skeleton/off-centre", true, lensed("section-depth", Params{})},
		{"detail-at-risk", "", false, lensed("detail-at-risk", Params{Weld: .014})},
		{"uneven-pair", "skeleton/uneven-pair", false, inked("skeleton/uneven-pair", scene.Place{Surface: -1, Node: elbow})},
		{"loose-chain", "skeleton/loose-chain", true, inked("skeleton/loose-chain", scene.Place{Surface: -1, Node: lamplighter.Node("chain_L_1")})},
		{"inside-out", "surface/inside-out", false, func(t *testing.T, r *inspect.Result, s *scene.Scene, st *scene.State) {
			inked("surface/inside-out", scene.Place{Surface: 0, Node: rig.None, Vertices: []rig.Vertex{0}})(t, r, s, st)
			st.Camera = s.View(st, camera.ThreeQuarter)
		}},
		{"bind-odd", "skeleton/bind-odd", false, inked("skeleton/bind-odd", scene.Place{Surface: -1, Node: lamplighter.Node("head")})},
	}, 2) {
		t.Run(row.name, func(t *testing.T) {
			res := examined(t, row.fault)
			r := res.Exam.Rig
			prepared, err := scene.Prepare(t.Context(), r, nil)
			if err != nil {
				t.Fatal(err)
			}
			s := scene.New(r, prepared, Fields(res))
			st := scene.State{Width: 320, Height: 240, Bones: true, Night: row.night, Joint: rig.None, Clip: rig.None, Lens: scene.Plain}
			st.Camera = s.View(&st, camera.ThreeQuarter)
			row.show(t, res, s, &st)
			pic := s.Draw(&st)
			got := image.NewNRGBA(image.Rect(0, 0, pic.W, pic.H))
			for i, c := range pic.Pix[:pic.W*pic.H] {
				binary.LittleEndian.PutUint32(got.Pix[4*i:], c)
			}
			name := filepath.Join("testdata", "golden", row.name+".png")
			if os.Getenv("UPDATE_GOLDEN") != "" {
				write(t, name, got)
				return
			}
			f, err := os.Open(name)
			if err != nil {
				t.Fatalf("%v; UPDATE_GOLDEN=1 go test writes it", err)
			}
			defer f.Close()
			img, err := png.Decode(f)
			if err != nil {
				t.Fatal(err)
			}
			want := image.NewNRGBA(img.Bounds())
			draw.Draw(want, want.Rect, img, want.Rect.Min, draw.Src)
			differ := 0
			for i := 0; i < min(len(want.Pix), len(got.Pix)); i += 4 {
				if [4]uint8(got.Pix[i:i+4]) != [4]uint8(want.Pix[i:i+4]) {
					differ++
				}
			}
			if differ > 0 || want.Rect != got.Rect {
				other := filepath.Join(os.TempDir(), "found-"+row.name+".png")
				write(t, other, got)
				t.Errorf("%d of %d pixels differ; see %s", differ, len(got.Pix)/4, other)
			}
		})
	}
}

func inked(id string, place scene.Place) func(*testing.T, *inspect.Result, *scene.Scene, *scene.State) {
	return func(t *testing.T, r *inspect.Result, s *scene.Scene, st *scene.State) {
		for n, f := range r.Findings() {
			if f.ID == id {
				s.SetOverlay(Overlay(r, n+1))
				st.Camera = s.ViewOf(st, place)
				return
			}
		}
		t.Fatalf("no finding %s", id)
	}
}

func lensed(name string, p Params) func(*testing.T, *inspect.Result, *scene.Scene, *scene.State) {
	return func(t *testing.T, r *inspect.Result, s *scene.Scene, st *scene.State) {
		f, err := Field(r, name, p)
		if err != nil {
			t.Fatal(err)
		}
		s.SetField(f)
		st.Lens, st.Bones = scene.Measured, false
	}
}

func write(t *testing.T, name string, img image.Image) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(f, img); err != nil {
		t.Fatal(err)
	}
}
