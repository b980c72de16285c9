//! Pen drawings of the looks and tests: how each is done, in a few lines, drawn in the page's own ink.

mod pen;
mod plant;
mod soil;
mod water;
mod weed;

use maud::{Markup, html};

/// Width and height every drawing is made for.
const SIZE: [u32; 2] = [240, 140];

/// What a drawing shows, for those who do not see it, and its lines.
struct Drawn {
    says: &'static str,
    lines: Markup,
}

/// The drawing of a finding; `None` where it needs none.
pub(crate) fn sketch(finding: &str) -> Option<Markup> {
    let drawn = match finding {
        "pattern" => plant::pattern(),
        "edge" => plant::edge(),
        "leaf" => plant::leaf(),
        "threads" => plant::threads(),
        "tug" => plant::tug(),
        "crown" => plant::crown(),
        "kind" => plant::kind(),
        "roots" => soil::roots_slice(),
        "dig" => soil::dig(),
        "screwdriver" => soil::screwdriver(),
        "thatch" => soil::thatch(),
        "moisture" => soil::moisture(),
        "soap" => water::soap(),
        "float" => water::float(),
        "cans" => water::cans(),
        "water-strip" => water::strip(),
        "weed-stem" => weed::stem(),
        "weed-arrange" => weed::arrange(),
        "weed-head" => weed::head(),
        "weed-collar" => weed::collar(),
        _ => return None,
    };
    let [w, h] = SIZE;
    Some(html! {
        svg.pen viewBox=(format!("0 0 {w} {h}")) role="img" aria-label=(drawn.says) { (drawn.lines) }
    })
}

#[cfg(test)]
mod tests {
    use almanac::{Almanac, FindingKind};

    use super::*;

    /// Every test of the almanac has a drawing of its own, with words for those who do not see it.
    #[test]
    fn every_test_is_drawn() {
        let mut seen = std::collections::BTreeSet::new();
        for finding in Almanac::embedded().findings.iter().filter(|f| f.kind == FindingKind::Test) {
            let drawing = sketch(&finding.id).unwrap_or_else(|| panic!("{} is not drawn", finding.id)).into_string();
            assert!(drawing.contains("aria-label=\"") && !drawing.contains("NaN"), "{}", finding.id);
            assert!(seen.insert(drawing), "{} is drawn like another", finding.id);
        }
    }
}
