// Package bind finds the weights with which joints hold a surface, from their places alone:
// heat equilibrium (Baran, Popović 2007) on each shell, with the joints that may hold it.
//
//	j := bind.Joints{At: …, Parent: …}
//	f := bind.New(points, triangles, j, watch)       // shells, bones, Laplacian, sight
//	f.Propose()                                      // which joints may hold which shell
//	b, err := f.Bind(bind.Options{Narrow: 4}, look)  // weights, a row a place
//
// Places are welded: one a position, x y z float32, world, metres. It knows neither files
// nor words for a person.
package bind
