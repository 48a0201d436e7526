package record

import "time"

// Page says which part of a list is wanted.
type Page struct {
	After string // the Next of the page before; "" for the first
	Limit int    // 0 for 50; at most 500
}

// List is a page of a list.
type List[T any] struct {
	Items []T    `json:"items"`
	Next  string `json:"next,omitempty"` // for Page.After; "" at the end
	Total int    `json:"total"`          // of the whole list
}

// UnitFilter chooses units; zero fields choose all.
type UnitFilter struct {
	Text     string   // words in any of its texts
	Standing Standing // "" for all
	Maker    string
	Place    string
	Sheet    string
	OpenJobs bool   // only those with an open job
	Order    string // code, name, year, changed; "" for code
	Page
}

// UnitRow is a unit in a list.
type UnitRow struct {
	Unit
	OpenJobs int  `json:"open_jobs"`
	Jobs     int  `json:"jobs"`
	Cover    Hash `json:"cover,omitempty"` // of its picture
}

// JobFilter chooses jobs; zero fields choose all.
type JobFilter struct {
	Unit  ID
	Stage Stage
	Open  *bool
	Text  string
	Order string // opened (newest first), changed (newest first); "" for changed
	Page
}

// JobRow is a job in a list.
type JobRow struct {
	Job
	UnitCode string  `json:"unit_code"`
	UnitName string  `json:"unit_name"`
	Entries  int     `json:"entries"`
	Seconds  float64 `json:"seconds"` // noted in its entries
	Cost     int64   `json:"cost"`
}

// EntryFilter chooses entries; zero fields choose all.
type EntryFilter struct {
	Job   ID
	Unit  ID
	Verb  string
	Who   string
	Text  string
	From  time.Time
	To    time.Time
	Order string // number, or newest; "" for number within a job, newest otherwise
	Page
}

// StockFilter chooses stocks; zero fields choose all.
type StockFilter struct {
	Text  string
	Bin   ID
	Short bool // only those below Least
	Page
}

// Hit is something found by a search.
type Hit struct {
	Kind    Kind      `json:"kind"`
	ID      ID        `json:"id"`
	Unit    ID        `json:"unit,omitempty"`
	Job     ID        `json:"job,omitempty"`
	Title   string    `json:"title"`
	Snippet []Snippet `json:"snippet"`
	At      time.Time `json:"at"`
}

// Snippet is a piece of the text in which something was found.
type Snippet struct {
	Text  string `json:"text"`
	Found bool   `json:"found,omitempty"` // whether the search was for this piece
}

// SwapRow is a swap with what is known around it, for what the bench learns.
type SwapRow struct {
	Swap
	Entry ID        `json:"entry"`
	Job   ID        `json:"job"`
	Unit  ID        `json:"unit"`
	Year  int       `json:"year,omitempty"` // the unit's year of make
	At    time.Time `json:"at"`
}
