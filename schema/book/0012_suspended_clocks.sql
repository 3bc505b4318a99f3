-- What suspends a clock or gives it more time is looked for by its kind, as what opens and closes one is.
DROP INDEX event_watched;
CREATE INDEX event_watched ON event (kind, origin, seq, day)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'extension',
                 'inspect', 'leak', 'leak-test', 'merge', 'mothball', 'plan', 'repair', 'resolve', 'return', 'settle',
                 'start', 'trust', 'withdraw');
