package fit

import (
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

const (
	legLeast   = 0.25 // of the height: a leg is longer
	standGap   = 0.2  // of the length: fore and hind feet stand so far apart
	upInTrunk  = 0.4  // of the trunk's height above where a leg leaves it: the leg's upper joint
	toesAt     = 0.03 // of the height
	spineShare = 0.25 // from the hips to the shoulders
	chestShare = 0.65 // likewise
	turns      = 45.0 // degrees: a neck that turns so much into the head tells where it begins
	headShare  = 0.45 // of the way from the shoulders to the nose, where nothing turns
	tailNarrow = 1.7  // × the narrowest section behind the hips: there the tail has begun
	tailLeast  = 0.12 // of the height: shorter is no tail
)

// legShares are the heights of a leg's second and third joint as shares of its first's: fore,
// hind. Common practice, no source.
var legShares = [2][2]float64{{.6, .25}, {.65, .37}}

// tailShares are where a tail's joints stand along it: a tail begins stiff.
var tailShares = [3]float64{0, .28, .62}

// FourLegged proposes the skeleton of a figure on two pairs of legs: a spine from the hips
// to the head, a tail where there is one, four legs of four joints. No standard names
// these bones; they are called as the trade calls them. The error is a *Refusal.
func FourLegged(b *Body, watch *geom.Watch) ([]Joint, error) {
	f, err := newFigure(b, beastGrid(b), watch)
	if err != nil {
		return nil, err
	}
	root := f.root()
	if root < 0 {
		return nil, &Refusal{Why: NoShape}
	}
	z0, z1 := math.Inf(1), math.Inf(-1)
	for k, in := range f.solid.In {
		if in {
			z := f.solid.At(k)[2]
			z0, z1 = min(z0, z), max(z1, z)
		}
	}
	length := z1 - z0
	tips := f.solid.Tips(root, .1*max(f.height, length), 24)
	var feet []space.Vec // of the left, by pairs
	for _, s := range tips {
		p := f.solid.At(int(s.Cube))
		if p[0] < f.solid.Cell || p[1] > .12*f.height {
			continue
		}
		for _, t := range tips {
			q := f.solid.At(int(t.Cube))
			if q.Sub(mirrored(p)).Len() < .12*max(f.height, length) {
				near := slices.ContainsFunc(feet, func(o space.Vec) bool { return math.Abs(o[2]-p[2]) < standGap*length })
				if !near && max(s.Length, t.Length) > legLeast*f.height {
					feet = append(feet, p)
				}
				break
			}
		}
	}
	if watch.Err() != nil {
		return nil, &Refusal{Why: Ended}
	}
	if len(feet) != 2 {
		return nil, &Refusal{Why: NotFour}
	}
	slices.SortFunc(feet, func(a, b space.Vec) int {
		if a[2] > b[2] {
			return -1
		}
		return 1
	})
	if !b.FrontSure {
		if f.headBehind(feet) {
			c := *b
			c.Front, c.FrontSure = b.Front.Mul(-1), true
			return FourLegged(&c, watch)
		}
	}
	return f.beast(feet)
}

// beastGrid is how many cubes a long figure is high: as fine as a high one.
func beastGrid(b *Body) int {
	box := geom.BoxOf(b.Points)
	size := box.Size()
	return max(40, int(grid*1.1*size[1]/max(size[0], size[1], size[2])))
}

// headBehind tells that the end behind the hind feet stands higher than the one before the
// fore feet: a head is held higher than a tail, and is larger.
func (f *figure) headBehind(feet []space.Vec) bool {
	var high [2]float64
	for k, in := range f.solid.In {
		if !in {
			continue
		}
		p := f.solid.At(k)
		switch {
		case p[2] > feet[0][2]:
			high[0] = max(high[0], p[1])
		case p[2] < feet[1][2]:
			high[1] = max(high[1], p[1])
		}
	}
	return high[1] > high[0]+.05*f.height
}

// beast places the joints; feet are the left fore and hind foot.
func (f *figure) beast(feet []space.Vec) ([]Joint, error) {
	var legs [2]*limb
	for i, foot := range feet {
		legs[i] = f.legOf(foot)
		if legs[i] == nil {
			return nil, &Refusal{Why: NotFour}
		}
	}
	fore, hind := legs[0], legs[1]
	core := max(2*f.solid.Cell, min(fore.top[0]-fore.half, hind.top[0]-hind.half))
	for i, l := range legs {
		low, high := f.slab(l.top[2], l.fork, core)
		l.top[1] = l.fork + upInTrunk*max(0, high-low)
		l.joint = [4]space.Vec{l.top, l.at(legShares[i][0] * l.top[1]), l.at(legShares[i][1] * l.top[1]), l.at(toesAt * f.height)}
	}
	// The line of the back: middles of sections across the length, from hip to shoulder.
	line := func(z float64) space.Vec {
		low, high := f.slab(z, .9*max(fore.fork, hind.fork), core)
		return space.Vec{0, (low + high) / 2, z}
	}
	var out []Joint
	add := func(name string, parent int, at space.Vec, sure float64) int {
		out = append(out, Joint{name, parent, f.world(at), sure})
		return len(out) - 1
	}
	zh, zs := hind.top[2], fore.top[2]
	hips := add("hips", -1, line(zh), .7)
	spine := add("spine", hips, line(zh+spineShare*(zs-zh)), .6)
	chest := add("chest", spine, line(zh+chestShare*(zs-zh)), .6)
	neckAt, head := f.headOf(zs, core)
	neck := add("neck", chest, neckAt, .6)
	add("head", neck, head, .5)
	parent := hips
	for i, at := range f.tailOf(zh, core) {
		parent = add("tail"+string(rune('1'+i)), parent, at, .5)
	}
	for _, s := range []struct {
		name string
		side float64
	}{{"left", 1}, {"right", -1}} {
		for _, l := range []struct {
			name string
			limb *limb
			on   int
		}{{"Fore", fore, chest}, {"Hind", hind, hips}} {
			parent := l.on
			for i, part := range []string{"UpperLeg", "LowerLeg", "Foot", "Toes"} {
				parent = add(s.name+l.name+part, parent, sided(l.limb.joint[i], s.side), []float64{.7, .6, .6, .6}[i])
			}
		}
	}
	return out, nil
}

// limb is one leg of four: where it leaves the trunk and its four joints, to the left.
type limb struct {
	path  []space.Vec // middles of its sections, from the floor up
	fork  float64
	half  float64
	top   space.Vec
	joint [4]space.Vec
}

// legOf follows one leg of the left up from its foot until its section runs into the
// other side's, or is far wider than it was.
func (f *figure) legOf(foot space.Vec) *limb {
	j := f.at(foot[1])
	k := f.nearest(foot)
	if k < 0 {
		return nil
	}
	nx := f.solid.N[0]
	cell := int(k)%nx + int(k)/(nx*f.solid.N[1])*nx
	id := f.levels[j].part[cell]
	if id == 0 {
		return nil
	}
	var path []space.Vec
	var sizes []int
	l := &limb{}
	mask := f.cells(j, id)
	for ; j < len(f.levels)-1; j++ {
		id := f.over(j, mask)
		if id == 0 {
			break
		}
		p := &f.levels[j].parts[id-1]
		if len(sizes) > 4 {
			sorted := slices.Clone(sizes)
			slices.Sort(sorted)
			if p.x0 < -f.solid.Cell || p.cubes > 4*sorted[len(sorted)/2] && p.depth() > .3*f.height {
				break
			}
		}
		path, sizes = append(path, space.Vec{p.x, f.levels[j].y, p.z}), append(sizes, p.cubes)
		l.half = p.width() / 2
		mask = f.cells(j, id)
	}
	if len(path) < 4 {
		return nil
	}
	l.fork = path[len(path)-1][1]
	if l.fork < legLeast*f.height {
		return nil
	}
	l.path, l.top = path, path[len(path)-1]
	return l
}

// at is where a leg's middle runs at a height.
func (l *limb) at(y float64) space.Vec {
	for i := range l.path {
		if l.path[i][1] >= y {
			return l.path[i]
		}
	}
	end := l.path[len(l.path)-1]
	return space.Vec{end[0], y, end[2]}
}

// slab is the lowest and the highest of what lies near the plane at one place along the
// length, above a height.
func (f *figure) slab(z, above, core float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for k, in := range f.solid.In {
		if p := f.solid.At(k); in && math.Abs(p[2]-z) < f.solid.Cell && math.Abs(p[0]) < core && p[1] > above {
			low, high = min(low, p[1]), max(high, p[1])
		}
	}
	if high < low {
		return above, above
	}
	return low, high
}

// headOf follows the middle line from the shoulders to the nose: the neck's joint is where
// that leaves the chest, the head's where it turns.
func (f *figure) headOf(shoulders, core float64) (neck, head space.Vec) {
	path, _ := f.middleLine(shoulders, 1, core)
	n := len(path)
	if n < 6 {
		low, high := f.slab(shoulders, 0, core)
		p := space.Vec{0, (low + high) / 2, shoulders}
		return p, p
	}
	at, most, span := int(headShare*float64(n)), turns, max(2, n/5)
	for i := n / 4; i < 4*n/5 && i+span < n; i++ {
		if deg := space.Angle(path[i].Sub(path[max(0, i-span)]), path[i+span].Sub(path[i])) * 180 / math.Pi; deg > most {
			at, most = i, deg
		}
	}
	return path[at*2/5], path[at]
}

// tailOf are three joints along what hangs behind the hips, none where nothing does.
func (f *figure) tailOf(hips, core float64) (out []space.Vec) {
	path, area := f.middleLine(hips, -1, core)
	n := len(path)
	if n < 6 {
		return nil
	}
	narrow := slices.Min(area[:max(1, n*3/5)])
	base := slices.IndexFunc(area, func(a float64) bool { return a <= tailNarrow*narrow })
	if rest := path[n-1].Sub(path[base]).Len(); rest < tailLeast*f.height {
		return nil
	}
	for _, share := range tailShares {
		out = append(out, path[base+int(share*float64(n-base))])
	}
	return out
}

// middleLine goes by distance through what lies near the plane, from a section across the
// length to the farthest place on one side of it (1: in front, −1: behind): the middles and
// the sections of bands.
func (f *figure) middleLine(z, way, core float64) (path []space.Vec, area []float64) {
	part := *f.solid
	part.In = make([]bool, len(f.solid.In))
	var sources []int32
	for k, in := range f.solid.In {
		p := f.solid.At(k)
		if d := (p[2] - z) * way; in && d > 0 && math.Abs(p[0]) < core {
			part.In[k] = true
			if d < 1.5*f.solid.Cell {
				sources = append(sources, int32(k))
			}
		}
	}
	far, _ := part.Distances(sources)
	path, area = f.bands(far, 1.5*f.solid.Cell, 400)
	for i := range path {
		path[i][0] = 0
	}
	return path, area
}
