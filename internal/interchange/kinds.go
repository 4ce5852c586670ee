// What a drawing of this program says that each thing in it is, so that it is read back as
// that. Other programs keep these words as a property, or lose them.
package interchange

// The kinds.
const (
	KindMark     = "mark"
	KindRoute    = "route"
	KindClosed   = "closed route" // its last leg leads back; one that ends where it began is a route
	KindBoundary = "boundary"
	KindObstacle = "obstacle"
	KindStandoff = "standoff" // what is worked out is not read back
	KindCut      = "cut"
)

// Refused begins what a drawing says of a mission that was refused.
const Refused = "REFUSED: this mission has errors"
