package stage

import (
	"strings"
	"testing"
	"time"

	"rigloupe/viewer/scene"
	"rigloupe/wasm/flat"
)

// Every parcel of the examiner: without a figure it is refused in words, bytes that
// are none are refused, and a good one asks for a new picture.
func TestParcels(t *testing.T) {
	for _, row := range []struct {
		name string
		take func(*show, []byte) error
		good any
	}{
		{"fields", func(s *show, b []byte) error { return s.fields(b, steady) }, &scene.Fields{}},
		{"field", (*show).field, &scene.Field{}},
		{"texture", func(s *show, b []byte) error { return s.texture(b, steady) }, &scene.Texture{W: 1, H: 1, Pix: []uint32{0xff336699}}},
		{"overlay", (*show).overlay, &scene.Overlay{}},
	} {
		t.Run(row.name, func(t *testing.T) {
			good, err := flat.Pack(row.good)
			if err != nil {
				t.Fatal(err)
			}
			empty := &bench{show: newShow(), t: t}
			if err := row.take(empty.show, append([]byte(nil), good...)); err == nil || !strings.Contains(err.Error(), "no figure") {
				t.Errorf("without a figure: %v", err)
			}
			b := open(t)
			b.after(time.Second)
			if err := row.take(b.show, []byte("no parcel")); err == nil {
				t.Error("bytes that are none were taken")
			}
			b.must(row.take(b.show, append([]byte(nil), good...)))
			if b.idle() {
				t.Error("no new picture is asked for")
			}
		})
	}
}
