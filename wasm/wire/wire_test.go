package wire

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// leaf has what crosses in all its kinds.
type leaf struct {
	Name  rig.Name   `json:"name"` // null: none
	Unit  say.Unit   `json:"unit"`
	At    [3]float64 `json:"at"`
	Bins  [10]int    `json:"bins"`
	Maybe *float64   `json:"maybe"`
	inner int        //lint:ignore U1000 what is not exported does not cross
	Skip  int        `json:"-"`
	Kind  string     `json:"kind" wire:"'a' | 'b'"`
}

type base struct {
	ID int `json:"id"`
}

type tree struct {
	base
	Leaves []leaf         `json:"leaves"`
	Names  []*string      `json:"names,omitempty"`
	Leaf   *leaf          `json:"leaf,omitempty"`
	Bare   say.Unit       `json:"bare,omitzero"`
	Counts map[string]int `json:"counts" wire:"null"`
	None   []int          `json:"none" wire:"null"`
	Any    any            `json:"any" wire:"number | string"`
	Eight  bool           `json:"8_bit,omitempty"`
}

type crossed struct {
	DrawMS float64 `js:"drawMS"`
}

func types() *Types {
	t := New("../..", "rigloupe")
	t.As[reflect.TypeFor[rig.Name]()] = "string | null"
	return t
}

// The wanted text was written by hand, after TypeScript's own notation.
func TestPrint(t *testing.T) {
	all := types()
	if got := all.Of(reflect.TypeFor[[]tree]()); got != "WireTree[]" {
		t.Errorf("got %s", got)
	}
	all.Of(reflect.TypeFor[*crossed]())
	var b strings.Builder
	all.Print(&b)
	for _, want := range []string{
		"    id: number;\n", "    leaves: WireLeaf[];\n", "    names?: (string | null)[];\n", "    leaf?: WireLeaf;\n", "    bare?: string;\n", "    counts: Record<string, number> | null;\n", "    none: number[] | null;\n", "    any: number | string;\n", "    \"8_bit\"?: boolean;\n",
		"  interface WireLeaf {\n", "    /** null: none */\n    name: string | null;\n", "    unit: string;\n", "    at: [number, number, number];\n", "    bins: number[];\n", "    maybe: number | null;\n", "    kind: 'a' | 'b';\n",
		"    drawMS: number;\n", "  /** leaf has what crosses in all its kinds. */\n",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("lacks %q", want)
		}
	}
	for _, never := range []string{"inner", "Skip", "Inner"} {
		if strings.Contains(b.String(), never) {
			t.Errorf("prints %s", never)
		}
	}
}

// What does not fit is named with its place; what fits is silent.
func TestFits(t *testing.T) {
	sound := `{"id":1,"leaves":[{"name":null,"unit":"m","at":[0,1,2],"bins":[0,0,0,0,0,0,0,0,0,0],"maybe":null,"kind":"a"}],"counts":null,"none":null,"any":"x"}`
	for _, w := range []struct{ from, to, says string }{
		{"", "", ""},
		{`"id":1`, `"id":"1"`, "$.id"},
		{`"id":1,`, ``, "$ lacks id"},
		{`"any":"x"`, `"any":"x","more":1`, "$ has more besides"},
		{`"any":"x"`, `"any":true`, "$.any"},
		{`"name":null`, `"name":5`, "$.leaves[].name"},
		{`"unit":"m"`, `"unit":null`, "$.leaves[].unit"},
		{`[0,1,2]`, `[0,1]`, "$.leaves[].at"},
		{`"maybe":null`, `"maybe":"x"`, "$.leaves[].maybe"},
		{`"kind":"a"`, `"kind":"c"`, "$.leaves[].kind"},
		{`"counts":null`, `"counts":{"a":"b"}`, "$.counts[…]"},
		{`"none":null`, `"none":[null]`, "$.none[]"},
		{`"leaves":[`, `"leaves":null,"names":[`, "$.leaves is null"},
	} {
		bad := types().Fits(reflect.TypeFor[tree](), []byte(strings.Replace(sound, w.from, w.to, 1)))
		if (w.says == "") != (len(bad) == 0) || w.says != "" && !slices.ContainsFunc(bad, func(s string) bool { return strings.HasPrefix(s, w.says) }) {
			t.Errorf("%s → %s: %q, want %q", w.from, w.to, bad, w.says)
		}
	}
}

// Two types of one name are our own mistake.
func TestNamesClash(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("two types were called alike")
		}
	}()
	all := types()
	all.Names[reflect.TypeFor[crossed]()] = "WireLeaf"
	all.Of(reflect.TypeFor[leaf]())
	all.Of(reflect.TypeFor[crossed]())
}
