-- What opens or closes a clock is looked for by its kind; it is a small part of the events, and only that part is in the
-- index. A query names the same list, so that SQLite takes it.
CREATE INDEX event_watched ON event (kind, origin, seq)
  WHERE kind IN ('inspect', 'leak', 'leak-test', 'plan', 'repair', 'return', 'settle');
