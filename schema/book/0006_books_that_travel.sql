-- Books travel: events of several books lie in one file. An origin's number ranks it: 47 bits of the book's id, then
-- sixteen of the branch, so that (at, origin, seq) is the total order whatever came in first.
CREATE TABLE ranked (
  id     INTEGER PRIMARY KEY,
  book   BLOB NOT NULL,
  branch INTEGER NOT NULL,  -- 0 unless the book was copied and both copies went on
  UNIQUE (book, branch)
) STRICT;
INSERT INTO ranked (id, book, branch)
  SELECT ((((instr('0123456789ABCDEF', substr(hex(book), 1, 1)) - 1) << 44) |
           ((instr('0123456789ABCDEF', substr(hex(book), 2, 1)) - 1) << 40) |
           ((instr('0123456789ABCDEF', substr(hex(book), 3, 1)) - 1) << 36) |
           ((instr('0123456789ABCDEF', substr(hex(book), 4, 1)) - 1) << 32) |
           ((instr('0123456789ABCDEF', substr(hex(book), 5, 1)) - 1) << 28) |
           ((instr('0123456789ABCDEF', substr(hex(book), 6, 1)) - 1) << 24) |
           ((instr('0123456789ABCDEF', substr(hex(book), 7, 1)) - 1) << 20) |
           ((instr('0123456789ABCDEF', substr(hex(book), 8, 1)) - 1) << 16) |
           ((instr('0123456789ABCDEF', substr(hex(book), 9, 1)) - 1) << 12) |
           ((instr('0123456789ABCDEF', substr(hex(book), 10, 1)) - 1) << 8) |
           ((instr('0123456789ABCDEF', substr(hex(book), 11, 1)) - 1) << 4) |
           (instr('0123456789ABCDEF', substr(hex(book), 12, 1)) - 1)) >> 1) << 16, book, 0 FROM origin;
DROP TABLE origin;
ALTER TABLE ranked RENAME TO origin;

-- Until here every book had one origin, number 1.
DROP TRIGGER event_is_never_changed;
UPDATE event SET origin = (SELECT id FROM origin);
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END;
-- One event may come under several heads: a stranger can sign what is not theirs, and the true head comes later.
CREATE TABLE heads (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  signature BLOB NOT NULL,
  digest    BLOB NOT NULL,
  PRIMARY KEY (origin, seq, signature)
) STRICT, WITHOUT ROWID;
INSERT INTO heads SELECT (SELECT id FROM origin), seq, signature, digest FROM head;
DROP TABLE head;
ALTER TABLE heads RENAME TO head;
UPDATE field SET origin = (SELECT id FROM origin);
UPDATE step SET origin = (SELECT id FROM origin);
UPDATE settlement SET origin = (SELECT id FROM origin);

-- Of events that name another by its digest (voids, statements): which may come before it, from another book.
CREATE TABLE naming (
  digest BLOB NOT NULL,
  event  INTEGER NOT NULL,
  PRIMARY KEY (digest, event)
) STRICT, WITHOUT ROWID;
INSERT OR IGNORE INTO naming (digest, event)
  SELECT t.digest, u.by FROM uncounted u JOIN event t ON t.rowid = u.event;
INSERT OR IGNORE INTO naming (digest, event)
  SELECT r.digest, s.event FROM settlement s JOIN event r ON r.rowid = s.returned;

-- An event's number belongs to one book: what was resolved is found by the row that the finding is about. `finding` is
-- its name without that event; `about` is 0 where the name ends in none.
CREATE TABLE resolved_about (
  finding TEXT NOT NULL,
  about   INTEGER NOT NULL,
  event   INTEGER NOT NULL,
  PRIMARY KEY (finding, about, event)
) STRICT, WITHOUT ROWID;
INSERT OR IGNORE INTO resolved_about (finding, about, event)
  SELECT CASE WHEN t.rowid IS NULL THEN finding
              ELSE substr(finding, 1, length(rtrim(finding, replace(finding, '/', ''))) - 1) END,
         coalesce(t.rowid, 0), r.event
  FROM resolved r LEFT JOIN event t ON
    'E' || t.seq = substr(r.finding, length(rtrim(r.finding, replace(r.finding, '/', ''))) + 1);
DROP TABLE resolved;
ALTER TABLE resolved_about RENAME TO resolved;

-- Of other books: up to which event each counts, and why not further. Rows of `uncounted` with `by` 0 follow from it.
ALTER TABLE origin ADD COLUMN counted_to INTEGER NOT NULL DEFAULT 0;
-- Where a branch leaves another one: after this event of it. 0 for branch 0.
ALTER TABLE origin ADD COLUMN parent INTEGER NOT NULL DEFAULT 0;
ALTER TABLE origin ADD COLUMN parent_seq INTEGER NOT NULL DEFAULT 0;

-- The register as another book had it, so that a truck knows what the office knows. No part of a chain: the last one of
-- each book stands, and goes where that book is no longer trusted.
CREATE TABLE snapshot (
  book BLOB NOT NULL,
  key  TEXT NOT NULL,  -- under which its signature held: it counts where the trusted key of that book is the same
  seq  INTEGER NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (book, key)
) STRICT, WITHOUT ROWID;

-- What an event is about books, not gas, is looked for by its kind as well.
DROP INDEX event_watched;
CREATE INDEX event_watched ON event (kind, origin, seq)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'inspect',
                 'leak', 'leak-test', 'plan', 'repair', 'resolve', 'return', 'settle', 'start', 'trust', 'withdraw');
