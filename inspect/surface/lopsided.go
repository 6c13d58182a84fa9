package surface

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// On real figures: two sound-looking professional ones are flawed, gear left out: body
// and head of one are not mirror-equal (7.1 % unmatched), the other lacks two triangles
// in one arm (1.9 %). Both are true. A third was 3.4 % lopsided by its weights alone,
// which do not sum to 1 at 210 vertices: what is said of a mesh is measured with its
// weights made whole (exam.WholePositions).
var lopsided = check.Check[Facts]{
	ID:      "surface/lopsided",
	Title:   "Sides not alike",
	Measure: "of the body, without gear: share of the welded vertices without a partner of their own over the best mirror plane, within 0.5 % of the diagonal and half an edge; else the largest mismatch; the plane's turn and distance from x = 0",
	Limits: []check.Limit{
		{Name: "share", Unit: say.Share, Value: 0.01, Grade: check.Flaw},
		{Name: "largest", Unit: say.TimesDiagonal, Value: 0.005, Grade: check.Note, Per: offPer},
		{Name: "turn", Unit: say.Degree, Value: 0.5, Grade: check.Note},
		{Name: "offset", Unit: say.TimesDiagonal, Value: 0.005, Grade: check.Note},
	},
	Why: "The mesh is asymmetric. Weights and poses are mirrored vertex by vertex: " +
		"where a vertex has no partner, the other side gets a guess.",
	Remedy: "Before binding: keep the better half, delete the other and mirror it over the middle plane; join the vertices on the seam.\n" + boundSides,
	Source: "common practice, no source; the plane is fitted to pairs (Mitra, Guibas, Pauly 2006), axes from area-weighted moments",
	Lens:   "mirror-surface",
	Needs: func(f *Facts) string {
		return f.MirrorDoubt
	},
	Judge: func(f *Facts, d *check.Docket) {
		judgeSides(f, d)
		judgePlane(f, d)
	},
}

const (
	onPurpose = "Where the sides differ on purpose (a satchel, a parting), leave them."

	// A mesh that is bound is not cut in half: weights, morph targets and pictures hang on
	// its vertices.
	boundSides = "Of a bound figure: move the vertices named to the mirror image of their partners, without adding or deleting any, so that its weights stay.\n" +
		"Where the sides differ on purpose (a satchel, a parting), leave them, and set the weights there by hand instead of mirroring them."

	// Of what nobody knows to be a figure nothing is cut off: it may be one of a pair.
	unknownSides = "Nothing says what this is. Where its sides are meant to be alike, move the vertices named to the mirror image of their partners; else leave it as it is."
)

// judgeSides grades the share without a partner, else the largest mismatch.
func judgeSides(f *Facts, d *check.Docket) {
	share, largest := d.Limit("share"), d.Limit("largest")
	m := f.BodyMirror
	off := largest.Value * f.Size
	switch {
	case m.UnmatchedShare > share.Value:
		alone := func(a *Alike) int { return a.Alone }
		found := d.Found(share, "share", m.UnmatchedShare, f.where(alone, func(i int) bool { return f.mirror.Partner[i] < 0 }))
		found.Subject = f.subject(alone)
		found.Measures = append(found.Measures, f.figures()...)
		f.shares(found)
		f.advise(found)
	case m.Largest > off:
		far := func(a *Alike) int { return a.Off.Over(largest.Step()) }
		found := d.Found(largest, "largest mismatch", m.Largest/f.Size, f.where(far, func(i int) bool { return float64(f.mirror.Distance[i]) > off }))
		found.Subject = f.subject(far)
		found.Measures = append(found.Measures, f.figures()...)
		f.advise(found)
	}
}

// advise puts the remedy into a finding about the sides: a mesh that is still to be
// bound may be cut in half where it is known to be a figure; a bound one, and what
// nobody knows, may not.
func (f *Facts) advise(found *check.Finding) {
	switch {
	case f.Ready.Bound:
		found.Remedy = boundSides
		return
	case !f.BodyMirror.Sides.MayHalve:
		found.Remedy = unknownSides
		return
	}
	f.BodyMirror.Sides.advise(found)
}

// mostShares is how many surfaces a finding names with their share.
const mostShares = 6

// shares adds what share of each surface of the body has no partner, where there are
// several, the largest first; and how much gear was left out.
func (f *Facts) shares(found *check.Finding) {
	var list []check.Measure
	gear := 0
	for s := range f.Surfaces {
		if f.Surfaces[s].Gear {
			gear++
		}
		if a := f.Surfaces[s].Alike; a != nil && a.Alone > 0 {
			list = append(list, check.Also("of "+f.Surfaces[s].Called, float64(a.Alone)/float64(a.Places), say.Share))
		}
	}
	if len(f.Surfaces)-gear > 1 {
		slices.SortStableFunc(list, func(a, b check.Measure) int { return cmp.Compare(b.Value, a.Value) })
		found.Measures = append(found.Measures, list[:min(len(list), mostShares)]...)
	}
	if gear > 0 {
		found.Measures = append(found.Measures, check.Also("gear, left out", float64(gear), say.Surfaces))
	}
}

// What the finding about the plane says in place of the check's own words.
const (
	planeTitle = "Middle plane off centre"
	planeWhy   = "The figure is mirrored well enough, but not over x = 0, where most programs mirror. " +
		"Weights, poses and new parts mirrored there land beside the figure."
	planeRemedy = "Turn or move the figure until its middle lies on x = 0 and it faces +Z, then apply the move.\n" +
		"Or mirror over the figure's own plane, where the program lets it be chosen."
)

// judgePlane grades where the plane lies. Its distance from x = 0 is taken in the
// middle of the figure, so that a turn far from the origin counts once.
func judgePlane(f *Facts, d *check.Docket) {
	turn, offset := d.Limit("turn"), d.Limit("offset")
	n := f.BodyMirror.Normal
	// atan2, since acos has no digits left near 0°.
	degrees := math.Atan2(math.Hypot(n[1], n[2]), math.Abs(n[0])) * 180 / math.Pi
	foot := *f.BodyMirror.Foot
	away := math.Abs(foot[0])
	where := check.Nowhere()
	where.Point, where.Extent = &foot, f.Size/2
	var found *check.Finding
	switch {
	case degrees > turn.Value:
		found = d.Found(turn, "turn of the plane", degrees, where)
		found.Subject = "the middle plane is turned by " + say.Quantity(degrees, say.Degree) + " from x = 0"
		found.Measures = append(found.Measures, check.Also("distance from x = 0", away, say.Metre))
	case f.Size > 0 && away/f.Size > offset.Value:
		found = d.Found(offset, "distance from x = 0", away/f.Size, where)
		found.Subject = "the middle plane lies " + say.Metres(away) + " from x = 0"
		found.Measures = append(found.Measures, check.Also("distance from x = 0", away, say.Metre), check.Also("turn of the plane", degrees, say.Degree))
	default:
		return
	}
	found.Title, found.Why, found.Remedy = planeTitle, planeWhy, planeRemedy
}

func (f *Facts) figures() []check.Measure {
	m := f.BodyMirror
	return []check.Measure{
		check.Also("without a partner", float64(m.Unmatched), say.Vertices),
		check.Also("largest mismatch", m.Largest, say.Metre),
		check.Also("mean mismatch", m.Mean, say.Metre),
	}
}

// where is the surfaces of which some are told, and the stored vertices of the points
// chosen, the worst first.
func (f *Facts) where(of func(*Alike) int, chosen func(int) bool) check.Where {
	w := check.Nowhere()
	for s := range f.Surfaces {
		if a := f.Surfaces[s].Alike; a != nil && of(a) > 0 {
			w.Nodes = append(w.Nodes, f.Surfaces[s].Node)
		}
	}
	if f.mirror == nil {
		return w
	}
	var places []float32
	for s, points := range f.mirror.Point {
		var vertices []rig.Vertex
		for v, i := range points {
			if i >= 0 && chosen(int(i)) {
				vertices = append(vertices, rig.Vertex(v))
				places = append(places, f.mirror.Places[3*i:3*i+3]...)
			}
		}
		if vertices == nil {
			continue
		}
		slices.SortStableFunc(vertices, func(a, b rig.Vertex) int {
			return cmp.Compare(f.Mismatch[s][b], f.Mismatch[s][a])
		})
		w.Spots = append(w.Spots, check.Spot{Surface: s, Vertices: vertices})
	}
	if centre, radius, ok := geom.Ball(places); ok {
		w.Point, w.Extent = &centre, radius
	}
	return w
}

// subject names the surfaces of which some are told and counts those.
func (f *Facts) subject(of func(*Alike) int) string {
	count, names := 0, []string{}
	for s := range f.Surfaces {
		if a := f.Surfaces[s].Alike; a != nil && of(a) > 0 {
			count, names = count+of(a), append(names, f.Surfaces[s].Called)
		}
	}
	vertices := say.Count(count, "vertex", "vertices")
	if count == 1 {
		vertices = "1 vertex"
	}
	if len(f.Surfaces) == 1 {
		return vertices
	}
	if len(names) > 3 {
		return say.Count(len(names), "surface", "surfaces") + ", " + vertices
	}
	return exam.Listed(names) + ", " + vertices
}
