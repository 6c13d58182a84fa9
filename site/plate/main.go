// Command plate draws the sample figure for the page's first visit, once for each
// paper, with the page's own renderer. What is bare paper becomes clear, so that
// the picture can lie on any ground.
package main

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"log"
	"math"
	"os"
	"path/filepath"
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
	"rigloupe/viewer/texels"
)

// The picture is twice as large as the page shows it.
const (
	width  = 500
	height = 536
	clip   = "wave"
	at     = 0.8 // seconds: the arm is up
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("plate: ")
	to := flag.String("out", "site/css", "folder for sample-day.png and sample-night.png")
	flag.Parse()
	s, st, err := lamp()
	if err != nil {
		log.Fatal(err)
	}
	for _, night := range []bool{false, true} {
		st.Night = night
		name := filepath.Join(*to, map[bool]string{false: "sample-day.png", true: "sample-night.png"}[night])
		if err := write(name, cutOut(s.Draw(&st))); err != nil {
			log.Fatal(err)
		}
	}
}

// lamp is the sample in its clip, from the front corner, with bones and nothing else.
func lamp() (*scene.Scene, scene.State, error) {
	st := scene.State{
		Width: width, Height: height, Lens: scene.Plain, Joint: rig.None, Clip: rig.None, Seconds: at, Bones: true,
		Chosen: scene.Choice{Node: rig.None, Surface: -1}, Hover: scene.Choice{Node: rig.None, Surface: -1},
	}
	r, err := gltfio.Read([]gltfio.File{{Name: "lamplighter.glb", Data: lamplighter.GLB(lamplighter.Options{})}}, gltfio.Options{})
	if err != nil {
		return nil, st, err
	}
	i := slices.IndexFunc(r.Clips, func(c rig.ClipData) bool { return c.Name == clip })
	if i < 0 {
		return nil, st, fmt.Errorf("the sample has no clip %q", clip)
	}
	st.Clip = rig.Clip(i)
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		return nil, st, err
	}
	prepared, err := scene.Prepare(context.Background(), r, nil)
	if err != nil {
		return nil, st, err
	}
	s := scene.New(r, prepared, found.Fields(res))
	s.DecodeBy(texels.Decode)
	st.Camera = s.View(&st, camera.ThreeQuarter)
	return s, st, nil
}

// cutOut clears the paper: it is no colour of the figure. A pixel beside it keeps
// the least opacity that explains it on any ground.
func cutOut(pic scene.Picture) *image.NRGBA {
	paper := pic.Pix[0]
	bare := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < pic.W && y < pic.H && near(pic.Pix[y*pic.W+x], paper)
	}
	img := image.NewNRGBA(image.Rect(0, 0, pic.W, pic.H))
	for y := range pic.H {
		for x := range pic.W {
			if bare(x, y) {
				continue
			}
			c, p := pic.Pix[y*pic.W+x], img.Pix[img.PixOffset(x, y):]
			p[0], p[1], p[2], p[3] = uint8(c), uint8(c>>8), uint8(c>>16), 255
			if bare(x-1, y) || bare(x+1, y) || bare(x, y-1) || bare(x, y+1) {
				thin(p, paper)
			}
		}
	}
	return img
}

func near(a, b uint32) bool {
	for s := 0; s < 24; s += 8 {
		if d := int(a>>s&255) - int(b>>s&255); d > 3 || d < -3 {
			return false
		}
	}
	return true
}

// thin takes the paper out of a pixel of the rim.
func thin(p []uint8, paper uint32) {
	alpha := 0.
	for k := range 3 {
		c, g := float64(p[k]), float64(paper>>(8*k)&255)
		if c > g {
			alpha = max(alpha, (c-g)/(255-g))
		} else if c < g {
			alpha = max(alpha, (g-c)/g)
		}
	}
	if alpha <= 0 {
		p[3] = 0
		return
	}
	for k := range 3 {
		g := float64(paper >> (8 * k) & 255)
		p[k] = uint8(math.Round(min(255, max(0, g+(float64(p[k])-g)/alpha))))
	}
	p[3] = uint8(math.Round(255 * alpha))
}

func write(name string, img image.Image) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	if err := enc.Encode(f, img); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
