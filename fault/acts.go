package fault

// Acts lists what a part does to its circuit when it fails, over all modes of
// its kind: kind is the name of a kind of circuit part as package wiring gives
// it ("bridge", "optocoupler"), pins how many nodes it stands between, which
// tells the windings of a transformer and whether an op-amp has supply pins. A
// mode that only shows when warm, cold or moved acts as such a part does while it
// shows. Nil for what cannot stand in a circuit or cannot fail there.
func Acts(kind string, pins int) []Act {
	return nil
}
