//! A zone measured: where to set the cans, what the readings say, what changed since the last time.

use axum::extract::State;
use maud::{Markup, html};
use yard::audit::{self, COMPARED_MM, Compared, Judged, Layout, Nearest};
use yard::entry::ZoneFacts;
use yard::units::{Quantity, significant};

use crate::cells::{Lattice, picture};
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, map_style, number, page_with, sentence, time};
use crate::logbook_links::query;
use crate::parts;
use crate::plan;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{View, value};

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", number(share * 100.0, 0))
}

fn href(zone: &str) -> String {
    format!("/water/audit{}", query([("zone", zone)]))
}

fn zones(view: &View) -> Markup {
    html! {
        div.head { h1 { "Measure a zone" } p.lead { "Cans, the meter or a bucket tell what a zone really puts down." } }
        @if view.yard.zones.is_empty() { p { "The yard has no zones yet." } div.actions { a.button href="/log/zone" { "Add a zone" } } }
        ul.things {
            @for zone in &view.yard.zones {
                @let last = audit::audits_of(&view.yard, &zone.key).into_iter().next();
                li {
                    div {
                        strong { (zone.name) }
                        p { @match last { Some(a) => { "Measured " (time(a.on)) "." }, None => "Not measured yet." } }
                    }
                    a.button.quiet href=(view.link(&href(&zone.key))) aria-label=(format!("Measure {}", zone.name)) { "Measure" }
                }
            }
        }
        p { a href="/water" { "Back to water" } }
    }
}

/// Cans as numbered rings, in the map's metres.
fn cans(at: &[[f64; 2]], step_m: f64) -> Markup {
    let size = (0.34 * step_m).clamp(0.35, 1.5);
    html! {
        g.cans {
            @for (i, [x, y]) in at.iter().enumerate() {
                circle class="can" cx=(format!("{x:.2}")) cy=(format!("{y:.2}")) r=(format!("{size:.2}")) {}
                text class="can" transform=(format!("translate({x:.2} {:.2}) scale(1 -1)", y - 0.35 * size)) text-anchor="middle" font-size=(format!("{:.2}", 1.1 * size)) { (i + 1) }
            }
        }
    }
}

fn drawn(view: &View, zone: &ZoneFacts, id: &str, under: Markup) -> Option<Markup> {
    let options = plan::Options {
        only_zone: Some(&zone.key),
        on: (view.on != view.today).then_some(view.on),
        ..plan::Options::default()
    };
    plan::Drawing::of(&view.yard, &options).map(|d| d.svg(id, under))
}

fn setting_out(view: &View, zone: &ZoneFacts, layout: &Layout) -> Markup {
    let units = view.units();
    let length = |m: f64| units.say(Quantity::Length, m);
    html! {
        section aria-labelledby="cans" {
            h2 #cans { "Set out the cans" }
            p { strong { (layout.cans) " equal cans" } ", " (length(layout.step_m)) " apart in an even grid (published for this kind of head: "
                (length(layout.published_m[0])) " to " (length(layout.published_m[1])) "). At least " (audit::CANS_LEAST) " are needed for evenness; eight tell the rate." }
            @if layout.at.is_empty() {
                p { "The ground of this zone is not drawn: begin half a step from a corner, and go row by row." }
            } @else if let Some(drawing) = drawn(view, zone, "layout", cans(&layout.at, layout.step_m)) { (drawing) }
            ol {
                li { "Mend broken and tilted heads first." }
                li { "Choose a calm morning: wind at most " (units.say(Quantity::Speed, audit::WIND_MOST_MS)) ", at the hour the zone usually runs." }
                li { "Run it until the cans hold enough to read, usually 15 to 30 minutes; stop before water runs off, go on after it has soaked in." }
                li { "Write down minutes, the readings in order, wind, and the meter before and after with nothing else running." }
            }
            p.source { "Source: University of Minnesota Extension, Auditing home lawn irrigation systems; New Mexico State University Extension, Guide H-510" }
        }
    }
}

fn three_ways(view: &View, a: &Judged) -> Markup {
    let rate = |r: Option<f64>| r.map_or("not measured".to_owned(), |r| view.units().say(Quantity::Rate, r));
    html! {
        table {
            caption.hidden { "The rate by cans, meter and bucket" }
            tbody {
                @for (name, r) in [("By the cans", a.cans_mm_h), ("By the meter", a.meter_mm_h), ("By the bucket", a.bucket_mm_h)] {
                    tr { th scope="row" { (name) } td.num { (rate(r)) } }
                }
            }
        }
    }
}

fn dry_map(view: &View, zone: &ZoneFacts, a: &Judged) -> Option<Markup> {
    let near: Nearest = audit::nearest(&view.yard, zone, &a.at)?;
    let lattice = Lattice { origin_m: near.origin_m, cell_m: near.cell_m, columns: near.columns, rows: near.rows };
    let cells = picture(lattice, &["dry", "wet-2"], |i| near.can[i].map(|can| usize::from(!a.dry[can])));
    let step = near.cell_m * ((near.columns * near.rows) as f64 / a.at.len() as f64).sqrt();
    let drawing = drawn(view, zone, "dry", html! { (cells) (cans(&a.at, step)) })?;
    Some(html! {
        (drawing)
        p.why { "Hatched: the ground nearest the cans of the lowest quarter." }
    })
}

fn judged(view: &View, zone: &ZoneFacts, a: &Judged, first: bool) -> Markup {
    let dry = a.dry.iter().enumerate().filter(|(_, d)| **d).map(|(i, _)| (i + 1).to_string()).collect::<Vec<_>>();
    html! {
        article.item {
            p.kicker { (time(a.on)) }
            dl.strip {
                @if let Some(du) = a.du_lq { div { dt { "Evenness, lowest quarter" } dd { (percent(du)) } } }
                @if let Some(cu) = a.cu { div { dt { "Uniformity (Christiansen)" } dd { (percent(cu)) } } }
                @if let Some(m) = a.multiplier { div { dt { "Run longer by" } dd { "× " (number(m, 2)) } } }
            }
            (three_ways(view, a))
            @for f in &a.findings { p.care { strong { "Mind: " } (sentence(f)) "." } }
            @if first && !dry.is_empty() {
                p { "Driest cans: " (dry.join(", ")) "." }
                @if let Some(map) = dry_map(view, zone, a) { (map) }
            }
            @if let (Some(half), Some(quarter)) = (a.multiplier, a.multiplier_quarter) {
                p.why { "For the lowest quarter alone it would be × " (number(quarter, 2)) ", which overstates the need: × " (number(half, 2)) " is used." }
            }
            (parts::working(&a.working, &[], view.units()))
            p { a href=(format!("/entry/{}", a.id)) { "The entry" } }
        }
    }
}

fn compared(view: &View, c: &Compared) -> Markup {
    let units = view.units();
    let saved = c.litres[0] - c.litres[1];
    html! {
        section.told aria-labelledby="compared" {
            h2 #compared { "Since " (time(c.before)) }
            p {
                "Evenness " (percent(c.du_lq[0])) " then, " (percent(c.du_lq[1])) " now. A run for " (units.say(Quantity::Depth, c.need_mm)) " of need "
                strong { @if saved >= 0.0 { "saves " } @else { "takes " } (units.say(Quantity::Volume, saved.abs())) }
                @if saved < 0.0 { " more" } ": " (units.say(Quantity::Volume, c.litres[1])) " in " (significant(c.minutes[1], 2)) " minutes instead of "
                (units.say(Quantity::Volume, c.litres[0])) " in " (significant(c.minutes[0], 2)) "."
            }
            (parts::working(&c.working, &[], units))
        }
    }
}

fn main(view: &View, zone: &ZoneFacts) -> Markup {
    let audits = audit::audits_of(&view.yard, &zone.key);
    let layout = audit::layout(&view.yard, zone, view.almanac().sprinkler(&zone.sprinkler));
    let change = match &audits[..] {
        [after, before, ..] => audit::compare(&view.yard, before, after, COMPARED_MM),
        _ => None,
    };
    html! {
        div.head { h1 { (zone.name) ": measured" } }
        div.columns {
            div {
                section.group aria-labelledby="audits" {
                    h2 #audits { "What was measured" }
                    @if audits.is_empty() { p { "Nothing yet: its rate and evenness are taken from elsewhere." } }
                    @for (i, a) in audits.iter().enumerate() { (judged(view, zone, a, i == 0)) }
                }
                @if let Some(c) = &change { (compared(view, c)) }
                div.actions { a.button href=(format!("/log/audited{}", query([("zone", zone.key.as_str())]))) { "Write down a measurement" } }
            }
            div {
                @if audit::takes_cans(zone) { (setting_out(view, zone, &layout)) }
                @else { p { "Drip cannot be measured with cans: read the meter before and after, or catch one emitter in a cup and count them." } }
            }
        }
        p { a href="/water/audit" { "All zones" } " · " a href="/water" { "Back to water" } }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(key) = value(&asked, "zone").filter(|k| !k.is_empty()) else {
            return Ok(view.page("Measure a zone", Section::Water, "/water/audit", zones(&view)));
        };
        let Some(zone) = view.yard.zone(key) else {
            return Err(PageError::Missing(format!("The yard has no zone “{key}”")));
        };
        Ok(page_with(&view, &zone.name, Section::Water, &href(key), map_style(), main(&view, zone)))
    })
    .await
}
