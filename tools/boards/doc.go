// Boards draws the boards of the example machines as a service manual shows them:
// from above, the mask in its colour, tracks, bodies of parts in their
// proportions, designators, test points, connectors, screw holes, and what age has
// done. The layouts beside it say what stands where, in millimetres.
//
// It writes the pictures into folder examples, and the spots on them into the
// service sheets, so that a part of a sheet is found on its board. Run it from the
// root of the repository:
//
//	go run ./tools/boards
package main
