package mend

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// outsider is a program of testdata, built, that reads triangles and tells vertices, triangles
// and open edges; it needs a header of one of Debian's packages.
func outsider(t *testing.T, source, header, debian string, flags ...string) func(*rig.MeshData) [3]int {
	t.Helper()
	if !rounds.Long() {
		t.Skip("the compiler takes half a minute: in the long form only, RIGLOUPE_LONG=1")
	}
	if _, err := os.Stat("/usr/include/" + header); err != nil {
		t.Skipf("Debian's %s is not here (make ready names it)", debian)
	}
	compiler, err := exec.LookPath("g++")
	if err != nil {
		t.Skip("no C++ compiler here: Debian's g++ brings it")
	}
	program := filepath.Join(t.TempDir(), "outsider")
	if out, err := exec.Command(compiler, append([]string{"-O1", "-o", program, "testdata/" + source}, flags...)...).CombinedOutput(); err != nil {
		t.Skipf("%s is here and does not build: %v\n%s", debian, err, out)
	}
	return func(m *rig.MeshData) (got [3]int) {
		t.Helper()
		var b strings.Builder
		fmt.Fprintln(&b, m.Vertices(), len(m.Triangles)/3)
		for v := range m.Vertices() {
			fmt.Fprintln(&b, m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2])
		}
		for k := 0; k < len(m.Triangles); k += 3 {
			fmt.Fprintln(&b, m.Triangles[k], m.Triangles[k+1], m.Triangles[k+2])
		}
		c := exec.Command(program)
		c.Stdin = strings.NewReader(b.String())
		out, err := c.Output()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := fmt.Sscan(string(out), &got[0], &got[2], &got[1]); err != nil {
			t.Fatal(err)
		}
		return got
	}
}

// CGAL stitches borders whose ends are equal to the bit. What we weld of a figure that was
// cut and shaken, it therefore stitches into the surface that was cut: as many places,
// triangles and open edges; and so it does with what we count of the same surface.
func TestWeldAgainstStitching(t *testing.T) {
	stitched := outsider(t, "stitch.cpp", "CGAL/Polygon_mesh_processing/stitch_borders.h", "libcgal-dev", "-DCGAL_DISABLE_GMP")
	whole := stitched(&sample().Meshes[0])
	if want := topology(sample()); whole != want {
		t.Errorf("the sample is %v, CGAL says %v", want, whole)
	}
	for _, shake := range []float64{2e-5, 1e-4, 5e-4} {
		r, _ := lamplighter.Fault{Plant: lamplighter.Shake(shake)}.On(sample())
		s := ofRig(t, r)
		if got := stitched(&s.Rig.Meshes[0]); got[2] < 2000 {
			t.Errorf("shaken by %g m: only %d edges are open", shake, got[2])
		}
		x := try(t, s, "weld", Values{"copies": false})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		if got := stitched(&x.After.Rig.Meshes[0]); got != whole {
			t.Errorf("shaken by %g m and welded it is %v, want %v", shake, got, whole)
		}
	}
	for _, name := range []string{"Fox.glb", "cesium_man.gltf", "robot.glb", "Knight.glb"} {
		t.Run(name, func(t *testing.T) {
			s := corpusState(t, name)
			i := slices.IndexFunc(s.Rig.Surfaces, func(x rig.Surface) bool { return x.Skin >= 0 && len(s.Rig.Meshes[x.Mesh].Triangles) > 900 })
			m := &s.Rig.Meshes[s.Rig.Surfaces[i].Mesh]
			sound := stitched(m)
			short := shortest(m)
			is := copyMeshes(s.Rig)
			p := slices.Clone(m.Positions)
			for k := range p {
				p[k] += float32(short / 100 * math.Sin(float64(k*k)*12.9898))
			}
			is.Meshes[s.Rig.Surfaces[i].Mesh].Positions = p
			w := &Work{Context: t.Context(), Doc: s.Doc.Clone(), Rig: s.Rig}
			if err := w.Write(is, nil); err != nil {
				t.Fatal(err)
			}
			shaken, err := Open(w.Doc)
			if err != nil {
				t.Fatal(err)
			}
			x := try(t, shaken, "weld", nil)
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			got := stitched(&x.After.Rig.Meshes[s.Rig.Surfaces[i].Mesh])
			t.Logf("as it was %v, shaken %v, welded %v", sound, stitched(&shaken.Rig.Meshes[s.Rig.Surfaces[i].Mesh]), got)
			if got[2] > sound[2] || got[1] != sound[1] {
				t.Errorf("welded CGAL finds %v, in the figure as it was %v", got, sound)
			}
		})
	}
}

// OpenMesh builds half edges of what we welded: it takes every triangle, so no edge and no
// vertex branches, and finds as many places and open edges as in the figure that was cut.
// What is halved and stitched along the plane is closed for it, too.
func TestWeldAgainstHalfEdges(t *testing.T) {
	built := outsider(t, "halfedges.cpp", "OpenMesh/Core/Mesh/TriMesh_ArrayKernelT.hh", "libopenmesh-dev", "-lOpenMeshCore")
	whole := built(&sample().Meshes[0])
	if want := topology(sample()); whole != want {
		t.Errorf("the sample is %v, OpenMesh says %v", want, whole)
	}
	for _, shake := range []float64{2e-5, 1e-4, 5e-4} {
		r, _ := lamplighter.Fault{Plant: lamplighter.Shake(shake)}.On(sample())
		s := ofRig(t, r)
		if got := built(&s.Rig.Meshes[0]); got[2] < 2000 {
			t.Errorf("shaken by %g m: only %d edges are open", shake, got[2])
		}
		x := try(t, s, "weld", Values{"copies": false})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		if got := built(&x.After.Rig.Meshes[0]); got != whole {
			t.Errorf("shaken by %g m and welded it is %v, want %v", shake, got, whole)
		}
	}
	x := try(t, ofRig(t, sample()), "even", Values{"form": "halve", "from": "left"})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	m := &x.After.Rig.Meshes[0]
	if got := built(m); got[2] != 0 || got[1] != len(m.Triangles)/3 {
		t.Errorf("halved it has %d open edges, and %d of %d triangles are taken", got[2], got[1], len(m.Triangles)/3)
	}
	for _, name := range []string{"cesium_man.gltf", "robot.glb", "Knight.glb"} {
		s := corpusState(t, name)
		x := try(t, s, "weld", nil)
		if x.After == nil {
			t.Log(name, x.Refused())
			continue
		}
		for i := range s.Rig.Meshes {
			a, b := built(&s.Rig.Meshes[i]), built(&x.After.Rig.Meshes[i])
			if b[2] > a[2] || a[1] == len(s.Rig.Meshes[i].Triangles)/3 && b[1] != len(x.After.Rig.Meshes[i].Triangles)/3 {
				t.Errorf("%s, mesh %d: %v, welded %v of %d triangles", name, i, a, b, len(x.After.Rig.Meshes[i].Triangles)/3)
			}
		}
	}
}
