-- A chain for each desk: who records here with a key of their own. An event's number in this database is the desk's number
-- times 2^40 and its number on the desk's chain, so that desks take numbers without asking each other; below 2^40 are the
-- events of the book itself and those that came in by bundles.
CREATE TABLE desk (
  number bigint PRIMARY KEY CHECK (number > 0),
  book   bytea NOT NULL UNIQUE,
  key    text COLLATE "C" NOT NULL
);

-- What many desks post to at once (the air, a supplier, equipment) has a row for each chain, so that no desk waits for
-- another; what it holds is their sum. A cylinder has one row, with no chain: whoever moves its gas has it locked.
ALTER TABLE balance RENAME TO balance_part;
ALTER TABLE balance_part ADD COLUMN chain bigint NOT NULL DEFAULT 0;
ALTER TABLE balance_part DROP CONSTRAINT balance_pkey;
ALTER TABLE balance_part ADD PRIMARY KEY (account, lot, chain);
CREATE VIEW balance AS
  SELECT account, lot, sum(mass) AS mass, sum(postings) AS postings
  FROM balance_part GROUP BY account, lot
  HAVING sum(postings) <> 0 OR sum(mass) <> 0;

-- Whether gas of one owner may go into equipment of another asks for these fields alone.
CREATE INDEX field_owner_group ON field (entry) WHERE name = 'owner_group';
