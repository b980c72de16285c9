//! What is wrong with a hedge plant, a shrub or a young tree: answers in the address, the causes ranked, what to do.

use std::collections::BTreeSet;

use axum::extract::State;
use maud::{Markup, html};
use yard::diagnosis::plants::{PlantDiagnosis, PlantPlace, PlantRanked, act_words, care_words, diagnose_plant};
use yard::diagnosis::{NextLook, Says, Seen, Verdict, WORTH_TELLING};

use crate::error::PageError;
use crate::extract::Asked;
use crate::found_path::FoundPath;
use crate::layout::{Section, number};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View};

/// Causes shown.
const SHOWN: usize = 5;

fn plants(view: &View, path: &FoundPath) -> Markup {
    html! {
        div.head { h1 { "A sick plant" } p.lead { "Which plant is it?" } }
        ul.things {
            @for p in &view.almanac().plants.plants {
                li {
                    div { strong { (p.name) } }
                    a.button.quiet href=(path.on("plant", &p.id).href()) aria-label=(format!("This: {}", p.name)) { "This" }
                }
            }
        }
        div.actions {
            a.button.quiet href="/plant/set-out" { "Set out a hedge, a replacement or a tree" }
            a.button.quiet href="/log/planted" { "Write down what you planted" }
        }
        p.why { "For lawn look at a " a href="/patch" { "bad patch" } "." }
    }
}

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", number(share * 100.0, 0))
}

fn speaks(ranked: &PlantRanked<'_>) -> Markup {
    let (for_it, against): (Vec<&Says<'_>>, Vec<_>) =
        ranked.says.iter().filter(|s| s.bans.abs() > 0.05).partition(|s| s.bans > 0.0);
    html! {
        @for (word, list) in [("For it", for_it), ("Against it", against)] {
            @if !list.is_empty() {
                p { (word) ": " @for (i, s) in list.iter().enumerate() { @if i > 0 { "; " } (s.finding.name) ": " (s.outcome.name) } "." }
            }
        }
    }
}

fn sources(view: &View, ranked: &PlantRanked<'_>) -> String {
    view.almanac().plants.sources_of(ranked.cause).map(|s| s.words.as_str()).collect::<Vec<_>>().join("; ")
}

fn causes(view: &View, diagnosis: &PlantDiagnosis<'_>) -> Markup {
    html! {
        section aria-labelledby="causes" {
            h2 #causes { "Likeliest now" }
            ol.plain {
                @for r in diagnosis.ranked.iter().take(SHOWN).filter(|r| r.probability >= WORTH_TELLING) {
                    li { details { summary { strong { (percent(r.probability)) } " " (r.cause.name) } (speaks(r)) p.source { "Source: " (sources(view, r)) } } }
                }
            }
        }
    }
}

fn next(path: &FoundPath, look: &NextLook<'_>) -> Markup {
    let f = look.finding;
    html! {
        section aria-labelledby="next" {
            h2 #next { "Next: " (f.name) }
            p { "About " (number(f.minutes, if f.minutes < 2.0 { 1 } else { 0 })) " minutes. " (f.how) }
            p { strong { "What did you find?" } }
            div.actions.choices {
                @for o in &f.outcomes { a.button href=(path.found(&f.id, &o.id)) { (o.name) } }
                a.button.quiet href=(path.left_out(&f.id)) { "I cannot tell" }
            }
            p.source { "Source: " (f.source) }
        }
    }
}

fn to_do(view: &View, top: &PlantRanked<'_>) -> Markup {
    let c = top.cause;
    html! {
        section.told aria-labelledby="to-do" {
            h2 #to-do { "It is most likely this: " (c.name) " (" (percent(top.probability)) ")" }
            p.lead { (act_words(c.act)) "." }
            @if !c.care.is_empty() {
                aside.care-box aria-label="Care" { @for care in &c.care { p { strong { "Care: " } (care_words(*care)) } } }
            }
            p { (c.advice) }
            p { strong { "When: " } (c.when) }
            p.source { "Source: " (sources(view, top)) }
        }
    }
}

fn main(view: &View, path: &FoundPath, plant: &str, diagnosis: &PlantDiagnosis<'_>) -> Markup {
    let findings = &view.almanac().plants;
    html! {
        div.head {
            h1 { "A sick plant" }
            p.lead { (view.almanac().plant_name(plant)) ", " (view.on.strftime("%B").to_string()) }
        }
        div.columns {
            div {
                @match (diagnosis.verdict, diagnosis.ranked.first()) {
                    (Verdict::Likely, Some(top)) => (to_do(view, top)),
                    _ => p { "Not enough to tell yet. Put nothing down on a guess." },
                }
                @if let Some(look) = diagnosis.next.first() { (next(path, look)) }
                @else if diagnosis.verdict == Verdict::NotEnough { p { "No look is left that would tell more: take a twig with sick and sound wood to the extension office." } }
            }
            div {
                (causes(view, diagnosis))
                @if !path.found.is_empty() {
                    section aria-labelledby="so-far" {
                        h2 #so-far { "Found so far" }
                        ul.things {
                            @for (i, (id, outcome)) in path.found.iter().enumerate() {
                                @if let Some((finding, at)) = findings.finding(id).and_then(|f| Some((f, f.outcome(outcome)?))) {
                                    li {
                                        div { strong { (finding.name) } p { (finding.outcomes[at].name) } }
                                        a.button.quiet href=(path.taken_back(i)) aria-label=(format!("Take back: {}", finding.name)) { "Take back" }
                                    }
                                }
                            }
                        }
                    }
                }
                p { a href="/plant" { "Another plant" } }
            }
        }
        p.why { "Chances are trade judgement after the sources named; one cause at a time is assumed, and the months are those of the cool north." }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let path = FoundPath::of("/plant", &["plant"], &asked);
        let Some(plant) = path.about("plant") else {
            return Ok(view.page("A sick plant", Section::Now, "/plant", plants(&view, &path)));
        };
        let place = PlantPlace {
            plant: Some(plant.to_owned()),
            month: Some(view.on.month().unsigned_abs()),
            holds: BTreeSet::new(),
        };
        let mut seen: Vec<Seen> = path.found.iter().map(|(f, o)| Seen::new(f, o)).collect();
        seen.extend(path.without.iter().map(|w| Seen::not_looked(w)));
        let diagnosis = diagnose_plant(&view.almanac().plants, &place, &seen)
            .map_err(|e| PageError::bad("Not understood", e.to_string()))?;
        Ok(view.page("A sick plant", Section::Now, "/plant", main(&view, &path, plant, &diagnosis)))
    })
    .await
}
