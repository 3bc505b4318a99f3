-- A book as the program of schema 5 wrote it: history.txt up to there. Its key signs nothing else. Made by: kept_books.py --make 5
PRAGMA application_id = 1415672421;
PRAGMA user_version = 5;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('checks_edition','3');
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('id','f9df047ee64a2a9ac7ef397a981031ce');
INSERT INTO book VALUES('public_key','3c7c632a7bcdc33d7b15619238481b755b6706e8d88e582f49b6c83dee934508');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'c93f2de2510f8b06bfaf4981007f3dfb9b77da32d876f6d730964bc9549ff2823c7c632a7bcdc33d7b15619238481b755b6706e8d88e582f49b6c83dee934508');
CREATE TABLE origin (
  id   INTEGER PRIMARY KEY,
  book BLOB NOT NULL UNIQUE
) STRICT;
INSERT INTO origin VALUES(1,X'f9df047ee64a2a9ac7ef397a981031ce');
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
INSERT INTO event VALUES(1,1,1780315200,20605,'start',NULL,NULL,X'd9c30c7d7965097845f9951e1dbcad3b9b1add7deb46e2a01c10b478abfd2b6b','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T12:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","public_key":"3c7c632a7bcdc33d7b15619238481b755b6706e8d88e582f49b6c83dee934508","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,2,1780315200,20605,'entry',NULL,NULL,X'8eb38fb6522fb2d4dc2f9d3cd52ea5309e6fda18407dbee0f5d088478fd0c37a','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"d9c30c7d7965097845f9951e1dbcad3b9b1add7deb46e2a01c10b478abfd2b6b","recorded":"2026-06-01T12:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"OAK","entry":"site","values":{"owner":"Quillpost Markets"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,3,1780315200,20605,'entry',NULL,NULL,X'ee56277ffea8b8787b793ed549b6e787cfb35c427fc7369fb56c3a47a3eb9a06','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"8eb38fb6522fb2d4dc2f9d3cd52ea5309e6fda18407dbee0f5d088478fd0c37a","recorded":"2026-06-01T12:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"OAK/RACK-A","entry":"appliance","values":{"category":"commercial-refrigeration","charge_basis":"calculated","full_charge":{"count":"326586506400000","typed":"900lb"},"full_charge_to":"","refrigerant":"R-448A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,4,1780315200,20605,'entry',NULL,NULL,X'94de081d645e789aa10b7998f709a31d41a040c3a790a021668b3f4aaaf11603','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"ee56277ffea8b8787b793ed549b6e787cfb35c427fc7369fb56c3a47a3eb9a06","recorded":"2026-06-01T12:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"OAK/RACK-A/4","entry":"circuit","values":{"serves":"produce"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,5,1780315200,20605,'entry',NULL,NULL,X'3c6aafe6294ad54f3123cc153fdaa24fcc47db46d04a6b36578dfd9ff95538de','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"94de081d645e789aa10b7998f709a31d41a040c3a790a021668b3f4aaaf11603","recorded":"2026-06-01T12:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"RC-01","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,6,1780315200,20605,'entry',NULL,NULL,X'74baa33cc4ef14789fdfbf443ebf0e34e67d295b9bd6a55c1db71405a2c66d79','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"3c6aafe6294ad54f3123cc153fdaa24fcc47db46d04a6b36578dfd9ff95538de","recorded":"2026-06-01T12:00:00Z","seq":6,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"10087894308800","typed":"27.8lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,7,1780315200,20605,'entry',NULL,NULL,X'c17390edd62d8253e5658925d03e662a138dd1975eb06f8021c70d48a1ce43c4','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"74baa33cc4ef14789fdfbf443ebf0e34e67d295b9bd6a55c1db71405a2c66d79","recorded":"2026-06-01T12:00:00Z","seq":7,"v":1,"what":{"adds":true,"code":"J-101","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-39","use":"supply"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,8,1780315200,20605,'receive',NULL,NULL,X'e66ecb05e87919c43216c440abc15349fecd2170da32ef3b45b32fe712dc5f3d','{"at":"2026-06-01T12:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","kind":"receive","offset_min":-300,"prev":"c17390edd62d8253e5658925d03e662a138dd1975eb06f8021c70d48a1ce43c4","recorded":"2026-06-01T12:00:00Z","seq":8,"v":1,"what":{"condition":"virgin","cylinder":"J-101","from":"Harlan Supply","refrigerant":"R-448A","stamped":true,"weighing":{"net":{"count":"9071847400000","typed":"25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,9,1780322400,20605,'recover','2207','old-1',X'e593e62fe66991c6379506f1012302e4cfda813b4792a52441d05d7ad504514d','{"at":"2026-06-01T14:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"own_id":"old-1","prev":"e66ecb05e87919c43216c440abc15349fecd2170da32ef3b45b32fe712dc5f3d","recorded":"2026-06-01T14:00:00Z","seq":9,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-01","reason":"open","weighing":{"after":{"count":"15694296002000","typed":"43.25lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,10,1780322400,20605,'reuse','2207',NULL,X'22a13b23545d44a5db631fc36430fa51182026ae6fb08cd5b66c5be3024f058f','{"at":"2026-06-01T14:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","job":"2207","kind":"reuse","offset_min":-300,"prev":"e593e62fe66991c6379506f1012302e4cfda813b4792a52441d05d7ad504514d","recorded":"2026-06-01T14:00:00Z","seq":10,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"RC-01","reason":"put-back","weighing":{"after":{"count":"13063460256000","typed":"36lb"},"before":{"count":"15694296002000","typed":"43.25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,11,1780322400,20605,'charge','2207',NULL,X'4213d605d3d3bddbb5acaab580e7df703ccfec92112ed077c424bc8c93046d52','{"at":"2026-06-01T14:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-01","job":"2207","kind":"charge","offset_min":-300,"prev":"22a13b23545d44a5db631fc36430fa51182026ae6fb08cd5b66c5be3024f058f","recorded":"2026-06-01T14:00:00Z","seq":11,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","reason":"leak","weighing":{"net":{"count":"2249818155200","typed":"6.2lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,12,1780408800,20606,'weigh',NULL,NULL,X'0b7db1f2fcacf470e1380e72f509a6673b0be2f3375cd3d8c9bdd50487ac9ab9','{"at":"2026-06-02T14:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"4213d605d3d3bddbb5acaab580e7df703ccfec92112ed077c424bc8c93046d52","recorded":"2026-06-02T14:00:00Z","seq":12,"v":1,"what":{"cylinder":"RC-01","gross":{"count":"12664298970400","typed":"34.9lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,13,1780408800,20606,'weigh',NULL,NULL,X'bf16a1fa43335e56b7225f51ad2cf4726f3eb9f20720500678dcb7fffbbb10db','{"at":"2026-06-02T14:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"0b7db1f2fcacf470e1380e72f509a6673b0be2f3375cd3d8c9bdd50487ac9ab9","recorded":"2026-06-02T14:00:00Z","seq":13,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"26417219628800","typed":"72.8lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,14,1780408800,20606,'void',NULL,NULL,X'2be6f9f508d78c29b584acc03349efbf5aef26a059b6291dec11071e21c9fc05','{"at":"2026-06-02T14:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-02","kind":"void","offset_min":-300,"prev":"bf16a1fa43335e56b7225f51ad2cf4726f3eb9f20720500678dcb7fffbbb10db","recorded":"2026-06-02T14:00:00Z","seq":14,"v":1,"what":{"target":"bf16a1fa43335e56b7225f51ad2cf4726f3eb9f20720500678dcb7fffbbb10db","why":"read upside down"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,15,1780412400,20606,'transfer',NULL,NULL,X'd4c16c414ae1533225f8afe497a06df26082ce2cef8cbecbb0ca3dc948fa6bac','{"at":"2026-06-02T15:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-02","kind":"transfer","offset_min":-300,"prev":"2be6f9f508d78c29b584acc03349efbf5aef26a059b6291dec11071e21c9fc05","recorded":"2026-06-02T15:00:00Z","seq":15,"v":1,"what":{"from":"RC-01","from_weighing":{"after":{"count":"10886216880000","typed":"30lb"},"before":{"count":"12664298970400","typed":"34.9lb"}},"into":"RC-02","into_weighing":{"after":{"count":"11847832704400","typed":"32.65lb"},"before":{"count":"10087894308800","typed":"27.8lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,16,1780410600,20606,'recover','2208',NULL,X'db9faf551d3e54eb901b204d7e2c8d589860c5f92790b210683b6e3414f358cf','{"at":"2026-06-02T14:30:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-02","job":"2208","kind":"recover","offset_min":-300,"prev":"d4c16c414ae1533225f8afe497a06df26082ce2cef8cbecbb0ca3dc948fa6bac","recorded":"2026-06-02T15:00:00Z","seq":16,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-02","reason":"open","weighing":{"after":{"count":"12210706600400","typed":"33.65lb"},"before":{"count":"11847832704400","typed":"32.65lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,17,1780491600,20607,'leak',NULL,NULL,X'a5cd0c8263358d18d93d516a43425b38b3f06914f53e0bbda0c7c36b17484c81','{"at":"2026-06-03T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-03","kind":"leak","offset_min":-300,"prev":"db9faf551d3e54eb901b204d7e2c8d589860c5f92790b210683b6e3414f358cf","recorded":"2026-06-03T13:00:00Z","seq":17,"v":1,"what":{"appliance":"OAK/RACK-A","place":"flare nut at the receiver"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,18,1780491600,20607,'charge',NULL,NULL,X'3995c958e202ab757d2e5a9df7a06f500f2a9e3e229cd6177773485d436785ae','{"at":"2026-06-03T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-03","kind":"charge","offset_min":-300,"prev":"a5cd0c8263358d18d93d516a43425b38b3f06914f53e0bbda0c7c36b17484c81","recorded":"2026-06-03T13:00:00Z","seq":18,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","leak":"L-1","reason":"leak","weighing":{"net":{"count":"1451495584000","typed":"4lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,19,1780491600,20607,'repair',NULL,NULL,X'04094800f445bb9b204df2cf76b6a56d2c884ddc415517115063f843953c5725','{"at":"2026-06-03T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-03","kind":"repair","offset_min":-300,"prev":"3995c958e202ab757d2e5a9df7a06f500f2a9e3e229cd6177773485d436785ae","recorded":"2026-06-03T13:00:00Z","seq":19,"v":1,"what":{"done":"nut renewed","leak":"L-1"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,20,1780578000,20608,'return',NULL,NULL,X'168f30ab8e5786e07ff39bc425dcd1ac5139fdf23b41714ac2b65cecc8f3214b','{"at":"2026-06-04T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-04","kind":"return","offset_min":-300,"prev":"04094800f445bb9b204df2cf76b6a56d2c884ddc415517115063f843953c5725","recorded":"2026-06-04T13:00:00Z","seq":20,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"12210706600400","typed":"33.65lb"},"manifest":"LR-0604","to":"Larkfield Reclaim"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,21,1780664400,20609,'settle',NULL,NULL,X'33949c6440f97d10e01df45bcf18302ac2ab5766a83fc50f2f0b745581991133','{"at":"2026-06-05T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-05","kind":"settle","offset_min":-300,"prev":"168f30ab8e5786e07ff39bc425dcd1ac5139fdf23b41714ac2b65cecc8f3214b","recorded":"2026-06-05T13:00:00Z","seq":21,"v":1,"what":{"cylinder":"RC-02","oil":{"count":"145149558400","typed":"0.4lb"},"outcome":"reclaimed","refrigerant":{"count":"1886944259200","typed":"5.2lb"},"target":"168f30ab8e5786e07ff39bc425dcd1ac5139fdf23b41714ac2b65cecc8f3214b"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,22,1780750800,20610,'move',NULL,NULL,X'0528dfb9c1d6824592a87ce11cc8382dd940969a51261b5e0445600fd7ca4e87','{"at":"2026-06-06T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-06","kind":"move","offset_min":-300,"prev":"33949c6440f97d10e01df45bcf18302ac2ab5766a83fc50f2f0b745581991133","recorded":"2026-06-06T13:00:00Z","seq":22,"v":1,"what":{"cylinder":"RC-01","place":"shop"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,23,1780750800,20610,'count-begin',NULL,NULL,X'4e36768f7c591857869c3c3728347428a5b9ee5df2a11564e71eaff8e1640732','{"at":"2026-06-06T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-06","kind":"count-begin","offset_min":-300,"prev":"0528dfb9c1d6824592a87ce11cc8382dd940969a51261b5e0445600fd7ca4e87","recorded":"2026-06-06T13:00:00Z","seq":23,"v":1,"what":{"place":"shop"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,24,1780750800,20610,'count-weigh',NULL,NULL,X'61c4e26d8f8d590925989114fc008f07f8f96425890cc3dcbe9290d417784b06','{"at":"2026-06-06T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-06","kind":"count-weigh","offset_min":-300,"prev":"4e36768f7c591857869c3c3728347428a5b9ee5df2a11564e71eaff8e1640732","recorded":"2026-06-06T13:00:00Z","seq":24,"v":1,"what":{"count":"4e36768f7c591857869c3c3728347428a5b9ee5df2a11564e71eaff8e1640732","cylinder":"RC-01","gross":{"count":"10704779932000","typed":"29.5lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,25,1780750800,20610,'count-close',NULL,NULL,X'b91bebf7185df1eb2d5dd2927fccf13e2c19609aafe773cf879fb20bd9cedb30','{"at":"2026-06-06T13:00:00Z","book":"f9df047ee64a2a9ac7ef397a981031ce","date":"2026-06-06","kind":"count-close","offset_min":-300,"prev":"61c4e26d8f8d590925989114fc008f07f8f96425890cc3dcbe9290d417784b06","recorded":"2026-06-06T13:00:00Z","seq":25,"v":1,"what":{"count":"4e36768f7c591857869c3c3728347428a5b9ee5df2a11564e71eaff8e1640732"},"zone":"America/Chicago"}');
CREATE TABLE head (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  digest    BLOB NOT NULL,
  signature BLOB NOT NULL,
  PRIMARY KEY (origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(1,1,X'd9c30c7d7965097845f9951e1dbcad3b9b1add7deb46e2a01c10b478abfd2b6b',X'834c84565832831c09afcc337b822ab7ffaa18b7bb751c4a558dc4a7ea0bd64379db7a8f30233f7c43f8c666d601a04841974ca997c55090f69d9c71925a1d0a');
INSERT INTO head VALUES(1,2,X'8eb38fb6522fb2d4dc2f9d3cd52ea5309e6fda18407dbee0f5d088478fd0c37a',X'4f77afdbe5fc109fb0a57dcd6afefbd4bd703c048299703d6eec474578eefaebb0e46a6f2f4b5f70cca61373378af93b8802ea88edc53e14839ebbef53423d0e');
INSERT INTO head VALUES(1,3,X'ee56277ffea8b8787b793ed549b6e787cfb35c427fc7369fb56c3a47a3eb9a06',X'cc648be191cb21e2ded212b871c84ad64220df98dad9d9af2978c108aa2229ba8b8d8ae90acb1da606ff993a0cf5a3a5f401b2edbc13a5470008e44bf6824e03');
INSERT INTO head VALUES(1,4,X'94de081d645e789aa10b7998f709a31d41a040c3a790a021668b3f4aaaf11603',X'd31e87fa26dcb20666facf47b0cd6004f3d95b7f82675b08c5373bc84e5f8fce2107d5f673f263b9aa1540928c66c88601910c8d593c0a422cf1a76067219f0c');
INSERT INTO head VALUES(1,5,X'3c6aafe6294ad54f3123cc153fdaa24fcc47db46d04a6b36578dfd9ff95538de',X'9fe73b54c1a50530b232b6fcbb736dd0a9230622ebd6bb47013049f11842b48ec21efe9d592742e3430704230830a014b15ced24c4abe9faf470e11a8fd26a0d');
INSERT INTO head VALUES(1,6,X'74baa33cc4ef14789fdfbf443ebf0e34e67d295b9bd6a55c1db71405a2c66d79',X'a7123ad5328f7a62557a046dca86eda9815d62828c902b1c631e111ba77b87c444e23d757158f8cd54670a1fad26ecdfb7fa0ab4211663d140978be1e144f809');
INSERT INTO head VALUES(1,8,X'e66ecb05e87919c43216c440abc15349fecd2170da32ef3b45b32fe712dc5f3d',X'348dbff43aa18ade9a8ca5b4a04a47de39bd66505cdff1d4bc740843e177041443329a28cab95e3ad0b72168c5ebb0f2d533376c9b34ee87510fdb1f97008805');
INSERT INTO head VALUES(1,9,X'e593e62fe66991c6379506f1012302e4cfda813b4792a52441d05d7ad504514d',X'58faeb3c6d295754329742784790aa14bcba5052ce1fc15b98778a6d50118f98a43795e0f93af917bce05d1ff16e8898d53058ced3e2bfec98192ddcbb03d708');
INSERT INTO head VALUES(1,10,X'22a13b23545d44a5db631fc36430fa51182026ae6fb08cd5b66c5be3024f058f',X'f5e90eff1dcab9affb256dfee92b01bb422465402d4d9e82aca738042ed1df7ac8381c21526c5d05fc081b7a36c6ba51b4a8c7669dd08729b87647587a899b0e');
INSERT INTO head VALUES(1,11,X'4213d605d3d3bddbb5acaab580e7df703ccfec92112ed077c424bc8c93046d52',X'19241b8e98cfc886f8a80f61a070784a10dab827233e2509a9e6537340d42368d908c75b7adb2a1326712b4aa37af4028025cd49774600b113bff1d1f1f00501');
INSERT INTO head VALUES(1,12,X'0b7db1f2fcacf470e1380e72f509a6673b0be2f3375cd3d8c9bdd50487ac9ab9',X'b4274ccfa13bc5fa804314a1b785928195ad263b2fafc3a51686a793e5695cda5901f01e51de74a16564f529f0ee3f876ba3558eb473c7a2828d84af88760d02');
INSERT INTO head VALUES(1,13,X'bf16a1fa43335e56b7225f51ad2cf4726f3eb9f20720500678dcb7fffbbb10db',X'186d45c0bcd5c62d6f94e12bdd453765e8c0c95744aca3e271347f339064eda0d0893a14d040cbb61713fc07d422f150d4f0617261e8737f1326c5ba57d1e406');
INSERT INTO head VALUES(1,14,X'2be6f9f508d78c29b584acc03349efbf5aef26a059b6291dec11071e21c9fc05',X'bbb1c0711960553ae22ee2fc39c3352dcabf152bae3a7b2e1d7cd5badd909e677121be603782e85e52c85e95ee3a969148c43bedb89702f6e464968da0519d09');
INSERT INTO head VALUES(1,15,X'd4c16c414ae1533225f8afe497a06df26082ce2cef8cbecbb0ca3dc948fa6bac',X'6e789c6bdb517076bdad0d87dc69c1884351874989fec8de9c7116450297df1b4188d7503b24c59fb466b7cfdeb113d6024d3e0035f654245e69f1f92fa8f002');
INSERT INTO head VALUES(1,16,X'db9faf551d3e54eb901b204d7e2c8d589860c5f92790b210683b6e3414f358cf',X'181d62510b3c96f3320cd2dc9d3e7051e6869a01f3d17ef5c2215e2bae5fcf472eb8e71fc8eb000a985fc8bc914065f17e1121e86bce5dcd4b4a17243d196507');
INSERT INTO head VALUES(1,17,X'a5cd0c8263358d18d93d516a43425b38b3f06914f53e0bbda0c7c36b17484c81',X'1c9dd902c6b7f880ae122931b4be6d9f436ae109e9844841ea8bbea8216f0c1645fb08eb85460c9daf74cf346ea0117673e3eb679af258ab9961a13883b16509');
INSERT INTO head VALUES(1,18,X'3995c958e202ab757d2e5a9df7a06f500f2a9e3e229cd6177773485d436785ae',X'a7a38adf0461ce34e6e08248c6b6654c650ff39585009620885d69536017f0c1d3001fa3f08fd426d9a809e643b70ea1e1357ee69d8a6094a242711533abd503');
INSERT INTO head VALUES(1,19,X'04094800f445bb9b204df2cf76b6a56d2c884ddc415517115063f843953c5725',X'2323731bc5244973aac69fffedf6908d13211c3e15bbc9b0da1ec9b7f680fc365e556c273f5244ac5e93f384b2ec977d989caf0869dfc9d858007c534123ee0d');
INSERT INTO head VALUES(1,20,X'168f30ab8e5786e07ff39bc425dcd1ac5139fdf23b41714ac2b65cecc8f3214b',X'cc9b09ced7814f8108d1f2ef96fcb74b2d702392ebf9b796c7718d5e81cabb77e93afc79eebccd5e336cb688ed3f30e9e8516a27f88e924d3567e9ffa3a39e0c');
INSERT INTO head VALUES(1,21,X'33949c6440f97d10e01df45bcf18302ac2ab5766a83fc50f2f0b745581991133',X'78ae3283e56a44afcc7da8f5c94e5a39a4b573b1a18f74ef0ee4aa277a910242867fe093c5d46c55088d3055eef33f2779372cedb1843aa0046a9ce62a6f5003');
INSERT INTO head VALUES(1,22,X'0528dfb9c1d6824592a87ce11cc8382dd940969a51261b5e0445600fd7ca4e87',X'9e8e0a9ca0972be2f48879b6df5ef208e244ffa27b5fb91dedea76a2cbe5f0ed54372180548ca43c1282557c3d04369d82cbc0b46dad4408554b45aaeceea706');
INSERT INTO head VALUES(1,23,X'4e36768f7c591857869c3c3728347428a5b9ee5df2a11564e71eaff8e1640732',X'990e094e305f2a03c47e42176a94e39259aa83addbb14f5edb6a7b353bfa546791ba55106c0446e1666ef9274407d483e9dc310e73b931242a173fb03d9fa70d');
INSERT INTO head VALUES(1,24,X'61c4e26d8f8d590925989114fc008f07f8f96425890cc3dcbe9290d417784b06',X'3d1503b6c8e0c21be3dd8cd4f681705124c299263fc27e9375f32a874728473571c3d757152245fd8700818d4f24dbed13ec6e91b42d7b71be03237c6e16360b');
INSERT INTO head VALUES(1,25,X'b91bebf7185df1eb2d5dd2927fccf13e2c19609aafe773cf879fb20bd9cedb30',X'8bdf54ed0f4ab7c4ea2f653caaad0e9cb1ddb046a57f836d188a72a7c3317568a5f0107009d6b684b7b5bcb2d2ab357a435b2795c1d0b944899c80daf57f4c0e');
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
INSERT INTO account VALUES(8,'reclaimer','Larkfield Reclaim');
INSERT INTO account VALUES(9,'not-refrigerant','');
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
INSERT INTO posting VALUES(20,0,6,2,-362873896000,NULL);
INSERT INTO posting VALUES(20,1,2,2,362873896000,NULL);
INSERT INTO posting VALUES(20,2,2,2,-2122812291600,NULL);
INSERT INTO posting VALUES(20,3,8,2,2122812291600,NULL);
INSERT INTO posting VALUES(21,0,8,2,-145149558400,NULL);
INSERT INTO posting VALUES(21,1,9,2,145149558400,NULL);
INSERT INTO posting VALUES(21,2,8,2,-90718474000,NULL);
INSERT INTO posting VALUES(21,3,7,2,90718474000,NULL);
INSERT INTO posting VALUES(24,0,1,2,-181436948000,NULL);
INSERT INTO posting VALUES(24,1,7,2,181436948000,NULL);
CREATE TABLE balance (
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(1,2,725747792000);
INSERT INTO balance VALUES(2,2,0);
INSERT INTO balance VALUES(2,3,0);
INSERT INTO balance VALUES(3,1,5370533660800);
INSERT INTO balance VALUES(4,1,-9071847400000);
INSERT INTO balance VALUES(5,1,3701313739200);
INSERT INTO balance VALUES(5,2,-3447302012000);
INSERT INTO balance VALUES(6,2,399161285600);
INSERT INTO balance VALUES(6,3,0);
INSERT INTO balance VALUES(7,2,290299116800);
INSERT INTO balance VALUES(8,2,1886944259200);
INSERT INTO balance VALUES(9,2,145149558400);
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
INSERT INTO step VALUES(1,1780750800,1,22,22,0,0,X'800180beb8d1d4f904020c522d34343841225175696c6c706f7374204d61726b65747306c0dae486e73400000873686f7000');
INSERT INTO step VALUES(1,1780750800,1,24,24,0,-181436948000,X'8001c0c5d7e98cef04020c522d34343841225175696c6c706f7374204d61726b6574730680e2839f9f2a00000873686f7000');
INSERT INTO step VALUES(2,1780315200,1,6,6,0,0,X'000000000000');
INSERT INTO step VALUES(2,1780410600,1,16,16,362873896000,1759938395600,X'a001a0c7a2ede0c605040c522d34343841225175696c6c706f7374204d61726b6574730680f1c1cf8f150c522d343438410873686f7006a0f785c8b86600000000');
INSERT INTO step VALUES(2,1780412400,1,15,15,1759938395600,-2122812291600,X'a001a0d6e09dd1b105020c522d34343841225175696c6c706f7374204d61726b65747306a0f785c8b86600000000');
INSERT INTO step VALUES(2,1780578000,1,20,20,-2122812291600,362873896000,X'02000000224c61726b6669656c64205265636c61696d00');
INSERT INTO step VALUES(2,1780664400,1,21,21,0,0,X'02000000224c61726b6669656c64205265636c61696d00');
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
INSERT INTO finding VALUES(20,0,1,'gap','RC-02','RC-02 should weigh 32.65 lb and weighs 33.65 lb: 1.00 lb too much','33.65 lb gross','32.65 lb gross, within 0.50 lb','weigh it again; a late entry that explains the difference ends this by itself','');
CREATE TABLE resolved (
  finding TEXT NOT NULL,
  event   INTEGER NOT NULL,
  PRIMARY KEY (finding, event)
) STRICT, WITHOUT ROWID;
CREATE TABLE settlement (
  event    INTEGER PRIMARY KEY,  -- the statement
  returned INTEGER NOT NULL,     -- the return
  at       INTEGER NOT NULL,     -- of the statement
  origin   INTEGER NOT NULL,
  seq      INTEGER NOT NULL
) STRICT;
INSERT INTO settlement VALUES(21,20,1780664400,1,21);
CREATE INDEX event_order ON event (at, origin, seq);
CREATE INDEX event_job ON event (job) WHERE job IS NOT NULL;
CREATE UNIQUE INDEX event_own_id ON event (origin, own_id) WHERE own_id IS NOT NULL;
CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END;
CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted: void it'); END;
CREATE INDEX finding_open ON finding (subject, event) WHERE severity > 0;
CREATE INDEX posting_circuit ON posting (account, event) WHERE circuit = 1;
CREATE INDEX settlement_returned ON settlement (returned, at, origin, seq);
CREATE INDEX event_watched ON event (kind, origin, seq)
  WHERE kind IN ('count-begin', 'count-close', 'count-missing', 'count-reason', 'count-unknown', 'count-weigh', 'inspect',
                 'leak', 'leak-test', 'plan', 'repair', 'return', 'settle');
COMMIT;
