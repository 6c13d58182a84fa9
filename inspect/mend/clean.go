package mend

import (
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/weights"
)

var cleanWeights = Mend{
	ID:    "clean",
	Title: "Clean weights",
	Stage: Clean,
	Answers: []string{
		"binding/unbound", "binding/sum-off", "binding/bad-index", "binding/many-influences", "binding/faint",
		"binding/stray-island", "binding/cross-body", "binding/split-seam", "binding/cut-to-four",
	},
	Does: "Weights are put right vertex by vertex: what is off one is made whole, patches far from their joint go to what lies around them, " +
		"weight across the middle goes to the partner, vertices without any weight take their neighbour's, and too many joints are cut to four. " +
		"Only vertices with the fault change; the surface at rest does not move where the joints rest as they were bound.",
	Source: "glTF 2.0, Skinned Mesh Attributes: sums of 1, integers exactly 255 or 65535, rounded by the largest remainder (Hare–Niemeyer); " +
		"fewest joints by least squares with weights ≥ 0 that sum to 1, chosen one by one (the closed form of a small quadratic program); patches: common practice, no source",
	Parameters: []Parameter{
		{Name: "whole", Title: "Make sums whole", Kind: Truth, Default: true, Says: "Weights that do not sum to 1 are divided by their sum."},
		{Name: "numbers", Title: "Drop wrong joint numbers", Kind: Truth, Default: true, Says: "Weight on a joint number beyond the skin's list goes; the rest is made whole."},
		{Name: "unbound", Title: "Bind what is unbound", Kind: Truth, Default: false, Says: "Vertices without any weight take those of the nearest that has some, along the surface."},
		{Name: "strays", Title: "Stray patches", Kind: Truth, Default: false, Says: "Patches that hang on a joint far away go to the joints around them."},
		{Name: "cross", Title: "Across the middle", Kind: Truth, Default: false, Says: "Weight on a joint of the other side goes to its partner, or to the joints around where those know the partner no more."},
		{Name: "seams", Title: "Seams bound alike", Kind: Truth, Default: false, Says: "Vertices stored twice at one place get one set of weights, the mean of theirs; what is equal then in everything is stored once."},
		{Name: "faint", Title: "Drop below", Kind: Number, Unit: say.Share, Default: 0.0, Least: 0, Most: .2, Says: "Weights below this go, the rest is made whole; 0 drops none."},
		{Name: "four", Title: "Four a vertex", Kind: Truth, Default: false, Says: "Vertices with more than four joints keep the four with which they shift least over the bend set."},
	},
	Suggest: suggestClean,
	Apply: func(w *Work) error {
		c := newCleaner(w)
		if c == nil {
			return w.Refuse("No surface has weights.")
		}
		for _, part := range []func() error{c.unbound, c.strays, c.cross, c.seams, c.each} {
			if err := part(); err != nil {
				return err
			}
			if err := w.Context.Err(); err != nil {
				return err
			}
		}
		return c.write()
	},
}

// faintBelow is the weight that the check counts as negligible.
const faintBelow = 0.01

func suggestClean(f *Findings) []Values {
	v := Values{}
	for id, key := range map[string]string{
		"binding/unbound": "unbound", "binding/stray-island": "strays", "binding/cross-body": "cross", "binding/split-seam": "seams",
		"binding/many-influences": "four", "binding/cut-to-four": "four",
	} {
		if len(f.Of(id)) > 0 {
			v[key] = true
		}
	}
	if len(f.Of("binding/faint")) > 0 {
		v["faint"] = faintBelow
	}
	// Sums and numbers by themselves and first: what crosses or strays is found on whole
	// weights.
	var out []Values
	if len(f.Of("binding/sum-off", "binding/bad-index")) > 0 {
		out = append(out, Values{})
	}
	if len(v) > 0 {
		out = append(out, v)
	}
	return out
}

// cleaner changes weights on a copy of the rig, one mesh after the other.
type cleaner struct {
	w      *Work
	is     rig.Rig
	skin   []rig.Skin // mesh → the one skin it is bound by; None: none, or several
	first  []int      // mesh → its first surface with that skin
	copied []bool     // mesh → its weights are its own already
	webs   []*weights.Web
	rows   map[rig.Mesh]map[rig.Vertex]bool // vertices that changed
	seam   map[rig.Mesh][]bool              // vertices that were bound alike at a seam
}

// seamed answers the marks of a mesh, to be set.
func (c *cleaner) seamed(m rig.Mesh) []bool {
	if c.seam == nil {
		c.seam = map[rig.Mesh][]bool{}
	}
	if c.seam[m] == nil {
		c.seam[m] = make([]bool, c.is.Meshes[m].Vertices())
	}
	return c.seam[m]
}

// newCleaner answers nil where no surface has a skin and weights.
func newCleaner(w *Work) *cleaner {
	n := len(w.Rig.Meshes)
	c := &cleaner{w: w, is: *w.Rig, skin: make([]rig.Skin, n), first: make([]int, n), copied: make([]bool, n), webs: make([]*weights.Web, n), rows: map[rig.Mesh]map[rig.Vertex]bool{}}
	c.is.Meshes = slices.Clone(w.Rig.Meshes)
	for m := range c.skin {
		c.skin[m], c.first[m] = rig.None, -1
	}
	two := map[rig.Mesh]bool{}
	found := false
	for i, s := range w.Rig.Surfaces {
		if s.Skin < 0 || w.Rig.Meshes[s.Mesh].K == 0 {
			continue
		}
		found = true
		switch {
		case c.first[s.Mesh] < 0:
			c.first[s.Mesh], c.skin[s.Mesh] = i, s.Skin
		case c.skin[s.Mesh] != s.Skin && !slices.Equal(w.Rig.Skins[c.skin[s.Mesh]].Joints, w.Rig.Skins[s.Skin].Joints):
			two[s.Mesh] = true
		}
	}
	for m := range c.skin {
		if two[rig.Mesh(m)] {
			w.Leave("Mesh %s is bound by two skins with other joints: its weights mean two things and are left as they are.", named(w.Rig.Meshes[m].Name, m))
			c.skin[m], c.first[m] = rig.None, -1
		}
	}
	if !found {
		return nil
	}
	return c
}

func named(name string, i int) string {
	if name == "" {
		return fmt.Sprintf("%d", i)
	}
	return fmt.Sprintf("%q", name)
}

// row is a vertex as it stands now. Joint numbers beyond the skin's list are left out where
// they shall go.
func (c *cleaner) row(m rig.Mesh, v rig.Vertex) []weights.Hold {
	d := &c.is.Meshes[m]
	row := weights.Row(d.Joints[int(v)*d.K:int(v+1)*d.K], d.Weights[int(v)*d.K:int(v+1)*d.K], nil)
	if c.w.Values.Is("numbers") {
		n := len(c.w.Rig.Skins[c.skin[m]].Joints)
		row = slices.DeleteFunc(row, func(h weights.Hold) bool { return int(h.Joint) >= n })
	}
	return row
}

// set stores a row.
func (c *cleaner) set(m rig.Mesh, v rig.Vertex, row []weights.Hold) {
	d := &c.is.Meshes[m]
	if !c.copied[m] {
		d.Joints, d.Weights = slices.Clone(d.Joints), slices.Clone(d.Weights)
		c.copied[m] = true
	}
	if c.rows[m] == nil {
		c.rows[m] = map[rig.Vertex]bool{}
	}
	c.rows[m][v] = true
	weights.Store(row, c.room(d, v), d.Joints[int(v)*d.K:int(v+1)*d.K], d.Weights[int(v)*d.K:int(v+1)*d.K])
}

// room is how many joints the primitive of a vertex can name.
func (c *cleaner) room(d *rig.MeshData, v rig.Vertex) int {
	for i := range d.Primitives {
		if p := &d.Primitives[i]; int(v) >= p.First && int(v) < p.First+p.Count {
			return min(d.K, 4*p.Sets)
		}
	}
	return d.K
}

// web joins the places of a mesh by the edges of its triangles, as it rests.
func (c *cleaner) web(m rig.Mesh) (*weights.Web, *geom.Welded, []uint32) {
	weld := c.w.Exam.Weld(m)
	d := &c.w.Rig.Meshes[m]
	if c.webs[m] == nil {
		points := make([]float32, 3*weld.Groups())
		for g, v := range weld.First {
			copy(points[3*g:3*g+3], d.Positions[3*v:])
		}
		places := make([]uint32, len(d.Triangles))
		for i, v := range d.Triangles {
			places[i] = weld.Of[v]
		}
		c.webs[m] = weights.NewWeb(points, places, c.w.Exam.Watch())
	}
	return c.webs[m], weld, weld.First
}

// used are the vertices of a mesh that a triangle names.
func used(d *rig.MeshData) []bool {
	out := make([]bool, len(d.Positions)/3)
	for _, v := range d.Triangles {
		out[v] = true
	}
	return out
}

// write brings the document to what was changed and says how much that was.
func (c *cleaner) write() error {
	n := c.changed()
	if n == 0 {
		if left := c.w.refused; len(left) > 0 {
			return c.w.Refuse("%s", strings.Join(left, " "))
		}
		return c.w.Refuse("No weight has such a fault.")
	}
	c.w.Measure(check.Also("weights changed", float64(n), say.Vertices))
	if len(c.seam) == 0 {
		c.w.Later(c.audit)
	} else if err := c.audit(); err != nil { // copies gives vertices other numbers
		return err
	}
	if err := c.w.Write(&c.is, nil); err != nil {
		return err
	}
	return c.copies()
}

// copies stores once what became equal in every attribute when a seam was bound alike:
// what was split for its weights alone.
func (c *cleaner) copies() error {
	x := &welding{w: c.w, is: &c.is, drop: make([][]bool, len(c.is.Meshes)), of: c.seam}
	for _, m := range slices.Sorted(keys(c.seam)) {
		x.drop[m] = make([]bool, len(c.is.Meshes[m].Triangles)/3)
		from, err := x.compact(int(m))
		if err != nil {
			return err
		}
		c.w.Renumbered(m, slices.Concat(from...))
	}
	if x.merged > 0 {
		c.w.Measure(check.Also("copies left out", float64(x.merged), say.Vertices))
	}
	return nil
}

// changed counts the vertices with new weights.
func (c *cleaner) changed() (n int) {
	for _, rows := range c.rows {
		n += len(rows)
	}
	return n
}

// audit measures the largest shift of any vertex at the ends of the bend set and at
// MomentsOfClip moments of each clip.
func (c *cleaner) audit() error {
	r := c.w.Rig
	world := c.w.Exam.RestWorld()
	for _, row := range []struct {
		name    string
		moments []Moment
	}{{"largest shift when bent", append([]Moment{{Clip: rig.None}}, Bends(r, c.w.Exam.Roles(), world)...)}, {fmt.Sprintf("largest shift at %d moments a clip", MomentsOfClip), Moments(r)[1:]}} {
		if len(row.moments) == 0 {
			continue
		}
		most, err := c.shift(row.moments)
		if err != nil {
			return err
		}
		c.w.Measure(check.Also(row.name, most, say.Metre))
	}
	return nil
}

// shift poses the vertices that changed alone, as they were and as they are.
func (c *cleaner) shift(moments []Moment) (most float64, err error) {
	pose := NewPosed(c.w.Rig)
	for _, m := range moments {
		if err := c.w.Context.Err(); err != nil {
			return 0, err
		}
		m.Set(pose.Pose)
		for mesh, rows := range c.rows {
			s := &c.w.Rig.Skins[c.skin[mesh]]
			was, is := &c.w.Rig.Meshes[mesh], &c.is.Meshes[mesh]
			for v := range rows {
				a, ok := blend(pose, s, was, v)
				b, _ := blend(pose, s, is, v)
				if d := a.Sub(b).Len(); ok && d > most {
					most = d
				}
			}
		}
	}
	return most, nil
}

// subjects tells joints in words.
func (c *cleaner) subjects(joints []rig.Node) string {
	var out []string
	for _, j := range joints {
		out = append(out, fmt.Sprintf("%q", c.w.Rig.Nodes[j].Name))
	}
	return exam.Listed(out)
}
