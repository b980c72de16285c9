//! The frost outlook as pages show it: early, likely and late, the chance week by week, one day asked for.

use jiff::civil::Date;
use maud::{Markup, html};
use yard::sprinkler_year::frost::FrostOdds;
use yard::units::Quantity;

use crate::layout::{number, time};
use crate::view::{Pairs, View, date_of, value};

/// The day asked for with `by`.
pub(crate) fn asked_day(asked: &Pairs) -> Option<Result<Date, String>> {
    value(asked, "by").map(date_of)
}

/// Early, likely, late.
pub(crate) fn points(view: &View, name: &str, odds: &FrostOdds) -> Markup {
    html! {
        h3 { (name) }
        p { "At " (view.units().say(Quantity::Temperature, odds.threshold_c)) " or below." }
        @match &odds.window {
            Some(w) => dl.strip {
                div { dt { "Early (10 %)" } dd { (time(w.early)) } }
                div { dt { "Likely (50 %)" } dd { (time(w.likely)) } }
                div { dt { "Late (90 %)" } dd { (time(w.late)) } }
            },
            None => p { "Not in half of the years looked at." },
        }
    }
}

/// The chance week by week, as figures and as bars.
pub(crate) fn chances(name: &str, word: &str, odds: &FrostOdds) -> Markup {
    html! {
        @if !odds.chances.is_empty() {
            table.chances {
                caption { (name) }
                thead { tr { th scope="col" { (word) } th.num scope="col" { "Chance" } th.num scope="col" { "Years" } } }
                tbody { @for c in &odds.chances {
                    tr {
                        th scope="row" { (time(c.date)) }
                        td.num {
                            svg.bar viewBox="0 0 60 8" aria-hidden="true" width="60" height="8" {
                                rect width=(number(60.0 * c.share(), 1)) height="8" fill="currentColor" {}
                                rect width="60" height="8" fill="none" stroke="currentColor" {}
                            }
                            " " (number(c.share() * 100.0, 0)) " %"
                        }
                        td.num { (c.with) " of " (c.of) }
                    }
                } }
            }
        }
    }
}
