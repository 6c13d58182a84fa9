// Package part lays a surface of one figure over another: where it stands (Lay), how far it
// is off what it covers and where inside (Over.Fields, Over.Deepest), the weights of what is
// under it (Over.Carry), what it covers (Over.Covered) and how it comes out again (Over.Out).
//
// Places are x y z float32, world, metres; triangles are places, three each. It knows neither
// files nor words for a person.
package part
