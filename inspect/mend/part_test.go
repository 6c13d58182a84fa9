package mend

import (
	"bytes"
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/part"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// laidOn is a part on a figure, up to its weights.
func laidOn(t testing.TB, figure, other *State, v Values) *parter {
	t.Helper()
	figure = &State{Doc: figure.Doc, Bytes: figure.Bytes, Rig: figure.Rig}
	figure.Beside(other)
	v, err := takePart.Complete(v)
	if err != nil {
		t.Fatal(err)
	}
	w := &Work{Context: context.Background(), Doc: figure.Doc.Clone(), Rig: figure.Rig, Values: v, before: figure, Exam: figure.looked()}
	p := &parter{w: w, joint: map[rig.Node]int{}, hung: map[rig.Node]int{}}
	for _, step := range []func() error{p.choose, p.stand, p.lay, p.under, p.out, p.weigh} {
		if err := step(); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// apartFrom is the mean L1 distance of the part's weights from those that its maker gave it,
// 0 to 2, over joints that both figures have.
func (p *parter) apartFrom(own *bind.Rows) float64 {
	up := make([]int32, len(p.nodes)+len(p.lacks)) // joint → itself, or the nearest above with a partner
	for j := range up {
		up[j] = int32(j)
		if j < len(p.nodes) {
			for n := p.nodes[j]; n >= 0; n = p.w.Rig.Nodes[n].Parent {
				if k, is := p.joint[n]; is {
					if _, paired := p.match.Of(n); paired {
						up[j] = int32(k)
						break
					}
				}
			}
		}
	}
	sum, n := 0.0, 0
	for _, x := range p.pieces {
		n += len(x.place)
		for _, g := range x.place {
			row := map[int32]float64{}
			for k := bind.K * int(g); k < bind.K*int(g+1); k++ {
				row[up[p.weight.Joint[k]]] += p.weight.Weight[k]
				row[up[own.Joint[k]]] -= own.Weight[k]
			}
			for _, d := range row {
				sum += math.Abs(d)
			}
		}
	}
	return sum / float64(n)
}

// figureNamed is a real model, or the sample.
func figureNamed(t *testing.T, name string) *State {
	if name == "sample" {
		return ofRig(t, sample())
	}
	return corpusState(t, name)
}

// bodyNames are the surfaces of a figure's body.
func bodyNames(s *State) (names []string) {
	for _, i := range s.looked().Body() {
		names = append(names, surfaceName(s.Rig, i))
	}
	return names
}

// The body of one figure laid over another: its maker's weights are the truth. The four pairs
// between builds alike are held to the range that was measured with a prototype of the same
// method, .148 to .344 (the robot's parts go as they did, each by one joint); between a man
// and one three heads high joints and flesh stand elsewhere, and more than nearness is
// needed: told, not held.
func TestPartPairs(t *testing.T) {
	for _, row := range []struct {
		figure, other string
		most          float64
	}{
		{"cesium_man.gltf", "robot.glb", .344}, {"Knight.glb", "robot.glb", .344}, {"sample", "robot.glb", .344}, {"sample", "cesium_man.gltf", .344},
		{"robot.glb", "cesium_man.gltf", 2}, {"cesium_man.gltf", "Knight.glb", 2}, {"robot.glb", "Knight.glb", 2}, {"Knight.glb", "cesium_man.gltf", 2},
	} {
		a, b := figureNamed(t, row.figure), figureNamed(t, row.other)
		p := laidOn(t, a, b, Values{"surfaces": bodyNames(b)})
		got := p.apartFrom(p.own())
		t.Logf("%s onto %s: factor %.3f, L1 %.3f", row.other, row.figure, p.laid.Factor, got)
		if got > row.most {
			t.Errorf("%s onto %s: L1 %.3f", row.other, row.figure, got)
		}
	}
}

// puffed moves the part out along its normals by a share of the figure's size: a tight coat.
func (p *parter) puffed(share float64) {
	n := make([]float32, len(p.points))
	for k := 0; k+2 < len(p.corner); k += 3 {
		d := normalOf(p.points, p.corner[k:k+3])
		for _, v := range p.corner[k : k+3] {
			set(n, int(v), space.At(n, v).Add(d))
		}
	}
	for v := range len(n) / 3 {
		set(p.points, v, space.At(p.points, v).Add(space.Direction(space.At(n, v)).Mul(share*p.w.Exam.Size())))
	}
}

// The figure's own surface, a hundredth of its size farther out, its weights thrown away and
// carried back from what is under it. Measured: knight .151, robot .263, walking man .049, fox
// .124, hands .018, sample .036.
func TestPartBack(t *testing.T) {
	sum := 0.0
	names := []string{"Knight.glb", "robot.glb", "cesium_man.gltf", "Fox.glb", "hand_left.glb", "hand_right.glb", "sample"}
	for _, name := range names {
		s := figureNamed(t, name)
		p := laidOn(t, s, s, Values{"surfaces": bodyNames(s), "lay": layAsIs, "joints": hangNone})
		own := p.own()
		p.puffed(.01)
		rows, _, err := p.over.Carry(p.rows, p.points, p.corner, part.Options{Near: .05, Facing: facingWithin}, nil)
		if err != nil {
			t.Fatal(err)
		}
		p.weight = rows
		got := p.apartFrom(own)
		t.Logf("%s: %.3f", name, got)
		if sum += got / float64(len(names)); got > .344 {
			t.Errorf("%s: L1 %.3f", name, got)
		}
	}
	if sum > .15 {
		t.Errorf("on the mean %.3f", sum)
	}
}

// shawled is the sample, told by other names, with a shawl round its shoulders two centimetres
// off, two tassels on joints of their own hung from it, and a stiff brooch.
func shawled(o lamplighter.Options) *rig.Rig {
	r := lamplighter.Build(o)
	body := &r.Meshes[0]
	m := rig.MeshData{Name: "shawl", K: body.K, Primitives: []rig.PrimitiveData{{Material: 0, PositionType: 5126, JointType: 5123, WeightType: 5126, JointSets: 1, WeightSets: 1, Sets: body.K / 4, HasNormals: true}}}
	to := map[uint32]uint32{}
	rest := body.Positions
	for t := 0; t+2 < len(body.Triangles); t += 3 {
		c := body.Triangles[t : t+3]
		in := true
		for _, v := range c {
			p := space.At(rest, v)
			in = in && p[1] > 1.12 && p[1] < 1.42 && math.Abs(p[0]) < .3 && math.Abs(p[2]) < .2
		}
		if !in {
			continue
		}
		for _, v := range c {
			k, known := to[v]
			if !known {
				k = uint32(len(m.Positions) / 3)
				to[v] = k
				p := space.At(rest, v).Add(space.At(body.Normals, v).Mul(.02))
				m.Positions = append(m.Positions, float32(p[0]), float32(p[1]), float32(p[2]))
				m.Normals = append(m.Normals, body.Normals[3*v:3*v+3]...)
				m.Joints = append(m.Joints, body.Joints[body.K*int(v):body.K*int(v+1)]...)
				m.Weights = append(m.Weights, body.Weights[body.K*int(v):body.K*int(v+1)]...)
			}
			m.Triangles = append(m.Triangles, k)
		}
	}
	// A strip that hangs down before the shawl, on two joints of its own.
	chest := lamplighter.Node("chest")
	world := r.RestWorld()
	skin := &r.Skins[0]
	node := func(name string, parent rig.Node, t [3]float64) rig.Node {
		n := rig.Node(len(r.Nodes))
		trs := rig.TRS{T: t, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None, TRS: trs, Matrix: trs.Affine()})
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
		return n
	}
	inverse, _ := world[chest].Inverse()
	first := node("tassel 1", chest, [3]float64(inverse.Point(space.Vec{.05, 1.1, .25})))
	second := node("tassel 2", first, [3]float64{0, -.1, 0})
	r.SetOrder()
	world = r.RestWorld()
	for _, n := range []rig.Node{first, second} {
		b, _ := world[n].Inverse()
		skin.Joints, skin.Bind = append(skin.Joints, n), append(skin.Bind, b)
	}
	base := uint32(len(m.Positions) / 3)
	for i := range 5 {
		for _, x := range []float32{.03, .07} {
			m.Positions, m.Normals = append(m.Positions, x, 1.1-.05*float32(i), .25), append(m.Normals, 0, 0, 1)
			joints, weights := make([]uint16, m.K), make([]float32, m.K)
			joints[0], weights[0] = uint16(len(skin.Joints)-2), 1
			if i > 2 {
				joints[0] = uint16(len(skin.Joints) - 1)
			}
			m.Joints, m.Weights = append(m.Joints, joints...), append(m.Weights, weights...)
		}
		if i > 0 {
			a := base + uint32(2*i)
			m.Triangles = append(m.Triangles, a-2, a, a-1, a-1, a, a+1)
		}
	}
	m.Primitives[0].Count, m.Primitives[0].TriCount = len(m.Positions)/3, len(m.Triangles)/3
	m.Remeasure()
	put := func(m rig.MeshData, parent rig.Node, skin rig.Skin, t [3]float64) {
		r.Meshes = append(r.Meshes, m)
		n := node(m.Name, parent, t)
		r.Nodes[n].Mesh, r.Nodes[n].Skin = rig.Mesh(len(r.Meshes)-1), skin
		if parent < 0 {
			r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
		}
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: r.Nodes[n].Mesh, Skin: skin})
	}
	put(m, rig.None, 0, [3]float64{})
	brooch := rig.MeshData{Name: "brooch", Primitives: []rig.PrimitiveData{{Material: rig.None, PositionType: 5126}}}
	addBox(&brooch, [3]float64{}, 0.04, 0)
	brooch.Remeasure()
	put(brooch, chest, rig.None, [3]float64(inverse.Point(space.Vec{0, 1.2, .3})))
	r.SetOrder()
	return r
}

// pictured gives the shawl's material a picture with a transform, a sampler, an extension that
// nobody knows and an extra, and its primitive places on the picture as bytes.
func pictured(t *testing.T) func(*original.Document) {
	return func(d *original.Document) {
		mesh := -1
		for i := range d.Count(original.Meshes) {
			if d.Object(original.Meshes, i).Get("name").String() == "shawl" {
				mesh = i
			}
		}
		p := d.Object(original.Meshes, mesh).Get("primitives").At(0)
		a, err := d.Accessor(p.Get("attributes").Get("POSITION").Int())
		if err != nil {
			t.Fatal(err)
		}
		uv := original.Array{Type: "VEC2", Component: original.Ubyte, Normalized: true, Count: a.Count}
		for i := range a.Count {
			uv.Data = append(uv.Data, byte(i), byte(3*i))
		}
		at, err := d.NewAccessor(uv, false, true)
		if err != nil {
			t.Fatal(err)
		}
		p.Get("attributes").Set("TEXCOORD_0", original.Whole(at))
		raw, err := d.NewAccessor(original.Array{Type: "SCALAR", Component: original.Ubyte, Count: len(picture), Data: picture}, false, false)
		if err != nil {
			t.Fatal(err)
		}
		view := d.Object(original.Accessors, raw).Get("bufferView").Int()
		image := d.Add(original.Images, original.Object("bufferView", original.Whole(view), "mimeType", original.Text("image/png"), "name", original.Text("wool")))
		sampler := d.Add(original.Samplers, original.Object("wrapS", original.Whole(33071)))
		texture := d.Add(original.Textures, original.Object("source", original.Whole(image), "sampler", original.Whole(sampler)))
		material := d.Add(original.Materials, original.Parse([]byte(`{"name":"wool","extras":{"a":1.50},"doubleSided":true,"extensions":{"ZZ_unknown":{"index":0}},"pbrMetallicRoughness":{"baseColorTexture":{"index":`+
			string(original.Whole(texture).Bytes())+`,"extensions":{"KHR_texture_transform":{"scale":[2,2]}}}}}`)))
		p.Set("material", original.Whole(material))
		d.Declare("KHR_texture_transform", false)
		d.Declare("ZZ_unknown", false)
		d.Refresh(original.Meshes, mesh)
	}
}

// picture is a PNG of one white pixel.
var picture = []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU\x00\x00\x00\nIDATx\x9cc\xf8\x0f\x00\x01\x01\x01\x00\x1b\xb6\xeeV\x00\x00\x00\x00IEND\xaeB`\x82")

func wearer(t *testing.T) *State {
	return edited(t, shawled(lamplighter.Options{Names: lamplighter.Prefix, Vertices: 2500}), pictured(t))
}

// A shawl with tassels and a brooch, from a figure whose joints have other names and that
// stands in T, onto one in A that has no tassels: laid limb by limb; weights of what is under
// it within those that its maker gave; tassels hung on the chest where they were laid; the
// brooch stiff; material, sampler and picture to the byte; nothing else of the file changed;
// done again by its plan to the same bytes.
func TestTakePart(t *testing.T) {
	a, b := ofRig(t, lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Sway: true, Vertices: 2500})), wearer(t)
	a.Beside(b)
	x := try(t, a, "part", Values{"surfaces": []string{"shawl", "brooch"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	r := prove(t, x)
	t.Log(r.Sentence(), r.Says, r.Refused, r.Measures)
	is := x.After.Rig
	if len(is.Surfaces) != len(a.Rig.Surfaces)+2 || len(is.Malformed) > 0 {
		t.Fatal(len(is.Surfaces), is.Malformed)
	}
	if math.Abs(measureOf(t, r, "laid on by a factor of")-1) > .01 {
		t.Error("the factor is ", measureOf(t, r, "laid on by a factor of"))
	}
	// Near what it was off its own figure: 2 cm.
	body := part.NewOver(x.After.looked().RestPositions(0), is.Meshes[0].Triangles, nil)
	s := SurfaceNamed(is, "shawl")
	gap, _ := body.Fields(x.After.looked().RestPositions(s))
	off := 0
	for _, g := range gap[:len(gap)-10] {
		if g < .005 || g > .035 {
			off++
		}
	}
	if off*10 > len(gap) {
		t.Errorf("%d of %d vertices of the shawl are not about 2 cm off: where the arm was lowered it folds", off, len(gap))
	}
	p := laidOn(t, a, b, Values{"surfaces": []string{"shawl", "brooch"}})
	if got := p.apartFrom(p.own()); got > .15 {
		t.Errorf("L1 %.3f", got)
	}
	// The tassels hang on the chest, where they were laid, one on the other.
	first, err := findNode(is, "tassel 1")
	second, err2 := findNode(is, "tassel 2")
	if err != nil || err2 != nil || is.Nodes[second].Parent != first || is.Nodes[is.Nodes[first].Parent].Name != "chest" {
		t.Fatal(err, err2, is.Nodes[first].Parent)
	}
	world := is.RestWorld()
	if d := world[first].Origin().Sub(space.Vec{.05, 1.1, .25}).Len(); d > .02 {
		t.Errorf("the tassel hangs %.3f m from where it was", d)
	}
	if d := world[second].Origin().Sub(world[first].Origin()).Len(); math.Abs(d-.1) > .002 {
		t.Errorf("its links are %.3f m apart", d)
	}
	// The strip's lower end goes by the second alone.
	m := &is.Meshes[is.Surfaces[s].Mesh]
	if v := m.Vertices() - 1; is.Skins[is.Surfaces[s].Skin].Joints[m.Joints[m.K*v]] != second || m.Weights[m.K*v] != 1 {
		t.Error("the strip does not hang on its tassel")
	}
	// The brooch goes by the chest alone.
	k := SurfaceNamed(is, "brooch")
	m = &is.Meshes[is.Surfaces[k].Mesh]
	for v := range m.Vertices() {
		if n := is.Skins[is.Surfaces[k].Skin].Joints[m.Joints[m.K*v]]; is.Nodes[n].Name != "chest" || m.Weights[m.K*v] != 1 {
			t.Fatalf("vertex %d of the brooch goes by %s", v, is.Nodes[n].Name)
		}
	}
	// The picture to the byte, its material with all that is known.
	d := x.After.Doc
	material := d.Object(original.Materials, d.Count(original.Materials)-1)
	texture := d.Object(original.Textures, material.Get("pbrMetallicRoughness").Get("baseColorTexture").Get("index").Int())
	view := d.Object(original.Images, texture.Get("source").Int()).Get("bufferView").Int()
	switch {
	case !bytes.Equal(d.ViewBytes(view), picture), d.Object(original.Samplers, texture.Get("sampler").Int()).Get("wrapS").Int() != 33071:
		t.Error("the picture is not the same")
	case material.Get("name").String() != "wool", string(material.Get("extras").Bytes()) != `{"a":1.50}`, material.Get("extensions") != nil:
		t.Errorf("%s", material.Bytes())
	case material.Get("pbrMetallicRoughness").Get("baseColorTexture").Get("extensions").Get("KHR_texture_transform") == nil:
		t.Errorf("%s", material.Bytes())
	case string(d.Root.Get("extensionsUsed").Bytes()) != `["KHR_texture_transform"]`:
		t.Errorf("extensions: %s", d.Root.Get("extensionsUsed").Bytes())
	case !slices.ContainsFunc(r.Refused, func(s string) bool { return strings.Contains(s, "ZZ_unknown") }):
		t.Errorf("nothing is said of what stays behind: %q", r.Refused)
	}

	if shawl := &is.Meshes[is.Surfaces[s].Mesh]; len(shawl.UV) == 0 || math.Abs(float64(shawl.UV[3])-3./255) > 1e-6 {
		t.Error("the places on the picture are not the same")
	}
	// All that was there is there: every view to the byte, JSON added alone.
	c := original.Changes(a.Doc, d)
	if len(c.Rewritten) > 0 {
		t.Errorf("views %v are rewritten", c.Rewritten)
	}
	// By its plan, through JSON, the same bytes; the plan names the file and its hash.
	slip := NewSlip(a, nil)
	r.Kept = true // whatever it plants: a chain that stays still
	if err := slip.Keep(x, r, ""); err != nil {
		t.Fatal(err)
	}
	text, err := slip.Plan().JSON()
	if err != nil || !strings.Contains(string(text), `"name": "figure.glb"`) || !strings.Contains(string(text), hashOf(b)) {
		t.Fatalf("%s %v", text, err)
	}
	plan, err := ParsePlan(text)
	if err != nil {
		t.Fatal(err)
	}
	again := ofRig(t, lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Sway: true, Vertices: 2500}))
	if y := try(t, again, "part", plan.Steps[0].Parameters); y.After != nil || !strings.Contains(y.Refused(), "is not at hand") {
		t.Error("done without the second file: ", y.Refused())
	}
	again.Beside(wearer(t))
	if y := try(t, again, "part", plan.Steps[0].Parameters); y.After == nil || !bytes.Equal(y.After.Bytes, x.After.Bytes) {
		t.Error("the plan gives other bytes")
	}
	// Another file of that name is taken, and said.
	other := ofRig(t, lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Sway: true, Vertices: 2500}))
	other.Beside(ofRig(t, shawled(lamplighter.Options{Vertices: 2500})))
	y := try(t, other, "part", plan.Steps[0].Parameters)
	if y.After == nil {
		t.Fatal(y.Refused())
	}
	if says := prove(t, y).Says; !slices.ContainsFunc(says, func(s string) bool { return strings.Contains(s, "is not the file that this was planned with") }) {
		t.Error(says)
	}
}

// measured answers what a trial states of itself, without an examination.
func measured(t *testing.T, x *Trial, name string) float64 {
	t.Helper()
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if err := x.work.measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	for _, m := range x.work.measures {
		if m.Name == name {
			return m.Value
		}
	}
	t.Fatalf("nothing is stated of %q", name)
	return 0
}

func measureOf(t *testing.T, r *Receipt, name string) float64 {
	t.Helper()
	for _, m := range r.Measures {
		if m.Name == name {
			return m.Value
		}
	}
	t.Fatalf("the receipt has no %q", name)
	return 0
}

// The depth that the receipt states is that of the written figure, played and tried place by
// place: at rest and at the moment that is told.
func TestPartAudit(t *testing.T) {
	rounds.Dear(t)
	a := ofRig(t, lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 2500}))
	a.Beside(wearer(t))
	// Moved back, it lies under the surface in front.
	x := try(t, a, "part", Values{"surfaces": []string{"shawl"}, "forward": -.03})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	is := x.After.Rig
	s := SurfaceNamed(is, "shawl")
	posed := NewPosed(is)
	deepest := func() float64 {
		body := slices.Clone(posed.Positions(0))
		gap, _ := part.NewOver(body, is.Meshes[0].Triangles, nil).Fields(posed.Positions(s))
		return -float64(slices.Min(gap))
	}
	if got, want := measured(t, x, "deepest under the surface at rest"), deepest(); math.Abs(got-want) > 1e-5 || want < .005 {
		t.Errorf("at rest %v, tried %v", got, want)
	}
	worst := 0.0
	for _, m := range Moments(is) {
		m.Set(posed.Pose)
		if m.Clip >= 0 {
			worst = max(worst, deepest())
		}
	}
	if got := measured(t, x, "deepest under the surface in the clips"); math.Abs(got-worst) > 1e-4 {
		t.Errorf("in the clips %v, tried %v", got, worst)
	}
}

// Out: what lies under the surface by less than allowed comes out; Hide: what is covered goes,
// and only that.
func TestPartOutAndHide(t *testing.T) {
	rounds.Dear(t)
	a := ofRig(t, lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 2500}))
	a.Beside(wearer(t))
	v := Values{"surfaces": []string{"shawl"}, "forward": -.014}
	before := measured(t, try(t, a, "part", v), "deepest under the surface at rest")
	v["out"] = .02
	x := try(t, a, "part", v)
	after := measured(t, x, "deepest under the surface at rest")
	if before < .002 || after > before/2 || measured(t, x, "came out") == 0 {
		t.Errorf("%v deep, then %v", before, after)
	}
	x = try(t, a, "part", Values{"surfaces": []string{"shawl"}, "hide": .005})
	gone := measured(t, x, "taken out under it")
	was, is := &a.Rig.Meshes[0], &x.After.Rig.Meshes[0]
	if gone == 0 || len(was.Triangles)-len(is.Triangles) != 3*int(gone) {
		t.Fatalf("%v triangles gone, %d before, %d after", gone, len(was.Triangles), len(is.Triangles))
	}
	for k := 0; k+2 < len(was.Triangles); k += 3 {
		c := was.Triangles[k : k+3]
		if p := space.At(was.Positions, c[0]); p[1] > 1.1 && p[1] < 1.44 && math.Abs(p[0]) < .32 {
			continue
		}
		found := false
		for q := 0; q+2 < len(is.Triangles) && !found; q += 3 {
			found = slices.Equal(c, is.Triangles[q:q+3])
		}
		if !found {
			t.Fatal("a triangle is gone that nothing covers, at ", space.At(was.Positions, c[0]))
		}
	}
	// Deeper than the shawl is anywhere: nothing.
	if x := try(t, a, "part", Values{"surfaces": []string{"shawl"}, "hide": .05}); len(x.After.Rig.Meshes[0].Triangles) != len(was.Triangles) {
		t.Error("what lies nearer than asked is gone")
	}
}

// Every refusal in words.
func TestPartRefuses(t *testing.T) {
	b := wearer(t)
	bare := func() *State {
		r := lamplighter.Build(lamplighter.Options{Vertices: 2500})
		r.Skins, r.Clips = nil, nil
		r.Surfaces[0].Skin, r.Nodes[r.Surfaces[0].Node].Skin = rig.None, rig.None
		return ofRig(t, r)
	}
	packed := edited(t, shawled(lamplighter.Options{Vertices: 2500}), func(d *original.Document) {
		d.Object(original.Meshes, 1).Get("primitives").At(0).Set("extensions", original.Parse([]byte(`{"KHR_draco_mesh_compression":{"bufferView":0,"attributes":{}}}`)))
	})
	box := func() *State {
		m := rig.MeshData{Name: "box", Primitives: []rig.PrimitiveData{{Material: rig.None, PositionType: 5126}}}
		addBox(&m, [3]float64{}, 1, 0)
		m.Remeasure()
		return ofRig(t, &rig.Rig{Nodes: []rig.NodeData{{Name: "box", Parent: rig.None, Mesh: 0, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity}},
			Order: []rig.Node{0}, Scenes: []rig.Scene{{Roots: []rig.Node{0}}}, Meshes: []rig.MeshData{m}, Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}}})
	}()
	for _, row := range []struct {
		figure *State
		beside []*State
		v      Values
		want   string
	}{
		{ofRig(t, coarse()), nil, nil, "There is no second file to take from"},
		{ofRig(t, coarse()), []*State{b}, nil, "Say which of its surfaces to take"},
		{ofRig(t, coarse()), []*State{b, box}, Values{"surfaces": []string{"box"}}, "There are several files to take from"},
		{ofRig(t, coarse()), []*State{b}, Values{"surfaces": []string{"hat"}}, `no surface "hat"`},
		{ofRig(t, coarse()), []*State{b}, Values{"from": "hat.glb", "surfaces": []string{"shawl"}}, `"hat.glb", is not at hand`},
		{ofRig(t, coarse()), []*State{b}, Values{"surfaces": []string{"shawl"}, "over": []string{"hat"}}, `no surface "hat" to lay it over`},
		{ofRig(t, coarse()), []*State{packed}, Values{"surfaces": []string{"shawl"}}, "are packed"},
		{ofRig(t, coarse()), []*State{box}, Values{"surfaces": []string{"box"}}, "too few to lay one on the other"},
		{ofRig(t, coarse()), []*State{box}, Values{"surfaces": []string{"box"}, "lay": layAsIs, "weights": fromOwn}, "No joint that holds it has one of like role"},
	} {
		row.figure.Beside(row.beside...)
		x := try(t, row.figure, "part", row.v)
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%v: %q, want %q", row.v, x.Refused(), row.want)
		}
	}
	// Onto a figure without weights it comes without, and says so; bound, it follows.
	s := bare()
	s.Beside(b)
	x := try(t, s, "part", Values{"surfaces": []string{"shawl"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if r := prove(t, x); !slices.ContainsFunc(r.Says, func(s string) bool { return strings.Contains(s, "Bind, then it follows") }) {
		t.Error(r.Says)
	}
	k := SurfaceNamed(x.After.Rig, "shawl")
	if x.After.Rig.Surfaces[k].Skin >= 0 {
		t.Error("it has a skin")
	}
	y := try(t, x.After, "bind", Values{"surfaces": bodyNames(x.After)})
	if y.After == nil || y.After.Rig.Surfaces[SurfaceNamed(y.After.Rig, "shawl")].Skin < 0 {
		t.Error("it cannot be bound: ", y.Refused())
	}
}

// A step that is stopped in the middle leaves nothing behind.
func TestPartStopped(t *testing.T) {
	a := ofRig(t, coarse())
	a.Beside(wearer(t))
	ctx, stop := context.WithCancel(context.Background())
	stop()
	was := a.Bytes
	if x, err := a.Try(ctx, takePart, Values{"surfaces": []string{"shawl"}}); err == nil {
		t.Error("it was done: ", x.Refused())
	}
	if b, err := a.Doc.GLB(); err != nil || !bytes.Equal(b, was) {
		t.Error("the figure has changed")
	}
}
