package anatomy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// random is any tree with any of the words for names.
func random(seed uint64, nodes int) *rig.Rig {
	rnd := rand.New(rand.NewPCG(seed, 1))
	var words []string
	for _, list := range vocabulary {
		words = append(words, strings.Fields(list)...)
	}
	words = append(words, "left", "right", "l", "r", "L", "R", "1", "02", "x", "", "proximal", "distal")
	slices.Sort(words) // a map's order is not to be relied on
	r := &rig.Rig{Shown: rig.None}
	for i := range nodes {
		p := rig.Node(rig.None)
		if i > 0 && rnd.IntN(20) > 0 {
			p = rig.Node(max(0, i-1-rnd.IntN(min(i, 6))))
		}
		m := rig.Identity
		for _, k := range []int{3, 7, 11} {
			m[k] = rnd.NormFloat64()
		}
		if rnd.IntN(60) == 0 {
			m[3] = math.NaN()
		}
		r.Nodes = append(r.Nodes, rig.NodeData{Name: words[rnd.IntN(len(words))] + "_" + words[rnd.IntN(len(words))], Parent: p, Mesh: rig.None, Skin: rig.None, Matrix: m})
		if p >= 0 {
			r.Nodes[p].Children = append(r.Nodes[p].Children, rig.Node(i))
		}
	}
	if rnd.IntN(2) == 0 {
		r.Skins = []rig.SkinData{{}}
		for i := range r.Nodes {
			if rnd.IntN(3) > 0 {
				r.Skins[0].Joints = append(r.Skins[0].Joints, rig.Node(i))
			}
		}
	}
	r.SetOrder()
	return r
}

// Whatever a file holds, the answer is sound and the same each time.
func TestRandomTrees(t *testing.T) {
	for seed := range uint64(400) {
		r := random(seed, 5+int(seed)%120)
		f := find(r)
		sound(t, r, f)
		if a, b := fmt.Sprint(f.Of), fmt.Sprint(find(r).Of); a != b {
			t.Fatalf("seed %d: two searches differ", seed)
		}
		if t.Failed() {
			t.Fatalf("seed %d\n%s", seed, listing(r, f))
		}
	}
}

// Names that no one vouches for.
func FuzzNames(f *testing.F) {
	f.Add("left_upper_arm", "R.hand.001")
	f.Add("::|", "\xff\xfe")
	f.Add("ÀÉ\u0301", "99999999999999999999_l")
	f.Fuzz(func(t *testing.T, a, b string) {
		r := figure(map[string]string{"leftHand": a, "rightHand": b})
		sound(t, r, find(r))
	})
}

func BenchmarkFind(b *testing.B) {
	for _, n := range []int{60, 400, 4000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := random(3, n)
			world := r.RestWorld()
			for b.Loop() {
				Find(r, world)
			}
		})
	}
}
