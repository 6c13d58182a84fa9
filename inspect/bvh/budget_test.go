package bvh

import (
	"runtime"
	"strings"
	"testing"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rounds"
)

// What a capture takes is bounded by its size: joints of eight bytes are refused, two
// hundred thousand as programs write them are read; so are rows of the shortest numbers.
func TestJointsAreBoundedByTheFile(t *testing.T) {
	head, tail := "HIERARCHY\n", "\nMOTION\nFrames: 1\nFrame Time: 0.04\n0\n"
	for name, row := range rounds.Named(map[string]struct {
		text    string
		refused bool
	}{
		"roots of eight bytes": {head + strings.Repeat("ROOT r{}", 1_000_000) + tail, true},
		"ends in one joint":    {head + "ROOT r{" + strings.Repeat("End Site{}", 1_000_000) + "}" + tail, true},
		"honest joints":        {head + "ROOT r\n{\n" + strings.Repeat("\tJOINT rock_17\n\t{\n\t\tOFFSET 1.5 0 0.25\n\t}\n", 200_000) + "}" + tail, false},
		"rows of a byte":       {head + "ROOT r{OFFSET 0 0 0 CHANNELS 1 Xrotation}\nMOTION\nFrames: 9\nFrame Time: 0.04\n" + strings.Repeat("0\n", 2_000_000), false},
	}, 3) {
		var a, b runtime.MemStats
		runtime.ReadMemStats(&a)
		_, err := Read("x.bvh", []byte(row.text))
		runtime.ReadMemStats(&b)
		if took := b.TotalAlloc - a.TotalAlloc; took > 2*(ceiling.NumbersBase+ceiling.ObjectsPerByte*uint64(len(row.text))) {
			t.Errorf("%s: %d MB for %d bytes", name, took>>20, len(row.text))
		}
		if (err != nil) != row.refused || err != nil && !strings.Contains(err.Error(), "honestly hold") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
