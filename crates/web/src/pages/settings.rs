//! Settings: what the yard is, what stands on the shelf, the weather, and taking everything along.

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use yard::units::Quantity;
use yard::{Place, Units};

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::Section;
use crate::logbook_links::query;
use crate::pages::weather;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;
use yard::words;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        Ok(view.page("Settings", Section::Settings, "/settings", main(&view)))
    })
    .await
}

pub(crate) async fn export(State(site): State<Site>) -> Result<Response, PageError> {
    off_thread(move || {
        let bytes = site.export()?;
        let name = format!("attachment; filename=\"toft-{}.jsonl\"", site.today());
        let headers = [(header::CONTENT_TYPE, "application/x-ndjson".to_owned()), (header::CONTENT_DISPOSITION, name)];
        Ok((headers, bytes).into_response())
    })
    .await
}

/// "40.47° N, 101.68° W".
fn place_words(place: Place) -> String {
    let half = |degrees: f64, words: [&'static str; 2]| if degrees < 0.0 { words[1] } else { words[0] };
    let (lat, lon) = (place.latitude_deg, place.longitude_deg);
    format!("{}° {}, {}° {}", lat.abs(), half(lat, ["N", "S"]), lon.abs(), half(lon, ["E", "W"]))
}

/// A list of things, each with its line and its edit link, and a way to add one.
fn things(id: &str, heading: &str, rows: &[(String, Markup, String)], add: (&str, &str)) -> Markup {
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (heading) }
            @if !rows.is_empty() {
                ul.things {
                    @for (name, line, edit) in rows {
                        li { div { strong { (name) } p { (line) } } a.button.quiet href=(edit) aria-label=(format!("Edit {name}")) { "Edit" } }
                    }
                }
            }
            p { a.button.quiet href=(add.0) { (add.1) } }
        }
    }
}

fn yard_section(view: &View, units: Units) -> Markup {
    html! {
        @if let Some(facts) = &view.yard.facts {
            section aria-labelledby="yard" {
                h2 #yard { "The yard" }
                ul.things {
                    li {
                        div {
                            strong { (facts.name) }
                            p {
                                (place_words(facts.place)) ", "
                                (units.say(Quantity::Length, facts.place.elevation_m)) " above sea; "
                                @match units { Units::UsCustomary => "inches, pounds, gallons, °F", Units::Metric => "millimetres, kilograms, litres, °C" }
                                "; time of " (facts.time_zone.as_deref().unwrap_or("this computer"))
                            }
                        }
                        a.button.quiet href="/log/yard" aria-label="Edit the yard" { "Edit" }
                    }
                }
            }
        }
    }
}

fn main(view: &View) -> Markup {
    let units = view.units();
    let yard = &view.yard;
    let edit = |kind: &str, key: &str| format!("/log/{kind}{}", query([("key", key)]));
    let areas: Vec<_> = yard
        .areas
        .iter()
        .map(|a| {
            let line = html! { a href=(format!("/area/{}", a.key)) { (units.say(Quantity::Area, a.size_m2)) " of " (a.cover.word()) } };
            (a.name.clone(), line, edit("area", &a.key))
        })
        .collect();
    let zones: Vec<_> = yard
        .zones
        .iter()
        .map(|z| {
            let kind = view.almanac().sprinkler(&z.sprinkler).map_or(z.sprinkler.as_str(), |s| &s.name);
            let rate = z.rate_mm_h.map(|r| format!(", {} measured", units.say(Quantity::Rate, r))).unwrap_or_default();
            (z.name.clone(), html! { (yard.area_names(&z.areas)) "; " (kind) (rate) }, edit("zone", &z.key))
        })
        .collect();
    let products: Vec<_> = yard
        .products
        .iter()
        .map(|p| {
            let actives: Vec<String> = p.actives.iter().map(|s| format!("{} {} %", s.active, s.pct)).collect();
            let analysis =
                (p.n_pct + p.p2o5_pct + p.k2o_pct > 0.0).then(|| format!("{}-{}-{}", p.n_pct, p.p2o5_pct, p.k2o_pct));
            let line: Vec<String> = analysis.into_iter().chain(actives).collect();
            (p.name.clone(), html! { a href=(format!("/shed/{}", p.key)) { (if line.is_empty() { "look at it".to_owned() } else { line.join("; ") }) } }, edit("product", &p.key))
        })
        .collect();
    let programmes: Vec<_> = yard
        .zones
        .iter()
        .map(|z| {
            let set = yard.programmes.iter().rev().find(|p| p.fact.zone == z.key);
            let line = match set {
                Some(p) if p.fact.minutes > 0.0 => {
                    format!("{} min, {}", p.fact.minutes, words::weekdays(&p.fact.weekdays))
                }
                Some(_) => "off".to_owned(),
                None => "not told: nothing runs by itself".to_owned(),
            };
            (z.name.clone(), html! { (line) }, format!("/log/programme{}", query([("zone", z.key.as_str())])))
        })
        .collect();
    let rules: Vec<_> = yard
        .water_rules
        .iter()
        .map(|r| {
            let line =
                format!("{} to {}, {}", words::clock(r.from), words::clock(r.until), words::weekdays(&r.weekdays));
            ("Watering hours".to_owned(), html! { (line) }, "/log/water-rules".to_owned())
        })
        .collect();
    html! {
        div.head { h1 { "Settings" } }
        div.columns {
            div {
                (yard_section(view, units))
                (things("areas", "Areas", &areas, ("/log/area", "Add an area")))
                (things("zones", "Sprinkler zones", &zones, ("/log/zone", "Add a zone")))
                (things("rules", "Watering hours and rules", &rules, ("/log/water-rules", if rules.is_empty() { "Tell the hours" } else { "New rules" })))
                @if !yard.zones.is_empty() {
                    (things("programmes", "What the controller runs", &programmes, ("/log/programme", "Controller set")))
                }
            }
            div {
                (things("products", "Products on the shelf", &products, ("/log/product", "Add a product")))
                p { a href="/shed" { "The shed: what is left, amounts, tools" } " · " a href="/costs" { "Costs" } }
                (weather::section(view, None))
                section aria-labelledby="safety" {
                    h2 #safety { "Safety" }
                    p { a href="/safety" { "Products, electricity, digging, slopes, winter blow-out, pool chemicals" } }
                }
                section aria-labelledby="export" {
                    h2 #export { "Take it along" }
                    p { "Every entry, one line each (JSON Lines); it reads back to the same ledger." }
                    p { a.button href="/settings/export" download { "Download the entries" } }
                }
            }
        }
    }
}
