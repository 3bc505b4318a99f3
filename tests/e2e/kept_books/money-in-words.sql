-- A book as the program wrote it while money was words: two statements with a credit (E11, E12) and a deposit (E14), none
-- of them with an amount and a currency. Its key signs nothing else.
PRAGMA application_id = 1415672421;
PRAGMA user_version = 13;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('checks_edition','11');
INSERT INTO book VALUES('checks_edition_again','11');
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('country','US');
INSERT INTO book VALUES('id','71b397fc381ce58d17afa4b1fb8d0253');
INSERT INTO book VALUES('log_base','12:4cf84ea96376faea9ddbff30bb66ae17f707ecfa35e9649ece10667d550fa401');
INSERT INTO book VALUES('public_key','08595f22ade66323eab664e09aa80b64462184e7000134f50f27975074747073');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('written','14:d5eac7981b2f5fe29c147355bbdb2680cc33f8062b746068d7bdd3309c23a2e7');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'69f2bd2e8257471b926fc94f1fd74ea784800c9622320bcbfda1f0e2a1fd58c808595f22ade66323eab664e09aa80b64462184e7000134f50f27975074747073');
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
INSERT INTO entry VALUES(1,'site','OAK');
INSERT INTO entry VALUES(2,'appliance','OAK/RACK-A');
INSERT INTO entry VALUES(3,'cylinder','RC-01');
INSERT INTO entry VALUES(4,'cylinder','RC-02');
INSERT INTO entry VALUES(5,'cylinder','RC-03');
INSERT INTO entry VALUES(6,'cylinder','RC-09');
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
INSERT INTO field VALUES(1,'owner',1780315200,4096529628322988032,2,'Quillpost Markets',NULL);
INSERT INTO field VALUES(2,'category',1780315200,4096529628322988032,3,'commercial-refrigeration',NULL);
INSERT INTO field VALUES(2,'charge_basis',1780315200,4096529628322988032,3,'calculated',NULL);
INSERT INTO field VALUES(2,'full_charge',1780315200,4096529628322988032,3,'900lb',326586506400000);
INSERT INTO field VALUES(2,'full_charge_to',1780315200,4096529628322988032,3,'',NULL);
INSERT INTO field VALUES(2,'refrigerant',1780315200,4096529628322988032,3,'R-448A',NULL);
INSERT INTO field VALUES(3,'refrigerant',1780315200,4096529628322988032,4,'R-448A',NULL);
INSERT INTO field VALUES(3,'spec',1780315200,4096529628322988032,4,'DOT-4BA400',NULL);
INSERT INTO field VALUES(3,'tare',1780315200,4096529628322988032,4,'27.5lb',9979032140000);
INSERT INTO field VALUES(3,'tested',1780315200,4096529628322988032,4,'2024-04',NULL);
INSERT INTO field VALUES(3,'use',1780315200,4096529628322988032,4,'recovery',NULL);
INSERT INTO field VALUES(3,'wc',1780315200,4096529628322988032,4,'47.6lb',17272797449600);
INSERT INTO field VALUES(4,'refrigerant',1780315200,4096529628322988032,5,'R-448A',NULL);
INSERT INTO field VALUES(4,'spec',1780315200,4096529628322988032,5,'DOT-4BA400',NULL);
INSERT INTO field VALUES(4,'tare',1780315200,4096529628322988032,5,'27.5lb',9979032140000);
INSERT INTO field VALUES(4,'tested',1780315200,4096529628322988032,5,'2024-04',NULL);
INSERT INTO field VALUES(4,'use',1780315200,4096529628322988032,5,'recovery',NULL);
INSERT INTO field VALUES(4,'wc',1780315200,4096529628322988032,5,'47.6lb',17272797449600);
INSERT INTO field VALUES(5,'refrigerant',1780315200,4096529628322988032,6,'R-448A',NULL);
INSERT INTO field VALUES(5,'spec',1780315200,4096529628322988032,6,'DOT-4BA400',NULL);
INSERT INTO field VALUES(5,'tare',1780315200,4096529628322988032,6,'27.5lb',9979032140000);
INSERT INTO field VALUES(5,'tested',1780315200,4096529628322988032,6,'2024-04',NULL);
INSERT INTO field VALUES(5,'use',1780315200,4096529628322988032,6,'recovery',NULL);
INSERT INTO field VALUES(5,'wc',1780315200,4096529628322988032,6,'47.6lb',17272797449600);
INSERT INTO field VALUES(6,'refrigerant',1780581600,4096529628322988032,13,'R-448A',NULL);
INSERT INTO field VALUES(6,'use',1780581600,4096529628322988032,13,'recovery',NULL);
CREATE TABLE account (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
INSERT INTO account VALUES(1,'cylinder','RC-01');
INSERT INTO account VALUES(2,'cylinder','RC-02');
INSERT INTO account VALUES(3,'cylinder','RC-03');
INSERT INTO account VALUES(4,'circuit','OAK/RACK-A');
INSERT INTO account VALUES(5,'reclaimer','Larkfield Reclaim');
INSERT INTO account VALUES(6,'scale','');
INSERT INTO account VALUES(7,'cylinder','RC-09');
CREATE TABLE lot (
  id          INTEGER PRIMARY KEY,
  refrigerant TEXT NOT NULL,
  owner       TEXT NOT NULL,
  condition   TEXT NOT NULL,
  UNIQUE (refrigerant, owner, condition)
) STRICT;
INSERT INTO lot VALUES(1,'R-448A','Quillpost Markets','recovered');
CREATE TABLE posting (
  event   INTEGER NOT NULL,
  n       INTEGER NOT NULL,
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL, circuit_day INTEGER,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
INSERT INTO posting VALUES(7,0,1,1,5715263862000,NULL);
INSERT INTO posting VALUES(7,1,4,1,-5715263862000,20605);
INSERT INTO posting VALUES(8,0,2,1,5715263862000,NULL);
INSERT INTO posting VALUES(8,1,4,1,-5715263862000,20605);
INSERT INTO posting VALUES(9,0,1,1,-5715263862000,NULL);
INSERT INTO posting VALUES(9,1,5,1,5715263862000,NULL);
INSERT INTO posting VALUES(10,0,2,1,-5715263862000,NULL);
INSERT INTO posting VALUES(10,1,5,1,5715263862000,NULL);
INSERT INTO posting VALUES(11,0,5,1,-18143694800,NULL);
INSERT INTO posting VALUES(11,1,6,1,18143694800,NULL);
INSERT INTO posting VALUES(12,0,5,1,-18143694800,NULL);
INSERT INTO posting VALUES(12,1,6,1,18143694800,NULL);
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
INSERT INTO step VALUES(1,1780315200,4096529628322988032,4,4,0,0,X'000000000000');
INSERT INTO step VALUES(1,1780322400,4096529628322988032,7,7,5715263862000,0,X'8001a0b781cfc39107020c522d34343841225175696c6c706f7374204d61726b65747306e0d3ad84d6cc0200000000');
INSERT INTO step VALUES(1,1780408800,4096529628322988032,9,9,-5715263862000,0,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO step VALUES(1,1780495200,4096529628322988032,11,11,0,0,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO step VALUES(2,1780315200,4096529628322988032,5,5,0,0,X'000000000000');
INSERT INTO step VALUES(2,1780323000,4096529628322988032,8,8,5715263862000,0,X'8001a0b781cfc39107020c522d34343841225175696c6c706f7374204d61726b65747306e0d3ad84d6cc0200000000');
INSERT INTO step VALUES(2,1780412400,4096529628322988032,10,10,-5715263862000,0,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO step VALUES(2,1780498800,4096529628322988032,12,12,0,0,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO step VALUES(3,1780315200,4096529628322988032,6,6,0,0,X'000000000000');
INSERT INTO step VALUES(3,1780581600,4096529628322988032,14,14,0,0,X'020000001a4861726c616e20537570706c7900');
INSERT INTO step VALUES(7,1780581600,4096529628322988032,13,13,0,0,X'000000000000');
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
CREATE TABLE settlement (
  event    INTEGER PRIMARY KEY,  -- the statement
  returned INTEGER NOT NULL,     -- the return
  at       INTEGER NOT NULL,     -- of the statement
  origin   INTEGER NOT NULL,
  seq      INTEGER NOT NULL
) STRICT;
INSERT INTO settlement VALUES(11,9,1780495200,4096529628322988032,11);
INSERT INTO settlement VALUES(12,10,1780498800,4096529628322988032,12);
CREATE TABLE IF NOT EXISTS "origin" (
  id     INTEGER PRIMARY KEY,
  book   BLOB NOT NULL,
  branch INTEGER NOT NULL, effective_to INTEGER NOT NULL DEFAULT 0, parent INTEGER NOT NULL DEFAULT 0, parent_seq INTEGER NOT NULL DEFAULT 0,  -- 0 unless the book was copied and both copies went on
  UNIQUE (book, branch)
) STRICT;
INSERT INTO origin VALUES(4096529628322988032,X'71b397fc381ce58d17afa4b1fb8d0253',0,0,0,0);
CREATE TABLE IF NOT EXISTS "head" (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  signature BLOB NOT NULL,
  digest    BLOB NOT NULL,
  PRIMARY KEY (origin, seq, signature)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(4096529628322988032,1,X'2b5a9e16440fbec40e8a65f076026af744ffa5d6ccb5cc52f57b539a09c9d4c770bc6a60f7b15c9ae6fd888cc7b9f6d50ad7a2560452bd4eebbcb410257a6208',X'a1ab49a742cb335bf2cb43876d8de88ba0ff3ac9f1e53a850f90ef504deb243d');
INSERT INTO head VALUES(4096529628322988032,2,X'918363fe9e468e59e5bcd6ca5d8f0be4626f94a24b9f2426cce531063b34f89858cfbe00a3d22c14c6632e317de61d74a2571db8dc03b60c5fcb320ff2f7d80e',X'6bc083c2f88f568df9308d720eae44e2bf2a3b4ea8bde3ffd4f16fbd02e84815');
INSERT INTO head VALUES(4096529628322988032,3,X'ce999ccd038f249771561787170b7509bd582d57b3ba55297c6e4975aec40903d0a0812cf4e617e0e19dceaf2140dd2c3ba3be505938bff009d125b3b6ba7104',X'f49cc9085c678afe6e3440255607876363bf31f7a2917cec2c766b6cc07f4c78');
INSERT INTO head VALUES(4096529628322988032,4,X'f73b0f9a9e2b5716e0d45b8a4a747a2fa79d61298072f8c57dd7becee0ad7b4e0cb7015bb6591e29d1fcd230cc5e2cad76de7e8bed2d804bb9ff1a910e26b707',X'98874d5ec7de619f08f60a714c2f50c9c90b2fa8ee60506fe161508ecd01016a');
INSERT INTO head VALUES(4096529628322988032,5,X'f429ccaf6bf5df452a126e0fda4ca347bcc75577fff414d3a1580c1230b791d8ce0a152b445f9039ff9ec37d31f6a76e14b0b7842d66f901446fd7e811e85f01',X'f6df393a6e15a937bb806591cd5844a95cc69d1759be016a1d897d548393c0fe');
INSERT INTO head VALUES(4096529628322988032,6,X'30ed225487c82bd0a29e0cf4294fd474e9cd32838a8935bdd166a9d73a1355988d078c2c4fe64b7afedc46f07c613c38b56b0cc720aaba8ed968fe5c28398b02',X'5135c3fbc573301f84966c50adfd68a279c21c90980210cbcc1002a2271b305d');
INSERT INTO head VALUES(4096529628322988032,7,X'1ada358b3f742c30b9e15e0c3306181818c128ed1d9e5204ef6e3edb27c5d59372575a168fa241a7c475e745ef9203862b2d04c9abf2657dd5d2d71092818d0f',X'acdf7f31d3a430279963b364cfaf6bee6d0aa5a69e2237da4b2d49db6a38be82');
INSERT INTO head VALUES(4096529628322988032,8,X'40cc004ac037be39cafe28cd061701ea9de07c2bab01b0f68ab994959d10ed897e988a8ef212b42d0b19b26a4305419a355c573ea1b5eb9417fe6773a7aa3a00',X'49d863898ddf7a34ded8fc96b2f2554451f3f7fd0c0b88771ea42071aaaed265');
INSERT INTO head VALUES(4096529628322988032,9,X'31d7262f70bd26e48d2afeafd719143f98d54c3337e478a8b74750c64f996db633ab9a0a5c41b6e39b34115fe727ac34eedd7d160f6c0be9009cbbad4ec25a05',X'760483ebdca6222c32e6b7da31e5b6b477760a6f8fef61847c61edd9be2619e9');
INSERT INTO head VALUES(4096529628322988032,10,X'e012ebb89f8f97be9a310285caf45c0afdddde3f05a14f9a42441b5e73878309a1abcf2d094657a7b9368806c81e47fc7cc4fd4bc1cda2578b4557d80c7a1c0a',X'bcfa227ff6b9f1bdb853db4833b4cd9d7acad19857e8966d2482979f2d685e36');
INSERT INTO head VALUES(4096529628322988032,11,X'2997d104b15d70f9cdd7fdc0d65c8f29a13137b2c0be5f4a5491ae975c460a8fa44abd0fbff43061f0701f0c558c7cb04c542f5e8b043d1eb69180fbb2bd450b',X'fe67480b0b49cc8f27069ee435123e08d0d3baf0513b846982fe2ffb763d4004');
INSERT INTO head VALUES(4096529628322988032,12,X'82e71d2a242479798bb76a28250cd6da39d773e3b72a25fb58bfccac75d0bbc67f4418950df5905d776162f0903e0373312ca7bd2c8f2225efd15f066f37b00e',X'4cf84ea96376faea9ddbff30bb66ae17f707ecfa35e9649ece10667d550fa401');
INSERT INTO head VALUES(4096529628322988032,14,X'797b4e4c43de79a3cb0e39324adffaf97ba4d6a65dde540010e5ddbae5e2d5bf36a107f8998c9d9230024d7654e6a190b486a07f17efee0ebf416476046b700f',X'd5eac7981b2f5fe29c147355bbdb2680cc33f8062b746068d7bdd3309c23a2e7');
CREATE TABLE naming (
  digest BLOB NOT NULL,
  event  INTEGER NOT NULL,
  PRIMARY KEY (digest, event)
) STRICT, WITHOUT ROWID;
INSERT INTO naming VALUES(X'760483ebdca6222c32e6b7da31e5b6b477760a6f8fef61847c61edd9be2619e9',11);
INSERT INTO naming VALUES(X'bcfa227ff6b9f1bdb853db4833b4cd9d7acad19857e8966d2482979f2d685e36',12);
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
INSERT INTO current_state VALUES(1,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO current_state VALUES(2,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO current_state VALUES(3,X'020000001a4861726c616e20537570706c7900');
INSERT INTO current_state VALUES(7,X'000000000000');
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
INSERT INTO event VALUES(1,4096529628322988032,1,1780315200,20605,'start',NULL,NULL,X'a1ab49a742cb335bf2cb43876d8de88ba0ff3ac9f1e53a850f90ef504deb243d','{"at":"2026-06-01T12:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T12:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","country":"US","public_key":"08595f22ade66323eab664e09aa80b64462184e7000134f50f27975074747073","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(2,4096529628322988032,2,1780315200,20605,'entry',NULL,NULL,X'6bc083c2f88f568df9308d720eae44e2bf2a3b4ea8bde3ffd4f16fbd02e84815','{"at":"2026-06-01T12:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"a1ab49a742cb335bf2cb43876d8de88ba0ff3ac9f1e53a850f90ef504deb243d","recorded":"2026-06-01T12:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"OAK","entry":"site","values":{"owner":"Quillpost Markets"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(3,4096529628322988032,3,1780315200,20605,'entry',NULL,NULL,X'f49cc9085c678afe6e3440255607876363bf31f7a2917cec2c766b6cc07f4c78','{"at":"2026-06-01T12:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"6bc083c2f88f568df9308d720eae44e2bf2a3b4ea8bde3ffd4f16fbd02e84815","recorded":"2026-06-01T12:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"OAK/RACK-A","entry":"appliance","values":{"category":"commercial-refrigeration","charge_basis":"calculated","full_charge":{"count":"326586506400000","typed":"900lb"},"full_charge_to":"","refrigerant":"R-448A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(4,4096529628322988032,4,1780315200,20605,'entry',NULL,NULL,X'98874d5ec7de619f08f60a714c2f50c9c90b2fa8ee60506fe161508ecd01016a','{"at":"2026-06-01T12:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"f49cc9085c678afe6e3440255607876363bf31f7a2917cec2c766b6cc07f4c78","recorded":"2026-06-01T12:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"RC-01","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(5,4096529628322988032,5,1780315200,20605,'entry',NULL,NULL,X'f6df393a6e15a937bb806591cd5844a95cc69d1759be016a1d897d548393c0fe','{"at":"2026-06-01T12:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"98874d5ec7de619f08f60a714c2f50c9c90b2fa8ee60506fe161508ecd01016a","recorded":"2026-06-01T12:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(6,4096529628322988032,6,1780315200,20605,'entry',NULL,NULL,X'5135c3fbc573301f84966c50adfd68a279c21c90980210cbcc1002a2271b305d','{"at":"2026-06-01T12:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"f6df393a6e15a937bb806591cd5844a95cc69d1759be016a1d897d548393c0fe","recorded":"2026-06-01T12:00:00Z","seq":6,"v":1,"what":{"adds":true,"code":"RC-03","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(7,4096529628322988032,7,1780322400,20605,'recover','2207',NULL,X'acdf7f31d3a430279963b364cfaf6bee6d0aa5a69e2237da4b2d49db6a38be82','{"at":"2026-06-01T14:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"prev":"5135c3fbc573301f84966c50adfd68a279c21c90980210cbcc1002a2271b305d","recorded":"2026-06-01T14:00:00Z","seq":7,"v":1,"what":{"circuit":"OAK/RACK-A","into":"RC-01","reason":"open","weighing":{"after":{"count":"15694296002000","typed":"43.25lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(8,4096529628322988032,8,1780323000,20605,'recover','2207',NULL,X'49d863898ddf7a34ded8fc96b2f2554451f3f7fd0c0b88771ea42071aaaed265','{"at":"2026-06-01T14:10:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"prev":"acdf7f31d3a430279963b364cfaf6bee6d0aa5a69e2237da4b2d49db6a38be82","recorded":"2026-06-01T14:10:00Z","seq":8,"v":1,"what":{"circuit":"OAK/RACK-A","into":"RC-02","reason":"open","weighing":{"after":{"count":"15694296002000","typed":"43.25lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(9,4096529628322988032,9,1780408800,20606,'return',NULL,NULL,X'760483ebdca6222c32e6b7da31e5b6b477760a6f8fef61847c61edd9be2619e9','{"at":"2026-06-02T14:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-02","kind":"return","offset_min":-300,"prev":"49d863898ddf7a34ded8fc96b2f2554451f3f7fd0c0b88771ea42071aaaed265","recorded":"2026-06-02T14:00:00Z","seq":9,"v":1,"what":{"cylinder":"RC-01","gross":{"count":"15694296002000","typed":"43.25lb"},"to":"Larkfield Reclaim"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(10,4096529628322988032,10,1780412400,20606,'return',NULL,NULL,X'bcfa227ff6b9f1bdb853db4833b4cd9d7acad19857e8966d2482979f2d685e36','{"at":"2026-06-02T15:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-02","kind":"return","offset_min":-300,"prev":"760483ebdca6222c32e6b7da31e5b6b477760a6f8fef61847c61edd9be2619e9","recorded":"2026-06-02T15:00:00Z","seq":10,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"15694296002000","typed":"43.25lb"},"to":"Larkfield Reclaim"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(11,4096529628322988032,11,1780495200,20607,'settle',NULL,NULL,X'fe67480b0b49cc8f27069ee435123e08d0d3baf0513b846982fe2ffb763d4004','{"at":"2026-06-03T14:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-03","kind":"settle","offset_min":-300,"prev":"bcfa227ff6b9f1bdb853db4833b4cd9d7acad19857e8966d2482979f2d685e36","recorded":"2026-06-03T14:00:00Z","seq":11,"v":1,"what":{"credit":"31.50 for all","cylinder":"RC-01","outcome":"reclaimed","refrigerant":{"count":"5697120167200","typed":"15.7lb"},"target":"760483ebdca6222c32e6b7da31e5b6b477760a6f8fef61847c61edd9be2619e9"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(12,4096529628322988032,12,1780498800,20607,'settle',NULL,NULL,X'4cf84ea96376faea9ddbff30bb66ae17f707ecfa35e9649ece10667d550fa401','{"at":"2026-06-03T15:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-03","kind":"settle","offset_min":-300,"prev":"fe67480b0b49cc8f27069ee435123e08d0d3baf0513b846982fe2ffb763d4004","recorded":"2026-06-03T15:00:00Z","seq":12,"v":1,"what":{"credit":"14.30 USD","cylinder":"RC-02","outcome":"reclaimed","refrigerant":{"count":"5697120167200","typed":"15.7lb"},"target":"bcfa227ff6b9f1bdb853db4833b4cd9d7acad19857e8966d2482979f2d685e36"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(13,4096529628322988032,13,1780581600,20608,'entry',NULL,NULL,X'c6e1ce99637afd50cd14c3689f0fd3300d91d30b1f22252b1f7b46dfbf3cf35c','{"at":"2026-06-04T14:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-04","kind":"entry","offset_min":-300,"prev":"4cf84ea96376faea9ddbff30bb66ae17f707ecfa35e9649ece10667d550fa401","recorded":"2026-06-04T14:00:00Z","seq":13,"v":1,"what":{"adds":true,"code":"RC-09","entry":"cylinder","values":{"refrigerant":"R-448A","use":"recovery"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(14,4096529628322988032,14,1780581600,20608,'exchange',NULL,NULL,X'd5eac7981b2f5fe29c147355bbdb2680cc33f8062b746068d7bdd3309c23a2e7','{"at":"2026-06-04T14:00:00Z","book":"71b397fc381ce58d17afa4b1fb8d0253","date":"2026-06-04","kind":"exchange","offset_min":-300,"prev":"c6e1ce99637afd50cd14c3689f0fd3300d91d30b1f22252b1f7b46dfbf3cf35c","recorded":"2026-06-04T14:00:00Z","seq":14,"v":1,"what":{"cylinder":"RC-03","deposit":"40","for_cylinder":"RC-09","with":"Harlan Supply"},"zone":"America/Chicago"}');
CREATE TABLE IF NOT EXISTS "balance" (
  account  INTEGER NOT NULL REFERENCES account,
  lot      INTEGER NOT NULL REFERENCES lot,
  mass     INTEGER NOT NULL,
  postings INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(1,1,0,2);
INSERT INTO balance VALUES(2,1,0,2);
INSERT INTO balance VALUES(4,1,-11430527724000,2);
INSERT INTO balance VALUES(5,1,11394240334400,4);
INSERT INTO balance VALUES(6,1,36287389600,2);
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
