//! What a finding that waits to be mended, and a backflow test, must satisfy.

use super::{Faults, YEAR_MAX, YEAR_MIN};
use crate::entry::{BackflowTested, ToMend, Trouble};
use crate::fold::Yard;

pub(super) fn to_mend(f: &mut Faults, m: &ToMend, yard: &Yard) {
    f.words("at", &m.at, 80);
    if let Some(z) = &m.zone {
        f.zone(yard, "zone", z);
    }
    if let Some(by) = m.by.filter(|by| !(YEAR_MIN..=YEAR_MAX).contains(&by.year())) {
        f.say("by", format!("by is {by}; the year must be between {YEAR_MIN} and {YEAR_MAX}"));
    }
    if m.remark.chars().count() > 400 {
        f.say("remark", "at most 400 letters are kept");
    }
    if m.trouble == Trouble::Other && m.remark.trim().is_empty() {
        f.say("remark", "say in the remark what is wrong");
    }
}

pub(super) fn backflow_tested(f: &mut Faults, b: &BackflowTested) {
    f.range("months", f64::from(b.months), 1.0, 120.0, "months");
    if b.tester.chars().count() > 200 {
        f.say("tester", "at most 200 letters are kept");
    }
}
