package found

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/lineup"
	"rigloupe/inspect/menagerie"
)

// One height: staff, facts of the intake and line-up measure the same body, and the
// whole with gear is told beside it.
func TestOneHeight(t *testing.T) {
	agree := func(name string, res *inspect.Result) (body, whole float64) {
		t.Helper()
		facts := res.Stations[0].Facts.(*intake.Facts)
		s := Fields(res).Stands
		body, whole = s[1]-s[0], facts.Height
		if math.Abs(body-facts.BodyHeight) > 1e-9 || math.Abs(body-facts.Figure.Height) > 1e-9 {
			t.Errorf("%s: %g m on the staff, %g and %g m in the facts", name, body, facts.BodyHeight, facts.Figure.Height)
		}
		if v, ok := lineup.Of(name, res).Cells["height"].Value.(float64); !ok || math.Abs(v-body) > 1e-9 {
			t.Errorf("%s: %v in the line-up, %g m on the staff", name, lineup.Of(name, res).Cells["height"].Value, body)
		}
		return body, whole
	}
	bare, err := inspect.Examine(context.Background(), menagerie.Person(menagerie.Options{Still: true}), inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	geared, err := inspect.Examine(context.Background(), menagerie.Person(menagerie.Options{Still: true, Gear: true}), inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, whole := agree("bare", bare)
	if math.Abs(whole-a) > 1e-9 {
		t.Errorf("bare: %g m, %g m with gear", a, whole)
	}
	b, whole := agree("with gear", geared)
	if math.Abs(a-b) > 1e-9 || whole < b+.02 {
		t.Errorf("with gear: %g m and %g m; bare %g m", b, whole, a)
	}
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "corpus", "models", "Knight.glb"))
	if err != nil {
		t.Skip("no corpus beside the repository")
	}
	read, err := gltfio.Read([]gltfio.File{{Name: "Knight.glb", Data: data}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	res, err := inspect.Examine(context.Background(), read, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if body, whole := agree("knight", res); math.Abs(body-2.31) > .005 || math.Abs(whole-2.47) > .005 {
		t.Errorf("the knight is %.3f m, %.3f m with gear", body, whole)
	}
}
