package mend

import (
	"reflect"
	"strings"
	"testing"
)

// Values as they are typed become those of a plan, each kind its own way; what cannot be
// is told.
func TestSingle(t *testing.T) {
	p, err := Single("fit", []string{"kind=person", "fingers=false", "joints=5", "points.knee=0.1 0.5 0", "points.groin=0 .9 0", "without=sword,#2"})
	if err != nil {
		t.Fatal(err)
	}
	want := Values{"kind": "person", "fingers": false, "joints": 5.0, "hips": "at the belt", "without": []string{"sword", "#2"},
		"points": map[string]string{"knee": "0.1 0.5 0", "groin": "0 .9 0"}}
	if len(p.Steps) != 1 || !reflect.DeepEqual(p.Steps[0].Parameters, want) {
		t.Errorf("%v", p.Steps)
	}
	for _, row := range []struct {
		id   string
		set  string
		want string
	}{
		{"glue", "a=b", "there is no mend"}, {"fit", "kind", "want NAME=VALUE"}, {"fit", "colour=red", "there is no parameter"},
		{"fit", "kind=horse", "is none of"}, {"fit", "joints=many", "want a number"}, {"fit", "joints=1", "outside"},
		{"fit", "fingers=perhaps", "true or false"}, {"fit", "points=0 1 0", "points.WORD=VALUE"}, {"fit", "kind.of=person", "no word behind a dot"},
	} {
		if _, err := Single(row.id, []string{row.set}); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s %s: %v", row.id, row.set, err)
		}
	}
}
