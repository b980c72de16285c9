-- A forecast that was taken in: what was told of the days ahead on its day of issue. `seq` is the order; of two of one day the later counts.
CREATE TABLE forecast (
    seq INTEGER PRIMARY KEY CHECK (seq > 0),
    issued TEXT NOT NULL CHECK (length(issued) = 10),
    source TEXT NOT NULL,
    format TEXT NOT NULL,
    imported_at TEXT NOT NULL
) STRICT;

CREATE TABLE forecast_day (
    seq INTEGER NOT NULL REFERENCES forecast (seq),
    date TEXT NOT NULL CHECK (length(date) = 10),
    low_c REAL,
    high_c REAL,
    rain_mm REAL,
    chance_pct REAL,
    humidity_pct REAL,
    wind_ms REAL,
    wind_height_m REAL,
    PRIMARY KEY (seq, date)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER forecast_never_updated BEFORE UPDATE ON forecast
BEGIN SELECT RAISE(ABORT, 'a forecast is never changed'); END;

CREATE TRIGGER forecast_never_deleted BEFORE DELETE ON forecast
BEGIN SELECT RAISE(ABORT, 'a forecast is never deleted'); END;

CREATE TRIGGER forecast_never_replaced BEFORE INSERT ON forecast
WHEN EXISTS (SELECT 1 FROM forecast WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'a forecast is never replaced'); END;

CREATE TRIGGER forecast_day_never_updated BEFORE UPDATE ON forecast_day
BEGIN SELECT RAISE(ABORT, 'a forecast day is never changed'); END;

CREATE TRIGGER forecast_day_never_deleted BEFORE DELETE ON forecast_day
BEGIN SELECT RAISE(ABORT, 'a forecast day is never deleted'); END;

CREATE TRIGGER forecast_day_never_replaced BEFORE INSERT ON forecast_day
WHEN EXISTS (SELECT 1 FROM forecast_day WHERE seq = NEW.seq AND date = NEW.date)
BEGIN SELECT RAISE(ABORT, 'a forecast day is never replaced'); END;
