package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/bends"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/surface"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/wire"
)

// factsOf are the facts of all stations; one that did not run is not there.
type factsOf struct {
	Intake   intake.Facts   `json:"intake,omitempty"`
	Surface  surface.Facts  `json:"surface,omitempty"`
	Skeleton skeleton.Facts `json:"skeleton,omitempty"`
	Binding  binding.Facts  `json:"binding,omitempty"`
	Bends    bends.Facts    `json:"bends,omitempty"`
	Motion   motion.Facts   `json:"motion,omitempty"`
}

// wireTypes are the types that the page is checked by, with everything that crosses put
// down in them.
func wireTypes() *wire.Types {
	t := wire.New("../..", "rigloupe")
	t.As[reflect.TypeFor[rig.Name]()] = "string | null"
	document := reflect.TypeFor[inspect.Document]()
	facts, _ := document.FieldByName("FactsOf")
	findings, _ := document.FieldByName("Findings")
	where, _ := findings.Type.Elem().FieldByName("Where")
	places, _ := where.Type.FieldByName("Places")
	move, _ := where.Type.FieldByName("Move")
	t.Instead[facts.Type] = reflect.TypeFor[factsOf]()
	t.Names[reflect.TypeFor[factsOf]()] = "Facts"
	t.Names[document] = "Examination"
	t.Names[places.Type.Elem()] = "Spot"
	t.Names[move.Type.Elem()] = "PoseMove"
	for _, q := range questions() {
		t.Of(q.ask)
		t.Of(q.ends)
		if q.document != nil {
			t.Of(q.document)
		}
	}
	for _, m := range messages {
		t.Of(m)
	}
	for _, s := range []reflect.Type{
		reflect.TypeFor[mend.Saved](), reflect.TypeFor[bridge.Show](), reflect.TypeFor[bridge.StageState](), reflect.TypeFor[bridge.Hit](), reflect.TypeFor[bridge.Probe](), reflect.TypeFor[bridge.Sum](),
		reflect.TypeFor[bridge.Legend](), reflect.TypeFor[bridge.Changed](), reflect.TypeFor[bridge.Turn](),
	} {
		t.Of(s)
	}
	return t
}

// messages are all that the examiner tells.
var messages = []reflect.Type{
	reflect.TypeFor[bridge.Progress](), reflect.TypeFor[bridge.Left](), reflect.TypeFor[bridge.Parcel](), reflect.TypeFor[bridge.Document](),
	reflect.TypeFor[bridge.Overlay](), reflect.TypeFor[bridge.Lineup](), reflect.TypeFor[bridge.Done](), reflect.TypeFor[bridge.Refused](),
}

// TestTypesOfThePage: site/wire.d.ts is printed from the structs of Go. `make types`
// rewrites it, as UPDATE_GOLDEN=1 does.
func TestTypesOfThePage(t *testing.T) {
	const name = "../../site/wire.d.ts"
	all := wireTypes()
	var b bytes.Buffer
	b.WriteString(`// Printed from the structs of Go by ` + "`make types`" + `; a test says when it is stale.

declare namespace Wire {
  /** What comes beside a message: its bytes, and that it is the last of what was asked. */
  interface Beside {
    bytes?: ArrayBuffer;
    end?: boolean;
  }

  /** What goes beside an ask. */
  interface Files {
    files?: { name: string; bytes: ArrayBuffer }[];
  }

  /** How an ask of that kind ends; done where it was stopped. */
  type Answer<K extends keyof Questions> = (Questions[K]['ends'] & Beside) | (Refused & Beside) | (Done & Beside);

  /** What a message that is handed to Go may lack: that stays as it is, or is none. */
  type Some<T> = T extends (infer U)[] ? Some<U>[] : T extends object ? { [K in keyof T]?: Some<T[K]> } : T;

  /** All that the examiner tells. */
  type Message = `)
	var names []string
	for _, m := range messages {
		names = append(names, "("+all.Of(m)+" & Beside)")
	}
	b.WriteString(strings.Join(names, " | ") + ";\n\n  /** What can be asked: with what, the message that ends it, and what its JSON holds. */\n  interface Questions {\n")
	for _, q := range questions() {
		document := "null"
		if q.document != nil {
			document = all.Of(q.document)
		}
		ends := fmt.Sprintf("%s & { kind: '%s' }", all.Of(q.ends), q.told)
		if q.ends == reflect.TypeFor[bridge.Parcel]() {
			ends += " & { bytes: ArrayBuffer }"
		}
		fmt.Fprintf(&b, "    %s: { ask: %s; ends: %s; document: %s };\n", q.kind, all.Of(q.ask), ends, document)
	}
	b.WriteString("  }\n")
	all.Print(&b)
	b.WriteString("}\n")
	have, err := os.ReadFile(name)
	if err == nil && bytes.Equal(have, b.Bytes()) {
		return
	}
	if os.Getenv("UPDATE_GOLDEN") == "" {
		t.Fatal("site/wire.d.ts is stale; `make types` rewrites it", err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestAnswersFitTheirTypes: of the sample with every planted fault, of a capture and of
// the corpus, what crosses is what the printed types say, a kind that they name, null
// only where they allow it.
func TestAnswersFitTheirTypes(t *testing.T) {
	all := wireTypes()
	bad := map[string]string{}
	told := 0
	examined := func(name string, files []gltfio.File, more bool) {
		p := newPage()
		asks := []asked{{Kind: "examine"}, {Kind: "catalogue"}, {Kind: "lenses"}, {Kind: "row", Name: name}}
		if zero := 0; more {
			asks = append(asks, asked{Kind: "rows", Clip: &zero, Columns: 20}, asked{Kind: "curves", Clip: &zero, Joint: &zero}, asked{Kind: "second"}, asked{Kind: "match"}, asked{Kind: "carry"}, asked{Kind: "judge"},
				asked{Kind: "offers"}, asked{Kind: "begin"}, asked{Kind: "try", Mend: "scale", Values: `{"factor": 2}`}, asked{Kind: "suggest"}, asked{Kind: "slip", Act: "back"}, asked{Kind: "handOver", What: "plan"}, asked{Kind: "leave"})
		}
		for _, a := range asks {
			i := slices.IndexFunc(questions(), func(q question) bool { return q.kind == a.Kind })
			q := questions()[i]
			var with []gltfio.File
			switch a.Kind {
			case "examine", "begin":
				with = slices.Clone(files)
			case "second":
				with = captured()
			}
			p.told = nil
			p.ask(context.Background(), a, with)
			for k, m := range p.told {
				typ := reflect.TypeOf(m)
				if !slices.Contains(messages, typ) {
					t.Errorf("%s tells %s, which no type is printed for", a.Kind, typ)
				}
				kind := reflect.ValueOf(m).FieldByName("Kind")
				field, _ := typ.FieldByName("Kind")
				if union := field.Tag.Get("wire"); !slices.Contains(strings.Split(union, " | "), "'"+kind.String()+"'") {
					t.Errorf("%s tells a %s of kind %q, which is none of %s", a.Kind, typ.Name(), kind, union)
				}
				if k == len(p.told)-1 && typ != reflect.TypeFor[bridge.Refused]() && (typ != q.ends || kind.String() != q.told) {
					t.Errorf("%s ends with %s %q, want %s %q", a.Kind, typ.Name(), kind, q.ends.Name(), q.told)
				}
				d, is := m.(bridge.Document)
				if !is || q.document == nil || d.Kind == "partial" && !more {
					continue
				}
				told++
				of := q.document
				switch d.Kind { // told on the way
				case "mended":
					of = reflect.TypeFor[inspect.Document]()
				case "step":
					of = reflect.TypeFor[mend.Told]()
				case "slipSaved":
					of = reflect.TypeFor[mend.Saved]()
				case "doing", "switchedOff": // a number, words by number
					continue
				}
				for _, says := range all.Fits(of, []byte(d.JSON)) {
					bad[a.Kind+" "+says] = name
				}
			}
		}
	}
	sample := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	planted := map[string]bool{}
	for i, f := range lamplighter.Faults() {
		if planted[f.ID] || !rounds.Run(i, 17) {
			continue
		}
		planted[f.ID] = true
		r, _ := f.On(sample)
		if len(planted)%10 == 0 {
			examined(f.ID, []gltfio.File{{Name: "lamp.glb", Data: lamplighter.Write(r)}}, false)
			continue
		}
		// Of the others the document alone: the rest that is told of them is as in these.
		res, err := inspect.Examine(t.Context(), r, inspect.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := res.WriteJSON(&b, false); err != nil {
			t.Fatal(err)
		}
		told++
		for _, says := range all.Fits(reflect.TypeFor[inspect.Document](), b.Bytes()) {
			bad["examine "+says] = f.ID
		}
	}
	examined("sample", []gltfio.File{{Name: "lamp.glb", Data: lamplighter.GLB(lamplighter.Options{Vertices: 6000})}}, true)
	examined("capture", captured(), true)
	models, _ := filepath.Glob("../../../shared/corpus/models/*.glb")
	for _, name := range models {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		examined(filepath.Base(name), []gltfio.File{{Name: filepath.Base(name), Data: data}}, false)
	}
	for says, name := range bad {
		t.Errorf("%s (%s)", says, name)
	}
	if told < 100 && rounds.Long() || told < 25 {
		t.Errorf("only %d documents were told", told)
	}
}
