-- A picture: the bytes as they came, under their hash. `media_type`, `width` and `height` are copies of what the bytes say of
-- themselves. Without a rowid, so that there is no second key by which a picture could be replaced.
CREATE TABLE picture (
    hash TEXT PRIMARY KEY CHECK (length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*'),
    media_type TEXT NOT NULL CHECK (media_type IN ('image/png', 'image/jpeg', 'image/webp')),
    width INTEGER NOT NULL CHECK (width > 0),
    height INTEGER NOT NULL CHECK (height > 0),
    bytes BLOB NOT NULL CHECK (length(bytes) > 0)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER picture_never_updated BEFORE UPDATE ON picture
BEGIN SELECT RAISE(ABORT, 'a picture is never changed'); END;

CREATE TRIGGER picture_never_deleted BEFORE DELETE ON picture
BEGIN SELECT RAISE(ABORT, 'a picture is never deleted'); END;

CREATE TRIGGER picture_never_replaced BEFORE INSERT ON picture
WHEN EXISTS (SELECT 1 FROM picture WHERE hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'a picture is never replaced'); END;
