package mend

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/follow"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// motionFacts are those of an examined state.
func motionFacts(t *testing.T, s *State) *motion.Facts {
	t.Helper()
	r, err := s.Examine(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range r.Stations {
		if f, ok := r.Stations[i].Facts.(*motion.Facts); ok {
			return f
		}
	}
	t.Fatal("no facts of motion")
	return nil
}

// Chains without keys, and chains keyed at rest, swing and are still no more; nothing is
// planted, no buffer view is changed, no vertex moves at rest, and a loop stays one. Chains
// whose movement stands on other nodes are not made up anew unless a person names them.
func TestFollowPlanted(t *testing.T) {
	for _, f := range planted("motion/still-chain") {
		t.Run(f.Name, func(t *testing.T) {
			r, _ := f.On(sample())
			s := ofRig(t, r)
			was := motionFacts(t, s)
			if len(was.Chains) == 0 {
				t.Fatal("the fault is not found")
			}
			v := Values{}
			if elsewhere := strings.Contains(f.Name, "outside") || strings.Contains(f.Name, "same names"); elsewhere {
				x := try(t, s, "follow", nil)
				if x.After != nil || !strings.HasPrefix(x.Refused(), "No chain stays still") {
					t.Fatalf("%q", x.Refused())
				}
				number := func(name string) string { return nodeNumber(lamplighter.Node(name)) }
				v["chains"] = []string{number("chain_L_1"), number("chain_R_1")}
			}
			x := try(t, s, "follow", v)
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if !receipt.Kept || len(receipt.Planted) > 0 || len(receipt.Bytes.Rewritten) > 0 && f.Name != "chains keyed at rest" || receipt.Moved.Max > 0 {
				t.Errorf("%s %+v", receipt.Sentence(), receipt.Bytes)
			}
			is := motionFacts(t, x.After)
			if len(is.Chains) > 0 {
				t.Errorf("still: %+v", is.Chains)
			}
			if g := gradeOf(t, x.After, "motion/still-chain"); g > check.Note {
				t.Errorf("still-chain is %v", g)
			}
			for i := range is.Clips {
				a, b := &was.Clips[i], &is.Clips[i]
				if a.Loop && (!b.Loop || b.LoopDegrees == nil || *b.LoopDegrees > 1e-3+*a.LoopDegrees) {
					t.Errorf("clip %d was a loop", i)
				}
				if b.Stray > a.Stray || b.Gap > a.Gap || b.Flips > a.Flips || b.Seconds != a.Seconds || b.Start != a.Start {
					t.Errorf("clip %d: %+v", i, b)
				}
			}
			t.Log(receipt.Sentence(), receipt.Says, receipt.Measures)
		})
	}
}

func nodeNumber(n rig.Node) string { return "#" + string(rune('0'+n/10)) + string(rune('0'+n%10)) }

// The same figure with twice the keys, each new one half way: the chains of both are within
// 0.1 mm of each other, at any moment.
func TestFollowAtAnyRate(t *testing.T) {
	var r [2]*rig.Rig
	for i := range r {
		r[i], _ = planted("motion/still-chain")[0].On(sample())
		if i == 1 {
			doubleKeys(r[i])
		}
		x := try(t, ofRig(t, r[i]), "follow", nil)
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		r[i] = x.After.Rig
	}
	a, b := deform.NewPose(r[0]), deform.NewPose(r[1])
	worst := 0.0
	for c := range r[0].Clips {
		for k := range 241 {
			at := r[0].Clips[c].Seconds * float64(k) / 240
			a.Sample(rig.Clip(c), at)
			b.Sample(rig.Clip(c), at)
			for n := range r[0].Nodes {
				worst = max(worst, a.World[n].Origin().Sub(b.World[n].Origin()).Len())
			}
		}
	}
	if worst > 1e-4 {
		t.Errorf("%.3g mm apart", worst*1000)
	}
	t.Logf("%.3g mm apart", worst*1000)
}

// doubleKeys puts a key half way between any two of every linear channel.
func doubleKeys(r *rig.Rig) {
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[i]
			track, ok := deform.NewTrack(ch)
			if !ok || ch.Interpolation != rig.Linear {
				continue
			}
			out := rig.Channel{Node: ch.Node, Path: ch.Path, Width: ch.Width}
			for k, at := range ch.Times {
				out.Times, out.Values = append(out.Times, at), append(out.Values, ch.Values[k*ch.Width:(k+1)*ch.Width]...)
				if k+1 == len(ch.Times) {
					break
				}
				half := (at + ch.Times[k+1]) / 2
				out.Times = append(out.Times, half)
				if ch.Path == rig.Rotation {
					q, _ := track.Rotation(float64(half))
					out.Values = append(out.Values, float32(q.V[0]), float32(q.V[1]), float32(q.V[2]), float32(q.W))
				} else {
					v := track.Vector(float64(half))
					out.Values = append(out.Values, float32(v[0]), float32(v[1]), float32(v[2]))
				}
			}
			*ch = out
		}
	}
}

// Dials do what they say: more sag swings wider, a stiffer chain less, a chain that floats
// hardly turns with gravity gone.
func TestFollowDials(t *testing.T) {
	r, _ := planted("motion/still-chain")[0].On(coarse())
	s := ofRig(t, r)
	widest := func(v Values) float64 {
		x := try(t, s, "follow", v)
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		for _, m := range x.work.measures {
			if m.Name == "widest swing of a link" {
				return m.Value
			}
		}
		return math.NaN()
	}
	if _, err := s.Try(t.Context(), letFollow, Values{"sag": 91.0}); err == nil {
		t.Error("a sag of 91° was taken")
	}
	stiff, loose := widest(Values{"sag": 2.0}), widest(Values{"sag": 90.0})
	if !(stiff < loose/2) {
		t.Errorf("stiff %.3g°, loose %.3g°", stiff, loose)
	}
	if !rounds.Long() {
		return
	}
	short, long := widest(Values{"settle": .3}), widest(Values{"settle": 8.0})
	if !(short < long) {
		t.Errorf("settles soon %.3g°, late %.3g°", short, long)
	}
}

func TestFollowRefuses(t *testing.T) {
	still, _ := planted("motion/still-chain")[0].On(coarse())
	bare := lamplighter.Clone(still)
	bare.Clips = nil
	pose := lamplighter.Clone(still)
	for c := range pose.Clips {
		for i := range pose.Clips[c].Channels {
			ch := &pose.Clips[c].Channels[i]
			ch.Times, ch.Values = ch.Times[:1], ch.Values[:ch.Width]
		}
		pose.Clips[c].Seconds = pose.Clips[c].Start
	}
	uneven := lamplighter.Clone(still)
	yoke := uneven.Nodes[lamplighter.Node("chain_L_1")].Parent
	uneven.Nodes[yoke].S = [3]float64{1, 1, 1.3}
	uneven.Nodes[yoke].Matrix = uneven.Nodes[yoke].TRS.Affine()
	flat := lamplighter.Clone(still)
	for c := range flat.Clips {
		flat.Clips[c].Channels = append(flat.Clips[c].Channels, rig.Channel{Node: yoke, Path: rig.Scale, Width: 3, Times: []float32{0}, Values: []float32{0, 0, 0}})
	}
	point := lamplighter.Clone(still)
	for k := 1; k <= 6; k++ {
		n := lamplighter.Node("chain_L_" + string(rune('0'+k)))
		if k > 1 {
			point.Nodes[n].T = [3]float64{}
			point.Nodes[n].Matrix = point.Nodes[n].TRS.Affine()
		}
	}
	point.Meshes, point.Surfaces = nil, nil
	for i := range point.Nodes {
		point.Nodes[i].Mesh, point.Nodes[i].Skin = rig.None, rig.None
	}
	for name, row := range map[string]struct {
		r    *rig.Rig
		v    Values
		want string
	}{
		"no clip":          {bare, nil, "The file holds no clip"},
		"no still chain":   {coarse(), nil, "No chain stays still while what it hangs on moves."},
		"no such joint":    {still, Values{"chains": []string{"tail"}}, `There is no node "tail".`},
		"no such clip":     {still, Values{"clips": []string{"trot"}}, `There is no clip "trot".`},
		"one pose a clip":  {pose, Values{"chains": []string{"chain_L_1"}}, "No clip is left"},
		"an uneven scale":  {uneven, Values{"chains": []string{"chain_L_1"}}, "differs by axis"},
		"scaled to naught": {flat, Values{"chains": []string{"chain_L_1"}}, "scaled to nothing"},
		"all in one place": {point, Values{"chains": []string{"chain_L_1"}}, "stand in one place"},
	} {
		x := try(t, ofRig(t, row.r), "follow", row.v)
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%s: %q, want %q", name, x.Refused(), row.want)
		}
	}
}

// Real figures: the fox's tail and the knight's cape swing when they are named, in all clips,
// and nothing else of the file changes.
func TestFollowCorpus(t *testing.T) {
	for file, first := range map[string]string{"Fox.glb": "b_Tail01_012", "cesium_man.gltf": "#"} {
		t.Run(file, func(t *testing.T) {
			s := corpusState(t, file)
			if first == "#" {
				x := try(t, s, "follow", nil)
				if x.After != nil {
					t.Error("a chain was found where none is still")
				}
				return
			}
			x := try(t, s, "follow", Values{"chains": []string{first}})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			r := prove(t, x)
			if !r.Kept || len(r.Planted) > 0 {
				t.Error(r.Sentence())
			}
			for i := range s.Rig.Clips {
				for _, ch := range s.Rig.Clips[i].Channels {
					k := slices.IndexFunc(x.After.Rig.Clips[i].Channels, func(y rig.Channel) bool { return y.Node == ch.Node && y.Path == ch.Path })
					tail := strings.Contains(s.Rig.Nodes[ch.Node].Name, "Tail") && ch.Path == rig.Rotation
					if k < 0 || !tail && !slices.Equal(ch.Values, x.After.Rig.Clips[i].Channels[k].Values) {
						t.Errorf("clip %d: another channel changed, %s", i, s.Rig.Nodes[ch.Node].Name)
					}
				}
			}
			t.Log(r.Sentence(), r.Says, r.Measures)
		})
	}
}

// What the body's bones hold is not gone through: two chains of the sample hung before and
// behind the hips, which swing against legs and coat in the stroll. Found by points along every
// link, not by the engine's own distances.
func TestFollowKeepsOutOfBody(t *testing.T) {
	rounds.Dear(t)
	if deepInBody != 0.005 {
		t.Fatal("half a hundredth of the figure, as mends of chains are proven by")
	}
	r, _ := planted("motion/still-chain")[0].On(coarse())
	world := r.RestWorld()
	hips := lamplighter.Node("hips")
	inverse, _ := world[hips].Inverse()
	for side, z := range map[string]float64{"L": .22, "R": -.22} {
		n := lamplighter.Node("chain_" + side + "_1")
		local := inverse.Mul(&world[n])
		at := world[hips].Origin()
		at[2] += z
		r.Nodes[n].TRS = local.Decompose()
		r.Nodes[n].T = inverse.Point(at)
		r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
		kids := &r.Nodes[r.Nodes[n].Parent].Children
		*kids = slices.DeleteFunc(*kids, func(k rig.Node) bool { return k == n })
		r.Nodes[n].Parent = hips
		r.Nodes[hips].Children = append(r.Nodes[hips].Children, n)
	}
	r.SetOrder()
	s := ofRig(t, r)
	e := examOf(s)
	var joints []rig.Node
	for i := range r.Nodes {
		if strings.HasPrefix(r.Nodes[i].Name, "chain_") {
			joints = append(joints, rig.Node(i))
		}
	}
	chains := follow.Find(e, joints)
	depth := func(collide bool) float64 {
		x := try(t, s, "follow", Values{"chains": []string{"chain_L_1", "chain_R_1"}, "collide": collide})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		t.Log(x.work.says, x.work.refused, x.work.measures)
		return chains.DeepestIn(x.After.Rig, chains.Capsules(), 60) / e.WholeHeight()
	}
	through, out := depth(false), depth(true)
	if out > .005 || through < .006 {
		t.Errorf("%.2f %% of the height inside the body, %.2f %% when let through", 100*out, 100*through)
	}
	t.Logf("%.3f %% of the height inside, %.3f %% when let through", 100*out, 100*through)
}
