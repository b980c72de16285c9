//! 'Saved' means saved: a second process is ended without warning, and the file is read after it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::{env, process};

use ledger::Ledger;

use crate::generate::note;

const FILE: &str = "TOFT_LEDGER_TEST_FILE";
const BATCH: usize = 25;

/// Runs this test program again, with `test` alone in it as the writer of `file`.
fn writer(test: &str, file: &Path) -> Child {
    Command::new(env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture"])
        .env(FILE, file)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// An entry is there after the process that appended it aborted right after: nothing was left for a tidy end.
#[test]
fn an_appended_entry_outlives_its_process() {
    if let Some(file) = env::var_os(FILE) {
        let mut ledger = Ledger::open(Path::new(&file)).unwrap();
        ledger.append(&note("saved", None)).unwrap();
        process::abort();
    }
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    drop(Ledger::create(&path).unwrap());
    let test = "durability::an_appended_entry_outlives_its_process";
    assert!(!writer(test, &path).wait().unwrap().success());
    assert_eq!(Ledger::open(&path).unwrap().entries().unwrap(), [note("saved", None)]);
}

/// A process killed at any moment of its writing leaves every batch it reported, and no part of a batch.
#[test]
fn a_killed_writer_leaves_whole_batches() {
    if let Some(file) = env::var_os(FILE) {
        let mut ledger = Ledger::open(Path::new(&file)).unwrap();
        for batch in 0.. {
            let entries: Vec<_> = (0..BATCH).map(|n| note(&format!("b{batch}-{n}"), None)).collect();
            ledger.append_all(&entries).unwrap();
            println!("\nsaved {batch}");
        }
    }
    for reported in [1, 2, 3, 5, 8, 13] {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("yard.toft");
        drop(Ledger::create(&path).unwrap());
        let mut child = writer("durability::a_killed_writer_leaves_whole_batches", &path);
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let seen = lines.map_while(Result::ok).filter(|l| l.starts_with("saved ")).take(reported);
        assert_eq!(seen.count(), reported);
        child.kill().unwrap();
        child.wait().unwrap();
        let entries = Ledger::open(&path).unwrap().entries().unwrap();
        assert!(entries.len() >= BATCH * reported, "{} of {reported} batches", entries.len());
        assert_eq!(entries.len() % BATCH, 0, "{}", entries.len());
    }
}

/// Two processes that append to the same file wait for each other, and both are heard.
#[test]
fn writers_wait_for_each_other() {
    const EACH: usize = 10;
    if let Some(file) = env::var_os(FILE) {
        let mut ledger = Ledger::open(Path::new(&file)).unwrap();
        for n in 0..EACH {
            ledger.append(&note(&format!("{}-{n}", process::id()), None)).unwrap();
        }
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("yard.toft");
    let ledger = Ledger::create(&path).unwrap();
    let test = "durability::writers_wait_for_each_other";
    let mut writers = [writer(test, &path), writer(test, &path)];
    for child in &mut writers {
        assert!(child.wait().unwrap().success());
    }
    assert_eq!(ledger.entries().unwrap().len(), 2 * EACH);
}
