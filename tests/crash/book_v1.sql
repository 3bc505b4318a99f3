-- A whole book as schema 1 wrote it: an invented shop, fourteen events, one exception that is not settled.
-- Its key signs nothing else. Made by: sqlite3 BOOK .dump
PRAGMA application_id = 1415672421;
PRAGMA user_version = 1;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('id','7dc3ca9a4c1ae68068138eca0ebdcb25');
INSERT INTO book VALUES('public_key','253837aeb4be0062013622817bd28f7ea0e4ee2b5916ae22a8d325d57eea97f9');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'987f850150feec1b379f58e9357d713d46b1786dc989ec2a49c50de5b4fdd115253837aeb4be0062013622817bd28f7ea0e4ee2b5916ae22a8d325d57eea97f9');
CREATE TABLE origin (
  id   INTEGER PRIMARY KEY,
  book BLOB NOT NULL UNIQUE
) STRICT;
INSERT INTO origin VALUES(1,X'7dc3ca9a4c1ae68068138eca0ebdcb25');
CREATE TABLE event (
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
INSERT INTO event VALUES(1,1,1780326000,20605,'start',NULL,NULL,X'bb912621c0cf39a09d8b3083475213adc7586db0af0ce061c8858b40acd7640f','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T15:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","public_key":"253837aeb4be0062013622817bd28f7ea0e4ee2b5916ae22a8d325d57eea97f9","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,2,1780326000,20605,'entry',NULL,NULL,X'86968aa1e6694fc10e5bc2bfb833a21dab44f1ced93cd6b9ede6c0d124b4e565','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"bb912621c0cf39a09d8b3083475213adc7586db0af0ce061c8858b40acd7640f","recorded":"2026-06-01T15:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"OAK","entry":"site","values":{"owner":"Quillpost Markets"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,3,1780326000,20605,'entry',NULL,NULL,X'07ebdfcc1918cc4de88d6c589cffdf3902ea92b66227975d71f41e7f9f5b780a','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"86968aa1e6694fc10e5bc2bfb833a21dab44f1ced93cd6b9ede6c0d124b4e565","recorded":"2026-06-01T15:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"OAK/RACK-A","entry":"appliance","values":{"category":"commercial-refrigeration","charge_basis":"calculated","full_charge":{"count":"326586506400000","typed":"900lb"},"full_charge_to":"","refrigerant":"R-448A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,4,1780326000,20605,'entry',NULL,NULL,X'd7f4436decf9cd381ea03832df08751e5d10295936a554a57a691b43c10638b7','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"07ebdfcc1918cc4de88d6c589cffdf3902ea92b66227975d71f41e7f9f5b780a","recorded":"2026-06-01T15:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"OAK/RACK-A/4","entry":"circuit","values":{"serves":"produce"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,5,1780326000,20605,'entry',NULL,NULL,X'1297a4d148acc2567bb9fd41078376c800a1c6d3106941603620faa8e19bff9a','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"d7f4436decf9cd381ea03832df08751e5d10295936a554a57a691b43c10638b7","recorded":"2026-06-01T15:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"S1","entry":"scale","values":{"division":{"count":"18143694800","typed":"0.05lb"},"reads":"lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,6,1780326000,20605,'entry',NULL,NULL,X'1886d2870871cca0944b80d26d9a5cd586ee94c87ec981b4f0f89f307ac1443f','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"1297a4d148acc2567bb9fd41078376c800a1c6d3106941603620faa8e19bff9a","recorded":"2026-06-01T15:00:00Z","seq":6,"v":1,"what":{"adds":true,"code":"RC-01","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,7,1780326000,20605,'entry',NULL,NULL,X'34c5b2cd5fc68940283a2cdb7dc54ff609b8fdf2a56dfb8245bf8a469dd52e98','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"1886d2870871cca0944b80d26d9a5cd586ee94c87ec981b4f0f89f307ac1443f","recorded":"2026-06-01T15:00:00Z","seq":7,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,8,1780326000,20605,'entry',NULL,NULL,X'daf0654d34ab523f1d305646a83163374e041a663b2e33b8821d1468cb8ef5d0','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"34c5b2cd5fc68940283a2cdb7dc54ff609b8fdf2a56dfb8245bf8a469dd52e98","recorded":"2026-06-01T15:00:00Z","seq":8,"v":1,"what":{"adds":true,"code":"J7D-001","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-39","use":"supply"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,9,1780326000,20605,'receive',NULL,NULL,X'6604ad47d7b78edec42b3d357c3481180a0c86163b79cc8b87c0e20ad1f392b2','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"receive","offset_min":-300,"prev":"daf0654d34ab523f1d305646a83163374e041a663b2e33b8821d1468cb8ef5d0","recorded":"2026-06-01T15:00:00Z","seq":9,"v":1,"what":{"condition":"virgin","cylinder":"J7D-001","from":"Tallgrass Supply","refrigerant":"R-448A","stamped":true,"weighing":{"net":{"count":"9071847400000","typed":"25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,10,1780326000,20605,'entry',NULL,NULL,X'f484afc6ebd3ce6fe09cd54e6cfedb07186d482a038a8161abb497e580e8cc15','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"6604ad47d7b78edec42b3d357c3481180a0c86163b79cc8b87c0e20ad1f392b2","recorded":"2026-06-01T15:00:00Z","seq":10,"v":1,"what":{"adds":true,"code":"J7D-002","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-39","use":"supply"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,11,1780326000,20605,'receive',NULL,NULL,X'f9aee747e4f1608aeba5af9e171565e8b323360146803d13da362e661d0936c5','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","kind":"receive","offset_min":-300,"prev":"f484afc6ebd3ce6fe09cd54e6cfedb07186d482a038a8161abb497e580e8cc15","recorded":"2026-06-01T15:00:00Z","seq":11,"v":1,"what":{"condition":"virgin","cylinder":"J7D-002","from":"Tallgrass Supply","refrigerant":"R-448A","stamped":true,"weighing":{"net":{"count":"9071847400000","typed":"25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,12,1780326000,20605,'recover','2207','old-1',X'9dbbde735c15458468bea5d2d9b117412bbce3c5ac3734d3549f3a85d58a49d2','{"at":"2026-06-01T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"own_id":"old-1","prev":"f9aee747e4f1608aeba5af9e171565e8b323360146803d13da362e661d0936c5","recorded":"2026-06-01T15:00:00Z","seq":12,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-02","reason":"open","weighing":{"after":{"count":"12773161139200","typed":"35.2lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,13,1780412400,20606,'weigh',NULL,NULL,X'6c92e302e04d9edc7f2ea6063428a2106c900f11487097260db220e8f8054737','{"at":"2026-06-02T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"9dbbde735c15458468bea5d2d9b117412bbce3c5ac3734d3549f3a85d58a49d2","recorded":"2026-06-02T15:00:00Z","seq":13,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"12773161139200","typed":"35.2lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,14,1780498800,20607,'weigh',NULL,NULL,X'6ca802a9c277ca69329b790bdafea93ec0ee00d04a55224840aba8b48810a1f6','{"at":"2026-06-03T15:00:00Z","book":"7dc3ca9a4c1ae68068138eca0ebdcb25","date":"2026-06-03","kind":"weigh","offset_min":-300,"prev":"6c92e302e04d9edc7f2ea6063428a2106c900f11487097260db220e8f8054737","recorded":"2026-06-03T15:00:00Z","seq":14,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"12410287243200","typed":"34.2lb"}},"zone":"America/Chicago"}');
CREATE TABLE head (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  digest    BLOB NOT NULL,
  signature BLOB NOT NULL,
  PRIMARY KEY (origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(1,1,X'bb912621c0cf39a09d8b3083475213adc7586db0af0ce061c8858b40acd7640f',X'531a94d7d42373772d6973c43842781105a07798efe5f5d1b3c9f94794a39fc278831778942699c71c36196ec2c86008ae663324d905ca0662276d0bf53a080b');
INSERT INTO head VALUES(1,2,X'86968aa1e6694fc10e5bc2bfb833a21dab44f1ced93cd6b9ede6c0d124b4e565',X'3667947ec727018ff7e07204c490f905d614f1e7a6f3ad2601dee54a4eb4d2bed004c826288f42bb5598cd2e99127017b8c5cdf1867fae6e8ce6bf624c515004');
INSERT INTO head VALUES(1,3,X'07ebdfcc1918cc4de88d6c589cffdf3902ea92b66227975d71f41e7f9f5b780a',X'360b517cc4708c2428788996baa2264b5e64a85c5eb3c665412473c6ad4a2bebfd84bd3cf6f4689ac3fb8c3c22979b8ea480c589b4b2e731aa651b7d9b767d0c');
INSERT INTO head VALUES(1,4,X'd7f4436decf9cd381ea03832df08751e5d10295936a554a57a691b43c10638b7',X'c7afe0f375bbce7ca5fc30fcc84843aab588a3e4340320b04178d45ebc5f4478403a2fb2366b40eeee41cbd5e54f2f93f83556d2c0954460712f57c61de6a309');
INSERT INTO head VALUES(1,5,X'1297a4d148acc2567bb9fd41078376c800a1c6d3106941603620faa8e19bff9a',X'cdb50d88b662d918b72e842d212eef771854a10a6ed5c200886da09bebd22e84aa6471fc1429d0b981044354bf8e8782e7cba55c11ee8a5f37ffb17803592209');
INSERT INTO head VALUES(1,6,X'1886d2870871cca0944b80d26d9a5cd586ee94c87ec981b4f0f89f307ac1443f',X'c1928bb4c97e5bb2c57186e7d38fdde120f6a8e2d92df294e452f472994222f6cf7571539ec95ac3388f5a05db79485bd0b44492fad8e39b732d9ed09ff4370f');
INSERT INTO head VALUES(1,7,X'34c5b2cd5fc68940283a2cdb7dc54ff609b8fdf2a56dfb8245bf8a469dd52e98',X'3f6e68ae7eb79ab5eaacb76d95a6f6b0a3340a92e8a57a53747e929cf8909fbeb7696aa8d63030924ef50b3a0102aeda928b757c64aa733001bede25a2b2a40c');
INSERT INTO head VALUES(1,11,X'f9aee747e4f1608aeba5af9e171565e8b323360146803d13da362e661d0936c5',X'c44f22c9a36af8fa0e01d200421913f0d9a2ecb9742ceaaaa10bea7109bac03a5fe5c22aacb8d5c9ba1f7caf53197f4148092c018ecd4ad5284faf160d1f490c');
INSERT INTO head VALUES(1,12,X'9dbbde735c15458468bea5d2d9b117412bbce3c5ac3734d3549f3a85d58a49d2',X'89a909d6162a229353ab9a3e35dc7621746f8d4805a39b60b0c8e38728cd876e6970f4ce64ba2a39849caa5b93944ef645534868875efb157cadb8334834b30c');
INSERT INTO head VALUES(1,13,X'6c92e302e04d9edc7f2ea6063428a2106c900f11487097260db220e8f8054737',X'a46ff931830122516b7f23fe48e3bdb198c78d2d5b0dc076fe4ef6eb5e4031b84fa03a88ba9f2149c8acea30f47a5fdef63973820d729cdd1d86139ef1d28c0e');
INSERT INTO head VALUES(1,14,X'6ca802a9c277ca69329b790bdafea93ec0ee00d04a55224840aba8b48810a1f6',X'eb770466c2044de672cd1bd8a1d615e374f23d12ebade9ed7f5d699270b326cc1040251c46f82aa525467dec4790d8126ff6ee8021edea92e181aa2353af5b0b');
CREATE TABLE uncounted (
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
INSERT INTO entry VALUES(3,'circuit','OAK/RACK-A/4');
INSERT INTO entry VALUES(4,'scale','S1');
INSERT INTO entry VALUES(5,'cylinder','RC-01');
INSERT INTO entry VALUES(6,'cylinder','RC-02');
INSERT INTO entry VALUES(7,'cylinder','J7D-001');
INSERT INTO entry VALUES(8,'cylinder','J7D-002');
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
INSERT INTO field VALUES(1,'owner',1780326000,1,2,'Quillpost Markets',NULL);
INSERT INTO field VALUES(2,'category',1780326000,1,3,'commercial-refrigeration',NULL);
INSERT INTO field VALUES(2,'charge_basis',1780326000,1,3,'calculated',NULL);
INSERT INTO field VALUES(2,'full_charge',1780326000,1,3,'900lb',326586506400000);
INSERT INTO field VALUES(2,'full_charge_to',1780326000,1,3,'',NULL);
INSERT INTO field VALUES(2,'refrigerant',1780326000,1,3,'R-448A',NULL);
INSERT INTO field VALUES(3,'serves',1780326000,1,4,'produce',NULL);
INSERT INTO field VALUES(4,'division',1780326000,1,5,'0.05lb',18143694800);
INSERT INTO field VALUES(4,'reads',1780326000,1,5,'lb',NULL);
INSERT INTO field VALUES(5,'refrigerant',1780326000,1,6,'R-448A',NULL);
INSERT INTO field VALUES(5,'spec',1780326000,1,6,'DOT-4BA400',NULL);
INSERT INTO field VALUES(5,'tare',1780326000,1,6,'27.5lb',9979032140000);
INSERT INTO field VALUES(5,'tested',1780326000,1,6,'2024-04',NULL);
INSERT INTO field VALUES(5,'use',1780326000,1,6,'recovery',NULL);
INSERT INTO field VALUES(5,'wc',1780326000,1,6,'47.6lb',17272797449600);
INSERT INTO field VALUES(6,'refrigerant',1780326000,1,7,'R-448A',NULL);
INSERT INTO field VALUES(6,'spec',1780326000,1,7,'DOT-4BA400',NULL);
INSERT INTO field VALUES(6,'tare',1780326000,1,7,'27.5lb',9979032140000);
INSERT INTO field VALUES(6,'tested',1780326000,1,7,'2024-04',NULL);
INSERT INTO field VALUES(6,'use',1780326000,1,7,'recovery',NULL);
INSERT INTO field VALUES(6,'wc',1780326000,1,7,'47.6lb',17272797449600);
INSERT INTO field VALUES(7,'refrigerant',1780326000,1,8,'R-448A',NULL);
INSERT INTO field VALUES(7,'spec',1780326000,1,8,'DOT-39',NULL);
INSERT INTO field VALUES(7,'use',1780326000,1,8,'supply',NULL);
INSERT INTO field VALUES(8,'refrigerant',1780326000,1,10,'R-448A',NULL);
INSERT INTO field VALUES(8,'spec',1780326000,1,10,'DOT-39',NULL);
INSERT INTO field VALUES(8,'use',1780326000,1,10,'supply',NULL);
CREATE TABLE account (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
INSERT INTO account VALUES(1,'cylinder','RC-01');
INSERT INTO account VALUES(2,'cylinder','RC-02');
INSERT INTO account VALUES(3,'cylinder','J7D-001');
INSERT INTO account VALUES(4,'supplier','Tallgrass Supply');
INSERT INTO account VALUES(5,'cylinder','J7D-002');
INSERT INTO account VALUES(6,'circuit','OAK/RACK-A/4');
INSERT INTO account VALUES(7,'unaccounted','');
CREATE TABLE lot (
  id          INTEGER PRIMARY KEY,
  refrigerant TEXT NOT NULL,
  owner       TEXT NOT NULL,
  condition   TEXT NOT NULL,
  UNIQUE (refrigerant, owner, condition)
) STRICT;
INSERT INTO lot VALUES(1,'R-448A','shop','virgin');
INSERT INTO lot VALUES(2,'R-448A','Quillpost Markets','recovered');
CREATE TABLE posting (
  event   INTEGER NOT NULL,
  n       INTEGER NOT NULL,
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
INSERT INTO posting VALUES(9,0,3,1,9071847400000);
INSERT INTO posting VALUES(9,1,4,1,-9071847400000);
INSERT INTO posting VALUES(11,0,5,1,9071847400000);
INSERT INTO posting VALUES(11,1,4,1,-9071847400000);
INSERT INTO posting VALUES(12,0,2,2,2794128999200);
INSERT INTO posting VALUES(12,1,6,2,-2794128999200);
INSERT INTO posting VALUES(14,0,2,2,-362873896000);
INSERT INTO posting VALUES(14,1,7,2,362873896000);
CREATE TABLE balance (
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(2,2,2431255103200);
INSERT INTO balance VALUES(3,1,9071847400000);
INSERT INTO balance VALUES(4,1,-18143694800000);
INSERT INTO balance VALUES(5,1,9071847400000);
INSERT INTO balance VALUES(6,2,-2794128999200);
INSERT INTO balance VALUES(7,2,362873896000);
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
INSERT INTO step VALUES(1,1780326000,1,6,6,0,0,X'000000000000');
INSERT INTO step VALUES(2,1780326000,1,7,7,0,0,X'000000000000');
INSERT INTO step VALUES(2,1780326000,1,12,12,2794128999200,0,X'800180f0dbbbbfe705020c522d34343841225175696c6c706f7374204d61726b65747306c08c88f1d1a20100000000');
INSERT INTO step VALUES(2,1780412400,1,13,13,0,0,X'800180f0dbbbbfe705020c522d34343841225175696c6c706f7374204d61726b65747306c08c88f1d1a20100000000');
INSERT INTO step VALUES(2,1780498800,1,14,14,0,-362873896000,X'800180ff99ecafd205020c522d34343841225175696c6c706f7374204d61726b65747306c09bc6a1c28d0100000000');
INSERT INTO step VALUES(3,1780326000,1,8,8,0,0,X'000000000000');
INSERT INTO step VALUES(3,1780326000,1,9,9,9071847400000,0,X'00020c522d343438410873686f70008089efc386900400000000');
INSERT INTO step VALUES(5,1780326000,1,10,10,0,0,X'000000000000');
INSERT INTO step VALUES(5,1780326000,1,11,11,9071847400000,0,X'00020c522d343438410873686f70008089efc386900400000000');
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
INSERT INTO finding VALUES(14,0,1,'gap','RC-02','RC-02 should weigh 35.20 lb and weighs 34.20 lb: 1.00 lb is missing','34.20 lb gross','35.20 lb gross, within 0.50 lb','weigh it again; a late entry that explains the difference ends this by itself','');
CREATE TABLE resolved (
  finding TEXT NOT NULL,
  event   INTEGER NOT NULL,
  PRIMARY KEY (finding, event)
) STRICT, WITHOUT ROWID;
CREATE INDEX event_order ON event (at, origin, seq);
CREATE INDEX event_job ON event (job) WHERE job IS NOT NULL;
CREATE UNIQUE INDEX event_own_id ON event (origin, own_id) WHERE own_id IS NOT NULL;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted: void it'); END;
CREATE INDEX posting_account ON posting (account, event);
CREATE INDEX finding_open ON finding (subject, event) WHERE severity > 0;
COMMIT;
