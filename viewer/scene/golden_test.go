package scene

import (
	"encoding/binary"
	"errors"
	"image"
	"image/png"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
)

// unlike is a field that only this test invents: mismatch grows from the floor up,
// and the figure's right half has no partner.
func unlike(r *rig.Rig) *Fields {
	f := &Fields{}
	for i := range r.Surfaces {
		m := &r.Meshes[r.Surfaces[i].Mesh]
		metres, weights := make([]float32, m.Vertices()), make([]float32, m.Vertices())
		for v := range metres {
			metres[v], weights[v] = .004*m.Positions[3*v+1], .5*m.Positions[3*v+1]
			if m.Positions[3*v] < -.1 {
				metres[v], weights[v] = float32(math.NaN()), float32(math.NaN())
			}
		}
		f.SurfaceMismatch, f.WeightMismatch = append(f.SurfaceMismatch, metres), append(f.WeightMismatch, weights)
	}
	return f
}

// plates are the goldens: what is shown is in the name.
func plates(t testing.TB) []plate {
	tRig, tPrepared := lamp(t, lamplighter.T)
	aRig, aPrepared := lamp(t, lamplighter.A)
	arm, hip := nodeNamed(t, tRig, "upperArm_L"), nodeNamed(t, tRig, "hips")
	knee, leg := nodeNamed(t, tRig, "lowerLeg_L"), nodeNamed(t, tRig, "upperLeg_R")
	inT := func(name string, change func(*State)) plate {
		st := still(320, 240)
		st.Loupe = false
		change(&st)
		return plate{name, tRig, tPrepared, unlike(tRig), st}
	}
	wave := func(st *State) { st.Clip, st.Seconds = 1, .84 }
	all := []plate{
		inT("t-day", func(st *State) {}),
		inT("t-night", func(st *State) { st.Night = true }),
		inT("front-no-marks", func(st *State) { st.Bones, st.Staff = false, false }),
		inT("moving", func(st *State) { st.Moving = true }),
		inT("wave-linear", wave),
		inT("wave-dual-night", func(st *State) { wave(st); st.Method, st.Night = deform.Dual, true }),
		inT("influence", func(st *State) {
			wave(st)
			st.Lens, st.Joint = Influence, arm
			st.Chosen = Choice{Kind: OnJoint, Node: arm, Surface: -1}
		}),
		inT("influence-night", func(st *State) {
			st.Lens, st.Joint, st.Night = Influence, hip, true
			st.Hover = Choice{Kind: OnJoint, Node: arm}
		}),
		inT("painted", func(st *State) { st.Lens = Painted }),
		inT("dominant", func(st *State) { st.Lens, st.Bones = Dominant, false }),
		inT("dominant-night", func(st *State) { st.Lens, st.Bones, st.Night = Dominant, false, true }),
		inT("count", func(st *State) { st.Lens, st.Bones = Count, false }),
		inT("mirror-surface", func(st *State) { st.Lens, st.Bones = MirrorSurface, false }),
		inT("mirror-weights-night", func(st *State) { st.Lens, st.Bones, st.Night = MirrorWeights, false, true }),
		inT("pointers", func(st *State) {
			st.PointerList = []Pointer{
				{Number: 8, Grade: 3, Vertex: 3000, Node: rig.None}, {Number: 12, Grade: 2, Vertex: 100, Node: rig.None},
				{Number: 3, Grade: 1, Surface: -1, Node: arm}, {Number: 4, Grade: 2, Surface: -1, Node: rig.None, Point: space.Vec{.1, .4, .1}},
			}
		}),
		inT("loupe", func(st *State) {
			st.Width, st.Height = 440, 360
			st.Loupe, st.Lens, st.Joint = true, Influence, arm
			st.Chosen = Choice{Kind: OnVertex, Vertex: 2500, Node: rig.None}
		}),
		inT("sum", func(st *State) { // all terms; the loupe shows it enlarged
			wave(st)
			st.Width, st.Height = 440, 360
			st.Loupe, st.Bones, st.Pointers, st.Sum, st.Terms = true, false, false, true, 99
			st.Chosen = Choice{Kind: OnVertex, Vertex: farthest(tRig, st), Node: rig.None}
		}),
		inT("sum-one-term-night", func(st *State) {
			wave(st)
			st.Night, st.Bones, st.Sum, st.Terms = true, false, true, 1
			st.Chosen = Choice{Kind: OnVertex, Vertex: farthest(tRig, st), Node: rig.None}
		}),
		inT("move-stretch", func(st *State) {
			st.Lens, st.Bones, st.Move = Stretch, false, Move{leg, "flexion", 60}
		}),
		inT("move-turned-over-night", func(st *State) {
			st.Lens, st.Bones, st.Night, st.Move = TurnedOver, false, true, Move{leg, "flexion", 120}
		}),
		inT("move-split", func(st *State) {
			st.Split, st.Lens, st.Move = true, Stretch, Move{leg, "abduction", 45}
		}),
		inT("move-split-moving-night", func(st *State) {
			st.Split, st.Moving, st.Night, st.Move = true, true, true, Move{knee, "flexion", 90}
		}),
		{"overlay", tRig, tPrepared, nil, still(320, 240)},
		{"overlay-night", tRig, tPrepared, nil, inNight(still(320, 240))},
		{"field-two-sided", tRig, tPrepared, nil, measuring(still(320, 240))},
		{"field-flags-night", tRig, tPrepared, nil, inNight(measuring(still(320, 240)))},
		{"a-day", aRig, aPrepared, nil, still(320, 240)},
		{"unprepared", aRig, nil, nil, still(320, 240)},
		{"bare", bare(), &Prepared{}, nil, still(320, 240)},
		{"empty", &rig.Rig{Shown: rig.None}, nil, nil, still(320, 240)},
	}
	all[len(all)-2].prepared = prepared(t, all[len(all)-2].rig)
	return all
}

type plate struct {
	name     string
	rig      *rig.Rig
	prepared *Prepared
	fields   *Fields
	state    State
}

func (p *plate) draw() Picture {
	s := New(p.rig, p.prepared, p.fields)
	st := p.state
	switch p.name {
	case "overlay", "overlay-night":
		s.SetOverlay(inked(p.rig))
	case "field-two-sided":
		s.SetField(heights(p.rig))
	case "field-flags-night":
		s.SetField(flagged(p.rig))
	}
	from := camera.ThreeQuarter
	if p.name == "front-no-marks" {
		from = camera.Front
	}
	st.Camera = s.View(&st, from)
	return s.Draw(&st)
}

// TestGolden compares whole plates, pixel by pixel. UPDATE_GOLDEN=1 writes them
// anew; look at every one that changed. The same files hold natively and in
// WebAssembly.
func TestGolden(t *testing.T) {
	for _, p := range plates(t) {
		t.Run(p.name, func(t *testing.T) {
			got := picture(p.draw())
			name := filepath.Join("testdata", "golden", p.name+".png")
			if os.Getenv("UPDATE_GOLDEN") != "" {
				write(t, name, got)
				return
			}
			want, err := read(name)
			if errors.Is(err, fs.ErrNotExist) {
				t.Fatalf("%v; UPDATE_GOLDEN=1 go test writes it", err)
			}
			if err != nil {
				t.Fatal(err)
			}
			if want.Rect != got.Rect {
				t.Fatalf("is %v, golden %v", got.Rect, want.Rect)
			}
			differ, first := 0, -1
			diff := image.NewRGBA(got.Rect)
			for i := 0; i < len(got.Pix); i += 4 {
				if [4]uint8(got.Pix[i:i+4]) != [4]uint8(want.Pix[i:i+4]) {
					if differ++; first < 0 {
						first = i / 4
					}
					copy(diff.Pix[i:], []uint8{255, 0, 0, 255})
				} else {
					copy(diff.Pix[i:], []uint8{got.Pix[i] / 4, got.Pix[i+1] / 4, got.Pix[i+2] / 4, 255})
				}
			}
			if differ > 0 {
				dir := os.TempDir()
				write(t, filepath.Join(dir, p.name+"-got.png"), got)
				write(t, filepath.Join(dir, p.name+"-difference.png"), diff)
				w := got.Rect.Dx()
				t.Errorf("%d of %d pixels differ, the first at %d %d; see %s in %s", differ, len(got.Pix)/4, first%w, first/w, p.name+"-{got,difference}.png", dir)
			}
		})
	}
}

func picture(p Picture) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, p.W, p.H))
	for i, c := range p.Pix {
		binary.LittleEndian.PutUint32(img.Pix[4*i:], c)
	}
	return img
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

func read(name string) (*image.RGBA, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		return nil, err
	}
	// Opaque RGBA pictures come back as *image.RGBA.
	if rgba, ok := img.(*image.RGBA); ok {
		return rgba, nil
	}
	b := img.Bounds()
	out := image.NewRGBA(b)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			out.Set(x, y, img.At(x, y))
		}
	}
	return out, nil
}
