package gltfio

import (
	"math/rand/v2"
	"strings"
	"testing"

	"rigloupe/inspect/rounds"
)

// values that break one member or another.
func oddValue(n *rand.Rand) any {
	all := []any{nil, gone, -1, 0, 1, 2, 3, 4, 5, 7, 8, 16, 255, 256, 5120, 5121, 5122, 5123, 5125, 5126, 65535, 1 << 31, 1 << 40, 1 << 52, 0.5, -0.5, 1e30, 1e300,
		true, false, "", "x", "VEC3", "VEC4", "MAT4", "SCALAR", "CUBICSPLINE", "STEP", "rotation", "translation", "weights", "pointer",
		array{}, array{0}, array{1, 2}, array{0, 0, 0}, array{0, 0, 0, 1}, array{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}, array{nil}, object{}, object{"index": 0},
		object{"POSITION": 0}, object{"JOINTS_0": 3, "WEIGHTS_0": 4}, object{"count": 2, "indices": object{"bufferView": 3, "componentType": 5121}, "values": object{"bufferView": 0}},
	}
	return all[n.IntN(len(all))]
}

// damage changes one random value somewhere in v.
func damage(v any, n *rand.Rand, depth int) {
	switch t := v.(type) {
	case object:
		keys := sortedKeys(t)
		if len(keys) == 0 {
			return
		}
		k := keys[n.IntN(len(keys))]
		switch t[k].(type) {
		case object, array:
			if n.IntN(depth) > 0 {
				damage(t[k], n, depth)
				return
			}
		}
		if v := oddValue(n); v == gone {
			delete(t, k)
		} else {
			t[k] = v
		}
	case array:
		if len(t) == 0 {
			return
		}
		k := n.IntN(len(t))
		switch t[k].(type) {
		case object, array:
			if n.IntN(depth) > 0 {
				damage(t[k], n, depth)
				return
			}
		}
		if v := oddValue(n); v != gone {
			t[k] = v
		}
	}
}

func readDamaged(t *testing.T, seed uint64) (opened bool) {
	n := rand.New(rand.NewPCG(seed, 1))
	d := figure()
	for range 1 + n.IntN(4) {
		damage(d.doc, n, 12)
	}
	if n.IntN(3) == 0 {
		d.bin[n.IntN(len(d.bin))] = byte(n.IntN(256))
	}
	r, err := d.read()
	if err == nil {
		sane(t, r)
	} else if strings.Contains(err.Error(), "fault of the reader") {
		t.Errorf("seed %d: %v", seed, err)
	}
	if t.Failed() {
		t.Fatalf("seed %d:\n%s", seed, d.json())
	}
	return err == nil
}

// TestRandomDamage reads thousands of figures with one to four values gone wrong.
func TestRandomDamage(t *testing.T) {
	opened := uint64(0)
	all := uint64(4000)
	if !rounds.Long() {
		all = 800
	}
	for seed := range all {
		if readDamaged(t, seed) {
			opened++
		}
	}
	if opened < all/10 || opened > all*9/10 {
		t.Errorf("%d of %d opened: the damage is too mild or too harsh to show anything", opened, all)
	}
}

// FuzzDamage goes on where TestRandomDamage ends.
func FuzzDamage(f *testing.F) {
	f.Add(uint64(1 << 40))
	f.Fuzz(func(t *testing.T, seed uint64) { readDamaged(t, seed) })
}
