package web

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"halfsplit/internal/web/look"
)

// apiPages is the page about the questions for programs.
func (s *Server) apiPages() []Page {
	return []Page{{"GET /api", s.apiScreen, "/api"}}
}

// asking is a question for programs, as the page lists it.
type asking struct {
	Method, Path, Summary, Description string
	Fields                             []askedField
}

type askedField struct{ Name, Where, Kind, Need, About string }

// askings are the questions under each heading.
type askings struct {
	Heading string
	List    []asking
}

func (s *Server) apiScreen(*http.Request) (View, error) {
	return View{Title: "For programs", Place: "/settings", Back: look.Link{Text: "Settings", Path: "/settings"}, Body: apiPage(askingsOf(s.asked))}, nil
}

// askingsOf reads the questions off the document.
func askingsOf(doc *huma.OpenAPI) []askings {
	var list []askings
	for _, heading := range []string{"Records", "Jobs", "Traces", "Tools"} {
		group := askings{Heading: heading}
		for at, item := range doc.Paths {
			for method, o := range map[string]*huma.Operation{"GET": item.Get, "POST": item.Post} {
				if o == nil || !slices.Contains(o.Tags, heading) {
					continue
				}
				group.List = append(group.List, asking{method, "/api" + at, o.Summary, o.Description, fieldsOf(doc, o)})
			}
		}
		slices.SortFunc(group.List, func(a, b asking) int {
			return cmp.Or(strings.Compare(a.Path, b.Path), strings.Compare(a.Method, b.Method))
		})
		if len(group.List) > 0 {
			list = append(list, group)
		}
	}
	return list
}

// fieldsOf lists what is sent with a question.
func fieldsOf(doc *huma.OpenAPI, o *huma.Operation) []askedField {
	var list []askedField
	for _, p := range o.Parameters {
		if p.In == "cookie" || p.In == "header" {
			continue
		}
		f := askedField{Name: p.Name, Where: p.In, About: p.Description}
		if p.Required {
			f.Need = "needed"
		}
		if p.Schema != nil {
			f.Kind = p.Schema.Type
		}
		list = append(list, f)
	}
	if o.RequestBody == nil || o.RequestBody.Content["application/json"] == nil {
		return list
	}
	schema := o.RequestBody.Content["application/json"].Schema
	if schema.Ref != "" {
		schema = doc.Components.Schemas.SchemaFromRef(schema.Ref)
	}
	for name, p := range schema.Properties {
		f := askedField{Name: name, Where: "body", Kind: p.Type, About: p.Description}
		if slices.Contains(schema.Required, name) {
			f.Need = "needed"
		}
		list = append(list, f)
	}
	slices.SortStableFunc(list, func(a, b askedField) int {
		if a.Where == "body" && b.Where == "body" {
			return strings.Compare(b.Need+a.Name, a.Need+b.Name)
		}
		return 0
	})
	return list
}
