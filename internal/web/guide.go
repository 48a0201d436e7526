package web

import (
	"bytes"
	"io/fs"
	"maps"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"halfsplit/docs"
	"halfsplit/internal/web/look"
)

// chapter is a page of the handbook.
type chapter struct {
	name, title, html string
}

// part is a heading of the list of chapters.
type guidePart struct {
	title string
	names []string
}

// guideOrder orders the handbook. Pages that are in none of its parts follow under
// a heading of their own.
var guideOrder = []guidePart{
	{"Guide", []string{"README", "guide/README", "guide/first-repair", "guide/making-a-sheet", "guide/suspects", "guide/soak-and-proof", "guide/safety", "guide/records-kept", "guide/phone-and-tablet"}},
	{"Working with it", []string{"bench", "case", "sheet", "schematic", "meters", "traces", "upkeep", "records", "commands", "words"}},
	{"Stories", []string{"stories/README", "stories/hum", "stories/dead-voice", "stories/dark-when-warm", "stories/three-chips", "stories/stops-by-itself", "stories/rom-one"}},
	{"What it knows", []string{"hazards", "parts", "memory", "experience", "formulas"}},
	{"How far to trust it", []string{"rehearsal", "prediction", "checks", "performance", "performance-diagnosis", "performance-circuit", "performance-transient", "performance-sparse", "performance-trace", "performance-growth"}},
}

// guideParts are the parts with the pages that there are.
func guideParts() []guidePart {
	var parts []guidePart
	rest := guidePart{title: "More"}
	listed := map[string]bool{}
	for _, p := range guideOrder {
		there := guidePart{title: p.title}
		for _, name := range p.names {
			if _, ok := chapters()[name]; ok {
				there.names = append(there.names, name)
			}
			listed[name] = true
		}
		parts = append(parts, there)
	}
	for _, name := range slices.Sorted(maps.Keys(chapters())) {
		if !listed[name] {
			rest.names = append(rest.names, name)
		}
	}
	if len(rest.names) > 0 {
		parts = append(parts, rest)
	}
	return parts
}

// chapters reads the handbook, once.
var chapters = sync.OnceValue(func() map[string]chapter {
	all := map[string]chapter{}
	err := fs.WalkDir(docs.Files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || path.Ext(name) != ".md" {
			return err
		}
		source, err := docs.Files.ReadFile(name)
		if err != nil {
			return err
		}
		c, err := chapterOf(strings.TrimSuffix(name, ".md"), source)
		all[c.name] = c
		return err
	})
	if err != nil {
		panic(err) // the handbook is part of the program
	}
	return all
})

// chapterOf makes a page of the handbook into HTML. HTML within it is left out.
func chapterOf(name string, source []byte) (chapter, error) {
	c := chapter{name: name, title: name}
	markdown := goldmark.New(
		goldmark.WithExtensions(extension.NewTable(extension.WithTableCellAlignMethod(extension.TableCellAlignAttribute))),
		goldmark.WithParserOptions(parser.WithAutoHeadingID(), parser.WithASTTransformers(util.Prioritized(&guideLinks{path.Dir(name)}, 100))),
	)
	tree := markdown.Parser().Parse(text.NewReader(source))
	if heading, ok := tree.FirstChild().(*ast.Heading); ok {
		c.title = plainText(heading, source)
	}
	var b bytes.Buffer
	err := markdown.Renderer().Render(&b, source, tree)
	// A table may be wider than the page: it scrolls by itself, also by keyboard.
	c.html = strings.NewReplacer("<table>", `<div class="scroll" role="group" tabindex="0" aria-label="Table"><table>`, "</table>", "</table></div>",
		"<pre>", `<pre tabindex="0" role="group" aria-label="Text as it is typed">`).Replace(b.String())
	return c, err
}

// plainText is the text of a heading without its marks.
func plainText(n ast.Node, source []byte) string {
	var b strings.Builder
	ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := n.(*ast.Text); ok && entering {
			b.Write(t.Segment.Value(source))
		}
		return ast.WalkContinue, nil
	})
	return b.String()
}

// guideLinks lets links between pages of the handbook lead to their screens, and
// takes the link off what the bench does not show.
type guideLinks struct{ folder string }

// Transform changes the links of a page.
func (g *guideLinks) Transform(page *ast.Document, _ text.Reader, _ parser.Context) {
	var dead []ast.Node
	ast.Walk(page, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.Link:
			to := string(n.Destination)
			if strings.HasPrefix(to, "#") || strings.HasPrefix(to, "https://") {
				break
			}
			file, section, _ := strings.Cut(to, "#")
			name := path.Join(g.folder, file)
			if _, err := fs.Stat(docs.Files, name); err != nil || path.Ext(name) != ".md" {
				dead = append(dead, n)
				break
			}
			n.Destination = []byte("/guide/" + strings.TrimSuffix(name, ".md"))
			if section != "" {
				n.Destination = append(n.Destination, "#"+section...)
			}
		case *ast.Image:
			n.Destination = []byte("/guide/picture/" + path.Join(g.folder, string(n.Destination)))
		}
		return ast.WalkContinue, nil
	})
	for _, n := range dead {
		for child := n.FirstChild(); child != nil; child = n.FirstChild() {
			n.Parent().InsertBefore(n.Parent(), n, child)
		}
		n.Parent().RemoveChild(n.Parent(), n)
	}
}

// guide lists the handbook.
func (s *Server) guide(*http.Request) (View, error) {
	return View{Title: "Guide", Place: "/guide", Body: guidePage()}, nil
}

// guideChapter shows a page of the handbook.
func (s *Server) guideChapter(r *http.Request) (View, error) {
	c, ok := chapters()[r.PathValue("name")]
	if !ok {
		return View{}, ErrNotFound
	}
	return View{Title: c.title, Place: "/guide", Back: look.Link{Text: "Guide", Path: "/guide"}, Body: chapterPage(c)}, nil
}

// guidePicture gives a picture of the handbook.
func (s *Server) guidePicture(r *http.Request) (View, error) {
	kind := map[string]string{".svg": "image/svg+xml", ".png": "image/png"}[path.Ext(r.PathValue("name"))]
	content, err := docs.Files.ReadFile(r.PathValue("name"))
	if err != nil || kind == "" {
		return View{}, ErrNotFound
	}
	return View{File: &File{Kind: kind, Content: content}}, nil
}
