package scene

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
	"rigloupe/viewer/raster"
)

// openness measures how open each vertex lies: the share of directions from which
// it is seen at rest, by the plate's own depth buffer. V values, 0 … 1. pos and normal
// are in the world, 3·V each.
func openness(p *Prepared, pos, normal []float32, step func(int) error) ([]float32, error) {
	const side = 256 // pixels: two metres of figure at 8 mm each
	plate := raster.New(side, side)
	fig := &raster.Figure{Mesh: raster.Mesh{Tri: p.Tri, Part: p.Part, Open: p.Open}}
	if c := &p.Coarse; len(c.Tri) > 0 { // near enough for what shuts a place in
		fig.Mesh = raster.Mesh{Tri: c.Tri, Part: c.Part, Open: c.Open, Used: c.Used}
	}
	frame := &raster.Frame{Pos: pos, Normal: normal}
	mid := space.Vec32{}
	for k := range mid {
		mid[k] = float32((p.Low[k] + p.High[k]) / 2)
	}
	radius := float32(geom.Box{Min: p.Low, Max: p.High}.Diagonal()) / 2
	if !(radius > 0) || radius-radius != 0 {
		radius = 1
	}
	n := len(p.Source)
	open, all := make([]float32, n), make([]float32, n)
	looks := openings
	if n > 300000 { // half of them, or a million vertices take seconds
		looks /= 2
	}
	for i := range looks {
		// Directions on a spiral from pole to pole, the golden angle apart.
		y := 1 - 2*(float64(i)+.5)/float64(looks)
		s, c := math.Sincos(float64(i) * 2.399963)
		h := math.Sqrt(1 - y*y)
		d := space.Vec32{float32(h * c), float32(y), float32(h * s)}
		v := lookAt(mid, d, 30*radius, side*30*.49, side/2)
		plate.Wipe()
		plate.Project(fig, &fig.Mesh, frame, &v, raster.Ruling{})
		plate.Fill(raster.Look{})
		for j := range uint32(n) {
			facing := space.At32(normal, j).Dot(d)
			if facing <= .05 {
				continue
			}
			all[j] += facing
			q := space.At32(pos, j)
			x, y, depth, ok := v.Point(q[0], q[1], q[2])
			// A thousandth of thirty radii: what lies within 3.6 % of the figure's
			// radius does not shut a place in, else every fold would speckle.
			if !ok || !plate.Hidden(x, y, depth, .0012) {
				open[j] += facing
			}
		}
		if err := step(openings / looks); err != nil {
			return nil, err
		}
	}
	for j := range open {
		if all[j] > 0 {
			open[j] /= all[j]
		} else {
			open[j] = 1
		}
	}
	geom.Soften(p.Tri, open, 2)
	return open, nil
}

// lookAt is a view of a place from a direction (unit, from the place to the eye).
func lookAt(at, d space.Vec32, distance, focal, centre float32) raster.View {
	up := space.Vec32{0, 1, 0}
	if abs(d[1]) > .995 {
		up = space.Vec32{0, 0, 1}
	}
	x := space.Direction32(up.Cross(d))
	y := d.Cross(x)
	eye := space.Vec32{at[0] + d[0]*distance, at[1] + d[1]*distance, at[2] + d[2]*distance}
	return raster.View{
		M: [12]float32{
			x[0], x[1], x[2], -x.Dot(eye),
			y[0], y[1], y[2], -y.Dot(eye),
			d[0], d[1], d[2], -d.Dot(eye),
		},
		Focal: focal, CX: centre, CY: centre, Near: distance * .01,
	}
}

func abs(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }
