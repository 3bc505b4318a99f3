-- The names of people stand beside the chain, which cannot forget: an event has a code, and the name is here, where it
-- can be removed. A code is a digest over salt and name, so that the name that stands here is the one that was recorded;
-- without the salt no one can find the name by trying. Salt and name are NULL once the name was removed.
CREATE TABLE person (
  code TEXT PRIMARY KEY,
  salt BLOB,
  name TEXT,
  CHECK ((salt IS NULL) = (name IS NULL))
) STRICT;

-- Who typed an event is the last typist before it on its chain; what was removed stays removed.
DROP INDEX event_watched;
CREATE INDEX event_watched ON event (kind, origin, seq, day)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'extension',
                 'inspect', 'leak', 'leak-test', 'merge', 'mothball', 'plan', 'remove-name', 'repair', 'resolve', 'return',
                 'settle', 'start', 'trust', 'typist', 'withdraw');
