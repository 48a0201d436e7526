package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"halfsplit/experience"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
)

// PageOf says which part of a list a program wants.
type PageOf struct {
	After string `query:"after" maxLength:"500" doc:"The next of the page before; the first page when not given."`
	Limit int    `query:"limit" minimum:"1" maximum:"500" default:"50" doc:"How many at most."`
}

func (p PageOf) page() record.Page { return record.Page{After: p.After, Limit: p.Limit} }

// answered is an answer with a body.
type answered[T any] struct{ Body T }

type unitsAsked struct {
	PageOf
	Text     string `query:"text" maxLength:"300" doc:"Words in any of its texts."`
	Standing string `query:"standing" maxLength:"40" doc:"What became of it, such as kept."`
	OpenJobs bool   `query:"open_jobs" doc:"Only those with an open job."`
}

type jobsAsked struct {
	PageOf
	Unit  int64  `query:"unit" minimum:"0" doc:"Only of this unit."`
	Stage string `query:"stage" maxLength:"40" doc:"Only at this stage."`
	Open  string `query:"open" enum:"yes,no" doc:"Only those that are open, or that are closed."`
	Text  string `query:"text" maxLength:"300" doc:"Words in any of its texts."`
}

type listAsked struct {
	List  string `path:"list" maxLength:"40" doc:"Name of the list."`
	Text  string `query:"text" maxLength:"300" doc:"Words in any of its texts."`
	Open  bool   `query:"open" doc:"Only what has work to do."`
	Unit  int64  `query:"unit" minimum:"0" doc:"Only of this unit."`
	Job   int64  `query:"job" minimum:"0" doc:"Only of this job."`
	Verb  string `query:"verb" maxLength:"40" doc:"Only entries that do this."`
	Short bool   `query:"short" doc:"Only stock below its least."`
}

type listsFound struct {
	Lists []listNamed `json:"lists"`
}

type listNamed struct {
	Name string `json:"name"`
	Of   string `json:"of" doc:"What it holds."`
}

type listFound struct {
	Header []string   `json:"header"`
	Rows   [][]string `json:"rows" doc:"A cell for each heading."`
}

type searchAsked struct {
	Text  string   `query:"text" required:"true" minLength:"1" maxLength:"300" doc:"Every word must be there; one may be the beginning of a word."`
	Kinds []string `query:"kind,explode" maxItems:"20" doc:"Only these kinds, such as unit, job, entry."`
	Limit int      `query:"limit" minimum:"1" maximum:"200" default:"50"`
}

type searchFound struct {
	Hits []record.Hit `json:"hits"`
}

type queueFound struct {
	Years  float64       `json:"years" doc:"How far is looked ahead."`
	Places []queuedPlace `json:"places" doc:"The most urgent first."`
}

type queuedPlace struct {
	Rank     int     `json:"rank"`
	Code     string  `json:"code" doc:"Code of the unit."`
	Name     string  `json:"name"`
	Danger   string  `json:"danger" doc:"The worst that it can do."`
	Harm     float64 `json:"harm" doc:"Failures expected that burn or eat what is around them, within the years."`
	Failures float64 `json:"failures" doc:"All failures expected within the years."`
	Words    string  `json:"words"`
}

type learnedFound struct {
	Sorts []learnedSort `json:"sorts"`
}

type learnedSort struct {
	Kind   string  `json:"kind"`
	Family string  `json:"family,omitempty"`
	Maker  string  `json:"maker,omitempty"`
	Batch  string  `json:"batch,omitempty"`
	Usual  float64 `json:"usual" doc:"Failures that are usual for what was seen."`
	Factor float64 `json:"factor" doc:"By how much it fails more often than is usual."`
	Low    float64 `json:"low"`
	High   float64 `json:"high" doc:"Low to high holds the factor with a chance of 90 %."`
	Words  string  `json:"words"`
}

// apiRecords are the questions about what the records hold.
func (s *Server) apiRecords(api huma.API) {
	questionFor(api, http.MethodGet, "/units", "list-units", "Records", "Units", "A page of the units, by their codes.",
		func(ctx context.Context, in *unitsAsked) (*answered[record.List[record.UnitRow]], error) {
			standing := record.Standing(in.Standing)
			if standing != "" && !slices.Contains(record.Standings(), standing) {
				return nil, unknown("query.standing", in.Standing, record.Standings())
			}
			list, err := s.records.Units(ctx, record.UnitFilter{Text: in.Text, Standing: standing, OpenJobs: in.OpenJobs, Page: in.page()})
			return &answered[record.List[record.UnitRow]]{list}, err
		})
	questionFor(api, http.MethodGet, "/units/{unit}", "get-unit", "Records", "A unit", "",
		func(ctx context.Context, in *struct {
			Unit int64 `path:"unit" minimum:"1"`
		}) (*answered[record.Unit], error) {
			u, err := s.records.Unit(ctx, record.ID(in.Unit))
			return &answered[record.Unit]{u}, err
		})
	questionFor(api, http.MethodGet, "/jobs", "list-jobs", "Records", "Jobs", "A page of the jobs, those changed last first.",
		func(ctx context.Context, in *jobsAsked) (*answered[record.List[record.JobRow]], error) {
			f := record.JobFilter{Unit: record.ID(in.Unit), Stage: record.Stage(in.Stage), Text: in.Text, Page: in.page()}
			if f.Stage != "" && !slices.Contains(record.Stages(), f.Stage) {
				return nil, unknown("query.stage", in.Stage, record.Stages())
			}
			if in.Open != "" {
				f.Open = new(in.Open == "yes")
			}
			list, err := s.records.Jobs(ctx, f)
			return &answered[record.List[record.JobRow]]{list}, err
		})
	questionFor(api, http.MethodGet, "/lists", "name-lists", "Records", "Names of the lists", "",
		func(context.Context, *struct{}) (*answered[listsFound], error) {
			names, of := bench.Lists()
			found := listsFound{}
			for i := range names {
				found.Lists = append(found.Lists, listNamed{names[i], of[i]})
			}
			return &answered[listsFound]{found}, nil
		})
	questionFor(api, http.MethodGet, "/lists/{list}", "get-list", "Records", "A whole list", "As it would be printed or saved for a spreadsheet.",
		func(ctx context.Context, in *listAsked) (*answered[listFound], error) {
			if names, _ := bench.Lists(); !slices.Contains(names, in.List) {
				return nil, unknown("path.list", in.List, names)
			}
			list, err := bench.List(ctx, s.records, in.List, bench.Chosen{Text: in.Text, Open: in.Open, Unit: record.ID(in.Unit), Job: record.ID(in.Job), Verb: in.Verb, Short: in.Short})
			if err != nil {
				return nil, err
			}
			return &answered[listFound]{listFound{list.Header, append([][]string{}, list.Rows...)}}, nil
		})
	questionFor(api, http.MethodGet, "/search", "search", "Records", "Search everything", "",
		func(ctx context.Context, in *searchAsked) (*answered[searchFound], error) {
			var kinds []record.Kind
			for _, k := range in.Kinds {
				kinds = append(kinds, record.Kind(k))
			}
			hits, err := s.records.Search(ctx, in.Text, kinds, in.Limit)
			return &answered[searchFound]{searchFound{append([]record.Hit{}, hits...)}}, err
		})
	questionFor(api, http.MethodGet, "/upkeep", "rank-upkeep", "Records", "What to see to next", "The kept units, the one first that is the next to burn, to spoil or to fail.", s.apiUpkeep)
	questionFor(api, http.MethodGet, "/learned", "get-learned", "Records", "What was learned of parts", "By how much each sort of part fails more often than is usual, from all logbooks and the counts of other benches.", s.apiLearned)
}

func (s *Server) apiUpkeep(ctx context.Context, _ *struct{}) (*answered[queueFound], error) {
	places, terms, err := bench.Queue(ctx, s.records, s.now())
	if err != nil {
		return nil, err
	}
	found := queueFound{Years: terms.Years, Places: []queuedPlace{}}
	if found.Years == 0 {
		found.Years = 5 // as package upkeep takes it
	}
	for _, p := range places {
		found.Places = append(found.Places, queuedPlace{p.Rank, p.Unit.ID, p.Unit.Name, p.Danger.String(), p.Harm, p.Failures, p.Score.String()})
	}
	return &answered[queueFound]{found}, nil
}

func (s *Server) apiLearned(ctx context.Context, _ *struct{}) (*answered[learnedFound], error) {
	book, err := bench.Learned(ctx, s.records, s.now())
	if err != nil {
		return nil, err
	}
	tally := book.Tally()
	found := learnedFound{Sorts: []learnedSort{}}
	for _, key := range tally.Sorts() {
		e, err := tally.Estimate(key)
		if err != nil {
			return nil, err
		}
		found.Sorts = append(found.Sorts, sortOf(e))
	}
	return &answered[learnedFound]{found}, nil
}

func sortOf(e experience.Estimate) learnedSort {
	return learnedSort{e.Key.Kind, e.Key.Family, e.Key.Maker, e.Key.Batch, e.Usual, e.Factor, e.Low, e.High, e.String()}
}

// unknown is the answer for a word that is none of those there are.
func unknown[T ~string](where, word string, there []T) error {
	var names []string
	for _, t := range there {
		names = append(names, string(t))
	}
	return huma.Error422UnprocessableEntity("there is no such thing", &huma.ErrorDetail{Message: fmt.Sprintf("%q is none of %s", word, strings.Join(names, ", ")), Location: where, Value: word})
}

// longestWait is how long a program may wait for the findings of a job.
const longestWait = 30 * time.Second
