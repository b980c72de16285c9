//! Pictures: kept byte for byte, told apart by their hash, refused where they are none, carried by the backup.
//!
//! The files in `pictures/` were written by Pillow 13.0 (libjpeg, libwebp 1.6), five pixels across and three down; their hashes
//! are those of the `blake3` package 1.0.11 for Python. The thumbnail is a JPEG of two by one in the photo's Exif.

use std::fs;

use ledger::{
    ErrorKind, Ledger, LedgerError, MediaType, PICTURE_BYTES_MAX, PICTURE_PIXELS_MAX, PICTURE_SIDE_MAX, PICTURES_MAX,
};
use proptest::prelude::*;
use rusqlite::Connection;

use crate::generate::note;

pub const PNG: &[u8] = include_bytes!("pictures/5x3.png");
pub const THUMBNAIL_JPEG: &[u8] = include_bytes!("pictures/5x3-thumbnail.jpg");
pub const THUMBNAIL_JPEG_HASH: &str = "f94258564b1c82b47a38a7142db50ee9dca9e559bedc239671dcff3a7cdee15c";

const FILES: [(&[u8], MediaType, &str); 7] = [
    (PNG, MediaType::Png, "7f965d0e435c29df41c8866b3c7ca0e6afc58488704bac566da10569601731dd"),
    (THUMBNAIL_JPEG, MediaType::Jpeg, THUMBNAIL_JPEG_HASH),
    (
        include_bytes!("pictures/5x3-baseline.jpg"),
        MediaType::Jpeg,
        "c40afd3dd3ff2c8d9eb36295ea14cc0201c655ba98b95accc8436bdefeab6305",
    ),
    (
        include_bytes!("pictures/5x3-progressive.jpg"),
        MediaType::Jpeg,
        "229eca4113d14dd3a466bb0747595037c5629711d4976a799e95ba82a64bfb9d",
    ),
    (
        include_bytes!("pictures/5x3-lossy.webp"),
        MediaType::Webp,
        "144f28d6c22953e91b4fae495ec631747a1f4be2a8b4cf5937674558349ad1b6",
    ),
    (
        include_bytes!("pictures/5x3-lossless.webp"),
        MediaType::Webp,
        "7faf4aa3dd62fb0c9aed228b6133acc42d9f2713faaa226ed7c46b8cb7ea620a",
    ),
    (
        include_bytes!("pictures/5x3-extended.webp"),
        MediaType::Webp,
        "6e8c2d196bdf60a3c1d5e35ede7f36187f4249224f2bf9061e92322c1920b7f9",
    ),
];

/// The first and the last chunk of a PNG, as the PNG specification has them, with `filler` bytes between; the sums are left zero.
fn png(width: u32, height: u32, filler: usize) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    bytes.extend(width.to_be_bytes());
    bytes.extend(height.to_be_bytes());
    bytes.extend([8, 2, 0, 0, 0, 0, 0, 0, 0]);
    bytes.extend(vec![0; filler]);
    bytes.extend(b"\0\0\0\0IEND\xae\x42\x60\x82");
    bytes
}

fn refused(bytes: &[u8]) -> LedgerError {
    let mut ledger = Ledger::in_memory().unwrap();
    let error = ledger.put_picture(bytes).unwrap_err();
    assert_eq!(error.kind(), ErrorKind::Input, "{error}");
    assert_eq!(ledger.put_picture(PNG).unwrap().hash, FILES[0].2);
    error
}

/// Every kind of file comes back byte for byte, also from a ledger opened anew, with the size and the hash others give it.
#[test]
fn a_picture_comes_back_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    for (bytes, media_type, hash) in FILES {
        let about = ledger.put_picture(bytes).unwrap();
        assert_eq!((about.hash.as_str(), about.media_type), (hash, media_type));
        assert_eq!((about.width, about.height), (5, 3), "{hash}");
        let again = Ledger::open(&path).unwrap().picture(hash).unwrap().unwrap();
        assert_eq!(again.about, about);
        assert_eq!(again.bytes, bytes);
    }
    for unknown in ["", "7f96", "'", &"0".repeat(64), &FILES[0].2.to_uppercase()] {
        assert_eq!(ledger.picture(unknown).unwrap(), None, "{unknown}");
    }
}

/// The same picture twice is one row; a picture with one more byte behind its end is another.
#[test]
fn the_same_picture_is_kept_once() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    let about = ledger.put_picture(PNG).unwrap();
    let before = fs::read(&path).unwrap();
    assert_eq!(ledger.put_picture(PNG).unwrap(), about);
    assert_eq!(fs::read(&path).unwrap(), before);
    let longer = [PNG, b"\n"].concat();
    assert_ne!(ledger.put_picture(&longer).unwrap().hash, about.hash);
    assert_eq!(ledger.backup(&dir.path().join("backup.toft")).unwrap().pictures, 2);
}

/// What is no PNG, JPEG or WebP is refused, and common files are named so that the person knows what they have.
#[test]
fn other_files_are_refused_by_name() {
    for (bytes, named) in [
        (&b""[..], "an empty file"),
        (b"Lot 12, Block 4, from the county's records", "something else"),
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj", "a PDF"),
        (b"GIF89a\x05\0\x03\0\xf0\0\0", "a GIF"),
        (b"II*\0\x08\0\0\0\0\0", "a TIFF"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "a HEIC"),
        (b"<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"5\" height=\"3\"/>", "something else"),
        (b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0", "something else"),
        (b"RIFF\x24\0\0\0WEBPnonsense in there", "something else"),
        (b"\x89PNG\n\x1a\n\0\0\0\rIHDR\0\0\0\x05\0\0\0\x03", "something else"),
        (b"\xff\xd8", "only the beginning"),
    ] {
        let error = refused(bytes);
        assert!(matches!(error, LedgerError::NotAPicture { seen } if seen.starts_with(named)), "{named}: {error}");
    }
}

/// A file cut off anywhere is refused, also where only the photo itself and not its thumbnail lacks the end.
#[test]
fn a_truncated_picture_is_refused() {
    for (bytes, _, hash) in FILES {
        for length in 0..bytes.len() {
            let error = refused(&bytes[..length]);
            assert!(
                matches!(error, LedgerError::NotAPicture { .. } | LedgerError::PictureTorn { .. }),
                "{hash} at {length}: {error}"
            );
        }
    }
    let error = refused(&THUMBNAIL_JPEG[..THUMBNAIL_JPEG.len() - 1]);
    assert_eq!(error.to_string(), "the JPEG is not whole: its end is missing. Try sending it again, or saving it anew");
}

/// A side without length is refused: 5 by 0 and 0 by 3.
#[test]
fn an_empty_side_is_refused() {
    for bytes in [png(5, 0, 0), png(0, 3, 0)] {
        assert!(matches!(refused(&bytes), LedgerError::PictureTorn { media_type: MediaType::Png, .. }));
    }
}

/// Bytes, sides and pixels are bounded: the largest is taken, one more of each is not.
#[test]
fn a_picture_is_bounded() {
    let rest = png(5, 3, 0).len();
    let mut ledger = Ledger::in_memory().unwrap();
    let largest = png(5, 3, PICTURE_BYTES_MAX - rest);
    let about = ledger.put_picture(&largest).unwrap();
    assert!(ledger.picture(&about.hash).unwrap().unwrap().bytes == largest);
    let error = refused(&png(5, 3, PICTURE_BYTES_MAX - rest + 1));
    assert!(matches!(error, LedgerError::PictureTooLarge { bytes } if bytes == PICTURE_BYTES_MAX + 1), "{error}");

    let side = PICTURE_SIDE_MAX;
    let most = u32::try_from(PICTURE_PIXELS_MAX / u64::from(side)).unwrap();
    for (width, height) in [(side, 1), (1, side), (side, most), (most, side)] {
        let about = ledger.put_picture(&png(width, height, 0)).unwrap();
        assert_eq!((about.width, about.height), (width, height));
    }
    for (width, height) in [(side + 1, 1), (1, side + 1), (side, most + 1), (most + 1, side), (u32::MAX, u32::MAX)] {
        let error = refused(&png(width, height, 0));
        assert!(matches!(error, LedgerError::PictureTooWide { width: w, height: h } if (w, h) == (width, height)));
    }
    let words = refused(&png(side, most + 1, 0)).to_string();
    assert_eq!(
        words,
        "the picture is 12000 by 5001 pixels. Allowed: up to 12000 a side and 60 million in all. Try saving it smaller"
    );
}

/// The number of pictures is bounded: the last place is taken, the next is refused, and one that is there is still no error.
#[test]
fn a_ledger_holds_so_many_pictures() {
    let mut ledger = Ledger::in_memory().unwrap();
    for width in 1..=PICTURES_MAX {
        ledger.put_picture(&png(width, 1, 0)).unwrap();
    }
    let error = ledger.put_picture(&png(PICTURES_MAX + 1, 1, 0)).unwrap_err();
    assert!(matches!(error, LedgerError::PicturesFull), "{error}");
    ledger.put_picture(&png(PICTURES_MAX, 1, 0)).unwrap();
    ledger.append(&note("a", None)).unwrap();
}

/// The file itself refuses any other program's attempt to change, drop, replace or falsify a picture.
#[test]
fn the_file_refuses_changes_by_others() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    let about = ledger.put_picture(PNG).unwrap();
    let other = Connection::open(&path).unwrap();
    let row = |hash: &str, rest: &str| format!("INSERT INTO picture VALUES ('{hash}', {rest})");
    let free = "0".repeat(64);
    for sql in [
        "UPDATE picture SET bytes = bytes".to_owned(),
        "UPDATE OR REPLACE picture SET width = 6".to_owned(),
        "DELETE FROM picture".to_owned(),
        "REPLACE INTO picture SELECT * FROM picture".to_owned(),
        "INSERT OR REPLACE INTO picture SELECT hash, media_type, 6, height, bytes FROM picture".to_owned(),
        format!("REPLACE INTO picture (rowid, hash) VALUES (1, '{free}')"),
        row(&about.hash, "'image/png', 5, 3, x'00'"),
        row("0", "'image/png', 5, 3, x'00'"),
        row(&"G".repeat(64), "'image/png', 5, 3, x'00'"),
        row(&free, "'image/svg+xml', 5, 3, x'00'"),
        row(&free, "'image/png', 0, 3, x'00'"),
        row(&free, "'image/png', 5, -3, x'00'"),
        row(&free, "'image/png', 5, 'three', x'00'"),
        row(&free, "'image/png', 5, 3, x''"),
        row(&free, "'image/png', 5, 3, 'words'"),
        row(&free, "'image/png', 5, 3, NULL"),
        "INSERT INTO picture VALUES (NULL, 'image/png', 5, 3, x'00')".to_owned(),
    ] {
        assert!(other.execute(&sql, []).is_err(), "{sql}");
    }
    assert_eq!(ledger.picture(&about.hash).unwrap().unwrap().bytes, PNG);
    // The sample row itself is sound, so that each refusal above is for what it alters.
    other.execute(&row(&free, "'image/png', 5, 3, x'00'"), []).unwrap();
}

/// A picture whose bytes are not those of its hash, by rot or by another program, is told as damage and not handed out.
#[test]
fn a_rotten_picture_is_not_handed_out() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let mut ledger = Ledger::create(&path).unwrap();
    let about = ledger.put_picture(PNG).unwrap();
    drop(ledger);
    let mut bytes = fs::read(&path).unwrap();
    let at = bytes.windows(PNG.len()).position(|seen| seen == PNG).unwrap();
    bytes[at + PNG.len() / 2] ^= 1;
    fs::write(&path, bytes).unwrap();
    let error = Ledger::open(&path).unwrap().picture(&about.hash).unwrap_err();
    assert!(matches!(&error, LedgerError::Damaged { .. }), "{error}");
    assert!(error.to_string().contains(&about.hash), "{error}");
}

/// A backup holds the pictures, opens as a ledger with them, and its digest is another one with each picture.
#[test]
fn a_backup_carries_pictures() {
    let dir = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::create(&dir.path().join("yard.toft")).unwrap();
    ledger.append(&note("a", None)).unwrap();
    let mut digests = Vec::new();
    for (n, (bytes, ..)) in FILES.into_iter().enumerate() {
        let report = ledger.backup(&dir.path().join(format!("backup-{n}.toft"))).unwrap();
        assert_eq!((report.entries, report.pictures), (1, n));
        digests.push(report.digest);
        ledger.put_picture(bytes).unwrap();
    }
    // Several pages long, so that the copy has pages of nothing but a picture.
    let long = png(5, 3, 50_000);
    let about = ledger.put_picture(&long).unwrap();
    let to = dir.path().join("last.toft");
    let report = ledger.backup(&to).unwrap();
    assert_eq!(report.pictures, FILES.len() + 1);
    digests.push(report.digest.clone());
    digests.sort_unstable();
    digests.dedup();
    assert_eq!(digests.len(), FILES.len() + 1);

    let restored = Ledger::open(&to).unwrap();
    for (bytes, _, hash) in FILES {
        assert_eq!(restored.picture(hash).unwrap().unwrap().bytes, bytes);
    }
    assert_eq!(restored.picture(&about.hash).unwrap().unwrap().bytes, long);
    assert_eq!(restored.backup(&dir.path().join("again.toft")).unwrap().digest, report.digest);
}

/// The export is entries only: pictures add nothing to it.
#[test]
fn the_export_has_no_pictures() {
    let mut ledger = Ledger::in_memory().unwrap();
    ledger.append(&note("a", None)).unwrap();
    let exported = |ledger: &Ledger| {
        let mut out = Vec::new();
        ledger.export(&mut out).unwrap();
        out
    };
    let before = exported(&ledger);
    ledger.put_picture(PNG).unwrap();
    assert_eq!(exported(&ledger), before);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// A picture with bytes changed or put in anywhere gives a value or an error, and what is taken comes back.
    #[test]
    fn hostile_bytes_never_panic(
        file in prop::sample::select(&FILES[..]),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..20),
        inserted in prop::collection::vec(any::<u8>(), 0..40),
        at in any::<prop::sample::Index>(),
    ) {
        let mut bytes = file.0.to_vec();
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        let at = at.index(bytes.len());
        bytes.splice(at..at, inserted);
        let mut ledger = Ledger::in_memory().unwrap();
        if let Ok(about) = ledger.put_picture(&bytes) {
            prop_assert!((1..=PICTURE_SIDE_MAX).contains(&about.width) && (1..=PICTURE_SIDE_MAX).contains(&about.height));
            prop_assert_eq!(ledger.picture(&about.hash).unwrap().unwrap().bytes, bytes);
        }
    }
}
