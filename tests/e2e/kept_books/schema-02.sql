-- A book of schema 2: its tables as they were then, with the rows that the program of schema 5 wrote of history.txt up
-- to there, which have the same columns. Its key signs nothing else.
PRAGMA application_id = 1415672421;
PRAGMA user_version = 2;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('checks_edition','3');
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('id','a85ea166f310268d24d7da2ae525d3f3');
INSERT INTO book VALUES('public_key','fa3d594ef08acc70847e044edf33cffd9f29675b453a40db96a33b24f5fb1730');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'3a23ed23104125534daf8de50eadba1ae7ff872859942e3a574885e9fe4534a8fa3d594ef08acc70847e044edf33cffd9f29675b453a40db96a33b24f5fb1730');
CREATE TABLE origin (
  id   INTEGER PRIMARY KEY,
  book BLOB NOT NULL UNIQUE
) STRICT;
INSERT INTO origin VALUES(1,X'a85ea166f310268d24d7da2ae525d3f3');
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
INSERT INTO event VALUES(1,1,1780315200,20605,'start',NULL,NULL,X'570c4d0a19f3af4cbe1709cb980eac31ba154969d205616b8407332866b1ba72','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T12:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","public_key":"fa3d594ef08acc70847e044edf33cffd9f29675b453a40db96a33b24f5fb1730","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,2,1780315200,20605,'entry',NULL,NULL,X'56a595f1f42297300e6b30d450a2385c1eeb269e873bb6b5b50e7a20c9f06205','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"570c4d0a19f3af4cbe1709cb980eac31ba154969d205616b8407332866b1ba72","recorded":"2026-06-01T12:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"OAK","entry":"site","values":{"owner":"Quillpost Markets"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,3,1780315200,20605,'entry',NULL,NULL,X'47aad0a584d174e18086dfcf2f411c4785a1be6ef8f138ed5a86ebcac57d63c5','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"56a595f1f42297300e6b30d450a2385c1eeb269e873bb6b5b50e7a20c9f06205","recorded":"2026-06-01T12:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"OAK/RACK-A","entry":"appliance","values":{"category":"commercial-refrigeration","charge_basis":"calculated","full_charge":{"count":"326586506400000","typed":"900lb"},"full_charge_to":"","refrigerant":"R-448A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,4,1780315200,20605,'entry',NULL,NULL,X'3e29852f1ed9fc64a75aa35ce641c55aa6978e08fbfe28efe1a7ecd9c7e8c810','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"47aad0a584d174e18086dfcf2f411c4785a1be6ef8f138ed5a86ebcac57d63c5","recorded":"2026-06-01T12:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"OAK/RACK-A/4","entry":"circuit","values":{"serves":"produce"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,5,1780315200,20605,'entry',NULL,NULL,X'2b88364bf27a000cca3f57a79f948de702164786a46a7418212f6d9258969307','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"3e29852f1ed9fc64a75aa35ce641c55aa6978e08fbfe28efe1a7ecd9c7e8c810","recorded":"2026-06-01T12:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"RC-01","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,6,1780315200,20605,'entry',NULL,NULL,X'b97912bbb85466ec4d302f4330baeabb8fa87ce94bf532db17d68a1d98ac5df5','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"2b88364bf27a000cca3f57a79f948de702164786a46a7418212f6d9258969307","recorded":"2026-06-01T12:00:00Z","seq":6,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"10087894308800","typed":"27.8lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,7,1780315200,20605,'entry',NULL,NULL,X'b9ffadba2e82c83a6819944c2cad86c461812918d8aea3544272ea6cb0a3292d','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"b97912bbb85466ec4d302f4330baeabb8fa87ce94bf532db17d68a1d98ac5df5","recorded":"2026-06-01T12:00:00Z","seq":7,"v":1,"what":{"adds":true,"code":"J-101","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-39","use":"supply"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,8,1780315200,20605,'receive',NULL,NULL,X'8e8b79ec07a632e33b7f1a32993a66752f0f05ab8f9aa4dc0424e18453d8ba79','{"at":"2026-06-01T12:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","kind":"receive","offset_min":-300,"prev":"b9ffadba2e82c83a6819944c2cad86c461812918d8aea3544272ea6cb0a3292d","recorded":"2026-06-01T12:00:00Z","seq":8,"v":1,"what":{"condition":"virgin","cylinder":"J-101","from":"Harlan Supply","refrigerant":"R-448A","stamped":true,"weighing":{"net":{"count":"9071847400000","typed":"25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,9,1780322400,20605,'recover','2207','old-1',X'591745a7268f0d6a2ad603451c87a3a1ef393dca85d029d303c0cac16547a3a3','{"at":"2026-06-01T14:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"own_id":"old-1","prev":"8e8b79ec07a632e33b7f1a32993a66752f0f05ab8f9aa4dc0424e18453d8ba79","recorded":"2026-06-01T14:00:00Z","seq":9,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-01","reason":"open","weighing":{"after":{"count":"15694296002000","typed":"43.25lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,10,1780322400,20605,'reuse','2207',NULL,X'ba7c1815d677d9b065a7b435124033bbdb76085223c145078a7e4f742ec44df7','{"at":"2026-06-01T14:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","job":"2207","kind":"reuse","offset_min":-300,"prev":"591745a7268f0d6a2ad603451c87a3a1ef393dca85d029d303c0cac16547a3a3","recorded":"2026-06-01T14:00:00Z","seq":10,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"RC-01","reason":"put-back","weighing":{"after":{"count":"13063460256000","typed":"36lb"},"before":{"count":"15694296002000","typed":"43.25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,11,1780322400,20605,'charge','2207',NULL,X'3cea5bda848590b74dbadb5451217fd772f2ac0d45149c82293145687be43800','{"at":"2026-06-01T14:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-01","job":"2207","kind":"charge","offset_min":-300,"prev":"ba7c1815d677d9b065a7b435124033bbdb76085223c145078a7e4f742ec44df7","recorded":"2026-06-01T14:00:00Z","seq":11,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","reason":"leak","weighing":{"net":{"count":"2249818155200","typed":"6.2lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,12,1780408800,20606,'weigh',NULL,NULL,X'b87b143f4728c12c569b32438e2ff9053f5632f40b4bbcd90816721e468b3b12','{"at":"2026-06-02T14:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"3cea5bda848590b74dbadb5451217fd772f2ac0d45149c82293145687be43800","recorded":"2026-06-02T14:00:00Z","seq":12,"v":1,"what":{"cylinder":"RC-01","gross":{"count":"12664298970400","typed":"34.9lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,13,1780408800,20606,'weigh',NULL,NULL,X'828f8d38f0b32d593a1d7fc0586aebe28bc31a61e3fe8b64b30560774b6d4d6e','{"at":"2026-06-02T14:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"b87b143f4728c12c569b32438e2ff9053f5632f40b4bbcd90816721e468b3b12","recorded":"2026-06-02T14:00:00Z","seq":13,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"26417219628800","typed":"72.8lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,14,1780408800,20606,'void',NULL,NULL,X'ee27f49540a70f012ce0f7a83ec6bcc471d3c5350368066ec0b0bbfd1804f4fc','{"at":"2026-06-02T14:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-02","kind":"void","offset_min":-300,"prev":"828f8d38f0b32d593a1d7fc0586aebe28bc31a61e3fe8b64b30560774b6d4d6e","recorded":"2026-06-02T14:00:00Z","seq":14,"v":1,"what":{"target":"828f8d38f0b32d593a1d7fc0586aebe28bc31a61e3fe8b64b30560774b6d4d6e","why":"read upside down"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,15,1780412400,20606,'transfer',NULL,NULL,X'3cdc43b58cd8a9f6be0a8c165fa0204f5c1399d659cf2457ee9e8f7b5c7ceecd','{"at":"2026-06-02T15:00:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-02","kind":"transfer","offset_min":-300,"prev":"ee27f49540a70f012ce0f7a83ec6bcc471d3c5350368066ec0b0bbfd1804f4fc","recorded":"2026-06-02T15:00:00Z","seq":15,"v":1,"what":{"from":"RC-01","from_weighing":{"after":{"count":"10886216880000","typed":"30lb"},"before":{"count":"12664298970400","typed":"34.9lb"}},"into":"RC-02","into_weighing":{"after":{"count":"11847832704400","typed":"32.65lb"},"before":{"count":"10087894308800","typed":"27.8lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,16,1780410600,20606,'recover','2208',NULL,X'9618f84d11e47cd77721a3c7c596924a76894c1533a98a14d64da8223d9edba4','{"at":"2026-06-02T14:30:00Z","book":"a85ea166f310268d24d7da2ae525d3f3","date":"2026-06-02","job":"2208","kind":"recover","offset_min":-300,"prev":"3cdc43b58cd8a9f6be0a8c165fa0204f5c1399d659cf2457ee9e8f7b5c7ceecd","recorded":"2026-06-02T15:00:00Z","seq":16,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-02","reason":"open","weighing":{"after":{"count":"12210706600400","typed":"33.65lb"},"before":{"count":"11847832704400","typed":"32.65lb"}}},"zone":"America/Chicago"}');
CREATE TABLE head (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  digest    BLOB NOT NULL,
  signature BLOB NOT NULL,
  PRIMARY KEY (origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(1,1,X'570c4d0a19f3af4cbe1709cb980eac31ba154969d205616b8407332866b1ba72',X'3c3da3683ecf9f8d7fd4e81d9baef6533ff190ebe3a0ff37638dae3f052c9b258db84e82d5774559efced5b3ab5a312b08817f5f23c8315f6562f450331dd50b');
INSERT INTO head VALUES(1,2,X'56a595f1f42297300e6b30d450a2385c1eeb269e873bb6b5b50e7a20c9f06205',X'4cbb8e0634725e5cbef66a793aba5a8504f742656f7a52ff4013e18838ceed67f411c2778a1599cff3c86b8e2fd955c776d2fff96f7227b4ab2a866165a89104');
INSERT INTO head VALUES(1,3,X'47aad0a584d174e18086dfcf2f411c4785a1be6ef8f138ed5a86ebcac57d63c5',X'dffda96ef267c7a96e569bea0175c6d893e5badc9624e4769d87aa6ced6e5966c6f020aab41857f0e6368cc4e04adceb857e1f5c6111c7432dd70dd4a527a800');
INSERT INTO head VALUES(1,4,X'3e29852f1ed9fc64a75aa35ce641c55aa6978e08fbfe28efe1a7ecd9c7e8c810',X'fb2ae6514b2177a710b3a104c269d1599008c8a9f0d856b14512b1e55365f975bec6e4de3f923c29f6681fe77a3613021ee891d036e907dd38fbd4f2d7b57e09');
INSERT INTO head VALUES(1,5,X'2b88364bf27a000cca3f57a79f948de702164786a46a7418212f6d9258969307',X'52b05f0544c81f57c36f8870dfade43c91d55de50ffde699da680a29d4e469c1037fdca8f6825b061404cbf84ee5bc5eeca711cbe94023afb2e44b2c4162c60c');
INSERT INTO head VALUES(1,6,X'b97912bbb85466ec4d302f4330baeabb8fa87ce94bf532db17d68a1d98ac5df5',X'95a6f1579707213369e5b964c35729b8178e894d9f81745da3f25c846f34f4faeeb75c77c49b12e4e25de3638836e9bc1657bfb8a362a4dc286454c2193eb900');
INSERT INTO head VALUES(1,8,X'8e8b79ec07a632e33b7f1a32993a66752f0f05ab8f9aa4dc0424e18453d8ba79',X'd93d18cb4a71195c71e7f47c818afc0a2d38957623b0a2360bda439b03e9304189ac45972be8afe9524858fab1da864c0bdf46ce2247fa3418dbbb89401ba205');
INSERT INTO head VALUES(1,9,X'591745a7268f0d6a2ad603451c87a3a1ef393dca85d029d303c0cac16547a3a3',X'83bcc1ed1532a2addecac34a539615dd558c6346e00b3fb3f8952d31658629bc065bc2a4c336ba6dc5f9c7c41ca947ddc5c018d6a3adac384a4c26bd012aab0f');
INSERT INTO head VALUES(1,10,X'ba7c1815d677d9b065a7b435124033bbdb76085223c145078a7e4f742ec44df7',X'2685a9d8767b7f6e420cbd8655957acc95d831eb80a760f470c65c006fb82bbe67039ab9f66832505b2b77dee07140ad9c9799d84f8c225e7e5d67931c668306');
INSERT INTO head VALUES(1,11,X'3cea5bda848590b74dbadb5451217fd772f2ac0d45149c82293145687be43800',X'a0b5110673c41ffc8ebb6d94f083876a87d1a9b031005c23787e8e92aed7c9b034972d563048922ef3858d843a3842fca786e5c1eae69abfa3a6539e509e0503');
INSERT INTO head VALUES(1,12,X'b87b143f4728c12c569b32438e2ff9053f5632f40b4bbcd90816721e468b3b12',X'b347209d2ac7972cdf407db1ba21154f606b0c29d1c8ecaea1896285ff11ad233defdd96a1c4e171e8c8318f9022e9b39efe986fafd6ff0cbb18395a0a366005');
INSERT INTO head VALUES(1,13,X'828f8d38f0b32d593a1d7fc0586aebe28bc31a61e3fe8b64b30560774b6d4d6e',X'd5766b98577fc187b7060fce410dcdba2257ab0669fff63e321cfdd607a50875dcc753cfb36719aa1b9fbc1c37de4ba7082d7a101e3b195cc5e2802c108bab08');
INSERT INTO head VALUES(1,14,X'ee27f49540a70f012ce0f7a83ec6bcc471d3c5350368066ec0b0bbfd1804f4fc',X'7c646cfe9dda909d0f68baa56e6c42bc71321d7359d026a0196a45e0fc6f2ca7ecc1476c7b1cf2c64b61a58a6f41eabfa0d18b0391b6e713d1784972538a7103');
INSERT INTO head VALUES(1,15,X'3cdc43b58cd8a9f6be0a8c165fa0204f5c1399d659cf2457ee9e8f7b5c7ceecd',X'09c32ee1f4d3a61177f48122626e62fcb670fe40a96d06699d58f215e17dd03ee0dab9f33a0f1f61b2924caa798d70164c2e9d0e393cae12152e7d039e85a50f');
INSERT INTO head VALUES(1,16,X'9618f84d11e47cd77721a3c7c596924a76894c1533a98a14d64da8223d9edba4',X'ef971aa9b246ec943b2a6c0e2b509672fb59a7bf51bd2ccf213cb654c5dfad4f14f9a24cd7e782e916f21c3c91faf7e1a80b2d45a824c56a7a8b7b12fc6c2c00');
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
CREATE TABLE balance (
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(1,2,907184740000);
INSERT INTO balance VALUES(2,2,1759938395600);
INSERT INTO balance VALUES(2,3,0);
INSERT INTO balance VALUES(3,1,6822029244800);
INSERT INTO balance VALUES(4,1,-9071847400000);
INSERT INTO balance VALUES(5,1,2249818155200);
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
COMMIT;
