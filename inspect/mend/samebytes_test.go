package mend

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The same bytes natively and in WebAssembly: `make wasmtest` runs this there. The hashes
// change where a mend's arithmetic, or the sample, does.
func TestSameBytes(t *testing.T) {
	for _, row := range []struct {
		id     string
		values Values
		plant  func(*rig.Rig) lamplighter.Planted
		want   string
	}{
		{"scale", Values{"stand": true, "ground": true}, lamplighter.RootTurn(37, -90), "2c00b702a31722e9"},
		{"scale", Values{"factor": 0.37}, lamplighter.RootScale(-1, 1, 1, false), "bde4d9565acff493"},
		{"weld", nil, lamplighter.Shake(1e-4), "59a16e413f0230f5"},
	} {
		r, _ := lamplighter.Fault{Plant: row.plant}.On(fine())
		x := try(t, ofRig(t, r), row.id, row.values)
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		sum := sha256.Sum256(x.After.Bytes)
		if got := hex.EncodeToString(sum[:8]); got != row.want {
			t.Errorf("%s %v: %s, want %s", row.id, row.values, got, row.want)
		}
	}
}

// Every mend on a figure that gives it something to do: natively and in WebAssembly the same
// files. One hash of all of them; each is told with -v.
func TestSameBytesOfEveryMend(t *testing.T) {
	s := ofRig(t, damagedFigure())
	s.Beside(s)
	all := sha256.New()
	add := func(x *Trial) {
		if x.After == nil {
			all.Write([]byte(x.Refused()))
			t.Logf("%s %v: %s", x.Mend.ID, x.Values, x.Refused())
			return
		}
		sum := sha256.Sum256(x.After.Bytes)
		all.Write(sum[:])
		t.Logf("%s %v: %x", x.Mend.ID, x.Values, sum[:4])
	}
	for _, m := range everyMend {
		x := try(t, s, m.id, m.v)
		add(x)
		if m.id == "gear" { // what it leaves behind can be dropped
			add(try(t, x.After, "sweep", nil))
		}
	}
	for _, x := range fitAndBind(t, damagedFigure()) {
		add(x)
	}
	if got := hex.EncodeToString(all.Sum(nil)[:8]); got != "9f1f88d00920618a" {
		t.Errorf("%s", got)
	}
}
