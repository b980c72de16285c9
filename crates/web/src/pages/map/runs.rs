//! Moles' runs and the traps on them, on the map and in words: in use thick, not known dashed, quiet thin.

use maud::{Markup, html};
use yard::entry::RunState;
use yard::watch::{LAW, RunWatch, Use, WHO_DIGS};

use crate::layout::{prose, sentence, time};
use crate::logbook_links::query;
use crate::view::View;

fn class(used: Use) -> &'static str {
    match used {
        Use::Used => "mole used",
        Use::Unknown => "mole unknown",
        Use::Quiet => "mole quiet",
    }
}

fn path(line: &[[f64; 2]]) -> String {
    line.iter().enumerate().map(|(i, [x, y])| format!("{}{x:.2} {y:.2}", if i == 0 { "M" } else { "L" })).collect()
}

/// Runs that have a line, in the map's metres; `letter` is how tall a letter is there (m).
pub(crate) fn layer(runs: &[RunWatch], letter: f64) -> Markup {
    html! {
        g.moles {
            @for (i, r) in runs.iter().enumerate().filter(|(_, r)| r.line.len() > 1) {
                path class=(class(r.used)) d=(path(&r.line)) { title { (r.run) ": " (r.used.words()) } }
                @let [x, y] = r.line[r.line.len() / 2];
                @if r.trap.is_some() {
                    circle class=(if r.state == RunState::Caught { "trap caught" } else { "trap" }) cx=(format!("{x:.2}")) cy=(format!("{y:.2}")) r=(format!("{:.2}", 0.55 * letter)) {}
                }
                @let [x, y] = r.line[0];
                text.can transform=(format!("translate({x:.2} {:.2}) scale(1 -1)", y + 0.4 * letter)) text-anchor="middle" font-size=(format!("{letter:.2}")) { (i + 1) }
            }
        }
    }
}

/// The runs in words, numbered as on the map.
pub(crate) fn table(view: &View, runs: &[RunWatch]) -> Markup {
    html! {
        section aria-labelledby="mole-runs" {
            h2 #mole-runs { "Mole runs and traps" }
            p.law { strong { "The law first. " } (LAW) }
            @if runs.iter().any(|r| r.line.len() > 1) {
                ul.legend {
                    li { svg.plan.swatch viewBox="0 0 20 20" aria-hidden="true" { path class="mole used" d="M2 10h16" {} } "in use" }
                    li { svg.plan.swatch viewBox="0 0 20 20" aria-hidden="true" { path class="mole unknown" d="M2 10h16" {} } "not known yet" }
                    li { svg.plan.swatch viewBox="0 0 20 20" aria-hidden="true" { path class="mole quiet" d="M2 10h16" {} } "quiet" }
                    li { svg.plan.swatch viewBox="0 0 20 20" aria-hidden="true" { circle.trap cx="10" cy="10" r="5" {} } "trap" }
                    li { svg.plan.swatch viewBox="0 0 20 20" aria-hidden="true" { circle class="trap caught" cx="10" cy="10" r="5" {} } "trap that caught" }
                }
            }
            ol.runs {
                @for r in runs {
                    li {
                        strong { (r.run) } ", " a href=(view.link(&format!("/area/{}", r.place.key))) { (r.place.name) } ": " (r.used.words())
                        ". " (sentence(r.state.words())) " on " (time(r.on)) "."
                        @if let Some(set) = r.trap { " A trap stands since " (time(set)) "." }
                        @if r.caught > 0 { " Caught here: " (r.caught) "." }
                        @if let Some(next) = &r.next { p { strong { "Next: " } (prose(next)) } }
                        p { a.button.quiet href=(format!("/log/mole-run{}", query(vec![("area", r.place.key.as_str()), ("run", r.run.as_str())]))) aria-label=(format!("Log it: the run {}", r.run)) { "Log it" } }
                    }
                }
            }
        }
    }
}

/// Which animal it is, told apart by its work.
pub(crate) fn who_digs() -> Markup {
    html! {
        details {
            summary { "Ridge, runway or mound: which animal?" }
            dl.facts { @for (animal, signs) in WHO_DIGS { div { dt { (sentence(animal)) } dd { (signs) } } } }
            p.source { "Source: University of Nebraska–Lincoln NebGuide G1538 and University of Missouri Extension G9440 for mole and gopher; the rest common practice" }
        }
    }
}
