-- Which statement is about which return: what a statement settles hangs on the return, so that it is looked at again
-- whenever the return is. Only statements that count, and whose return is in the book.
CREATE TABLE settlement (
  event    INTEGER PRIMARY KEY,  -- the statement
  returned INTEGER NOT NULL,     -- the return
  at       INTEGER NOT NULL,     -- of the statement
  origin   INTEGER NOT NULL,
  seq      INTEGER NOT NULL
) STRICT;
CREATE INDEX settlement_returned ON settlement (returned, at, origin, seq);
