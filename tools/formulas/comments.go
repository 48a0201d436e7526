package main

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/doc"
	"go/doc/comment"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// An entry is something with a comment that says where it is from.
type entry struct {
	name    string // as it is called in the package
	file    string // below the root, with slashes
	at      int    // where it stands in the file
	text    string // the comment, as Markdown
	sourced bool   // by more than common practice
}

// A chapter holds the entries of one package.
type chapter struct {
	folder  string
	about   string // the first sentence of the package's comment
	entries []entry
}

// sourced matches what only a comment with a source has; trade one that says that
// there is none.
var (
	sourced = regexp.MustCompile(`\bSources?:|\bMethod:|\b(JCGM|BIPM|MIL-HDBK|MIL-PRF|MIL-STD|FIPS|RFC|IEC|EIA|IEEE|JEDEC|DIN|EN|SCPI)[ -]\d|\bNIST\b|IEEE (Trans|Proc)|[Tt]extbook|from memory|` +
		`[A-Z][a-zà-ÿ]+,? \(?(18|19|20)\d\d( \(|[,;:)])|", ([A-Z][^"]*)?\b(18|19|20)\d\d\b|[\d"] \((18|19|20)\d\d\)|[a-z]" \((18|19|20)\d\d\)`)
	trade = regexp.MustCompile(`[Cc]ommon\s+practice`)
)

// chapters reads the comments of all packages below a folder.
func chapters(root string) (all []chapter, err error) {
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); path != root && (name == "testdata" || name == "tools" || strings.HasPrefix(name, ".")) {
			return filepath.SkipDir
		}
		one, err := read(root, path)
		if len(one.entries) > 0 {
			all = append(all, one)
		}
		return err
	})
	slices.SortFunc(all, func(a, b chapter) int { return cmp.Compare(a.folder, b.folder) })
	return all, err
}

// read reads the comments of the package in a folder.
func read(root, folder string) (chapter, error) {
	short, err := filepath.Rel(root, folder)
	if err != nil {
		return chapter{}, err
	}
	one := chapter{folder: filepath.ToSlash(short)}
	paths, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		return one, err
	}
	set := token.NewFileSet()
	var files []*ast.File
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			return one, err
		}
		files = append(files, file)
	}
	if len(files) == 0 {
		return one, nil
	}
	p, err := doc.NewFromFiles(set, files, "halfsplit/"+one.folder, doc.AllDecls|doc.PreserveAST)
	if err != nil {
		return one, err
	}
	r := reader{chapter: &one, set: set, root: root, p: p}
	one.about = p.Synopsis(p.Doc)
	for _, file := range files {
		if file.Doc != nil {
			r.add("package "+p.Name, p.Doc, file.Package)
			break
		}
	}
	r.functions(p.Funcs)
	r.values(p.Consts)
	r.values(p.Vars)
	for _, t := range p.Types {
		r.add(t.Name, t.Doc, t.Decl.Pos())
		r.values(t.Consts)
		r.values(t.Vars)
		r.functions(t.Funcs)
		r.functions(t.Methods)
	}
	slices.SortStableFunc(one.entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.file, b.file), cmp.Compare(a.at, b.at))
	})
	return one, nil
}

// A reader gathers the entries of one package.
type reader struct {
	*chapter
	set  *token.FileSet
	root string
	p    *doc.Package
}

// add takes a comment in if it says where something is from.
func (r *reader) add(name, comment string, at token.Pos) {
	flat := strings.Join(strings.Fields(comment), " ")
	source := sourced.MatchString(flat)
	if !source && !trade.MatchString(flat) {
		return
	}
	position := r.set.Position(at)
	file, err := filepath.Rel(r.root, position.Filename)
	if err != nil {
		file = position.Filename
	}
	r.entries = append(r.entries, entry{name, filepath.ToSlash(file), position.Offset, r.markdown(comment), source})
}

// markdown sets a comment as Markdown; names in brackets stay plain.
func (r *reader) markdown(text string) string {
	printer := r.p.Printer()
	printer.HeadingLevel = 5
	printer.DocLinkBaseURL = "#"
	printer.HeadingID = func(*comment.Heading) string { return "" }
	page := string(printer.Markdown(r.p.Parser().Parse(text)))
	return strings.TrimSpace(link.ReplaceAllString(page, "$1"))
}

// link matches a link to another name of the program.
var link = regexp.MustCompile(`\[([^]]+)\]\(#[^)]*\)`)

func (r *reader) functions(list []*doc.Func) {
	for _, f := range list {
		name := f.Name
		if f.Recv != "" {
			name = strings.TrimPrefix(f.Recv, "*") + "." + name
		}
		r.add(name, f.Doc, f.Decl.Pos())
	}
}

func (r *reader) values(list []*doc.Value) {
	const few = 4
	for _, v := range list {
		names := v.Names
		more := ""
		if len(names) > few {
			names, more = names[:few], fmt.Sprintf(" and %d more", len(names)-few)
		}
		r.add(strings.Join(names, ", ")+more, v.Doc, v.Decl.Pos())
	}
}
