package store

import (
	"context"
	"fmt"

	"halfsplit/internal/record"
)

var bins = prepare(table[record.Bin]{
	kind: record.KindBin, name: "bins",
	number:   func(b *record.Bin) *record.ID { return &b.ID },
	revision: func(b *record.Bin) *int { return &b.Revision },
	check:    (*record.Bin).Check,
	columns: func(b *record.Bin) []column {
		return []column{{"code", text(&b.Code)}, {"place", text(&b.Place)}, {"note", text(&b.Note)}}
	},
	settle: func(t *transaction, _, b *record.Bin) error {
		return alone(t, sqlBinCoded, b.Code, b.ID, "code", "bin")
	},
	about: func(_ context.Context, _ querier, b *record.Bin) (about, error) {
		return about{title: b.Code, body: join(b.Place, b.Note)}, nil
	},
})

var (
	sqlBinCoded = statement("SELECT id FROM bins WHERE code = ?")
	sqlBins     = statement(bins.selects + " ORDER BY bins.code")
	sqlBinUsed  = statement("SELECT count(*) FROM stocks WHERE bin = ? AND ? > 0")
)

// Bins lists the bins by code.
func (s *Store) Bins(ctx context.Context) ([]record.Bin, error) {
	return bins.all(ctx, s.readers, sqlBins)
}

// Bin reads a bin; the error wraps record.ErrNotFound when there is none.
func (s *Store) Bin(ctx context.Context, id record.ID) (record.Bin, error) {
	return bins.find(ctx, s.readers, bins.byID, int64(id))
}

// SaveBin saves a bin. Errors are as those of SaveUnit.
func (s *Store) SaveBin(ctx context.Context, b *record.Bin) error { return save(ctx, s, bins, b) }

// RemoveBin takes a bin out; one that holds stock stays, and the error is
// record.Invalid.
func (s *Store) RemoveBin(ctx context.Context, id record.ID) error {
	return s.write(ctx, func(t *transaction) error {
		if err := unused(t, sqlBinUsed, id, "bin", "put its stock elsewhere first"); err != nil {
			return err
		}
		return bins.remove(t, id)
	})
}

var stocks = prepare(table[record.Stock]{
	kind: record.KindStock, name: "stocks",
	number:   func(k *record.Stock) *record.ID { return &k.ID },
	revision: func(k *record.Stock) *int { return &k.Revision },
	check:    (*record.Stock).Check,
	columns: func(k *record.Stock) []column {
		return []column{
			{"bin", reference(&k.Bin)}, {"part", text(&k.Part)}, {"count", integer(&k.Count)}, {"least", integer(&k.Least)},
			{"maker", text(&k.Maker)}, {"batch", text(&k.Batch)}, {"price", integer(&k.Price)}, {"origin", text(&k.Origin)}, {"note", text(&k.Note)},
		}
	},
	settle: func(t *transaction, _, k *record.Stock) error {
		var wrong record.Invalid
		if _, err := must(t, &wrong, "bin", bins, k.Bin); err != nil {
			return err
		}
		return asError(wrong)
	},
	about: func(_ context.Context, _ querier, k *record.Stock) (about, error) {
		return about{title: k.Part, body: join(k.Maker, k.Batch, k.Origin, k.Note)}, nil
	},
})

var sqlStockUsed = statement("SELECT (SELECT count(*) FROM swaps WHERE stock = ?) + (SELECT count(*) FROM needs WHERE stock = ?)")

// Stocks lists stocks by what is written on the part.
func (s *Store) Stocks(ctx context.Context, f record.StockFilter) (record.List[record.Stock], error) {
	rows := record.List[record.Stock]{}
	l, ok := stockListing(f)
	if !ok {
		return rows, nil
	}
	var err error
	rows.Next, rows.Total, err = l.page(ctx, s.readers, f.Page, func(scan func(...any) error, keys []any) error {
		var k record.Stock
		err := stocks.scan(scan, &k, keys...)
		rows.Items = append(rows.Items, k)
		return err
	})
	return rows, err
}

// stockListing is the list that a filter asks for; false when nothing can be in
// it.
func stockListing(f record.StockFilter) (*listing, bool) {
	l := &listing{columns: selection("stocks", stocks.whole(new(record.Stock))), from: "stocks", keys: []string{"stocks.part", "stocks.id"}}
	if f.Bin != 0 {
		l.only("stocks.bin = ?", int64(f.Bin))
	}
	if f.Short {
		l.only("stocks.count < stocks.least")
	}
	return l, l.search(record.KindStock, "stocks.id", f.Text)
}

// Stock reads a stock; the error wraps record.ErrNotFound when there is none.
func (s *Store) Stock(ctx context.Context, id record.ID) (record.Stock, error) {
	return stocks.find(ctx, s.readers, stocks.byID, int64(id))
}

// SaveStock saves a stock. Errors are as those of SaveUnit.
func (s *Store) SaveStock(ctx context.Context, k *record.Stock) error {
	return save(ctx, s, stocks, k)
}

// RemoveStock takes a stock out; one that a swap or a need names stays, and the
// error is record.Invalid.
func (s *Store) RemoveStock(ctx context.Context, id record.ID) error {
	return s.write(ctx, func(t *transaction) error {
		if err := unused(t, sqlStockUsed, id, "stock", "set its count to 0 instead"); err != nil {
			return err
		}
		return stocks.remove(t, id)
	})
}

// moveStock takes one part off its stock for each swap, after putting back what
// a corrected entry took.
func moveStock(t *transaction, taken, back []record.Swap) error {
	move := map[record.ID]int{}
	for _, w := range back {
		move[w.Stock]++
	}
	var wrong record.Invalid
	place := map[record.ID]int{}
	for i, w := range taken {
		move[w.Stock]--
		place[w.Stock] = i
	}
	for id, by := range move {
		if id == 0 || by == 0 {
			continue
		}
		old, err := stocks.find(t.ctx, t, stocks.byID, int64(id))
		if err != nil {
			return err
		}
		now := old
		now.Count += by
		now.Revision++
		if now.Count < 0 {
			wrong = append(wrong, record.Wrong{Field: fmt.Sprintf("swaps[%d].stock", place[id]),
				Message: fmt.Sprintf("by the records %d of %s are left, and %d are taken: count them and put the number right first", old.Count, old.Part, -by)})
			continue
		}
		if err := stocks.put(t, &old, &now); err != nil {
			return err
		}
	}
	return asError(wrong)
}

var orders = prepare(table[record.Order]{
	kind: record.KindOrder, name: "orders",
	number:   func(o *record.Order) *record.ID { return &o.ID },
	revision: func(o *record.Order) *int { return &o.Revision },
	check:    (*record.Order).Check,
	columns: func(o *record.Order) []column {
		return []column{
			{"supplier", text(&o.Supplier)}, {"number", text(&o.Number)}, {"placed", text(&o.Placed)}, {"arrived", text(&o.Arrived)},
			{"note", text(&o.Note)}, {"lines", list(&o.Lines)}, {"created", moment(&o.Created)},
		}
	},
	settle: func(t *transaction, old, o *record.Order) error {
		var wrong record.Invalid
		for i, l := range o.Lines {
			if _, err := must(t, &wrong, fmt.Sprintf("lines[%d].job", i), jobs, l.Job); err != nil {
				return err
			}
		}
		o.Created = t.now
		if old != nil {
			o.Created = old.Created
		}
		return asError(wrong)
	},
	about: func(_ context.Context, _ querier, o *record.Order) (about, error) {
		body := join(o.Number, o.Note)
		for _, l := range o.Lines {
			body = join(body, l.Part)
		}
		return about{at: o.Created, title: o.Supplier, body: body}, nil
	},
})

var sqlOrders = statement(orders.selects + " ORDER BY orders.id DESC")

// Orders lists the orders, the newest first.
func (s *Store) Orders(ctx context.Context) ([]record.Order, error) {
	return orders.all(ctx, s.readers, sqlOrders)
}

// Order reads an order; the error wraps record.ErrNotFound when there is none.
func (s *Store) Order(ctx context.Context, id record.ID) (record.Order, error) {
	return orders.find(ctx, s.readers, orders.byID, int64(id))
}

// SaveOrder saves an order. Errors are as those of SaveUnit.
func (s *Store) SaveOrder(ctx context.Context, o *record.Order) error {
	return save(ctx, s, orders, o)
}

var needs = prepare(table[record.Need]{
	kind: record.KindNeed, name: "needs",
	number:   func(n *record.Need) *record.ID { return &n.ID },
	revision: func(n *record.Need) *int { return &n.Revision },
	check:    (*record.Need).Check,
	columns: func(n *record.Need) []column {
		return []column{
			{"job", integer(&n.Job)}, {"part", text(&n.Part)}, {"designator", text(&n.For)}, {"count", integer(&n.Count)},
			{"progress", text(&n.Progress)}, {"stock", reference(&n.Stock)}, {"order_id", reference(&n.Order)}, {"note", text(&n.Note)},
		}
	},
	settle: func(t *transaction, _, n *record.Need) error {
		var wrong record.Invalid
		_, err := must(t, &wrong, "job", jobs, n.Job)
		if err == nil {
			_, err = must(t, &wrong, "stock", stocks, n.Stock)
		}
		if err == nil {
			_, err = must(t, &wrong, "order", orders, n.Order)
		}
		if err != nil {
			return err
		}
		return asError(wrong)
	},
	about: func(ctx context.Context, q querier, n *record.Need) (about, error) {
		unit, err := unitOf(ctx, q, n.Job)
		return about{unit: unit, job: n.Job, title: n.Part, body: join(n.For, n.Note)}, err
	},
})

var (
	sqlNeedsOfJob = statement(needs.selects + " WHERE needs.job = ? ORDER BY needs.id")
	sqlOpenNeeds  = statement(needs.selects + " JOIN jobs ON jobs.id = needs.job WHERE needs.progress IN ('wanted', 'set aside', 'on order') AND jobs.outcome = '' ORDER BY needs.part, needs.id")
)

// Needs lists the parts that a job needs, in the order in which they were noted;
// for job 0 what is still wanted, set aside or on order for all open jobs, by
// part.
func (s *Store) Needs(ctx context.Context, job record.ID) ([]record.Need, error) {
	if job == 0 {
		return needs.all(ctx, s.readers, sqlOpenNeeds)
	}
	return needs.all(ctx, s.readers, sqlNeedsOfJob, int64(job))
}

// Need reads a need; the error wraps record.ErrNotFound when there is none.
func (s *Store) Need(ctx context.Context, id record.ID) (record.Need, error) {
	return needs.find(ctx, s.readers, needs.byID, int64(id))
}

// SaveNeed saves a need. Errors are as those of SaveUnit.
func (s *Store) SaveNeed(ctx context.Context, n *record.Need) error { return save(ctx, s, needs, n) }
