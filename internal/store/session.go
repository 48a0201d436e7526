package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"halfsplit/internal/record"
)

// A querier runs statements that read; each is prepared once.
type querier interface {
	query(ctx context.Context, statement string, arguments []any) (*sql.Rows, error)
}

// one reads one row; sql.ErrNoRows when there is none.
func one(ctx context.Context, q querier, statement string, arguments []any, targets ...any) error {
	rows, err := q.query(ctx, statement, arguments)
	if err != nil {
		return err
	}
	defer rows.Close()
	if !rows.Next() {
		if err := rows.Err(); err != nil {
			return err
		}
		return sql.ErrNoRows
	}
	if err := rows.Scan(targets...); err != nil {
		return err
	}
	return rows.Close()
}

// each reads every row; row scans one.
func each(ctx context.Context, q querier, statement string, arguments []any, row func(scan func(...any) error) error) error {
	rows, err := q.query(ctx, statement, arguments)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}

// pool is the connections that read.
type pool struct {
	db       *sql.DB
	mutex    sync.Mutex
	prepared map[string]*sql.Stmt
}

// mostPrepared bounds the statements kept ready; filters make many.
const mostPrepared = 300

func (p *pool) query(ctx context.Context, statement string, arguments []any) (*sql.Rows, error) {
	p.mutex.Lock()
	ready := p.prepared[statement]
	p.mutex.Unlock()
	if ready == nil {
		var err error
		if ready, err = p.db.PrepareContext(ctx, statement); err != nil {
			return nil, err
		}
		p.mutex.Lock()
		switch other := p.prepared[statement]; {
		case other != nil:
			ready.Close()
			ready = other
		case len(p.prepared) >= mostPrepared:
			p.mutex.Unlock()
			rows, err := ready.QueryContext(ctx, arguments...)
			ready.Close() // takes effect when the rows are read
			return rows, err
		default:
			if p.prepared == nil {
				p.prepared = map[string]*sql.Stmt{}
			}
			p.prepared[statement] = ready
		}
		p.mutex.Unlock()
	}
	return ready.QueryContext(ctx, arguments...)
}

func (p *pool) close() error {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	var problems []error
	for _, ready := range p.prepared {
		problems = append(problems, ready.Close())
	}
	return errors.Join(append(problems, p.db.Close())...)
}

// session is one connection with its prepared statements, for use by one
// goroutine at a time.
type session struct {
	conn     *sql.Conn
	prepared map[string]*sql.Stmt
}

func (s *session) ready(ctx context.Context, statement string) (*sql.Stmt, error) {
	if ready := s.prepared[statement]; ready != nil {
		return ready, nil
	}
	ready, err := s.conn.PrepareContext(ctx, statement)
	if err != nil {
		return nil, err
	}
	if s.prepared == nil {
		s.prepared = map[string]*sql.Stmt{}
	}
	s.prepared[statement] = ready
	return ready, nil
}

func (s *session) query(ctx context.Context, statement string, arguments []any) (*sql.Rows, error) {
	ready, err := s.ready(ctx, statement)
	if err != nil {
		return nil, err
	}
	return ready.QueryContext(ctx, arguments...)
}

func (s *session) exec(ctx context.Context, statement string, arguments ...any) (int64, error) {
	ready, err := s.ready(ctx, statement)
	if err != nil {
		return 0, err
	}
	result, err := ready.ExecContext(ctx, arguments...)
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

func (s *session) close() error {
	var problems []error
	for _, ready := range s.prepared {
		problems = append(problems, ready.Close())
	}
	return errors.Join(append(problems, s.conn.Close())...)
}

// writer is the one connection that writes.
type writer struct {
	db      *sql.DB
	session *session
	turn    chan struct{} // holds one token: whoever has it writes
	closed  chan struct{} // closed with the records
}

func openWriter(ctx context.Context, path string) (*writer, error) {
	db, err := sql.Open("sqlite", writerName(path))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	w := &writer{db: db, session: &session{conn: conn}, turn: make(chan struct{}, 1), closed: make(chan struct{})}
	w.turn <- struct{}{}
	return w, nil
}

func (w *writer) close() error {
	<-w.turn
	close(w.closed)
	return errors.Join(w.session.close(), w.db.Close())
}

// transaction is a change that is done wholly or not at all.
type transaction struct {
	*session
	// ctx does not end when whoever asked leaves: an interrupted BEGIN or COMMIT
	// would leave it open whether the change is kept. What takes long looks at
	// asked itself.
	ctx   context.Context
	asked context.Context
	now   time.Time
	// told tells what was changed.
	told []record.Change
	// quiet leaves out what tells of changes and when they were made: an import.
	quiet bool
}

// errReadOnly is for changing records that were opened to be read.
var errReadOnly = errors.New("the records are opened for reading only")

// errClosed is for changing records that were closed.
var errClosed = errors.New("the records are closed")

// write runs a change; when it returns nil the change is on disk.
func (s *Store) write(ctx context.Context, change func(*transaction) error) error {
	if s.writer == nil {
		return errReadOnly
	}
	select {
	case <-s.writer.turn:
	case <-s.writer.closed:
		return errClosed
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { s.writer.turn <- struct{}{} }()
	if err := ctx.Err(); err != nil {
		return err
	}
	t := &transaction{session: s.writer.session, ctx: context.WithoutCancel(ctx), asked: ctx, now: s.now().UTC().Round(0)}
	if err := t.run(change); err != nil {
		return explain(err)
	}
	s.watch.tell()
	return nil
}

func (t *transaction) run(change func(*transaction) error) (err error) {
	if _, err := t.exec(t.ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	done := false
	defer func() {
		if !done {
			if _, undo := t.exec(t.ctx, "ROLLBACK"); undo != nil && err != nil && !isNoTransaction(undo) {
				err = fmt.Errorf("%w (and undoing: %w)", err, undo)
			}
		}
	}()
	if err := change(t); err != nil {
		return err
	}
	if err := t.tell(); err != nil {
		return err
	}
	if _, err := t.exec(t.ctx, "COMMIT"); err != nil {
		return err
	}
	done = true
	return nil
}

// snapshot runs reading of the records as they are at one moment, on
// a connection of its own: what was read before is read from the disk again.
// (On a connection that was used before, the integrity check of SQLite 3.54
// takes an index of words that was merged meanwhile for a damaged one.)
func (s *Store) snapshot(ctx context.Context, read func(*session) error) error {
	db, err := sql.Open("sqlite", s.readerName(filepath.Join(s.dir, fileName)))
	if err != nil {
		return explain(err)
	}
	defer db.Close()
	conn, err := db.Conn(ctx)
	if err != nil {
		return explain(err)
	}
	look := &session{conn: conn}
	defer look.close()
	if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
		return explain(err)
	}
	err = read(look)
	if _, end := conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK"); end != nil && err == nil {
		err = end
	}
	return explain(err)
}
