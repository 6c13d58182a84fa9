package gltfio

import (
	"bytes"
	"encoding/binary"
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
	// vkFormat at byte 12, width at 20, height at 24, levels at 40, supercompression at 44.
	ktx := func(format, width, height, levels, scheme uint32) []byte {
		b := append([]byte("\xABKTX 20\xBB\r\n\x1A\n"), make([]byte, 68)...)
		for at, v := range map[int]uint32{12: format, 20: width, 24: height, 40: levels, 44: scheme} {
			binary.LittleEndian.PutUint32(b[at:], v)
		}
		return b
	}
	webp := func(chunks ...any) []byte {
		b := []byte("RIFF\x00\x00\x00\x00WEBP")
		for i := 0; i < len(chunks); i += 2 {
			body := append(chunks[i+1].([]byte), make([]byte, 16)...)
			b = append(binary.LittleEndian.AppendUint32(append(b, chunks[i].(string)...), uint32(len(body))), body...)
			if len(body)%2 > 0 {
				b = append(b, 0)
			}
		}
		return b
	}
	canvas := func(flags byte) []byte { return []byte{flags, 0, 0, 0, 199, 0, 0, 99, 0, 0} }
	frame := []byte{0, 0, 0, 0x9D, 1, 0x2A, 200, 0, 100, 0x40}
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
		{"KTX2", ktx(0, 64, 256, 9, 1), "image/ktx2", 64, 256, "KTX2 pictures are not shown (Basis Universal, ETC1S, 9 levels)"},
		{"KTX2 of one level", ktx(0, 64, 256, 1, 2), "image/ktx2", 64, 256, "(Basis Universal, UASTC, 1 level)"},
		{"KTX2 of a format", ktx(37, 64, 0, 0, 0), "image/ktx2", 64, 1, "(format 37)"},
		{"KTX2 of too many levels", ktx(0, 64, 256, 10, 1), "image/ktx2", 64, 256, "it states 10 levels, 9 can be"},
		{"KTX2 cut off", ktx(0, 64, 256, 9, 1)[:47], "image/ktx2", 0, 0, "its head is cut off"},
		{"WebP lossy", webp("VP8 ", frame), "image/webp", 200, 100, ""},
		{"WebP lossless", webp("VP8L", []byte{0x2F, 0xFF, 0x40, 0, 0}), "image/webp", 256, 2, ""},
		{"WebP extended", webp("VP8X", canvas(0), "ICCP", []byte{1}, "VP8 ", frame), "image/webp", 200, 100, ""},
		{"WebP that moves", webp("VP8X", canvas(2), "ANIM", []byte{1}), "image/webp", 200, 100, "WebP pictures that move are not shown"},
		{"WebP of two sizes", webp("VP8X", canvas(0), "VP8 ", []byte{0, 0, 0, 0x9D, 1, 0x2A, 0xFF, 0x3F, 0xFF, 0x3F}), "image/webp", 16383, 16383, "it states 200 × 100 and holds 16383 × 16383"},
		{"WebP without a picture", webp("VP8X", canvas(0), "ICCP", []byte{1}), "image/webp", 0, 0, "it holds no picture"},
		{"WebP of a torn frame", webp("VP8 ", []byte{0, 0, 0, 0, 1, 0x2A, 200, 0, 100, 0}), "image/webp", 0, 0, "a whole frame"},
		{"WebP of no signature", webp("VP8L", []byte{0x2E, 0xFF, 0x40, 0, 0}), "image/webp", 0, 0, "its signature"},
		{"WebP cut off", webp("VP8X", canvas(0))[:24], "image/webp", 0, 0, "it holds no picture"},
		{"DDS", dds, "image/vnd-ms.dds", 16, 32, "DDS pictures are not shown"},
		{"AVIF", []byte("\x00\x00\x00\x1CftypavifXXXX"), "image/avif", 0, 0, "AVIF pictures are not shown"},
		{"KTX2 beyond any size", ktx(0, 65537, 4, 1, 1), "image/ktx2", 0, 0, "a size beyond 65536"},
		{"KTX2 too high", ktx(0, 4, 0xFF000000, 1, 1), "image/ktx2", 0, 0, "a size beyond 65536"},
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

// A picture of another kind that an extension names beside one that is shown is no lack: nothing
// is said of it, and the shown one is painted. Named alone it is told.
func TestSpareImages(t *testing.T) {
	ktx := append([]byte(ktxMagic), make([]byte, 68)...)
	ktx[20], ktx[24], ktx[40] = 64, 64, 1
	for _, row := range []struct {
		name   string
		change func(d *draft)
		spare  bool
		image  int
	}{
		{"beside a PNG", func(*draft) {}, true, 0},
		{"alone", func(d *draft) { d.put("textures/0/source", gone) }, false, 1},
		{"alone in another texture", func(d *draft) {
			d.add("textures", object{"extensions": object{"KHR_texture_basisu": object{"source": 1}}})
		}, false, 0},
		{"the texture's own", func(d *draft) { d.add("textures", object{"source": 1}) }, false, 0},
		{"beyond the list", func(d *draft) { d.put("textures/0/extensions/EXT_texture_webp", object{"source": 99}) }, true, 0},
	} {
		d := figure()
		d.put("images/0", object{"uri": "p.png"})
		d.add("images", object{"uri": "p.ktx2"})
		d.put("textures/0", object{"source": 0, "extensions": object{"KHR_texture_basisu": object{"source": 1}}})
		row.change(d)
		r := mustRead(t, File{"figure.glb", d.glb()}, File{"p.png", picturePNG()}, File{"p.ktx2", ktx})
		said := strings.Contains(strings.Join(r.Remarks, "\n"), "KTX2")
		if r.Images[1].Spare != row.spare || said == row.spare || r.Materials[0].Image != row.image || r.Images[0].Spare {
			t.Errorf("%s: spare %v, said %v, image %d", row.name, r.Images[1].Spare, said, r.Materials[0].Image)
		}
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
