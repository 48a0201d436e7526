package store

import (
	"bytes"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"
)

// A cell is a field of a record in a column: it writes the field and reads it.
// Writing also puts the field into the one form in which it will be read back
// (times in UTC, no empty list beside nil), so that a record that was saved is
// the very record that is found.
type cell interface {
	sql.Scanner
	driver.Valuer
}

// A column is a cell with the name of its column.
type column struct {
	name string
	cell cell
}

// names lists the names of columns.
func names(columns []column) []string {
	list := make([]string, len(columns))
	for i, c := range columns {
		list[i] = c.name
	}
	return list
}

// targets lists the cells to scan into.
func targets(columns []column) []any {
	list := make([]any, len(columns))
	for i, c := range columns {
		list[i] = c.cell
	}
	return list
}

// write gives what is to stand in each column, and settles the fields.
func write(columns []column) ([]any, error) {
	list := make([]any, len(columns))
	for i, c := range columns {
		value, err := c.cell.Value()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.name, err)
		}
		list[i] = value
	}
	return list, nil
}

// unexpected is the error for a column that holds what it cannot hold.
func unexpected(found any) error { return fmt.Errorf("the column holds %T", found) }

type textCell[T ~string] struct {
	at   *T
	none bool // "" is NULL
}

// text is a text; NULL never.
func text[T ~string](at *T) cell { return textCell[T]{at, false} }

// nullText is a text that refers to something; "" is NULL.
func nullText[T ~string](at *T) cell { return textCell[T]{at, true} }

func (c textCell[T]) Value() (driver.Value, error) {
	switch s := string(*c.at); {
	case s == "" && c.none:
		return nil, nil
	case !utf8.ValidString(s) || strings.ContainsRune(s, 0):
		return nil, fmt.Errorf("is not readable text (UTF-8)")
	default:
		return s, nil
	}
}

func (c textCell[T]) Scan(found any) error {
	switch v := found.(type) {
	case nil:
		*c.at = ""
	case string:
		*c.at = T(v)
	case []byte:
		*c.at = T(v)
	default:
		return unexpected(found)
	}
	return nil
}

type integerCell[T ~int | ~int64] struct {
	at   *T
	none bool // 0 is NULL
}

// integer is a whole number.
func integer[T ~int | ~int64](at *T) cell { return integerCell[T]{at, false} }

// reference refers to a record; 0 is NULL.
func reference[T ~int | ~int64](at *T) cell { return integerCell[T]{at, true} }

func (c integerCell[T]) Value() (driver.Value, error) {
	if *c.at == 0 && c.none {
		return nil, nil
	}
	return int64(*c.at), nil
}

func (c integerCell[T]) Scan(found any) error {
	switch v := found.(type) {
	case nil:
		*c.at = 0
	case int64:
		*c.at = T(v)
	default:
		return unexpected(found)
	}
	return nil
}

type realCell struct{ at *float64 }

// real is a number.
func real(at *float64) cell { return realCell{at} }

func (c realCell) Value() (driver.Value, error) {
	if math.IsNaN(*c.at) || math.IsInf(*c.at, 0) {
		return nil, fmt.Errorf("%g is no number", *c.at)
	}
	if *c.at == 0 {
		*c.at = 0 // not minus 0, which the file does not tell apart
	}
	return *c.at, nil
}

func (c realCell) Scan(found any) error {
	switch v := found.(type) {
	case float64:
		*c.at = v
	case int64:
		*c.at = float64(v)
	default:
		return unexpected(found)
	}
	return nil
}

type nullRealCell struct{ at **float64 }

// nullReal is a number that may be unknown: nil is NULL.
func nullReal(at **float64) cell { return nullRealCell{at} }

func (c nullRealCell) Value() (driver.Value, error) {
	if *c.at == nil {
		return nil, nil
	}
	own := **c.at
	*c.at = &own
	return realCell{&own}.Value()
}

func (c nullRealCell) Scan(found any) error {
	if found == nil {
		*c.at = nil
		return nil
	}
	*c.at = new(float64)
	return realCell{*c.at}.Scan(found)
}

type timeCell struct{ at *time.Time }

// moment is a time, in nanoseconds since 1970; the zero time is NULL.
func moment(at *time.Time) cell { return timeCell{at} }

func (c timeCell) Value() (driver.Value, error) {
	if c.at.IsZero() {
		*c.at = time.Time{}
		return nil, nil
	}
	if y := c.at.UTC().Year(); y < 1700 || y > 2200 {
		return nil, fmt.Errorf("the year %d is not one of 1700 to 2200", y)
	}
	*c.at = c.at.UTC().Round(0)
	return c.at.UnixNano(), nil
}

func (c timeCell) Scan(found any) error {
	switch v := found.(type) {
	case nil:
		*c.at = time.Time{}
	case int64:
		*c.at = time.Unix(0, v).UTC()
	default:
		return unexpected(found)
	}
	return nil
}

type flagCell struct{ at *bool }

// yesNo is yes or no.
func yesNo(at *bool) cell { return flagCell{at} }

func (c flagCell) Value() (driver.Value, error) {
	if *c.at {
		return int64(1), nil
	}
	return int64(0), nil
}

func (c flagCell) Scan(found any) error {
	v, ok := found.(int64)
	if !ok {
		return unexpected(found)
	}
	*c.at = v != 0
	return nil
}

type listCell[T any] struct{ at *[]T }

// list is a list kept as JSON; an empty one is read as nil.
func list[T any](at *[]T) cell { return listCell[T]{at} }

func (c listCell[T]) Value() (driver.Value, error) {
	if len(*c.at) == 0 {
		*c.at = nil
		return "[]", nil
	}
	plain, err := canonical(*c.at)
	if err != nil {
		return nil, err
	}
	*c.at = nil
	if err := json.Unmarshal(plain, c.at); err != nil {
		return nil, err
	}
	// Once more: text that was not UTF-8 has been mended.
	plain, err = canonical(*c.at)
	return string(plain), err
}

func (c listCell[T]) Scan(found any) error {
	v, ok := found.(string)
	if !ok {
		return unexpected(found)
	}
	*c.at = nil
	if v == "[]" {
		return nil
	}
	return json.Unmarshal([]byte(v), c.at)
}

// canonical is a value as JSON on one line, always the same for the same value.
func canonical(value any) ([]byte, error) {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(out.Bytes(), []byte("\n")), nil
}
