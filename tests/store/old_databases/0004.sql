BEGIN TRANSACTION;
CREATE TABLE air (
	workshop VARCHAR NOT NULL, 
	space VARCHAR NOT NULL, 
	kind VARCHAR NOT NULL, 
	at_s FLOAT NOT NULL, 
	temperature_c FLOAT NOT NULL, 
	humidity_percent FLOAT NOT NULL, 
	CONSTRAINT pk_air PRIMARY KEY (workshop, space, kind, at_s)
);
INSERT INTO "air" VALUES('boathouse workshop','shed','reading',1791201600.0,9.0,70.0);
INSERT INTO "air" VALUES('boathouse workshop','shed','reading',1791205200.0,9.5,71.0);
INSERT INTO "air" VALUES('boathouse workshop','shed','reading',1791208800.0,10.0,72.0);
INSERT INTO "air" VALUES('boathouse workshop','shed','reading',1791212400.0,10.5,73.0);
CREATE TABLE air_change (
	workshop VARCHAR NOT NULL, 
	number INTEGER NOT NULL, 
	uid VARCHAR NOT NULL, 
	document VARCHAR NOT NULL, 
	digest VARCHAR NOT NULL, 
	CONSTRAINT pk_air_change PRIMARY KEY (workshop, number), 
	CONSTRAINT uq_air_change_uid UNIQUE (uid)
);
INSERT INTO "air_change" VALUES('boathouse workshop',1,'00000000-0000-0000-0000-00000000000b','{"about":null,"after":[[1791212400.0,10.5,73.0]],"before":[[1791212400.0,11.0,70.0]],"recorded_at":"2026-10-05T15:00:00+00:00","source":"reading","space":"shed","uid":"00000000-0000-0000-0000-00000000000b","word":"kept","workshop":"boathouse workshop"}','a97745e4acc245da60175de35fe077f1555216d6595f3dba12d26c4c9cc555b0');
INSERT INTO "air_change" VALUES('boathouse workshop',2,'00000000-0000-0000-0000-00000000000c','{"about":null,"after":[[1791216000.0,10.0,64.0]],"before":[],"recorded_at":"2026-10-05T16:00:00+00:00","source":"reading","space":"shed","uid":"00000000-0000-0000-0000-00000000000c","word":"kept","workshop":"boathouse workshop"}','e0e91352667d31f7a09ca9b2f03116a8d6606894b413089d8012155f81445594');
INSERT INTO "air_change" VALUES('boathouse workshop',3,'00000000-0000-0000-0000-00000000000d','{"about":"00000000-0000-0000-0000-00000000000c","after":[],"before":[],"recorded_at":"2026-10-05T17:00:00+00:00","source":"reading","space":"shed","uid":"00000000-0000-0000-0000-00000000000d","word":"undone","workshop":"boathouse workshop"}','461f7ffa967b8a4e6de5815fab47a780fc677e47fa0af59c89427fa5dc55a1c9');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004');
CREATE TABLE calendar_item (
	uid VARCHAR NOT NULL, 
	project VARCHAR NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_calendar_item PRIMARY KEY (uid)
);
INSERT INTO "calendar_item" VALUES('00000000-0000-0000-0000-00000000004d','oar_rack','{"cancelled_at":null,"content":"{}","created":"2026-10-05T12:00:00+00:00","digest":"abababababababababababababababababababababababababababababababab","etag":"","project":"oar_rack","sent":"","sequence":2,"stamp":"2026-10-05T12:00:00+00:00","uid":"00000000-0000-0000-0000-00000000004d"}');
CREATE TABLE change (
	id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	CONSTRAINT pk_change PRIMARY KEY (id)
);
INSERT INTO "change" VALUES(1,5);
CREATE TABLE finish (
	name VARCHAR NOT NULL, 
	version INTEGER NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_finish PRIMARY KEY (name)
);
CREATE TABLE installed_piece (
	uid VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	version INTEGER NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_installed_piece PRIMARY KEY (uid), 
	CONSTRAINT uq_installed_piece_name UNIQUE (name)
);
INSERT INTO "installed_piece" VALUES('7b0f7a38-3a6d-4f0a-8a56-9d5f1f6f2a10','jetty-steps',1,'{"area_m2":2.4,"blocked":[{"first":"2026-07-01","last":"2026-07-14","why":"guests"}],"clean_rule":"","coats":1,"days":"","exposures":["flat","wet daily or trodden"],"finish":"penetrating oil","inspect_rule":"","installed":"2025-05-01","invented":true,"may_be_out_hours":0.0,"name":"jetty-steps","place":"boathouse","renew_rule":"","season":[4,5,6],"taken_up":"","title":"Steps down to the water","uid":"7b0f7a38-3a6d-4f0a-8a56-9d5f1f6f2a10","zone":"Europe/Oslo"}');
CREATE TABLE journal (
	project_uid VARCHAR NOT NULL, 
	number INTEGER NOT NULL, 
	uid VARCHAR NOT NULL, 
	document VARCHAR NOT NULL, 
	digest VARCHAR NOT NULL, 
	CONSTRAINT pk_journal PRIMARY KEY (project_uid, number), 
	CONSTRAINT uq_journal_uid UNIQUE (uid)
);
INSERT INTO "journal" VALUES('2a4d8d0a-1f3c-4c1e-9d2b-7f6f3a1b9c55',1,'00000000-0000-0000-0000-000000000000','{"about":null,"at":"2026-10-05T12:00:00+00:00","batch":"arms","by":"maker","details":{"note":"as it should be"},"kind":"step done","load":1,"loads":1,"project":"oar_rack","recorded_at":"2026-10-05T12:05:00+00:00","step":"sand-1","uid":"00000000-0000-0000-0000-000000000000"}','e052d75f0e4a91fd12de8a11d119f1b3664c649fe1e1e5d569e13ea5416c6495');
INSERT INTO "journal" VALUES('2a4d8d0a-1f3c-4c1e-9d2b-7f6f3a1b9c55',2,'00000000-0000-0000-0000-000000000001','{"about":null,"at":"2026-10-05T13:00:00+00:00","batch":"arms","by":"maker","details":{"note":"as it should be"},"kind":"step done","load":1,"loads":1,"project":"oar_rack","recorded_at":"2026-10-05T13:05:00+00:00","step":"clean-1","uid":"00000000-0000-0000-0000-000000000001"}','f3f2a58a7ea6a899a32f06cda15af8d69e9628cc2491a165c19509af86a0db3d');
CREATE TABLE learned_reset (
	finish VARCHAR NOT NULL, 
	space VARCHAR NOT NULL, 
	since VARCHAR NOT NULL, 
	CONSTRAINT pk_learned_reset PRIMARY KEY (finish, space)
);
INSERT INTO "learned_reset" VALUES('penetrating_oil','shed','2026-10-05T12:00:00.000000+00:00');
CREATE TABLE project (
	uid VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	workshop VARCHAR NOT NULL, 
	version INTEGER NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_project PRIMARY KEY (uid), 
	CONSTRAINT uq_project_name UNIQUE (name), 
	CONSTRAINT fk_project_workshop_workshop FOREIGN KEY(workshop) REFERENCES workshop (name)
);
INSERT INTO "project" VALUES('2a4d8d0a-1f3c-4c1e-9d2b-7f6f3a1b9c55','oar_rack','boathouse workshop',1,'{"assembled_together":true,"batches":[{"name":"arms","parts":["arm"],"rack_share":1.3,"space":"shed","steps":[{"cautions":[],"coat":0,"finish":null,"grits":["P120"],"key":"sand-1","kind":"sand","method":"","minutes_fixed":0.0,"minutes_per_m2":20.0,"note":"","only_if_window_missed":false,"side":"all","title":"Sand","wait_hours":0.0,"waits_for":null},{"cautions":[],"coat":0,"finish":null,"grits":[],"key":"clean-1","kind":"clean","method":"","minutes_fixed":5.0,"minutes_per_m2":0.0,"note":"","only_if_window_missed":false,"side":"all","title":"Blow and wipe off the dust","wait_hours":0.0,"waits_for":null},{"cautions":[],"coat":1,"finish":"penetrating oil","grits":[],"key":"coat-1","kind":"coat","method":"","minutes_fixed":15.0,"minutes_per_m2":0.0,"note":"","only_if_window_missed":false,"side":"all","title":"First coat","wait_hours":0.0,"waits_for":null}]}],"begins":null,"in_service_by":null,"invented":true,"name":"oar_rack","notes":"","parts":[{"faces":["bottom","far end","left edge","near end","right edge","top"],"holes":[],"length_mm":400.0,"name":"arm","quantity":8,"thickness_mm":22.0,"width_mm":45.0,"wood":"black locust"}],"title":"Rack for the oars","uid":"2a4d8d0a-1f3c-4c1e-9d2b-7f6f3a1b9c55","workshop":"boathouse workshop"}');
CREATE TABLE project_edit (
	project_uid VARCHAR NOT NULL, 
	number INTEGER NOT NULL, 
	at VARCHAR NOT NULL, 
	undone VARCHAR NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_project_edit PRIMARY KEY (project_uid, number)
);
INSERT INTO "project_edit" VALUES('2a4d8d0a-1f3c-4c1e-9d2b-7f6f3a1b9c55',1,'2026-10-05T12:00:00.000000+00:00','','{"after":{"title":"Rack for the oars"},"before":{"title":"Oars"},"words":"rack: Sand changed"}');
INSERT INTO "project_edit" VALUES('2a4d8d0a-1f3c-4c1e-9d2b-7f6f3a1b9c55',2,'2026-10-05T13:00:00.000000+00:00','2026-10-05T14:00:00.000000+00:00','{"after":{"notes":"more"},"before":{"notes":""},"words":"rack: Coat 1 changed"}');
CREATE TABLE setting (
	"key" VARCHAR NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY ("key")
);
INSERT INTO "setting" VALUES('units','"imperial"');
CREATE TABLE upkeep_log (
	piece_uid VARCHAR NOT NULL, 
	number INTEGER NOT NULL, 
	uid VARCHAR NOT NULL, 
	document VARCHAR NOT NULL, 
	digest VARCHAR NOT NULL, 
	CONSTRAINT pk_upkeep_log PRIMARY KEY (piece_uid, number), 
	CONSTRAINT uq_upkeep_log_uid UNIQUE (uid)
);
INSERT INTO "upkeep_log" VALUES('7b0f7a38-3a6d-4f0a-8a56-9d5f1f6f2a10',1,'00000000-0000-0000-0000-000000000001','{"about":null,"at":"2026-10-05T13:00:00+00:00","by":"","cost":null,"findings":["slow","mildew"],"kind":"inspected","litres":null,"note":"","photos":["steps – left.jpg"],"piece":"jetty-steps","recorded_at":"2026-10-05T13:00:00.500000+00:00","uid":"00000000-0000-0000-0000-000000000001"}','3190cf764b92b437e1f37a51d96c76515df751e1689c3d4fb2a1509b0bf4b275');
INSERT INTO "upkeep_log" VALUES('7b0f7a38-3a6d-4f0a-8a56-9d5f1f6f2a10',2,'00000000-0000-0000-0000-000000000002','{"about":null,"at":"2026-10-05T14:00:00+00:00","by":"","cost":null,"findings":["slow","mildew"],"kind":"inspected","litres":null,"note":"","photos":["steps – left.jpg"],"piece":"jetty-steps","recorded_at":"2026-10-05T14:00:00.500000+00:00","uid":"00000000-0000-0000-0000-000000000002"}','0d1124b749fa057b7605f4ffb59d949ac9c7b812f4af0d9a1bf039a218d19f1b');
CREATE TABLE workshop (
	name VARCHAR NOT NULL, 
	version INTEGER NOT NULL, 
	document VARCHAR NOT NULL, 
	CONSTRAINT pk_workshop PRIMARY KEY (name)
);
INSERT INTO "workshop" VALUES('boathouse workshop',1,'{"dust_settles_minutes":60,"name":"boathouse workshop","notes":{},"people":[{"busy":[],"can":null,"days_off":[],"name":"maker","windows":[{"minutes":540,"rule":"FREQ=WEEKLY;BYDAY=SA","start":"08:00:00"}]}],"safe_quantile":0.8,"shortest_piece_minutes":30,"spaces":[{"dust_apart":false,"name":"shed","normals":{"daily_swing_c":[5.0,6.0,7.5,9.0,9.0,9.0,9.0,8.5,8.0,7.0,5.0,4.5],"mean_c":[2.5,3.0,5.5,9.0,13.5,17.0,19.0,19.0,16.0,12.5,8.0,4.0],"mean_rh_percent":[76.0,74.0,70.0,66.0,65.0,65.0,66.0,66.0,68.0,70.0,73.0,76.0],"source":"invented"},"rack_area_m2":6.0}],"zone":"Europe/Berlin"}');
CREATE INDEX ix_project_workshop ON project (workshop);
CREATE INDEX ix_calendar_item_project ON calendar_item (project);
CREATE TRIGGER journal_never_updated BEFORE UPDATE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER journal_never_deleted BEFORE DELETE ON journal BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER journal_never_replaced BEFORE INSERT ON journal WHEN EXISTS (SELECT 1 FROM journal WHERE uid = NEW.uid OR (project_uid = NEW.project_uid AND number = NEW.number)) BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END;
CREATE TRIGGER upkeep_never_updated BEFORE UPDATE ON upkeep_log BEGIN SELECT RAISE(ABORT, 'the upkeep log is append-only'); END;
CREATE TRIGGER upkeep_never_deleted BEFORE DELETE ON upkeep_log BEGIN SELECT RAISE(ABORT, 'the upkeep log is append-only'); END;
CREATE TRIGGER upkeep_never_replaced BEFORE INSERT ON upkeep_log WHEN EXISTS (SELECT 1 FROM upkeep_log WHERE uid = NEW.uid OR (piece_uid = NEW.piece_uid AND number = NEW.number)) BEGIN SELECT RAISE(ABORT, 'the upkeep log is append-only'); END;
CREATE TRIGGER air_change_never_updated BEFORE UPDATE ON air_change BEGIN SELECT RAISE(ABORT, 'the air log is append-only'); END;
CREATE TRIGGER air_change_never_deleted BEFORE DELETE ON air_change BEGIN SELECT RAISE(ABORT, 'the air log is append-only'); END;
CREATE TRIGGER air_change_never_replaced BEFORE INSERT ON air_change WHEN EXISTS (SELECT 1 FROM air_change WHERE uid = NEW.uid OR (workshop = NEW.workshop AND number = NEW.number)) BEGIN SELECT RAISE(ABORT, 'the air log is append-only'); END;
COMMIT;
