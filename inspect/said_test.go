package inspect

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/surface"
)

// mostWords is how many words a title has.
const mostWords = 4

// TestTitlesAreShort: those of the catalogue, and every title that a check gives to a
// finding in its place.
func TestTitlesAreShort(t *testing.T) {
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			short(t, e.ID, e.Title)
		}
		files, err := filepath.Glob(filepath.Join(s.Name, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v", s.Name, err)
		}
		given := 0
		for _, file := range files {
			if !strings.HasSuffix(file, "_test.go") {
				for _, title := range titlesIn(t, file) {
					given++
					short(t, file, title)
				}
			}
		}
		t.Logf("%s: %d titles besides the catalogue's", s.Name, given)
	}
}

func short(t *testing.T, where, title string) {
	if n := len(strings.Fields(title)); n == 0 || n > mostWords {
		t.Errorf("%s: %q has %d words, want at most %d", where, title, n, mostWords)
	}
}

// titlesIn lists the texts that a file sets to a Title.
func titlesIn(t *testing.T, file string) (out []string) {
	tree, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(tree, func(n ast.Node) bool {
		set, ok := n.(*ast.AssignStmt)
		if !ok || len(set.Lhs) != len(set.Rhs) {
			return true
		}
		for i, left := range set.Lhs {
			field, ok := left.(*ast.SelectorExpr)
			text, is := set.Rhs[i].(*ast.BasicLit)
			if ok && is && field.Sel.Name == "Title" {
				s, _ := strconv.Unquote(text.Value)
				out = append(out, s)
			}
		}
		return true
	})
	return out
}

// What no text says that a person reads, names from the file left out.
var unsaid = []struct {
	what string
	re   *regexp.Regexp
}{
	{"an identifier of a role", regexp.MustCompile(`\b(left|right)(Upper|Lower|Hand|Foot|Shoulder|Toes|Eye|Thumb|Index|Middle|Ring|Little)\w*|upperChest`)},
	{"an exponent", regexp.MustCompile(`\d[eE][-+]\d`)},
	{"a minus that is a hyphen", regexp.MustCompile(`(^|[\s(])-\d`)},
	{"more than three figures", regexp.MustCompile(`(^|[^\d.])(0\.0*[1-9]\d{3,}|[1-9]\.\d{3,}|([1-8]\d|9[0-8])\.\d{2,}|[1-9]\d\d\.\d)`)},
	{"one of many", regexp.MustCompile(`(^|[^\d.,])1[ \x{a0}](vertices|indices|axes|halves|joints|places|edges|clips|keys|loops|shells|pairs|triangles|surfaces|names|faults|steps|nodes|bones|figures)\b`)},
	{"thousands run together", regexp.MustCompile(`(^|[\s(])[1-9]\d{3,}[ \x{a0}](of|more|vert|edge|open|triang|joint|weight|pair|shell|surface|channel|key|node|place|loop|name|bone|crumb)`)},
	{"a plural in brackets", regexp.MustCompile(`\w\(s\)`)},
	{"a place after a tenth of nothing", regexp.MustCompile(`\d\.0+(°|[ \x{a0}])`)},
}

var quotes = regexp.MustCompile(`"[^"]*"`)

func said(t *testing.T, where, text string) {
	bare := quotes.ReplaceAllString(text, `""`)
	for _, u := range unsaid {
		if m := u.re.FindString(bare); m != "" {
			t.Errorf("%s: %s, %q, in %q", where, u.what, m, text)
		}
	}
}

// The texts that ran their thousands together, as they were, and as they are.
func TestUnsaidSeesThousands(t *testing.T) {
	for text, want := range map[string]bool{"1294 vertices": true, "477 of 3462 weights": true, "1\u202f294 vertices": false, "in 1966 as printed": false, "clip \"1294 keys\"": false} {
		found := ""
		for _, u := range unsaid {
			if u.re.MatchString(quotes.ReplaceAllString(text, `""`)) {
				found = u.what
			}
		}
		if (found == "thousands run together") != want {
			t.Errorf("%q: %q", text, found)
		}
	}
}

// forPeople: what findings, stations and passed-over checks say of a figure.
func forPeople(t *testing.T, res *Result) {
	t.Helper()
	for _, s := range res.Stations {
		switch f := s.Facts.(type) {
		case *skeleton.Facts:
			said(t, s.Name, f.Says)
			for _, l := range f.Loose {
				said(t, s.Name, l.Why)
			}
		case *surface.Facts:
			said(t, s.Name, f.Ready.Says)
		}
		for _, c := range s.Checks {
			said(t, c.ID, c.Reason)
		}
	}
	for _, f := range res.Findings() {
		short(t, f.ID, f.Title)
		for _, text := range []string{f.Subject, f.Why, f.Remedy, f.Figure} {
			said(t, f.ID, text)
		}
		for i := range f.Measures {
			m := &f.Measures[i]
			said(t, f.ID+", "+m.Name, m.Says())
			said(t, f.ID+", "+m.Name, m.Beside())
			if says := m.Name + " " + m.Beside(); i > 0 && doubled(says) {
				t.Errorf("%s: %q says a word twice", f.ID, says)
			}
		}
	}
}

// doubled tells that a text ends with the word it began with, one in number or many.
func doubled(s string) bool {
	w := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\u00a0' })
	return len(w) > 2 && strings.TrimSuffix(w[0], "s") == strings.TrimSuffix(w[len(w)-1], "s")
}

// TestTradeWords: the card of every check gives the trade's word for what it finds, so
// that it can be searched. The words are the trade's at large, common practice, no source.
func TestTradeWords(t *testing.T) {
	words := map[string]string{
		"intake/bounds-off": "bounding box", "intake/heavy": "level of detail", "intake/morphs": "blend shape", "intake/packed": "quantised",
		"intake/off-ground": "pivot", "intake/unapplied-turn": "z up",
		"surface/branching-edges": "non-manifold", "surface/boundary-edges": "boundary edges", "surface/mixed-winding": "winding", "surface/inside-out": "flipped normals",
		"surface/shells": "connected component", "surface/slivers": "degenerate", "surface/doubled-vertices": "duplicate vertices", "surface/near-coincident": "weld",
		"surface/lopsided": "asymmetric", "surface/ready-to-bind": "automatic weights",
		"skeleton/off-centre": "pivot", "skeleton/zero-length": "zero-length bone", "skeleton/axes": "joint orientation", "skeleton/name-clash": "duplicate names",
		"skeleton/rest-pose": "T- or A-pose", "skeleton/bind-odd": "inverse bind matrix", "skeleton/loose-chain": "parent", "skeleton/proportions": "retargeting",
		"binding/unbound": "unweighted", "binding/sum-off": "normalise", "binding/many-influences": "influences", "binding/faint": "prune", "binding/cross-body": "weight bleeding",
		"binding/rigid": "rigid binding", "binding/hangs-on": "parented", "binding/mirror-mismatch": "mirror", "binding/idle-joint": "leaf", "binding/rough": "smooth",
		"bends/collapse": "volume loss", "bends/twist-pinch": "candy wrapper", "bends/turned-over": "inverted triangles", "bends/tear-along": "weight bleeding", "bends/stretch": "texture stretching",
		"motion/foot-skate": "foot sliding", "motion/travel": "root motion", "motion/jump": "pop", "motion/long-way": "quaternion flip", "motion/dead-weight": "redundant keys",
		"motion/under-ground": "floor penetration", "motion/loop-jump": "seamless loop", "motion/stray-key": "spike", "motion/off-unit": "quaternion", "motion/stretched-bone": "bone stretching",
		"intake/several-figures": "characters", "intake/unapplied-scale": "apply the scale", "intake/uneven-scale": "non-uniform", "intake/ignored-placement": "transform",
		"intake/odd-height": "scale", "intake/facing": "forward axis", "intake/needs-extension": "extension", "intake/malformed": "validator", "intake/nothing-bound": "skin",
		"surface/unused-vertices": "loose vertices", "surface/bad-normals": "normals",
		"skeleton/roles": "humanoid", "skeleton/side-label": "naming convention", "skeleton/lone-side": "mirroring", "skeleton/uneven-pair": "asymmetric",
		"skeleton/bind-lost": "inverse bind matrix", "skeleton/bind-mixed": "inverse bind matrices", "skeleton/role-unheld": "influence", "skeleton/fragile-name": "sanitise",
		"skeleton/role-order": "parent bone", "skeleton/scaled-joint": "apply the scale",
		"binding/bad-index": "out of range", "binding/stray-island": "stray weights", "binding/split-seam": "UV seam", "binding/cut-to-four": "influences", "binding/unplugged": "skin",
		"bends/crack":        "coincident",
		"motion/still-chain": "secondary motion", "motion/late-start": "start frame", "motion/split-clip": "tracks", "motion/scale-keys": "squash and stretch",
		"motion/missing-keys": "linear interpolation", "motion/worst-frame": "deformation", "motion/no-clip": "animation",
	}
	seen := 0
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			word := words[e.ID]
			if word == "" {
				t.Errorf("%s: which word of the trade stands for it?", e.ID)
				continue
			}
			seen++
			card := strings.Join([]string{e.Title, e.Why, e.Remedy}, "\n") // what a card shows
			if !strings.Contains(strings.ToLower(card), strings.ToLower(word)) {
				t.Errorf("%s: %q is nowhere in its card", e.ID, word)
			}
		}
	}
	if seen != len(words) {
		t.Errorf("%d of %d checks of the table are in the catalogue", seen, len(words))
	}
}

// TestTextsOfTheSource: no text of the engine has "(s)", nor a number with all the
// figures that a float64 has.
func TestTextsOfTheSource(t *testing.T) {
	raw := regexp.MustCompile(`%g|%v m\b|\w\(s\)`)
	texts := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "checktest") {
			return err
		}
		tree, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			if text, ok := n.(*ast.BasicLit); ok && text.Kind == token.STRING {
				texts++
				if m := raw.FindString(text.Value); m != "" {
					t.Errorf("%s: %s in %s", path, m, text.Value)
				}
			}
			return true
		})
		return nil
	})
	if err != nil || texts < 1000 {
		t.Fatalf("%d texts were read: %v", texts, err)
	}
}
