//! One area: what it is, its water, what to do there, its nitrogen, its history.

use axum::extract::{Path, State};
use maud::{Markup, html};
use yard::advice::feeding::{nitrogen_given, nitrogen_plan};
use yard::entry::{AreaFacts, Cover};
use yard::shed::soil_verdict;
use yard::survey::area_sun;
use yard::units::Quantity;
use yard::{Advice, Body};

use jiff::Span;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, day, number, sentence, time};
use crate::logbook_links::query;
use crate::pages::daybook;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;
use crate::{draw, parts};

/// Most entries of the history shown here; the daybook has the rest.
const HISTORY_SHOWN: usize = 12;

pub(crate) async fn show(
    State(site): State<Site>,
    Path(key): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(area) = view.yard.area(&key).cloned() else {
            return Err(PageError::Missing(format!("The yard has no area “{key}”")));
        };
        let path = format!("/area/{key}");
        Ok(view.page(&area.name, Section::Now, &path, main(&view, &area)))
    })
    .await
}

fn facts(view: &View, area: &AreaFacts) -> Markup {
    let units = view.units();
    let grass = area.grass.as_deref().map(|g| view.almanac().grass(g).map_or(g, |g| &g.name));
    let soil = view.almanac().texture(&area.soil).map_or(area.soil.as_str(), |t| &t.name);
    let month = usize::try_from(view.on.month()).unwrap_or(1) - 1;
    let sun = area_sun(&view.yard, &area.key).filter(|_| area.cover != Cover::Hard);
    let zones: Vec<&str> = view.yard.zones_of(&area.key).map(|z| z.name.as_str()).collect();
    html! {
        dl.strip {
            div { dt { "Size" } dd { (units.say(Quantity::Area, area.size_m2)) } }
            div { dt { "Cover" } dd { (grass.unwrap_or(area.cover.word())) } }
            div { dt { "Soil" } dd { (soil) } }
            @if area.slope_pct > 0.0 { div { dt { "Slope" } dd { (area.slope_pct) " %" } } }
            @if let Some(hours) = area.sun_h { div { dt { "Sun, seen" } dd { (number(hours, 1)) " h" } } }
            @else if let Some(hours) = sun { div { dt { "Sun, this month" } dd { a href=(view.link("/map/sun")) { (number(hours[month], 1)) " h" } } } }
            @if let Some(mm) = area.mulch_mm { div { dt { "Mulch" } dd { (units.say(Quantity::Depth, mm)) } } }
            @if !area.plants.is_empty() { div { dt { "Plants" } dd { (area.plants) } } }
            @if !zones.is_empty() { div { dt { "Watered by" } dd { (zones.join(", ")) } } }
        }
    }
}

fn soil_water(view: &View, advice: &Advice, area: &AreaFacts) -> Markup {
    let units = view.units();
    let items: Vec<_> = advice.items.iter().filter(|i| i.places.iter().any(|p| p.key == area.key)).collect();
    let mut cares = parts::Cares::default();
    html! {
        @if let Some(water) = advice.areas.iter().find(|a| a.key == area.key) {
            section aria-labelledby="water" {
                h2 #water { "Soil water" }
                p.figure { strong { (number(water.left() * 100.0, 0)) " %" } " left" }
                p {
                    (units.say(Quantity::Depth, water.depletion_mm)) " of " (units.say(Quantity::Depth, water.taw_mm))
                    " is used up; stress begins at " (units.say(Quantity::Depth, water.raw_mm)) "."
                    @if water.resting { " The grass is at rest with cold." }
                }
                (draw::soil_chart(water, units))
                (parts::working(&water.working, &water.assumed, units))
            }
        }
        @if !items.is_empty() {
            section.group aria-labelledby="todo" {
                h2 #todo { "To do here" }
                @for i in items { (parts::item(view, i, &mut cares)) }
            }
        }
    }
}

fn sowing(view: &View, advice: &Advice, area: &AreaFacts) -> Markup {
    html! {
        @if let Some(w) = advice.sowing.iter().find(|w| area.grass.as_deref() == Some(w.grass.as_str())) {
            section aria-labelledby="sowing" {
                h2 #sowing { "Sowing window" }
                p.lead {
                    @if w.late(view.on) { "Likely over since " (time(w.closes.likely)) "; in late years until " (time(w.closes.late)) "." }
                    @else { (time(w.opens.likely)) " to " (time(w.closes.likely)) ", likely." }
                }
                p { (sentence(&w.name)) ": " (w.words) ". From " (advice.footing.outlook) "." }
                (draw::season_strip("sow-opens", view.on, &w.opens, "window opens"))
                (draw::season_strip("sow-closes", view.on, &w.closes, "window closes"))
            }
        }
    }
}

fn nitrogen(view: &View, area: &AreaFacts) -> Markup {
    let units = view.units();
    let scene = view.scene();
    let grass = area.grass.as_deref().and_then(|g| view.almanac().grass(g));
    let Some(plan) = grass.and_then(|g| nitrogen_plan(&scene, g, area.care)) else { return html! {} };
    // The feeding year of the advice: from January, south of the equator from July.
    let first = scene.season_start(1, 1);
    let Ok(last) = first.checked_add(Span::new().years(1)).and_then(|d| d.yesterday()) else { return html! {} };
    let given = nitrogen_given(&view.yard, &area.key, first, last);
    let sum: f64 = given.iter().map(|(_, g)| g).sum();
    let dose = |g| units.say(Quantity::Dose, g);
    html! {
        section aria-labelledby="nitrogen" {
            h2 #nitrogen { "Nitrogen since " (time(first)) }
            p.figure { strong { (dose(sum)) } " of " (dose(plan.year_g_m2)) }
            table {
                caption.hidden { "Nitrogen by month: planned and given" }
                thead { tr { th scope="col" { "Month" } th scope="col" { "Plan" } th scope="col" { "Given" } } }
                tbody {
                    @for (i, share) in plan.share.iter().enumerate() {
                        @let month = i8::try_from(i + 1).unwrap_or(1);
                        @let here: Vec<_> = given.iter().filter(|(d, _)| d.month() == month).collect();
                        @if *share > 0.0 || !here.is_empty() {
                            tr {
                                th scope="row" { (first.with().month(month).build().unwrap_or(first).strftime("%B").to_string()) }
                                td {
                                    @if *share > 0.0 { (dose(share * plan.year_g_m2)) } @else { "–" }
                                    @if plan.slow_only.contains(&month.unsigned_abs()) && *share > 0.0 { " slow" }
                                }
                                td {
                                    @if here.is_empty() { "–" }
                                    @for (i, (d, g)) in here.iter().enumerate() { @if i > 0 { ", " } (dose(*g)) " on " (day(*d)) }
                                }
                            }
                        }
                    }
                }
            }
            p.source { "Source: " (plan.source) }
        }
    }
}

fn soil_test(view: &View, area: &AreaFacts) -> Markup {
    let units = view.units();
    let dose = |g| units.say(Quantity::Dose, g);
    let typical = |is: bool| if is { " (typical; your laboratory's own advice goes before)" } else { "" };
    html! {
        @if let Some(v) = soil_verdict(&view.yard, view.almanac(), area, view.on) {
            section aria-labelledby="soil-test" {
                h2 #soil-test { "Soil test of " a href=(format!("/entry/{}", v.entry)) { (time(v.sampled)) } }
                @if v.old { p { strong { "Older than three years: test again before you act on it." } } }
                @if let Some(ph) = v.ph { p.figure { "pH " strong { (ph) } } }
                @if let Some(a) = &v.amend {
                    p {
                        strong { (dose(a.total_g_m2)) " of " (a.name) } " to reach pH " (a.goal_ph) (typical(a.typical)) ": "
                        @if a.doses > 1 { (a.doses) " doses of " (dose(a.each_g_m2)) ", " (a.months_between) " months apart." } @else { "in one dose." }
                    }
                    p.source { "Source: " (a.source) }
                    @if a.name.starts_with("lime") { p { "Divide by the share your bag counts as effective calcium carbonate. Water it in; not in the same weeks as urea." } }
                }
                @for n in &v.needs {
                    p { strong { (dose(n.year_g_m2)) " of " (n.name) " a year" } @if n.applications > 1 { ", in " (n.applications) " of " (dose(n.each_g_m2)) } @else { ", at once" } (typical(n.typical)) "." }
                }
                @for note in &v.notes { p { (sentence(note)) "." } }
                @if !v.rows.is_empty() {
                    details {
                        summary { "What the figures mean" }
                        ul.plain {
                            @for r in &v.rows {
                                li {
                                    (sentence(r.name)) @if let Some(ppm) = r.ppm { ": " (number(ppm, 1)) " ppm" }
                                    @if !r.silent.is_empty() { ": " (r.silent) }
                                    @for (class, enough, source) in &r.verdicts { p.source { (class) @if *enough { ", none to be given" } ": " (source) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn main(view: &View, area: &AreaFacts) -> Markup {
    let advice = view.advice();
    let areas = query([("areas", area.key.as_str())]);
    let one = query([("area", area.key.as_str())]);
    let mut history = daybook::shown(view);
    history.retain(|e| e.body.areas().contains(&area.key.as_str()) && !matches!(e.body, Body::Zone(_)));
    let more = history.len() > HISTORY_SHOWN;
    history.truncate(HISTORY_SHOWN);
    let turf = area.cover == Cover::Turf;
    html! {
        div.head {
            h1 { (area.name) }
            (facts(view, area))
            div.actions {
                @if turf { a.button href=(view.link(&format!("/log/mowed{areas}"))) { "Mowed" } }
                a.button href=(view.link(&format!("/log/applied{areas}"))) { "Put down" }
                @if turf { a.button href=(view.link(&format!("/log/seeded{one}"))) { "Seeded" } }
                @if turf { a.button href=(view.link(&format!("/patch{one}"))) { "A bad patch" } }
                @if matches!(area.cover, Cover::Bed | Cover::Hedge) { a.button href=(format!("/plant{one}")) { "A sick plant" } }
                @if area.cover != Cover::Hard { a.button href=(view.link(&format!("/weeds/which{one}"))) { "A weed" } }
                a.button href=(view.link(&format!("/log/scouted{one}"))) { "Seen" }
                a.button href=(view.link(&format!("/log/soil-water{one}"))) { "Soil felt" }
                a.button.quiet href=(view.link(&format!("/log/soil-test{areas}"))) { "Soil tested" }
                a.button.quiet href=(format!("/map/draw{one}")) { "Draw" }
                a.button.quiet href=(format!("/log/area{}", query([("key", area.key.as_str())]))) { "Edit" }
            }
        }
        div.columns {
            div { (soil_water(view, &advice, area)) }
            div {
                (sowing(view, &advice, area))
                (nitrogen(view, area))
                (soil_test(view, area))
                section aria-labelledby="history" {
                    h2 #history { "History" }
                    (daybook::days(view, &history))
                    @if more { p { a href=(view.link(&format!("/daybook{one}"))) { "All of it in the daybook" } } }
                }
            }
        }
    }
}
