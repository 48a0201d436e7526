// Package store keeps the records of a workshop: one file, records.db, with
// everything that was written, and a folder of files (photos, recordings) named
// by what is in them.
//
// What was acknowledged is on disk: it outlives a killed program and a pulled
// plug. The logbook is in ink: entries are added and corrected by later entries,
// and the file itself refuses to change one. Two screens cannot overwrite each
// other: whoever saves a record must have seen its last revision.
//
// Every record carries a seal, a checksum of its content, and every logbook a
// chain of them, so that Verify can tell whether one bit is not as it was
// written. Backup makes one archive with checksums, Restore verifies one before
// it replaces anything, and Export writes everything as plain lines that
// outlast this program; docs/records.md describes both.
//
// All SQL of the program stands here.
package store
