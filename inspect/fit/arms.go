package fit

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/space"
)

const (
	tipLeast   = 0.08 // of the height: a branch shorter than that is no limb
	tipImage   = 0.1  // of the height: a hand's mirror image ends so near to the other
	handOut    = 0.1  // of the height: a hand ends farther from the plane
	handLow    = 0.1  // of the height: a hand ends higher
	handWide   = 0.75 // of the height: wings and yokes end farther from the plane
	armLeast   = 0.16 // of the height: shorter is no arm
	armMost    = 0.75 // of the height
	trunkJump  = 1.7  // × the section of the arm: there it runs into the trunk
	jumpLasts  = 0.05 // of the height: for so long at least
	trunkLeast = 3.0  // × the section of the arm: so large is a trunk soon after
	shoulderIn = 0.24 // of the height: shoulders are nearer to the plane
)

// arm is one arm, the mean of both sides, to the left, from where it runs into the trunk
// to the fingertips.
type arm struct {
	path  []space.Vec // middles of bands of equal distance from the trunk
	area  []float64   // their sections, m²
	band  float64     // metres from one to the next
	reach float64     // metres of way from the trunk to the fingertips
	even  float64     // how alike the two sides are: 0…1
}

// findArms looks for two ends that are each other's images, farthest from the plane first.
func (f *figure) findArms(l *legs) (*arm, error) {
	root := f.root()
	if root < 0 {
		return nil, &Refusal{Why: NoShape}
	}
	tips := f.solid.Tips(root, tipLeast*f.height, 20)
	type pair struct {
		a, b int32
		out  float64
	}
	var pairs []pair
	for _, s := range tips {
		p := f.solid.At(int(s.Cube))
		if p[0] < handOut*f.height || p[0] > handWide*f.height || p[1] < handLow*f.height {
			continue
		}
		best, far := int32(-1), tipImage*f.height
		for _, t := range tips {
			if d := f.solid.At(int(t.Cube)).Sub(mirrored(p)).Len(); d < far {
				best, far = t.Cube, d
			}
		}
		if best >= 0 {
			pairs = append(pairs, pair{s.Cube, best, p[0]})
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(b.out, a.out) })
	for _, p := range pairs {
		a, okA := f.follow(p.a, l)
		b, okB := f.follow(p.b, l)
		if !okA || !okB || f.watch.Err() != nil {
			continue
		}
		return both(a, b, f.height), nil
	}
	return nil, &Refusal{Why: NoArms}
}

// bands gathers cubes by distance: the middle and the section of each band, as far as they
// go without a gap.
func (f *figure) bands(far []float32, width float64, most int) (path []space.Vec, area []float64) {
	count, sum := make([]float64, most), make([]space.Vec, most)
	for k, d := range far {
		if b := int(float64(d) / width); !math.IsInf(float64(d), 0) && b < most {
			count[b]++
			sum[b] = sum[b].Add(f.solid.At(k))
		}
	}
	cell := f.solid.Cell
	for b := 0; b < most && count[b] > 0; b++ {
		path = append(path, sum[b].Mul(1/count[b]))
		area = append(area, count[b]*cell*cell*cell/width)
	}
	return path, area
}

// follow goes from a tip by distance through the solid, band by band, until the section
// jumps, and back again from there: fronts that start at the corner of a fist run askew,
// those that come from the shoulder do not. false: that is no arm.
func (f *figure) follow(tip int32, l *legs) (*arm, bool) {
	width := 1.5 * f.solid.Cell
	far, _ := f.solid.Distances([]int32{tip})
	path, area := f.bands(far, width, int((armMost+.3)*f.height/width)+2)
	lasts := int(jumpLasts*f.height/width) + 1
	for b := int(armLeast*f.height/width) + 1; b+3*lasts < len(area) && float64(b)*width < armMost*f.height; b++ {
		// Against the half of the limb that is nearer to the trunk: a broad sleeve or a
		// large hand farther out is no trunk. An elbow is thicker, but not for long.
		upper := slices.Clone(area[int(.45*float64(b)):max(int(.85*float64(b)), int(.45*float64(b))+1)])
		own, in := space.Ranked(upper, len(upper)/2), path[b]
		if slices.Min(area[b:b+lasts]) < trunkJump*own || slices.Max(area[b:b+3*lasts]) < trunkLeast*own || math.Abs(in[0]) > shoulderIn*f.height {
			continue
		}
		if in[1] < l.fork || in[1] < .25*f.height {
			return nil, false
		}
		return f.outwards(far, float64(b)*width, width), true
	}
	return nil, false
}

// outwards goes over the cubes nearer to a tip than reach once more, from the inner end.
func (f *figure) outwards(far []float32, reach, width float64) *arm {
	limb := *f.solid
	limb.In = make([]bool, len(f.solid.In))
	var inner []int32
	for k, d := range far {
		if float64(d) < reach+width {
			limb.In[k] = true
			if float64(d) >= reach {
				inner = append(inner, int32(k))
			}
		}
	}
	from, _ := limb.Distances(inner)
	a := &arm{band: width}
	for _, d := range from {
		if !math.IsInf(float64(d), 0) {
			a.reach = max(a.reach, float64(d))
		}
	}
	a.path, a.area = f.bands(from, width, int(a.reach/width)+2)
	return a
}

// both is the mean of an arm on the left and one on the right, to the left.
func both(a, b *arm, height float64) *arm {
	if a.path[0][0] < 0 {
		a, b = b, a
	}
	out := &arm{band: a.band, reach: (a.reach + b.reach) / 2}
	odd := math.Abs(a.reach - b.reach)
	for i := range min(len(a.path), len(b.path)) {
		p, q := a.path[i], mirrored(b.path[i])
		odd += p.Sub(q).Len() / float64(len(a.path))
		out.path = append(out.path, mix(p, q, .5))
		out.area = append(out.area, (a.area[i]+b.area[i])/2)
	}
	out.even = max(0, 1-odd/(.08*height))
	return out
}

// along is the place so far from the trunk, metres of way.
func (a *arm) along(d float64) space.Vec {
	x := d/a.band - .5
	i := max(0, min(len(a.path)-2, int(math.Floor(x))))
	return mix(a.path[i], a.path[i+1], x-float64(i))
}

// nearest is the place of the arm's middle nearest to another.
func (a *arm) nearest(to space.Vec) space.Vec {
	best := a.path[0]
	for i := 1; i < len(a.path); i++ {
		q := mix(a.path[i-1], a.path[i], space.Along(to, a.path[i-1], a.path[i]))
		if q.Sub(to).Len() < best.Sub(to).Len() {
			best = q
		}
	}
	return best
}
