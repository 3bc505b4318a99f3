-- A book of schema 4: its tables as they were then, with the rows that the program of schema 5 wrote of history.txt up
-- to there, which have the same columns. Its key signs nothing else.
PRAGMA application_id = 1415672421;
PRAGMA user_version = 4;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE book (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO book VALUES('checks_edition','3');
INSERT INTO book VALUES('company','Fernhollow Refrigeration');
INSERT INTO book VALUES('id','99464f5e1cad210544704735e5030d5f');
INSERT INTO book VALUES('public_key','7125d78b34c12c97371aa2db9a0d85457764887165ab1e6200ac0ff5c2708141');
INSERT INTO book VALUES('units','lb');
INSERT INTO book VALUES('zone','America/Chicago');
CREATE TABLE secret (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  secret_key BLOB NOT NULL
) STRICT;
INSERT INTO secret VALUES(1,X'fd2c460ff2bc43960dd374466fe6c4413a261a3c851c58f007cb39d2c02af4ba7125d78b34c12c97371aa2db9a0d85457764887165ab1e6200ac0ff5c2708141');
CREATE TABLE origin (
  id   INTEGER PRIMARY KEY,
  book BLOB NOT NULL UNIQUE
) STRICT;
INSERT INTO origin VALUES(1,X'99464f5e1cad210544704735e5030d5f');
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
INSERT INTO event VALUES(1,1,1780315200,20605,'start',NULL,NULL,X'74b36c8a541dd1a6e5a3410c9a09fd39b36616046410b2b8c5e19fb70e7cba7e','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"start","offset_min":-300,"prev":"0000000000000000000000000000000000000000000000000000000000000000","recorded":"2026-06-01T12:00:00Z","seq":1,"v":1,"what":{"company":"Fernhollow Refrigeration","public_key":"7125d78b34c12c97371aa2db9a0d85457764887165ab1e6200ac0ff5c2708141","units":"lb","zone":"America/Chicago"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,2,1780315200,20605,'entry',NULL,NULL,X'4e0c6909163a733ba607329c0d8b8f48d74844d5b8ae73a79cb55f344bfe8a0e','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"74b36c8a541dd1a6e5a3410c9a09fd39b36616046410b2b8c5e19fb70e7cba7e","recorded":"2026-06-01T12:00:00Z","seq":2,"v":1,"what":{"adds":true,"code":"OAK","entry":"site","values":{"owner":"Quillpost Markets"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,3,1780315200,20605,'entry',NULL,NULL,X'8d3e3f591dda9c12ff7a179590db177441934e28eea4ffcfa462f96407ad25f9','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"4e0c6909163a733ba607329c0d8b8f48d74844d5b8ae73a79cb55f344bfe8a0e","recorded":"2026-06-01T12:00:00Z","seq":3,"v":1,"what":{"adds":true,"code":"OAK/RACK-A","entry":"appliance","values":{"category":"commercial-refrigeration","charge_basis":"calculated","full_charge":{"count":"326586506400000","typed":"900lb"},"full_charge_to":"","refrigerant":"R-448A"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,4,1780315200,20605,'entry',NULL,NULL,X'a8cba0f323a2415006b34c22bc69455bd9d772c756430e2501b55cd6452383df','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"8d3e3f591dda9c12ff7a179590db177441934e28eea4ffcfa462f96407ad25f9","recorded":"2026-06-01T12:00:00Z","seq":4,"v":1,"what":{"adds":true,"code":"OAK/RACK-A/4","entry":"circuit","values":{"serves":"produce"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,5,1780315200,20605,'entry',NULL,NULL,X'db9efa3426540854e2fffe59cdfd1210177359aa32273b67f4599d5390cd40d8','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"a8cba0f323a2415006b34c22bc69455bd9d772c756430e2501b55cd6452383df","recorded":"2026-06-01T12:00:00Z","seq":5,"v":1,"what":{"adds":true,"code":"RC-01","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"9979032140000","typed":"27.5lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,6,1780315200,20605,'entry',NULL,NULL,X'215f4c18cb8c32e818afa97611b6628ba18109753d19249593b3fb349339fc63','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"db9efa3426540854e2fffe59cdfd1210177359aa32273b67f4599d5390cd40d8","recorded":"2026-06-01T12:00:00Z","seq":6,"v":1,"what":{"adds":true,"code":"RC-02","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-4BA400","tare":{"count":"10087894308800","typed":"27.8lb"},"tested":"2024-04","use":"recovery","wc":{"count":"17272797449600","typed":"47.6lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,7,1780315200,20605,'entry',NULL,NULL,X'd1aa8984aba85f56f1cfa64ddb49975781179883add39e5087b71a8ef813c772','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"entry","offset_min":-300,"prev":"215f4c18cb8c32e818afa97611b6628ba18109753d19249593b3fb349339fc63","recorded":"2026-06-01T12:00:00Z","seq":7,"v":1,"what":{"adds":true,"code":"J-101","entry":"cylinder","values":{"refrigerant":"R-448A","spec":"DOT-39","use":"supply"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,8,1780315200,20605,'receive',NULL,NULL,X'53c4657ec4bdb060e622a3bcd4f6381a210517ad6a15642afacd8a1de966f424','{"at":"2026-06-01T12:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","kind":"receive","offset_min":-300,"prev":"d1aa8984aba85f56f1cfa64ddb49975781179883add39e5087b71a8ef813c772","recorded":"2026-06-01T12:00:00Z","seq":8,"v":1,"what":{"condition":"virgin","cylinder":"J-101","from":"Harlan Supply","refrigerant":"R-448A","stamped":true,"weighing":{"net":{"count":"9071847400000","typed":"25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,9,1780322400,20605,'recover','2207','old-1',X'2fdf962e203acedca95cc833f7c058f245e2d923b5d9fb3c3cdcb86283a37f95','{"at":"2026-06-01T14:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","job":"2207","kind":"recover","offset_min":-300,"own_id":"old-1","prev":"53c4657ec4bdb060e622a3bcd4f6381a210517ad6a15642afacd8a1de966f424","recorded":"2026-06-01T14:00:00Z","seq":9,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-01","reason":"open","weighing":{"after":{"count":"15694296002000","typed":"43.25lb"},"before":{"count":"9979032140000","typed":"27.5lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,10,1780322400,20605,'reuse','2207',NULL,X'ef70074e25513e0e89941015e148a80dbae404e1c8cd3e5ea6a52d7713e30772','{"at":"2026-06-01T14:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","job":"2207","kind":"reuse","offset_min":-300,"prev":"2fdf962e203acedca95cc833f7c058f245e2d923b5d9fb3c3cdcb86283a37f95","recorded":"2026-06-01T14:00:00Z","seq":10,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"RC-01","reason":"put-back","weighing":{"after":{"count":"13063460256000","typed":"36lb"},"before":{"count":"15694296002000","typed":"43.25lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,11,1780322400,20605,'charge','2207',NULL,X'421baa44ec380ae614cb5a2df67371ec807e55899597754d804d782ea00ab0fa','{"at":"2026-06-01T14:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-01","job":"2207","kind":"charge","offset_min":-300,"prev":"ef70074e25513e0e89941015e148a80dbae404e1c8cd3e5ea6a52d7713e30772","recorded":"2026-06-01T14:00:00Z","seq":11,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","reason":"leak","weighing":{"net":{"count":"2249818155200","typed":"6.2lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,12,1780408800,20606,'weigh',NULL,NULL,X'd5845f0cf9342e1862b63bafb6a8dec65a49be10a7d2d803c8ff233a3a4d0228','{"at":"2026-06-02T14:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"421baa44ec380ae614cb5a2df67371ec807e55899597754d804d782ea00ab0fa","recorded":"2026-06-02T14:00:00Z","seq":12,"v":1,"what":{"cylinder":"RC-01","gross":{"count":"12664298970400","typed":"34.9lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,13,1780408800,20606,'weigh',NULL,NULL,X'1cdab40919212a5c812597f0f03b4df4d36c8b008f3b460e3ef40facb746e6d5','{"at":"2026-06-02T14:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-02","kind":"weigh","offset_min":-300,"prev":"d5845f0cf9342e1862b63bafb6a8dec65a49be10a7d2d803c8ff233a3a4d0228","recorded":"2026-06-02T14:00:00Z","seq":13,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"26417219628800","typed":"72.8lb"}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,14,1780408800,20606,'void',NULL,NULL,X'a3fde1ecf92ed71cd6e8ca0617a51b4720d6c12b9c0373baa3dfd01fafeff6b1','{"at":"2026-06-02T14:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-02","kind":"void","offset_min":-300,"prev":"1cdab40919212a5c812597f0f03b4df4d36c8b008f3b460e3ef40facb746e6d5","recorded":"2026-06-02T14:00:00Z","seq":14,"v":1,"what":{"target":"1cdab40919212a5c812597f0f03b4df4d36c8b008f3b460e3ef40facb746e6d5","why":"read upside down"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,15,1780412400,20606,'transfer',NULL,NULL,X'a7d77547d0b9941af7546d583a8d4159c00f3d9f255db1c12b95b04d1ec52d39','{"at":"2026-06-02T15:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-02","kind":"transfer","offset_min":-300,"prev":"a3fde1ecf92ed71cd6e8ca0617a51b4720d6c12b9c0373baa3dfd01fafeff6b1","recorded":"2026-06-02T15:00:00Z","seq":15,"v":1,"what":{"from":"RC-01","from_weighing":{"after":{"count":"10886216880000","typed":"30lb"},"before":{"count":"12664298970400","typed":"34.9lb"}},"into":"RC-02","into_weighing":{"after":{"count":"11847832704400","typed":"32.65lb"},"before":{"count":"10087894308800","typed":"27.8lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,16,1780410600,20606,'recover','2208',NULL,X'868d8ebe1d9ce0cc5dbeeb3e7978cbdee7ff727fa9b82cac6ec20127a816469b','{"at":"2026-06-02T14:30:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-02","job":"2208","kind":"recover","offset_min":-300,"prev":"a7d77547d0b9941af7546d583a8d4159c00f3d9f255db1c12b95b04d1ec52d39","recorded":"2026-06-02T15:00:00Z","seq":16,"v":1,"what":{"circuit":"OAK/RACK-A/4","into":"RC-02","reason":"open","weighing":{"after":{"count":"12210706600400","typed":"33.65lb"},"before":{"count":"11847832704400","typed":"32.65lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,17,1780491600,20607,'leak',NULL,NULL,X'c53b696a1b7527f0917990c437f77c79ce36d879cf22a8f9507a3d78183d8d81','{"at":"2026-06-03T13:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-03","kind":"leak","offset_min":-300,"prev":"868d8ebe1d9ce0cc5dbeeb3e7978cbdee7ff727fa9b82cac6ec20127a816469b","recorded":"2026-06-03T13:00:00Z","seq":17,"v":1,"what":{"appliance":"OAK/RACK-A","place":"flare nut at the receiver"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,18,1780491600,20607,'charge',NULL,NULL,X'6d704c6efa63d022f7204bb1cb727620bbac25221ed910994a89c28e31284c89','{"at":"2026-06-03T13:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-03","kind":"charge","offset_min":-300,"prev":"c53b696a1b7527f0917990c437f77c79ce36d879cf22a8f9507a3d78183d8d81","recorded":"2026-06-03T13:00:00Z","seq":18,"v":1,"what":{"circuit":"OAK/RACK-A/4","from":"J-101","leak":"L-1","reason":"leak","weighing":{"net":{"count":"1451495584000","typed":"4lb"}}},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,19,1780491600,20607,'repair',NULL,NULL,X'7601ba6b9fe6d8c360fe13512032ed50fc6e0093d62d5e0fa37f2248a50f8fe3','{"at":"2026-06-03T13:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-03","kind":"repair","offset_min":-300,"prev":"6d704c6efa63d022f7204bb1cb727620bbac25221ed910994a89c28e31284c89","recorded":"2026-06-03T13:00:00Z","seq":19,"v":1,"what":{"done":"nut renewed","leak":"L-1"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,20,1780578000,20608,'return',NULL,NULL,X'87806ef3daa980755bea0016a629343bda8606b35a0947f0799d0a0997d8049c','{"at":"2026-06-04T13:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-04","kind":"return","offset_min":-300,"prev":"7601ba6b9fe6d8c360fe13512032ed50fc6e0093d62d5e0fa37f2248a50f8fe3","recorded":"2026-06-04T13:00:00Z","seq":20,"v":1,"what":{"cylinder":"RC-02","gross":{"count":"12210706600400","typed":"33.65lb"},"manifest":"LR-0604","to":"Larkfield Reclaim"},"zone":"America/Chicago"}');
INSERT INTO event VALUES(1,21,1780664400,20609,'settle',NULL,NULL,X'881139155991bdf759077d95c4bfbfdad23c65b4ef45ff911166ce78b749a3cb','{"at":"2026-06-05T13:00:00Z","book":"99464f5e1cad210544704735e5030d5f","date":"2026-06-05","kind":"settle","offset_min":-300,"prev":"87806ef3daa980755bea0016a629343bda8606b35a0947f0799d0a0997d8049c","recorded":"2026-06-05T13:00:00Z","seq":21,"v":1,"what":{"cylinder":"RC-02","oil":{"count":"145149558400","typed":"0.4lb"},"outcome":"reclaimed","refrigerant":{"count":"1886944259200","typed":"5.2lb"},"target":"87806ef3daa980755bea0016a629343bda8606b35a0947f0799d0a0997d8049c"},"zone":"America/Chicago"}');
CREATE TABLE head (
  origin    INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  digest    BLOB NOT NULL,
  signature BLOB NOT NULL,
  PRIMARY KEY (origin, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO head VALUES(1,1,X'74b36c8a541dd1a6e5a3410c9a09fd39b36616046410b2b8c5e19fb70e7cba7e',X'866d53b4546fcebe8bfae2f51004598872043be1f1615e046b388dce862468ed56798f18c322a9eedc4e63341cfdecb7fca17f325fb6fb1234e3a10fb7e8c90f');
INSERT INTO head VALUES(1,2,X'4e0c6909163a733ba607329c0d8b8f48d74844d5b8ae73a79cb55f344bfe8a0e',X'd0e17e7614898daee3f3f628adbc53d0de435573683e8ce5d54d4fadc0fda2075363f5b6f0244d1db208c097b804e27e10051a58314cbaaf027c9b82ebfc6108');
INSERT INTO head VALUES(1,3,X'8d3e3f591dda9c12ff7a179590db177441934e28eea4ffcfa462f96407ad25f9',X'6b9a8521bac5ce6cea0278b2cde3583df280e3fa4e5f69e033423a10afa6d53f196d88749a15bd74333241b81a9494556397f8f6481aa3c792431fe5fe539e0e');
INSERT INTO head VALUES(1,4,X'a8cba0f323a2415006b34c22bc69455bd9d772c756430e2501b55cd6452383df',X'1878badad963028185c2527c54ea6ba30e1dbec9a8c56fd65334885580c1701675ba7791065c6352b8f4615a5fdac51a4998b2256fdc43defcfbf83e08cc8607');
INSERT INTO head VALUES(1,5,X'db9efa3426540854e2fffe59cdfd1210177359aa32273b67f4599d5390cd40d8',X'a8d3518a019d921492f8578bba2f71520b946ef78a1b3e438145615bd34fe0b37e3bbcefc0e0a5d2861ef59372724ea142326aeed671988f3de7aaa31ae8ea05');
INSERT INTO head VALUES(1,6,X'215f4c18cb8c32e818afa97611b6628ba18109753d19249593b3fb349339fc63',X'678880f30a0d869c7db71fa805c0340e274be480d3612b102f99369a1642a58e0311826f54f186981bc93630ccea1f8df1f0f2d34aedc159be1cc70b7ec76009');
INSERT INTO head VALUES(1,8,X'53c4657ec4bdb060e622a3bcd4f6381a210517ad6a15642afacd8a1de966f424',X'167fe1d829e2b8f21307bde8f3c9d9609280e56ae447b4f322b92dcc5934fd007f1a4802465239737814570c0d4c5ef8289e72e77d3c36277f1b304527643209');
INSERT INTO head VALUES(1,9,X'2fdf962e203acedca95cc833f7c058f245e2d923b5d9fb3c3cdcb86283a37f95',X'7103f8e0d5488cd3f866ae43d57fe848a2ae308b29f215e8e039d33a99e6a314a0bb705d5845d9e306fadefb27b10001b69611e9781de96d8b2bbda3e6729401');
INSERT INTO head VALUES(1,10,X'ef70074e25513e0e89941015e148a80dbae404e1c8cd3e5ea6a52d7713e30772',X'4f2dac2f9f5e272b8f4812ea6a2890b3342e478804c66bfe18721abc6956808c2780ad08f49b672e71e31ee5a593e1a9c8b9e40c76b6046be90908e755c81b0e');
INSERT INTO head VALUES(1,11,X'421baa44ec380ae614cb5a2df67371ec807e55899597754d804d782ea00ab0fa',X'32ef234bcc5438ee8e6648eb1397b339b19706801caa035d0f9d606cdca8ba4e4a60acdde5d5c1350cdac509bd100b16d3396018d6e043f909e150e6b5cfe201');
INSERT INTO head VALUES(1,12,X'd5845f0cf9342e1862b63bafb6a8dec65a49be10a7d2d803c8ff233a3a4d0228',X'68a95b0bd812f35d82f2a2e9424b99255df1aacb61f1fab12bd241264e9518c945e61bad97eb6ac2728adaf8eacdf257276d02af634e42ca91a8eb7c5102e10b');
INSERT INTO head VALUES(1,13,X'1cdab40919212a5c812597f0f03b4df4d36c8b008f3b460e3ef40facb746e6d5',X'b1819a49538715daef30c8038196566b62c1f6a45ffb0eb478bd6cd4f9931f88399097f0b2efe4b9e8cdc75abb4a9f7e992b2f68e7525e18215169abe44c2d0f');
INSERT INTO head VALUES(1,14,X'a3fde1ecf92ed71cd6e8ca0617a51b4720d6c12b9c0373baa3dfd01fafeff6b1',X'27d13bc0b45eddd5558be5d657db372659b971ac9cd1252c04bdf223658c724a6381728ddb376a9d07bc15f3bc52e3513c4ee727d5f323540c8a0804e4e6700c');
INSERT INTO head VALUES(1,15,X'a7d77547d0b9941af7546d583a8d4159c00f3d9f255db1c12b95b04d1ec52d39',X'906a87a13462d692a1f8cbd21f269a037ea84f4b1762f96bf54fec0718983b12f3b694a2d26b9523ada39d0c2c11c4f2e36c5ad0642136f4d7592761f71d790c');
INSERT INTO head VALUES(1,16,X'868d8ebe1d9ce0cc5dbeeb3e7978cbdee7ff727fa9b82cac6ec20127a816469b',X'8583f7d1676fab97f904368db4bb168af25c874597abee3fa1f9f6ab680a311ccc19db49273174e619381725f03832a9b6e3c9d8776d2c86028ac1f0c7f21007');
INSERT INTO head VALUES(1,17,X'c53b696a1b7527f0917990c437f77c79ce36d879cf22a8f9507a3d78183d8d81',X'fe6c05278318c1692abd1fa4362e40b2b77411704aa3ee2f54e20379cbadb85da38c1b38909929762bf41538da48238d8c855c460916c2f4e7d300d9b7bb2501');
INSERT INTO head VALUES(1,18,X'6d704c6efa63d022f7204bb1cb727620bbac25221ed910994a89c28e31284c89',X'bf7a65b18ca0d1fe2114618a355d1b49207d39514ac989324c002708ee565df6daca756479f787e3ba4386db5595ea2afb079eca15006e3ea651e8ba0d109a0d');
INSERT INTO head VALUES(1,19,X'7601ba6b9fe6d8c360fe13512032ed50fc6e0093d62d5e0fa37f2248a50f8fe3',X'0ee8e6c16d655efd2ff89983760b4883d94524391188e79e39629a92f368ed9b23c051923b3b3b09aac4aad96b259fa2b1cfcccd132291fdd7ec46d6ab931b0f');
INSERT INTO head VALUES(1,20,X'87806ef3daa980755bea0016a629343bda8606b35a0947f0799d0a0997d8049c',X'fae58072ce338d2087ab9a65da9a39fab2272b6da6730ecb2d4a0f04070fa22ef188469f3e83f0be732bd3b7c43cd120213d846581448fbb27e05d5572d6f108');
INSERT INTO head VALUES(1,21,X'881139155991bdf759077d95c4bfbfdad23c65b4ef45ff911166ce78b749a3cb',X'81787b8d0f709ee98ecc7af67484e3c7c7256feeef21a19905d07d6015a647e8597962790b5fb142a806775b689d70e110bef13a13181157dd4bea1b5c0b9902');
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
CREATE TABLE balance (
  account INTEGER NOT NULL REFERENCES account,
  lot     INTEGER NOT NULL REFERENCES lot,
  mass    INTEGER NOT NULL,
  PRIMARY KEY (account, lot)
) STRICT, WITHOUT ROWID;
INSERT INTO balance VALUES(1,2,907184740000);
INSERT INTO balance VALUES(2,2,0);
INSERT INTO balance VALUES(2,3,0);
INSERT INTO balance VALUES(3,1,5370533660800);
INSERT INTO balance VALUES(4,1,-9071847400000);
INSERT INTO balance VALUES(5,1,3701313739200);
INSERT INTO balance VALUES(5,2,-3447302012000);
INSERT INTO balance VALUES(6,2,399161285600);
INSERT INTO balance VALUES(6,3,0);
INSERT INTO balance VALUES(7,2,108862168800);
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
CREATE INDEX event_watched ON event (kind, origin, seq)
  WHERE kind IN ('inspect', 'leak', 'leak-test', 'plan', 'repair', 'return', 'settle');
CREATE INDEX settlement_returned ON settlement (returned, at, origin, seq);
COMMIT;
