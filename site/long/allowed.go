package main

// Reasons that several share.
const (
	hot  = "a loop that a benchmark holds in one piece: calls in WebAssembly cost more than they tell"
	near = "one walk a few lines over the limit, whose parts share all they have"
)

// allowed are functions that stay long, each with the reason.
var allowed = map[string]string{
	"inspect/anatomy bender.anatomical":    near,
	"inspect/anatomy finder.nameLimbs":     near,
	"inspect/bends sweep.step":             hot,
	"inspect/bind worker.carry":            near,
	"inspect/binding Measure":              "a flat list of small like steps, in the order in which they need each other",
	"inspect/deform Deformer.group":        near,
	"inspect/deform job.mix":               hot,
	"inspect/exam Exam.groups":             near,
	"inspect/exam Exam.part":               near,
	"inspect/fit figure.findLegs":          near,
	"inspect/geom match":                   "a loop that all of a mirror image goes through: " + hot,
	"inspect/geom poisson.fill":            hot,
	"inspect/gltfio reader.channel":        "one check after the other, each with its words",
	"inspect/lamplighter body.makeSolids":  "a table of solids in the order of the body",
	"inspect/match Skeleton.measure":       "a flat list of small like steps",
	"viewer/marks Pen.Staff":               "a flat list of small like steps",
	"viewer/raster Plate.Print":            hot,
	"viewer/raster Plate.Project":          hot,
	"viewer/raster Plate.spans":            hot,
	"viewer/raster Plate.stroke":           hot,
	"viewer/scene Prepared.coarsenTo":      hot,
	"wasm/bridge Show.Apply":               "a flat list: one field of the message after the other",
	"wasm/wire Types.fit":                  "one switch over the kinds of a Go type",
	"inspect/mend chainer.springs":         near,
	"inspect/gltfio reader.newSprings":     near,
	"inspect/cmd/rigloupe program.examine": "a flat list: one option after the other",
	"inspect/hostile heavy":                "a list of files, each by itself",
}
