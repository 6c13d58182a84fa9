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

// stitcher is testdata/stitch.cpp, built: stitch_borders of CGAL, from Debian's libcgal-dev.
func stitcher(t *testing.T) func(*rig.MeshData) [3]int {
	t.Helper()
	if !rounds.Long() {
		t.Skip("the compiler takes half a minute: in the long form only, RIGLOUPE_LONG=1")
	}
	if _, err := os.Stat("/usr/include/CGAL/Polygon_mesh_processing/stitch_borders.h"); err != nil {
		t.Skip("no CGAL here: Debian's libcgal-dev brings it (make ready names it)")
	}
	compiler, err := exec.LookPath("g++")
	if err != nil {
		t.Skip("no C++ compiler here: Debian's g++ brings it")
	}
	program := filepath.Join(t.TempDir(), "stitch")
	if out, err := exec.Command(compiler, "-O1", "-DCGAL_DISABLE_GMP", "-o", program, "testdata/stitch.cpp").CombinedOutput(); err != nil {
		t.Skipf("CGAL is here and does not build: %v\n%s", err, out)
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
	stitched := stitcher(t)
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
