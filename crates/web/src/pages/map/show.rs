//! The map as it stood on a day: drawing, sizes, what to look at again, what changed.

use axum::extract::State;
use jiff::ToSpan;
use jiff::civil::Date;
use maud::{Markup, html};
use yard::entry::Cover;
use yard::map::Thing;
use yard::survey::{AreaChange, between, faults, zone_coverage, zone_heads};
use yard::units::Quantity;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, map_style, number, page_with, sentence, time};
use crate::pages::map::{runs, underlay};
use crate::plan;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, date_of, value};

/// Faults told on the page; a drawing with more has one cause.
const FAULTS_SHOWN: usize = 12;

fn faults_list(view: &View) -> Markup {
    let found = faults(&view.yard);
    html! {
        @if !found.is_empty() {
            section aria-labelledby="again" {
                h2 #again { "Look at again" }
                ul.plain {
                    @for fault in found.iter().take(FAULTS_SHOWN) { li { (sentence(&fault.words)) @if !fault.words.ends_with('?') { "." } } }
                }
                @if found.len() > FAULTS_SHOWN { p { "And " (found.len() - FAULTS_SHOWN) " more." } }
            }
        }
    }
}

fn areas_table(view: &View) -> Markup {
    let units = view.units();
    let edge = |key: &str| {
        let pieces = view.yard.pieces(key);
        let metres: f64 = pieces.iter().filter_map(|p| p.size().ok()).map(|s| (s.edge + s.holes_edge).get()).sum();
        (metres > 0.0).then(|| units.say(Quantity::Length, metres))
    };
    let total = |cover: Cover| -> f64 { view.yard.areas.iter().filter(|a| a.cover == cover).map(|a| a.size_m2).sum() };
    html! {
        section aria-labelledby="sizes" {
            h2 #sizes { "Areas" }
            div.wide {
                table {
                    caption.hidden { "Areas with size and edge" }
                    thead { tr { th scope="col" { "Area" } th.num scope="col" { "Size" } th.num scope="col" { "Edge" } th scope="col" { "From" } } }
                    tbody {
                        @for a in &view.yard.areas {
                            tr {
                                th scope="row" { a href=(view.link(&format!("/area/{}", a.key))) { (a.name) } }
                                td.num { (units.say(Quantity::Area, a.size_m2)) }
                                td.num { @match edge(&a.key) { Some(e) => (e), None => "–" } }
                                td {
                                    @match view.yard.outline(&a.key) {
                                        Some(o) => { "drawn " (time(o.on)) }
                                        None => { "a plain size; " a href=(format!("/map/draw?area={}", a.key)) { "draw it" } }
                                    }
                                }
                            }
                        }
                    }
                    tfoot {
                        @for (cover, word) in [(Cover::Turf, "All lawn"), (Cover::Bed, "All beds"), (Cover::Hedge, "All hedge"), (Cover::Hard, "All hard surface")] {
                            @if total(cover) > 0.0 { tr { th scope="row" { (word) } td.num { (units.say(Quantity::Area, total(cover))) } td {} td {} } }
                        }
                    }
                }
            }
        }
    }
}

fn zones(view: &View) -> Markup {
    let units = view.units();
    html! {
        @if !view.yard.zones.is_empty() {
            section aria-labelledby="zones" {
                h2 #zones { "Zones" }
                ul.plain {
                    @for zone in &view.yard.zones {
                        li {
                            a href=(view.link(&format!("/map/zone/{}", zone.key))) { (zone.name) }
                            @match (zone_heads(&view.yard, &zone.key).len(), zone_coverage(&view.yard, &zone.key)) {
                                (0, _) => ": no heads on the map",
                                (n, Some(c)) => {
                                    ": " (n) " heads, " (units.say(Quantity::Rate, c.mean.get())) ", evenness "
                                    (number(c.du_lq.get() * 100.0, 0)) " %"
                                }
                                (n, None) => { ": " (n) " heads; its ground is not drawn" }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn things(view: &View) -> Markup {
    html! {
        @if !view.yard.things.is_empty() {
            section aria-labelledby="things" {
                h2 #things { "On the map" }
                details {
                    summary { (view.yard.things.len()) " things" }
                    ul.plain {
                        @for t in &view.yard.things {
                            li { a href=(format!("/log/mapped?key={}", t.key)) { (t.name) } " (" (t.thing.word()) ")" }
                        }
                    }
                }
                @if view.yard.things.iter().any(|t| matches!(t.thing, Thing::BuriedLine { .. } | Thing::Pipe { .. })) {
                    p.care {
                        "Buried lines are only where somebody drew them. Before any digging have them marked: in the United States call or click 811 "
                        "at least two working days before. Private lines, sprinkler pipes among them, are not marked by that service."
                    }
                }
            }
        }
    }
}

fn change_row(view: &View, c: &AreaChange) -> Markup {
    let units = view.units();
    let say = |m2: Option<f64>| m2.map_or_else(|| "–".to_owned(), |v| units.say(Quantity::Area, v));
    html! {
        tr {
            th scope="row" { (c.name) }
            td.num { (say(c.before_m2)) }
            td.num { (say(c.after_m2)) }
            td.num { (say(c.gained_m2)) }
            td.num { (say(c.lost_m2)) }
        }
    }
}

fn then_and_now(view: &View, asked: &Pairs) -> Result<Markup, PageError> {
    let read = |name: &str, usual: Date| match value(asked, name) {
        None => Ok(usual),
        Some(raw) => date_of(raw).map_err(|m| PageError::bad("No such day", m)),
    };
    let year_ago = view.on.checked_sub(1.year()).unwrap_or(view.on);
    let (from, to) = (read("from", year_ago)?, read("to", view.on)?);
    let rows = if value(asked, "from").is_some() { between(&view.facts.entries, from, to) } else { Vec::new() };
    Ok(html! {
        section aria-labelledby="then" {
            h2 #then { "Then and now" }
            form.inline method="get" action="/map" {
                label { "From " input type="date" name="from" value=(from); }
                label { " to " input type="date" name="to" value=(to); }
                button.quiet { "Compare" }
            }
            @if !rows.is_empty() {
                div.wide {
                    table {
                        caption { "Ground between " (time(from)) " and " (time(to)) }
                        thead { tr { th scope="col" { "Area" } th.num scope="col" { "Then" } th.num scope="col" { "Now" } th.num scope="col" { "Gained" } th.num scope="col" { "Lost" } } }
                        tbody { @for c in &rows { (change_row(view, c)) } }
                    }
                }
            }
        }
    })
}

fn saved(asked: &Pairs) -> Markup {
    let count = value(asked, "saved").and_then(|n| n.parse::<usize>().ok());
    html! {
        @match count {
            Some(0) => p.told role="status" { "Nothing was changed." },
            Some(1) => p.told role="status" { "Saved: one change. " a href="/daybook" { "It stands in the daybook" } "." },
            Some(n) => p.told role="status" { "Saved: " (n) " changes. " a href="/daybook" { "They stand in the daybook" } "." },
            None => {}
        }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let drawing = plan::Drawing::of(&view.yard, &plan::Options { on: (view.on != view.today).then_some(view.on), ..plan::Options::default() });
        let moles = yard::watch::mole_runs(&view.scene());
        let compared = then_and_now(&view, &asked)?;
        let main = html! {
            div.head {
                h1 { "The ground" }
                (saved(&asked))
                div.actions {
                    a.button href="/map/draw" { "Draw" }
                    @if drawing.is_some() {
                        a.button.quiet href=(view.link("/map/sheet")) { "Print" }
                        a.button.quiet href=(view.link("/map/sun")) { "Sun" }
                    }
                    a.button.quiet href="/map/tape" { "Tape" }
                    a.button.quiet href="/map/files" { "Files" }
                    a.button.quiet href="/map/underlay" { "Picture under it" }
                }
            }
            @match drawing {
                Some(drawing) => {
                    (drawing.svg("map", html! { (underlay::under(&view)) (runs::layer(&moles, 11.0 * drawing.unit)) }))
                }
                None => p.lead {
                    "Nothing is drawn yet. Draw the yard on a sheet, measure it with a tape, or read a map file: every amount and minute then rests on it. "
                    "Plain sizes go on counting until then."
                },
            }
            div.columns {
                div { (areas_table(&view)) (faults_list(&view)) @if !moles.is_empty() { (runs::table(&view, &moles)) } }
                div { (zones(&view)) (compared) (things(&view)) }
            }
        };
        Ok(page_with(&view, "Map", Section::Map, "/map", map_style(), main))
    })
    .await
}
