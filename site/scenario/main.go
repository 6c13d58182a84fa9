// Command scenario writes the files of a whole job, built by code, for tests that do it from
// end to end: three sculpts to choose from, a visitor whose coat is wanted, a lantern on a
// chain, and a stroll as motion capture.
//
//	scenario FOLDER
package main

import (
	"log"
	"os"
	"path/filepath"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("scenario: ")
	if len(os.Args) != 2 {
		log.Fatal("want FOLDER")
	}
	stroll, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		log.Fatal(err)
	}
	for name, data := range map[string][]byte{
		"large.glb":    menagerie.GLB(menagerie.Large()),
		"lopsided.glb": menagerie.GLB(menagerie.Lopsided()),
		"shaken.glb":   menagerie.GLB(menagerie.Shaken()),
		"visitor.glb":  menagerie.GLB(menagerie.Visitor()),
		"lantern.glb":  menagerie.GLB(menagerie.Lantern(space.Vec{.8, 1.37, 0})), // beside the left hand of who stands in T
		"stroll.bvh":   stroll,
	} {
		if err := os.WriteFile(filepath.Join(os.Args[1], name), data, 0o644); err != nil {
			log.Fatal(err)
		}
	}
}
