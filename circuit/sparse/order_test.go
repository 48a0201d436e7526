package sparse

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/bench/networks"
)

// edges returns the neighbours of each vertex of a graph.
func edges(n int, pairs [][2]int) (start, neighbours []int32) {
	lists := make([][]int32, n)
	for _, p := range pairs {
		i, j := p[0], p[1]
		if i != j && !slices.Contains(lists[i], int32(j)) {
			lists[i], lists[j] = append(lists[i], int32(j)), append(lists[j], int32(i))
		}
	}
	start = []int32{0}
	for _, list := range lists {
		neighbours = append(neighbours, list...)
		start = append(start, int32(len(neighbours)))
	}
	return start, neighbours
}

// fillOf eliminates a graph vertex by vertex and counts the values of L below
// the diagonal.
func fillOf(n int, pairs [][2]int, order []int32) int {
	next := make([]map[int32]bool, n)
	for i := range next {
		next[i] = map[int32]bool{}
	}
	for _, p := range pairs {
		if p[0] != p[1] {
			next[p[0]][int32(p[1])], next[p[1]][int32(p[0])] = true, true
		}
	}
	fill := 0
	for _, v := range order {
		fill += len(next[v])
		for i := range next[v] {
			delete(next[i], v)
			for j := range next[v] {
				if i != j {
					next[i][j] = true
				}
			}
		}
	}
	return fill
}

// minimumDegree orders a graph given as the neighbours of each vertex.
func minimumDegree(n int, start, neighbours []int32) (order []int32, fill int) {
	g := newQuotientGraph(n, make(ints, 6*n))
	g.begin(n)
	g.lists = append(g.lists, neighbours...)
	for i := range n {
		g.setList(i, int(start[i]), int(start[i+1]))
	}
	return g.order()
}

func isPermutation(order []int32, n int) bool {
	sorted := slices.Clone(order)
	slices.Sort(sorted)
	for i, v := range sorted {
		if int(v) != i {
			return false
		}
	}
	return len(order) == n
}

func TestMinimumDegreeWithoutFill(t *testing.T) {
	// Graphs that can be eliminated without fill. The values of L are then the
	// edges; where unknowns of two neighbours abound, one more each is allowed.
	const n = 30
	var path, star, tree, cliques [][2]int
	for i := 1; i < n; i++ {
		path = append(path, [2]int{i - 1, i})
		star = append(star, [2]int{0, i})
		tree = append(tree, [2]int{(i - 1) / 2, i})
		for j := i - i%5; j < i; j++ {
			cliques = append(cliques, [2]int{j, i})
		}
	}
	for name, pairs := range map[string][][2]int{"path": path, "star": star, "tree": tree, "cliques": cliques, "nothing": nil} {
		start, neighbours := edges(n, pairs)
		order, fill := minimumDegree(n, start, neighbours)
		allowed := len(pairs)
		if name == "path" || name == "tree" {
			allowed += n
		}
		if got := fillOf(n, pairs, order); got > allowed || fill != got || !isPermutation(order, n) {
			t.Errorf("%s: order %v has %d values, said to be %d; want %d", name, order, got, fill, allowed)
		}
	}
}

// TestMinimumDegreeOnGraphs: whatever the graph, the order is a permutation,
// the fill is what elimination really gives, and not much more than that of an
// arbitrary order.
func TestMinimumDegreeOnGraphs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		vertex := rapid.IntRange(0, n-1)
		pairs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) [2]int {
			return [2]int{vertex.Draw(t, "a"), vertex.Draw(t, "b")}
		}), 0, 4*n).Draw(t, "edges")
		start, neighbours := edges(n, pairs)
		order, fill := minimumDegree(n, start, neighbours)
		if !isPermutation(order, n) {
			t.Fatalf("%v is no permutation of %d", order, n)
		}
		got := fillOf(n, pairs, order)
		if got != fill {
			t.Errorf("fill %d, said to be %d", got, fill)
		}
		natural := make([]int32, n)
		for i := range natural {
			natural[i] = int32(i)
		}
		if worse := fillOf(n, pairs, natural); got > 2*worse+10 {
			t.Errorf("fill %d; the order as numbered has %d", got, worse)
		}
	})
}

// TestMinimumDegreeOfGrid: row after row, a square grid would fill a band as
// wide as its side.
func TestMinimumDegreeOfGrid(t *testing.T) {
	const side = 30
	var pairs [][2]int
	for i := range side * side {
		if i%side > 0 {
			pairs = append(pairs, [2]int{i - 1, i})
		}
		if i >= side {
			pairs = append(pairs, [2]int{i - side, i})
		}
	}
	start, neighbours := edges(side*side, pairs)
	_, fill := minimumDegree(side*side, start, neighbours)
	if band := side * side * side; fill > band/2 {
		t.Errorf("%d values, want less than half of the %d of a band", fill, band)
	}
}

// TestDenseRows: a rail that touches everything comes last and spoils nothing.
func TestDenseRows(t *testing.T) {
	const n = 2000
	var pairs [][2]int
	for i := 1; i < n; i++ {
		pairs = append(pairs, [2]int{0, i})
		if i > 1 {
			pairs = append(pairs, [2]int{i - 1, i})
		}
	}
	start, neighbours := edges(n, pairs)
	order, _ := minimumDegree(n, start, neighbours)
	if !isPermutation(order, n) || order[n-1] != 0 {
		t.Fatalf("the rail is not last")
	}
	if got := fillOf(n, pairs, order); got > 2*n {
		t.Errorf("%d values, want at most %d", got, 2*n)
	}
}

// TestTransversalAndBlocks checks the block triangular form of random patterns
// against its definition.
func TestTransversalAndBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "pattern"), 1))
		p := NewPattern(n)
		for i, j := range r.Perm(n) {
			p.Entry(i, j)
		}
		for range rapid.IntRange(0, 3*n).Draw(t, "more") {
			p.Entry(r.IntN(n), r.IntN(n))
		}
		start, rows, slots := make([]int32, n+1), make([]int32, len(p.rows)), make([]int32, len(p.rows))
		room := make(ints, 6*n)
		byColumn(start, rows, slots, p.rows, p.cols, room)
		rowOf := make([]int32, n)
		maximumTransversal(rowOf, start, rows, room)
		if !isPermutation(rowOf, n) {
			t.Fatalf("pairs %v leave something out", rowOf)
		}
		for j, i := range rowOf {
			if !slices.Contains(rows[start[j]:start[j+1]], i) {
				t.Fatalf("column %d is paired with row %d, which is not in the pattern", j, i)
			}
		}
		order, blockStart := triangularBlocks(nil, nil, start, rows, rowOf, room)
		if !isPermutation(order, n) || blockStart[len(blockStart)-1] != int32(n) {
			t.Fatalf("order %v, blocks %v", order, blockStart)
		}
		block, columnOf := make([]int, n), make([]int32, n)
		for b := range len(blockStart) - 1 {
			for _, j := range order[blockStart[b]:blockStart[b+1]] {
				block[j] = b
			}
		}
		for j, i := range rowOf {
			columnOf[i] = int32(j)
		}
		// reach[i][j]: the unknown of column j is needed for that of column i.
		reach := make([][]bool, n)
		for j := range reach {
			reach[j] = make([]bool, n)
			reach[j][j] = true
		}
		for s, i := range p.rows {
			j := p.cols[s]
			reach[j][columnOf[i]] = true
			if block[columnOf[i]] > block[j] {
				t.Errorf("row %d, column %d lies below the diagonal blocks", i, j)
			}
		}
		for k := range n {
			for i := range n {
				for j := range n {
					reach[i][j] = reach[i][j] || reach[i][k] && reach[k][j]
				}
			}
		}
		for i := range n {
			for j := range n {
				if together := reach[i][j] && reach[j][i]; together != (block[i] == block[j]) {
					t.Errorf("columns %d and %d depend on each other: %v; in one block: %v", i, j, together, block[i] == block[j])
				}
			}
		}
	})
}

// TestPlan checks that a plan covers every value once: each slot has a place of
// its own, and a refactorization leaves the same values as the one before.
func TestPlan(t *testing.T) {
	for _, kind := range networks.Kinds {
		s := networks.Make(kind, 400, 2)
		p := NewPattern(s.Size)
		for k := range s.Rows {
			p.Entry(s.Rows[k], s.Columns[k])
		}
		lu, err := Factor(p, s.Real())
		if err != nil {
			t.Fatal(err)
		}
		if err := lu.Refactor(s.Real()); err != nil {
			t.Fatal(err)
		}
		seen := make(map[int32]bool)
		for s, place := range lu.place {
			if seen[place] || place < 0 || place >= lu.length {
				t.Fatalf("%s: slot %d is at %d, which is taken or outside %d", kind, s, place, lu.length)
			}
			seen[place] = true
		}
		if len(lu.fronts) == 0 && kind == "grid" {
			t.Errorf("%s: no fronts", kind)
		}
		before := slices.Clone(lu.values)
		if err := lu.Refactor(s.Real()); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(before, lu.values) {
			t.Errorf("%s: refactoring the same values gives others", kind)
		}
	}
}

func TestPatternMisuse(t *testing.T) {
	panics := func(name string, f func()) {
		t.Helper()
		defer func() {
			if recover() == nil {
				t.Errorf("%s: no panic", name)
			}
		}()
		f()
	}
	p := NewPattern(2)
	first, second := p.Entry(0, 0), p.Entry(1, 1)
	if again := p.Entry(0, 0); first != 0 || second != 1 || again != first {
		t.Errorf("slots %d, %d, %d; want 0, 1, 0", first, second, again)
	}
	if row, column := p.Position(second); row != 1 || column != 1 || p.Size() != 2 || p.Slots() != 2 {
		t.Errorf("slot 1 is at %d, %d of size %d with %d slots", row, column, p.Size(), p.Slots())
	}
	p.Freeze()
	p.Freeze()
	if p.Entry(1, 1) != second {
		t.Error("freezing has moved a slot")
	}
	lu, err := Factor(p, []float64{2, 4})
	if err != nil {
		t.Fatal(err)
	}
	panics("row too large", func() { p.Entry(2, 0) })
	panics("column negative", func() { p.Entry(0, -1) })
	panics("new entry when frozen", func() { p.Entry(0, 1) })
	panics("negative size", func() { NewPattern(-1) })
	panics("short vector", func() { lu.Solve(make([]float64, 1)) })
	panics("long vector", func() { lu.SolveTransposed(make([]float64, 3)) })
	panics("refining with too few values", func() { lu.SolveRefined([]float64{1}, make([]float64, 2)) })
	if _, err := Factor(p, []float64{1}); err == nil {
		t.Error("Factor accepts too few values")
	}
	if err := lu.Refactor([]float64{1, 2, 3}); err == nil {
		t.Error("Refactor accepts too many values")
	}
	x := []float64{2, 4}
	if lu.Solve(x); x[0] != 1 || x[1] != 1 {
		t.Errorf("x = %v, want ones", x)
	}
	empty := NewPattern(0)
	if lu, err := Factor(empty, []float64(nil)); err != nil || lu.Size() != 0 || lu.ReciprocalCondition(nil) != 1 {
		t.Errorf("empty matrix: %v", err)
	} else {
		lu.Solve(nil)
	}
}
