-- Records of a workshop. Times are nanoseconds since 1970 in UTC, NULL when not
-- known. A list that nothing else refers to is JSON. A seal is the SHA-256 of
-- the record as JSON: see seal.go.

-- +goose Up
PRAGMA application_id = 1751938163;

CREATE TABLE origin (
  id       INTEGER PRIMARY KEY CHECK (id = 1),
  identity TEXT    NOT NULL CHECK (length(identity) = 32)
) STRICT;

-- For each kind: the highest number ever given, how many there are, and the sum
-- of their seals, by which a lost or foreign row is noticed.
CREATE TABLE ledger (
  kind  TEXT    PRIMARY KEY,
  last  INTEGER NOT NULL CHECK (last >= 0),
  count INTEGER NOT NULL CHECK (count >= 0),
  sum   BLOB    NOT NULL CHECK (length(sum) = 32)
) STRICT;

CREATE TABLE files (
  hash  TEXT    PRIMARY KEY CHECK (length(hash) = 64),
  size  INTEGER NOT NULL CHECK (size >= 0),
  media TEXT    NOT NULL,
  seal  BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE TABLE settings (
  id            INTEGER PRIMARY KEY CHECK (id = 1),
  revision      INTEGER NOT NULL CHECK (revision >= 1),
  workshop      TEXT    NOT NULL,
  prefix        TEXT    NOT NULL,
  mains         REAL    NOT NULL,
  frequency     REAL    NOT NULL,
  currency      TEXT    NOT NULL,
  temperature   REAL    NOT NULL,
  hours_per_day REAL    NOT NULL CHECK (hours_per_day BETWEEN 0 AND 24),
  people        TEXT    NOT NULL CHECK (json_valid(people)),
  caution       TEXT    NOT NULL,
  seal          BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE TABLE units (
  id            INTEGER PRIMARY KEY CHECK (id > 0),
  revision      INTEGER NOT NULL CHECK (revision >= 1),
  code          TEXT    NOT NULL CHECK (code <> ''),
  maker         TEXT    NOT NULL,
  model         TEXT    NOT NULL CHECK (model <> ''),
  serial        TEXT    NOT NULL,
  year          INTEGER NOT NULL CHECK (year = 0 OR year BETWEEN 1880 AND 2200),
  standing      TEXT    NOT NULL CHECK (standing IN ('kept', 'passed on', 'donor', 'gone')),
  owner         TEXT    NOT NULL,
  source        TEXT    NOT NULL,
  place         TEXT    NOT NULL,
  mains         REAL    NOT NULL CHECK (mains BETWEEN 0 AND 1000),
  hours_per_day REAL    NOT NULL CHECK (hours_per_day BETWEEN 0 AND 24),
  temperature   REAL    CHECK (temperature BETWEEN -40 AND 90),
  last_on       TEXT    NOT NULL,
  history       TEXT    NOT NULL,
  note          TEXT    NOT NULL,
  sheet         TEXT    NOT NULL,
  fitted        TEXT    NOT NULL CHECK (json_valid(fitted)),
  created       INTEGER NOT NULL,
  changed       INTEGER NOT NULL,
  seal          BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE UNIQUE INDEX units_code ON units (lower(code));
CREATE INDEX units_by_code ON units (code, id);
CREATE INDEX units_by_name ON units (maker, model, id);
CREATE INDEX units_by_year ON units (year, id);
CREATE INDEX units_by_change ON units (changed, id);
CREATE INDEX units_by_sheet ON units (sheet, id);

CREATE TABLE sheets (
  id      INTEGER PRIMARY KEY CHECK (id > 0),
  name    TEXT    NOT NULL CHECK (name <> ''),
  version INTEGER NOT NULL CHECK (version >= 1),
  title   TEXT    NOT NULL,
  text    TEXT    NOT NULL CHECK (text <> ''),
  note    TEXT    NOT NULL,
  created INTEGER NOT NULL,
  seal    BLOB    NOT NULL CHECK (length(seal) = 32),
  UNIQUE (name, version)
) STRICT;

CREATE TABLE instruments (
  id         INTEGER PRIMARY KEY CHECK (id > 0),
  revision   INTEGER NOT NULL CHECK (revision >= 1),
  name       TEXT    NOT NULL UNIQUE CHECK (name <> ''),
  line       TEXT    NOT NULL,
  calibrated TEXT    NOT NULL,
  due        TEXT    NOT NULL,
  address    TEXT    NOT NULL,
  note       TEXT    NOT NULL,
  seal       BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE TABLE jobs (
  id           INTEGER PRIMARY KEY CHECK (id > 0),
  revision     INTEGER NOT NULL CHECK (revision >= 1),
  unit         INTEGER NOT NULL REFERENCES units (id),
  title        TEXT    NOT NULL CHECK (title <> ''),
  complaint    TEXT    NOT NULL,
  stage        TEXT    NOT NULL CHECK (stage IN ('intake', 'make safe', 'measure', 'suspects', 'repair', 'prove', 'hand back')),
  sheet        INTEGER REFERENCES sheets (id),
  sure         REAL    NOT NULL CHECK (sure >= 0 AND sure < 1),
  repair_right REAL    NOT NULL CHECK (repair_right >= 0 AND repair_right < 1),
  done_when    TEXT    NOT NULL,
  outcome      TEXT    NOT NULL CHECK (outcome IN ('', 'repaired', 'no fault found', 'beyond repair', 'not worth it', 'handed back unrepaired')),
  reason       TEXT    NOT NULL,
  lesson       TEXT    NOT NULL,
  opened       INTEGER NOT NULL,
  closed       INTEGER CHECK (closed IS NULL OR outcome <> ''),
  changed      INTEGER NOT NULL,
  seal         BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE INDEX jobs_by_unit ON jobs (unit, outcome);
CREATE INDEX jobs_by_opening ON jobs (opened, id);
CREATE INDEX jobs_by_change ON jobs (changed, id);
CREATE INDEX jobs_by_outcome ON jobs (outcome, changed, id);
CREATE INDEX jobs_by_stage ON jobs (stage, changed, id, outcome);
CREATE INDEX jobs_by_sheet ON jobs (sheet);

CREATE TABLE job_instruments (
  job        INTEGER NOT NULL REFERENCES jobs (id),
  place      INTEGER NOT NULL CHECK (place >= 0),
  instrument INTEGER NOT NULL REFERENCES instruments (id),
  PRIMARY KEY (job, place)
) STRICT;
CREATE INDEX job_instruments_by_instrument ON job_instruments (instrument);

-- The logbook, in ink. A chain is the SHA-256 of the chain of the entry before
-- in the same job, followed by the entry as JSON.
CREATE TABLE entries (
  id          INTEGER PRIMARY KEY CHECK (id > 0),
  job         INTEGER NOT NULL REFERENCES jobs (id),
  number      INTEGER NOT NULL CHECK (number >= 1),
  key         TEXT    NOT NULL UNIQUE CHECK (key <> ''),
  at          INTEGER NOT NULL,
  kept        INTEGER NOT NULL,
  verb        TEXT    NOT NULL CHECK (verb <> ''),
  line        TEXT    NOT NULL CHECK (line <> ''),
  who         TEXT    NOT NULL,
  seconds     REAL    NOT NULL CHECK (seconds >= 0),
  cost        INTEGER NOT NULL,
  corrects    INTEGER UNIQUE CHECK (corrects < id),
  instrument  INTEGER REFERENCES instruments (id),
  swaps       INTEGER NOT NULL CHECK (swaps >= 0),
  attachments INTEGER NOT NULL CHECK (attachments >= 0),
  chain       BLOB    NOT NULL CHECK (length(chain) = 32),
  UNIQUE (job, number),
  UNIQUE (job, id),
  FOREIGN KEY (job, corrects) REFERENCES entries (job, id)
) STRICT;
CREATE INDEX entries_by_time ON entries (at, id);
CREATE INDEX entries_by_verb ON entries (verb, at, id);
CREATE INDEX entries_by_person ON entries (who, at, id);
CREATE INDEX entries_by_instrument ON entries (instrument) WHERE instrument IS NOT NULL;

-- Where each logbook ends, by which lost last entries are noticed, and the time
-- and money in it, corrected entries left out.
CREATE TABLE logs (
  job     INTEGER PRIMARY KEY REFERENCES jobs (id),
  last    INTEGER NOT NULL CHECK (last >= 1),
  chain   BLOB    NOT NULL CHECK (length(chain) = 32),
  seconds REAL    NOT NULL,
  cost    INTEGER NOT NULL
) STRICT;

-- How many entries there are of each verb and person.
CREATE TABLE tallies (
  verb  TEXT    NOT NULL,
  who   TEXT    NOT NULL,
  count INTEGER NOT NULL CHECK (count >= 1),
  PRIMARY KEY (verb, who)
) STRICT;

CREATE TABLE bins (
  id       INTEGER PRIMARY KEY CHECK (id > 0),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  code     TEXT    NOT NULL UNIQUE CHECK (code <> ''),
  place    TEXT    NOT NULL,
  note     TEXT    NOT NULL,
  seal     BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE TABLE stocks (
  id       INTEGER PRIMARY KEY CHECK (id > 0),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  bin      INTEGER REFERENCES bins (id),
  part     TEXT    NOT NULL CHECK (part <> ''),
  count    INTEGER NOT NULL CHECK (count >= 0),
  least    INTEGER NOT NULL CHECK (least >= 0),
  maker    TEXT    NOT NULL,
  batch    TEXT    NOT NULL,
  price    INTEGER NOT NULL CHECK (price >= 0),
  origin   TEXT    NOT NULL,
  note     TEXT    NOT NULL,
  seal     BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE INDEX stocks_by_part ON stocks (part, id);
CREATE INDEX stocks_by_bin ON stocks (bin, part, id);

CREATE TABLE swaps (
  entry       INTEGER NOT NULL REFERENCES entries (id),
  place       INTEGER NOT NULL CHECK (place >= 0),
  part        TEXT    NOT NULL CHECK (part <> ''),
  kind        TEXT    NOT NULL,
  out_marking TEXT    NOT NULL,
  out_family  TEXT    NOT NULL,
  out_maker   TEXT    NOT NULL,
  out_batch   TEXT    NOT NULL,
  out_year    INTEGER NOT NULL,
  condition   TEXT    NOT NULL CHECK (condition IN ('not measured', 'good', 'worn', 'spent', 'failed')),
  mode        TEXT    NOT NULL,
  measured    TEXT    NOT NULL,
  in_marking  TEXT    NOT NULL,
  in_maker    TEXT    NOT NULL,
  in_batch    TEXT    NOT NULL,
  stock       INTEGER REFERENCES stocks (id),
  PRIMARY KEY (entry, place)
) STRICT;
CREATE INDEX swaps_by_stock ON swaps (stock) WHERE stock IS NOT NULL;

CREATE TABLE photos (
  id       INTEGER PRIMARY KEY CHECK (id > 0),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  unit     INTEGER NOT NULL REFERENCES units (id),
  job      INTEGER REFERENCES jobs (id),
  file     TEXT    NOT NULL REFERENCES files (hash),
  media    TEXT    NOT NULL,
  width    INTEGER NOT NULL CHECK (width >= 1),
  height   INTEGER NOT NULL CHECK (height >= 1),
  caption  TEXT    NOT NULL,
  taken    INTEGER,
  cover    INTEGER NOT NULL CHECK (cover IN (0, 1)),
  spots    TEXT    NOT NULL CHECK (json_valid(spots)),
  hidden   INTEGER NOT NULL CHECK (hidden IN (0, 1)),
  seal     BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE INDEX photos_by_unit ON photos (unit, hidden, cover, id);
CREATE INDEX photos_by_job ON photos (job, id) WHERE job IS NOT NULL;
CREATE INDEX photos_by_file ON photos (file);

CREATE TABLE traces (
  id       INTEGER PRIMARY KEY CHECK (id > 0),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  job      INTEGER NOT NULL REFERENCES jobs (id),
  name     TEXT    NOT NULL CHECK (name <> ''),
  file     TEXT    NOT NULL REFERENCES files (hash),
  source   TEXT    REFERENCES files (hash),
  channels TEXT    NOT NULL CHECK (json_valid(channels)),
  rows     INTEGER NOT NULL CHECK (rows >= 0),
  seconds  REAL    NOT NULL CHECK (seconds >= 0),
  taken    INTEGER,
  note     TEXT    NOT NULL,
  seal     BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE INDEX traces_by_job ON traces (job, id);

-- Photos and traces that belong to an entry.
CREATE TABLE attachments (
  entry INTEGER NOT NULL REFERENCES entries (id),
  place INTEGER NOT NULL CHECK (place >= 0),
  photo INTEGER REFERENCES photos (id),
  trace INTEGER REFERENCES traces (id),
  PRIMARY KEY (entry, place),
  CHECK ((photo IS NULL) <> (trace IS NULL))
) STRICT;

CREATE TABLE soaks (
  id          INTEGER PRIMARY KEY CHECK (id > 0),
  revision    INTEGER NOT NULL CHECK (revision >= 1),
  job         INTEGER NOT NULL REFERENCES jobs (id),
  started     INTEGER NOT NULL,
  temperature REAL,
  note        TEXT    NOT NULL,
  ended       INTEGER CHECK (ended >= started),
  failed      INTEGER NOT NULL CHECK (failed IN (0, 1)),
  entry       INTEGER,
  seal        BLOB    NOT NULL CHECK (length(seal) = 32),
  FOREIGN KEY (job, entry) REFERENCES entries (job, id)
) STRICT;
CREATE INDEX soaks_by_job ON soaks (job, id);

CREATE TABLE orders (
  id       INTEGER PRIMARY KEY CHECK (id > 0),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  supplier TEXT    NOT NULL CHECK (supplier <> ''),
  number   TEXT    NOT NULL,
  placed   TEXT    NOT NULL,
  arrived  TEXT    NOT NULL,
  note     TEXT    NOT NULL,
  lines    TEXT    NOT NULL CHECK (json_valid(lines)),
  created  INTEGER NOT NULL,
  seal     BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE TABLE needs (
  id          INTEGER PRIMARY KEY CHECK (id > 0),
  revision    INTEGER NOT NULL CHECK (revision >= 1),
  job         INTEGER NOT NULL REFERENCES jobs (id),
  part        TEXT    NOT NULL CHECK (part <> ''),
  designator  TEXT    NOT NULL,
  count       INTEGER NOT NULL CHECK (count >= 1),
  progress    TEXT    NOT NULL CHECK (progress IN ('wanted', 'set aside', 'on order', 'fitted', 'not needed')),
  stock       INTEGER REFERENCES stocks (id),
  order_id    INTEGER REFERENCES orders (id),
  note        TEXT    NOT NULL,
  seal        BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE INDEX needs_by_job ON needs (job, id);
CREATE INDEX needs_by_progress ON needs (progress, id);
CREATE INDEX needs_by_stock ON needs (stock) WHERE stock IS NOT NULL;
CREATE INDEX needs_by_order ON needs (order_id) WHERE order_id IS NOT NULL;

CREATE TABLE devices (
  id       INTEGER PRIMARY KEY CHECK (id > 0),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  name     TEXT    NOT NULL,
  token    TEXT    NOT NULL UNIQUE CHECK (length(token) = 64),
  created  INTEGER NOT NULL,
  seen     INTEGER,
  revoked  INTEGER,
  seal     BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

CREATE TABLE reports (
  id    INTEGER PRIMARY KEY CHECK (id > 0),
  bench TEXT    NOT NULL UNIQUE CHECK (bench <> ''),
  text  TEXT    NOT NULL,
  taken INTEGER NOT NULL,
  seal  BLOB    NOT NULL CHECK (length(seal) = 32)
) STRICT;

-- What was changed, newest ones only, for pages that follow.
CREATE TABLE changes (
  number INTEGER PRIMARY KEY CHECK (number > 0),
  kind   TEXT    NOT NULL,
  record INTEGER NOT NULL,
  unit   INTEGER,
  job    INTEGER,
  at     INTEGER NOT NULL
) STRICT;

-- The words of each record, and two indexes over them: entries have one of their
-- own, for there are so many. A number here is the place of the kind (text.go)
-- shifted left by 40 bits, plus the number of the record; from 2^56 on they are
-- entries.
CREATE TABLE texts (
  id    INTEGER PRIMARY KEY,
  unit  INTEGER,
  job   INTEGER,
  at    INTEGER,
  title TEXT    NOT NULL,
  body  TEXT    NOT NULL
) STRICT;
CREATE VIEW record_texts AS SELECT id, title, body FROM texts WHERE id < 72057594037927936;
CREATE VIEW entry_texts AS SELECT id, title, body FROM texts WHERE id >= 72057594037927936;
CREATE VIRTUAL TABLE words USING fts5 (title, body, content = 'record_texts', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3 4 5 6 7 8');
CREATE VIRTUAL TABLE entry_words USING fts5 (title, body, content = 'entry_texts', content_rowid = 'id', tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3');

-- +goose StatementBegin
CREATE TRIGGER words_added AFTER INSERT ON texts WHEN NEW.id < 72057594037927936 BEGIN
  INSERT INTO words (rowid, title, body) VALUES (NEW.id, NEW.title, NEW.body);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER words_removed AFTER DELETE ON texts WHEN OLD.id < 72057594037927936 BEGIN
  INSERT INTO words (words, rowid, title, body) VALUES ('delete', OLD.id, OLD.title, OLD.body);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER words_changed AFTER UPDATE ON texts WHEN OLD.id < 72057594037927936 BEGIN
  INSERT INTO words (words, rowid, title, body) VALUES ('delete', OLD.id, OLD.title, OLD.body);
  INSERT INTO words (rowid, title, body) VALUES (NEW.id, NEW.title, NEW.body);
END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER entry_words_added AFTER INSERT ON texts WHEN NEW.id >= 72057594037927936 BEGIN
  INSERT INTO entry_words (rowid, title, body) VALUES (NEW.id, NEW.title, NEW.body);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entry_words_removed AFTER DELETE ON texts WHEN OLD.id >= 72057594037927936 BEGIN
  INSERT INTO entry_words (entry_words, rowid, title, body) VALUES ('delete', OLD.id, OLD.title, OLD.body);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entry_words_changed AFTER UPDATE ON texts WHEN OLD.id >= 72057594037927936 BEGIN
  INSERT INTO entry_words (entry_words, rowid, title, body) VALUES ('delete', OLD.id, OLD.title, OLD.body);
  INSERT INTO entry_words (rowid, title, body) VALUES (NEW.id, NEW.title, NEW.body);
END;
-- +goose StatementEnd

-- Ink: nothing in a logbook is changed or taken out, nor a version of a sheet.
-- +goose StatementBegin
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN
  SELECT RAISE(ABORT, 'the logbook is in ink: correct an entry by a later one');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entries_last BEFORE DELETE ON entries BEGIN
  SELECT RAISE(ABORT, 'the logbook is in ink: no entry is taken out');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER swaps_stay BEFORE UPDATE ON swaps BEGIN
  SELECT RAISE(ABORT, 'the logbook is in ink: correct an entry by a later one');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER swaps_last BEFORE DELETE ON swaps BEGIN
  SELECT RAISE(ABORT, 'the logbook is in ink: no entry is taken out');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER attachments_stay BEFORE UPDATE ON attachments BEGIN
  SELECT RAISE(ABORT, 'the logbook is in ink: correct an entry by a later one');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER attachments_last BEFORE DELETE ON attachments BEGIN
  SELECT RAISE(ABORT, 'the logbook is in ink: no entry is taken out');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sheets_stay BEFORE UPDATE ON sheets BEGIN
  SELECT RAISE(ABORT, 'a version of a sheet is not changed: save the next one');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sheets_last BEFORE DELETE ON sheets BEGIN
  SELECT RAISE(ABORT, 'a version of a sheet is not taken out: jobs were reasoned with it');
END;
-- +goose StatementEnd
