//! A list of steps with its caution before it and a box to tick on paper.

use maud::{Markup, html};
use yard::sprinkler_year::closing::Steps;

/// One set of steps.
pub(crate) fn steps(s: &Steps) -> Markup {
    html! {
        section {
            h2 { (s.name) }
            @if !s.care.is_empty() { aside.care-box aria-label=(format!("Care: {}", s.name)) { p { strong { "Care: " } (s.care) } } }
            ol { @for step in &s.steps { li { (step) } } }
            p.source { "Source: " (s.source) }
        }
    }
}
