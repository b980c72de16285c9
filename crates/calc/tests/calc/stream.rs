//! Batches: order, bounded memory, and documents that are not JSON.

use std::io::{self, BufReader, Read, Write};

use calc::{ITEM_BYTES_MAX, Outcome, find, run_stream};
use serde_json::{Value, json};

use crate::run;

fn parsed(model: &str, document: &str) -> (Value, Outcome) {
    let (output, outcome) = run(model, document.as_bytes());
    (serde_json::from_str(&output).unwrap_or_else(|error| panic!("{error}: {output}")), outcome)
}

/// One object answers one object; an array answers an array in its order, the bad ones in their place.
#[test]
fn order_is_kept() {
    let (one, outcome) = parsed("growth-potential", r#" {"tmean_c": 20, "grass": "cool"} "#);
    assert_eq!(one["result"], json!({ "growth_potential": 1.0 }));
    assert_eq!(one["source"], find("growth-potential").expect("listed").source);
    assert_eq!(one["assumed"], json!([]));
    assert_eq!(one["working"][0]["result"]["value"], 1.0);
    assert_eq!(outcome, Outcome { items: 1, faults: 0 });

    let batch = r#"[{"tmean_c":20,"grass":"cool"},{"tmean_c":"x","grass":"cool"}, 7,
        {"tmean_c":31,"grass":"warm"},{"tmean_c":1e999,"grass":"warm"},[{}],"a\"]b",{"tmean_c":20,"grass":"cool"}]"#;
    let (many, outcome) = parsed("growth-potential", batch);
    assert_eq!(outcome, Outcome { items: 8, faults: 5 });
    let many = many.as_array().expect("an array");
    let told: Vec<Option<&str>> = many.iter().map(|answer| answer["error"]["field"].as_str()).collect();
    assert_eq!(told, [None, Some("tmean_c"), Some(""), None, Some("tmean_c"), Some(""), Some(""), None]);
    assert_eq!(parsed("growth-potential", " [ ] "), (json!([]), Outcome::default()));
    assert_eq!(parsed("growth-potential", "\u{feff}[]").0, json!([]));
}

/// Fields of a result stand in the contract's order.
#[test]
fn result_fields_are_in_order() {
    for model in calc::models() {
        let (output, _) = run(model.name, model.example.as_bytes());
        let places: Vec<usize> = model
            .output()
            .iter()
            .map(|field| output.find(&format!("\"{}\":", field.name)).expect("the field is there"))
            .collect();
        assert!(places.is_sorted(), "{}: {output}", model.name);
    }
}

/// A malformed document: one error with line and column, valid JSON all the same.
#[test]
fn malformed_documents() {
    let good = r#"{"tmean_c":20,"grass":"cool"}"#;
    let rows = [
        (String::new(), 1, 1),
        ("  \n ".into(), 2, 2),
        ("{".into(), 1, 2),
        ("{\"tmean_c\":20,\n  \"grass\" \"cool\"}".into(), 2, 11),
        (format!("{good} {good}"), 1, 31),
        ("tmean_c=20".into(), 1, 1),
        ("[".into(), 1, 2),
        ("[,]".into(), 1, 2),
        ("[{\"é\":}]".into(), 1, 7),
        ("]".into(), 1, 1),
    ];
    for (document, line, column) in rows {
        let (output, outcome) = parsed("growth-potential", &document);
        let message = output["error"]["message"].as_str().unwrap_or_else(|| panic!("{document}: {output}"));
        assert!(message.contains(&format!("line {line}, column {column}:")), "{document:?}: {message}");
        assert_eq!(output["error"]["field"], "");
        assert_eq!(outcome.faults, 1);
    }
    let broken_later = [
        format!("[{good},\n{good},\n{{\"tmean_c\":}},{good}]"),
        format!("[{good},{good}"),
        format!("[{good},{good}] x"),
        format!("[{good},{good},]"),
        format!("[{good},{good} {good}]"),
    ];
    for document in broken_later {
        let (output, outcome) = parsed("growth-potential", &document);
        let answers = output.as_array().expect("an array");
        assert_eq!((answers.len(), outcome.items, outcome.faults), (3, 2, 1), "{document}: {output}");
        assert_eq!(answers[1]["result"], json!({ "growth_potential": 1.0 }));
        assert_eq!(answers[2]["error"]["field"], "");
    }
    let (output, _) = run("growth-potential", b"[\"\xff\"]");
    assert!(output.contains("line 1, column 3: the text is not UTF-8"), "{output}");
}

/// Items too long or too deep are faults of their own; the batch goes on.
#[test]
fn items_are_bounded() {
    let good = r#"{"tmean_c":20,"grass":"cool"}"#;
    let padded = |length: usize| {
        let pad = length - good.len();
        format!("[{}{}}},{good}]", &good[..good.len() - 1], " ".repeat(pad))
    };
    assert_eq!(parsed("growth-potential", &padded(ITEM_BYTES_MAX)).1, Outcome { items: 2, faults: 0 });
    let (output, outcome) = parsed("growth-potential", &padded(ITEM_BYTES_MAX + 1));
    assert_eq!(outcome, Outcome { items: 2, faults: 1 });
    assert_eq!(output[0]["error"]["message"], format!("the item is longer than {ITEM_BYTES_MAX} bytes"));
    let deep = format!("[{}1{},{good}]", "[".repeat(100_000), "]".repeat(100_000));
    let (output, outcome) = parsed("growth-potential", &deep);
    assert_eq!(outcome, Outcome { items: 2, faults: 1 });
    assert!(output[0]["error"]["message"].as_str().expect("a text").contains("nested"), "{output}");
}

/// A batch that is made as it is read: no part of it exists before or after.
struct Generated {
    item: &'static [u8],
    left: usize,
    pending: Vec<u8>,
    given: usize,
}

impl Read for Generated {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.given == self.pending.len() {
            if self.left == 0 {
                return Ok(0);
            }
            self.left -= 1;
            self.given = 0;
            self.pending.clear();
            self.pending.extend_from_slice(self.item);
            self.pending.push(if self.left == 0 { b']' } else { b',' });
        }
        let length = into.len().min(self.pending.len() - self.given);
        into[..length].copy_from_slice(&self.pending[self.given..self.given + length]);
        self.given += length;
        Ok(length)
    }
}

/// Counts what is written and keeps nothing but the largest piece.
#[derive(Default)]
struct Counted {
    bytes: usize,
    largest: usize,
}

impl Write for Counted {
    fn write(&mut self, piece: &[u8]) -> io::Result<usize> {
        self.bytes += piece.len();
        self.largest = self.largest.max(piece.len());
        Ok(piece.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// 100,000 items come from a reader that holds one and go to a writer that holds none, in pieces no larger than the buffer:
/// nothing in between can have gathered them.
#[test]
fn a_long_batch_streams() {
    let item = br#"{"tmean_c":15,"grass":"cool"}"#;
    let input = Generated { item, left: 100_000, pending: b"[".to_vec(), given: 0 };
    let mut output = Counted::default();
    let model = find("growth-potential").expect("it is listed");
    let outcome = run_stream(model, BufReader::new(input), &mut output).expect("no I/O fails");
    assert_eq!(outcome, Outcome { items: 100_000, faults: 0 });
    assert!(output.bytes > 40_000_000);
    assert!(output.largest <= 64 * 1024, "{}", output.largest);
}

/// A reader that fails is an I/O error, not a fault of the user's.
#[test]
fn reading_errors_come_through() {
    struct Broken;
    impl Read for Broken {
        fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
            Err(io::Error::other("unplugged"))
        }
    }
    let model = find("et0").expect("et0 is listed");
    assert!(run_stream(model, BufReader::new(Broken), io::sink()).is_err());
}
