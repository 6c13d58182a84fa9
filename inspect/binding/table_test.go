package binding

import (
	"encoding/csv"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

func TestWriteCSV(t *testing.T) {
	r := ladder()
	r.Nodes[0].Name = "=cmd()"
	r.Nodes[1].Name = "mid, \"quoted\"\nand broken"
	var b strings.Builder
	if err := measured(t, r).WriteCSV(&b, nil); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 4 || len(rows[0]) != 25 {
		t.Fatalf("%d rows of %d", len(rows), len(rows[0]))
	}
	equal(t, "name", rows[2][2], r.Nodes[1].Name)
	equal(t, "a formula is text", rows[1][2], "'=cmd()")
	equal(t, "first", strings.Join(append(rows[1][:2:2], rows[1][3:17]...), ","), "0,0,14,12,11,1,0,0,2,0,2,0,0,2,0,8")
	equal(t, "end", strings.Join(rows[3][17:], ","), "0,0,,,0,end,,")
	b.Reset()
	if err := measured(t, r).WriteCSV(&b, map[rig.Node]rig.Node{1: 0, 2: rig.None}); err != nil {
		t.Fatal(err)
	}
	rows, err = csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "hangs wrongly", strings.Join(rows[2][23:], ","), "0,'=cmd()")
	equal(t, "hangs on nothing", strings.Join(rows[3][23:], ","), ",nothing that is there")
}
