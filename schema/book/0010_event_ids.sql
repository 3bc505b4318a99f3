-- An event's number becomes a column. It names the event in this file, for the projections, and says nothing of its
-- place in a chain, in time, or of when it came; a file gives 1, 2, 3 ..., a server would give each writer a block. A
-- column keeps it through VACUUM, which numbers rows without one anew. It costs nothing: SQLite stores the number as
-- the row's, and a byte in the row that says so. One bit of that byte carries nothing (tests/property/every_bit_test).
CREATE TABLE named (
  id      INTEGER PRIMARY KEY,
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
INSERT INTO named SELECT rowid, origin, seq, at, day, kind, job, own_id, digest, body FROM event ORDER BY rowid;
DROP TABLE event;
ALTER TABLE named RENAME TO event;
CREATE INDEX event_order ON event (at, origin, seq);
CREATE INDEX event_job ON event (job) WHERE job IS NOT NULL;
CREATE UNIQUE INDEX event_own_id ON event (origin, own_id) WHERE own_id IS NOT NULL;
CREATE INDEX event_watched ON event (kind, origin, seq, day)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'inspect',
                 'leak', 'leak-test', 'merge', 'plan', 'repair', 'resolve', 'return', 'settle', 'start', 'trust',
                 'withdraw');
CREATE INDEX event_digest ON event (substr(digest, 1, 8));

-- I3: an event, once recorded, never changes.
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted: void it'); END;
