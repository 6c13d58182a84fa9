package camera

import "rigloupe/viewer/raster"

// View is the camera as the raster wants it, for a plate with unit pixels a page
// pixel.
func (c *Camera) View(unit float64) raster.View {
	x, y, z := c.Axes()
	eye := c.Eye()
	return raster.View{
		M: [12]float32{
			float32(x[0]), float32(x[1]), float32(x[2]), float32(-x.Dot(eye)),
			float32(y[0]), float32(y[1]), float32(y[2]), float32(-y.Dot(eye)),
			float32(z[0]), float32(z[1]), float32(z[2]), float32(-z.Dot(eye)),
		},
		Focal: float32(c.Focal() * unit),
		CX:    float32(c.CX * unit),
		CY:    float32(c.CY * unit),
		// Shifted far, a part may pass beside the eye.
		Near: float32(.02 * c.Distance),
	}
}
