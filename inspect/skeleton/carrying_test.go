package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/menagerie"
)

// Between the links of a chain in a hand, each a closed piece by itself, no surface goes
// round a joint: that says nothing against the joint, however near the body stands.
func TestLinksOfAChainAreNotOutside(t *testing.T) {
	found, _ := checktest.Judge(t, &Station, menagerie.Carrying(menagerie.Options{}), nil)
	for _, f := range found {
		if f.ID == "skeleton/off-centre" && f.Grade > check.Note {
			t.Errorf("%s: %s", f.Title, f.Subject)
		}
	}
}
