package geom

import "math"

// Box is an axis-aligned box. EmptyBox holds nothing.
type Box struct{ Min, Max [3]float64 }

// EmptyBox is the box that any point enlarges.
func EmptyBox() Box {
	i := math.Inf(1)
	return Box{Min: [3]float64{i, i, i}, Max: [3]float64{-i, -i, -i}}
}

// Empty tells whether nothing was put into the box.
func (b *Box) Empty() bool { return b.Min[0] > b.Max[0] }

// Add enlarges the box by positions (3·V). NaN enlarges nothing.
func (b *Box) Add(positions []float32) {
	for i := 0; i+2 < len(positions); i += 3 {
		for c := range 3 {
			v := float64(positions[i+c])
			if v < b.Min[c] {
				b.Min[c] = v
			}
			if v > b.Max[c] {
				b.Max[c] = v
			}
		}
	}
}

// Join enlarges the box by another.
func (b *Box) Join(o Box) {
	for c := range 3 {
		b.Min[c], b.Max[c] = min(b.Min[c], o.Min[c]), max(b.Max[c], o.Max[c])
	}
}

// Size is the extent along each axis; zero when the box is empty.
func (b *Box) Size() (s [3]float64) {
	if b.Empty() {
		return s
	}
	for c := range 3 {
		s[c] = b.Max[c] - b.Min[c]
	}
	return s
}

// Middle is the centre of the box; zero when the box is empty.
func (b *Box) Middle() (m [3]float64) {
	if b.Empty() {
		return m
	}
	for c := range 3 {
		m[c] = (b.Max[c] + b.Min[c]) / 2
	}
	return m
}

// Diagonal is the length of the box's diagonal; zero when the box is empty.
func (b *Box) Diagonal() float64 {
	s := b.Size()
	return math.Sqrt(s[0]*s[0] + s[1]*s[1] + s[2]*s[2])
}
