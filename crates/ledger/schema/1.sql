-- What a person recorded. `seq` is the order; `text` is the whole entry as JSON, the very bytes that are exported; `id` and
-- `supersedes` are copies of its members, for the keys.
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY CHECK (seq > 0),
    id TEXT NOT NULL UNIQUE,
    supersedes TEXT REFERENCES entry (id),
    text TEXT NOT NULL,
    CHECK (id = text ->> '$.id'),
    CHECK (supersedes IS text ->> '$.supersedes'),
    CHECK (supersedes IS NOT id),
    CHECK (instr(text, char(10)) = 0)
) STRICT;

CREATE UNIQUE INDEX entry_superseded_once ON entry (supersedes) WHERE supersedes IS NOT NULL;

CREATE TRIGGER entry_never_updated BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;

CREATE TRIGGER entry_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;

-- INSERT OR REPLACE deletes without firing the trigger above, so a taken place is refused before it comes to that.
CREATE TRIGGER entry_never_replaced BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE seq = NEW.seq)
    OR EXISTS (SELECT 1 FROM entry WHERE id = NEW.id)
    OR EXISTS (SELECT 1 FROM entry WHERE supersedes = NEW.supersedes)
BEGIN SELECT RAISE(ABORT, 'an entry is never replaced'); END;

CREATE TRIGGER entry_only_at_the_end AFTER INSERT ON entry
WHEN NEW.seq < (SELECT max(seq) FROM entry)
BEGIN SELECT RAISE(ABORT, 'an entry is only added at the end'); END;

-- A weather file that was taken in. The counts say what it brought over the imports before it.
CREATE TABLE weather_import (
    id INTEGER PRIMARY KEY CHECK (id > 0),
    name TEXT NOT NULL,
    format TEXT NOT NULL,
    imported_at TEXT NOT NULL,
    latitude_deg REAL,
    longitude_deg REAL,
    elevation_m REAL,
    first_date TEXT NOT NULL,
    last_date TEXT NOT NULL,
    days_new INTEGER NOT NULL,
    days_changed INTEGER NOT NULL,
    days_same INTEGER NOT NULL,
    CHECK ((latitude_deg IS NULL) = (longitude_deg IS NULL) AND (latitude_deg IS NULL) = (elevation_m IS NULL))
) STRICT;

-- A day as one import told it, kept only where it adds to or alters what the imports before it had told.
CREATE TABLE weather_day (
    date TEXT NOT NULL CHECK (length(date) = 10),
    import_id INTEGER NOT NULL REFERENCES weather_import (id),
    tmin_c REAL,
    tmax_c REAL,
    rain_mm REAL,
    wind_ms REAL,
    wind_height_m REAL,
    humidity_mean_pct REAL,
    humidity_min_pct REAL,
    humidity_max_pct REAL,
    dew_point_c REAL,
    solar_mj_m2 REAL,
    et0_mm REAL,
    PRIMARY KEY (date, import_id)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER weather_import_never_updated BEFORE UPDATE ON weather_import
BEGIN SELECT RAISE(ABORT, 'a weather import is never changed'); END;

CREATE TRIGGER weather_import_never_deleted BEFORE DELETE ON weather_import
BEGIN SELECT RAISE(ABORT, 'a weather import is never deleted'); END;

CREATE TRIGGER weather_import_never_replaced BEFORE INSERT ON weather_import
WHEN EXISTS (SELECT 1 FROM weather_import WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'a weather import is never replaced'); END;

CREATE TRIGGER weather_day_never_updated BEFORE UPDATE ON weather_day
BEGIN SELECT RAISE(ABORT, 'a weather day is never changed'); END;

CREATE TRIGGER weather_day_never_deleted BEFORE DELETE ON weather_day
BEGIN SELECT RAISE(ABORT, 'a weather day is never deleted'); END;

CREATE TRIGGER weather_day_never_replaced BEFORE INSERT ON weather_day
WHEN EXISTS (SELECT 1 FROM weather_day WHERE date = NEW.date AND import_id = NEW.import_id)
BEGIN SELECT RAISE(ABORT, 'a weather day is never replaced'); END;
