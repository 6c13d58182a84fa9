package inspect_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
)

// BenchmarkStations tells of real figures what each station takes, and reading the file
// and writing the document: ms, the mean of the runs.
func BenchmarkStations(b *testing.B) {
	for _, name := range []string{"Knight.glb", "robot.glb", "Fox.glb", "hand_left.glb"} {
		b.Run(name, func(b *testing.B) {
			data, err := os.ReadFile(filepath.Join("../../shared/corpus/models", name))
			if err != nil {
				b.Skipf("the figure is not here: %v", err)
			}
			took := map[string]time.Duration{}
			since := func(what string, start time.Time) { took[what] += time.Since(start) }
			for b.Loop() {
				start := time.Now()
				r, err := desk.Files(gltfio.File{Name: name, Data: data}).Open()
				if err != nil {
					b.Fatal(err)
				}
				since("read", start)
				res, err := inspect.Examine(b.Context(), r, inspect.Options{Clock: time.Now})
				if err != nil {
					b.Fatal(err)
				}
				start = time.Now()
				var w bytes.Buffer
				if err := res.WriteJSON(&w, false); err != nil {
					b.Fatal(err)
				}
				since("write", start)
				for i := range res.Stations {
					took[res.Stations[i].Name] += res.Stations[i].Took
				}
			}
			for what, d := range took {
				b.ReportMetric(float64(d.Microseconds())/float64(b.N)/1000, "ms-"+what)
			}
		})
	}
}
