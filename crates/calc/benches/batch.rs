//! How long a batch takes, reading and writing JSON included.
//!
//! Aim: 100,000 `et0` items in about a second on one core of a small computer, in the memory of one item.

use std::io;

use calc::{find, run_stream};

fn main() {
    divan::main();
}

/// Items in a batch; figures are for all of them together.
const ITEMS: usize = 100_000;

#[divan::bench(args = ["et0", "growth-potential", "zone-run-time", "sprinkler-rate"], sample_count = 5)]
fn batch(bencher: divan::Bencher, name: &str) {
    let model = find(name).expect("the model is listed");
    let document = format!("[{}]", vec![model.example; ITEMS].join(","));
    bencher
        .counter(divan::counter::ItemsCount::new(ITEMS))
        .bench(|| run_stream(model, document.as_bytes(), io::sink()).expect("no I/O fails"));
}
