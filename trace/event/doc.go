// Package event finds what happened in a trace: a rail that fell below its limit
// and came back, a unit that restarted or shut down, one that cycles on and off,
// a level that jumped, a value that drifts.
//
// Each event has its time, the temperature then if one was recorded, and a
// confidence: how sure it is that something happened, and not only a reading
// that slipped or noise that reached the limit. What counts as which event is
// defined in docs/traces.md.
package event
