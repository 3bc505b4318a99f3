-- What came in a bundle and no key covers that this book trusts for it: each run of events as it came, one row, outside
-- `event`, `origin`, `head` and `snapshot`, so that it takes no place, number, name or own id there. Bounded in size and
-- age (lib/book/quarantine.cpp). It is no part of the state; `trust` takes in what lies here.
CREATE TABLE quarantine (
  id        INTEGER PRIMARY KEY,
  book      BLOB NOT NULL,
  key       TEXT NOT NULL,     -- under which its head holds
  first     INTEGER NOT NULL,  -- 0 where it is a register
  last      INTEGER NOT NULL,
  digest    BLOB NOT NULL,     -- of the last event; of a register, of its lines
  signature BLOB NOT NULL,     -- of the head; a register's was verified when it came
  received  INTEGER NOT NULL,
  bytes     INTEGER NOT NULL,  -- what it takes of the room that there is
  lines     TEXT,              -- nothing where it did not fit: what is to be merged again once the book is trusted
  UNIQUE (book, key, first, digest)
) STRICT;
