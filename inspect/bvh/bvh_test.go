package bvh

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

const e1Tree = `HIERARCHY
ROOT A
{
	OFFSET 0 0 0
	CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
	JOINT B
	{
		OFFSET 0 10 0
		CHANNELS 3 Zrotation Xrotation Yrotation
		End Site
		{
			OFFSET 0 5 0
		}
	}
}
MOTION
Frames: 1
Frame Time: 0.04
`

const e2File = `HIERARCHY
ROOT A
{
  OFFSET 5 0 0
  CHANNELS 6 Xposition Yposition Zposition Yrotation Xrotation Zrotation
  JOINT B
  {
    OFFSET 2 0 0
    CHANNELS 1 Zrotation
    JOINT C
    {
      OFFSET 3 0 0
      CHANNELS 3 Xrotation Yrotation Zrotation
      End Site { OFFSET 1 0 0 }
    }
  }
  JOINT D
  {
    OFFSET 0 -4 0
    CHANNELS 3 Zrotation Yrotation Xrotation
    End Site { OFFSET 0 -3 0 }
  }
}
MOTION
Frames: 1
Frame Time: 0.04
0 90 0 90 0 0 45 30 0 90 0 0 60
`

// placesAt answers where every node stands at a row of the file.
func placesAt(t *testing.T, r *rig.Rig, row int) [][3]float64 {
	t.Helper()
	p := deform.NewPose(r)
	if row >= 0 {
		p.Sample(0, float64(r.Clips[0].Channels[0].Times[row]))
	}
	var out [][3]float64
	for i := range p.World {
		out = append(out, [3]float64(p.World[i].Origin()))
	}
	return out
}

func read(t *testing.T, text string) *rig.Rig {
	t.Helper()
	r, err := Read("x.bvh", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// E1 and E2 (worked numbers, closed form): the first rotation channel named is the
// outermost, offsets are added to what position channels say.
func TestWorkedRows(t *testing.T) {
	xyz := strings.ReplaceAll(e1Tree, "Zrotation Xrotation Yrotation", "Xrotation Yrotation Zrotation")
	for _, row := range []struct {
		name, text string
		want       map[int][3]float64
	}{
		{"E1 first", e1Tree + "1 2 3 90 0 0 0 90 0", map[int][3]float64{1: {-9, 2, 3}, 2: {-9, 2, 8}}},
		{"E1 second", e1Tree + "0 0 0 30 0 0 30 0 0", map[int][3]float64{1: {-5, 8.660254, 0}, 2: {-9.330127, 11.160254, 0}}},
		{"E1 third", e1Tree + "1 2 3 10 20 30 40 50 60", map[int][3]float64{1: {-.631759, 11.254166, 6.420201}, 2: {-.651057, 12.089252, 11.349934}}},
		{"E1 third as X Y Z", xyz + "1 2 3 10 20 30 40 50 60", map[int][3]float64{1: {-3.698463, 10.231729, 6.187958}, 2: {-4.442867, 7.862506, 10.527617}}},
		{"E2", e2File, map[int][3]float64{0: {5, 90, 0}, 1: {5, 90, -2}, 2: {5, 92.121320, -4.121320}, 3: {5.5, 92.733693, -3.508948}, 4: {5, 86, 0}, 5: {2.401924, 84.5, 0}}},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := placesAt(t, read(t, row.text), 0)
			for n, want := range row.want {
				for c := range want {
					// Keys are float32 quaternions: 6e-8 of a lever arm of 20.
					if math.Abs(got[n][c]-want[c]) > 1.5e-6 {
						t.Errorf("node %d stands at %.6f, want %v", n, got[n], want)
						break
					}
				}
			}
		})
	}
}

const corpusFile = "../../../shared/corpus/models/01_01.bvh"

func corpus(t testing.TB) []byte {
	data, err := os.ReadFile(corpusFile)
	if err != nil {
		t.Skip("the folder of real models is not beside this one; the capture is not read")
	}
	return data
}

// E3: a real capture against forward kinematics worked out outside (float64, and by
// a public web library, which agree to 6e-6).
func TestCapture(t *testing.T) {
	data := corpus(t)
	r, err := Read("01_01.bvh", data)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Malformed) > 0 || len(r.Remarks) > 0 {
		t.Errorf("read around %v, remarks %v", r.Malformed, r.Remarks)
	}
	text, err := os.ReadFile("../../../shared/corpus/oracle/01_01.json")
	if err != nil {
		t.Skip("no outside answers beside the models")
	}
	var want struct {
		Intake struct {
			Joints, Channels, Frames int
			EndSites                 int     `json:"end_sites"`
			FrameTime                float64 `json:"frame_time"`
			Seconds                  float64
			RestMin                  [3]float64 `json:"rest_min"`
			RestMax                  [3]float64 `json:"rest_max"`
		}
		Skeleton struct {
			Joints []struct {
				Name   *string
				Parent int
				Rest   [3]float64 `json:"rest_position"`
			}
		}
		Motion struct {
			Poses []struct {
				Frame  int
				Joints [][3]float64
			}
		}
	}
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	c := &r.Clips[0]
	if got := len(r.Nodes); got != want.Intake.Joints+want.Intake.EndSites {
		t.Errorf("%d nodes, want %d joints and %d ends", got, want.Intake.Joints, want.Intake.EndSites)
	}
	if got := len(c.Channels[0].Times); got != want.Intake.Frames {
		t.Errorf("%d frames, want %d", got, want.Intake.Frames)
	}
	if math.Abs(c.Seconds-want.Intake.Seconds) > 1e-5 || c.Name != "01_01" {
		t.Errorf("clip %q of %.6f s, want 01_01 of %.6f", c.Name, c.Seconds, want.Intake.Seconds)
	}
	rest := placesAt(t, r, -1)
	for i, j := range want.Skeleton.Joints {
		n := &r.Nodes[i]
		if int(n.Parent) != j.Parent || j.Name != nil && n.Name != *j.Name {
			t.Errorf("node %d is %q below %d, want %v below %d", i, n.Name, n.Parent, j.Name, j.Parent)
		}
		if far(rest[i], j.Rest) > 1e-9 {
			t.Errorf("node %d rests at %v, want %v", i, rest[i], j.Rest)
		}
	}
	worst := 0.0
	for _, p := range want.Motion.Poses {
		got := placesAt(t, r, p.Frame)
		for i := range p.Joints {
			worst = max(worst, far(got[i], p.Joints[i]))
		}
	}
	if worst > 2e-5 { // 1e-6 of the height
		t.Errorf("a joint stands %.2g off, want at most 2e-5 of 25.7", worst)
	}
	t.Logf("largest distance %.3g", worst)
}

func far(a, b [3]float64) float64 {
	return space.Vec(a).Sub(b).Len()
}

// tiny is a two-joint tree; survive rows change its spelling.
const tiny = `HIERARCHY
ROOT Hips
{
	OFFSET 0 0 0
	CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
	JOINT Leg
	{
		OFFSET 0 -10 0
		CHANNELS 3 Zrotation Xrotation Yrotation
		End Site
		{
			OFFSET 0 -5 0
		}
	}
}
MOTION
Frames: 2
Frame Time: 0.04
0 15 0 0 0 0 30 0 0
1 15 0 0 0 0 45 0 0
`

func change(pairs ...string) string { return strings.NewReplacer(pairs...).Replace(tiny) }

// Files as they are met: each reads to the same movement, or to the stated one.
func TestSurvives(t *testing.T) {
	type want struct {
		frames  int
		end     [3]float64 // of the last row, of the end site below the leg
		seconds float64
		around  string // in a Malformed
		remark  string
		name    string // of node 1
	}
	plain := want{frames: 2, end: [3]float64{1 + 5*math.Sqrt2/2, 5 - 5*math.Sqrt2/2, 0}, seconds: 0.04, name: "Leg"}
	with := func(f func(*want)) want { w := plain; f(&w); return w }
	for _, row := range []struct {
		name, text string
		want       want
	}{
		{"plain", tiny, plain},
		{"CR LF", strings.ReplaceAll(tiny, "\n", "\r\n"), plain},
		{"CR alone", strings.ReplaceAll(tiny, "\n", "\r"), plain},
		{"byte order mark", "\uFEFF" + tiny, plain},
		{"no newline at the end", strings.TrimRight(tiny, "\n"), plain},
		{"blank lines and trailing blanks", strings.ReplaceAll(tiny, "\n", " \t\n\n"), plain},
		{"one line", strings.Join(strings.Fields(tiny), " "), plain},
		{"brace on the same line", change("Hips\n{", "Hips {", "Leg\n\t{", "Leg{"), plain},
		{"lower case", change("HIERARCHY", "hierarchy", "ROOT", "root", "JOINT", "joint", "OFFSET", "offset", "CHANNELS", "channels", "rotation", "ROTATION", "End Site", "end site", "MOTION", "motion", "Frames", "frames", "Frame Time", "FRAME TIME"), plain},
		{"comments", "# a capture\n" + change("OFFSET 0 -10 0", "OFFSET 0 -10 0 # the leg", "MOTION", "// rows\nMOTION", "0 15 0 0", "# first\n0 15 0 0"), plain},
		{"name with colon and point", change("Leg", "hero:Leg.L"), with(func(w *want) { w.name = "hero:Leg.L" })},
		{"name with blanks", change("Leg", "Left  Leg #1"), with(func(w *want) { w.name = "Left Leg #1" })},
		{"name not in Latin letters", change("Leg", "脚"), with(func(w *want) { w.name = "脚" })},
		{"name not in UTF-8", change("Leg", "J\xe4ger"), with(func(w *want) { w.name, w.remark = "J\uFFFDger", "line 6 is not UTF-8" })},
		{"name empty", change("JOINT Leg", "JOINT "), with(func(w *want) { w.name = "" })},
		{"name on its own line", change("JOINT Leg", "JOINT\n\t\tLeg"), plain},
		{"a joint called end", change("Leg", "LegEnd"), with(func(w *want) { w.name = "LegEnd" })},
		{"same name twice", change("Leg", "Hips"), with(func(w *want) { w.name = "Hips" })},
		{"exponents", change("30 0 0", "3.0E+1 0e0 0", "45 0 0", "4500e-2 -0 1e-30", "-10", "-1.0e1"), plain},
		{"numbers that touch", change("0 0 0 0 45 0 0", "0 0 0.0-0.0+45-0.0 0"), with(func(w *want) { w.frames = 2 })},
		{"decimal commas", change("0 -10 0", "0,0 -10,0 0,0", "45", "45,0", "0.04", "0,04"), plain},
		{"commas as separators", change("0 15 0 0 0 0 30 0 0", "0.0,15.0,0.0,0.0,0.0,0.0,30.0,0.0,0.0", "1 15 0 0 0 0 45 0 0", "1.0,15.0,0.0,0.0,0.0,0.0,45.0,0.0,0.0"), plain},
		{"rows broken over lines", change("0 15 0 0 0 0 30 0 0", "0 15 0\n0 0 0\n30 0 0", "1 15 0 0 0 0 45 0 0", "1 15 0\n0 0 0\n45 0 0"), plain},
		{"Frames without colon", change("Frames:", "Frames", "Frame Time:", "FrameTime:"), plain},
		{"colon apart", change("Frames:", "Frames :", "Frame Time:", "Frame Time :"), plain},
		{"no blank after colon", change("Frames: 2", "Frames:2", "Time: ", "Time:"), plain},
		{"more frames announced", change("Frames: 2", "Frames: 20"), with(func(w *want) { w.around = "Frames says 20; 2 complete rows" })},
		{"fewer frames announced", change("Frames: 2", "Frames: 1"), with(func(w *want) { w.around = "Frames says 1; 2 complete rows" })},
		{"Frames no whole number", change("Frames: 2", "Frames: 2.5"), with(func(w *want) { w.around = "Frames is 2.5, no count" })},
		{"Frames missing", change("Frames: 2\n", ""), with(func(w *want) { w.around = "Frames is missing" })},
		{"Frame Time 0", change("0.04", "0"), with(func(w *want) { w.seconds, w.around = 1.0/30, "Frame Time is 0" })},
		{"Frame Time negative", change("0.04", "-0.04"), with(func(w *want) { w.seconds, w.around = 1.0/30, "Frame Time is -0.04" })},
		{"Frame Time missing", change("Frame Time: 0.04\n", ""), with(func(w *want) { w.seconds, w.around = 1.0/30, "Frame Time is missing" })},
		{"last row cut", tiny + "2 15 0 0\n", with(func(w *want) { w.around = "the last row has 4 of 9 numbers" })},
		{"nan", change("1 15 0 0 0 0 45", "nan 15 -nan(ind) 1.#QNAN inf 0 45", "0 15 0 0 0 0 30", "1 15 0 0 0 0 30"), with(func(w *want) { w.around = "4 values are no finite numbers" })},
		{"extra closing braces", change("MOTION", "}\n}\nMOTION"), with(func(w *want) { w.around = "a closing brace too many" })},
		{"opening brace missing", change("Leg\n\t{", "Leg"), with(func(w *want) { w.around = "no opening brace" })},
		{"count of channels wrong", change("CHANNELS 3", "CHANNELS 5"), with(func(w *want) { w.around = "announces 5 and names 3" })},
		{"unknown words", change("OFFSET 0 -10 0", "OFFSET 0 -10 0\n\t\tLIMITS 1 2 3"), with(func(w *want) { w.around = `"LIMITS" is no word` })},
		{"HIERARCHY missing", change("HIERARCHY\n", ""), with(func(w *want) { w.around = "HIERARCHY is missing" })},
		{"end site with a name", change("End Site", "End Site Foot"), plain},
		{"angles beyond a turn", change("45 0 0", "405 720 -360"), plain},
		{"scale columns", change("CHANNELS 3 Zrotation Xrotation Yrotation", "CHANNELS 4 Zrotation Xscale Xrotation Yrotation", "30 0 0\n", "30 1 0 0\n", "45 0 0\n", "45 1 0 0\n"), plain},
		{"position columns below the root replace", change("CHANNELS 3 Z", "CHANNELS 6 Xposition Yposition Zposition Z", "30 0 0\n", "0 -10 0 30 0 0\n", "45 0 0\n", "0 -10 0 45 0 0\n"),
			with(func(w *want) { w.remark = "read as the whole translation" })},
		{"position columns below the root add", change("CHANNELS 3 Z", "CHANNELS 6 Xposition Yposition Zposition Z", "30 0 0\n", "0 0 0 30 0 0\n", "45 0 0\n", "0 0 0 45 0 0\n"),
			with(func(w *want) { w.remark = "added to OFFSET" })},
		{"root's offset repeated by its positions", change("OFFSET 0 0 0", "OFFSET 0 15 0"), with(func(w *want) { w.remark = "as the first row agrees with OFFSET" })},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := read(t, row.text)
			if len(r.Clips) != 1 {
				t.Fatalf("no clip; around %v, remarks %v", r.Malformed, r.Remarks)
			}
			c := &r.Clips[0]
			if got := len(c.Channels[0].Times); got != row.want.frames {
				t.Errorf("%d frames, want %d", got, row.want.frames)
			}
			if math.Abs(c.Seconds-row.want.seconds) > 1e-6 {
				t.Errorf("%g seconds, want %g", c.Seconds, row.want.seconds)
			}
			if got := placesAt(t, r, row.want.frames-1)[2]; far(got, row.want.end) > 1e-5 {
				t.Errorf("the end stands at %v, want %v", got, row.want.end)
			}
			if r.Nodes[1].Name != row.want.name {
				t.Errorf("node 1 is called %q, want %q", r.Nodes[1].Name, row.want.name)
			}
			said := slices.ContainsFunc(r.Malformed, func(m rig.Malformed) bool { return strings.Contains(m.What, row.want.around) })
			if row.want.around == "" && len(r.Malformed) > 0 || row.want.around != "" && !said {
				t.Errorf("read around %v, want %q", r.Malformed, row.want.around)
			}
			if w := row.want.remark; w == "" && len(r.Remarks) > 0 || !strings.Contains(strings.Join(r.Remarks, "\n"), w) {
				t.Errorf("remarks %q, want %q", r.Remarks, w)
			}
		})
	}
}

// Trees and times of other shapes.
func TestShapes(t *testing.T) {
	rows := func(n int) string { return strings.Repeat("0 15 0 0 0 0 30 0 0\n", n) }
	for _, row := range []struct {
		name, text string
		nodes      int
		clips      int
		seconds    float64
		around     string
	}{
		{"no MOTION", tiny[:strings.Index(tiny, "MOTION")], 3, 0, 0, ""},
		{"no row", change("0 15 0 0 0 0 30 0 0\n", "", "1 15 0 0 0 0 45 0 0\n", "", "Frames: 2", "Frames: 0"), 3, 0, 0, ""},
		{"one row", change("1 15 0 0 0 0 45 0 0\n", "", "Frames: 2", "Frames: 1"), 3, 1, 0, ""},
		{"milliseconds", change("0.04", "40", "1 15 0 0 0 0 45 0 0\n", rows(10), "Frames: 2", "Frames: 11"), 3, 1, 0.4, "milliseconds"},
		{"a rate", change("0.04", "25", "1 15 0 0 0 0 45 0 0\n", rows(10), "Frames: 2", "Frames: 11"), 3, 1, 0.4, "frames a second"},
		{"leaf without end site", "HIERARCHY ROOT A { OFFSET 0 0 0 CHANNELS 1 Xrotation } MOTION Frames: 1 Frame Time: .1 5", 1, 1, 0, ""},
		{"two roots", "HIERARCHY ROOT A { OFFSET 0 0 0 CHANNELS 1 Xrotation } ROOT B { OFFSET 1 0 0 CHANNELS 1 Yrotation } MOTION Frames: 1 Frame Time: .1 5 6", 2, 1, 0, ""},
		{"JOINT on nothing", "HIERARCHY JOINT A { OFFSET 0 0 0 CHANNELS 1 Xrotation } MOTION Frames: 1 Frame Time: .1 5", 1, 1, 0, "hangs on nothing"},
		{"CHANNELS 0", "HIERARCHY ROOT A { OFFSET 0 0 0 CHANNELS 0 } MOTION Frames: 0 Frame Time: .1", 1, 0, 0, ""},
		{"no OFFSET", "HIERARCHY ROOT A { CHANNELS 1 Xrotation JOINT B { CHANNELS 2 Xrotation Yrotation } } MOTION Frames: 1 Frame Time: .1 5 6 7", 2, 1, 0, ""},
		{"end site with channels", "HIERARCHY ROOT A { CHANNELS 1 Xrotation End Site { OFFSET 0 1 0 CHANNELS 1 Yrotation } } MOTION Frames: 1 Frame Time: .1 5 6", 2, 1, 0, "read as a joint"},
		{"unknown channel", "HIERARCHY ROOT A { CHANNELS 2 Xrotation Wobble } MOTION Frames: 1 Frame Time: .1 5 6", 1, 1, 0, `"Wobble" is not known`},
		{"decimal frame time only", "HIERARCHY ROOT A { CHANNELS 1 Xrotation } MOTION Frames: 3 Frame Time: .0333333 5 6 7", 1, 1, .0666666, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := read(t, row.text)
			if len(r.Nodes) != row.nodes || len(r.Clips) != row.clips {
				t.Fatalf("%d nodes and %d clips, want %d and %d; around %v", len(r.Nodes), len(r.Clips), row.nodes, row.clips, r.Malformed)
			}
			if row.clips > 0 && math.Abs(r.Clips[0].Seconds-row.seconds) > 1e-6 {
				t.Errorf("%g seconds, want %g", r.Clips[0].Seconds, row.seconds)
			}
			said := slices.ContainsFunc(r.Malformed, func(m rig.Malformed) bool { return strings.Contains(m.What, row.around) })
			if row.around == "" && len(r.Malformed) > 0 || row.around != "" && !said {
				t.Errorf("read around %v, want %q", r.Malformed, row.around)
			}
		})
	}
}

// What cannot be read is refused with the line and what to do.
func TestRefusals(t *testing.T) {
	deep := "HIERARCHY\nROOT r\n{\n" + strings.Repeat("JOINT j\n{\n", 600)
	for _, row := range []struct {
		name, text string
		line       int
		want       string
	}{
		{"empty", " \n", 0, "the file is empty"},
		{"UTF-16", "\xff\xfeH\x00I\x00", 0, "UTF-16"},
		{"binary", "glTF\x02\x00\x00\x00", 0, "binary data"},
		{"something else", "# sculpture\nhello there", 2, `begins with "hello"`},
		{"no joint", "HIERARCHY\nMOTION\n", 2, "holds no joint"},
		{"too deep", deep, 1027, "more than 512 deep"},
		{"tree not closed before MOTION", "HIERARCHY\nROOT a\n{\nOFFSET 1 2 3\nMOTION\nFrames: 0", 5, "1 closing brace is missing before MOTION"},
		{"tree cut off", "HIERARCHY\nROOT a\n{\nOFFSET 1 2 3\nJOINT b\n{\n", 7, "2 closing braces are missing at the end of the file"},
		{"tree cut before a brace", "HIERARCHY\nROOT a", 2, "1 closing brace is missing at the end of the file"},
		{"ROOT within a ROOT", "HIERARCHY ROOT A { OFFSET 0 0 0 CHANNELS 1 Xrotation ROOT B { OFFSET 1 0 0 CHANNELS 1 Yrotation } MOTION Frames: 1 Frame Time: .1 5 6", 1, "before \"A\" is closed"},
		{"a word in an offset", "HIERARCHY\nROOT a\n{\nOFFSET 1 two 3\n}", 4, "OFFSET wants three numbers, and the second is none"},
		{"nan in an offset", "HIERARCHY\nROOT a\n{\nOFFSET nan 2 3\n}", 4, "the first is none"},
		{"an offset beyond single precision", "HIERARCHY\nROOT a\n{\nOFFSET 1 2 1e39\n}", 4, "the third is none"},
		{"offset cut", "HIERARCHY\nROOT a\n{\nOFFSET 1 2\n}", 4, "OFFSET wants three numbers and has 2"},
		{"channels without count", "HIERARCHY\nROOT a\n{\nCHANNELS Xrotation", 4, "CHANNELS wants a whole number"},
		{"rows of another file", change("0 15 0 0 0 0 30 0 0", "0 15 0 0 0 0 30 0 0 7 7", "1 15 0 0 0 0 45 0 0", "1 15 0 0 0 0 45 0 0 7 7"), 19, "a row has 11 numbers, but the joints have 9 channels"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := Read("x.bvh", []byte(row.text))
			var no *Refused
			if !errors.As(err, &no) {
				t.Fatalf("error %v, want a refusal", err)
			}
			if no.Line != row.line || !strings.Contains(no.What, row.want) || no.Hint == "" {
				t.Errorf("line %d: %s; %s; want line %d: %s", no.Line, no.What, no.Hint, row.line, row.want)
			}
		})
	}
}

// Long rows and rows beyond what a line buffer holds.
func TestLongRows(t *testing.T) {
	var b strings.Builder
	b.WriteString("HIERARCHY\nROOT r\n{\nOFFSET 0 0 0\nCHANNELS 1 Xrotation\n")
	const n = 20000
	for i := range n {
		fmt.Fprintf(&b, "JOINT j%d\n{\nOFFSET 0 1 0\nCHANNELS 1 Xrotation\n}\n", i)
	}
	b.WriteString("}\nMOTION\nFrames: 2\nFrame Time: .01\n")
	for range 2 {
		b.WriteString(strings.Repeat("1.234567 ", n+1) + "\n")
	}
	r := read(t, b.String())
	if len(r.Nodes) != n+1 || len(r.Clips) != 1 || len(r.Clips[0].Channels[0].Times) != 2 {
		t.Errorf("%d nodes, %d clips", len(r.Nodes), len(r.Clips))
	}
}

// Numbers against the library's own reading.
func TestDecimal(t *testing.T) {
	for _, text := range []string{"0", "-0", "1", "-17.3198", ".0083333", "5.", "1e3", "1.5E-7", "123456789012345", "1234567890123456789.5", "1e-30", "1e30", "3.4e38", "0.1", "179.99999", "+4.25"} {
		var want float64
		fmt.Sscan(text, &want)
		s := newScanner([]byte(text))
		if got, what := s.number(); what != number || got != want {
			t.Errorf("%q reads as %v (%d), want %v", text, got, what, want)
		}
	}
}

// Signs never jump, so that no reader turns the long way round.
func TestSignsAreSteady(t *testing.T) {
	r := read(t, "HIERARCHY ROOT A { CHANNELS 1 Zrotation } MOTION Frames: 5 Frame Time: .1 170 179 -179 -170 -90")
	v := r.Clips[0].Channels[0].Values
	for i := 4; i < len(v); i += 4 {
		if d := v[i]*v[i-4] + v[i+1]*v[i-3] + v[i+2]*v[i-2] + v[i+3]*v[i-1]; d < 0.7 {
			t.Errorf("key %d: product %v with the one before", i/4, d)
		}
	}
}

func TestIs(t *testing.T) {
	for text, want := range map[string]bool{"HIERARCHY\nROOT": true, "\uFEFF\r\nhierarchy ": true, "# x\nHIERARCHY": true, "glTF": false, "": false, "{\"asset\"": false} {
		if got := Is([]byte(text)); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

// write → read → write gives the same bytes, and the same movement.
func TestWriteReadWrite(t *testing.T) {
	files := map[string]string{
		"tiny": tiny, "E1": e1Tree + "1 2 3 10 20 30 40 50 60", "E2": e2File,
		"no clip":   tiny[:strings.Index(tiny, "MOTION")],
		"two roots": "HIERARCHY ROOT A { OFFSET 0 0 0 CHANNELS 1 Xrotation } ROOT B { OFFSET 1 0 0 CHANNELS 1 Yrotation } MOTION Frames: 2 Frame Time: .1 5 6 7 8",
		"blanks":    change("Leg", "Left Leg"),
	}
	if data, err := os.ReadFile(corpusFile); err == nil {
		files["capture"] = string(data)
	}
	for name, text := range files {
		t.Run(name, func(t *testing.T) {
			first := read(t, text)
			clip := rig.Clip(0)
			if len(first.Clips) == 0 {
				clip = rig.None
			}
			once, err := Write(first, clip)
			if err != nil {
				t.Fatal(err)
			}
			again, err := Read("x.bvh", once)
			if err != nil {
				t.Fatal(err)
			}
			if len(again.Malformed) > 0 {
				t.Errorf("what we write must be read around: %v", again.Malformed)
			}
			twice, err := Write(again, clip)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(once, twice) {
				t.Errorf("the second writing differs: %s", firstDifference(once, twice))
			}
			if clip < 0 {
				return
			}
			worst, height := 0.0, restHeight(first)
			a, b := deform.NewPose(first), deform.NewPose(again)
			for i := 0; i < len(first.Clips[0].Channels[0].Times); i += 7 {
				at := float64(first.Clips[0].Channels[0].Times[i])
				a.Sample(0, at)
				b.Sample(0, at)
				for n := range a.World {
					if m := sameNode(first, again, rig.Node(n)); m >= 0 {
						worst = max(worst, far([3]float64(a.World[n].Origin()), [3]float64(b.World[m].Origin())))
					}
				}
			}
			if worst > 1e-5*height+1e-9 {
				t.Errorf("a joint stands %.3g off after writing, height %.4g", worst, height)
			}
		})
	}
}

// sameNode finds a node of a in b by name; ends are skipped.
func sameNode(a, b *rig.Rig, n rig.Node) rig.Node {
	name := strings.ReplaceAll(a.Nodes[n].Name, " ", "_")
	for m := range b.Nodes {
		if b.Nodes[m].Name == name {
			return rig.Node(m)
		}
	}
	return rig.None
}

func firstDifference(a, b []byte) string {
	la, lb := bytes.Split(a, []byte("\n")), bytes.Split(b, []byte("\n"))
	for i := range min(len(la), len(lb)) {
		if !bytes.Equal(la[i], lb[i]) {
			fa, fb := bytes.Fields(la[i]), bytes.Fields(lb[i])
			for k := range min(len(fa), len(fb)) {
				if !bytes.Equal(fa[k], fb[k]) {
					return fmt.Sprintf("line %d, field %d: %s and %s", i+1, k, fa[k], fb[k])
				}
			}
			return fmt.Sprintf("line %d", i+1)
		}
	}
	return fmt.Sprintf("%d and %d lines", len(la), len(lb))
}

// Every order comes apart and together again.
func TestAngles(t *testing.T) {
	for i := range orders {
		o := &orders[i]
		for _, deg := range [][3]float64{{0, 0, 0}, {10, 20, 30}, {-170, 70, 120}, {90, 0, -90}, {5, 90, 0}, {33, -90, 0}, {179, -1, 180}} {
			q := [4]float64{3: 1}
			for k := range 3 {
				turn(&q, o.axes[k], deg[k])
			}
			trs := rig.TRS{R: q, S: [3]float64{1, 1, 1}}
			a := trs.Affine()
			m := unscaled(&a)
			got := o.angles(&m)
			back := [4]float64{3: 1}
			for k := range 3 {
				turn(&back, o.axes[k], got[k]*180/math.Pi)
			}
			if d := space.Apart(space.FromXYZW(q), space.FromXYZW(back)); d > 1e-7 {
				t.Errorf("%s %v: came apart as %v, %.2g off", o.names, deg, got, d)
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(tiny))
	f.Add([]byte(e2File))
	f.Add([]byte("HIERARCHY ROOT { } } { JOINT End Site CHANNELS 3 OFFSET"))
	f.Add([]byte("HIERARCHY\nROOT a\n{\nCHANNELS 1 Xrotation\nEnd\n{\n}\nMOTION\nFrames 1\nFrameTime:0,1\n1,5-2e"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Read("x.bvh", data)
		if err != nil {
			if strings.Contains(err.Error(), "the reader failed") {
				t.Fatal(err)
			}
			return
		}
		for i := range r.Clips {
			for _, c := range r.Clips[i].Channels {
				if len(c.Values) != len(c.Times)*c.Width || int(c.Node) >= len(r.Nodes) {
					t.Fatalf("channel of node %d: %d values for %d times", c.Node, len(c.Values), len(c.Times))
				}
				for _, v := range c.Values {
					if v-v != 0 {
						t.Fatalf("channel of node %d holds %v", c.Node, v)
					}
				}
			}
		}
		if len(data) < 4096 {
			out, err := Write(r, rig.Clip(len(r.Clips)-1))
			if err != nil {
				return
			}
			if _, err := Read("y.bvh", out); err != nil {
				t.Fatalf("what was written is refused: %v\n%s", err, out)
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	data := corpus(b)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := Read("01_01.bvh", data); err != nil {
			b.Fatal(err)
		}
	}
}

// What is read around is told with the line it stands on, the row's first one where it is cut.
func TestLines(t *testing.T) {
	n := strings.Count(tiny, "\n")
	line := func(of string) int { return 1 + strings.Count(tiny[:strings.Index(tiny, of)], "\n") }
	for _, row := range []struct {
		text, told string
		line       int
	}{
		{tiny + "2 15 0 0\n\n\n", "the last row has 4 of 9 numbers", n + 1},
		{tiny + "2 15\n0\n0\n", "the last row has 4 of 9 numbers", n + 1},
		{strings.Replace(tiny, "Frames: 2", "Frames: 2.5", 1), "Frames is 2.5, no count", line("Frames: 2")},
		{strings.Replace(tiny, "0.04", "1e9", 1), "is no step of a movement", line("Frame Time")},
	} {
		told := false
		for _, m := range read(t, row.text).Malformed {
			told = told || strings.Contains(m.What, row.told) && m.Place == fmt.Sprintf("line %d", row.line)
		}
		if !told {
			t.Errorf("%s: not told of line %d: %v", row.told, row.line, read(t, row.text).Malformed)
		}
	}
}
