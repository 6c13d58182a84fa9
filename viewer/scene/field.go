package scene

import (
	"math"
	"strconv"

	"rigloupe/viewer/raster"
)

// FieldKind says how the numbers of a field are read.
type FieldKind uint8

const (
	ByValue    FieldKind = iota // Low … High through the ramp
	TwoSided                    // Low … Middle … High: pressed below the middle, stretched above
	ByCategory                  // 0, 1, 2 …: one ink each, twelve inks in turn
	BySteps                     // 0, 1, 2 …: rising shades, paper first; ten of them, or as many as there are Names
)

// Field is one thing measured all over the figure, ready to be shown by the lens
// Measured. It is made where the measuring is done and crosses as it is.
type Field struct {
	Name    string // as the page and --lens call it
	Title   string // "Mirror partners"
	Caption string // what is seen, in words; its first sentence is the title's
	Unit    string // of Low, Middle and High: "", "m", "°", "×"
	Kind    FieldKind

	Low, Middle, High float64  // of ByValue Low and High; Low ≥ High: fitted to the values
	Names             []string // of categories or steps, for the legend; nil: numbers

	Values    [][]float32 // by surface, per mesh vertex; NaN or missing: none
	Triangles [][]uint8   // by surface, per mesh triangle: 0 paper, 1, 2 …: category + 1; shown instead of Values
}

// SetField hands over what the lens Measured shows; nil takes it away.
func (s *Scene) SetField(f *Field) {
	s.measured = f
	s.drawn = false
	if s.fig == nil {
		return
	}
	for _, fig := range []*figure{s.fig, s.fig.coarse} {
		if fig != nil && fig.values.lens == Measured {
			fig.values.set = false
		}
	}
}

// Field is what the lens Measured shows; nil: nothing.
func (s *Scene) Field() *Field { return s.measured }

// span is the scale of a field: as given, or fitted to what nearly all values
// keep under.
func (f *Field) span() (low, middle, high float64) {
	low, middle, high = f.Low, f.Middle, f.High
	if f.Kind == ByValue && !(low < high) {
		low, high = 0, nice(f.Values, 0)
	}
	return low, middle, high
}

// measure fills the values in for the lens Measured.
func (l *values) measure(p *Prepared, f *Field) {
	if f == nil {
		return
	}
	if f.Triangles != nil {
		l.surface = raster.Painted
		l.material = make([]uint16, len(p.TriSource))
		for t, from := range p.TriSource {
			if part := int(p.Part[t]); part < len(p.Surface) {
				if s := int(p.Surface[part]); s < len(f.Triangles) && int(from) < len(f.Triangles[s]) {
					l.material[t] = uint16(f.Triangles[s][from])
				}
			}
		}
		return
	}
	l.value = p.spread(l.value, f.Values)
	low, middle, high := f.span()
	switch f.Kind {
	case ByCategory, BySteps:
		l.surface = raster.Category
		if f.Kind == BySteps {
			l.surface = raster.Count
		}
		l.category = append(l.category, make([]uint8, len(l.value))...)
		for i, v := range l.value {
			switch {
			case !(v >= 0) || v > 1e9:
				l.category[i] = raster.NoCategory
			case f.Kind == BySteps:
				l.category[i] = f.shade(int(min(1e6, v)))
			default:
				l.category[i] = uint8(int(v) % inkCount)
			}
		}
		l.value = l.value[:0]
	case TwoSided:
		l.surface = raster.TwoSided
		up, down := 1/(high-middle), 1/(middle-low)
		for i, v := range l.value {
			d := float64(v) - middle
			if d < 0 {
				d *= down
			} else {
				d *= up
			}
			l.value[i] = float32(max(-1, min(1, d))) // max and min keep NaN
		}
	default:
		l.surface = raster.Value
		k := 1 / (high - low)
		for i, v := range l.value {
			l.value[i] = float32((float64(v) - low) * k)
		}
	}
}

// shade is the place in the ten shades of a step: few steps are spread over all.
func (f *Field) shade(step int) uint8 {
	n := countMost
	if len(f.Names) > 1 {
		n = min(n, len(f.Names)-1)
	}
	return uint8((min(step, n)*countMost*2 + n) / (2 * n))
}

// inkCount is how many inks categories take in turn (ramp.Paper.Category).
const inkCount = 12

// flagMaterials are the colours of flagged triangles, paper first.
func (s *Scene) flagMaterials() []raster.Material {
	out := []raster.Material{{Colour: s.paper.Figure}}
	for _, c := range s.paper.Category {
		out = append(out, raster.Material{Colour: c})
	}
	return out
}

// legend explains a field's colours.
func (f *Field) legend() Legend {
	if f == nil {
		return Legend{Kind: "none"}
	}
	switch {
	case f.Triangles != nil || f.Kind == ByCategory:
		return Legend{Kind: "inks", Ticks: f.Names}
	case f.Kind == BySteps:
		l := Legend{Kind: "steps", Ticks: f.Names}
		for i := len(l.Ticks); i <= countMost && f.Names == nil; i++ {
			l.Ticks = append(l.Ticks, strconv.Itoa(i))
		}
		return l
	}
	low, middle, high := f.span()
	l := Legend{Kind: "ramp", Unit: f.Unit}
	k := 1.
	if top := max(math.Abs(low), math.Abs(high)); f.Unit == "m" {
		switch {
		case top < .9995e-3:
			l.Unit, k = "µm", 1e6
		case top < .9995:
			l.Unit, k = "mm", 1e3
		}
	}
	ticks := [5]float64{low, low + (high-low)/4, (low + high) / 2, high - (high-low)/4, high}
	if f.Kind == TwoSided {
		l.Kind = "two-sided"
		ticks = [5]float64{low, (low + middle) / 2, middle, (middle + high) / 2, high}
	}
	for _, v := range ticks {
		l.Ticks = append(l.Ticks, strconv.FormatFloat(v*k, 'g', 4, 64))
	}
	return l
}
