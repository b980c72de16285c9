//! One weed: its marks, its stages, and the control that fits it on an area.

use axum::extract::{Path, State};
use maud::{Markup, html};
use yard::advice::{LogAs, Scene};
use yard::entry::AreaFacts;
use yard::weeds::{Control, Fit, Way, WeedNow, areas_of, control, seen_on, weed_now};

use almanac::Weed;

use super::{stages, when};
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, prose, sentence, time};
use crate::logbook_links::query;
use crate::parts;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{View, value};

fn log_link(view: &View, log: &LogAs) -> Markup {
    let pairs = log.fields.iter().map(|(n, v)| (n.as_str(), v.as_str()));
    html! { a.button.quiet href=(view.link(&format!("/log/{}{}", log.kind, query(pairs)))) { (log.words) } }
}

fn fit(way: &Way) -> Markup {
    html! {
        @match (way.fit, way.from) {
            (Fit::Now, None) => { "fits now" }
            (Fit::Now | Fit::Later, Some(day)) => { "from " (time(day)) }
            (Fit::Later, None) => { "later" }
            (Fit::Unfit, _) => { "not here now" }
        }
    }
}

fn way(view: &View, at: usize, way: &Way) -> Markup {
    let id = format!("way-{at}");
    html! {
        section aria-labelledby=(id) {
            h3 id=(id) { (way.title) ": " (fit(way)) }
            @if !way.caution.is_empty() && way.fit != Fit::Unfit { p.care { strong { "Care: " } (way.caution) } }
            @for w in &way.words { p { (prose(w)) } }
            @if !way.amounts.is_empty() { ul.amounts { @for a in &way.amounts { li { (prose(a)) } } } }
            (parts::findings(&way.findings))
            @if !way.log.is_empty() { div.actions { @for log in &way.log { (log_link(view, log)) } } }
            (parts::working(&way.working, &[], view.units()))
            p.source { "Source: " (way.source) @if way.recalled { " (recalled: let the label say whether it names this weed)" } }
        }
    }
}

fn ways(view: &View, weed: &Weed, told: &Control, areas: &[&AreaFacts], share: &str) -> Markup {
    html! {
        section aria-labelledby="fits" {
            h2 #fits { "What fits on " (told.area.name) }
            form action=(format!("/weeds/{}", weed.id)) method="get" {
                @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
                @if areas.len() > 1 {
                    div.field {
                        label for="weed-area" { "Where" }
                        select #weed-area name="area" {
                            @for a in areas { option value=(a.key) selected[a.key == told.area.key] { (a.name) } }
                        }
                    }
                } @else { input type="hidden" name="area" value=(told.area.key); }
                div.field {
                    label for="weed-share" { "Share of it with the weed (%)" }
                    input #weed-share name="share" inputmode="decimal" value=(share);
                }
                button { "Show" }
            }
            @if let Some(day) = told.seen_on { p.why { "Written down here on " (time(day)) "." } }
            aside.care-box aria-label="Care" { @for n in &told.notes { p { (prose(n)) } } }
            div.actions { (log_link(view, &told.log)) }
            @for (i, w) in told.ways.iter().enumerate() { (way(view, i, w)) }
        }
    }
}

fn main(view: &View, weed: &Weed, row: &WeedNow, control: Markup) -> Markup {
    let sources: Vec<&str> = view.almanac().weeds.sources_of(weed).map(|s| s.words.as_str()).collect();
    html! {
        div.head {
            h1 { (sentence(&weed.name)) }
            p.lead { i { (weed.latin) } ", " (weed.life.word()) ", " (weed.form.word()) }
        }
        div.columns {
            div {
                p { (weed.marks) }
                p { strong { "It tells of: " } (weed.tells) }
                p { strong { "Best time: " } (weed.best) }
                @if let Some(x) = &row.worth { p.told { strong { "Now: " } (prose(&x.words)) @if x.hint { " A hint: look first." } } }
                section aria-labelledby="stages" {
                    h2 #stages { "Its year" }
                    (stages(view.on, &weed.id, &row.stages))
                    details.working {
                        summary { "Working and sources" }
                        @for s in &row.stages {
                            p { (sentence(s.stage.words())) ": " (when(s)) "." }
                            (parts::working(&s.working, &[], view.units()))
                            p.source { "Source: " (s.source) }
                        }
                    }
                }
                p.source { "Source: " (sources.join("; ")) }
                p { a href=(view.link("/weeds/which")) { "Which weed is it?" } " · " a href=(view.link("/weeds")) { "All weeds" } }
            }
            div { (control) }
        }
    }
}

pub(crate) async fn show(
    State(site): State<Site>,
    Path(id): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let almanac = view.almanac();
        let weed = almanac
            .weeds
            .weed(&id)
            .ok_or_else(|| PageError::bad("No such weed", format!("There is no weed {id} in the table.")))?;
        let known = view.weather.known_before(view.on, almanac);
        let scene = Scene { yard: &view.yard, weather: &known, almanac, on: view.on };
        let outlook = known.outlook(scene.yesterday(), 366);
        let row = weed_now(&scene, &outlook, weed);
        let areas = areas_of(&scene, weed);
        let first = areas.iter().find(|a| seen_on(&scene, weed, Some(&a.key)).is_some()).or(areas.first()).copied();
        let area = match value(&asked, "area") {
            Some(key) => Some(
                view.yard
                    .area(key)
                    .ok_or_else(|| PageError::bad("No such area", format!("There is no area {key}.")))?,
            ),
            None => first,
        };
        let raw = value(&asked, "share").unwrap_or("100").to_owned();
        let control = match area {
            None => html! { p { "No ground is written down on which it is a weed." } },
            Some(area) => {
                let share: f64 = raw.replace(',', ".").parse().unwrap_or(f64::NAN);
                let told = control(&scene, &outlook, weed, area, share)
                    .map_err(|e| PageError::bad("Not understood", e.to_string()))?;
                ways(&view, weed, &told, &areas, &raw)
            }
        };
        Ok(view.page(&weed.name, Section::Now, "/weeds", main(&view, weed, &row, control)))
    })
    .await
}
