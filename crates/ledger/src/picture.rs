//! Pictures: kept as they came, found by their hash. Only the header is read; no picture is decoded here.

use std::io::Cursor;

use rusqlite::{OptionalExtension, params};

use crate::error::{LedgerError, at};
use crate::store::Ledger;

/// Most bytes of one picture: a phone's photo, or a page scanned in colour.
pub const PICTURE_BYTES_MAX: usize = 12 * 1024 * 1024;

/// Most pixels along one side of a picture.
pub const PICTURE_SIDE_MAX: u32 = 12_000;

/// Most pixels of a picture: decoded at four bytes each, 240 MB in the browser that shows it.
pub const PICTURE_PIXELS_MAX: u64 = 60_000_000;

/// Most pictures of a ledger.
pub const PICTURES_MAX: u32 = 500;

/// What kind of file a picture is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MediaType {
    /// Portable Network Graphics.
    Png,
    /// JPEG, baseline or progressive.
    Jpeg,
    /// WebP: lossy, lossless or extended.
    Webp,
}

impl MediaType {
    const ALL: [Self; 3] = [Self::Png, Self::Jpeg, Self::Webp];

    /// The word of a `Content-Type`.
    ///
    /// # Source
    /// IANA, media types registry: `image/png`, `image/jpeg`, `image/webp` (RFC 9649).
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Png => "image/png",
            Self::Jpeg => "image/jpeg",
            Self::Webp => "image/webp",
        }
    }

    /// The word people have for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Webp => "WebP",
        }
    }

    /// What the first bytes say it is.
    ///
    /// # Source
    /// W3C, *PNG Specification*, 3rd edition, 'PNG signature' and the 'IHDR' chunk that must come first. ITU-T T.81, annex B: SOI,
    /// and the first byte of the marker after it. RFC 9649, 'WebP File Header', then a chunk `VP8 `, `VP8L` or `VP8X`.
    fn of(bytes: &[u8]) -> Option<Self> {
        if bytes.starts_with(b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR") {
            Some(Self::Png)
        } else if bytes.starts_with(b"\xff\xd8\xff") {
            Some(Self::Jpeg)
        } else if bytes.starts_with(b"RIFF")
            && matches!(bytes.get(8..16), Some(b"WEBPVP8 " | b"WEBPVP8L" | b"WEBPVP8X"))
        {
            Some(Self::Webp)
        } else {
            None
        }
    }

    /// Whether `bytes`, of which the first `header` were read, go on to the end their kind marks, so that none is missing there.
    ///
    /// A photo's thumbnail is a JPEG of its own and stands before the header's end; bytes after the end are let be.
    ///
    /// # Source
    /// W3C, *PNG Specification*, 3rd edition, 'IEND' (it is empty, so its bytes are always the same). ITU-T T.81, annex B.1.1: EOI;
    /// within coded data 0xFF is followed by 0 or a restart marker. RFC 9649, 'WebP File Header': the size counts from byte 8.
    fn is_whole(self, bytes: &[u8], header: usize) -> bool {
        let rest = bytes.get(header..).unwrap_or_default();
        let holds = |mark: &[u8]| rest.windows(mark.len()).any(|seen| seen == mark);
        match self {
            Self::Png => holds(b"\0\0\0\0IEND\xae\x42\x60\x82"),
            Self::Jpeg => holds(b"\xff\xd9"),
            Self::Webp => bytes
                .get(4..8)
                .and_then(|size| <[u8; 4]>::try_from(size).ok())
                .is_some_and(|size| bytes.len() as u64 >= 8 + u64::from(u32::from_le_bytes(size))),
        }
    }
}

/// What is known of a picture without decoding it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureAbout {
    /// BLAKE3 of its bytes, 64 hexadecimal digits: the name it is asked for by.
    pub hash: String,
    /// What kind of file it is.
    pub media_type: MediaType,
    /// Pixels across, as its header has them. A camera's note that the photo is to be turned is not followed.
    pub width: u32,
    /// Pixels down, likewise.
    pub height: u32,
}

/// A picture as it was put in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// What is known of it.
    pub about: PictureAbout,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl PictureAbout {
    /// Reads the header of a picture and holds it to the bounds.
    fn read(bytes: &[u8]) -> Result<Self, LedgerError> {
        if bytes.len() > PICTURE_BYTES_MAX {
            return Err(LedgerError::PictureTooLarge { bytes: bytes.len() });
        }
        let Some(media_type) = MediaType::of(bytes) else {
            return Err(LedgerError::NotAPicture { seen: seen(bytes) });
        };
        let mut reader = Cursor::new(bytes);
        let Ok(size) = imagesize::reader_size(&mut reader) else {
            return Err(LedgerError::PictureTorn { media_type, detail: "its header ends early or is no header" });
        };
        let side = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
        let (width, height) = (side(size.width), side(size.height));
        if width == 0 || height == 0 {
            return Err(LedgerError::PictureTorn { media_type, detail: "its header gives a side no length" });
        }
        let pixels = u64::from(width) * u64::from(height);
        if width.max(height) > PICTURE_SIDE_MAX || pixels > PICTURE_PIXELS_MAX {
            return Err(LedgerError::PictureTooWide { width, height });
        }
        if !media_type.is_whole(bytes, usize::try_from(reader.position()).unwrap_or(usize::MAX)) {
            return Err(LedgerError::PictureTorn { media_type, detail: "its end is missing" });
        }
        Ok(Self { hash: hash(bytes), media_type, width, height })
    }
}

impl Ledger {
    /// Keeps a picture and says what it is; it is on the disk when this returns. One that is there already is left as it is.
    ///
    /// # Errors
    /// [`LedgerError::PictureTooLarge`], [`LedgerError::NotAPicture`], [`LedgerError::PictureTorn`],
    /// [`LedgerError::PictureTooWide`], [`LedgerError::PicturesFull`].
    pub fn put_picture(&mut self, bytes: &[u8]) -> Result<PictureAbout, LedgerError> {
        let about = PictureAbout::read(bytes)?;
        let path = self.path.clone();
        let at = at(&path);
        let tx = self.write()?;
        let known = "SELECT 1 FROM picture WHERE hash = ?1";
        if tx.query_row(known, [&about.hash], |_| Ok(())).optional().map_err(&at)?.is_some() {
            return Ok(about);
        }
        let kept: u32 = tx.query_row("SELECT count(*) FROM picture", [], |row| row.get(0)).map_err(&at)?;
        if kept >= PICTURES_MAX {
            return Err(LedgerError::PicturesFull);
        }
        tx.execute(
            "INSERT INTO picture (hash, media_type, width, height, bytes) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![about.hash, about.media_type.as_str(), about.width, about.height, bytes],
        )
        .map_err(&at)?;
        tx.commit().map_err(&at)?;
        Ok(about)
    }

    /// The picture of that hash, where there is one.
    ///
    /// # Errors
    /// [`LedgerError::Damaged`] where its bytes are not those that were put in.
    pub fn picture(&self, hash: &str) -> Result<Option<Picture>, LedgerError> {
        const SQL: &str = "SELECT hash, media_type, width, height, bytes FROM picture WHERE hash = ?1";
        let at = at(&self.path);
        let damaged = || {
            let detail = format!("picture {hash} is not what was put in");
            LedgerError::Damaged { path: self.path.clone(), detail }
        };
        let mut query = self.conn.prepare_cached(SQL).map_err(&at)?;
        let read = query.query_row([hash], |row| {
            let word = row.get_ref(1)?.as_str()?;
            let media_type = MediaType::ALL.into_iter().find(|known| known.as_str() == word);
            Ok((row.get(0)?, media_type, row.get(2)?, row.get(3)?, row.get(4)?))
        });
        let Some((stored, media_type, width, height, bytes)) = read.optional().map_err(&at)? else {
            return Ok(None);
        };
        let about = PictureAbout { hash: stored, media_type: media_type.ok_or_else(damaged)?, width, height };
        let picture = Picture { about, bytes };
        if self::hash(&picture.bytes) != picture.about.hash {
            return Err(damaged());
        }
        Ok(Some(picture))
    }
}

fn hash(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().to_string()
}

/// What bytes that are no picture look like, as far as it helps to say so.
fn seen(bytes: &[u8]) -> &'static str {
    let starts = |mark: &[u8]| bytes.starts_with(mark);
    match bytes {
        [] => "an empty file",
        _ if starts(b"%PDF-") => "a PDF",
        _ if starts(b"GIF8") => "a GIF",
        _ if starts(b"II*\0") || starts(b"MM\0*") => "a TIFF or a camera's raw file",
        _ if bytes.get(4..8) == Some(b"ftyp") => "a HEIC or AVIF photo, or a film",
        _ if bytes.len() < 16 && (starts(b"\x89PNG") || starts(b"RIFF") || starts(b"\xff\xd8")) => {
            "only the beginning of one"
        }
        _ => "something else",
    }
}
