//! How a zone's heads water its ground: the picture, its figures, the changes worth making; and the same for heads not yet saved,
//! as the editor asks for it.

use axum::Json;
use axum::extract::{Path, State};
use maud::{Markup, html};
use reckon::coverage::{Coverage, CoverageMap, FLOOD_SHARE, coverage_map};
use reckon::outline::Outline;
use serde::{Deserialize, Serialize};
use yard::entry::ZoneFacts;
use yard::map::HeadFacts;
use yard::survey::{ZoneWater, change_words, head_of, water_of, zone_heads, zone_input};
use yard::units::Quantity;

use crate::cells::{Lattice, picture};
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, map_style, number, page_with};
use crate::plan;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::View;

/// Changes told on the page.
const CHANGES_SHOWN: usize = 5;
/// Heads the editor may ask about at once.
const HEADS_MAX: usize = 300;
/// Pieces of ground it may ask about at once.
const PIECES_MAX: usize = 200;

/// Steps of the picture as shares of the mean rate, and what each is called.
const STEPS: [(f64, &str, &str); 6] = [
    (reckon::coverage::DRY_SHARE, "dry", "dry: under a tenth of the mean"),
    (0.5, "wet-1", "under half of the mean"),
    (0.8, "wet-2", "half to four fifths"),
    (1.25, "wet-3", "near the mean"),
    (FLOOD_SHARE, "wet-4", "up to twice the mean"),
    (f64::INFINITY, "flooded", "flooded: over twice the mean"),
];

fn step_of(rate: f64, mean: f64) -> usize {
    // A cell without any water is dry, whatever the mean.
    if rate <= 0.0 { 0 } else { STEPS.iter().position(|(below, ..)| rate < below * mean).unwrap_or(STEPS.len() - 1) }
}

fn lattice(map: &CoverageMap) -> Lattice {
    Lattice { origin_m: map.origin_m, cell_m: map.cell.get(), columns: map.columns, rows: map.rows }
}

fn cells(map: &CoverageMap) -> Markup {
    let mean = map.coverage.mean.get();
    let shades = STEPS.map(|(_, class, _)| class);
    picture(lattice(map), &shades, |i| map.rate_mm_h[i].map(|rate| step_of(rate, mean)))
}

fn percent(share: f64) -> String {
    format!("{} %", number(share * 100.0, 0))
}

fn figures(view: &View, water: &ZoneWater, told: Option<f64>) -> Markup {
    let units = view.units();
    let c: &Coverage = &water.map.coverage;
    html! {
        dl.strip {
            div { dt { "Mean rate" } dd { (units.say(Quantity::Rate, c.mean.get())) } }
            @if let Some(rate) = told { div { dt { "Rate, measured" } dd { (units.say(Quantity::Rate, rate)) } } }
            div { dt { "Evenness, lowest quarter" } dd { (percent(c.du_lq.get())) } }
            div { dt { "Uniformity (Christiansen)" } dd { (percent(c.cu.get())) } }
            div { dt { "Beside the ground" } dd { (percent(c.off_target.get())) } }
            div { dt { "Dry" } dd { (percent(c.dry_cells.get())) } }
            div { dt { "Flooded" } dd { (percent(water.map.flooded_cells().get())) } }
        }
    }
}

fn legend(view: &View, mean: f64) -> Markup {
    let units = view.units();
    html! {
        ul.legend {
            @for (i, (below, class, words)) in STEPS.iter().enumerate() {
                li {
                    svg.swatch viewBox="0 0 12 12" aria-hidden="true" { rect class=(format!("cell {class}")) width="12" height="12" {} }
                    " " (words)
                    @if i + 1 < STEPS.len() { " (below " (units.say(Quantity::Rate, below * mean)) ")" }
                }
            }
        }
    }
}

fn changes(view: &View, water: &ZoneWater) -> Markup {
    let name = |i: usize| {
        let key = water.heads.get(i).map_or("", String::as_str);
        view.yard.things.iter().find(|t| t.key == key).map_or(key, |t| t.name.as_str()).to_owned()
    };
    html! {
        section aria-labelledby="changes" {
            h2 #changes { "Single changes that gain most" }
            @if water.changes.is_empty() {
                p { "No single change of a single head makes it noticeably more even." }
            } @else {
                ol.plain {
                    @for change in &water.changes {
                        li {
                            strong { (name(change.head)) } ": " (change_words(&change.change, view.units()))
                            ": evenness " (percent(change.before.du_lq.get())) " to " (percent(change.after.du_lq.get()))
                            ", beside the ground " (percent(change.before.off_target.get())) " to " (percent(change.after.off_target.get())) "."
                        }
                    }
                }
                p.source { "Each head was tried alone: upright, moved a step or two, turned, with a wider or narrower arc, with other nozzles." }
            }
        }
    }
}

pub(crate) async fn show(
    State(site): State<Site>,
    Path(key): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(zone) = view.yard.zone(&key).cloned() else {
            return Err(PageError::Missing(format!("The yard has no zone “{key}”")));
        };
        let path = format!("/map/zone/{key}");
        let main = match water_of(&view.yard, &zone, CHANGES_SHOWN) {
            Some(water) => {
                let options = plan::Options { only_zone: Some(&key), on: (view.on != view.today).then_some(view.on), ..plan::Options::default() };
                let drawing = plan::Drawing::of(&view.yard, &options);
                html! {
                    div.head { h1 { (zone.name) ": where the water falls" } (figures(&view, &water, zone.rate_mm_h)) }
                    @if let Some(drawing) = drawing { (drawing.svg("zone", cells(&water.map))) }
                    (legend(&view, water.map.coverage.mean.get()))
                    (changes(&view, &water))
                    p.source {
                        "Each head’s water falls off in a straight line from the head to its throw (J. E. Christiansen, 1942); cells of "
                        (view.units().say(Quantity::Length, water.map.cell.get())) ". Wind, slope and pressure are left out: cans tell what really falls."
                    }
                    p { a href=(view.link("/map")) { "Back to the map" } }
                }
            }
            None => html! {
                div.head { h1 { (zone.name) ": where the water falls" } }
                p { (missing(&view, &zone)) }
                div.actions { a.button href="/map/draw" { "Draw them" } }
            },
        };
        Ok(page_with(&view, &zone.name, Section::Map, &path, map_style(), main))
    })
    .await
}

/// Why there is no picture.
pub(crate) fn missing(view: &View, zone: &ZoneFacts) -> &'static str {
    let heads = zone_heads(&view.yard, &zone.key);
    let ground = zone.areas.iter().any(|a| !view.yard.pieces(a).is_empty());
    match (heads.is_empty(), ground) {
        (true, false) => "Neither the heads nor the ground of this zone are on the map yet.",
        (true, true) => "The heads of this zone are not on the map yet.",
        (false, false) => "The heads are on the map; the ground this zone waters is not drawn.",
        (false, true) => "No head of this zone has any flow, or its pieces lie too far apart for one picture.",
    }
}

/// A head not yet saved.
#[derive(Debug, Deserialize)]
pub(crate) struct AskedHead {
    at: [f64; 2],
    #[serde(flatten)]
    facts: AskedFacts,
}

/// Its figures; what else the editor sends of it does not matter here.
#[derive(Debug, Deserialize)]
struct AskedFacts {
    radius_m: f64,
    #[serde(default)]
    arc_from_deg: f64,
    arc_deg: f64,
    flow_lpm: f64,
    #[serde(default)]
    lean_deg: f64,
    #[serde(default)]
    lean_to_deg: f64,
}

/// Ground and heads not yet saved.
#[derive(Debug, Deserialize)]
pub(crate) struct AskedWater {
    ground: Vec<Outline>,
    heads: Vec<AskedHead>,
}

/// The picture for the editor's canvas.
#[derive(Debug, Serialize)]
pub(crate) struct WaterAnswer {
    origin: [f64; 2],
    cell: f64,
    columns: usize,
    rows: usize,
    /// One character a cell, row by row from the south-west: `-` outside, else the step of the picture, 0 = dry … 5 = flooded.
    steps: String,
    mean_mm_h: f64,
    du_lq: f64,
    cu: f64,
    off_target: f64,
    dry: f64,
    wet: f64,
}

pub(crate) async fn answer(Json(asked): Json<AskedWater>) -> Result<Json<WaterAnswer>, PageError> {
    off_thread(move || worked_out(&asked).map(Json).map_err(|m| PageError::bad("No picture", m))).await
}

fn worked_out(asked: &AskedWater) -> Result<WaterAnswer, String> {
    if asked.heads.len() > HEADS_MAX || asked.ground.len() > PIECES_MAX {
        return Err(format!("at most {HEADS_MAX} heads and {PIECES_MAX} pieces of ground at once"));
    }
    for piece in &asked.ground {
        piece.size().map_err(|e| e.to_string())?;
    }
    let heads = asked.heads.iter().map(|h| {
        let AskedFacts { radius_m, arc_from_deg, arc_deg, flow_lpm, lean_deg, lean_to_deg } = h.facts;
        let facts =
            HeadFacts { radius_m, arc_from_deg, arc_deg, flow_lpm, lean_deg, lean_to_deg, ..HeadFacts::default() };
        head_of(h.at, &facts)
    });
    let input = zone_input(&asked.ground, heads.collect()).ok_or("there is no ground, or no head with water")?;
    let map = coverage_map(&input).map_err(|e| e.to_string())?;
    let mean = map.coverage.mean.get();
    let steps = map.rate_mm_h.iter().map(|rate| match rate {
        None => '-',
        Some(rate) => char::from(b'0' + u8::try_from(step_of(*rate, mean)).unwrap_or(0)),
    });
    Ok(WaterAnswer {
        origin: map.origin_m,
        cell: map.cell.get(),
        columns: map.columns,
        rows: map.rows,
        steps: steps.collect(),
        mean_mm_h: mean,
        du_lq: map.coverage.du_lq.get(),
        cu: map.coverage.cu.get(),
        off_target: map.coverage.off_target.get(),
        dry: map.coverage.dry_cells.get(),
        wet: map.flooded_cells().get(),
    })
}
