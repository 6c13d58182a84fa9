// Package raster draws rigs as copper engravings: a z-buffered software
// rasteriser with contours, creases, contact lines and printed lines that run
// round the limbs and swell in shade, and exact picking. It draws also marks
// (lines, rings, text) on the same plate. Pure Go, no goroutine, no allocation
// per frame once warm; the same input gives the same pixels on every platform
// whose compiler does not fuse multiply and add (amd64 at its default level,
// wasm).
//
// One frame: Wipe, marks that lie under the figure, then Draw (or Project,
// Fill, Outline, Print one by one), marks on top. Idle frames are drawn on a
// plate of twice the size with Unit 2 and halved.
package raster
