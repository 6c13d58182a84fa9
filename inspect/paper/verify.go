package paper

import "fmt"

// Roles of files in documents.
const (
	Source   = "source"   // of a mend: the one that came in
	Written  = "written"  // the mended one
	Examined = "examined" // of a report
)

// roles are those in words.
var roles = map[string]string{Source: "is the file that came in", Written: "is the file that was written", Examined: "is the file that was examined"}

// Verdict is what a sheet and a file have to do with each other.
type Verdict struct {
	Kind    string `json:"kind"`
	Program string `json:"program"`
	Whole   bool   `json:"whole"` // the sheet was not changed since it was made
	Seal    string `json:"seal"`
	File    File   `json:"file"` // the one that was handed over; its role "" where the sheet is not about it
	Files   []File `json:"files"`
	Says    string `json:"says"`
}

// Good tells that the sheet is whole and about the file.
func (v *Verdict) Good() bool { return v.Whole && v.File.Role != "" }

// Verify reads a sheet and says whether it is about a file. sums are the hashes of the
// file's bytes: of itself and, where it holds the model packed, of that.
func Verify(sheet []byte, name string, size int64, sums ...string) (*Verdict, error) {
	d, err := Read(sheet)
	if err != nil {
		return nil, err
	}
	v := &Verdict{Kind: d.Kind, Program: d.Program, Whole: d.Whole, Seal: d.Seal, Files: d.Files,
		File: File{Name: name, SHA256: sums[0], Bytes: size}}
	for _, s := range sums {
		if role := d.Of(s); role != "" && v.File.Role == "" {
			v.File.Role = role
		}
	}
	what := roles[v.File.Role]
	switch {
	case v.File.Role == "":
		what = "is another file"
	case what == "":
		what = fmt.Sprintf("is the file called %q there", v.File.Role)
	}
	if v.Whole {
		v.Says = fmt.Sprintf("%q %s; the sheet is as it was made.", name, what)
	} else {
		v.Says = fmt.Sprintf("The sheet was changed since it was made. By what stands in it now, %q %s.", name, what)
	}
	return v, nil
}
