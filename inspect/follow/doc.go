// Package follow lets chains of joints (a lantern's chain, a tail, a strap, hair) trail
// behind what they hang on. It turns joints and nothing else: lengths stay, bit by bit.
//
//	chain.go    runs of joints made links: where they end, how long they are
//	dials.go    what a person sets (sag, seconds to settle, gravity) as stiffness and drag
//	tree.go     links that hang on one root, as stiff rods: one step of their swing
//	run.go      chains through a clip at 240 steps a second; loops closed
//	stand.go    joints turned so that links point along their directions
//	collide.go  capsules of the body's bones, and links that keep out of them
//	bake.go     rotations as keys, the fewest within a tolerance
//
// Metres, seconds, radians, world space of glTF 2.0 (+Y up).
package follow
