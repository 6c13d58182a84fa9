package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"rigloupe/inspect"
	"rigloupe/inspect/carry"
	"rigloupe/inspect/compare"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/hostile"
	"rigloupe/inspect/lineup"
	"rigloupe/inspect/mark"
	"rigloupe/inspect/match"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/mend/mendtest"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/report"
	"rigloupe/inspect/rig"
)

// Whatever the bytes: an answer or a refusal in words, never a panic, and within a minute (an
// input of a search takes milliseconds; a minute is a hang on however busy a machine).

// small is a motion capture, a root and two joints.
const small = "HIERARCHY\nROOT hips\n{\nOFFSET 0 1 0\nCHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n" +
	"JOINT knee\n{\nOFFSET 0 -0.5 0\nCHANNELS 3 Zrotation Xrotation Yrotation\nEnd Site\n{\nOFFSET 0 -0.5 0\n}\n}\n}\n" +
	"MOTION\nFrames: 3\nFrame Time: 0.0333\n0 1 0 0 0 0 0 10 0\n0 1 .1 0 0 0 0 20 0\n0 1 .2 0 0 0 0 30 0\n"

// within fails when work takes longer than a minute.
func within(t *testing.T, work func()) {
	t.Helper()
	began := time.Now()
	work()
	if took := time.Since(began); took > time.Minute {
		t.Fatalf("it took %s", took)
	}
}

// inWords fails where an error is a caught panic or says nothing.
func inWords(t *testing.T, err error) {
	t.Helper()
	if err == nil {
		return
	}
	var broken *inspect.Fault
	if says := err.Error(); errors.As(err, &broken) || strings.Contains(says, "fault of the reader") || len(says) < 8 {
		t.Fatalf("%v", err)
	}
}

// answered examines a rig and holds that document and report are whole.
func answered(t *testing.T, r *rig.Rig, of *Source) *inspect.Result {
	t.Helper()
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := res.WriteJSON(&b, false); err != nil {
		t.Fatal(err)
	}
	if !json.Valid(b.Bytes()) {
		t.Fatalf("the document is no JSON: %.200s", b.Bytes())
	}
	for i, f := range res.Findings() {
		for _, m := range f.Measures {
			if math.IsInf(m.Value, 0) {
				t.Fatalf("finding %d, %s: %s is %g", i, f.ID, m.Name, m.Value)
			}
		}
	}
	if _, err := compare.Read(b.Bytes()); err != nil {
		t.Fatalf("the document cannot be a baseline: %v", err)
	}
	if of != nil {
		s, err := Report(res, nil, of, "", "", report.Draw{})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Holds(s.Data); err != nil {
			t.Fatal(err)
		}
	}
	lineup.New([]lineup.Row{lineup.Of("one", res), lineup.Of("two", res)})
	return res
}

func seeds(f *testing.F, add func(data, edits []byte)) {
	figure := hostile.Figure("hips")
	add(figure, nil)
	add(figure, []byte{40, 0, 4, 0, 9, 1, 4, 1})
	add(figure, []byte{200, 0, 13, 0, 80, 0, 10, 0, 5, 0, 6, 1})
	add([]byte(small), nil)
	for i, x := range hostile.Files() {
		if b := []byte(nil); !x.Large && i%16 == 0 {
			if b = x.Make(); len(b) < 1<<14 {
				add(b, nil)
			}
		}
	}
}

// FuzzExamine: bytes to facts, findings, document, report and line-up.
func FuzzExamine(f *testing.F) {
	seeds(f, func(data, edits []byte) { f.Add(data, edits) })
	f.Fuzz(func(t *testing.T, data, edits []byte) {
		within(t, func() {
			s := Files(gltfio.File{Name: "fuzz.glb", Data: hostile.Edit(data, edits)})
			r, err := s.Open()
			if inWords(t, err); err == nil {
				answered(t, r, s)
			}
		})
	})
}

// FuzzZip: the same of a zip of a model, a side file and what somebody put beside them.
func FuzzZip(f *testing.F) {
	f.Add(hostile.Zip([2]string{"m.glb", string(hostile.Figure("hips"))}, [2]string{"a/b.png", "\x01\x02"}), "x.bin", []byte{1})
	f.Add(hostile.Zip([2]string{"m.gltf", `{"asset":{"version":"2.0"},"nodes":[{}],"buffers":[{"uri":"x.bin","byteLength":4}]}`}), "x.bin", []byte("abcd"))
	f.Add(hostile.Zip([2]string{"../m.gltf", "{}"}, [2]string{"/m.bvh", small}), `..\x`, []byte{})
	f.Fuzz(func(t *testing.T, zip []byte, name string, beside []byte) {
		within(t, func() {
			s := Files(gltfio.File{Name: "fuzz.zip", Data: zip}, gltfio.File{Name: name, Data: beside})
			r, err := s.Open()
			if inWords(t, err); err == nil {
				answered(t, r, nil)
			}
			_, err = s.Original()
			inWords(t, err)
		})
	})
}

// FuzzMend: whatever figure, one mend of the table: refused in words, or a file that opens
// again and a receipt.
func FuzzMend(f *testing.F) {
	n := byte(0)
	seeds(f, func(data, edits []byte) { f.Add(data, edits, n); n += 3 })
	f.Fuzz(func(t *testing.T, data, edits []byte, which byte) {
		within(t, func() {
			d, err := Files(gltfio.File{Name: "fuzz.glb", Data: hostile.Edit(data, edits)}).Original()
			if inWords(t, err); err != nil {
				return
			}
			s, err := mend.Open(d)
			if inWords(t, err); err != nil {
				return
			}
			s.Beside(s)
			rows := mendtest.Rows(s.Rig)
			row := rows[int(which)%len(rows)]
			tried(t, s, row.Mend, row.Values)
		})
	})
}

// tried tries a mend and proves it.
func tried(t *testing.T, s *mend.State, id string, values map[string]any) {
	t.Helper()
	m, err := mend.Named(id)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(values)
	if err != nil {
		return // a number that is none
	}
	v, err := mend.ParseValues(text)
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	trial, err := s.Try(ctx, m, v)
	if err != nil {
		if why, ok := mend.Refused(err); !ok || len(why) < 8 {
			inWords(t, err)
		}
		return
	}
	if trial.After == nil {
		if len(trial.Refused()) < 8 {
			t.Fatalf("%s: refused without words: %q", id, trial.Refused())
		}
		return
	}
	receipt, err := trial.Prove(ctx, nil, nil)
	if inWords(t, err); err != nil {
		t.Fatal(err)
	}
	if receipt.Sentence() == "" {
		t.Fatalf("%s: a receipt without a sentence", id)
	}
	if err := trial.After.Holds(trial.After.Bytes); err != nil {
		t.Fatalf("%s: what was written reads back otherwise: %v", id, err)
	}
}

// FuzzPair: two files: matched, all clips of one carried to the other, written, and a part
// of the second taken by the first.
func FuzzPair(f *testing.F) {
	figure := hostile.Figure("hips")
	f.Add(figure, figure, []byte(nil), []byte(nil))
	f.Add(figure, []byte(small), []byte{40, 0, 4, 0}, []byte(nil))
	f.Add([]byte(small), []byte(small), []byte(nil), []byte(nil))
	f.Add(figure, figure, []byte{9, 1, 4, 1, 8, 0, 2, 0}, []byte{120, 0, 13, 0})
	f.Fuzz(func(t *testing.T, one, two, edits, others []byte) {
		within(t, func() {
			a := Files(gltfio.File{Name: "a.glb", Data: hostile.Edit(one, edits)})
			b := Files(gltfio.File{Name: "b.glb", Data: hostile.Edit(two, others)})
			source, err := a.Open()
			if inWords(t, err); err != nil {
				return
			}
			target, err := b.Open()
			if inWords(t, err); err != nil {
				return
			}
			m := match.Find(source, target)
			var table bytes.Buffer
			if err := m.WriteJSON(&table); err != nil || !json.Valid(table.Bytes()) {
				t.Fatalf("%v: %s", err, table.Bytes())
			}
			if _, err := match.ReadPins(table.Bytes(), source, target); err != nil && unlike(source, target) {
				t.Fatalf("the table cannot be read back: %v", err)
			}
			clips := make([]rig.Clip, 0, 3)
			for i := range min(len(source.Clips), 3) {
				clips = append(clips, rig.Clip(i))
			}
			ctx := context.Background()
			done, reports, err := carry.All(ctx, m, clips, carry.Options{})
			if inWords(t, err); err == nil {
				var b bytes.Buffer
				if err := carry.WriteJSON(&b, m, reports); err != nil || !json.Valid(b.Bytes()) {
					t.Fatalf("%v: %s", err, b.Bytes())
				}
			}
			if err == nil && len(done) > 0 {
				for _, format := range []string{GLB, BVH} {
					s, err := Carried(b, target, done[:1], format)
					if inWords(t, err); err == nil {
						if err := s.Holds(s.Data); err != nil {
							t.Fatal(err)
						}
					}
				}
			}
			into, err := b.Second()
			if inWords(t, err); err != nil {
				return
			}
			from, err := a.Second()
			if inWords(t, err); err != nil {
				return
			}
			if into.Doc == nil {
				return
			}
			into.Beside(from)
			for _, row := range mendtest.Rows(into.Rig) {
				if row.Mend == "part" || row.Mend == "carry" {
					tried(t, into, row.Mend, row.Values)
				}
			}
		})
	})
}

// unlike tells that every node of two rigs has a name of its own, so that a saved table must
// be read back.
func unlike(rigs ...*rig.Rig) bool {
	for _, r := range rigs {
		seen := map[string]bool{}
		for i := range r.Nodes {
			if r.Nodes[i].Name == "" || seen[r.Nodes[i].Name] || strings.ContainsRune(r.Nodes[i].Name, '\uFFFD') {
				return false
			}
			seen[r.Nodes[i].Name] = true
		}
	}
	return true
}

// FuzzSaved: files of ours that somebody changed: limits, plans, slips, matchings (JSON and
// CSV), answers and lists of faults found, baselines, sheets. What is read once is read again
// from what it is written as, where it is written.
func FuzzSaved(f *testing.F) {
	figure := hostile.Figure("hips")
	model := Files(gltfio.File{Name: "m.glb", Data: figure})
	r, err := model.Open()
	if err != nil {
		f.Fatal(err)
	}
	own, err := model.Original()
	if err != nil {
		f.Fatal(err)
	}
	start, err := mend.Open(own)
	if err != nil {
		f.Fatal(err)
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{Only: []string{"skeleton"}})
	if err != nil {
		f.Fatal(err)
	}
	var document, pins, table bytes.Buffer
	m := match.Find(r, r)
	if err := errors.Join(res.WriteJSON(&document, false), m.WriteJSON(&pins), m.WriteCSV(&table)); err != nil {
		f.Fatal(err)
	}
	sheet, err := Report(res, nil, model, "", "", report.Draw{})
	if err != nil {
		f.Fatal(err)
	}
	for _, s := range []string{document.String(), pins.String(), table.String(), string(sheet.Data),
		`{"surface/lopsided":{"share":0.02}}`, `{"rigloupe_plan":1,"steps":[{"mend":"scale","parameters":{"factor":2}}]}`,
		`{"plan":{"rigloupe_plan":1,"steps":[{"mend":"weld","parameters":{}}]},"cursor":1,"receipts":[null]}`,
		`{"factor":1e309}`, "source,target\n\"a\",\"b\"\n"} {
		f.Add([]byte(s))
	}
	number := Faults()[0].Number
	planted, err := Answer(number)
	if err != nil {
		f.Fatal(err)
	}
	list := fmt.Sprintf(`{"findings":1,"by":"x","fault":%d,"found":[{"check":"surface/lopsided","joint":"hips","point":[0,1,2],"says":"x"}]}`, number)
	found, err := mark.ParseFindings([]byte(list))
	if err != nil {
		f.Fatal(err)
	}
	answer, err := json.Marshal(planted)
	if err != nil {
		f.Fatal(err)
	}
	row, err := json.Marshal([]lineup.Row{lineup.Of("m.glb", res), lineup.UnreadRow("n.glb", "it is torn")})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(answer)
	f.Add([]byte(list))
	f.Add(row)
	f.Fuzz(func(t *testing.T, data []byte) {
		within(t, func() {
			o, err := inspect.ParseLimits(data)
			if inWords(t, err); err == nil {
				judged := *res
				judged.Stations = slices.Clone(res.Stations)
				judged.Judge(o)
				if err := judged.WriteJSON(io.Discard, false); err != nil {
					t.Fatal(err)
				}
			}
			p, err := Plan(data)
			if inWords(t, err); err == nil {
				again, err := p.JSON()
				if err != nil {
					t.Fatal(err)
				}
				if _, err := mend.ParsePlan(again); err != nil {
					t.Fatalf("what a plan is written as is none: %v\n%s", err, again)
				}
				_, _, err = p.Run(context.Background(), start, mend.Options{GoOn: true})
				inWords(t, err)
			}
			saved, err := mend.ParseSaved(data)
			if inWords(t, err); err == nil {
				_, err := mend.NewSlip(start, nil).Restore(context.Background(), saved, func(int) {})
				inWords(t, err)
			}
			_, err = mend.ParseValues(data)
			inWords(t, err)
			pins, err := match.ReadPins(data, r, r)
			if inWords(t, err); err == nil {
				again := match.Find(r, r, pins...)
				if err := errors.Join(again.WriteJSON(io.Discard), again.WriteCSV(io.Discard)); err != nil {
					t.Fatal(err)
				}
			}
			a, err := mark.ParseAnswer(data)
			inWords(t, err)
			l, bad := mark.ParseFindings(data)
			inWords(t, bad)
			if err == nil {
				if err := WriteJSON(io.Discard, mark.Of(a, []mark.Findings{found})); err != nil {
					t.Fatal(err)
				}
			}
			if bad == nil {
				if err := WriteJSON(io.Discard, mark.Of(planted, []mark.Findings{l, l})); err != nil {
					t.Fatal(err)
				}
			}
			old, err := compare.Read(data)
			if inWords(t, err); err == nil {
				now, err := compare.Of(res)
				if err != nil {
					t.Fatal(err)
				}
				if err := errors.Join(WriteJSON(io.Discard, compare.Between(old, now)), WriteJSON(io.Discard, compare.Between(now, old))); err != nil {
					t.Fatal(err)
				}
			}
			_, err = paper.Read(data)
			inWords(t, err)
			_, err = Verify(data, Files(gltfio.File{Name: "m.glb", Data: figure}))
			inWords(t, err)
			var rows []lineup.Row
			if json.Unmarshal(data, &rows) == nil {
				if err := WriteJSON(io.Discard, lineup.New(rows)); err != nil {
					t.Fatal(err)
				}
			}
		})
	})
}
