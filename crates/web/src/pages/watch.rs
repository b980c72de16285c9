//! Watch: what the weather favours, which insects come when, what to look for this week.

use axum::extract::State;
use maud::{Markup, html};
use yard::watch::{DiseaseWatch, InsectWatch, LAW, Look, Pressure, SCOPE, StageState, Watch, watch};

use crate::draw;
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, number, prose, sentence, time};
use crate::logbook_links::query;
use crate::pages::map::runs;
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;
use yard::advice::Where;
use yard::weather::day_number;

/// Days of the strips: what is likely later folds away.
const SOON_DAYS: i64 = 56;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let told = watch(&view.scene());
        Ok(view.page("Watch", Section::Now, "/watch", main(&view, &told)))
    })
    .await
}

fn areas(view: &View, places: &[Where]) -> Markup {
    html! {
        @for (i, p) in places.iter().enumerate() {
            @if i > 0 { ", " }
            a href=(view.link(&format!("/area/{}", p.key))) { (p.name) }
        }
    }
}

fn look(view: &View, look: &Look) -> Markup {
    let area = look.places.first().map_or("", |p| p.key.as_str());
    html! {
        li {
            div {
                strong { (sentence(&look.title)) }
                p { (prose(&look.how)) }
                p { "Where: " (areas(view, &look.places)) "; first " (look.look_at) "." }
                p.why { (prose(&look.why)) }
            }
            a.button.quiet href=(format!("/log/{}{}", look.log, query(vec![("area", area)]))) aria-label=(format!("Log it: {}", look.title)) { "Log it" }
        }
    }
}

fn disease(view: &View, d: &DiseaseWatch) -> Markup {
    html! {
        section aria-labelledby=(format!("d-{}", d.id)) {
            h3 id=(format!("d-{}", d.id)) { (sentence(&d.name)) ": " (d.pressure.word()) }
            (draw::pressure_strip(d))
            p {
                (d.over_7) " of the last 7 days over the line."
                @if let Some(share) = d.ahead {
                    " In " (number(share * 100.0, 0)) "\u{a0}% of past years the fortnight ahead had three such days or more."
                }
            }
            p { "Could take: " (areas(view, &d.places)) "." }
            @if d.pressure == Pressure::Low { p.why { "If you look all the same: " (d.look) } }
            (draw::pressure_table(d))
            (parts::working(&d.working, &d.assumed, view.units()))
            p.source { "Source: " (d.source) }
        }
    }
}

fn when(i: &InsectWatch) -> Markup {
    html! {
        @match (i.state, i.began, i.begins) {
            (StageState::Past, Some(day), _) => { "over; began about " (time(day)) }
            (_, Some(day), _) => { strong { "now" } ", since about " (time(day)) }
            (_, None, Some(w)) => { "early " (time(w.early)) ", likely " strong { (time(w.likely)) } ", late " (time(w.late)) }
            _ => { "not within a year, in most years" }
        }
    }
}

fn insect(view: &View, i: &InsectWatch) -> Markup {
    html! {
        section aria-labelledby=(format!("i-{}", i.id)) {
            h3 id=(format!("i-{}", i.id)) { (sentence(&i.name)) ": " (i.stage) }
            @if let (StageState::Ahead, Some(w)) = (i.state, i.begins) {
                (draw::season_strip(&format!("s-{}", i.id), view.on, &w, &i.stage))
            }
            p { (when(i)) "." @if i.recalled { " By a recalled figure: take the date as a hint." } }
            details.working {
                summary { "Where, and working" span.hidden { " of " (i.name) ", " (i.stage) } }
                p { (areas(view, &i.places)) "; look at " (i.look_at) ". " (i.look) }
                (parts::working(&i.working, &[], view.units()))
                p.source { "Source: " (i.source) }
            }
        }
    }
}

/// Whether a stage is here, or likely within the weeks a strip shows.
fn is_soon(view: &View, i: &InsectWatch) -> bool {
    i.state == StageState::Now || i.begins.is_some_and(|w| day_number(w.likely) - day_number(view.on) <= SOON_DAYS)
}

fn main(view: &View, told: &Watch) -> Markup {
    html! {
        div.head {
            h1 { "Watch" }
            p { "What the weather favours, and what to look for." }
            div.actions {
                a.button.quiet href=(view.link("/patch")) { "A bad patch" }
                a.button.quiet href="/log/scouted" { "Write down a look" }
                a.button.quiet href="/log/mole-run" { "Write down a mole run or trap" }
            }
        }
        section aria-labelledby="this-week" {
            h2 #this-week { "To look for this week" }
            @if told.scout.is_empty() { p { "Nothing in particular." } }
            @else { ul.things { @for l in &told.scout { (look(view, l)) } } }
            p.care { strong { "Care: " } "what favours a disease is not the disease. Treat nothing before its cause is found; a product’s own label and local law govern." }
        }
        div.columns {
            section aria-labelledby="diseases" {
                h2 #diseases { "Diseases of your grasses" }
                @if told.diseases.is_empty() { p { "No lawn, or none whose grass a modelled disease takes." } }
                @for d in told.diseases.iter().filter(|d| d.pressure > Pressure::Low) { (disease(view, d)) }
                @let low: Vec<_> = told.diseases.iter().filter(|d| d.pressure == Pressure::Low).collect();
                @if !low.is_empty() {
                    details.low {
                        summary { "Low now: " (low.iter().map(|d| d.name.as_str()).collect::<Vec<_>>().join(", ")) }
                        @for d in low { (disease(view, d)) }
                    }
                }
                @if !told.diseases.is_empty() { p.why { (SCOPE) } }
            }
            section aria-labelledby="insects" {
                h2 #insects { "Stages by degree days, soil and season" }
                @if told.insects.is_empty() { p { "Nothing of what is written down is a host of a listed insect." } }
                @let (soon, later): (Vec<_>, Vec<_>) = told.insects.iter().filter(|i| i.state != StageState::Past).partition(|i| is_soon(view, i));
                @for i in soon { (insect(view, i)) }
                @if !later.is_empty() {
                    details {
                        summary { "Later: " (later.len()) " more, from eight weeks ahead on" }
                        @for i in later { (insect(view, i)) }
                    }
                }
                @if told.insects.iter().any(|i| i.state == StageState::Past) {
                    details {
                        summary { "Over for this season" }
                        @for i in told.insects.iter().filter(|i| i.state == StageState::Past) { (insect(view, i)) }
                    }
                }
                p.why { "Days ahead: " (told.outlook) "." }
            }
        }
        div {
            @if told.runs.is_empty() {
                h2 { "Moles, voles, gophers" }
                p.law { strong { "The law first. " } (LAW) }
            } @else {
                (runs::table(view, &told.runs))
                p { a.button.quiet href=(view.link("/map")) { "On the map" } }
            }
            (runs::who_digs())
        }
        @for note in &told.notes { p.why { (note) } }
        p { a href=(view.link("/weeds")) { "Weeds" } " · " a href=(view.link("/")) { "Back to now" } }
    }
}
