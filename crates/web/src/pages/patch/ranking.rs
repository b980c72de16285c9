//! Beside the question: the causes with what speaks for and against, what was found, what the yard told.

use maud::{Markup, html};
use yard::diagnosis::{Look, Ranked, Says, WORTH_TELLING, season_and_place};

use super::Asking;
use crate::layout::{number, sentence};

/// Causes shown.
const SHOWN: usize = 6;
/// Answers that change the odds by less than this (bans, a twentieth of a tenfold change) are not told.
const BANS_LEAST: f64 = 0.05;

pub(super) fn percent(share: f64) -> String {
    match share {
        s if s >= 0.995 => "over 99\u{a0}%".to_owned(),
        s => format!("{}\u{a0}%", number(s * 100.0, 0)),
    }
}

/// A change of odds as people say it: "×12", "÷4".
fn factor(bans: f64) -> String {
    let by = 10f64.powf(bans.abs());
    let decimals = usize::from(by < 3.0);
    format!("{}{}", if bans >= 0.0 { "×" } else { "÷" }, number(by, decimals))
}

fn said(says: &Says<'_>) -> Markup {
    html! { (says.finding.name) ": " (says.outcome.name) " (" (factor(says.bans)) ")" }
}

fn speaks(a: &Asking<'_>, look: &Look<'_>, ranked: &Ranked<'_>) -> Markup {
    let (for_it, against): (Vec<&Says<'_>>, Vec<_>) =
        ranked.says.iter().filter(|s| s.bans.abs() > BANS_LEAST).partition(|s| s.bans > 0.0);
    let before = season_and_place(&look.conditions, ranked.cause);
    html! {
        @for (word, list) in [("For it", for_it), ("Against it", against)] {
            @if !list.is_empty() { p { strong { (word) ": " } @for (i, s) in list.iter().enumerate() { @if i > 0 { "; " } (said(s)) } "." } }
        }
        @if !before.is_empty() {
            p { strong { "Season and place: " } @for (i, (words, by)) in before.iter().enumerate() { @if i > 0 { "; " } (words) " ×" (number(*by, 2)) } "." }
        }
        p { (sentence(&ranked.cause.fast)) @if !ranked.cause.fast.ends_with('.') { "." } }
        p.source { "Source: " @for (i, s) in a.view.almanac().sources_of(ranked.cause).enumerate() { @if i > 0 { "; " } (s.words) } }
    }
}

pub(super) fn causes(a: &Asking<'_>, look: &Look<'_>) -> Markup {
    let shown: Vec<&Ranked<'_>> =
        look.diagnosis.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING).collect();
    let rest: f64 = 1.0 - shown.iter().map(|r| r.probability).sum::<f64>();
    html! {
        section aria-labelledby="causes" {
            h2 #causes { "Likeliest now" }
            ol.plain {
                @for r in &shown {
                    li { details { summary { strong { (percent(r.probability)) } " " (r.cause.name) } (speaks(a, look, r)) } }
                }
            }
            @if rest > WORTH_TELLING { p.why { "All others together: " (percent(rest)) "." } }
            @if let (Some(second), Some(first)) = (&look.diagnosis.second, look.diagnosis.ranked.first()) {
                p.told {
                    strong { "May be two things. " } (sentence(&first.cause.name)) " leaves open "
                    @for (i, (finding, outcome)) in second.left.iter().enumerate() { @if i > 0 { "; " } (finding.name) ": " (outcome.name) }
                    "; " strong { (second.cause.name) } " beside it would explain that. Look at a spot of each."
                }
            }
        }
    }
}

pub(super) fn so_far(a: &Asking<'_>) -> Markup {
    let tables = a.view.almanac();
    let skipped: Vec<_> = a.path.without.iter().filter_map(|id| tables.finding(id)).collect();
    html! {
        @if !a.path.found.is_empty() || !skipped.is_empty() {
            section aria-labelledby="so-far" {
                h2 #so-far { "Found so far" }
                ul.things {
                    @for (i, (finding, outcome)) in a.path.found.iter().enumerate() {
                        @if let Some(f) = tables.finding(finding) {
                            li {
                                div { strong { (f.name) } p { (f.outcome(outcome).map_or(outcome.as_str(), |o| f.outcomes[o].name.as_str())) } }
                                a.button.quiet href=(a.taken_back(i)) aria-label=(format!("Take back: {}", f.name)) { "Take back" }
                            }
                        }
                    }
                    @for f in skipped {
                        li {
                            div { strong { (f.name) } p { "left out" } }
                            a.button.quiet href=(a.path.asked_again(&f.id)) aria-label=(format!("Ask again: {}", f.name)) { "Ask again" }
                        }
                    }
                }
            }
        }
    }
}

pub(super) fn yard_told(look: &Look<'_>) -> Markup {
    html! {
        section aria-labelledby="yard-told" {
            h2 #yard-told { "What the yard tells already" }
            ul.plain { @for t in &look.told { li { (sentence(&t.what)) span.when { " — " (t.from) } } } }
        }
    }
}

/// The looks that are not the next one, to be taken out of turn.
pub(super) fn others(a: &Asking<'_>, look: &Look<'_>) -> Markup {
    let first = look.diagnosis.next.first().map(|n| n.finding.id.as_str());
    let open = a.view.almanac().findings.iter().filter(|f| {
        Some(f.id.as_str()) != first
            && a.path.found.iter().all(|(id, _)| *id != f.id)
            && !a.path.without.contains(&f.id)
    });
    let pick = |id: &str| {
        let href = a.path.href();
        format!("{href}{}q={id}", if href.contains('?') { '&' } else { '?' })
    };
    html! {
        section aria-labelledby="others" {
            details {
                summary { span #others { "Look at something else" } }
                ul.plain { @for f in open { li { a href=(pick(&f.id)) { (sentence(&f.name)) } } } }
            }
        }
    }
}
