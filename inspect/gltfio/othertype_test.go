package gltfio

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"image"
	"image/color/palette"
	"image/gif"
	"image/jpeg"
	"image/png"
	"net/http"
	"strings"
	"testing"
)

// A file of another type that bears a model's name is called what it is. The bytes are
// those that Go's own encoders write, or the openings that the standards name; what they
// are is told by Go's net/http as well, which follows MIME Sniffing (WHATWG).
func TestOtherTypesAreNamed(t *testing.T) {
	made := func(write func(*bytes.Buffer) error) []byte {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	dot := image.NewPaletted(image.Rect(0, 0, 3, 3), palette.Plan9)
	for says, row := range map[string]struct {
		mime string // empty: unknown there
		data []byte
	}{
		"a PNG picture":     {"image/png", made(func(b *bytes.Buffer) error { return png.Encode(b, dot) })},
		"a JPEG picture":    {"image/jpeg", made(func(b *bytes.Buffer) error { return jpeg.Encode(b, dot, nil) })},
		"a GIF picture":     {"image/gif", made(func(b *bytes.Buffer) error { return gif.Encode(b, dot, nil) })},
		"a WebP picture":    {"image/webp", []byte("RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f")},
		"a BMP picture":     {"image/bmp", []byte("BM\x3a\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00")},
		"a TIFF picture":    {"", []byte("II*\x00\x08\x00\x00\x00")},
		"a PDF document":    {"application/pdf", []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")},
		"a gzip archive":    {"application/x-gzip", made(func(b *bytes.Buffer) error { return gzip.NewWriter(b).Close() })},
		"a web page (HTML)": {"text/html", []byte("\r\n <!DOCTYPE html>\n<html lang=en><title>Please sign in</title>")},
		"an XML text":       {"text/xml", []byte("<?xml version=\"1.0\"?>\n<COLLADA/>")},
		"a plain text":      {"text/plain", []byte("v 0 0 0\nv 1 0 0\nf 1 2 3\n")},
	} {
		if got, _, _ := strings.Cut(http.DetectContentType(row.data), ";"); row.mime != "" && got != row.mime {
			t.Fatalf("%s: these bytes are %s", says, got)
		}
		for _, name := range []string{"hero.glb", "hero.gltf", "hero.vrm"} {
			_, err := Read([]File{{name, row.data}}, Options{})
			var refused *Refused
			if !errors.As(err, &refused) || !strings.HasPrefix(refused.What, "this is "+says) || refused.Hint == "" {
				t.Errorf("%s as %s: %v", says, name, err)
			}
		}
	}

	// Inside a zip, and beside another file, too.
	inside := func(name string, data []byte) []byte {
		return made(func(b *bytes.Buffer) error {
			z := zip.NewWriter(b)
			w, err := z.Create(name)
			if err != nil {
				return err
			}
			if _, err := w.Write(data); err != nil {
				return err
			}
			return z.Close()
		})
	}
	picture := made(func(b *bytes.Buffer) error { return png.Encode(b, dot) })
	if _, err := Read([]File{{"all.zip", inside("hero.glb", picture)}}, Options{}); err == nil || !strings.Contains(err.Error(), "this is a PNG picture") {
		t.Errorf("in a zip: %v", err)
	}
	if _, err := Read([]File{{"all.zip", inside("hero.glb", inside("a", nil))}}, Options{}); err == nil || !strings.Contains(err.Error(), "this is a ZIP archive") {
		t.Errorf("a zip in a zip: %v", err)
	}
	if _, err := Read([]File{{"hero.glb", picture}, {"skin.png", picture}}, Options{}); err == nil || !strings.Contains(err.Error(), "this is a PNG picture") {
		t.Errorf("beside another: %v", err)
	}

	// What is nothing known is not guessed at; a model is none of these.
	for _, data := range [][]byte{{0, 1, 2, 3, 4, 5, 6, 7}, []byte("RIFF\x24\x00\x00\x00WAVEfmt "), []byte("BMI\x00\x01\x02\x03\x04"), {0xff, 0xd8}} {
		if says, _ := otherType(data); says != "" {
			t.Errorf("% x is called %s", data, says)
		}
	}
	if _, err := Read([]File{{"m.glb", figure().glb()}}, Options{}); err != nil {
		t.Error(err)
	}
}
