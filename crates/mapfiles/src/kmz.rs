//! KMZ: a zip archive around a KML file.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use crate::{BYTES_MAX, MapFileError};

/// Most files in an archive: the directory is held whole while one is looked for.
const FILES_MAX: usize = 1_000;
/// Begins each file's line in the directory (APPNOTE.TXT of the zip format, 4.3.12).
const DIRECTORY_MARK: &[u8] = b"PK\x01\x02";

/// Whether the bytes begin as a zip archive does.
pub(crate) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// The bytes of the first KML file in the archive, however much it claims to unpack to.
pub(crate) fn unpacked(bytes: &[u8]) -> Result<Vec<u8>, MapFileError> {
    let refused = |message: String| MapFileError::NotKmz { message };
    if bytes.windows(DIRECTORY_MARK.len()).filter(|&w| w == DIRECTORY_MARK).count() > FILES_MAX {
        return Err(refused(format!("there are more than {FILES_MAX} files in it")));
    }
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| refused(e.to_string()))?;
    let is_kml = |name: &str| name.len() > 4 && name.to_ascii_lowercase().ends_with(".kml");
    let index = (0..archive.len())
        .find(|&i| archive.name_for_index(i).is_some_and(|name| name.is_ok_and(|name| is_kml(&name))))
        .ok_or_else(|| refused("there is no .kml file in it".to_owned()))?;
    let file = archive.by_index(index).map_err(|e| refused(e.to_string()))?;
    let mut kml = Vec::new();
    // One byte more than allowed tells a file at the limit from one past it; nothing beyond that byte is unpacked.
    file.take(BYTES_MAX as u64 + 1).read_to_end(&mut kml).map_err(|e| refused(e.to_string()))?;
    if kml.len() > BYTES_MAX { Err(MapFileError::TooLarge { what: "KML file in the archive" }) } else { Ok(kml) }
}
