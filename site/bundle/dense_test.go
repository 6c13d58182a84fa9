package main

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"github.com/klauspost/compress/zstd"
)

// What dense writes holds nothing that a page's parser changes or ends at, takes eight
// sevenths, and is read back by the page's own module.
func TestDense(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	rows := [][]byte{{}, {0}, {255}, {0, 0, 0}, bytes.Repeat([]byte{0}, 14), bytes.Repeat([]byte("<\r\x00"), 50), []byte("</script><!--")}
	for n := range 40 {
		row := make([]byte, n)
		for i := range row {
			row[i] = byte(random.Uint32())
		}
		rows = append(rows, row)
	}
	large := make([]byte, 1<<20)
	for i := range large {
		large[i] = byte(random.Uint32())
	}
	rows = append(rows, large)
	type given struct {
		Text, Want string
		Length     int
	}
	var all []given
	for _, row := range rows {
		text := dense(row)
		if strings.ContainsAny(text, unused) {
			t.Errorf("%d bytes: a character stands in the text that may not", len(row))
		}
		if most := (len(row)*8+6)/7 + 1; len(text) > most {
			t.Errorf("%d bytes take %d, want at most %d", len(row), len(text), most)
		}
		all = append(all, given{text, base64.StdEncoding.EncodeToString(row), len(row)})
	}
	c := exec.Command("node", "--input-type=module", "-e", `
import { undense } from './js/programs/dense.js';
let text = '';
for await (const part of process.stdin.setEncoding('utf8')) text += part;
for (const { Text, Want, Length } of JSON.parse(text)) if (Buffer.from(undense(Text, Length)).toString('base64') !== Want) throw new Error(Length + ' bytes came back as others');
`)
	c.Dir = ".."
	in, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	c.Stdin = bytes.NewReader(in)
	if out, err := c.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

// Without Debian's zstd a library packs, and what comes out is the same.
func TestPackedWithoutZstd(t *testing.T) {
	data := bytes.Repeat([]byte("what both programs share stands there once "), 5000)
	t.Setenv("PATH", t.TempDir())
	packed, err := zstandard(data)
	if err != nil {
		t.Fatal(err)
	}
	r, err := zstd.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if got, err := r.DecodeAll(packed, nil); err != nil || !bytes.Equal(got, data) {
		t.Errorf("%d bytes came back, want %d: %v", len(got), len(data), err)
	}
}
