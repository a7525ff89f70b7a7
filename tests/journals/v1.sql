-- A journal of form 1, from an invented night: every kind of entry and of answer.
-- Made with `.dump` of the sqlite3 program; the two marks of the file, which a dump leaves out, come first.
PRAGMA application_id=1415730020;
PRAGMA user_version=1;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE events (
    seq INTEGER PRIMARY KEY NOT NULL,
    id TEXT NOT NULL UNIQUE,
    drain TEXT,
    walk TEXT,
    session TEXT NOT NULL,
    kind TEXT NOT NULL,
    state TEXT,
    seen_at TEXT NOT NULL,
    written_at TEXT NOT NULL,
    by_initials TEXT NOT NULL,
    by_role TEXT NOT NULL,
    rehearsal INTEGER NOT NULL CHECK (rehearsal IN (0, 1)),
    body TEXT NOT NULL,
    hash TEXT NOT NULL
) STRICT;
INSERT INTO events VALUES(1,'019ca6e8-ca80-746f-87f1-b06a99ba0504','019ca6e8-ca80-7978-ac9a-c3db5cded04f',NULL,'019ca6e8-ca80-701c-b0c0-586024014274','drain-opened',NULL,'2026-03-01T01:00:00+00:00','2026-03-01T01:00:00+00:00','AB','RN',0,'{"facts":{"age":{"seconds":3600},"place":{"words":"bay 3, bed \"12\""},"side":{"word":"left"},"weight":{"amount":{"number":"3.25","unit":"kg"}}}}','cac3dae550f93c24749d80b52b9c8efef984b9f3adc6ae653c2a579351f7ba4f');
INSERT INTO events VALUES(2,'019ca6e9-b4e0-7f21-b994-6693a1a2303b',NULL,'019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','begun','going','2026-03-01T01:01:00+00:00','2026-03-01T01:01:00+00:00','AB','RN',0,'{"list":"no-swing","facts":{"age":{"seconds":3600},"place":{"words":"bay 3, bed \"12\""},"side":{"word":"left"},"weight":{"amount":{"number":"3.25","unit":"kg"}}},"shelf":{"no-swing.yaml":"51c3090b35f5b6d79045c23bcd485f3cb036cef9e49c41163ef1f15e52cdd261"},"approval":"approved by EF on 2026-01-01"}','bdfa545512023413814f7b6e800a01d79f637d26db5d8f94f400152a56732b81');
INSERT INTO events VALUES(3,'019ca6ea-9f40-77bf-9d0a-9d78b89dfe19','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','attached','going','2026-03-01T01:02:00+00:00','2026-03-01T01:02:00+00:00','AB','RN',0,'{}','c3de22ba4c2fbeb0e6122c440fcbe122393c79fc1c642b83faaf424e02d2489a');
INSERT INTO events VALUES(4,'019ca6eb-89a0-74b4-919b-db919c8e566a','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:02:00+00:00','2026-03-01T01:03:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-3","asked":"Asked at step-3?","answer":"done"}','3380c33bfba3b8ca4f70295518a33a8d7a15459e1e5670a6c6663d6087e22f75');
INSERT INTO events VALUES(5,'019ca6ec-7400-73d3-a259-1548190343dd','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:03:00+00:00','2026-03-01T01:04:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-4","asked":"Asked at step-4?","answer":{"not-done":{"reason":"gloves on\nand nobody free"}}}','8197cb078f664373a3e93bbbe18be819693be9366e939fd88eb064a0af06ec32');
INSERT INTO events VALUES(6,'019ca6ed-5e60-74c8-ba5f-18976e42cb75','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:04:00+00:00','2026-03-01T01:05:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-5","asked":"Asked at step-5?","answer":"as-expected"}','05b023a8c28e490097688c028eb7700ebe8e5a4fe476f0f834d9117d88df18f8');
INSERT INTO events VALUES(7,'019ca6ee-48c0-7ca4-8ed8-641716083269','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:05:00+00:00','2026-03-01T01:06:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-6","asked":"Asked at step-6?","answer":{"not-as-expected":{"found":"gloves on\nand nobody free"}}}','f5944b309a2da72e832c209a9f0cf6ceba1279fa1be7760a0dcf05a0dbadcaa4');
INSERT INTO events VALUES(8,'019ca6ef-3320-7d26-92c4-8563cc80a52b','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:06:00+00:00','2026-03-01T01:07:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-7","asked":"Asked at step-7?","answer":{"could-not-check":{"reason":"gloves on\nand nobody free"}}}','c40e729e67bc204bd425eccc11428d8e937e075ea97fdb9e1482f37836ff7fe5');
INSERT INTO events VALUES(9,'019ca6f0-1d80-7493-b961-61cf7c5bfe04','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:07:00+00:00','2026-03-01T01:08:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-8","asked":"Asked at step-8?","answer":{"choice":"not sure"}}','85b2add06ca8436a2e3e183586ebcc9ecf78bae192ac5b2bc52b96a9c9a5c622');
INSERT INTO events VALUES(10,'019ca6f1-07e0-7bd9-98b7-749b86e0a1ae','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:08:00+00:00','2026-03-01T01:09:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-9","asked":"Asked at step-9?","answer":{"value":{"number":"-2.5","unit":"cm"}}}','6ea40f5f472b6ce5bd4a1a8ddd03c5b5a16ebce0f0e4082d494d8d39f0bb0783');
INSERT INTO events VALUES(11,'019ca6f1-f240-7821-bbdc-32e427916b50','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:09:00+00:00','2026-03-01T01:10:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-10","asked":"Asked at step-10?","answer":{"not-obtained":{"reason":"gloves on\nand nobody free"}}}','b849ab188b3f703aa4cc6f9e63da9b42b82657ae213ccfc01ce1702909fee60d');
INSERT INTO events VALUES(12,'019ca6f2-dca0-73cb-831f-b0d7bbd2bc01','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:10:00+00:00','2026-03-01T01:11:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-11","asked":"Asked at step-11?","answer":"elapsed"}','d388579b8ef7e19cbcc9f658650cc7800868a04d8d35ee6b0a38bb7740f09646');
INSERT INTO events VALUES(13,'019ca6f3-c700-7654-a2ee-f2382a24489d','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:11:00+00:00','2026-03-01T01:12:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-12","asked":"Asked at step-12?","answer":{"missed":{"reason":"gloves on\nand nobody free"}}}','1f94518b7602ce7e2272478c06ad70bf21f3751120a665398d66f5ef52f39b15');
INSERT INTO events VALUES(14,'019ca6f4-b160-7c91-93fd-dafc08656796','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:12:00+00:00','2026-03-01T01:13:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-13","asked":"Asked at step-13?","answer":"still-so"}','d56e5f00e996d8630cd41d80168a94fb2904947caa57c98bbc8ee8b81aebd3ba');
INSERT INTO events VALUES(15,'019ca6f5-9bc0-7405-8c8d-de1ea11978b4','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','answered','going','2026-03-01T01:13:00+00:00','2026-03-01T01:14:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-14","asked":"Asked at step-14?","answer":"no-longer"}','007d17c5885a3346e23c61518796ce81d8ddfbaee82184a97f82bd9cedab7e9d');
INSERT INTO events VALUES(16,'019ca6f6-8620-7445-9ea6-75c4c13fd9c9','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','went-back','going','2026-03-01T01:15:00+00:00','2026-03-01T01:15:00+00:00','AB','RN',0,'{"list":"no-swing","step":"step-3"}','715ab755ed7045a5c6085c59e870b7308881f5a8b20180c6997170fa4e16f0ed');
INSERT INTO events VALUES(17,'019ca6f7-7080-7528-9e3b-c914f4b43663','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','noted','going','2026-03-01T01:16:00+00:00','2026-03-01T01:16:00+00:00','AB','RN',0,'{"text":"Größe – 10 %"}','0524301a20f50341f179db686d9cfb1b8a471c45c89b3a6d9b5bc4d2dfa90c9b');
INSERT INTO events VALUES(18,'019ca6f8-5ae0-7e60-a12d-e5599e39d895','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','jumped','going','2026-03-01T01:17:00+00:00','2026-03-01T01:17:00+00:00','AB','RN',0,'{"list":"breathless"}','61f875c1faf8e5fd1fdb4727c3860d5503e93f7d87506646ce06df941323e2b5');
INSERT INTO events VALUES(19,'019ca6f9-4540-7ee4-b3b3-b4210410e17d','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','called','going','2026-03-01T01:18:00+00:00','2026-03-01T01:18:00+00:00','AB','RN',0,'{"call":1,"news":"next-called"}','892021ea4b5a115daae86121bcf742787db0583d1d6a70dd52f885972adb9585');
INSERT INTO events VALUES(20,'019ca6fa-2fa0-798c-a778-fbf9fdf1d90c','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','called','going','2026-03-01T01:19:00+00:00','2026-03-01T01:19:00+00:00','AB','RN',0,'{"call":1,"news":{"answered":{"who":"EF"}}}','b2a247783134c3421e4f1554ad65caf0f51593afa301097afbceedd8e724c3fe');
INSERT INTO events VALUES(21,'019ca6fb-1a00-71fd-862d-d424a23b9530','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','called','going','2026-03-01T01:20:00+00:00','2026-03-01T01:20:00+00:00','AB','RN',0,'{"call":1,"news":{"arrived":{"who":"EF"}}}','e443c6a691578f31115c153d76c6d1cc12d27377009379e1661e865955ddd52d');
INSERT INTO events VALUES(22,'019ca6fc-0460-76fc-9ef5-c1322458407b','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','called','going','2026-03-01T01:21:00+00:00','2026-03-01T01:21:00+00:00','AB','RN',0,'{"call":1,"news":{"ordered":{"order":"Keep watching"}}}','a959cadf139e500b0789d29aec0a9780eb1855bc7441f36c926c43ba507d88da');
INSERT INTO events VALUES(23,'019ca6fc-eec0-79e3-b6e8-731bdc2defbf','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','duty-closed','going','2026-03-01T01:22:00+00:00','2026-03-01T01:22:00+00:00','AB','RN',0,'{"duty":"clamp-on","how":"handed to CD"}','ce68c18efcf5ef780f5883de2a9ac5b8704ee65c935bc9d9ba2f61d131adcb38');
INSERT INTO events VALUES(24,'019ca6fd-d920-7658-9710-2e5029bae68b','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-701c-b0c0-586024014274','paused','paused','2026-03-01T01:23:00+00:00','2026-03-01T01:23:00+00:00','AB','RN',0,'{}','a376cc898be0b8c3e6941b49a93e8c211944d09424ecda2da073330025ba5c53');
INSERT INTO events VALUES(25,'019ca6fe-c380-774a-8f3b-5128ed746e14','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-752c-9d52-5cd884f34ee8','taken-over','paused','2026-03-01T01:24:00+00:00','2026-03-01T01:24:00+00:00','CD','RN',0,'{"from":"019ca6e8-ca80-701c-b0c0-586024014274","in_use":false}','3c8214d2007e49e044a09c8b534e4e5a300376c57a4f0dea6a88e3a9e6906a6f');
INSERT INTO events VALUES(26,'019ca6ff-ade0-7842-a36d-d5b6b534651b','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-752c-9d52-5cd884f34ee8','resumed','going','2026-03-01T01:25:00+00:00','2026-03-01T01:25:00+00:00','CD','RN',0,'{}','df528ccb6fffa3ba06177f7c29edd0d4351a1567bac44d8c94fb7418def02861');
INSERT INTO events VALUES(27,'019ca6e2-61e0-7446-baf7-8cefb384d01d',NULL,NULL,'019ca6e8-ca80-752c-9d52-5cd884f34ee8','clock-jumped',NULL,'2026-03-01T00:53:00+00:00','2026-03-01T00:53:00+00:00','CD','RN',0,'{"from":"2026-03-01T01:25:00+00:00","to":"2026-03-01T00:53:00+00:00"}','c288a2dddc797311981da80f986d115be67cef7c1fb8e9b975058381f1e7eb91');
INSERT INTO events VALUES(28,'019ca6e2-61e0-79e3-98dd-960c6b8db09a','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-752c-9d52-5cd884f34ee8','noted','going','2026-03-01T00:53:00+00:00','2026-03-01T00:53:00+00:00','CD','RN',0,'{"text":"the clock went back"}','8495ed6b65ceee5de9d388ca1e22ac8f0707d87a9237a470ba2ca6a1c24cf10a');
INSERT INTO events VALUES(29,'019ca700-9840-7bf2-bd76-1a2994874bb8','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-752c-9d52-5cd884f34ee8','answered','over','2026-03-01T01:26:00+00:00','2026-03-01T01:26:00+00:00','CD','RN',0,'{"list":"no-swing","step":"end","asked":"Asked at end?","answer":"read"}','ad7563b7df07c6dc8cf9f4dbeab8d241d9cb070c7a4e38e54729fe202f5735ec');
INSERT INTO events VALUES(30,'019ca701-82a0-7d0c-b89a-67db980c5666',NULL,'019ca701-82a0-7ecb-9e36-9d640ce2c25f','019ca6e8-ca80-752c-9d52-5cd884f34ee8','begun','going','2026-03-01T01:27:00+00:00','2026-03-01T01:27:00+00:00','CD','RN',1,'{"list":"no-swing","facts":{"side":{"word":"right"}},"shelf":{},"approval":""}','e1fcc98ac493e132b496fdd556565eaa68173da57d24f22ca161d199b274bd06');
INSERT INTO events VALUES(31,'019ca702-6d00-7b9b-82dd-12b503833857',NULL,'019ca701-82a0-7ecb-9e36-9d640ce2c25f','019ca6e8-ca80-752c-9d52-5cd884f34ee8','gave-up','over','2026-03-01T01:28:00+00:00','2026-03-01T01:28:00+00:00','CD','RN',1,'{"reason":"only a trial"}','6395e93035db69423e9abfe67114792a3a9d416f26105ab7c9c58f21d1ab208b');
INSERT INTO events VALUES(32,'019ca703-5760-78f9-be3d-dd85fb2205da','019ca6e8-ca80-7978-ac9a-c3db5cded04f',NULL,'019ca6e8-ca80-752c-9d52-5cd884f34ee8','drain-changed',NULL,'2026-03-01T01:29:00+00:00','2026-03-01T01:29:00+00:00','CD','RN',0,'{"facts":{"side":{"word":"right"}},"why":"misread"}','ad85d8731600815324de2f05f1095648ad763f30aea9b68263a0d2a42b05ecca');
INSERT INTO events VALUES(33,'019ca704-41c0-7a01-8bcb-bf4ad7f5eb91','019ca6e8-ca80-7978-ac9a-c3db5cded04f',NULL,'019ca6e8-ca80-752c-9d52-5cd884f34ee8','drain-note',NULL,'2026-03-01T01:30:00+00:00','2026-03-01T01:30:00+00:00','CD','RN',0,'{"text":"tube removed at noon"}','8b1944c266e6cbb1b8e23f679a25fd4f093b67c7fb76dd837461a39edc4e8500');
INSERT INTO events VALUES(34,'019ca705-2c20-7646-99f9-27c39f4a47f2','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-752c-9d52-5cd884f34ee8','amended',NULL,'2026-03-01T01:31:00+00:00','2026-03-01T01:31:00+00:00','CD','RN',0,'{"entry":"019ca6e9-b4e0-7f21-b994-6693a1a2303b","mark":"wrong","text":"the right side","why":"misread"}','5da48003cb2c464a27a05d1cb1801e93eaad946a3fd56608da5c27a38ec06734');
INSERT INTO events VALUES(35,'019ca706-1680-76a1-9438-b90f8e50521d','019ca6e8-ca80-7978-ac9a-c3db5cded04f','019ca6e9-b4e0-744a-9bb8-9829a6c15473','019ca6e8-ca80-752c-9d52-5cd884f34ee8','record-written',NULL,'2026-03-01T01:32:00+00:00','2026-03-01T01:32:00+00:00','CD','RN',0,'{"path":"reports/a.md","sha256":"70ce871f8a3d3fb449bc3c3ace6547cef02dfc74ffe48d912532a724bfdbe5b9"}','28f6e26743c37c1c3c1caf30acf235cfc026579335b5fda07de380d3b6393b89');
INSERT INTO events VALUES(36,'019ca707-00e0-7484-afa7-dcc958b4abeb','019ca6e8-ca80-7978-ac9a-c3db5cded04f',NULL,'019ca6e8-ca80-752c-9d52-5cd884f34ee8','drain-closed',NULL,'2026-03-01T01:33:00+00:00','2026-03-01T01:33:00+00:00','CD','RN',0,'{"how":"tube removed"}','f140c59df7532fead81134b97d3b9e8bdb9b6621f3b3d10c1d0fb427bdec055e');
CREATE TABLE texts (
    hash TEXT PRIMARY KEY NOT NULL,
    body BLOB NOT NULL
) STRICT;
INSERT INTO texts VALUES('51c3090b35f5b6d79045c23bcd485f3cb036cef9e49c41163ef1f15e52cdd261',X'636865636b6c6973743a206e6f2d7377696e670a7469746c653a20546865206c6576656c206861732073746f70706564206d6f76696e6720e2809320636d48e282824f0a');
CREATE INDEX events_of_walk ON events (walk, seq) WHERE walk IS NOT NULL;
CREATE INDEX events_of_drain ON events (drain, seq) WHERE drain IS NOT NULL;
CREATE INDEX moves_of_walk ON events (walk, seq) WHERE state IS NOT NULL;
CREATE INDEX facts_of_drain ON events (drain, seq)
    WHERE kind IN ('drain-opened', 'drain-changed', 'drain-closed');
CREATE INDEX walks_begun ON events (seq) WHERE kind = 'begun';
CREATE INDEX events_by_hash ON events (hash);
CREATE TRIGGER events_are_not_changed BEFORE UPDATE ON events
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER events_are_not_removed BEFORE DELETE ON events
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER events_come_in_order BEFORE INSERT ON events
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM events)
    OR EXISTS (SELECT 1 FROM events WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER texts_are_not_changed BEFORE UPDATE ON texts
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER texts_are_not_removed BEFORE DELETE ON texts
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER texts_are_not_replaced BEFORE INSERT ON texts
WHEN EXISTS (SELECT 1 FROM texts WHERE hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
COMMIT;
