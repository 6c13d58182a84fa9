// Package ceiling holds what a file may ask for at most, in one table. A file that asks for
// more is refused with a reason, or read without what is too much and that is said; nothing
// is allocated by a size that a file merely states. What a station does not look at because
// it would take too long stands beside the station and is told as "not looked at".
package ceiling

import (
	"fmt"
	"strings"
)

// Of any file.
const (
	File      = 2 << 30 // bytes: what a browser can hold as well
	Memory    = 2 << 30 // bytes of decoded numbers: half of what a WebAssembly program can ever have
	Folder    = 5000    // files looked through
	Name      = 1000    // bytes of a name that are kept: nobody reads more, and it is written in every finding
	LongNames = 64      // of them noted one by one
)

// Of a glTF file. Sparse and shared accessors of real files reach some ten times their bytes,
// their objects some twenty.
const (
	NumbersPerByte = 64       // bytes of decoded numbers a byte of the file
	NumbersBase    = 32 << 20 // and as many whatever its size
	ObjectsPerByte = 32       // bytes that its objects take once they are read
	Depth          = 512      // lists and objects in each other, within one value
	Extensions     = 1000
	Instances      = 16_384  // nodes that carry a mesh; scenes of two thousand are ordinary
	Malformed      = 500     // places listed one by one
	Springs        = 100_000 // joints, and colliders that springs name
)

// Of shapes packed by Draco: the memory of their decoder, which holds what it makes and tables
// beside it.
const (
	DecoderBase    = 64 << 20
	DecoderPerByte = 2 // of the numbers that the file may still decode to
)

// Of a zip. Real models reach about 20 times their packed size, a bomb 1000.
const (
	ZipGrowth     = 100 // of all entries that are read, a byte of the zip
	ZipGrowthBase = 64 << 20
	ZipCounts     = 20 // of what it unpacks to this many times its size counts as the file's
	ZipCountsBase = 1 << 20
	ZipEntries    = 20_000
)

// Of motion capture.
const (
	CaptureDepth     = 512 // joints in each other; real ones stay below 60
	CaptureChannels  = 1000
	CaptureMalformed = 200
	CaptureLongest   = 60   // seconds from row to row
	CaptureShortest  = 1e-6 // likewise
)

// Of pictures. What is too much is examined all the same and not shown.
const (
	Pixels   = 1 << 26   // of one picture: 8192 × 8192
	Painted  = 192 << 20 // pixels of all: 48 of 2048², 12 of 4096²
	Surfaces = 4096      // shown, the largest; scenes of two thousand are ordinary
	Shifts   = 16 << 20  // numbers of the morph targets that move: 64 MB
)

// Row is a ceiling as a person reads it. Says is what is answered to a file above it, or a
// part of that.
type Row struct {
	What string
	Most string
	Then string
	Says string
}

// Table lists the ceilings.
func Table() []Row {
	const refused, cut = "refused", "read, the rest left out"
	return []Row{
		{"bytes of one file", "2 GiB", refused, "which is more than is read at once"},
		{"decoded numbers", "64 × the bytes of the file and 32 MiB, 2 GiB in all", refused, "more than such a small file can honestly hold"},
		{"objects of the JSON, as the bytes they take once read", "32 × the bytes of the file and 32 MiB", refused, "more objects here than such a small file can honestly hold"},
		{"memory of the decoder of packed shapes", "64 MiB and twice the numbers that may still be decoded", refused, "the decoder gave up"},
		{"lists and objects in each other", "512", refused, "objects and lists stand more than 512 deep in each other"},
		{"nodes that carry a mesh", "16,384", refused, "this is a scene"},
		{"extensions named", "1,000", refused, "extensions; at most"},
		{"places listed as malformed", "500; 200 of motion capture", cut, "more places"},
		{"joints and colliders of springs", "100,000", cut, "joints or colliders of springs"},
		{"bytes of a name", "1,000", cut, "the first 1000 are kept"},
		{"what a zip unpacks to", "100 × its bytes and 64 MiB", refused, "unpacks to more than 100 times its size"},
		{"what of a zip counts as bytes of the file", "20 × its bytes and 1 MiB", refused, "more objects here than such a small file can honestly hold"},
		{"files in a zip", "20,000", refused, "files; at most"},
		{"files in a folder", "5,000", cut, ""},
		{"joints of motion capture in each other", "512", refused, "joints hang more than 512 deep in each other"},
		{"channels of one joint of motion capture", "1,000", refused, "CHANNELS wants a whole number"},
		{"seconds from row to row of motion capture", "60", "read at 30 frames a second", "is no step of a movement"},
		{"joints that are bent", "10,000", "the others not looked at", "more joints than are bent"},
		{"pixels of one picture", "67 million (8192²)", "examined, not shown", ""},
		{"pixels of all pictures shown", "201 million", "examined, not shown", "pictures are painted"},
		{"surfaces shown", "4,096, the largest", "examined, not shown", "The picture shows"},
		{"numbers of morph targets shown", "16.8 million", "examined, not shown", "The picture moves"},
	}
}

// Markdown is the table for DEVELOPERS.md.
func Markdown() string {
	var b strings.Builder
	b.WriteString("| what | most | above that | what is said |\n|---|---|---|---|\n")
	for _, r := range Table() {
		said := ""
		if r.Says != "" {
			said = "… " + r.Says + " …"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", r.What, r.Most, r.Then, said)
	}
	return b.String()
}
