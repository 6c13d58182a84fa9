package e2e

import (
	"fmt"
	"os"
	"strconv"
	"strings"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"
)

// leastMap is the least mapping that maps tells by itself, MB.
const leastMap = 20

// maps says what the tab's process has resident, MB: each large mapping by itself, which the
// memory of each program is, and + the rest.
func (p *tab) maps() string {
	p.t.Helper()
	all, err := chromedp.CallBrowser(p.ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	p.must(err)
	most, words := 0, ""
	for _, x := range all.ProcessInfo {
		if x.Type != "renderer" {
			continue
		}
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps", x.ID))
		if err != nil {
			continue
		}
		var large []int
		sum, rest := 0, 0
		for line := range strings.Lines(string(text)) {
			size, is := strings.CutPrefix(line, "Rss:")
			if !is {
				continue
			}
			kb, err := strconv.Atoi(strings.Fields(size)[0])
			p.must(err)
			if sum += kb; kb >= leastMap<<10 {
				large = append(large, kb>>10)
			} else {
				rest += kb
			}
		}
		if sum > most {
			most, words = sum, fmt.Sprintf("%d MB: %v + %d", sum>>10, large, rest>>10)
		}
	}
	return words
}
