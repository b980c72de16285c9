//! The contract judged from outside: only what the crate offers is used.

mod examples;
mod examples_ground;
mod examples_turf;
mod extension_examples;
mod faults;
mod formulas;
mod schema;
mod stream;
mod sweep;

use calc::{Answer, Fault, find};

/// Answers an item written as JSON, the way a batch does.
fn answer(model: &str, item: &str) -> Result<Answer, Fault> {
    let item = serde_json::from_str(item).expect("the test's item is JSON");
    find(model).expect("the model is listed").answer(&item)
}

/// Runs a whole document and gives its output and outcome.
fn run(model: &str, document: &[u8]) -> (String, calc::Outcome) {
    let mut output = Vec::new();
    let outcome =
        calc::run_stream(find(model).expect("the model is listed"), document, &mut output).expect("no I/O fails");
    (String::from_utf8(output).expect("the output is UTF-8"), outcome)
}
