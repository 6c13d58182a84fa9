package bridge

import "strings"

// OurPlace finds where in our own code a stack was when it broke.
func OurPlace(stack []byte) string {
	after := false
	for line := range strings.Lines(string(stack)) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "panic(") {
			after = true
			continue
		}
		at := strings.LastIndex(line, "rigloupe/")
		if !after || at < 0 || !strings.Contains(line, ".go:") {
			continue
		}
		place, _, _ := strings.Cut(line[at+len("rigloupe/"):], " ")
		return place
	}
	return "place unknown"
}
