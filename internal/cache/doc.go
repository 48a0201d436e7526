// Package cache keeps what took long to work out in a folder of files, so that it
// need not be worked out again after the program was closed.
//
// Nothing in it is needed: any file may be deleted at any time. A file is written
// to a temporary name and then renamed, so that none is ever half there, and it
// carries a checksum, so that one that was damaged is taken as missing. When the
// folder grows beyond its bound, what was used longest ago goes first.
package cache
