package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// A row is one line of the page.
type row struct{ folder, check, what, source, how, within string }

// page gives the text of docs/checks.md.
func page(root string) (string, error) {
	all, err := marks(root)
	if err != nil {
		return "", err
	}
	more, err := unmarked(root, all)
	if err != nil {
		return "", err
	}
	rows, unused, err := rows(root, append(all, more...))
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(`# Checks against the outside

Every check of the tests against something that is not of this project: a published
figure, a worked example of a standard or a book, a data sheet, another program, a
real recording, or a value worked out by another route. It is written by
` + "`go run ./tools/checks`" + ` from the tests and their collections of cases; a test fails when
it is out of date. All of them pass when ` + "`go test ./...`" + ` does, each within the
tolerance of its line; exact means that the answers are words or whole numbers, or
agree to the last bits of a number.

How far each source was seen is said as the collections say it: published (read in
the source, or in a transcription of it), worked out (computed from a published
formula, or by another route), from memory, common practice. What is marked from
memory should be held against the source before anyone relies on it.

`)
	summary(&b, rows)
	folder, file := "", ""
	for _, r := range rows {
		if r.folder != folder {
			folder, file = r.folder, ""
			fmt.Fprintf(&b, "\n## %s\n", folder)
		}
		if test, _, _ := strings.Cut(r.check, " "); test != file {
			file = test
			fmt.Fprintf(&b, "\n%s:\n\n| check | source | how | within |\n|---|---|---|---|\n", code(test))
		}
		_, name, _ := strings.Cut(r.check, " ")
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", cell(strings.TrimSpace(code(name)+" "+r.what)), cell(r.source), r.how, cell(r.within))
	}
	if len(unused) > 0 {
		b.WriteString("\n## Cases that no test uses\n\nThey are in the collections of the packages, and the tests above leave them out:\n\n")
		for _, one := range unused {
			fmt.Fprintf(&b, "- %s\n", one)
		}
	}
	return b.String(), nil
}

// rows gives the lines of all marks by package and test, and the cases of the
// collections that no test uses.
func rows(root string, all []mark) (list []row, unused []string, err error) {
	used := map[string]map[string]bool{}
	files := map[string]*collection{}
	for _, m := range all {
		if m.files == "" {
			source := cmp.Or(m.source, "named in the comment")
			list = append(list, row{m.folder, m.test, m.what(), source, kindOf(source + m.says), m.within})
			continue
		}
		paths, err := filepath.Glob(filepath.Join(root, m.folder, m.files))
		if err != nil || len(paths) == 0 {
			return nil, nil, fmt.Errorf("%s: %s: there is no file %s", m.folder, m.test, m.files)
		}
		taken := 0
		for _, path := range paths {
			c := files[path]
			if c == nil {
				if c, err = load(path); err != nil {
					return nil, nil, err
				}
				files[path], used[path] = c, map[string]bool{}
			}
			for i := range c.Cases {
				e := &c.Cases[i]
				if !m.takes(e.ID) {
					continue
				}
				taken++
				used[path][e.ID] = true
				source := cmp.Or(c.source(e), m.source)
				how := cmp.Or(strings.ReplaceAll(e.How, "-", " "), kindOf(source))
				list = append(list, row{m.folder, m.test + " " + e.ID, e.what(), source, hows(how), cmp.Or(e.tolerances(), m.within)})
			}
		}
		if taken == 0 {
			return nil, nil, fmt.Errorf("%s: %s: no case of %s is meant", m.folder, m.test, m.files)
		}
	}
	slices.SortStableFunc(list, func(a, b row) int { return cmp.Compare(a.folder, b.folder) })
	for path, c := range files {
		for i := range c.Cases {
			if id := c.Cases[i].ID; !used[path][id] {
				short, _ := filepath.Rel(root, path)
				unused = append(unused, fmt.Sprintf("`%s` of %s: %s", id, filepath.ToSlash(short), c.Cases[i].what()))
			}
		}
	}
	slices.Sort(unused)
	return list, unused, nil
}

// what says in words what a test is about.
func (m *mark) what() string {
	says := strings.TrimSuffix(strings.TrimPrefix(strings.TrimPrefix(m.says, m.test), ":"), ".")
	if m.source != "" {
		says, _, _ = strings.Cut(says, ". ")
	}
	return strings.TrimSpace(says)
}

// kindOf tells from the words of a source how the figure came about.
func kindOf(source string) string {
	for _, one := range []struct {
		how   string
		words []string
	}{
		{"from memory", []string{"from memory"}},
		{"common practice", []string{"common practice"}},
		{"worked out", []string{"worked out", "closed form", "pandas", "numpy", "scipy", "by hand", "enumerat", "quadrature"}},
	} {
		for _, word := range one.words {
			if strings.Contains(source, word) {
				return one.how
			}
		}
	}
	return "published"
}

// hows brings the words of the collections for how a figure came about down to a
// few.
func hows(how string) string {
	switch {
	case strings.HasPrefix(how, "computed"), strings.HasPrefix(how, "derived"):
		return "worked out"
	}
	return how
}

// summary counts the rows by package and by how their figures came about.
func summary(b *strings.Builder, rows []row) {
	hows := []string{"published", "worked out", "from memory", "common practice"}
	var folders []string
	count := map[[2]string]int{}
	for _, r := range rows {
		if !slices.Contains(folders, r.folder) {
			folders = append(folders, r.folder)
		}
		if !slices.Contains(hows, r.how) {
			hows = append(hows, r.how)
		}
		for _, f := range []string{r.folder, ""} {
			count[[2]string{f, r.how}]++
			count[[2]string{f, ""}]++
		}
	}
	fmt.Fprintf(b, "| package | checks | %s |\n|---|---:|%s\n", strings.Join(hows, " | "), strings.Repeat("---:|", len(hows)))
	line := func(name, folder string) {
		fmt.Fprintf(b, "| %s | %d |", name, count[[2]string{folder, ""}])
		for _, how := range hows {
			fmt.Fprintf(b, " %s |", strings.TrimPrefix(strconv.Itoa(count[[2]string{folder, how}]), "0"))
		}
		b.WriteByte('\n')
	}
	for _, f := range folders {
		line("["+f+"](#"+strings.ReplaceAll(f, "/", "")+")", f)
	}
	line("all", "")
}

// share writes a relative tolerance: in per cent where that is short.
func share(text string) string {
	if x, err := strconv.ParseFloat(text, 64); err == nil && x >= 1e-4 {
		return strconv.FormatFloat(x*100, 'g', 4, 64) + " %"
	}
	return number(text) + " relative"
}

// number writes a number in its shortest form.
func number(text string) string {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

func code(text string) string {
	if text == "" {
		return ""
	}
	return "`" + text + "`"
}

// cell makes a text fit for a cell of a table.
func cell(s string) string {
	return strings.NewReplacer("|", `\|`, "\n", " ").Replace(strings.Join(strings.Fields(s), " "))
}
