//! Weeds: what is worth doing now, when each comes, which one it is, and the control that fits.

pub(crate) mod one;
pub(crate) mod which;

use axum::extract::State;
use jiff::civil::Date;
use maud::{Markup, html};
use yard::fold::Yard;
use yard::watch::StageState;
use yard::weeds::{StageNow, WeedNow, WeedsNow, weeds_now};

use crate::draw;
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, prose, sentence, time};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;

/// Days ahead a stage is drawn.
const DRAWN_DAYS: i64 = 56;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let told = weeds_now(&view.scene());
        Ok(view.page("Weeds", Section::Now, "/weeds", main(&view, &told)))
    })
    .await
}

/// When a stage is.
fn when(s: &StageNow) -> Markup {
    html! {
        @match (s.state, s.began, s.begins) {
            (StageState::Past, Some(day), _) => { "over; began about " (time(day)) }
            (_, Some(day), _) => { strong { "now" } ", since about " (time(day)) }
            (_, None, Some(w)) if w.early == w.late => { "about " (time(w.likely)) }
            (_, None, Some(w)) => { "early " (time(w.early)) ", likely " strong { (time(w.likely)) } ", late " (time(w.late)) }
            _ => { "not within a year, in most years" }
        }
        @if s.by_calendar { " (by the calendar)" } @else if s.recalled { " (a recalled figure: a hint)" }
    }
}

/// The stages that are now or ahead; those coming by weather within weeks are drawn.
fn stages(on: Date, key: &str, list: &[StageNow]) -> Markup {
    html! {
        @for (i, s) in list.iter().enumerate().filter(|(_, s)| s.state != StageState::Past) {
            @let drawn = s.begins.filter(|w| w.early != w.late && Yard::days_between(on, w.early) <= DRAWN_DAYS);
            @let strip = drawn.map(|w| draw::season_strip(&format!("w-{key}-{i}"), on, &w, s.stage.words()));
            @match strip.filter(|m| !m.0.is_empty()) {
                // The drawing says the days itself.
                Some(strip) => { (strip) @if s.recalled { p.why { "By a recalled figure: a hint." } } }
                None => p { (sentence(s.stage.words())) ": " (when(s)) "." }
            }
        }
    }
}

fn page_of(view: &View, id: &str) -> String {
    view.link(&format!("/weeds/{id}"))
}

fn worth(view: &View, w: &WeedNow) -> Markup {
    html! {
        @if let Some(x) = &w.worth {
            li {
                div {
                    strong { (sentence(&w.name)) }
                    p { (prose(&x.words)) @if x.hint { " A hint: look first." } }
                    @if let Some(day) = w.seen_on { p.why { "Written down here on " (time(day)) "." } }
                }
                a.button.quiet href=(page_of(view, &w.id)) aria-label=(format!("What fits: {}", w.name)) { "What fits" }
            }
        }
    }
}

fn main(view: &View, told: &WeedsNow) -> Markup {
    // What was written down here, or told by a figure that was looked up; the rest is a hint.
    let sure = |w: &&WeedNow| w.seen_on.is_some() || w.worth.as_ref().is_some_and(|x| !x.hint);
    let acted = || told.weeds.iter().filter(|w| w.worth.is_some() && sure(w));
    let hints = || told.weeds.iter().filter(|w| w.worth.is_some() && !sure(w));
    let drawn = || told.weeds.iter().filter(sure);
    html! {
        div.head { h1 { "Weeds" } p.lead { "What is worth doing now, when each comes, and which one it is." } }
        div.actions { a.button href=(view.link("/weeds/which")) { "Which weed is it?" } }
        @if told.weeds.is_empty() { p { "No lawn or bed is written down yet." } }
        div.columns {
            section aria-labelledby="worth" {
                h2 #worth { "Worth acting on now" }
                @if acted().next().is_none() { p { "Nothing in particular." } }
                @else { ul.things { @for w in acted() { (worth(view, w)) } } }
                @if hints().next().is_some() {
                    details {
                        summary { "By the calendar or a recalled figure" }
                        ul.things { @for w in hints() { (worth(view, w)) } }
                    }
                }
                p.care { strong { "Care: " } "pull or cut first; before any product read its label, which is the law." }
            }
            section aria-labelledby="stages" {
                h2 #stages { "When they come" }
                @for w in drawn() {
                    section aria-labelledby=(format!("w-{}", w.id)) {
                        h3 id=(format!("w-{}", w.id)) { a href=(page_of(view, &w.id)) { (sentence(&w.name)) } }
                        (stages(view.on, &w.id, &w.stages))
                    }
                }
                details {
                    summary { "All others" }
                    ul.plain {
                        @for w in told.weeds.iter().filter(|w| !sure(w)) {
                            li {
                                a href=(page_of(view, &w.id)) { (sentence(&w.name)) } ", " (w.life.word())
                                @for s in w.stages.iter().filter(|s| s.state == StageState::Now) { "; " (s.stage.words()) " " (when(s)) }
                            }
                        }
                    }
                }
                p.why { "Days ahead: " (told.outlook) "." }
            }
        }
        @for note in &told.notes { p.why { (note) } }
        p { a href=(view.link("/watch")) { "Watch" } " · " a href=(view.link("/")) { "Back to now" } }
    }
}
