package gltfio

import (
	"bytes"
	"image"
	"image/jpeg"
	"strings"
	"testing"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rig"
)

// Headers laid out by hand after the formats' own texts: KTX 2.0 (pixelWidth at byte
// 20), RFC 9649 for WebP, the DDS header (height at 12, width at 16).
func TestPictureKinds(t *testing.T) {
	var photo bytes.Buffer
	if err := jpeg.Encode(&photo, image.NewGray(image.Rect(0, 0, 21, 13)), nil); err != nil {
		t.Fatal(err)
	}
	ktx := append([]byte("\xABKTX 20\xBB\r\n\x1A\n"), make([]byte, 20)...)
	ktx[20], ktx[24], ktx[25] = 64, 0, 1
	webp := func(chunk string, head ...byte) []byte {
		b := append([]byte("RIFF\x00\x00\x00\x00WEBP"+chunk+"\x00\x00\x00\x00"), head...)
		return append(b, make([]byte, 16)...)
	}
	huge := bytes.Clone(picturePNG())
	copy(huge[16:], []byte{0x7F, 0, 0, 0})
	dds := append([]byte("DDS "), make([]byte, 124)...)
	dds[12], dds[16] = 32, 16
	for _, row := range []struct {
		name          string
		data          []byte
		mime          string
		width, height int
		missing       string
	}{
		{"PNG", picturePNG(), "image/png", 8, 4, ""},
		{"JPEG", photo.Bytes(), "image/jpeg", 21, 13, ""},
		{"PNG cut off", picturePNG()[:20], "image/png", 0, 0, "the picture is damaged"},
		{"PNG of another checksum", huge, "image/png", 0, 0, "the picture is damaged"},
		{"JPEG of nothing", []byte("\xFF\xD8\xFF"), "image/png", 0, 0, "the picture is damaged"},
		{"KTX2", ktx, "image/ktx2", 64, 256, "KTX2 pictures are not shown"},
		{"WebP lossy", webp("VP8 ", 0, 0, 0, 0x9D, 1, 0x2A, 200, 0, 100, 0x40), "image/webp", 200, 100, "WebP pictures are not shown"},
		{"WebP lossless", webp("VP8L", 0x2F, 0xFF, 0x40, 0, 0), "image/webp", 256, 2, "WebP pictures are not shown"},
		{"WebP extended", webp("VP8X", 0, 0, 0, 0, 0xFF, 3, 0, 0xFF, 1, 0), "image/webp", 1024, 512, "WebP pictures are not shown"},
		{"DDS", dds, "image/vnd-ms.dds", 16, 32, "DDS pictures are not shown"},
		{"AVIF", []byte("\x00\x00\x00\x1CftypavifXXXX"), "image/avif", 0, 0, "AVIF pictures are not shown"},
		{"KTX2 beyond any size", append(ktx[:20:20], 1, 0, 1, 0, 4, 0, 0, 0), "image/ktx2", 0, 0, "a size beyond 65536"},
		{"KTX2 too high", append(ktx[:20:20], 4, 0, 0, 0, 0, 0, 0, 0xFF), "image/ktx2", 0, 0, "a size beyond 65536"},
		{"text", []byte("hello"), "image/png", 0, 0, "a picture of a kind that is not shown"},
		{"nothing", nil, "image/png", 0, 0, "the picture is empty"},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := figure()
			d.put("images/0", object{"uri": "p", "mimeType": "image/png"})
			r := mustRead(t, File{"figure.glb", d.glb()}, File{"p", row.data})
			m := r.Images[0]
			if m.MIME != row.mime || m.Width != row.width || m.Height != row.height || !strings.Contains(m.Missing, row.missing) || (m.Missing == "") != (row.missing == "") {
				t.Errorf("%s %dx%d %q", m.MIME, m.Width, m.Height, m.Missing)
			}
			if (m.Data != nil) != (row.missing == "") {
				t.Errorf("%d bytes of data", len(m.Data))
			}
			if said := strings.Contains(strings.Join(r.Remarks, "\n"), "drawn plain"); said != (row.missing != "") {
				t.Errorf("remarks %q", r.Remarks)
			}
		})
	}
}

func TestDataURI(t *testing.T) {
	for _, row := range []struct{ uri, data, mime, odd string }{
		{"data:application/octet-stream;base64,aGVsbG8=", "hello", "application/octet-stream", ""},
		{"DATA:Application/gltf-Buffer;base64,aGVsbG8=", "hello", "application/gltf-buffer", ""},
		{"data:;base64,aGVsbG8", "hello", "", ""},
		{"data:;base64,aGVsbG8%3D", "hello", "", ""},
		{"data:text/plain;charset=utf-8,a%20b", "a b", "text/plain", ""},
		{"data:;base64,-_-_", "\xfb\xff\xbf", "", ""},
		{"data:;base64,aGVs!!", "hel", "", "breaks off after 3 bytes"},
		{"data:;base64", "", "", "without a comma"},
		{"data:,a%2", "", "", "cannot be read"},
	} {
		data, mime, odd := dataURI([]byte(row.uri))
		if string(data) != row.data || mime != row.mime || !strings.Contains(odd, row.odd) || (odd == "") != (row.odd == "") {
			t.Errorf("%s: %q %q %q", row.uri, data, mime, odd)
		}
	}
	d := figure()
	d.put("images/0", object{"uri": "data:image/png;base64,AAAA"})
	d.doc["buffers"] = array{object{"byteLength": 3, "uri": "data:text/plain;base64,AAAA"}}
	d.doc["meshes"], d.doc["nodes"], d.doc["skins"], d.doc["animations"], d.doc["scenes"] = array{}, array{}, array{}, array{}, array{object{}}
	r := mustRead(t, File{"x.gltf", d.json()})
	if len(r.Malformed) != 1 || r.Malformed[0].Place != "/buffers/0/uri" || !strings.Contains(r.Malformed[0].What, `kind "text/plain"`) {
		t.Errorf("malformed %v", r.Malformed)
	}
}

func TestNamesOfAnotherKind(t *testing.T) {
	d := figure()
	d.put("nodes/1/name", 7)
	d.put("asset/version", 2.5)
	r := mustRead(t, File{"x.glb", d.glb()})
	if r.Nodes[1].Name != "7" || r.File.Version != "2.5" || len(r.Malformed) != 2 || r.Malformed[1].Place != "/nodes/1/name" {
		t.Errorf("%q %q %v", r.Nodes[1].Name, r.File.Version, r.Malformed)
	}
}

func TestManyMalformed(t *testing.T) {
	d := figure()
	for range 700 {
		d.add("nodes", object{"mesh": 9})
	}
	r := mustRead(t, File{"x.glb", d.glb()})
	if n := len(r.Malformed); n != ceiling.Malformed+1 || r.Malformed[n-1].What != "and 200 more places like these" || r.Malformed[n-1].Node != rig.None {
		t.Errorf("%d malformed, the last is %+v", n, r.Malformed[n-1])
	}
}

// Thousands of names of another kind must not cost a walk through the text each.
func TestManyNamesOfAnotherKind(t *testing.T) {
	d := figure()
	for range 30_000 {
		d.add("nodes", object{"name": 1})
	}
	r := mustRead(t, File{"x.glb", d.glb()})
	if m := r.Malformed; m[19].Place != "/nodes/22/name" || !strings.HasPrefix(m[20].Place, "JSON byte ") || len(m) != ceiling.Malformed {
		t.Errorf("%d malformed: %v, %v", len(m), m[19], m[20])
	}
}

// The last net tells where the reader stood.
func TestCaught(t *testing.T) {
	read := func() (err error) {
		defer func() { err = caught(recover(), "x.glb", err) }()
		panic("our own mistake")
	}
	if err := read(); err == nil || !strings.HasPrefix(err.Error(), `"x.glb": inspect/gltfio/image_test.go:`) || !strings.Contains(err.Error(), "our own mistake") {
		t.Errorf("got %v", err)
	}
}

func TestQuote(t *testing.T) {
	long := strings.Repeat("é", 60)
	for in, want := range map[string]string{"a\x00<b>\u202e": `"a\x00<b>\u202e"`, long: `"` + strings.Repeat("é", 36) + `"…`} {
		if got := quote(in); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}
