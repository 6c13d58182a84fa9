package paper

import (
	"bytes"
	"encoding/json"
	"html"
	"os"
	"regexp"
	"strings"
	"testing"

	"rigloupe/inspect/check"
)

// hostile are names of files that try to be more than text.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</pre></main><h1>all clear</h1>`, `&lt;b&gt;`, `' onmouseover='x`,
	"gpj.\u202Ecod\u202C.glb", "\u2066left\u2069", "שלום עולם.glb", "Zal" + strings.Repeat("\u0335\u0322", 60) + "go",
	strings.Repeat("long", 2500), "two\nlines\r\u2028\u0085", "\x00\x1b[2J", "\xff\xfe", "<code class=\"hash\" data-seal>", `<pre data-text="plan">`, "<!--", "]]>", "{{.}}",
}

// made is a sheet that bears a name wherever one can stand.
func made(t *testing.T, name string) []byte {
	t.Helper()
	s, err := New(Head{Kind: "trial", Version: 1, Program: "rigloupe 0", Title: "Trial sheet", About: name,
		Files: []File{{Role: "source", Name: name, SHA256: strings.Repeat("ab", 32), Bytes: 7}}})
	if err != nil {
		t.Fatal(err)
	}
	s.Title(Name(name))
	s.Verdict(Words(name))
	s.List([]Text{Gone(Name(name)), Lines(Soft(Name(name)), Whole(name))})
	s.Facts([][2]Text{{Name(name), Whole(name)}})
	s.Table([]string{"A", "B", "C"}, 2, [][]Text{{Join(Mark(check.Flaw), Name(name)), Unbroken(Words(name)), Hash("0123456789")}})
	s.Pictures([]Picture{{PNG: []byte("x"), W: 1, H: 1, Caption: Name(name), Says: name}})
	text, _ := json.Marshal(map[string]string{"name": name})
	s.Text("plan", string(text))
	s.Sign([]Field{{Name: "Date", Filled: Name(name), Short: true}})
	return s.Seal()
}

var tag = regexp.MustCompile(`<(/?)([a-z0-9]+)([^<>]*)>`)

// TestHostileNames: whatever a file is called, the elements and attributes of a sheet are
// the same as those of an honest name, every name reads back as text, and nothing in it
// moves the cursor or turns the writing round.
func TestHostileNames(t *testing.T) {
	skeleton := func(data []byte) string {
		var b strings.Builder
		for _, m := range tag.FindAllStringSubmatch(string(data), -1) {
			if m[2] == "bdi" { // a long name has two
				continue
			}
			b.WriteString(m[1] + m[2] + " ")
			for _, a := range regexp.MustCompile(`([a-zA-Z-]+)="[^"]*"`).FindAllStringSubmatch(m[3], -1) {
				b.WriteString(a[1] + " ")
			}
			// Nothing but attributes and their values stands in a tag.
			if rest := regexp.MustCompile(` [a-zA-Z-]+(="[^"]*")?|/$`).ReplaceAllString(m[3], ""); strings.TrimSpace(rest) != "" {
				t.Errorf("in the tag %s stands %q", m[2], rest)
			}
		}
		return b.String()
	}
	want := skeleton(made(t, "honest.glb"))
	for _, name := range hostile {
		data := made(t, name)
		if got := skeleton(data); got != want {
			t.Errorf("%q changes the elements:\n%s\nwant\n%s", name, got, want)
		}
		if strings.ContainsAny(string(data), "\u202E\u202C\u2066\u2029\u2028\x00\x1b\r\u0085") {
			t.Errorf("%q: a letter that steers stands in the sheet", name)
		}
		d, err := Read(data)
		if err != nil || !d.Whole {
			t.Fatalf("%q: %v, %+v", name, err, d)
		}
		clean := strings.ToValidUTF8(name, "\uFFFD")
		if len(d.Files) != 1 || d.Files[0].Name != clean && !strings.Contains(name, "\xff") {
			t.Errorf("the name %q is read back as %q", name, d.Files[0].Name)
		}
		var back map[string]string
		if err := json.Unmarshal([]byte(d.Texts["plan"]), &back); err != nil || len(back["name"]) < len(clean)-4 || !strings.Contains(name, "\xff") && back["name"] != clean {
			t.Errorf("%q: the text is read back as %q, %v", name, back["name"], err)
		}
	}
}

// TestReadsBack: what is written is what is read, also where a name looks like a letter's
// code.
func TestReadsBack(t *testing.T) {
	for _, s := range []string{"&lt;b&gt;", "a & b", "&amp;", `"'<>`} {
		if got := Join(Words(s), Gone(Whole(s))).Plain(); got != s+s {
			t.Errorf("%q is read as %q", s, got)
		}
	}
}

// TestLongName: a long name is cut but where it stands whole, and how long it is stands
// behind; one that just fits is not.
func TestLongName(t *testing.T) {
	long := strings.Repeat("é", 97)
	if got := html.UnescapeString(Name(long).html); strings.Count(got, "é") != 84 || !strings.Contains(got, "(97 letters)") {
		t.Error(got)
	}
	if got := Name(long[:2*96]).html; strings.Count(got, "é") != 96 || strings.Contains(got, "…") {
		t.Error(got)
	}
	if strings.Count(Whole(long).html, "é") != 97 {
		t.Error("Whole cuts")
	}
}

// TestHash: groups of eight, and one word when copied.
func TestHash(t *testing.T) {
	if got, want := Hash("0123456789abcdef01").html, `<code class="hash"><span>01234567</span><wbr><span>89abcdef</span><wbr><span>01</span><wbr></code>`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got := Hash("0123456789").Plain(); got != "0123456789" {
		t.Error(got)
	}
}

// TestSeal: any byte that changes breaks the seal, wherever it stands; so do bytes that are
// added or gone. What is no sheet is refused.
func TestSeal(t *testing.T) {
	data := made(t, "honest.glb")
	if !bytes.Equal(data, made(t, "honest.glb")) {
		t.Fatal("the same pieces give other bytes")
	}
	d, err := Read(data)
	if err != nil || !d.Whole || d.Kind != "trial" || d.Of(strings.Repeat("ab", 32)) != "source" || d.Of("") != "" {
		t.Fatal(d, err)
	}
	for i := range data {
		bad := bytes.Clone(data)
		bad[i] ^= 1
		if d, err := Read(bad); err == nil && d.Whole {
			t.Fatalf("byte %d of %d can be changed: %q", i, len(data), data[max(0, i-20):i+1])
		}
	}
	for what, bad := range map[string][]byte{
		"a byte behind": append(bytes.Clone(data), '\n'), "a byte before": append([]byte{'\n'}, data...), "the end gone": data[:len(data)-1],
		"line ends of another system": bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")),
	} {
		if d, err := Read(bad); err == nil && d.Whole {
			t.Errorf("%s: not seen", what)
		}
	}
	for what, bad := range map[string][]byte{
		"nothing": nil, "a page": []byte("<!doctype html><p>hello"), "two heads": append(bytes.Clone(data), data...),
		"no seal": bytes.ReplaceAll(data, []byte(sealMark), nil), "a head that is none": bytes.Replace(data, []byte(headMark+"{"), []byte(headMark), 1),
	} {
		if _, err := Read(bad); err == nil || !strings.Contains(err.Error(), "no sheet of Rigloupe") {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// TestNothingRuns: the policy of a sheet allows its style sheet, by its hash, and pictures
// within it, and there is no element that could ask for more.
func TestNothingRuns(t *testing.T) {
	text := string(made(t, "honest.glb"))
	if !strings.Contains(text, `content="default-src 'none'; img-src data:; style-src 'sha256-`) {
		t.Error("the policy is gone")
	}
	if bad := regexp.MustCompile(`(?i)<(script|iframe|object|embed|form|a|link rel="stylesheet)|\son[a-z]+=|javascript:|https?:|style="`).FindString(text); bad != "" {
		t.Errorf("it holds %q", bad)
	}
}

// TestDayColours: the colours of paper are those of the page by day, and each is used.
func TestDayColours(t *testing.T) {
	tokens, err := os.ReadFile("../../site/css/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, m := range regexp.MustCompile(`--([a-z0-9-]+): (#[0-9a-f]{6})`).FindAllStringSubmatch(style, -1) {
		seen++
		if !regexp.MustCompile(`--` + m[1] + `:\s+light-dark\(` + m[2]).Match(tokens) {
			t.Errorf("--%s is %s here and not by day on the page", m[1], m[2])
		}
		if !strings.Contains(style, "var(--"+m[1]+")") {
			t.Errorf("--%s is not used", m[1])
		}
	}
	if seen < 6 || strings.Contains(style, "!important") {
		t.Errorf("%d colours", seen)
	}
}
