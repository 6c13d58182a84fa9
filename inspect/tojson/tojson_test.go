package tojson

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// library is what encoding/json writes of a value: the text that must come out.
func library(t *testing.T, v any, markup bool) string {
	t.Helper()
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(markup)
	if err := e.Encode(v); err != nil {
		t.Fatal(err)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

type unit struct{ many string }

func (u unit) MarshalText() ([]byte, error) { return []byte(u.many), nil }

type raw string

func (r raw) MarshalJSON() ([]byte, error) { return []byte(`{ "raw" : "<` + string(r) + `>" }`), nil }

type inner struct {
	A    int `json:"a"`
	Both int `json:"both"`
	Low  string
}

type deeper struct{ inner }

type all struct {
	Int    int8               `json:"int"`
	Uint   uint64             `json:"uint"`
	Bool   bool               `json:"bool"`
	F32    float32            `json:"f32"`
	F64    float64            `json:"f64"`
	Text   string             `json:"text"`
	Plain  string             // by its own name
	hidden int                // never
	Out    int                `json:"-"`
	Ptr    *float64           `json:"ptr"`
	None   *float64           `json:"none"`
	Vec    [3]float64         `json:"vec"`
	Flags  [2]uint8           `json:"flags"`
	Bytes  []byte             `json:"bytes"`
	List   []int              `json:"list"`
	Nil    []int              `json:"nil"`
	ByText map[string]float64 `json:"by_text"`
	ByInt  map[int32]string   `json:"by_int"`
	ByUint map[uint8]bool     `json:"by_uint"`
	ByUnit map[unit]int       `json:"by_unit"`
	NoMap  map[string]int     `json:"no_map"`
	Any    any                `json:"any"`
	NoAny  any                `json:"no_any"`
	Unit   unit               `json:"unit"`
	Raw    raw                `json:"raw"`
	Odd    string             `json:"a<b"`
	Omit0  int                `json:"omit0,omitempty"`
	Omit1  int                `json:"omit1,omitempty"`
	OmitP  *int               `json:"omit_p,omitempty"`
	OmitL  []int              `json:"omit_l,omitempty"`
	OmitS  inner              `json:"omit_s,omitempty"`
	OmitA  [0]int             `json:"omit_a,omitempty"`
	deeper
	Both string `json:"both"` // hides the deeper one
	Self *all   `json:"self"`
}

type rare struct {
	S int   `json:"s,string"`
	Z inner `json:"z,omitzero"`
	*inner
}

// TestAsTheLibrary: each kind of value is written as encoding/json writes it.
func TestAsTheLibrary(t *testing.T) {
	x := 1e-7
	one := all{
		Int: -128, Uint: math.MaxUint64, Bool: true, F32: 3.4e-8, F64: -1e21, Text: "a<b>&\"\\\u2028\u2029\x00\x1f\b\f\n\r\t\x7fé\xff\xc3", hidden: 1, Out: 2,
		Ptr: &x, Vec: [3]float64{0, math.Copysign(0, -1), 1. / 3}, Flags: [2]uint8{1, 2}, Bytes: []byte("bytes"), List: []int{}, ByText: map[string]float64{"b": 1, "a<": 2, "": 3},
		ByInt: map[int32]string{10: "ten", 9: "nine", -1: "x"}, ByUint: map[uint8]bool{200: true, 3: false}, ByUnit: map[unit]int{{"k"}: 1}, Any: []any{1, "two", nil, map[string]any{"x": 1.5}, inner{}},
		Unit: unit{"<u>"}, Raw: "r", Omit1: 1, deeper: deeper{inner{1, 2, "low"}}, Both: "own", Self: &all{},
	}
	for _, v := range []any{one, &one, []all{one, {}}, rare{S: 5, inner: &inner{A: 1}}, nil, 5, "x<", []string(nil), map[string]int(nil), struct{}{}, [2][]float32{{1e20, 1e21, 1e-6, 9e-7, 16777216}, nil}} {
		for _, markup := range []bool{false, true} {
			got, err := Append([]byte("before"), v, markup)
			if want := "before" + library(t, v, markup); err != nil || string(got) != want {
				t.Errorf("%T: %v\n%s, want\n%s", v, err, got, want)
			}
		}
	}
}

type name string

func (name) NullWhereEmpty() {}

type written []string

func (w written) AppendJSON(dst []byte) []byte { return append(dst, strings.Join(w, "+")...) }

// What is otherwise: numbers that are none, names that are not there, what writes itself;
// and an error of a value is told.
func TestOtherwise(t *testing.T) {
	got, err := Append(nil, struct {
		A    float32
		B    []float64
		C, D name
		E    written
		F    written `json:",omitempty"`
	}{float32(math.NaN()), []float64{math.Inf(1), 1, math.Inf(-1)}, "", "n<", written{"1", "2"}, nil}, true)
	if want := `{"A":null,"B":[null,1,null],"C":null,"D":"n\u003c","E":1+2}`; err != nil || string(got) != want {
		t.Errorf("%v %s, want %s", err, got, want)
	}
	for _, v := range []any{func() {}, []any{make(chan int)}, map[[1]int]int{{1}: 1}, struct{ C complex128 }{}} {
		if got, err := Append(nil, v, false); err == nil {
			t.Errorf("%T is written as %s", v, got)
		}
	}
}

// FuzzAsTheLibrary holds texts and numbers of every kind against encoding/json.
func FuzzAsTheLibrary(f *testing.F) {
	for _, s := range []string{"", "a\u2028<b>", "\xff\xfe", "\u0000\"\\"} {
		f.Add(s, 1e-7, float32(1e21), int64(-5), true)
	}
	f.Fuzz(func(t *testing.T, s string, x float64, y float32, n int64, markup bool) {
		if x-x != 0 || y-y != 0 {
			return
		}
		v := struct {
			S string
			X *float64
			Y []float32
			M map[string]int64
			N map[int64]any
		}{s, &x, []float32{y, -y, float32(x)}, map[string]int64{s: n, "m": n}, map[int64]any{n: s, 0: x}}
		if z := v.Y[2]; z-z != 0 {
			v.Y = v.Y[:2]
		}
		if got, err := Append(nil, v, markup); err != nil || string(got) != library(t, v, markup) {
			t.Errorf("%v %s, want %s", err, got, library(t, v, markup))
		}
	})
}
