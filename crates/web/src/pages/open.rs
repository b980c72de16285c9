//! Opening the sprinklers in spring: from when, the slow fill, every zone head by head; what is found waits to be mended.

use axum::extract::State;
use maud::{Markup, html};
use yard::entry::Trouble;
use yard::sprinkler_year::backflow::{BackflowState, CARE, SOURCE, backflow};
use yard::sprinkler_year::mending::{Waiting, repair_fields};
use yard::sprinkler_year::opening::{Opening, ZoneLook, look, opening};
use yard::units::Quantity;

use crate::error::PageError;
use crate::extract::Asked;
use crate::frost::{chances, points};
use crate::layout::{Section, number, prose, sentence, time};
use crate::logbook_links::{FULFILS, query};
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::steps::steps;
use crate::view::View;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let opening = opening(&view.scene());
        Ok(view.page("Open the sprinklers", Section::Water, "/water/open", main(&view, &opening)))
    })
    .await
}

fn lead(view: &View, o: &Opening) -> Markup {
    html! {
        @match (o.done_on, o.from, &o.hard_freeze) {
            (Some(on), _, _) => p.lead { "Opened on " (time(on)) "." },
            (None, Some(from), Some(odds)) => p.lead {
                "Sensible from " strong { (time(from)) } " on: from then a hard freeze (" (view.units().say(Quantity::Temperature, odds.threshold_c))
                ") followed in no more than one year of ten."
            },
            _ => p.lead { "From when cannot be told without weather." },
        }
        @if let Some(g) = o.ground.as_ref().filter(|_| o.done_on.is_none()) {
            p {
                "The ground at the pipes is reckoned at " (view.units().say(Quantity::Temperature, g.c)) ": "
                @if g.thawed { "thawed; a spade tells." } @else { strong { "frost may still be in it" } "; wait, or try with a spade." }
            }
        }
    }
}

/// What waits to be mended, each with the way to its repair.
fn waiting(view: &View, list: &[Waiting]) -> Markup {
    html! {
        @if !list.is_empty() {
            ul.things {
                @for w in list {
                    @let fields: Vec<(&str, String)> = repair_fields(w).into_iter().chain([(FULFILS, w.id.clone())]).collect();
                    @let pairs = fields.iter().filter(|(_, v)| !v.is_empty()).map(|(k, v)| (*k, v.as_str()));
                    li {
                        div {
                            strong { (w.at) ": " (w.trouble.words()) }
                            p { (sentence(w.mend)) ". By " (time(w.by)) "." @if !w.remark.is_empty() { " " (prose(&w.remark)) } " " a href=(view.link(&format!("/entry/{}", w.id))) { "Found " (time(w.found_on)) } }
                        }
                        a.button.quiet href=(view.link(&format!("/log/repaired{}", query(pairs)))) aria-label=(format!("Mended: {}", w.at)) { "Mended" }
                    }
                }
            }
        }
    }
}

/// What is found at a head, in two choices.
fn found(view: &View, z: &ZoneLook) -> Markup {
    let id = |name: &str| format!("{name}-{}", z.zone);
    html! {
        form.filter action="/log/to-mend" method="get" {
            @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
            input type="hidden" name="zone" value=(z.zone);
            div.field {
                label for=(id("at")) { "Found at" }
                @if z.heads.is_empty() { input id=(id("at")) type="text" name="at" autocomplete="off"; }
                @else {
                    select id=(id("at")) name="at" {
                        @for h in &z.heads { option value=(h) { (h) } }
                        option value="Valve" { "the valve" }
                        option value="Line" { "the line between" }
                    }
                }
            }
            div.field {
                label for=(id("trouble")) { "It" }
                select id=(id("trouble")) name="trouble" { @for t in Trouble::ALL { option value=(t.key()) { (t.words()) } } }
            }
            button { "Write it down" }
        }
    }
}

fn zone(view: &View, z: &ZoneLook) -> Markup {
    html! {
        article.item id=(format!("zone-{}", z.zone)) {
            h3 { (z.name) }
            ul { @for line in look(&view.scene(), z) { li { (line) } } }
            @if !z.heads.is_empty() {
                details { summary { (z.heads.len()) " heads on the map, to tick off" }
                    ul.plain { @for (i, h) in z.heads.iter().enumerate() {
                        @let id = format!("seen-{}-{i}", z.zone);
                        li { label for=(id) { input type="checkbox" id=(id); " " (h) } }
                    } }
                }
            }
            (waiting(view, &z.waiting))
            (found(view, z))
        }
    }
}

/// Where the backflow test stands.
pub(crate) fn tested(view: &View, test: &BackflowState) -> Markup {
    html! {
        section aria-labelledby="backflow" {
            h2 #backflow { "Backflow test" }
            @match (test.last_on, test.due) {
                (Some(on), Some(_)) if test.failed => p.care { strong { "Failed on " (time(on)) ": " } "the " (test.assembly.words()) " is to be mended and tested again at once." },
                (Some(on), Some(due)) => p { "The " (test.assembly.words()) " was tested on " (time(on)) "; next by " strong { (time(due)) } @if due < view.on { ", which is past" } "." },
                _ => p { "No test is written down." },
            }
            p.why { (CARE) }
            div.actions { a.button.quiet href=(view.link("/log/backflow-tested")) { "Log a test" } (parts::working(&test.working, &[], view.units())) }
            p.source { "Source: " (SOURCE) }
        }
    }
}

fn frost(view: &View, o: &Opening) -> Markup {
    html! {
        @if let Some(hard) = &o.hard_freeze {
            section aria-labelledby="frost" {
                h2 #frost { "When the frosts end" }
                (points(view, "Last hard freeze: pipes, valves, heads", hard))
                @if let Some(freeze) = &o.freeze { (points(view, "Last freeze: until then drain what stands above ground before such a night", freeze)) }
                (chances("The chance that it still freezes hard", "On or after", hard))
                p.why { "Counted from " (hard.basis) ", for " (time(hard.from)) " to " (time(hard.to)) "." }
                (parts::working(&hard.working, &[], view.units()))
                @if let Some(g) = &o.ground { (parts::working(&g.working, &[], view.units())) }
            }
        }
    }
}

fn main(view: &View, o: &Opening) -> Markup {
    let log = format!("/log/sprinklers{}", query([("state", "opened")]));
    let (before, last) = o.steps.split_at(o.steps.len().saturating_sub(1));
    html! {
        div.head { h1 { "Open the sprinklers" } (lead(view, o)) }
        div.columns {
            div {
                @for s in before { (steps(s)) }
                p.why {
                    "Slow fill: " (number(o.fill.minutes, 0)) " minutes or more"
                    @if let Some(l) = o.fill.length_m { ", for " (view.units().say(Quantity::Length, l)) " of main" } "."
                }
                (parts::working(&o.fill.working, &[], view.units()))
                section.group aria-labelledby="zones" {
                    h2 #zones { "Zone by zone" }
                    @if o.zones.is_empty() { p { "The yard has no zones. " a href="/log/zone" { "Add a zone" } "." } }
                    @for z in &o.zones { (zone(view, z)) }
                    @if !o.waiting.is_empty() { h3 { "Elsewhere" } (waiting(view, &o.waiting)) }
                }
                @for s in last { (steps(s)) }
                @if o.done_on.is_none() { div.actions { a.button href=(view.link(&log)) { "It is open" } } }
            }
            div { (frost(view, o)) (tested(view, &backflow(&view.scene()))) }
        }
        p {
            a href=(view.link("/water/close")) { "Shut them in autumn" } " · " a href=(view.link("/water/leak")) { "Reckon a leak" } " · "
            a href=(view.link("/water/fault")) { "Find a fault" } " · " a href=(view.link("/water/pressure")) { "Pressure" } " · " a href=(view.link("/water")) { "Back to water" }
        }
    }
}
