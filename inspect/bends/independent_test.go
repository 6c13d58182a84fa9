package bends

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// plainPose works out where a move takes the vertices of a surface, from the file's own
// numbers and the formulas alone, sharing nothing with the engine but the rig: globals
// by quaternions down the tree; linear: Σ w G B x; dual: Kavan et al. 2007, q̂ = q + ε ½ t q,
// signs by the strongest influence, b̂ = Σ w q̂ ÷ |b|, t = 2 b_d b*. An even scale of a joint
// goes first. rigid tells that nothing else than turns, shifts and even scales came in.
type plainPose struct {
	turn  []mgl64.Quat // by joint of the skin, of the joint matrix
	shift []mgl64.Vec3
	scale []float64
	mat   []mgl64.Mat4
	rigid bool
}

func newPlainPose(r *rig.Rig, skin rig.Skin, joint rig.Node, axis mgl64.Vec3, degrees float64) *plainPose {
	global := make([]mgl64.Mat4, len(r.Nodes))
	var fill func(n rig.Node, above mgl64.Mat4)
	fill = func(n rig.Node, above mgl64.Mat4) {
		d := &r.Nodes[n]
		local := mgl64.Translate3D(d.T[0], d.T[1], d.T[2]).
			Mul4(mgl64.Quat{W: d.R[3], V: mgl64.Vec3{d.R[0], d.R[1], d.R[2]}}.Normalize().Mat4()).
			Mul4(mgl64.Scale3D(d.S[0], d.S[1], d.S[2]))
		global[n] = above.Mul4(local)
		if n == joint {
			at := global[n].Col(3).Vec3()
			turn := mgl64.Translate3D(at[0], at[1], at[2]).Mul4(mgl64.HomogRotate3D(degrees*math.Pi/180, axis)).Mul4(mgl64.Translate3D(-at[0], -at[1], -at[2]))
			global[n] = turn.Mul4(global[n])
		}
		for _, c := range d.Children {
			fill(c, global[n])
		}
	}
	for n := range r.Nodes {
		if r.Nodes[n].Parent < 0 {
			fill(rig.Node(n), mgl64.Ident4())
		}
	}
	p := &plainPose{rigid: true}
	k := &r.Skins[skin]
	for j, n := range k.Joints {
		bind := mgl64.Ident4()
		if j < len(k.Bind) {
			b := &k.Bind[j]
			bind = mgl64.Mat4{b[0], b[4], b[8], 0, b[1], b[5], b[9], 0, b[2], b[6], b[10], 0, b[3], b[7], b[11], 1}
		}
		m := global[n].Mul4(bind)
		s := math.Cbrt(m.Mat3().Det())
		rotation := m.Mat3().Mul(1 / s)
		for c := range 3 {
			for o := range 3 {
				want := 0.0
				if c == o {
					want = 1
				}
				p.rigid = p.rigid && math.Abs(rotation.Col(c).Dot(rotation.Col(o))-want) < 1e-5
			}
		}
		p.mat, p.scale = append(p.mat, m), append(p.scale, s)
		p.turn = append(p.turn, mgl64.Mat4ToQuat(rotation.Mat4()).Normalize())
		p.shift = append(p.shift, m.Col(3).Vec3())
	}
	return p
}

func (p *plainPose) vertex(m *rig.MeshData, v int, method deform.Method) (out mgl64.Vec3) {
	x := mgl64.Vec3{float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2])}
	best := v * m.K
	for k := v * m.K; k < (v+1)*m.K; k++ {
		if m.Weights[k] > m.Weights[best] {
			best = k
		}
	}
	var real, dual mgl64.Quat
	scale, sum := 0.0, 0.0
	for k := v * m.K; k < (v+1)*m.K; k++ {
		w, j := float64(m.Weights[k]), m.Joints[k]
		if w == 0 {
			continue
		}
		out = out.Add(p.mat[j].Mul4x1(x.Vec4(1)).Vec3().Mul(w))
		scale, sum = scale+w*p.scale[j], sum+w
		q := p.turn[j]
		d := mgl64.Quat{V: p.shift[j].Mul(.5)}.Mul(q)
		if q.Dot(p.turn[m.Joints[best]]) < 0 {
			w = -w
		}
		real, dual = real.Add(q.Scale(w)), dual.Add(d.Scale(w))
	}
	if method == deform.Linear || sum == 0 {
		return out
	}
	l := real.Len()
	real, dual = real.Scale(1/l), dual.Scale(1/l)
	return real.Rotate(x.Mul(scale / sum)).Add(dual.Mul(real.Conjugate()).V.Mul(2))
}

// Where moves put the vertices, on the sample and on real figures, against plainPose.
func TestMovesArePlainSums(t *testing.T) {
	rigs := map[string]*rig.Rig{"sample, T": clean(), "sample, A": checktest.Built(lamplighter.Options{Pose: lamplighter.A}), "worm": worm(20, 60, 8)}
	paths, _ := filepath.Glob(checktest.Corpus + "/models/*.gl*")
	for _, p := range paths {
		rigs[filepath.Base(p)] = checktest.Open(t, p)
	}
	if len(paths) == 0 {
		t.Log("no folder of real models beside the repository: the sample alone")
	}
	dual := 0
	for name, r := range rigs {
		f := measured(t, r)
		b, worst, moves := f.body, 0.0, 0
		if b == nil {
			continue
		}
		for i := range f.Moves {
			m := &f.Moves[i]
			if i%3 != 0 { // one in three, from the worst to the least
				continue
			}
			z := b.newZone(m.Joint)
			turn := z.turn(m.turn.Dir, m.Degrees)
			moves++
			for k, s := range b.surfaces {
				mesh := &r.Meshes[r.Surfaces[s].Mesh]
				if len(mesh.Targets) > 0 {
					continue
				}
				p := newPlainPose(r, r.Surfaces[s].Skin, m.Joint, m.turn.Dir, m.Degrees)
				for _, method := range []deform.Method{deform.Linear, deform.Dual} {
					if method == deform.Dual && !p.rigid {
						continue
					}
					z.carry(turn, method)
					for v := 0; v < mesh.Vertices(); v += 7 {
						want := p.vertex(mesh, v, method)
						d := z.place(b.first[k]+uint32(v), turn).Sub(want).Len()
						if !(d <= 2e-6*max(f.Diagonal, want.Len())) {
							t.Fatalf("%s: %s %s %g, method %d, vertex %d: %g m off (diagonal %g)", name, f.called(m.Joint), m.Axis, m.Degrees, method, v, d, f.Diagonal)
						}
						worst = max(worst, d/f.Diagonal)
						if method == deform.Dual {
							dual++
						}
					}
				}
			}
		}
		t.Logf("%s: %d moves, at most %.1e of the diagonal off", name, moves, worst)
	}
	if dual < 10000 {
		t.Errorf("only %d places were compared by dual quaternions", dual)
	}
}
