package anatomy

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A name is never proof: what topology and place say without one outranks what a name says
// alone, and each further kind of evidence makes a role surer. The figures are set by hand;
// their order is the rule.
func TestEvidenceIsRanked(t *testing.T) {
	order := []float64{NameLoosely, NameAlone, Unnamed, TwoOfThree, AllThree, Declared}
	if !slices.IsSorted(order) || len(slices.Compact(slices.Clone(order))) != len(order) || order[0] <= 0 || Declared != 1 {
		t.Errorf("%v do not rise from above 0 to 1", order)
	}
}

// Two pairs of names that differ in a side's letter come about by chance, three are the
// habit of a rig.
func TestLetterHabit(t *testing.T) {
	for pairs, want := range map[int]bool{2: false, 3: true, 4: true} {
		var names []reading
		all := map[string]bool{}
		for _, word := range []string{"arm", "leg", "hand", "foot"}[:pairs] {
			for _, side := range []string{"l", "r"} {
				names = append(names, reading{tokens: []string{word, side}})
				all[word+" "+side] = true
			}
		}
		if got := letterHabit(names, all); got["l"] != want || got["r"] != want {
			t.Errorf("%d pairs: habit %v, want %v", pairs, got, want)
		}
	}
}

// A trunk that stands 125° off the legs' way down lies across them, one at 135° stands; hands that reach
// down .8 of the legs are feet, .7 are hands (common practice, no source).
func TestOnAllFours(t *testing.T) {
	for _, row := range []struct {
		angle, reach float64
		want         bool
	}{{125, .8, true}, {135, .8, false}, {90, .7, false}, {180, 1, false}} {
		s, c := math.Sincos(row.angle * math.Pi / 180)
		if got := onAllFours(mgl64.Vec3{0, -1, 0}, mgl64.Vec3{0, -c, s}, mgl64.Vec3{.2, -row.reach, .5}); got != row.want {
			t.Errorf("%+v: on all fours %v", row, got)
		}
	}
}

// Eight roles of a body, hips among them, are a figure; seven are not, and eight without hips are not.
func TestRolesOfAFigure(t *testing.T) {
	body := []string{"hips", "spine", "head", "leftUpperLeg", "leftLowerLeg", "rightUpperLeg", "rightLowerLeg", "leftUpperArm", "rightUpperArm"}
	for _, row := range []struct {
		roles []string
		want  bool
	}{{body[:7], false}, {body[:8], true}, {body[1:], false}} {
		r := &Roles{Bone: map[string]rig.Node{}}
		for i, role := range row.roles {
			r.Bone[role] = rig.Node(i)
		}
		if got := r.IsFigure(); got != row.want {
			t.Errorf("%d roles: a figure %v", len(row.roles), got)
		}
	}
}

// hungOn is a rig of joints without names at places, each hung on one.
func hungOn(parents []int, at ...space.Vec) *finder {
	r := menagerie.Hung(parents, at...)
	f := newFinder(r, Find(r, r.RestWorld()))
	f.measureTall()
	return f
}

// Two runs are a pair where no joint misses the image of its like by more than .35 of the run's
// length (common practice, no source): runs of a metre, the end of one off by 30 and by 40 cm.
func TestRunsOfAPair(t *testing.T) {
	for off, want := range map[float64]int{.3: 1, .4: 0} {
		f := hungOn([]int{-1, 0, 1, 2, 0, 4, 5}, space.Vec{0, 1, 0},
			space.Vec{.2, 1, 0}, space.Vec{.2, .5, 0}, space.Vec{.2, 0, 0},
			space.Vec{-.2, 1, 0}, space.Vec{-.2, .5, 0}, space.Vec{-.2, 0, off})
		if got := len(f.pairsOver(mgl64.Vec3{1, 0, 0})); got != want {
			t.Errorf("%g of the run beside the image: %d pairs", off, got)
		}
	}
}

// A chain holds seven tenths of all joints or more: seven of ten, and not seven of eleven.
func TestJointsOfAChain(t *testing.T) {
	for others, want := range map[int]int{3: 7, 4: 0} {
		parents, at := []int{-1}, []space.Vec{{0, 0, 0}}
		for i := 1; i < 7; i++ {
			parents, at = append(parents, i-1), append(at, space.Vec{0, float64(i), 0})
		}
		for i := range others {
			parents, at = append(parents, 0), append(at, space.Vec{.5, 0, .1 * float64(i)})
		}
		if got := hungOn(parents, at...).oneRun(); got != want {
			t.Errorf("seven joints of %d: a run of %d", 7+others, got)
		}
	}
}

// A number at the end of more than four fifths of the names is a counter and says nothing; of seven in
// ten it belongs to its names: finger_01 and finger_02 are two joints of one finger.
func TestCounters(t *testing.T) {
	for counted, want := range map[int]bool{9: true, 7: false} {
		names := []string{"pelvis", "chest", "skull", "tail", "wing", "beak", "claw", "mane", "hoof", "horn"}
		for i := range counted {
			names[i] = fmt.Sprintf("%s_%02d", names[i], i+1)
		}
		read := readNames(names)
		if got := len(read[0].tokens) == 1; got != want {
			t.Errorf("%d of 10 with a number: the number is left out %v (%v)", counted, got, read[0].tokens)
		}
	}
}

// Arms reach no farther to the side than .85 of the height (a person's span is about the height, half to a side); a limb counts
// from three tenths of the longest side on (common practice, no source).
func TestLimbsOfAShape(t *testing.T) {
	pair := func(side, long float64) (p [2]end) {
		p[0].side, p[1].side = side, -side
		p[0].tip.Length = long
		return p
	}
	for _, row := range []struct {
		side, long   float64
		spans, longs bool
	}{{1.6, .5, false, false}, {1.8, .7, true, true}, {.5, .59, false, false}, {.5, .61, false, true}} {
		p := pair(row.side, row.long)
		if spans(p, 2) != row.spans || isLong(p, 2) != row.longs {
			t.Errorf("%+v: spans %v, long %v", row, spans(p, 2), isLong(p, 2))
		}
	}
}
