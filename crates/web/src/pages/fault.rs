//! Finding the fault of the sprinkler system: a guided path of measurements that ends in a repair.

use almanac::{FaultTest, RepairBy, RepairCost};
use axum::extract::State;
use maud::{Markup, html};
use yard::faultfinding::{Finding, Ranked, Speaks, Standing, Verdict, standing};

use crate::error::PageError;
use crate::extract::Asked;
use crate::found_path::FoundPath;
use crate::layout::{Section, number};
use crate::logbook_links::query;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View};

/// Causes shown while the search goes on.
const SHOWN: usize = 5;
fn symptoms(view: &View, path: &FoundPath) -> Markup {
    html! {
        div.head { h1 { "Find the fault" } p.lead { "What does the sprinkler system do?" } }
        ul.things {
            @for s in &view.almanac().faults.symptoms {
                li {
                    div { strong { (s.name) } p { (s.asks) } }
                    a.button.quiet href=(path.on("symptom", &s.id).href()) aria-label=(format!("This: {}", s.name)) { "This" }
                }
            }
        }
        p { a href="/water/leak" { "Reckon a leak: the meter moves with everything shut" } " · " a href="/water/pressure" { "Work out the pressure at each head" } " · " a href="/water" { "Back to water" } }
    }
}

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", number(share * 100.0, 0))
}

fn speaks(ranked: &Ranked<'_>) -> Markup {
    let (for_it, against): (Vec<&Speaks<'_>>, Vec<_>) =
        ranked.speaks.iter().filter(|s| s.bans.abs() > 0.05).partition(|s| s.bans > 0.0);
    html! {
        @for (word, list) in [("For it", for_it), ("Against it", against)] {
            @if !list.is_empty() {
                p { (word) ": " @for (i, s) in list.iter().enumerate() { @if i > 0 { "; " } (s.test.name) ": " (outcome_name(s.test, s.outcome)) } "." }
            }
        }
    }
}

fn outcome_name<'a>(test: &'a FaultTest, id: &'a str) -> &'a str {
    test.outcomes.iter().find(|o| o.id == id).map_or(id, |o| &o.name)
}

fn causes(standing: &Standing<'_>) -> Markup {
    html! {
        section aria-labelledby="causes" {
            h2 #causes { "Likeliest now" }
            ol.plain {
                @for r in standing.ranked.iter().take(SHOWN).filter(|r| r.probability >= 0.01) {
                    li { details { summary { strong { (percent(r.probability)) } " " (r.cause.name) } (speaks(r)) p.source { "Source: " (r.cause.source) } } }
                }
            }
        }
    }
}

fn care(lines: &[String]) -> Markup {
    html! { @if !lines.is_empty() { aside.care-box aria-label="Care" { @for line in lines { p { strong { "Care: " } (line) } } } } }
}

fn next(path: &FoundPath, test: &FaultTest) -> Markup {
    html! {
        section aria-labelledby="next" {
            h2 #next { "Next: " (test.name) }
            p { "About " (number(test.minutes, 0)) " minutes." }
            (care(&test.safety))
            ul { @for line in &test.how { li { (line) } } }
            p { strong { "What did you find?" } }
            div.actions.choices {
                @for o in &test.outcomes { a.button href=(path.found(&test.id, &o.id)) { (o.name) } }
                a.button.quiet href=(path.left_out(&test.id)) { "I cannot do this one" }
            }
            p.source { "Source: " (test.source) }
        }
    }
}

fn repair(path: &FoundPath, ranked: &Ranked<'_>, sure: bool) -> Markup {
    let c = ranked.cause;
    let done = format!("{}: {}", c.name, c.steps.join("; "));
    let mut log = vec![("done", done.as_str())];
    log.extend(path.about("zone").map(|z| ("zone", z)));
    html! {
        section.told aria-labelledby="repair" {
            h2 #repair { @if sure { "It is most likely this: " } @else { "More cannot be learnt this way; likeliest: " } (c.name) " (" (percent(ranked.probability)) ")" }
            @if c.who == RepairBy::Licensed { p { strong { "This is for a licensed electrician or plumber." } } }
            (care(&c.safety))
            ol { @for step in &c.steps { li { (step) } } }
            @if !c.parts.is_empty() { p { "Parts: " (c.parts.join(", ")) "." } }
            p { "Cost: " (match c.cost { RepairCost::None => "nothing but time", RepairCost::Low => "little", RepairCost::Middle => "middling", RepairCost::High => "a good deal" }) "." }
            div.actions { a.button href=(format!("/log/repaired{}", query(log))) { "Log the repair" } }
            p.source { "Source: " (c.source) }
        }
    }
}

fn main(view: &View, path: &FoundPath, standing: &Standing<'_>) -> Markup {
    let faults = &view.almanac().faults;
    html! {
        div.head {
            h1 { (standing.symptom.name) }
            p { (standing.symptom.asks) @if let Some(zone) = path.about("zone").and_then(|z| view.yard.zone(z)) { " " (zone.name) "." } }
        }
        div.columns {
            div {
                @match (standing.verdict, standing.ranked.first(), standing.next.first()) {
                    (Verdict::Found, Some(top), _) => (repair(path, top, true)),
                    (Verdict::NothingMoreToLearn, Some(top), _) => (repair(path, top, false)),
                    (_, _, Some(worth)) => (next(path, worth.test)),
                    _ => p { "Nothing is known of this." },
                }
            }
            div {
                (causes(standing))
                @if !path.found.is_empty() {
                    section aria-labelledby="so-far" {
                        h2 #so-far { "Found so far" }
                        ul.things {
                            @for (i, (test, outcome)) in path.found.iter().enumerate() {
                                @if let Some(test) = faults.test(test) {
                                    li {
                                        div { strong { (test.name) } p { (outcome_name(test, outcome)) } }
                                        a.button.quiet href=(path.taken_back(i)) aria-label=(format!("Take back: {}", test.name)) { "Take back" }
                                    }
                                }
                            }
                        }
                    }
                }
                p { a href="/water/fault" { "Another fault" } " · " a href="/water/leak" { "Reckon a leak" } }
            }
        }
        p.why { "Chances are trade judgement after the sources named; one cause at a time is assumed. Only the 24 V side is yours to open, power off first." }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let path = FoundPath::of("/water/fault", &["symptom", "zone"], &asked);
        let Some(symptom) = path.about("symptom") else {
            return Ok(view.page("Find the fault", Section::Water, "/water/fault", symptoms(&view, &path)));
        };
        let found: Vec<Finding> =
            path.found.iter().map(|(test, outcome)| Finding { test: test.clone(), outcome: outcome.clone() }).collect();
        let standing = standing(&view.almanac().faults, symptom, &found, &path.without)
            .map_err(|e| PageError::bad("Not understood", e.to_string()))?;
        Ok(view.page("Find the fault", Section::Water, "/water/fault", main(&view, &path, &standing)))
    })
    .await
}
