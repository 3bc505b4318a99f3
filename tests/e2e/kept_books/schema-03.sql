-- A book of schema 3: its tables as they were then, with the rows that the program of schema 5 wrote of history.txt up
-- to there, which have the same columns. Its key signs nothing else.
PRAGMA application_id = 1415672421;
PRAGMA user_version = 3;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('checks_edition','3');
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('id','6e60e40f67f534eda483129c5f61cebe');
INSERT INTO book VALUES('public_key','ac056ccf3b9379906ef1ebebbc72dfeb142d6a88ff9d3bfcbb3fefeedfb3f002');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'dc78bf47c226f3a09eb71c363e16762816b3632ff7acc71ae055f3d86180f18dac056ccf3b9379906ef1ebebbc72dfeb142d6a88ff9d3bfcbb3fefeedfb3f002');
CREATE TABLE origin (
  id   INTEGER PRIMARY KEY,
  book BLOB NOT NULL UNIQUE
) STRICT;
INSERT INTO origin VALUES(1,X'6e60e40f67f534eda483129c5f61cebe');
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
INSERT INTO event VALUES(1,1,1780315200,20605,'start',NULL,NULL,X'bdb123f2d5e77e7387ff8df3311ca4894141758524c4f08d44b3a320fa7ca2ab','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T12:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","public_key":"ac056ccf3b9379906ef1ebebbc72dfeb142d6a88ff9d3bfcbb3fefeedfb3f002","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,2,1780315200,20605,'entry',NULL,NULL,X'2d17d960b5e7c4a92519ac48a1943b657ab8b1ea30fb8454e19e733ff7ba1f6f','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"bdb123f2d5e77e7387ff8df3311ca4894141758524c4f08d44b3a320fa7ca2ab","recorded":"2026-06-01T12:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"OAK","entry":"site","values":{"owner":"Quillpost Markets"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,3,1780315200,20605,'entry',NULL,NULL,X'15d147ee2d04ec433322f599f50faa3c5263c7eedbf9f12d5cc26adccb7e0bc6','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"2d17d960b5e7c4a92519ac48a1943b657ab8b1ea30fb8454e19e733ff7ba1f6f","recorded":"2026-06-01T12:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"OAK/RACK-A","entry":"appliance","values":{"category":"commercial-refrigeration","charge_basis":"calculated","full_charge":{"count":"326586506400000","typed":"900lb"},"full_charge_to":"","refrigerant":"R-448A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,4,1780315200,20605,'entry',NULL,NULL,X'af21012a3ac14dafa4d20765f1b7971ae902bf95b994c54b4e1b37da17ca167c','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"15d147ee2d04ec433322f599f50faa3c5263c7eedbf9f12d5cc26adccb7e0bc6","recorded":"2026-06-01T12:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"OAK/RACK-A/4","entry":"circuit","values":{"serves":"produce"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,5,1780315200,20605,'entry',NULL,NULL,X'aa627a3f53a8620c16322bc27f71ca615a6b84f490642c3b6decbbac1492968d','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"af21012a3ac14dafa4d20765f1b7971ae902bf95b994c54b4e1b37da17ca167c","recorded":"2026-06-01T12:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"RC-01","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,6,1780315200,20605,'entry',NULL,NULL,X'7f04c639f9ef3f92cc3f24ba4372585e6a0a784e526b7b9ae711a3ad5157d866','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"aa627a3f53a8620c16322bc27f71ca615a6b84f490642c3b6decbbac1492968d","recorded":"2026-06-01T12:00:00Z","seq":6,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"10087894308800","typed":"27.8lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,7,1780315200,20605,'entry',NULL,NULL,X'bc7e0716221090cb78debf5b069eebe7ec94e52e95a537d5ecc413264aacf4d5','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"7f04c639f9ef3f92cc3f24ba4372585e6a0a784e526b7b9ae711a3ad5157d866","recorded":"2026-06-01T12:00:00Z","seq":7,"v":1,"what":{"adds":true,"code":"J-101","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-39","use":"supply"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,8,1780315200,20605,'receive',NULL,NULL,X'b50d9540bbdce1b873add84a75b5e3ee442790771f65e1d367e947a7a71b67e7','{"at":"2026-06-01T12:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","kind":"receive","offset_min":-300,"prev":"bc7e0716221090cb78debf5b069eebe7ec94e52e95a537d5ecc413264aacf4d5","recorded":"2026-06-01T12:00:00Z","seq":8,"v":1,"what":{"condition":"virgin","cylinder":"J-101","from":"Harlan Supply","refrigerant":"R-448A","stamped":true,"weighing":{"net":{"count":"9071847400000","typed":"25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,9,1780322400,20605,'recover','2207','old-1',X'99e28d1f0e17076b2b89dbfe700378b934f033ba71ed9046597cb267bec86f74','{"at":"2026-06-01T14:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"own_id":"old-1","prev":"b50d9540bbdce1b873add84a75b5e3ee442790771f65e1d367e947a7a71b67e7","recorded":"2026-06-01T14:00:00Z","seq":9,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-01","reason":"open","weighing":{"after":{"count":"15694296002000","typed":"43.25lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,10,1780322400,20605,'reuse','2207',NULL,X'f4a27f66d5efb7b7e53cb49745236d6f5628d43943908382d12be302a156813c','{"at":"2026-06-01T14:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","job":"2207","kind":"reuse","offset_min":-300,"prev":"99e28d1f0e17076b2b89dbfe700378b934f033ba71ed9046597cb267bec86f74","recorded":"2026-06-01T14:00:00Z","seq":10,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"RC-01","reason":"put-back","weighing":{"after":{"count":"13063460256000","typed":"36lb"},"before":{"count":"15694296002000","typed":"43.25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,11,1780322400,20605,'charge','2207',NULL,X'89257ff16fd67b78aeb9b80002387dc6fa37b8f1a981f0bc8ad3784f24dc46d8','{"at":"2026-06-01T14:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-01","job":"2207","kind":"charge","offset_min":-300,"prev":"f4a27f66d5efb7b7e53cb49745236d6f5628d43943908382d12be302a156813c","recorded":"2026-06-01T14:00:00Z","seq":11,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","reason":"leak","weighing":{"net":{"count":"2249818155200","typed":"6.2lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,12,1780408800,20606,'weigh',NULL,NULL,X'f0f132e0b8e2907c25d74b8f37a49ba811c9e8006e75fe03c6f60cf250aa9675','{"at":"2026-06-02T14:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"89257ff16fd67b78aeb9b80002387dc6fa37b8f1a981f0bc8ad3784f24dc46d8","recorded":"2026-06-02T14:00:00Z","seq":12,"v":1,"what":{"cylinder":"RC-01","gross":{"count":"12664298970400","typed":"34.9lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,13,1780408800,20606,'weigh',NULL,NULL,X'd33296ea5ba38b18e4dccd78d55aa33dae2aa8cceb24069a0863d511169c3f7a','{"at":"2026-06-02T14:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"f0f132e0b8e2907c25d74b8f37a49ba811c9e8006e75fe03c6f60cf250aa9675","recorded":"2026-06-02T14:00:00Z","seq":13,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"26417219628800","typed":"72.8lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,14,1780408800,20606,'void',NULL,NULL,X'495fbbe35afb8709060b19b7c4816defa943d54a80d7958fdd860db9d55f2a17','{"at":"2026-06-02T14:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-02","kind":"void","offset_min":-300,"prev":"d33296ea5ba38b18e4dccd78d55aa33dae2aa8cceb24069a0863d511169c3f7a","recorded":"2026-06-02T14:00:00Z","seq":14,"v":1,"what":{"target":"d33296ea5ba38b18e4dccd78d55aa33dae2aa8cceb24069a0863d511169c3f7a","why":"read upside down"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,15,1780412400,20606,'transfer',NULL,NULL,X'f71978621037ca4750b5324a514f30231d47bb4ae16db2e48cd884ca8acde45b','{"at":"2026-06-02T15:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-02","kind":"transfer","offset_min":-300,"prev":"495fbbe35afb8709060b19b7c4816defa943d54a80d7958fdd860db9d55f2a17","recorded":"2026-06-02T15:00:00Z","seq":15,"v":1,"what":{"from":"RC-01","from_weighing":{"after":{"count":"10886216880000","typed":"30lb"},"before":{"count":"12664298970400","typed":"34.9lb"}},"into":"RC-02","into_weighing":{"after":{"count":"11847832704400","typed":"32.65lb"},"before":{"count":"10087894308800","typed":"27.8lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,16,1780410600,20606,'recover','2208',NULL,X'81861960e7b5442f3d984337022306683120e1c6dc2e3230d35caa90f9dd7564','{"at":"2026-06-02T14:30:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-02","job":"2208","kind":"recover","offset_min":-300,"prev":"f71978621037ca4750b5324a514f30231d47bb4ae16db2e48cd884ca8acde45b","recorded":"2026-06-02T15:00:00Z","seq":16,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-02","reason":"open","weighing":{"after":{"count":"12210706600400","typed":"33.65lb"},"before":{"count":"11847832704400","typed":"32.65lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,17,1780491600,20607,'leak',NULL,NULL,X'1c62efa29085557efc63cd75ecfa8d067be9726821540aad2868ce8ed4b54a9c','{"at":"2026-06-03T13:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-03","kind":"leak","offset_min":-300,"prev":"81861960e7b5442f3d984337022306683120e1c6dc2e3230d35caa90f9dd7564","recorded":"2026-06-03T13:00:00Z","seq":17,"v":1,"what":{"appliance":"OAK/RACK-A","place":"flare nut at the receiver"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,18,1780491600,20607,'charge',NULL,NULL,X'd24e9dae8ab230e7d72d00ad01b405d0c640e7a81546f41b1a67345cda827078','{"at":"2026-06-03T13:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-03","kind":"charge","offset_min":-300,"prev":"1c62efa29085557efc63cd75ecfa8d067be9726821540aad2868ce8ed4b54a9c","recorded":"2026-06-03T13:00:00Z","seq":18,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","leak":"L-1","reason":"leak","weighing":{"net":{"count":"1451495584000","typed":"4lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,19,1780491600,20607,'repair',NULL,NULL,X'f3aeee64371a8e39039ee72e1c2f7d152402bba3ca64fb26af9a51578c9a7316','{"at":"2026-06-03T13:00:00Z","book":"6e60e40f67f534eda483129c5f61cebe","date":"2026-06-03","kind":"repair","offset_min":-300,"prev":"d24e9dae8ab230e7d72d00ad01b405d0c640e7a81546f41b1a67345cda827078","recorded":"2026-06-03T13:00:00Z","seq":19,"v":1,"what":{"done":"nut renewed","leak":"L-1"},"zone":"America/Chicago"}');
CREATE TABLE head (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  digest    BLOB NOT NULL,
  signature BLOB NOT NULL,
  PRIMARY KEY (origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(1,1,X'bdb123f2d5e77e7387ff8df3311ca4894141758524c4f08d44b3a320fa7ca2ab',X'1fc6588f38411dcde9b07997fa89250dbaa2403e4c57786dcd11512436474edbf4924bf1d5c2bd1ccc3d7de80e8b3dee1e7a8baebbe7759482358a7af4f63408');
INSERT INTO head VALUES(1,2,X'2d17d960b5e7c4a92519ac48a1943b657ab8b1ea30fb8454e19e733ff7ba1f6f',X'6d985c98005887b76c1b22953a373c40bd3ca0fa2956c4b2bd2034a250a541005d81aa83d8536dce62f55c42a6e89a6c3a72642c2109c8de7d3d8d17c9f78200');
INSERT INTO head VALUES(1,3,X'15d147ee2d04ec433322f599f50faa3c5263c7eedbf9f12d5cc26adccb7e0bc6',X'54edd2b22c8456285b261abf2fd6cde73e75381ccec709930b07ca218e959b4fa6dcaf74b8f34337f460962d5c6697498da906e05334421c2754d160cd5dba08');
INSERT INTO head VALUES(1,4,X'af21012a3ac14dafa4d20765f1b7971ae902bf95b994c54b4e1b37da17ca167c',X'0def33993c2ba7cb031a6bfbe95471cf98f987febf6dd2c917b1ce4bbde8cd85641d436575d853601a047bd27e72fb8f107ba4b765a45e78e60f8a885417de0c');
INSERT INTO head VALUES(1,5,X'aa627a3f53a8620c16322bc27f71ca615a6b84f490642c3b6decbbac1492968d',X'041e8991ca4d7b262b8d0640d247cdda40d00f857d42b89e6e9a6f6f6ebb84b5c2313c91f1decd4dae837f762f75fe9f46ab71df4fc5e2fb1e8b9f466274aa05');
INSERT INTO head VALUES(1,6,X'7f04c639f9ef3f92cc3f24ba4372585e6a0a784e526b7b9ae711a3ad5157d866',X'be3acb404d1f157ca62eb7d45cb79a3c1bcba89a14b063daca3f15a83f3f85183999a99d7ef9b1caab2f789df69d7d3a6fe36c841214b8ba50c2f89ae67c7506');
INSERT INTO head VALUES(1,8,X'b50d9540bbdce1b873add84a75b5e3ee442790771f65e1d367e947a7a71b67e7',X'81476c77fa560c16419cd8199c0e00396274f77bb9e743410b3de36e2b193880e64e05fc0b1ac9a33b4995cb7fddce4d5fc8d766a2ea5ee29069010981566007');
INSERT INTO head VALUES(1,9,X'99e28d1f0e17076b2b89dbfe700378b934f033ba71ed9046597cb267bec86f74',X'89c8185bb334d88497e14d52d1d8ab381cced2fbabf7a440c4d84ba03cdc6bd96bd882e1d2a83510e081e865ad283f9e46cc9b69e82837e2f6bbda0c2309d701');
INSERT INTO head VALUES(1,10,X'f4a27f66d5efb7b7e53cb49745236d6f5628d43943908382d12be302a156813c',X'4e49919ac3931b3d4ff13943a9e5aaa69f65f0773219cbf398a2b9f0f1bb9749fe5b433adec9ea11035c7bee83c40259a84dc399e7aaffb0048e3d98b6957702');
INSERT INTO head VALUES(1,11,X'89257ff16fd67b78aeb9b80002387dc6fa37b8f1a981f0bc8ad3784f24dc46d8',X'45432191fd560b36ec99e752499fff5463c03d7c41956c485b0218b7d43c1ceece106b2df6ea6aa14a74741f9032bb5a1cc25f76aad41d1bd7a7be393a3bd007');
INSERT INTO head VALUES(1,12,X'f0f132e0b8e2907c25d74b8f37a49ba811c9e8006e75fe03c6f60cf250aa9675',X'8cc824d96e7eb1a49568d63a7d0bd5d5bc5ee707a322e809de944ceeec797e0ab5a0b2ee197fd458155139fa3a16dacd9c57cdb440f9f7cf1c8c06f61a67c407');
INSERT INTO head VALUES(1,13,X'd33296ea5ba38b18e4dccd78d55aa33dae2aa8cceb24069a0863d511169c3f7a',X'82a1d4da11ffe3efe3f7cde5d3432eb1a37bdf602bb22271d58e4076f94e708e2efaaf54a13df7c8ec9244a0c850561965e5f4bdc5f2372a80d1a84b38294807');
INSERT INTO head VALUES(1,14,X'495fbbe35afb8709060b19b7c4816defa943d54a80d7958fdd860db9d55f2a17',X'5be22568f6b09ee0ca9d2ddc9485d396b6566456d9d917698c9c62757a11b69d81b763e3643d4a1075102b3b8086b0dc542d4519be68c63b1c7eabbd51d7080a');
INSERT INTO head VALUES(1,15,X'f71978621037ca4750b5324a514f30231d47bb4ae16db2e48cd884ca8acde45b',X'd889efa7de81fc954f937c4dcba53b7e76481beb4a16e0566fd4882d475ff1422782674c660120dc1473a55b3f98ae0002db3575a347e5ac6e54bae15c511c04');
INSERT INTO head VALUES(1,16,X'81861960e7b5442f3d984337022306683120e1c6dc2e3230d35caa90f9dd7564',X'653006ddb480dec3ca983f04203d87774f0ebf414667aab6e7f610a6b2472ee19abcbc782f4fe528205dbf52d5b804339ae9ee5962f34ffa0aeb915f5c631908');
INSERT INTO head VALUES(1,17,X'1c62efa29085557efc63cd75ecfa8d067be9726821540aad2868ce8ed4b54a9c',X'b15693c717250e80b99af60f37546423ebf167fa0e9725c1e227dce698440c3400655c85cb614207da94a38a0344e9cd37fd72b2bf58e8a97711187a312b4403');
INSERT INTO head VALUES(1,18,X'd24e9dae8ab230e7d72d00ad01b405d0c640e7a81546f41b1a67345cda827078',X'4e1aaf3aece50c3aa46add347651e12cd5e126a3511aee43988f2fcb0219d2d2654615e4c6d85bf669c5175d8a18ffe0be1bccb233bffb0fdf575a26a9e0fc0e');
INSERT INTO head VALUES(1,19,X'f3aeee64371a8e39039ee72e1c2f7d152402bba3ca64fb26af9a51578c9a7316',X'40a046a6cc0468fda54c9c7c2701e2ce990417af3a923af028209690b010807fb52c7b1095b386e13816372d3047fb663d818ce47254eaccb055c44ef0152f02');
CREATE TABLE uncounted (
  event INTEGER PRIMARY KEY,
  by    INTEGER NOT NULL  -- the void
) STRICT;
INSERT INTO uncounted VALUES(13,14);
CREATE TABLE entry (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
INSERT INTO entry VALUES(1,'site','OAK');
INSERT INTO entry VALUES(2,'appliance','OAK/RACK-A');
INSERT INTO entry VALUES(3,'circuit','OAK/RACK-A/4');
INSERT INTO entry VALUES(4,'cylinder','RC-01');
INSERT INTO entry VALUES(5,'cylinder','RC-02');
INSERT INTO entry VALUES(6,'cylinder','J-101');
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
INSERT INTO field VALUES(1,'owner',1780315200,1,2,'Quillpost Markets',NULL);
INSERT INTO field VALUES(2,'category',1780315200,1,3,'commercial-refrigeration',NULL);
INSERT INTO field VALUES(2,'charge_basis',1780315200,1,3,'calculated',NULL);
INSERT INTO field VALUES(2,'full_charge',1780315200,1,3,'900lb',326586506400000);
INSERT INTO field VALUES(2,'full_charge_to',1780315200,1,3,'',NULL);
INSERT INTO field VALUES(2,'refrigerant',1780315200,1,3,'R-448A',NULL);
INSERT INTO field VALUES(3,'serves',1780315200,1,4,'produce',NULL);
INSERT INTO field VALUES(4,'refrigerant',1780315200,1,5,'R-448A',NULL);
INSERT INTO field VALUES(4,'spec',1780315200,1,5,'DOT-4BA400',NULL);
INSERT INTO field VALUES(4,'tare',1780315200,1,5,'27.5lb',9979032140000);
INSERT INTO field VALUES(4,'tested',1780315200,1,5,'2024-04',NULL);
INSERT INTO field VALUES(4,'use',1780315200,1,5,'recovery',NULL);
INSERT INTO field VALUES(4,'wc',1780315200,1,5,'47.6lb',17272797449600);
INSERT INTO field VALUES(5,'refrigerant',1780315200,1,6,'R-448A',NULL);
INSERT INTO field VALUES(5,'spec',1780315200,1,6,'DOT-4BA400',NULL);
INSERT INTO field VALUES(5,'tare',1780315200,1,6,'27.8lb',10087894308800);
INSERT INTO field VALUES(5,'tested',1780315200,1,6,'2024-04',NULL);
INSERT INTO field VALUES(5,'use',1780315200,1,6,'recovery',NULL);
INSERT INTO field VALUES(5,'wc',1780315200,1,6,'47.6lb',17272797449600);
INSERT INTO field VALUES(6,'refrigerant',1780315200,1,7,'R-448A',NULL);
INSERT INTO field VALUES(6,'spec',1780315200,1,7,'DOT-39',NULL);
INSERT INTO field VALUES(6,'use',1780315200,1,7,'supply',NULL);
CREATE TABLE account (
  id   INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  code TEXT NOT NULL,
  UNIQUE (kind, code)
) STRICT;
INSERT INTO account VALUES(1,'cylinder','RC-01');
INSERT INTO account VALUES(2,'cylinder','RC-02');
INSERT INTO account VALUES(3,'cylinder','J-101');
INSERT INTO account VALUES(4,'supplier','Harlan Supply');
INSERT INTO account VALUES(5,'circuit','OAK/RACK-A/4');
INSERT INTO account VALUES(6,'unaccounted','');
INSERT INTO account VALUES(7,'scale','');
CREATE TABLE lot (
  id          INTEGER PRIMARY KEY,
  refrigerant TEXT NOT NULL,
  owner       TEXT NOT NULL,
  condition   TEXT NOT NULL,
  UNIQUE (refrigerant, owner, condition)
) STRICT;
INSERT INTO lot VALUES(1,'R-448A','shop','virgin');
INSERT INTO lot VALUES(2,'R-448A','Quillpost Markets','recovered');
INSERT INTO lot VALUES(3,'R-448A','shop','recovered');
CREATE TABLE posting (
  event   INTEGER NOT NULL,
  n       INTEGER NOT NULL,
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL, circuit INTEGER CHECK (circuit = 1),
  PRIMARY KEY (event, n)
) STRICT, WITHOUT ROWID;
INSERT INTO posting VALUES(8,0,3,1,9071847400000,NULL);
INSERT INTO posting VALUES(8,1,4,1,-9071847400000,NULL);
INSERT INTO posting VALUES(9,0,1,2,5715263862000,NULL);
INSERT INTO posting VALUES(9,1,5,2,-5715263862000,1);
INSERT INTO posting VALUES(10,0,1,2,-2630835746000,NULL);
INSERT INTO posting VALUES(10,1,5,2,2630835746000,1);
INSERT INTO posting VALUES(11,0,3,1,-2249818155200,NULL);
INSERT INTO posting VALUES(11,1,5,1,2249818155200,1);
INSERT INTO posting VALUES(12,0,1,2,-399161285600,NULL);
INSERT INTO posting VALUES(12,1,6,2,399161285600,NULL);
INSERT INTO posting VALUES(15,0,2,2,-362873896000,NULL);
INSERT INTO posting VALUES(15,1,2,3,-1759938395600,NULL);
INSERT INTO posting VALUES(15,2,6,2,362873896000,NULL);
INSERT INTO posting VALUES(15,3,6,3,1759938395600,NULL);
INSERT INTO posting VALUES(15,4,1,2,-1778082090400,NULL);
INSERT INTO posting VALUES(15,5,2,2,1759938395600,NULL);
INSERT INTO posting VALUES(15,6,7,2,18143694800,NULL);
INSERT INTO posting VALUES(16,0,6,3,-1759938395600,NULL);
INSERT INTO posting VALUES(16,1,2,3,1759938395600,NULL);
INSERT INTO posting VALUES(16,2,2,2,362873896000,NULL);
INSERT INTO posting VALUES(16,3,5,2,-362873896000,1);
INSERT INTO posting VALUES(18,0,3,1,-1451495584000,NULL);
INSERT INTO posting VALUES(18,1,5,1,1451495584000,1);
CREATE TABLE balance (
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(1,2,907184740000);
INSERT INTO balance VALUES(2,2,1759938395600);
INSERT INTO balance VALUES(2,3,0);
INSERT INTO balance VALUES(3,1,5370533660800);
INSERT INTO balance VALUES(4,1,-9071847400000);
INSERT INTO balance VALUES(5,1,3701313739200);
INSERT INTO balance VALUES(5,2,-3447302012000);
INSERT INTO balance VALUES(6,2,762035181600);
INSERT INTO balance VALUES(6,3,0);
INSERT INTO balance VALUES(7,2,18143694800);
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
INSERT INTO step VALUES(1,1780315200,1,5,5,0,0,X'000000000000');
INSERT INTO step VALUES(1,1780322400,1,9,9,5715263862000,0,X'8001a0b781cfc39107020c522d34343841225175696c6c706f7374204d61726b65747306e0d3ad84d6cc0200000000');
INSERT INTO step VALUES(1,1780322400,1,10,10,-2630835746000,0,X'800180e4c3aeb2f805020c522d34343841225175696c6c706f7374204d61726b65747306c080f0e3c4b30100000000');
INSERT INTO step VALUES(1,1780408800,1,12,12,0,-399161285600,X'8001c0f4d4b094e105020c522d34343841225175696c6c706f7374204d61726b65747306809181e6a69c0100000000');
INSERT INTO step VALUES(1,1780412400,1,15,15,-1778082090400,0,X'800180beb8d1d4f904020c522d34343841225175696c6c706f7374204d61726b65747306c0dae486e73400000000');
INSERT INTO step VALUES(2,1780315200,1,6,6,0,0,X'000000000000');
INSERT INTO step VALUES(2,1780410600,1,16,16,362873896000,1759938395600,X'a001a0c7a2ede0c605040c522d34343841225175696c6c706f7374204d61726b6574730680f1c1cf8f150c522d343438410873686f7006a0f785c8b86600000000');
INSERT INTO step VALUES(2,1780412400,1,15,15,1759938395600,-2122812291600,X'a001a0d6e09dd1b105020c522d34343841225175696c6c706f7374204d61726b65747306a0f785c8b86600000000');
INSERT INTO step VALUES(3,1780315200,1,7,7,0,0,X'000000000000');
INSERT INTO step VALUES(3,1780315200,1,8,8,9071847400000,0,X'00020c522d343438410873686f70008089efc386900400000000');
INSERT INTO step VALUES(3,1780322400,1,11,11,-2249818155200,0,X'00020c522d343438410873686f700080e6898a8c8d0300000000');
INSERT INTO step VALUES(3,1780491600,1,18,18,-1451495584000,0,X'00020c522d343438410873686f700080a282cccdb80200000000');
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
INSERT INTO finding VALUES(12,0,1,'gap','RC-01','RC-01 should weigh 36.00 lb and weighs 34.90 lb: 1.10 lb is missing','34.90 lb gross','36.00 lb gross, within 0.50 lb','weigh it again; a late entry that explains the difference ends this by itself','');
INSERT INTO finding VALUES(15,0,1,'gap','RC-02','RC-02 should weigh 33.65 lb and weighs 27.80 lb: 5.85 lb is missing','27.80 lb gross','33.65 lb gross, within 0.50 lb','weigh it again; a late entry that explains the difference ends this by itself','');
INSERT INTO finding VALUES(16,0,1,'gap','RC-02','RC-02 should weigh 27.80 lb and weighs 32.65 lb: 4.85 lb too much','32.65 lb gross','27.80 lb gross, within 0.50 lb','weigh it again; a late entry that explains the difference ends this by itself','');
INSERT INTO finding VALUES(16,1,1,'two-owners','RC-02','gas of Quillpost Markets and the shop has met in RC-02: from now on it may only go to reclaim','1.00 lb put in','one owner''s gas, or a consolidation cylinder','mark it for reclaim','');
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
CREATE INDEX finding_open ON finding (subject, event) WHERE severity > 0;
CREATE INDEX posting_circuit ON posting (account, event) WHERE circuit = 1;
CREATE INDEX event_watched ON event (kind, origin, seq)
  WHERE kind IN ('inspect', 'leak', 'leak-test', 'plan', 'repair', 'return', 'settle');
COMMIT;
