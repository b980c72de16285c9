//! The map editor's page: what the script starts from, and taking in what was drawn.

use almanac::Almanac;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, PreEscaped, html};
use serde::Serialize;
use serde_json::Value;
use yard::entry::AreaFacts;
use yard::form::form;
use yard::map::Mapped;
use yard::units::Quantity;
use yard::{Body, Fault, prepare_bodies};

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::layout::{self, Section, prose, sentence, token};
use crate::once::{self, Before, Once};
use crate::record::{RecordError, stamp};
use crate::server::{FORM_BYTES_MAX, off_thread};
use crate::state::Site;
use crate::view::{Pairs, View, date_of, value};

/// Most entries of one drawing.
pub(crate) const BODIES_MAX: usize = 2_000;

/// What the script starts from.
#[derive(Serialize)]
struct Data<'a> {
    on: String,
    today: String,
    units: UnitsShown,
    areas: Vec<AreaShown<'a>>,
    things: &'a [Mapped],
    zones: Vec<ZoneShown<'a>>,
    grasses: Vec<Named<'a>>,
    soils: Vec<Named<'a>>,
    /// Keys that stand for something already, kept or given up: a new thing takes none of them.
    taken: Taken<'a>,
    underlay: Option<UnderlayShown>,
    selected: Option<&'a str>,
    /// What was drawn and not saved.
    draft: Option<Value>,
    bytes_max: usize,
}

#[derive(Serialize)]
struct UnitsShown {
    length: &'static str,
    per_m: f64,
    area: &'static str,
    per_m2: f64,
    flow: &'static str,
    per_lpm: f64,
    depth: &'static str,
    per_mm: f64,
    rate: &'static str,
}

#[derive(Serialize)]
struct AreaShown<'a> {
    facts: &'a AreaFacts,
    pieces: &'a [reckon::outline::Outline],
    measured: &'a str,
}

#[derive(Serialize)]
struct ZoneShown<'a> {
    key: &'a str,
    name: &'a str,
    areas: &'a [String],
}

#[derive(Serialize)]
struct Named<'a> {
    key: &'a str,
    name: &'a str,
}

#[derive(Serialize)]
struct Taken<'a> {
    areas: Vec<&'a str>,
    things: Vec<&'a str>,
}

#[derive(Serialize)]
struct UnderlayShown {
    href: String,
    matrix: [f64; 6],
    size_px: [f64; 2],
}

impl<'a> Data<'a> {
    fn of(view: &'a View, selected: Option<&'a str>, draft: Option<Value>) -> Self {
        let units = view.units();
        let yard = &view.yard;
        let area = |facts: &'a AreaFacts| {
            let drawn = yard.outline(&facts.key);
            AreaShown {
                facts,
                pieces: drawn.map_or(&[], |o| &o.fact.pieces),
                measured: drawn.map_or("", |o| &o.fact.measured),
            }
        };
        let taken = |of: fn(&Body) -> Option<&str>| view.facts.entries.iter().filter_map(|e| of(&e.body)).collect();
        let underlay = |u: &yard::map::Underlay| UnderlayShown {
            href: format!("/map/picture/{}", u.picture),
            matrix: u.matrix(),
            size_px: u.size_px,
        };
        Self {
            on: view.on.min(view.today).to_string(),
            today: view.today.to_string(),
            units: UnitsShown {
                length: units.symbol(Quantity::Length),
                per_m: units.show(Quantity::Length, 1.0),
                area: units.symbol(Quantity::Area),
                per_m2: units.show(Quantity::Area, 1.0),
                flow: units.symbol(Quantity::Flow),
                per_lpm: units.show(Quantity::Flow, 1.0),
                depth: units.symbol(Quantity::Depth),
                per_mm: units.show(Quantity::Depth, 1.0),
                rate: units.symbol(Quantity::Rate),
            },
            areas: yard.areas.iter().map(area).collect(),
            things: &yard.things,
            zones: yard.zones.iter().map(|z| ZoneShown { key: &z.key, name: &z.name, areas: &z.areas }).collect(),
            grasses: view.almanac().grasses.iter().map(|g| Named { key: &g.id, name: &g.name }).collect(),
            soils: view.almanac().textures.iter().map(|t| Named { key: &t.id, name: &t.name }).collect(),
            taken: Taken {
                areas: taken(|b| match b {
                    Body::Area(a) => Some(&a.key),
                    _ => None,
                }),
                things: taken(|b| match b {
                    Body::Mapped(m) => Some(&m.key),
                    _ => None,
                }),
            },
            underlay: yard.underlay.as_ref().filter(|u| !u.removed).map(underlay),
            selected,
            draft,
            bytes_max: FORM_BYTES_MAX,
        }
    }

    /// As the page carries it: no tag can begin inside.
    fn script(&self) -> Result<Markup, PageError> {
        let json = serde_json::to_string(self).map_err(|_| PageError::broken())?.replace('<', "\\u003c");
        Ok(html! { script type="application/json" id="map-data" { (PreEscaped(json)) } })
    }
}

/// What the page says above the drawing, and the drawing it takes up again.
struct Sheet<'a> {
    told: Markup,
    /// The day in the date field, as it was typed.
    on: &'a str,
    selected: Option<&'a str>,
    draft: Option<Value>,
}

fn without_script(view: &View) -> Markup {
    html! {
        noscript {
            p.lead { "Drawing needs the page’s script, which this browser does not run." }
            p { "The same can be written down as a table of corners: a new "
                a href=(view.link("/log/area")) { "area" } ", or a " a href=(view.link("/log/mapped")) { "thing on the map" } "." }
            ul.things {
                @for area in &view.yard.areas {
                    @let size = view.units().say(Quantity::Area, area.size_m2);
                    li {
                        div { strong { (area.name) } p { (area.cover.word()) ", " (size) } }
                        a.button.quiet href=(view.link(&format!("/log/outline?area={}", area.key)))
                            aria-label=(format!("Corners of {}", area.name)) { "Corners" }
                    }
                }
            }
        }
    }
}

/// A button of the tool bar.
fn tool(id: &str, word: &str, pressed: Option<bool>) -> Markup {
    html! { button.quiet type="button" id=(id) aria-pressed=[pressed.map(|p| p.to_string())] { (word) } }
}

fn tick(id: &str, word: &str, on: bool) -> Markup {
    html! { label.box { input type="checkbox" id=(id) checked[on]; (word) } }
}

/// What the script fills and works on; hidden until it runs.
fn editor(view: &View, on: &str) -> Markup {
    html! {
        div #map-editor .map-editor hidden {
            div.map-sheet {
                svg #map-drawing .map-drawing tabindex="0" role="application" aria-label="Map of the yard"
                    aria-describedby="map-keys" {}
                div.map-zoom role="group" aria-label="Zoom" {
                    button.quiet type="button" id="zoom-in" aria-label="Zoom in" { "+" }
                    button.quiet type="button" id="zoom-out" aria-label="Zoom out" { "−" }
                    button.quiet type="button" id="zoom-fit" { "Fit" }
                }
            }
            div.map-bar {
                p.map-figures id="map-figures" {}
                p.map-said id="map-said" role="status" {}
                div.map-tools id="map-tools" role="group" aria-label="Tools" {
                    (tool("tool-move", "Move", Some(true)))
                    (tool("tool-tape", "Tape", Some(false)))
                    (tool("undo", "Undo", None))
                    (tool("redo", "Redo", None))
                    span #map-what .map-what {
                        label.hidden for="what" { "What to draw" }
                        select id="what" {}
                        (tool("tool-draw", "Draw", Some(false)))
                    }
                }
                div.map-tools id="map-drawing-tools" role="group" aria-label="Drawing" hidden {
                    span.map-length {
                        label for="side-length" { "Side" }
                        input type="text" inputmode="decimal" id="side-length" autocomplete="off";
                        span.unit id="side-unit" {}
                        (tool("side-set", "Set", None))
                    }
                    (tool("draw-back", "Back", None))
                    (tool("draw-cancel", "Cancel", None))
                    button type="button" id="draw-finish" { "Finish" }
                }
                div.map-ticks {
                    (tick("square", "Square", false))
                    (tick("snap", "Snap", true))
                    (tick("together", "Keep neighbours joined", true))
                    (tick("water", "Show water", false))
                }
            }
            // Sent elsewhere than the page's own address, like every form: a step back brings the page that was sent.
            form #map-form .map-save method="post" action=(view.link("/map/draw?save")) {
                (token(view))
                (once::field())
                input type="hidden" name="changes" id="map-changes" value="[]";
                div.field {
                    label for="f-on" { "It lies so since" }
                    input type="date" id="f-on" name="on" value=(on) max=(view.today) required;
                }
                div.actions { button id="map-save" { "Save" } span.unit id="map-unsaved" {} }
            }
            div.map-panel id="map-panel" {}
        }
    }
}

fn keys() -> Markup {
    html! {
        details.map-keys {
            summary { "How to draw, with a finger, mouse or keys" }
            ul #map-keys {
                li { "Choose what to draw, then touch corner after corner; touch the first one again, or Finish, to close the ring." }
                li { "Type a length while drawing and press Enter: the side gets exactly that length. Square, or Shift, holds it to 45°." }
                li { "Move: drag a corner. Touch the small dot on a side to add a corner there; drag that dot to bend the side." }
                li { "Drag empty ground to shift the map, pinch or turn the wheel to zoom; the keys are + − and 0." }
                li { "On the map with keys: [ and ] choose a corner, arrows move it (Shift: further), Insert adds one, Delete takes it out." }
                li { "Drawing with keys: arrows move the cross, Space sets a corner, Enter finishes, Backspace takes one back, Escape gives up." }
                li { "Ctrl+Z takes back, Ctrl+Shift+Z does it again." }
            }
        }
    }
}

fn sheet(view: &View, s: Sheet<'_>) -> Result<Markup, PageError> {
    let data = Data::of(view, s.selected, s.draft).script()?;
    let main = html! {
        div.head { h1 { "Draw the map" } }
        (s.told)
        (without_script(view))
        (editor(view, s.on))
        div #map-more .map-more hidden { (keys()) @if let Some(spec) = form("mapped") { p.care { (spec.caution) } } }
        (data)
    };
    let head = html! { (layout::map_style()) (layout::map_script()) };
    Ok(layout::page_with(view, "Draw the map", Section::Map, "/map/draw", head, main))
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let on = view.on.min(view.today).to_string();
        sheet(&view, Sheet { told: html! {}, on: &on, selected: value(&asked, "area"), draft: None })
    })
    .await
}

/// What was drawn, as entries' bodies.
fn bodies_of(changes: &str) -> Result<Vec<Body>, Fault> {
    let fault = |message: String| Fault { field: "changes".to_owned(), message };
    let bodies: Vec<Body> =
        serde_json::from_str(changes).map_err(|e| fault(format!("the drawing cannot be read: {e}")))?;
    if bodies.is_empty() {
        return Err(fault("nothing is drawn that is not saved already".to_owned()));
    }
    if bodies.len() > BODIES_MAX {
        return Err(fault(format!("{} changes at once; at most {BODIES_MAX} are taken", bodies.len())));
    }
    match bodies.iter().find(|b| !matches!(b, Body::Area(_) | Body::Outline(_) | Body::Mapped(_))) {
        Some(other) => Err(fault(format!("a drawing holds areas, outlines and things, not “{}”", other.kind()))),
        None => Ok(bodies),
    }
}

fn faults_told(faults: &[Fault]) -> Markup {
    html! {
        div.faults role="alert" id="map-faults" {
            p { strong { "Nothing was saved." } " The drawing is kept below; put this right and save again:" }
            ul { @for fault in faults { li { (prose(&sentence(&fault.message))) } } }
        }
    }
}

fn keep(site: &Site, asked: &Pairs, posted: &Posted, once: &mut Once) -> Result<Response, PageError> {
    let view = View::open(site, asked)?;
    let pairs = &posted.pairs;
    let changes = value(pairs, "changes").unwrap_or("[]");
    let typed_on = value(pairs, "on").unwrap_or_default();
    let again = |status: StatusCode, told: Markup| -> Result<Response, PageError> {
        let draft = serde_json::from_str(changes).ok().filter(Value::is_array);
        let sheet = sheet(&view, Sheet { told, on: typed_on, selected: None, draft })?;
        Ok((status, sheet).into_response())
    };
    if !posted.trusted {
        let told = html! {
            div.faults role="alert" {
                p { strong { "Nothing was saved." } " This page was opened before Toft was started anew, or comes from elsewhere. Look the drawing over and save it again." }
            }
        };
        return again(StatusCode::FORBIDDEN, told);
    }
    match once.before(pairs) {
        Before::Never => {}
        Before::Same(page) => return Ok(Redirect::to(&page).into_response()),
        Before::Other(page) => {
            let told = html! {
                div.notice role="alert" {
                    p {
                        strong { "Nothing was saved just now. " } "This drawing was saved before (" a href=(page) { "the map" }
                        "), and says something else now. Look it over and save it once more."
                    }
                }
            };
            return again(StatusCode::CONFLICT, told);
        }
    }
    let on = date_of(typed_on).map_err(|message| Fault { field: "on".to_owned(), message });
    let (on, bodies) = match (on, bodies_of(changes)) {
        (Ok(on), Ok(bodies)) => (on, bodies),
        (on, bodies) => {
            let faults: Vec<Fault> = on.err().into_iter().chain(bodies.err()).collect();
            return again(StatusCode::UNPROCESSABLE_ENTITY, faults_told(&faults));
        }
    };
    let stored =
        site.store(|facts, today| prepare_bodies(&facts.entries, Almanac::embedded(), bodies, on, || stamp(today)));
    match stored {
        Ok(entries) => {
            let page = format!("/map?saved={}", entries.len());
            once.used(pairs, &page);
            Ok(Redirect::to(&page).into_response())
        }
        Err(RecordError::Faults(faults)) => again(StatusCode::UNPROCESSABLE_ENTITY, faults_told(&faults)),
        // The ledger refused or failed: what was drawn stays on the page, to be sent again.
        Err(other) => {
            let message = other.to_string();
            let status = match PageError::from(other) {
                PageError::Told(status, _, _) => status,
                PageError::NoYard | PageError::Missing(_) => StatusCode::INTERNAL_SERVER_ERROR,
            };
            again(status, html! { div.faults role="alert" { p { strong { "Nothing was saved. " } (message) "." } } })
        }
    }
}

pub(crate) async fn save(State(site): State<Site>, Asked(asked): Asked, posted: Posted) -> Result<Response, PageError> {
    off_thread(move || {
        let mut once = site.once();
        keep(&site, &asked, &posted, &mut once)
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Only areas, outlines and things are taken, as many as the limit and none other, and nothing half-read.
    #[test]
    fn what_a_drawing_may_hold() {
        let well = r#"{"kind":"mapped/1","key":"well","name":"Well","thing":{"is":"well"},"at":[[1,2]]}"#;
        assert_eq!(bodies_of(&format!("[{well}]")).map(|b| b.len()), Ok(1));
        let many = |n: usize| format!("[{}]", vec![well; n].join(","));
        assert_eq!(bodies_of(&many(BODIES_MAX)).map(|b| b.len()), Ok(BODIES_MAX));
        for refused in [
            many(BODIES_MAX + 1),
            "[]".to_owned(),
            "{}".to_owned(),
            "[".to_owned(),
            r#"[{"kind":"withdrawn/1","why":""}]"#.to_owned(),
            format!("[{}]", well.replace("\"name\"", "\"nome\"")),
            format!("[{}]", well.replace("[1,2]", "[1]")),
        ] {
            assert!(bodies_of(&refused).is_err(), "{refused:.80}");
        }
    }
}
