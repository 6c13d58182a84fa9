package fit

import (
	"fmt"
	"strings"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// beastJoints are where the makers of a four-legged figure put its joints, by our names.
func beastJoints(r *rig.Rig) map[string]space.Vec {
	e, world, out := exam.New(r), r.RestWorld(), map[string]space.Vec{}
	count := map[string]int{}
	for _, a := range e.Roles().Of {
		count[a.Limb]++
	}
	for n, a := range e.Roles().Of {
		name := ""
		words := strings.Fields(a.Limb)
		switch {
		case a.Role != "":
			name = a.Role
		case len(words) == 3 && words[2] == "limb":
			parts := []string{"UpperLeg", "LowerLeg", "Foot", "Toes"}
			k := a.LimbJoint - 1 - max(0, count[a.Limb]-4) // five: the first is a shoulder blade
			if k < len(parts) && k >= 0 {
				name = words[0] + strings.ToUpper(words[1][:1]) + words[1][1:] + parts[k]
			}
		case a.Limb == "tail":
			name = fmt.Sprintf("tail%d", a.LimbJoint)
		}
		if name != "" {
			out[name] = world[n].Origin()
		}
	}
	return out
}

// TestFourLegged strips four-legged figures and measures a proposal by the joints that are
// gone, mean error in % of the height. As a person they are refused; a person is refused
// here.
func TestFourLegged(t *testing.T) {
	for i, row := range []struct {
		name string
		rig  func(t testing.TB) *rig.Rig
		most float64
	}{
		{"Fox.glb", corpus("Fox.glb"), 5.5},
		{"ox", built(menagerie.Ox(menagerie.Options{})), 4},
		{"horse", built(menagerie.Horse(menagerie.Options{})), 4},
		{"dog", built(menagerie.Dog(menagerie.Options{})), 4},
	} {
		if !rounds.Run(i, 3) {
			continue
		}
		t.Run(row.name, func(t *testing.T) {
			r := row.rig(t)
			b, _, height := stripped(r)
			joints := beastJoints(r)
			if _, err := Person(b, Options{}, nil); err == nil {
				t.Error("taken for a person")
			} else if err.(*Refusal).Why != FourLegs {
				t.Error("as a person:", err)
			}
			list, err := FourLegged(b, nil)
			if err != nil {
				t.Fatal(err)
			}
			report(t, "unaided", list, joints, height, row.most)
		})
	}
}

func TestNotFourLegged(t *testing.T) {
	b, _, _ := stripped(menagerie.Person(menagerie.Options{}))
	if _, err := FourLegged(b, nil); err == nil || err.(*Refusal).Why != NotFour {
		t.Error("a person on four legs:", err)
	}
}

// What faces away from +Z, as it is given, is turned about by where its head is.
func TestFourLeggedBackwards(t *testing.T) {
	rounds.Dear(t)
	b, _, height := stripped(menagerie.Horse(menagerie.Options{}))
	there, err := FourLegged(b, nil)
	if err != nil {
		t.Fatal(err)
	}
	b.Front = b.Front.Mul(-1)
	back, err := FourLegged(b, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range there {
		if d := there[i].At.Sub(back[i].At).Len(); there[i].Name != back[i].Name || d > .01*height {
			t.Errorf("%s, %s: %.3f m apart", there[i].Name, back[i].Name, d)
		}
	}
}
