-- Events that wait to be judged anew, in total order: what counts and the register are as they have to be already, and
-- the rows of these events (postings, steps, findings) are those of before until a part of them is judged.
CREATE TABLE to_judge (
  at     bigint NOT NULL,
  origin bigint NOT NULL,
  seq    bigint NOT NULL,
  event  bigint NOT NULL,
  PRIMARY KEY (at, origin, seq)
);

-- One row: how often events began to wait, how many there were at first, and how many a recording judges again before it
-- commits. What would be more than that waits. stuck is 1 where one of them was refused when it was judged.
CREATE TABLE judged_anew (
  one      bigint PRIMARY KEY CHECK (one = 1),
  epoch    bigint NOT NULL,
  at_first bigint NOT NULL,
  at_once  bigint NOT NULL DEFAULT 500,
  stuck    bigint NOT NULL DEFAULT 0
);
INSERT INTO judged_anew (one, epoch, at_first) VALUES (1, 0, 0);

-- Who reads pages is told how far that is; who records takes part in it.
GRANT SELECT ON to_judge, judged_anew TO PUBLIC;
DO $$
DECLARE recorder regrole;
BEGIN
  FOR recorder IN SELECT DISTINCT grantee::regrole FROM pg_class, aclexplode(relacl)
                  WHERE pg_class.oid = 'step'::regclass AND privilege_type = 'DELETE' AND grantee <> 0
  LOOP
    EXECUTE format('GRANT INSERT, UPDATE, DELETE ON to_judge, judged_anew TO %s', recorder);
  END LOOP;
END $$;
