package library

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"halfsplit/form"
	"halfsplit/sheet"
)

//go:embed *.sheet.yaml
var files embed.FS

// suffix ends the name of the file of a sheet.
const suffix = ".sheet.yaml"

// Entry is a sheet of the library as a list shows it.
type Entry struct {
	Name   string `json:"name"`   // under which it is opened, such as "series-pass"
	Title  string `json:"title"`  // what it is, such as "series-pass regulator with foldback"
	Kind   string `json:"kind"`   // what kind of circuit, such as "linear supply"
	About  string `json:"about"`  // what it covers, in a sentence
	Source string `json:"source"` // what it was drawn from
}

// List lists the sheets of the library, by kind and then by name.
func List() []Entry {
	var list []Entry
	for _, name := range names() {
		_, s, err := Open(name)
		if err != nil {
			panic(err) // the sheets are part of the program, and tested
		}
		list = append(list, Entry{Name: name, Title: s.Model.Name, Kind: s.Model.Kind, About: s.Model.Covers, Source: s.Model.Papers})
	}
	slices.SortStableFunc(list, func(a, b Entry) int { return strings.Compare(a.Kind, b.Kind) })
	return list
}

// names lists the names of the sheets in order.
func names() []string {
	found, err := fs.Glob(files, "*"+suffix)
	if err != nil {
		panic(err) // of the pattern, which is fixed
	}
	for i, file := range found {
		found[i] = strings.TrimSuffix(file, suffix)
	}
	return found
}

// Unknown says that the library has no sheet of a name.
type Unknown struct{ Name, Hint string }

// Error gives the name, and the one that was probably meant.
func (u *Unknown) Error() string {
	return fmt.Sprintf("there is no sheet %q in the library; %s", u.Name, u.Hint)
}

// Open gives the text of a sheet of the library, and the sheet itself. The error
// is an [*Unknown] when there is none of that name.
func Open(name string) (text []byte, s *sheet.Sheet, err error) {
	text, err = files.ReadFile(name + suffix)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
		return nil, nil, &Unknown{name, form.Suggest(name, names())}
	}
	if err != nil {
		return nil, nil, err
	}
	s, err = sheet.Parse(name+suffix, text)
	return text, s, err
}

// Copy gives the text of a sheet of the library with some values set, as [Set]
// does.
func Copy(ctx context.Context, name string, changes []string) (text []byte, err error) {
	text, _, err = Open(name)
	if err != nil || len(changes) == 0 {
		return text, err
	}
	return Set(ctx, name+suffix, text, changes)
}
