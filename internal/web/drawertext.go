package web

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"halfsplit/internal/record"
)

func chosenBin(id record.ID) string {
	if id == 0 {
		return ""
	}
	return strconv.FormatInt(int64(id), 10)
}

func ticked(is bool) string {
	if is {
		return "yes"
	}
	return ""
}

// join puts texts that are not empty beside each other.
func join(texts ...string) string { return strings.Join(compact(texts...), ", ") }

// wholeText is a whole number as it stands in a field, "" for zero.
func wholeText(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// moneyText is an amount in hundredths, "" for none.
func moneyText(n int64) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d.%02d", n/100, n%100)
}

func stockAction(k record.Stock) templ.SafeURL {
	if k.ID == 0 {
		return "/drawer/stock"
	}
	return templ.SafeURL(fmt.Sprintf("/drawer/stock/%d", k.ID))
}

func instrumentAction(m record.Instrument) templ.SafeURL {
	if m.ID == 0 {
		return "/settings/instruments"
	}
	return templ.SafeURL(fmt.Sprintf("/settings/instruments/%d", m.ID))
}
