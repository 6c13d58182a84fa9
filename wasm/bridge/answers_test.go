package bridge

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

func TestHitOf(t *testing.T) {
	r := figure()
	for _, w := range []struct {
		name string
		hit  scene.Hit
		want Hit
	}{
		{"nothing", scene.Hit{Node: rig.None, Surface: -1}, Hit{Kind: "none", Node: -1, Surface: -1, Other: -1}},
		{"joint", scene.Hit{Kind: scene.OnJoint, Node: 1, Surface: -1}, Hit{Kind: "joint", Node: 1, Name: "spine", Surface: -1, Other: -1}},
		{"vertex", scene.Hit{Kind: scene.OnVertex, Node: rig.None, Triangle: 2, Vertex: 5, Point: [3]float64{1, 2, 3}},
			Hit{Kind: "vertex", Node: -1, Triangle: 2, Vertex: 5, Point: []float64{1, 2, 3}, Other: -1}},
		{"key", scene.Hit{Kind: scene.OnFinding, Node: rig.None, Surface: -1, Number: 4}, Hit{Kind: "finding", Node: -1, Surface: -1, Number: 4, Other: -1}},
		{"joint of the figure beside it", scene.Hit{Kind: scene.OnJoint, Node: 7, Surface: -1, Other: true, Owner: 1, Name: "Bone.007"}, Hit{Kind: "joint", Node: 1, Name: "Bone.007", Surface: -1, Other: 7}},
		{"one that stands for none", scene.Hit{Kind: scene.OnJoint, Node: 7, Surface: -1, Other: true, Owner: rig.None, Name: "Bone.007"}, Hit{Kind: "joint", Node: -1, Name: "Bone.007", Surface: -1, Other: 7}},
	} {
		if got := HitOf(w.hit, r); !reflect.DeepEqual(got, w.want) {
			t.Errorf("%s: got %+v, want %+v", w.name, got, w.want)
		}
	}
}

func TestProbeOf(t *testing.T) {
	nan := float32(math.NaN())
	got := ProbeOf(scene.Probe{
		Vertex: 9, Node: 2, Primitive: 1, Element: 5, Position: [3]float32{1, 2, 3}, Posed: [3]float32{4, 5, 6}, IsDrawn: true,
		Influences: []scene.Hold{{Node: 1, Name: "spine", Weight: .75}}, Sum: .75, Partner: -1, PartnerSurface: -1, Mismatch: nan, Distance: .5,
	}, figure())
	want := Probe{
		Vertex: 9, Node: 2, NodeName: "coat", MeshName: "Coat", Primitive: 1, Element: 5,
		Position: []float64{1, 2, 3}, Posed: []float64{4, 5, 6},
		Influences: []Hold{{1, "spine", .75}}, Sum: .75, Partner: -1, PartnerSurface: -1, Distance: new(.5),
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if p := ProbeOf(scene.Probe{Node: rig.None}, figure()); p.Posed != nil || p.Influences == nil {
		t.Errorf("a vertex of no triangle has no posed place, and no influence is an empty list: %+v", p)
	}
}

// The page's sum has the names and numbers that the command line prints.
func TestSumIsProbesJSON(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 2000})
	p := deform.NewPose(r)
	p.Sample(1, .84)
	for v := rig.Vertex(0); v < 2000; v += 91 {
		w, ok := deform.Sum(r, p, 0, v, deform.Dual)
		if !ok {
			continue
		}
		var want, got any
		decode(t, w, &want)
		decode(t, plainly(reflect.ValueOf(SumOf(w, r))), &got)
		for _, term := range got.(map[string]any)["terms"].([]any) {
			term := term.(map[string]any)
			if term["letter"] == "" || term["name"] != r.Nodes[int(term["node"].(float64))].Name {
				t.Fatalf("vertex %d: a term of %v", v, term)
			}
			delete(term, "letter")
			delete(term, "name")
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("vertex %d: the page is told\n%v\nthe command line prints\n%v", v, got, want)
		}
	}
}

func decode(t *testing.T, from any, to *any) {
	t.Helper()
	text, err := json.Marshal(from)
	if err == nil {
		err = json.Unmarshal(text, to)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// plainly is a message by the names of its js tags.
func plainly(v reflect.Value) any {
	switch v.Kind() {
	case reflect.Struct:
		out := map[string]any{}
		for i := range v.NumField() {
			out[v.Type().Field(i).Tag.Get("js")] = plainly(v.Field(i))
		}
		return out
	case reflect.Slice:
		out := []any{}
		for i := range v.Len() {
			out = append(out, plainly(v.Index(i)))
		}
		return out
	}
	return v.Interface()
}
