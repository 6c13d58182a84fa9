package e2e

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// besideThree times three.js (npm three) laying the positions of a figure on the processor,
// SkinnedMesh.applyBoneTransform for each vertex as its own bounding box and raycaster do:
// four influences over 60 joints, neighbours sharing theirs, as BenchmarkSkin of
// inspect/deform has them. It answers the least of several runs, nanoseconds.
const besideThree = `(async (n) => {
	const T = await import('./three.module.js'), joints = 60, of = new Float32Array(3 * n), index = new Uint16Array(4 * n), weight = new Float32Array(4 * n).fill(1 / 4);
	for (let i = 0; i < n; i++) {
		of.set([i %% 100 / 100, i %% 77 / 77, i %% 31 / 31], 3 * i);
		for (let k = 0; k < 4; k++) index[4 * i + k] = (Math.floor(i * joints / n) + k) %% joints;
	}
	const g = new T.BufferGeometry().setAttribute('position', new T.BufferAttribute(of, 3)).setAttribute('skinIndex', new T.BufferAttribute(index, 4)).setAttribute('skinWeight', new T.BufferAttribute(weight, 4));
	const bones = Array.from({ length: joints }, () => new T.Bone()), mesh = new T.SkinnedMesh(g, new T.MeshBasicMaterial());
	mesh.add(...bones);
	mesh.bind(new T.Skeleton(bones));
	bones.forEach((b, i) => b.quaternion.setFromAxisAngle(new T.Vector3(1, 2, 3).normalize(), i / joints));
	mesh.updateMatrixWorld(true);
	const out = new Float32Array(3 * n), v = new T.Vector3(), from = g.attributes.position;
	const all = () => { for (let i = 0; i < n; i++) mesh.applyBoneTransform(i, v.fromBufferAttribute(from, i)).toArray(out, 3 * i); };
	let least = Infinity;
	const rounds = Math.ceil(2e4 / n);
	for (let k = 0; k < 40; k++) { const start = performance.now(); for (let i = 0; i < rounds; i++) all(); least = Math.min(least, (performance.now() - start) / rounds); }
	return 1e6 * least; })(%s)`

var leastLine = regexp.MustCompile(`BenchmarkSkin/(\d+)\S*\s.*\s([\d.]+) least-ns`)

// BenchmarkSkinning: what three.js takes ÷ what the engine takes for the same positions, in
// one tab by turns, the least of each: a small figure and a large one.
func BenchmarkSkinning(b *testing.B) {
	dir := b.TempDir()
	for _, from := range []string{filepath.Join(dist, "wasm_exec.js"), "../node_modules/three/build/three.module.js", "../node_modules/three/build/three.core.js"} {
		data, err := os.ReadFile(from)
		if err != nil {
			b.Fatal(err)
		}
		write(b, filepath.Join(dir, filepath.Base(from)), data)
	}
	write(b, filepath.Join(dir, "index.html"), []byte(`<!doctype html><link rel="icon" href="data:,"><script src="wasm_exec.js"></script>`))
	cmd := exec.Command("go", "test", "-c", "-o", filepath.Join(dir, "bench.wasm"), "../../inspect/deform")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := cmd.CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(dir)))
	defer server.Close()
	for b.Loop() {
		p := &tab{t: b, ctx: browser(b)}
		p.must(chromedp.Do(p.ctx, chromedp.Navigate(server.URL)))
		ours, theirs := map[string]float64{}, map[string]float64{}
		for range 3 {
			for _, line := range strings.Split(p.benched("Skin"), "\n") {
				m := leastLine.FindStringSubmatch(line)
				if m == nil {
					continue
				}
				size := m[1]
				ns, err := strconv.ParseFloat(m[2], 64)
				p.must(err)
				if was, is := ours[size]; !is || ns < was {
					ours[size] = ns
				}
				took := eval[float64](p, fmt.Sprintf(besideThree, size))
				if was, is := theirs[size]; !is || took < was {
					theirs[size] = took
				}
			}
		}
		if len(ours) == 0 {
			b.Error("no benchmark ran")
		}
		for size, ns := range ours {
			b.ReportMetric(ns/1e6, "ms-"+size)
			b.ReportMetric(theirs[size]/ns, "three.js÷ours-"+size)
		}
	}
}
