//! Entries: appended in order, read in order.

use std::path::Path;

use rusqlite::{OptionalExtension, Transaction, params};
use yard::Entry;

use crate::error::{LedgerError, at};
use crate::store::Ledger;

/// Most entries of a ledger: fifteen a day for thirty-six years.
pub const ENTRIES_MAX: u32 = 200_000;

/// Most bytes of one entry's text: a note of about ten thousand words.
pub const ENTRY_BYTES_MAX: usize = 64 * 1024;

/// Most bytes of an entry's id.
pub const ID_BYTES_MAX: usize = 64;

impl Ledger {
    /// All entries, in the order recorded; those superseded too.
    ///
    /// # Errors
    /// [`LedgerError::UnreadableEntry`] naming the entry, where a later Toft recorded a kind this one does not know.
    pub fn entries(&self) -> Result<Vec<Entry>, LedgerError> {
        let at = at(&self.path);
        let mut query = self.conn.prepare_cached("SELECT id, text FROM entry ORDER BY seq").map_err(&at)?;
        let mut rows = query.query([]).map_err(&at)?;
        let mut entries = Vec::new();
        while let Some(row) = rows.next().map_err(&at)? {
            let text = row.get_ref(1).and_then(|v| Ok(v.as_str()?)).map_err(&at)?;
            match serde_json::from_str(text) {
                Ok(entry) => entries.push(entry),
                Err(e) => {
                    return Err(LedgerError::UnreadableEntry {
                        path: self.path.clone(),
                        id: row.get(0).map_err(&at)?,
                        detail: e.to_string(),
                    });
                }
            }
        }
        Ok(entries)
    }

    /// Records one entry; it is on the disk when this returns.
    ///
    /// # Errors
    /// The rules of an entry: [`LedgerError::BadId`], [`DuplicateId`](LedgerError::DuplicateId),
    /// [`SupersedesItself`](LedgerError::SupersedesItself), [`UnknownTarget`](LedgerError::UnknownTarget),
    /// [`AlreadySuperseded`](LedgerError::AlreadySuperseded), [`EntryTooLong`](LedgerError::EntryTooLong),
    /// [`NotStorable`](LedgerError::NotStorable), [`LedgerFull`](LedgerError::LedgerFull).
    pub fn append(&mut self, entry: &Entry) -> Result<(), LedgerError> {
        self.append_all(std::slice::from_ref(entry))
    }

    /// Records all of `entries` in one transaction, or none of them.
    ///
    /// # Errors
    /// Those of [`Ledger::append`], for the first entry that breaks a rule.
    pub fn append_all(&mut self, entries: &[Entry]) -> Result<(), LedgerError> {
        let texts = entries.iter().map(canonical).collect::<Result<Vec<_>, _>>()?;
        let path = self.path.clone();
        let tx = self.write()?;
        for (entry, text) in entries.iter().zip(&texts) {
            insert(&tx, &path, entry, text)?;
        }
        tx.commit().map_err(at(&path))
    }
}

/// The one text of an entry, which reads back as the same entry.
pub(crate) fn canonical(entry: &Entry) -> Result<String, LedgerError> {
    refuse_bad_id(&entry.id)?;
    let id = || entry.id.clone();
    let text =
        serde_json::to_string(entry).map_err(|e| LedgerError::NotStorable { id: id(), detail: e.to_string() })?;
    if text.len() > ENTRY_BYTES_MAX {
        return Err(LedgerError::EntryTooLong { id: id(), bytes: text.len() });
    }
    match serde_json::from_str::<Entry>(&text) {
        Ok(read) if read == *entry => Ok(text),
        Ok(_) => Err(LedgerError::NotStorable { id: id(), detail: "a figure is lost".to_owned() }),
        Err(e) => Err(LedgerError::NotStorable { id: id(), detail: e.to_string() }),
    }
}

/// Adds one entry, after asking the keys' questions so that the answer can name the other entry.
pub(crate) fn insert(tx: &Transaction<'_>, path: &Path, entry: &Entry, text: &str) -> Result<(), LedgerError> {
    let at = at(path);
    let one = |sql: &str, key: &str| -> Result<Option<String>, LedgerError> {
        let mut query = tx.prepare_cached(sql).map_err(&at)?;
        query.query_row([key], |row| row.get(0)).optional().map_err(&at)
    };
    let id = || entry.id.clone();
    if one("SELECT id FROM entry WHERE id = ?1", &entry.id)?.is_some() {
        return Err(LedgerError::DuplicateId { id: id() });
    }
    if let Some(target) = &entry.supersedes {
        if *target == entry.id {
            return Err(LedgerError::SupersedesItself { id: id() });
        }
        if one("SELECT id FROM entry WHERE id = ?1", target)?.is_none() {
            return Err(LedgerError::UnknownTarget { id: id(), target: target.clone() });
        }
        if let Some(by) = one("SELECT id FROM entry WHERE supersedes = ?1", target)? {
            return Err(LedgerError::AlreadySuperseded { id: id(), target: target.clone(), by });
        }
    }
    tx.prepare_cached("INSERT INTO entry (id, supersedes, text) VALUES (?1, ?2, ?3)")
        .and_then(|mut insert| insert.execute(params![entry.id, entry.supersedes, text]))
        .map_err(&at)?;
    if tx.last_insert_rowid() > i64::from(ENTRIES_MAX) {
        return Err(LedgerError::LedgerFull { id: id() });
    }
    Ok(())
}

fn refuse_bad_id(id: &str) -> Result<(), LedgerError> {
    if (1..=ID_BYTES_MAX).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_graphic()) {
        return Ok(());
    }
    Err(LedgerError::BadId { id: id.chars().take(ID_BYTES_MAX).collect() })
}
