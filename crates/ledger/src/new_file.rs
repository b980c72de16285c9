//! A file that is made beside its place and appears there when it is whole.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::process;

use crate::error::LedgerError;

/// Tries at a free temporary name.
const NAMES_MAX: u32 = 1000;

/// A file under a temporary name in the folder of its target; dropped before [`NewFile::publish`], it is removed.
pub(crate) struct NewFile {
    temporary: PathBuf,
    target: PathBuf,
}

impl NewFile {
    /// Makes an empty file beside `target`.
    pub(crate) fn for_target(target: &Path) -> Result<Self, LedgerError> {
        refuse_taken(target)?;
        let Some(name) = target.file_name() else {
            return Err(LedgerError::NotAFile { path: target.to_owned() });
        };
        for n in 0..NAMES_MAX {
            let mut hidden = std::ffi::OsString::from(".");
            hidden.push(name);
            hidden.push(format!(".{}-{n}.partial", process::id()));
            let temporary = target.with_file_name(hidden);
            match File::create_new(&temporary) {
                Ok(_) => return Ok(Self { temporary, target: target.to_owned() }),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
                Err(e) if e.kind() == io::ErrorKind::NotFound => {
                    let detail = "its folder is not there".to_owned();
                    return Err(LedgerError::NotWritable { path: target.to_owned(), detail });
                }
                Err(e) => return Err(LedgerError::of_system(target, &e)),
            }
        }
        let detail = "its folder is full of unfinished files".to_owned();
        Err(LedgerError::NotWritable { path: target.to_owned(), detail })
    }

    /// Where the file is until it is published.
    pub(crate) fn path(&self) -> &Path {
        &self.temporary
    }

    /// Syncs the file and puts it in its place, unless the place was taken meanwhile.
    pub(crate) fn publish(self) -> Result<(), LedgerError> {
        let failed = |e: io::Error| LedgerError::of_system(&self.target, &e);
        File::options().write(true).open(&self.temporary).and_then(|file| file.sync_all()).map_err(failed)?;
        refuse_taken(&self.target)?;
        match fs::hard_link(&self.temporary, &self.target) {
            Ok(()) => fs::remove_file(&self.temporary).map_err(failed)?,
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => return Err(failed(e)),
            // Cards and sticks often can't link.
            Err(_) => fs::rename(&self.temporary, &self.target).map_err(failed)?,
        }
        sync_folder(&self.target).map_err(failed)
    }
}

impl Drop for NewFile {
    fn drop(&mut self) {
        // Nothing can be done about a failure here, and after publishing there is nothing to remove.
        let _ = fs::remove_file(&self.temporary);
        for journal in journals(&self.temporary) {
            let _ = fs::remove_file(journal);
        }
    }
}

fn refuse_taken(target: &Path) -> Result<(), LedgerError> {
    if fs::symlink_metadata(target).is_ok() {
        return Err(LedgerError::Exists { path: target.to_owned() });
    }
    match journals(target).into_iter().find(|path| fs::symlink_metadata(path).is_ok()) {
        Some(path) => Err(LedgerError::LeftBehind { path }),
        None => Ok(()),
    }
}

/// Files SQLite keeps beside a database and would play into a new one of the same name.
fn journals(database: &Path) -> [PathBuf; 3] {
    ["-journal", "-wal", "-shm"].map(|suffix| {
        let mut name = database.as_os_str().to_owned();
        name.push(suffix);
        PathBuf::from(name)
    })
}

/// Makes a new name in a folder last through a power cut.
fn sync_folder(file: &Path) -> io::Result<()> {
    if cfg!(unix) {
        let folder = match file.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A place taken between making and publishing is left as it is, and nothing temporary stays.
    #[test]
    fn a_place_taken_meanwhile_is_not_overwritten() {
        let dir = tempfile::tempdir().unwrap();
        let target = dir.path().join("yard.toft");
        let file = NewFile::for_target(&target).unwrap();
        fs::write(&target, "someone else's").unwrap();
        assert!(matches!(file.publish().unwrap_err(), LedgerError::Exists { .. }));
        assert_eq!(fs::read_to_string(&target).unwrap(), "someone else's");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    /// A file given up leaves its folder as it was.
    #[test]
    fn a_file_given_up_leaves_nothing() {
        let dir = tempfile::tempdir().unwrap();
        drop(NewFile::for_target(&dir.path().join("yard.toft")).unwrap());
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
    }
}
