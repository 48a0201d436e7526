package store

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strings"

	"halfsplit/internal/record"
)

// Lengths of a page.
const (
	usualPage = 50
	mostPage  = 500
)

// mostCounted is where counting a list stops, so that it takes no longer than
// showing a page.
const mostCounted = 100_000

// A listing is a list being asked for: conditions, the order, and how it is
// counted. Pages follow upon each other by the keys of the last row, so that the
// thousandth page costs as little as the first and nothing is shown twice when
// rows are added meanwhile.
type listing struct {
	columns, from string
	where         []string
	arguments     []any
	keys          []string // what it is ordered by, ending with what is unique
	downwards     bool     // largest first
	// counted is the table that is counted, when from joins others to each row.
	counted string
	// count counts without the conditions being walked through, when it can.
	count func(ctx context.Context, q querier) (int, error)
}

// only adds a condition with its arguments.
func (l *listing) only(condition string, arguments ...any) {
	l.where = append(l.where, condition)
	l.arguments = append(l.arguments, arguments...)
}

// conditions is the WHERE of a statement.
func conditions(where []string) string {
	if len(where) == 0 {
		return ""
	}
	return " WHERE " + strings.Join(where, " AND ")
}

// page reads the rows of a page; row scans one, with the targets of the keys
// after its own. It returns what the next page is asked for with, and how many
// rows there are in all.
func (l *listing) page(ctx context.Context, q querier, p record.Page, row func(scan func(...any) error, keys []any) error) (next string, total int, err error) {
	limit := p.Limit
	switch {
	case limit <= 0:
		limit = usualPage
	case limit > mostPage:
		limit = mostPage
	}
	if l.count != nil {
		total, err = l.count(ctx, q)
	} else {
		counted := l.counted
		if counted == "" {
			counted = l.from
		}
		err = one(ctx, q, "SELECT count(*) FROM (SELECT 1 FROM "+counted+conditions(l.where)+" LIMIT ?)", append(l.arguments[:len(l.arguments):len(l.arguments)], mostCounted), &total)
	}
	if err != nil {
		return "", 0, explain(err)
	}
	where, arguments := l.where, l.arguments
	compare, direction := " > ", " ASC"
	if l.downwards {
		compare, direction = " < ", " DESC"
	}
	if p.After != "" {
		keys, err := l.position(p.After)
		if err != nil {
			return "", 0, err
		}
		where = append(where[:len(where):len(where)], "("+strings.Join(l.keys, ", ")+")"+compare+"("+strings.Repeat("?, ", len(keys)-1)+"?)")
		arguments = append(arguments[:len(arguments):len(arguments)], keys...)
	}
	text := "SELECT " + l.columns + ", " + strings.Join(l.keys, ", ") + " FROM " + l.from + conditions(where) +
		" ORDER BY " + strings.Join(l.keys, direction+", ") + direction + " LIMIT ?"
	values := make([]any, len(l.keys))
	pointers := make([]any, len(l.keys))
	for i := range values {
		pointers[i] = &values[i]
	}
	read := 0
	more := false
	err = each(ctx, q, text, append(arguments[:len(arguments):len(arguments)], limit+1), func(scan func(...any) error) error {
		if read == limit {
			more = true
			return nil
		}
		read++
		if err := row(scan, pointers); err != nil {
			return err
		}
		if read == limit {
			next = cursor(values)
		}
		return nil
	})
	if !more {
		next = ""
	}
	return next, total, explain(err)
}

// cursor writes the keys of a row as Page.After.
func cursor(keys []any) string {
	plain, err := json.Marshal(keys)
	if err != nil {
		return ""
	}
	return base64.RawURLEncoding.EncodeToString(plain)
}

// position reads Page.After.
func (l *listing) position(after string) ([]any, error) {
	wrong := fmt.Errorf("%q is no page of this list: begin with its first page", after)
	plain, err := base64.RawURLEncoding.DecodeString(after)
	if err != nil {
		return nil, wrong
	}
	decoder := json.NewDecoder(strings.NewReader(string(plain)))
	decoder.UseNumber()
	var keys []any
	if decoder.Decode(&keys) != nil || len(keys) != len(l.keys) {
		return nil, wrong
	}
	for i, key := range keys {
		switch k := key.(type) {
		case json.Number:
			if keys[i], err = k.Int64(); err != nil {
				return nil, wrong
			}
		case string:
		default:
			return nil, wrong
		}
	}
	return keys, nil
}

// found is a condition that a record has words; ok is false for a text without
// words.
func found(kind record.Kind, id, text string) (condition string, arguments []any, ok bool) {
	_, match := matching(text)
	if match == "" {
		return "", nil, false
	}
	first, _ := textNumber(kind, 0)
	return id + " IN (SELECT rowid - ? FROM words WHERE words MATCH ? AND rowid >= ? AND rowid < ?)",
		[]any{first, match, first, first + 1<<kindShift}, true
}
