-- How many postings a balance is the sum of: a row is there as long as there is one. A row that sums to nothing says that
-- gas of the lot went through the account, and `check` can tell a true one from one that a flipped bit made.
CREATE TABLE counted (
  account  INTEGER NOT NULL REFERENCES account,
  lot      INTEGER NOT NULL REFERENCES lot,
  mass     INTEGER NOT NULL,
  postings INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO counted SELECT account, lot, sum(mass), count(*) FROM posting GROUP BY account, lot;
DROP TABLE balance;
ALTER TABLE counted RENAME TO balance;
