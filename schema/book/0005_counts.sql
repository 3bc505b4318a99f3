-- The events of a count are looked for by their kind, as those of clocks are.
DROP INDEX event_watched;
CREATE INDEX event_watched ON event (kind, origin, seq)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'inspect',
                 'leak', 'leak-test', 'plan', 'repair', 'return', 'settle');
