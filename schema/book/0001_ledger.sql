-- A book is one file. `event` is the record; everything else is a projection of it and can be rebuilt from the bodies.
-- Instants are seconds since 1970 UTC; days are local calendar days since 1970; masses are counts of 1.25 ng.

CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- The key that signs this book's heads. It travels with the file: a copied book is a whole book.
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;

-- Books whose events are here; `id` ranks them in book-id order, so that (at, origin, seq) is the total order.
CREATE TABLE origin (
  id   INTEGER PRIMARY KEY,
  book BLOB NOT NULL UNIQUE
) STRICT;

-- An event is numbered by its rowid, 1, 2, 3 ...; from schema 10 on by a column.
CREATE TABLE event (
  origin  INTEGER NOT NULL,
  seq     INTEGER NOT NULL,
  at      INTEGER NOT NULL,
  day     INTEGER NOT NULL,
  kind    TEXT NOT NULL,
  job     TEXT,
  own_id  TEXT,
  digest  BLOB NOT NULL,
  body    TEXT NOT NULL,
  UNIQUE (origin, seq)
) STRICT;
CREATE INDEX event_order ON event (at, origin, seq);
CREATE INDEX event_job ON event (job) WHERE job IS NOT NULL;
CREATE UNIQUE INDEX event_own_id ON event (origin, own_id) WHERE own_id IS NOT NULL;

-- I3: an event, once recorded, never changes.
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted: void it'); END;

-- The head after each transaction, signed once; it covers all events under it (I4).
CREATE TABLE head (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  digest    BLOB NOT NULL,
  signature BLOB NOT NULL,
  PRIMARY KEY (origin, seq)
) STRICT, WITHOUT ROWID;

-- Projections from here on.

CREATE TABLE uncounted (
  event INTEGER PRIMARY KEY,
  by    INTEGER NOT NULL  -- the void
) STRICT;

CREATE TABLE entry (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
CREATE TABLE field (
  entry  INTEGER NOT NULL REFERENCES entry,
  name   TEXT NOT NULL,
  at     INTEGER NOT NULL,
  origin INTEGER NOT NULL,
  seq    INTEGER NOT NULL,
  value  TEXT NOT NULL,
  mass   INTEGER,
  PRIMARY KEY (entry, name, at, origin, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE account (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
CREATE TABLE lot (
  id          INTEGER PRIMARY KEY,
  refrigerant TEXT NOT NULL,
  owner       TEXT NOT NULL,
  condition   TEXT NOT NULL,
  UNIQUE (refrigerant, owner, condition)
) STRICT;
CREATE TABLE posting (
  event   INTEGER NOT NULL,
  n       INTEGER NOT NULL,
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
CREATE INDEX posting_account ON posting (account, event);
CREATE TABLE balance (
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;

-- A cylinder after each event that touched it: what a late entry starts again from.
CREATE TABLE step (
  cylinder INTEGER NOT NULL REFERENCES account,
  at       INTEGER NOT NULL,
  origin   INTEGER NOT NULL,
  seq      INTEGER NOT NULL,
  event    INTEGER NOT NULL,
  moved    INTEGER NOT NULL,
  gap      INTEGER NOT NULL,
  state    BLOB NOT NULL,
  PRIMARY KEY (cylinder, at, origin, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE finding (
  event    INTEGER NOT NULL,
  n        INTEGER NOT NULL,
  severity INTEGER NOT NULL,  -- 0 note, 1 exception, 2 would be refused today
  name     TEXT NOT NULL,
  subject  TEXT NOT NULL,
  text     TEXT NOT NULL,
  seen     TEXT NOT NULL,
  expected TEXT NOT NULL,
  next     TEXT NOT NULL,
  accepted TEXT NOT NULL,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
CREATE INDEX finding_open ON finding (subject, event) WHERE severity > 0;
CREATE TABLE resolved (
  finding TEXT NOT NULL,
  event   INTEGER NOT NULL,
  PRIMARY KEY (finding, event)
) STRICT, WITHOUT ROWID;
