package e2e

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"rigloupe/inspect/lamplighter"
)

// paperSizes in points, 72 an inch: ISO 216 A4, 210 × 297 mm, and ANSI Letter, 8.5 × 11 inches.
var paperSizes = []struct {
	name          string
	width, height float64
}{{"A4", 595.28, 841.89}, {"Letter", 612, 792}}

// edge is how far from the paper's edge ink begins at least, points: the margin is 15 mm,
// 42.5 points, and a line's last letter may lean into it.
const edge = 40

// TestReportOnPaper prints a report without scripts to A4 and Letter, of a figure whose names
// are markup, 10,000 letters, written from right to left and heaps of accents, and reads the
// pages back: no text and no ink beyond the margins, no page without text, no heading at a
// page's foot, every picture there, and what the names say is text.
func TestReportOnPaper(t *testing.T) {
	for _, tool := range []string{"pdfinfo", "pdftotext", "pdftoppm", "pdfimages"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s (Debian: poppler-utils) is missing: pages are not read", tool)
		}
	}
	dir := t.TempDir()
	sheet := hostileReport(t, dir)
	source, err := os.ReadFile(sheet)
	if err != nil {
		t.Fatal(err)
	}
	ctx := browser(t)
	p := &tab{t: t, ctx: ctx}
	p.must(chromedp.Do(ctx, chromedp.EmulateViewport(1000, 800)))
	_, err = chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	p.must(err)
	p.must(chromedp.Do(ctx, chromedp.Navigate((&url.URL{Scheme: "file", Path: sheet}).String())))
	for _, size := range paperSizes {
		pdf, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PrintBackground: new(true), PaperWidth: size.width / 72, PaperHeight: size.height / 72})
		p.must(err)
		name := filepath.Join(shots, "report-"+size.name+".pdf")
		if err := os.WriteFile(name, pdf.Data, 0o644); err != nil {
			t.Fatal(err)
		}
		t.Run(size.name, func(t *testing.T) {
			pages := readPages(t, name)
			if n := len(pages); n < 5 || n > 40 {
				t.Errorf("%d pages", n)
			}
			headings := headingsOf(string(source))
			for i := range pages {
				pages[i].holds(t, i+1, size.width, size.height, headings)
			}
			pages[0].begins(t)
			last := pages[len(pages)-1].text()
			if !strings.Contains(last, "Signature") {
				t.Errorf("the last page has no place to sign: %q", last)
			}
			inkOf(t, name, size.width)
			images, err := exec.Command("pdfimages", "-list", name).Output()
			if err != nil {
				t.Fatal(err)
			}
			if has, want := len(regexp.MustCompile(`(?m)^ *\d+ +\d+ image `).FindAll(images, -1)), strings.Count(string(source), "<img "); has != want || want < 8 {
				t.Errorf("%d pictures on paper, %d in the report", has, want)
			}
		})
	}
}

// hostileReport examines a figure with faults and names of every bad kind and answers the report's path.
func hostileReport(t *testing.T, dir string) string {
	t.Helper()
	r := lamplighter.Build(lamplighter.Options{Vertices: 6000})
	for _, f := range lamplighter.Faults() {
		if slices.Contains([]string{"binding/stray-island", "skeleton/name-clash", "skeleton/uneven-pair", "motion/stray-key", "surface/branching-edges"}, f.ID) && f.Grade == "flaw" {
			f.Plant(r)
		}
	}
	names := []string{
		`</td></table><script>document.title = 'bad'</script><img src="x" onerror="alert(1)"><h2>Signed</h2>`,
		strings.Repeat("W", 10000),
		"\u202Eעצם הזרוע ذراع يمنى\u2066",
		"o" + strings.Repeat("\u0308\u0323\u0334", 300),
		strings.Repeat("joint_without_a_break_", 20),
		"관절 " + strings.Repeat("骨", 300),
	}
	for i := range r.Nodes {
		r.Nodes[i].Name = names[i%len(names)] + r.Nodes[i].Name
	}
	for i := range r.Clips {
		r.Clips[i].Name = names[i%len(names)]
	}
	file := strings.Repeat("lamp_", 30) + "\u202Eعظم<b>.glb"
	if err := os.WriteFile(filepath.Join(dir, file), lamplighter.Write(r), 0o644); err != nil {
		t.Fatal(err)
	}
	tool, err := filepath.Abs(filepath.Join(dist, "rigloupe"))
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(tool, "examine", file, "--report", "report.html", "--date", strings.Repeat("a date ", 40), "--fail-on", "never")
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return filepath.Join(dir, "report.html")
}

// printed is a page as it can be read back: lines from top to bottom, points from the upper left.
type printed struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Lines  []struct {
		X     float64  `xml:"xMin,attr"`
		Y     float64  `xml:"yMin,attr"`
		Right float64  `xml:"xMax,attr"`
		Foot  float64  `xml:"yMax,attr"`
		Words []string `xml:"word"`
	} `xml:"flow>block>line"`
}

func readPages(t *testing.T, pdf string) []printed {
	t.Helper()
	out, err := exec.Command("pdftotext", "-bbox-layout", pdf, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	// Letters that XML may not hold do not stand in a report; poppler writes what a font maps to nothing.
	out = regexp.MustCompile(`[\x00-\x08\x0b\x0c\x0e-\x1f]`).ReplaceAll(out, nil)
	var d struct {
		Pages []printed `xml:"body>doc>page"`
	}
	read := xml.NewDecoder(bytes.NewReader(out))
	read.Strict = false
	if err := read.Decode(&d); err != nil {
		t.Fatal(err)
	}
	for i := range d.Pages {
		slices.SortStableFunc(d.Pages[i].Lines, func(a, b struct {
			X     float64  `xml:"xMin,attr"`
			Y     float64  `xml:"yMin,attr"`
			Right float64  `xml:"xMax,attr"`
			Foot  float64  `xml:"yMax,attr"`
			Words []string `xml:"word"`
		}) int {
			return int(math.Round(a.Y - b.Y))
		})
	}
	return d.Pages
}

func (p *printed) text() string {
	var b strings.Builder
	for i := range p.Lines {
		b.WriteString(strings.Join(p.Lines[i].Words, " ") + "\n")
	}
	return b.String()
}

// headingsOf lists the headings of a sheet as they are read.
func headingsOf(source string) (list []string) {
	for _, h := range regexp.MustCompile(`(?s)<h[123][^>]*>(.*?)</h[123]>`).FindAllStringSubmatch(source, -1) {
		words := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(h[1], "")
		list = append(list, strings.Join(strings.Fields(words), " "))
	}
	return list
}

// holds asks what every page has to keep.
func (p *printed) holds(t *testing.T, number int, width, height float64, headings []string) {
	t.Helper()
	if math.Abs(p.Width-width) > 1 || math.Abs(p.Height-height) > 1 {
		t.Errorf("page %d is %g × %g points, want %g × %g", number, p.Width, p.Height, width, height)
	}
	words, last := 0, ""
	for i := range p.Lines {
		l := &p.Lines[i]
		if l.X < edge || l.Right > p.Width-edge || l.Foot > p.Height-10 || l.Y < 10 {
			t.Errorf("page %d: %.80q stands from %.0f to %.0f, %.0f to %.0f down", number, strings.Join(l.Words, " "), l.X, l.Right, l.Y, l.Foot)
		}
		if l.Y > p.Height-48 { // the number of the page stands in the margin
			continue
		}
		words += len(l.Words)
		last = strings.Join(l.Words, " ")
	}
	if words < 12 {
		t.Errorf("page %d has %d words: %q", number, words, p.text())
	}
	if slices.ContainsFunc(headings, func(h string) bool {
		return last != "" && (h == last || strings.Count(last, " ") > 1 && strings.HasSuffix(h, " "+last))
	}) {
		t.Errorf("page %d ends with a heading, %q", number, last)
	}
	if !strings.Contains(p.text(), fmt.Sprintf("%d of ", number)) {
		t.Errorf("page %d does not say which it is", number)
	}
}

// begins asks what the first page says, with the hostile file's name as text.
func (p *printed) begins(t *testing.T) {
	t.Helper()
	text := strings.Join(strings.Fields(p.text()), " ")
	for _, want := range []string{"Rigloupe", "A person, 1.86", "things will show", "lamp_lamp_"} {
		if !strings.Contains(text, want) {
			t.Errorf("the first page does not say %q: %s", want, text)
		}
	}
}

// inkOf draws every page and asks that no ink lies in the right margin, where what is cut off
// would end, and that some lies within.
func inkOf(t *testing.T, pdf string, width float64) {
	t.Helper()
	const dots = 48 // an inch
	stem := filepath.Join(t.TempDir(), "page")
	if out, err := exec.Command("pdftoppm", "-r", fmt.Sprint(dots), "-gray", "-png", pdf, stem).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	list, _ := filepath.Glob(stem + "*.png")
	for _, name := range list {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		im, _, err := image.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		ink, cut := 0, 0
		b := im.Bounds()
		for y := range b.Dy() * 94 / 100 { // above the number of the page
			for x := range b.Dx() {
				if v, _, _, _ := im.At(x, y).RGBA(); v>>8 < 200 {
					ink++
					if at := float64(x) * 72 / dots; at > width-edge || at < edge-2 {
						cut++
					}
				}
			}
		}
		if ink < 200 || cut > 0 {
			t.Errorf("%s: %d dots of ink, %d of them in the margins", filepath.Base(name), ink, cut)
		}
	}
}
