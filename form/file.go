package form

import (
	"fmt"
	"io"
	"io/fs"
	"os"
)

// ReadFile reads a page from a file. A folder, a device or a pipe is refused,
// and of a file too large to be a page no more is read than shows it to be so.
// The error is an *fs.PathError.
func ReadFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		what := "not a plain file"
		if info.IsDir() {
			what = "a folder, not a file"
		}
		return nil, &fs.PathError{Op: "read", Path: path, Err: fmt.Errorf("it is %s", what)}
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, mostBytes+1))
}
