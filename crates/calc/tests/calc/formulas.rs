//! The page of formulas is what the models say.

use std::path::Path;
use std::{env, fs};

use calc::{formulas_markdown, models};

/// `docs/formulas.md` is the text that the models' own declarations give. With `TOFT_BLESS=1` in the environment it is
/// written anew instead.
#[test]
fn the_page_is_not_stale() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/formulas.md");
    let expected = formulas_markdown();
    if env::var_os("TOFT_BLESS").is_some_and(|value| value == "1") {
        fs::create_dir_all(page.parent().expect("the page is in a folder")).expect("the folder can be made");
        fs::write(&page, &expected).expect("the page can be written");
    }
    // A checkout may have turned the line ends.
    let found = fs::read_to_string(&page).unwrap_or_default().replace("\r\n", "\n");
    if found != expected {
        let line = found.lines().zip(expected.lines()).take_while(|(a, b)| a == b).count() + 1;
        panic!("docs/formulas.md is stale from line {line} on; TOFT_BLESS=1 cargo test -p calc writes it anew");
    }
}

/// Every model has its section, every field of it a row, and every row as many cells as its head.
#[test]
fn the_page_is_whole() {
    let page = formulas_markdown();
    for model in models() {
        let head = format!("\n## {}\n", model.name);
        let start = page.find(&head).unwrap_or_else(|| panic!("{} has no section", model.name));
        let rest = &page[start + head.len()..];
        let section = &rest[..rest.find("\n## ").unwrap_or(rest.len())];
        assert!(section.contains(model.source), "{}: the source is missing", model.name);
        for field in model.input().fields.iter().chain(model.output()) {
            assert!(section.contains(&format!("| `{}` |", field.name)), "{}: {} is missing", model.name, field.name);
        }
        let item: String =
            section.split("```json\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap_or("").into();
        let item = serde_json::from_str(&item).unwrap_or_else(|error| panic!("{}: {error}: {item}", model.name));
        assert!(model.answer(&item).is_ok(), "{}: the example printed does not answer", model.name);
    }
    let mut cells = 0;
    for line in page.lines() {
        let bars = line.replace("\\|", "").matches('|').count();
        if line.starts_with("| ") {
            assert!(cells == 0 || bars == cells, "{line}");
            cells = bars;
        } else {
            cells = 0;
        }
    }
}
