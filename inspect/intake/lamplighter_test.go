package intake

import (
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The sample is sound: the station must have nothing to say about any variant.
func TestLamplighterIsSilent(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for _, names := range []lamplighter.Naming{lamplighter.Plain, lamplighter.Snake, lamplighter.Prefix} {
			o := lamplighter.Options{Pose: pose, Names: names}
			t.Run(o.FileName(), func(t *testing.T) {
				for _, f := range checktest.Silent(t, &Station, lamplighter.Build(o), 0) {
					t.Logf("%s %s %s %v", f.Grade, f.ID, f.Subject, f.Measures)
				}
			})
		}
	}
}
