// Command plain is the stage that every page starts with: it presents the picture by a
// plain 2D canvas, and needs no graphics processor.
package main

import "rigloupe/wasm/stage"

func main() { stage.Run(true, stage.Plain) }
