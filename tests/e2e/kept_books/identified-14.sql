-- A book as edition 14 of the checks wrote it: its states say nothing of what an identifier showed (E7), and gas was
-- reused after it (E9). Its key signs nothing else.
PRAGMA application_id = 1415672421;
PRAGMA user_version = 13;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('checks_edition','14');
INSERT INTO book VALUES('checks_edition_again','14');
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('country','US');
INSERT INTO book VALUES('id','63fdc547f2a13bb81bc85ff01a6ea246');
INSERT INTO book VALUES('log_base','8:7f913fa211efd8d6de93c985082736bf70b5c5897b6c011cccf4bd9bbbe94fdd');
INSERT INTO book VALUES('public_key','3455e63694fb399cffabf0c2012ee11035bf539b428ef8bdd3824226e2be1c00');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('written','9:e06fc78526981e606cf1472deeab2bc966c950867a708000d60bf01c2b8ec4f8');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'464ce51350b23df0fc8d4c58f6f2cac348284fdffb4bf05225063dc143ec445c3455e63694fb399cffabf0c2012ee11035bf539b428ef8bdd3824226e2be1c00');
CREATE TABLE IF NOT EXISTS "ineffective" (
  event INTEGER PRIMARY KEY,
  by    INTEGER NOT NULL  -- the void
) STRICT;
CREATE TABLE entry (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
INSERT INTO entry VALUES(1,'site','DAIRY');
INSERT INTO entry VALUES(2,'appliance','DAIRY/ICE');
INSERT INTO entry VALUES(3,'circuit','DAIRY/ICE/1');
INSERT INTO entry VALUES(4,'cylinder','RC-02');
CREATE TABLE field (
  entry  INTEGER NOT NULL REFERENCES entry,
  name   TEXT NOT NULL,
  at     INTEGER NOT NULL,
  origin INTEGER NOT NULL,
  seq    INTEGER NOT NULL,
  value  TEXT NOT NULL,
  mass   INTEGER,
  PRIMARY KEY (entry, name, at, origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO field VALUES(1,'name',1780315200,3602565945833291776,2,'Bramble Dairy',NULL);
INSERT INTO field VALUES(1,'owner',1780315200,3602565945833291776,2,'Bramble Dairy Co-op',NULL);
INSERT INTO field VALUES(2,'category',1780315200,3602565945833291776,3,'industrial-process',NULL);
INSERT INTO field VALUES(2,'charge_basis',1780315200,3602565945833291776,3,'maker',NULL);
INSERT INTO field VALUES(2,'full_charge',1780315200,3602565945833291776,3,'42lb',15240703632000);
INSERT INTO field VALUES(2,'full_charge_to',1780315200,3602565945833291776,3,'',NULL);
INSERT INTO field VALUES(2,'refrigerant',1780315200,3602565945833291776,3,'R-404A',NULL);
INSERT INTO field VALUES(3,'name',1780315200,3602565945833291776,4,'DAIRY/ICE/1',NULL);
INSERT INTO field VALUES(4,'refrigerant',1780315200,3602565945833291776,5,'R-404A',NULL);
INSERT INTO field VALUES(4,'spec',1780315200,3602565945833291776,5,'DOT-4BA400',NULL);
INSERT INTO field VALUES(4,'tare',1780315200,3602565945833291776,5,'27.8lb',10087894308800);
INSERT INTO field VALUES(4,'tested',1780315200,3602565945833291776,5,'2024-04',NULL);
INSERT INTO field VALUES(4,'use',1780315200,3602565945833291776,5,'recovery',NULL);
INSERT INTO field VALUES(4,'wc',1780315200,3602565945833291776,5,'47.6lb',17272797449600);
CREATE TABLE account (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
INSERT INTO account VALUES(1,'cylinder','RC-02');
INSERT INTO account VALUES(2,'circuit','DAIRY/ICE/1');
CREATE TABLE lot (
  id          INTEGER PRIMARY KEY,
  refrigerant TEXT NOT NULL,
  owner       TEXT NOT NULL,
  condition   TEXT NOT NULL,
  UNIQUE (refrigerant, owner, condition)
) STRICT;
INSERT INTO lot VALUES(1,'R-404A','Bramble Dairy Co-op','recovered');
CREATE TABLE posting (
  event   INTEGER NOT NULL,
  n       INTEGER NOT NULL,
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL, circuit_day INTEGER,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
INSERT INTO posting VALUES(6,0,1,1,2177243376000,NULL);
INSERT INTO posting VALUES(6,1,2,1,-2177243376000,20605);
INSERT INTO posting VALUES(9,0,1,1,-362873896000,NULL);
INSERT INTO posting VALUES(9,1,2,1,362873896000,20605);
CREATE TABLE step (
  cylinder INTEGER NOT NULL REFERENCES account,
  at       INTEGER NOT NULL,
  origin   INTEGER NOT NULL,
  seq      INTEGER NOT NULL,
  event    INTEGER NOT NULL,
  moved    INTEGER NOT NULL,
  gap      INTEGER NOT NULL,
  state    BLOB NOT NULL,
  PRIMARY KEY (cylinder, at, origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO step VALUES(1,1780315200,3602565945833291776,5,5,0,0,X'000000000000');
INSERT INTO step VALUES(1,1780315200,3602565945833291776,6,6,2177243376000,0,X'80018085e6b2f6c905020c522d34303441264272616d626c6520446169727920436f2d6f700680a68bdddd7e00000000');
INSERT INTO step VALUES(1,1780315200,3602565945833291776,7,7,0,0,X'80018085e6b2f6c905020c522d34303441264272616d626c6520446169727920436f2d6f700680a68bdddd7e00000000');
INSERT INTO step VALUES(1,1780315200,3602565945833291776,8,8,0,0,X'80018085e6b2f6c905020c522d34303441264272616d626c6520446169727920436f2d6f700680a68bdddd7e00000000');
INSERT INTO step VALUES(1,1780315200,3602565945833291776,9,9,-362873896000,0,X'80018094a4e3e6b405020c522d34303441264272616d626c6520446169727920436f2d6f700680b5c98dce6900000000');
CREATE TABLE finding (
  event    INTEGER NOT NULL,
  n        INTEGER NOT NULL,
  severity INTEGER NOT NULL,  -- 0 note, 1 exception, 2 would be refused today
  name     TEXT NOT NULL,
  subject  TEXT NOT NULL,
  text     TEXT NOT NULL,
  seen     TEXT NOT NULL,
  expected TEXT NOT NULL,
  next     TEXT NOT NULL,
  accepted TEXT NOT NULL,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
INSERT INTO finding VALUES(7,0,1,'identified-otherwise','RC-02','the identifier shows in RC-02: a mixture','mixed','R-404A alone, without air','keep it apart, and look again; on evidence: tarebook reclassify RC-02 --evidence TEXT --to-refrigerant GAS','');
CREATE TABLE settlement (
  event    INTEGER PRIMARY KEY,  -- the statement
  returned INTEGER NOT NULL,     -- the return
  at       INTEGER NOT NULL,     -- of the statement
  origin   INTEGER NOT NULL,
  seq      INTEGER NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS "origin" (
  id     INTEGER PRIMARY KEY,
  book   BLOB NOT NULL,
  branch INTEGER NOT NULL, effective_to INTEGER NOT NULL DEFAULT 0, parent INTEGER NOT NULL DEFAULT 0, parent_seq INTEGER NOT NULL DEFAULT 0,  -- 0 unless the book was copied and both copies went on
  UNIQUE (book, branch)
) STRICT;
INSERT INTO origin VALUES(3602565945833291776,X'63fdc547f2a13bb81bc85ff01a6ea246',0,0,0,0);
CREATE TABLE IF NOT EXISTS "head" (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  signature BLOB NOT NULL,
  digest    BLOB NOT NULL,
  PRIMARY KEY (origin, seq, signature)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(3602565945833291776,1,X'132a1867553976776659caa0445ed358cf2027b380760c982ba7dabab08c3f93dec2596927cc89afdc8ee8e2ad638cff1dd4bf9009ddabdb6808635ff5df2a04',X'b3a275475358022aef50631afeb14482d6461af9a0a39ce786b74efaeb389b57');
INSERT INTO head VALUES(3602565945833291776,2,X'2b658c55fed871120673e62209947e6aa1d27242140cd181868274d0841959419b13af42dce058a2b30ddade5cb7e139c31f477d3dcbfcd6a0c2fbf86742b504',X'385117655bd69682038ac696e32ae2ffd1a42f0c268688678794953f10ca06c0');
INSERT INTO head VALUES(3602565945833291776,3,X'c9412079056759b30c3d661480157491a244c381162a119935eadbe473d50ce23edcd0cd5cb4820033a009a91db028dcfcec5e58ff32f6ca16cdd4d901b4ce01',X'a992b9504ec45966920d423a7d1e5473217809b62aea78b8b04419636edafa4e');
INSERT INTO head VALUES(3602565945833291776,4,X'0ec96638793a3769f38c4218f389b2c2243c07191f43b0c274e52343eeceb8c0816661dad0c8bfae148b7da32d9c7b930cf768b81ca4cb397a2907e63e858c01',X'd3961c9f65ff0005dad5785de1cf58d9d94b631f291da0cf4d83f37915b42d76');
INSERT INTO head VALUES(3602565945833291776,5,X'a84986382891c8ac9edaa44c5571d63be63858855e5909e31c223e7d61f0e83311e686fea380db5af4f78fed0cdc002ba072d4f22c0ca8193b95df9d3e87eb0f',X'a081b95053758fe812601264efe6e7500321d42aca7a56d1504d280c1082a1d3');
INSERT INTO head VALUES(3602565945833291776,6,X'2587f277113ad71e8cc6885ea7f64a9186267d9b515199c93f80c23dc72c129223f71c5d880dde63aacfff31720000e73d1bbb760335bcde06dde46f4127fd0f',X'61df8a9bbacfff632fb2a826bc934d8c0b932c29eba1292f39089ab03d1bacbf');
INSERT INTO head VALUES(3602565945833291776,7,X'118faab3ea8970c94364d17e02eb42dbcbcfa1322255f9fe6a2c45b4dd2e4101a24a1279526cb56907d4771c902048f84d023197b4b008ca7777b56ab9e9340b',X'a4cf9826536d7222015ff50162cd074ca2fdca2c55a370eebc2153fdfbb661da');
INSERT INTO head VALUES(3602565945833291776,8,X'3bfa8cc762c4be950eda0ccec6e00f79a304629158b290ac5095914d2c5c59ed435d64d82ae44c937367a1b775c9ea83fe5bb371e8a6232bf4a83379931c9e02',X'7f913fa211efd8d6de93c985082736bf70b5c5897b6c011cccf4bd9bbbe94fdd');
INSERT INTO head VALUES(3602565945833291776,9,X'ee5cdc4d2e2acf5c62ca37db56f76120aff6aab40c9ea448582cf354dd9057860cc8ef985542f805171bea34277489ec0deab72270d658aadf40b5b79049900d',X'e06fc78526981e606cf1472deeab2bc966c950867a708000d60bf01c2b8ec4f8');
CREATE TABLE naming (
  digest BLOB NOT NULL,
  event  INTEGER NOT NULL,
  PRIMARY KEY (digest, event)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS "resolved" (
  finding TEXT NOT NULL,
  about   INTEGER NOT NULL,
  event   INTEGER NOT NULL,
  PRIMARY KEY (finding, about, event)
) STRICT, WITHOUT ROWID;
CREATE TABLE snapshot (
  book BLOB NOT NULL,
  key  TEXT NOT NULL,  -- under which its signature held: it counts where the trusted key of that book is the same
  seq  INTEGER NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (book, key)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS "current_state" (
  cylinder INTEGER NOT NULL REFERENCES account,
  state    BLOB NOT NULL,
  PRIMARY KEY (cylinder)
) STRICT, WITHOUT ROWID;
INSERT INTO current_state VALUES(1,X'80018094a4e3e6b405020c522d34303441264272616d626c6520446169727920436f2d6f700680b5c98dce6900000000');
CREATE TABLE quarantine (
  id        INTEGER PRIMARY KEY,
  book      BLOB NOT NULL,
  key       TEXT NOT NULL,     -- under which its head holds
  first     INTEGER NOT NULL,  -- 0 where it is a register
  last      INTEGER NOT NULL,
  digest    BLOB NOT NULL,     -- of the last event; of a register, of its lines
  signature BLOB NOT NULL,     -- of the head; a register's was verified when it came
  received  INTEGER NOT NULL,
  bytes     INTEGER NOT NULL,  -- what it takes of the room that there is
  lines     TEXT,              -- nothing where it did not fit: what is to be merged again once the book is trusted
  UNIQUE (book, key, first, digest)
) STRICT;
CREATE TABLE IF NOT EXISTS "event" (
  id      INTEGER PRIMARY KEY,
  origin  INTEGER NOT NULL,
  seq     INTEGER NOT NULL,
  at      INTEGER NOT NULL,
  day     INTEGER NOT NULL,
  kind    TEXT NOT NULL,
  job     TEXT,
  own_id  TEXT,
  digest  BLOB NOT NULL,
  body    TEXT NOT NULL,
  UNIQUE (origin, seq)
) STRICT;
INSERT INTO event VALUES(1,3602565945833291776,1,1780315200,20605,'start',NULL,NULL,X'b3a275475358022aef50631afeb14482d6461af9a0a39ce786b74efaeb389b57','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T12:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","country":"US","public_key":"3455e63694fb399cffabf0c2012ee11035bf539b428ef8bdd3824226e2be1c00","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(2,3602565945833291776,2,1780315200,20605,'entry',NULL,NULL,X'385117655bd69682038ac696e32ae2ffd1a42f0c268688678794953f10ca06c0','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"b3a275475358022aef50631afeb14482d6461af9a0a39ce786b74efaeb389b57","recorded":"2026-06-01T12:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"DAIRY","entry":"site","values":{"name":"Bramble Dairy","owner":"Bramble Dairy Co-op"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(3,3602565945833291776,3,1780315200,20605,'entry',NULL,NULL,X'a992b9504ec45966920d423a7d1e5473217809b62aea78b8b04419636edafa4e','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"385117655bd69682038ac696e32ae2ffd1a42f0c268688678794953f10ca06c0","recorded":"2026-06-01T12:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"DAIRY/ICE","entry":"appliance","values":{"category":"industrial-process","charge_basis":"maker","full_charge":{"count":"15240703632000","typed":"42lb"},"full_charge_to":"","refrigerant":"R-404A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(4,3602565945833291776,4,1780315200,20605,'entry',NULL,NULL,X'd3961c9f65ff0005dad5785de1cf58d9d94b631f291da0cf4d83f37915b42d76','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"a992b9504ec45966920d423a7d1e5473217809b62aea78b8b04419636edafa4e","recorded":"2026-06-01T12:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"DAIRY/ICE/1","entry":"circuit","values":{"name":"DAIRY/ICE/1"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(5,3602565945833291776,5,1780315200,20605,'entry',NULL,NULL,X'a081b95053758fe812601264efe6e7500321d42aca7a56d1504d280c1082a1d3','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"d3961c9f65ff0005dad5785de1cf58d9d94b631f291da0cf4d83f37915b42d76","recorded":"2026-06-01T12:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-404A","spec":"DOT-4BA400","tare":{"count":"10087894308800","typed":"27.8lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(6,3602565945833291776,6,1780315200,20605,'recover',NULL,NULL,X'61df8a9bbacfff632fb2a826bc934d8c0b932c29eba1292f39089ab03d1bacbf','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"recover","offset_min":-300,"prev":"a081b95053758fe812601264efe6e7500321d42aca7a56d1504d280c1082a1d3","recorded":"2026-06-01T12:00:00Z","seq":6,"v":1,"what":{"circuit":"DAIRY/ICE/1","drier":"yes","into":"RC-02","reason":"open","vacuum":"10inHg","weighing":{"after":{"count":"12265137684800","typed":"33.8lb"},"before":{"count":"10087894308800","typed":"27.8lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(7,3602565945833291776,7,1780315200,20605,'identify',NULL,NULL,X'a4cf9826536d7222015ff50162cd074ca2fdca2c55a370eebc2153fdfbb661da','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"identify","offset_min":-300,"prev":"61df8a9bbacfff632fb2a826bc934d8c0b932c29eba1292f39089ab03d1bacbf","recorded":"2026-06-01T12:00:00Z","seq":7,"v":1,"what":{"cylinder":"RC-02","refrigerant":"mixed"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(8,3602565945833291776,8,1780315200,20605,'weigh',NULL,NULL,X'7f913fa211efd8d6de93c985082736bf70b5c5897b6c011cccf4bd9bbbe94fdd','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"weigh","offset_min":-300,"prev":"a4cf9826536d7222015ff50162cd074ca2fdca2c55a370eebc2153fdfbb661da","recorded":"2026-06-01T12:00:00Z","seq":8,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"12265137684800","typed":"33.8lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(9,3602565945833291776,9,1780315200,20605,'reuse',NULL,NULL,X'e06fc78526981e606cf1472deeab2bc966c950867a708000d60bf01c2b8ec4f8','{"at":"2026-06-01T12:00:00Z","book":"63fdc547f2a13bb81bc85ff01a6ea246","date":"2026-06-01","kind":"reuse","offset_min":-300,"prev":"7f913fa211efd8d6de93c985082736bf70b5c5897b6c011cccf4bd9bbbe94fdd","recorded":"2026-06-01T12:00:00Z","seq":9,"v":1,"what":{"circuit":"DAIRY/ICE/1","from":"RC-02","reason":"put-back","weighing":{"after":{"count":"11902263788800","typed":"32.8lb"},"before":{"count":"12265137684800","typed":"33.8lb"}}},"zone":"America/Chicago"}');
CREATE TABLE IF NOT EXISTS "balance" (
  account  INTEGER NOT NULL REFERENCES account,
  lot      INTEGER NOT NULL REFERENCES lot,
  mass     INTEGER NOT NULL,
  postings INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(1,1,1814369480000,2);
INSERT INTO balance VALUES(2,1,-1814369480000,2);
CREATE INDEX finding_open ON finding (subject, event) WHERE severity > 0;
CREATE INDEX settlement_returned ON settlement (returned, at, origin, seq);
CREATE INDEX posting_circuit ON posting (account, circuit_day, event) WHERE circuit_day IS NOT NULL;
CREATE INDEX event_order ON event (at, origin, seq);
CREATE INDEX event_job ON event (job) WHERE job IS NOT NULL;
CREATE UNIQUE INDEX event_own_id ON event (origin, own_id) WHERE own_id IS NOT NULL;
CREATE INDEX event_digest ON event (substr(digest, 1, 8));
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted: void it'); END;
CREATE INDEX event_watched ON event (kind, origin, seq, day)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'extension',
                 'inspect', 'leak', 'leak-test', 'merge', 'mothball', 'plan', 'repair', 'resolve', 'return', 'settle',
                 'start', 'trust', 'withdraw');
COMMIT;
