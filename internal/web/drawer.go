package web

import (
	"fmt"
	"net/http"
	"strconv"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// drawerScreens are those of the parts drawer: stock, needs and orders.
func (s *Server) drawerScreens() []Page {
	return []Page{
		{"GET /drawer", s.drawer, "/drawer"},
		{"POST /drawer/bins", s.addBin, ""},
		{"GET /drawer/stock/new", s.newStock, "/drawer/stock/new"},
		{"POST /drawer/stock", s.addStock, ""},
		{"GET /drawer/stock/{stock}", s.editStock, ""},
		{"POST /drawer/stock/{stock}", s.changeStock, ""},
		{"POST /drawer/stock/{stock}/count", s.countStock, ""},
		{"GET /drawer/needs", s.needs, "/drawer/needs"},
		{"POST /drawer/needs", s.addNeed, ""},
		{"POST /drawer/needs/{need}", s.moveNeed, ""},
		{"GET /drawer/orders", s.orders, "/drawer/orders"},
		{"POST /drawer/orders", s.addOrder, ""},
		{"POST /drawer/orders/{order}/arrived", s.orderArrived, ""},
	}
}

// drawerTabs lead between the screens of the drawer.
func drawerTabs() []look.Link {
	return []look.Link{{Text: "Stock", Path: "/drawer"}, {Text: "Needs", Path: "/drawer/needs"}, {Text: "Orders", Path: "/drawer/orders"}}
}

// drawer lists what is there.
func (s *Server) drawer(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	return s.drawerView(r, in)
}

func (s *Server) drawerView(r *http.Request, in *Input) (View, error) {
	f := record.StockFilter{Text: in.Text("q"), Short: in.Text("short") != ""}
	if n, err := strconv.ParseInt(in.Text("bin"), 10, 64); err == nil {
		f.Bin = record.ID(n)
	}
	f.After, f.Limit = in.Text("after"), 100
	list, err := s.records.Stocks(r.Context(), f)
	if err != nil {
		return View{}, err
	}
	bins, err := s.binNames(r)
	if err != nil {
		return View{}, err
	}
	return View{Title: "Parts drawer", Place: "/drawer", Body: drawerPage(list, bins, f, in), Status: in.Status()}, nil
}

// binNames gives the codes of the bins.
func (s *Server) binNames(r *http.Request) ([]record.Bin, error) { return s.records.Bins(r.Context()) }

// binOptions are the bins to choose from.
func binOptions(bins []record.Bin) []look.Option {
	list := []look.Option{{Value: "", Text: "no bin"}}
	for _, b := range bins {
		list = append(list, look.Option{Value: strconv.FormatInt(int64(b.ID), 10), Text: b.Code})
	}
	return list
}

// binCode is the code of a bin.
func binCode(bins []record.Bin, id record.ID) string {
	for _, b := range bins {
		if b.ID == id {
			return b.Code
		}
	}
	return ""
}

// addBin labels a new bin.
func (s *Server) addBin(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	b := record.Bin{Code: in.Text("code"), Place: in.Text("place")}
	if err := beside(in, s.records.SaveBin(r.Context(), &b)); err != nil {
		return View{}, err
	}
	if !in.OK() {
		return s.drawerView(r, in)
	}
	return View{Go: "/drawer", Said: "Bin " + b.Code + " is there."}, nil
}

// newStock shows the form of a part to be put into the drawer.
func (s *Server) newStock(r *http.Request) (View, error) {
	return s.stockView(r, record.Stock{Count: 1}, blank())
}

// editStock shows the form of a part in the drawer.
func (s *Server) editStock(r *http.Request) (View, error) {
	id, err := number(r, "stock")
	if err != nil {
		return View{}, err
	}
	k, err := s.records.Stock(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return s.stockView(r, k, blank())
}

func (s *Server) stockView(r *http.Request, k record.Stock, in *Input) (View, error) {
	bins, err := s.binNames(r)
	if err != nil {
		return View{}, err
	}
	return View{Title: "A part in the drawer", Place: "/drawer", Back: look.Link{Text: "Parts drawer", Path: "/drawer"}, Body: stockPage(k, bins, in), Status: in.Status()}, nil
}

// addStock puts a part into the drawer.
func (s *Server) addStock(r *http.Request) (View, error) { return s.saveStock(r, record.Stock{}) }

// changeStock changes what is known of a part in the drawer.
func (s *Server) changeStock(r *http.Request) (View, error) {
	id, err := number(r, "stock")
	if err != nil {
		return View{}, err
	}
	k, err := s.records.Stock(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return s.saveStock(r, k)
}

func (s *Server) saveStock(r *http.Request, k record.Stock) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	k.Part, k.Maker, k.Batch, k.Origin, k.Note = in.Text("part"), in.Text("maker"), in.Text("batch"), in.Text("origin"), in.Text("note")
	k.Count, k.Least = in.whole("count", "Write how many as a whole number."), in.whole("least", "Write a whole number, or leave it empty.")
	k.Price = in.money("price")
	k.Bin = record.ID(in.whole("bin", "Choose a bin."))
	if k.ID != 0 {
		k.Revision = in.whole("revision", "")
	}
	if in.OK() {
		if err := beside(in, s.records.SaveStock(r.Context(), &k)); err != nil {
			return View{}, err
		}
	}
	if !in.OK() {
		return s.stockView(r, k, in)
	}
	return View{Go: "/drawer", Said: k.Part + " is kept."}, nil
}

// money reads an amount, in hundredths.
func (in *Input) money(name string) int64 {
	text := in.Text(name)
	if text == "" {
		return 0
	}
	n, err := bench.Money(text)
	if err != nil {
		in.Wrong(name, sentence(err.Error()))
	}
	return n
}

// countStock takes one out or puts one in.
func (s *Server) countStock(r *http.Request) (View, error) {
	id, err := number(r, "stock")
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	k, err := s.records.Stock(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	k.Count += in.whole("by", "Write a whole number.")
	if err := beside(in, s.records.SaveStock(r.Context(), &k)); err != nil {
		return View{}, err
	}
	if !in.OK() {
		return View{Go: "/drawer", Said: "There are no more of these."}, nil
	}
	return View{Go: "/drawer", Said: fmt.Sprintf("%d × %s", k.Count, k.Part)}, nil
}

// wantedPart is a need with its job and what of the stock would serve.
type wantedPart struct {
	record.Need
	job string
}

// needs lists what open jobs need.
func (s *Server) needs(r *http.Request) (View, error) {
	return s.needsView(r, blank())
}

func (s *Server) needsView(r *http.Request, in *Input) (View, error) {
	ctx := r.Context()
	list, err := s.records.Needs(ctx, 0)
	if err != nil {
		return View{}, err
	}
	open := true
	jobs, err := s.records.Jobs(ctx, record.JobFilter{Open: &open, Page: record.Page{Limit: 500}})
	if err != nil {
		return View{}, err
	}
	title := map[record.ID]string{}
	options := []look.Option{}
	for _, j := range jobs.Items {
		title[j.ID] = j.UnitCode + " " + j.Title
		options = append(options, look.Option{Value: strconv.FormatInt(int64(j.ID), 10), Text: title[j.ID]})
	}
	var rows []wantedPart
	for _, n := range list {
		rows = append(rows, wantedPart{n, title[n.Job]})
	}
	return View{Title: "Needs", Place: "/drawer", Body: needsPage(rows, options, in), Status: in.Status()}, nil
}

// addNeed notes that a job needs a part.
func (s *Server) addNeed(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	n := record.Need{Job: record.ID(in.whole("job", "Choose a job.")), Part: in.Text("part"), For: in.Text("for"), Note: in.Text("note"),
		Count: max(1, in.whole("count", "Write how many as a whole number.")), Progress: record.Wanted}
	if in.OK() {
		if err := beside(in, s.records.SaveNeed(r.Context(), &n)); err != nil {
			return View{}, err
		}
	}
	if !in.OK() {
		return s.needsView(r, in)
	}
	return View{Go: "/drawer/needs", Said: n.Part + " is noted."}, nil
}

// moveNeed says how far a need has come.
func (s *Server) moveNeed(r *http.Request) (View, error) {
	id, err := number(r, "need")
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	n, err := s.records.Need(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	n.Progress = record.Progress(in.Text("progress"))
	if err := beside(in, s.records.SaveNeed(r.Context(), &n)); err != nil {
		return View{}, err
	}
	if !in.OK() {
		return s.needsView(r, in)
	}
	return View{Go: "/drawer/needs", Said: n.Part + ": " + string(n.Progress) + "."}, nil
}

// orders lists what was ordered.
func (s *Server) orders(r *http.Request) (View, error) {
	return s.ordersView(r, blank())
}

func (s *Server) ordersView(r *http.Request, in *Input) (View, error) {
	ctx := r.Context()
	list, err := s.records.Orders(ctx)
	if err != nil {
		return View{}, err
	}
	all, err := s.records.Needs(ctx, 0)
	if err != nil {
		return View{}, err
	}
	var wanted []record.Need
	for _, n := range all {
		if n.Progress == record.Wanted {
			wanted = append(wanted, n)
		}
	}
	settings, err := s.records.Settings(ctx)
	if err != nil {
		return View{}, err
	}
	return View{Title: "Orders", Place: "/drawer", Body: ordersPage(list, wanted, settings, in), Status: in.Status()}, nil
}

// addOrder orders the needs that were ticked.
func (s *Server) addOrder(r *http.Request) (View, error) {
	ctx := r.Context()
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	o := record.Order{Supplier: in.Text("supplier"), Number: in.Text("number"), Placed: record.Day(s.now().Format("2006-01-02")), Note: in.Text("note")}
	var needs []record.Need
	for _, text := range in.All("need") {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return View{}, ErrNotFound
		}
		n, err := s.records.Need(ctx, record.ID(id))
		if err != nil {
			return View{}, missing(err)
		}
		needs = append(needs, n)
		o.Lines = append(o.Lines, record.OrderLine{Part: n.Part, Count: n.Count, Job: n.Job})
	}
	if len(needs) == 0 {
		in.Wrong("need", "Tick what is to be ordered.")
	}
	if in.OK() {
		if err := beside(in, s.records.SaveOrder(ctx, &o)); err != nil {
			return View{}, err
		}
	}
	if !in.OK() {
		return s.ordersView(r, in)
	}
	for _, n := range needs {
		n.Progress, n.Order = record.OnOrder, o.ID
		if err := s.records.SaveNeed(ctx, &n); err != nil {
			return View{}, err
		}
	}
	return View{Go: "/drawer/orders", Said: "Ordered from " + o.Supplier + "."}, nil
}

// orderArrived puts what was ordered aside for its jobs.
func (s *Server) orderArrived(r *http.Request) (View, error) {
	ctx := r.Context()
	id, err := number(r, "order")
	if err != nil {
		return View{}, err
	}
	o, err := s.records.Order(ctx, id)
	if err != nil {
		return View{}, missing(err)
	}
	if o.Arrived == "" {
		o.Arrived = record.Day(s.now().Format("2006-01-02"))
		if err := s.records.SaveOrder(ctx, &o); err != nil {
			return View{}, err
		}
		needs, err := s.records.Needs(ctx, 0)
		if err != nil {
			return View{}, err
		}
		for _, n := range needs {
			if n.Order == o.ID && n.Progress == record.OnOrder {
				n.Progress = record.SetAside
				if err := s.records.SaveNeed(ctx, &n); err != nil {
					return View{}, err
				}
			}
		}
	}
	return View{Go: "/drawer/orders", Said: "The parts from " + o.Supplier + " are set aside for their jobs."}, nil
}
