package prediction

import (
	"context"
	"runtime"
	"sync"
)

// ForecastAll works out many cases on all processors, in their order. Progress,
// when not nil, is told how many of them are done; it is called from one goroutine
// at a time. Cases that are alike are worked out once. The first error ends it.
func (p *Predictor) ForecastAll(ctx context.Context, cases []Case, progress func(done, of int)) ([]*Forecast, error) {
	list := make([]*Forecast, len(cases))
	first := map[[32]byte]int{} // of those that are alike
	var like [][2]int
	var different []int
	for i, c := range cases {
		key := p.key(c)
		if j, ok := first[key]; ok {
			like = append(like, [2]int{i, j})
			continue
		}
		first[key] = i
		different = append(different, i)
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	next := make(chan int)
	var wait sync.WaitGroup
	var mutex sync.Mutex
	done := len(like)
	for range min(runtime.GOMAXPROCS(0), len(different)) {
		wait.Go(func() {
			for i := range next {
				f, err := p.Forecast(ctx, cases[i].Bench, cases[i].Troubles)
				if err != nil {
					cancel(err)
					continue
				}
				list[i] = f
				if progress != nil {
					mutex.Lock()
					done++
					progress(done, len(cases))
					mutex.Unlock()
				}
			}
		})
	}
	for _, i := range different {
		select {
		case next <- i:
		case <-ctx.Done():
		}
	}
	close(next)
	wait.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	for _, pair := range like {
		list[pair[0]] = list[pair[1]]
	}
	return list, nil
}
