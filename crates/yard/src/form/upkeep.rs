//! The forms of what waits to be mended and of the backflow test.

use super::reader::Reader;
use super::{Ask, Field, field};
use crate::entry::{Assembly, BackflowTested, TEST_MONTHS, ToMend, Trouble};

const TROUBLES: Ask = Ask::Choice(&[
    "tilted",
    "sunk",
    "blocked",
    "clogged",
    "wrong-arc",
    "stuck",
    "stays-up",
    "misting",
    "weak",
    "seal-leak",
    "broken",
    "low-drain",
    "valve-weeps",
    "pipe-leak",
    "manifold-leak",
    "other",
]);

pub(super) const TO_MEND: &[Field] = &[
    field("at", "Which head, valve or place", Ask::Line, true, "its name on the map, or where it stands"),
    field("trouble", "What is wrong", TROUBLES, false, ""),
    field("zone", "Zone", Ask::Zone, false, ""),
    field(
        "by",
        "To be mended by",
        Ask::Line,
        false,
        "like 2026-04-30; two weeks where left out, three days where water is lost",
    ),
    field("remark", "Remark", Ask::Line, false, ""),
];

pub(super) const BACKFLOW: &[Field] = &[
    field(
        "assembly",
        "What it is",
        Ask::Choice(&["pressure-vacuum-breaker", "double-check", "reduced-pressure", "other"]),
        false,
        "it stands on its plate",
    ),
    field("failed", "It failed", Ask::Tick, false, ""),
    field("tester", "Tested by", Ask::Line, false, "name and licence"),
    field(
        "months",
        "Next test after",
        Ask::Number("months"),
        false,
        "12 where left out; your water supplier’s rule goes first",
    ),
];

pub(super) const BACKFLOW_CARE: &str = "Only a licensed or certified tester tests and mends a backflow assembly; it is never bypassed. The water supplier’s \
    rule says how often, and wants the tester’s report.";

pub(super) fn read_to_mend(r: &mut Reader<'_>) -> ToMend {
    ToMend {
        zone: r.words_maybe("zone"),
        at: r.words("at"),
        trouble: r.choice::<Trouble>("trouble"),
        by: r.date_maybe("by"),
        remark: r.words("remark"),
    }
}

pub(super) fn show_to_mend(put: &mut dyn FnMut(&str, String), m: &ToMend) {
    put("zone", m.zone.clone().unwrap_or_default());
    put("at", m.at.clone());
    put("trouble", m.trouble.key().to_owned());
    put("by", m.by.map(|d| d.to_string()).unwrap_or_default());
    put("remark", m.remark.clone());
}

pub(super) fn read_backflow(r: &mut Reader<'_>) -> BackflowTested {
    let months = match r.number_maybe("months") {
        None => TEST_MONTHS,
        Some(n) if n.fract() == 0.0 && (1.0..=120.0).contains(&n) => n as u32,
        Some(_) => {
            r.fault("months", "months is a whole number between 1 and 120".to_owned());
            TEST_MONTHS
        }
    };
    BackflowTested {
        assembly: r.choice::<Assembly>("assembly"),
        failed: r.tick("failed"),
        tester: r.words("tester"),
        months,
    }
}

pub(super) fn show_backflow(put: &mut dyn FnMut(&str, String), b: &BackflowTested) {
    let word = serde_json::to_value(b.assembly).ok().and_then(|v| v.as_str().map(str::to_owned));
    put("assembly", word.unwrap_or_default());
    put("failed", if b.failed { "yes".to_owned() } else { String::new() });
    put("tester", b.tester.clone());
    put("months", b.months.to_string());
}
