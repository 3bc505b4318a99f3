-- What one recording of a desk reads and writes, as a program would that judges and signs nothing: the yardstick of
-- server_desks.py, run by pgbench with a prepared text for each line. Each client is a chain of its own.
\set common random(1, 20)
\set act random(1, 3)
\if :common = 1
\set n random(:all - :few, :all - 1)
\set act 1
\else
\set n :client_id + :desks * random(0, :each - 1)
\endif
\set origin 900000 + :client_id
BEGIN;
SELECT cylinder, circuit, lot, cylinder_code, circuit_code, appliance_code, site_code FROM bench_cylinder WHERE n = :n \gset
SELECT coalesce(max(seq), 0) + 1 AS seq FROM event WHERE origin = :origin \gset
SELECT h.seq, h.digest, h.signature, e.digest FROM head h JOIN event e ON e.origin = h.origin AND e.seq = h.seq WHERE h.origin = :origin ORDER BY h.seq DESC LIMIT 1;
SELECT nextval('bench_event') AS event, extract(epoch FROM now())::bigint AS at, extract(epoch FROM now())::bigint / 86400 AS day \gset
SELECT f.name, f.at, f.seq, f.value, f.mass FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = 'cylinder' AND e.code = :cylinder_code;
SELECT at, origin, seq, event, moved, gap, state FROM step WHERE cylinder = :cylinder ORDER BY at DESC, origin DESC, seq DESC LIMIT 1;
SELECT at, origin, seq, event, moved FROM step WHERE cylinder = :cylinder AND at >= :at - 129600 AND moved <> 0 ORDER BY at, origin, seq;
SELECT s.state, b.mass, l.refrigerant, l.owner, l.condition FROM account a LEFT JOIN current_state s ON s.cylinder = a.id LEFT JOIN balance b ON b.account = a.id AND b.mass <> 0 LEFT JOIN lot l ON l.id = b.lot WHERE a.id = :cylinder;
\if :act > 1
SELECT f.name, f.at, f.seq, f.value, f.mass FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = 'circuit' AND e.code = :circuit_code;
SELECT f.name, f.at, f.seq, f.value, f.mass FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = 'appliance' AND e.code = :appliance_code;
SELECT f.name, f.at, f.seq, f.value, f.mass FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = 'site' AND e.code = :site_code;
\endif
INSERT INTO step (cylinder, at, origin, seq, event, moved, gap, state) SELECT :cylinder, :at, :origin, :seq, :event, 0, 0, state FROM current_state WHERE cylinder = :cylinder;
UPDATE current_state SET state = state WHERE cylinder = :cylinder;
\if :act > 1
INSERT INTO posting (event, n, account, lot, mass, circuit_day) VALUES (:event, 0, :circuit, :lot, -36287390, :day), (:event, 1, :cylinder, :lot, 36287390, NULL);
INSERT INTO balance_part (account, lot, chain, mass, postings) VALUES (:cylinder, :lot, 0, 36287390, 1) ON CONFLICT (account, lot, chain) DO UPDATE SET mass = balance_part.mass + excluded.mass, postings = balance_part.postings + 1;
INSERT INTO balance_part (account, lot, chain, mass, postings) VALUES (:circuit, :lot, :origin, -36287390, 1) ON CONFLICT (account, lot, chain) DO UPDATE SET mass = balance_part.mass + excluded.mass, postings = balance_part.postings + 1;
\endif
INSERT INTO event (id, origin, seq, at, day, kind, digest, body) SELECT :event, :origin, :seq, :at, :day, 'recover', decode(md5(:event::text) || md5(:seq::text), 'hex'), repeat('{"at":"2026-06-02T14:00:00Z","by":"ana",', 10);
INSERT INTO head (origin, seq, digest, signature) VALUES (:origin, :seq, decode(md5(:event::text) || md5(:seq::text), 'hex'), decode(repeat(md5(:event::text), 4), 'hex'));
COMMIT;
