package intake

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var needsExtension = check.Check[Facts]{
	ID:      "intake/needs-extension",
	Title:   "Required extension not honoured",
	Measure: "required extensions that are not honoured",
	Limits:  []check.Limit{{Name: "extensions", Unit: say.Extensions, Value: 0, Grade: check.Stop}},
	Why:     "The file says that it means nothing without this extension. What is shown and measured here may be incomplete, and other players refuse the file whole.",
	Remedy:  "Export again without the extension named, or with plain geometry and textures.\nExamine that file.",
	Source:  "glTF 2.0, Specifying Extensions (extensionsRequired)",
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("extensions")
		if float64(len(f.NotHonored)) <= l.Value {
			return
		}
		for i, name := range f.NotHonored {
			w := check.Nowhere()
			w.Pointer = "/extensionsRequired"
			g := d.Found(l, "not honoured", float64(len(f.NotHonored)), w)
			g.Subject = fmt.Sprintf("%q", name)
			if len(f.NotHonored) > 1 {
				g.Subject += fmt.Sprintf(", %d of %d", i+1, len(f.NotHonored))
			}
		}
	},
}
