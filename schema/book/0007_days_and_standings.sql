-- A circuit's postings are looked for by account and day: what went into an appliance this year is found without a walk
-- over all years before.
DROP INDEX posting_circuit;
ALTER TABLE posting ADD COLUMN circuit_day INTEGER;  -- the event's day where the account is a circuit, else nothing
UPDATE posting SET circuit_day = (SELECT day FROM event WHERE rowid = posting.event) WHERE circuit = 1;
ALTER TABLE posting DROP COLUMN circuit;
CREATE INDEX posting_circuit ON posting (account, circuit_day, event) WHERE circuit_day IS NOT NULL;

-- A cylinder as its last step left it: an inventory reads them in a row, where in `step` each lies on a page of its own.
CREATE TABLE standing (
  cylinder INTEGER NOT NULL REFERENCES account,
  state    BLOB NOT NULL,
  PRIMARY KEY (cylinder)
) STRICT, WITHOUT ROWID;
INSERT INTO standing
  SELECT id, (SELECT state FROM step WHERE cylinder = account.id ORDER BY at DESC, origin DESC, seq DESC LIMIT 1)
  FROM account WHERE kind = 'cylinder' AND EXISTS (SELECT 1 FROM step WHERE cylinder = account.id);

-- The returns of a year are found in the index alone.
DROP INDEX event_watched;
CREATE INDEX event_watched ON event (kind, origin, seq, day)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'inspect',
                 'leak', 'leak-test', 'plan', 'repair', 'resolve', 'return', 'settle', 'start', 'trust', 'withdraw');
