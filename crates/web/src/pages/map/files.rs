//! Map files: written out, and read in with a choice for each shape.

use almanac::Almanac;
use axum::extract::{Path, Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use mapfiles::{BYTES_MAX, Choice, FileShape, Geometry, MapFormat, MapRead, usual_choice};
use maud::{Markup, html};
use yard::entry::Cover;
use yard::map::{Buried, PipeRole, Thing};
use yard::units::Quantity;
use yard::{Yard, prepare_bodies};

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::layout::{Section, map_style, page_with, prose, token};
use crate::once;
use crate::record::stamp;
use crate::server::{FORM_BYTES_MAX, off_thread};
use crate::state::Site;
use crate::upload::{self, Room};
use crate::view::{Pairs, View, date_of, value};

/// Height a building gets where the file tells none (m): one storey and its roof.
const BUILDING_HEIGHT_M: f64 = 5.0;

fn page(view: &View, title: &str, main: Markup) -> Markup {
    page_with(view, title, Section::Map, "/map/files", map_style(), main)
}

fn front(view: &View, refused: &[String]) -> Markup {
    html! {
        div.head { h1 { "Map files" } }
        @if !refused.is_empty() {
            div.faults role="alert" { p { strong { "Nothing was taken in." } } ul { @for message in refused { li { (prose(message)) } } } }
        }
        div.columns {
            section aria-labelledby="out" {
                h2 #out { "Write" }
                p { "The whole map with what is known of each area and thing: to look at it elsewhere, or to keep a copy." }
                div.actions {
                    a.button href=(view.link("/map/files/geojson")) { "GeoJSON" }
                    a.button.quiet href=(view.link("/map/files/kml")) { "KML" }
                }
            }
            section aria-labelledby="in" {
                h2 #in { "Read" }
                form.sheet method="post" action="/map/files" enctype="multipart/form-data" {
                    (token(view))
                    div.field {
                        label for="file" { "Map file" }
                        input #file type="file" name="file" required accept=".geojson,.json,.kml,.kmz" aria-describedby="file-help";
                        p.help #file-help { "GeoJSON, KML or KMZ in longitude and latitude (WGS 84), up to " (BYTES_MAX >> 20) " MB. You choose next what each shape becomes." }
                    }
                    div.actions { button { "Look at it" } }
                }
            }
        }
        p { a href="/map" { "Back to the map" } }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        Ok(page(&view, "Map files", front(&view, &[])))
    })
    .await
}

pub(crate) async fn write(
    State(site): State<Site>,
    Path(word): Path<String>,
    Asked(asked): Asked,
) -> Result<Response, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let format = match word.as_str() {
            "geojson" => MapFormat::GeoJson,
            "kml" => MapFormat::Kml,
            _ => return Err(PageError::Missing(format!("The map is written as geojson or kml, not “{word}”"))),
        };
        let text = mapfiles::write(format, &view.yard).map_err(|e| PageError::bad("Not written", e.to_string()))?;
        let headers = [
            (header::CONTENT_TYPE, format.media_type().to_owned()),
            (header::CONTENT_DISPOSITION, format!("attachment; filename=\"yard.{}\"", format.ending())),
        ];
        Ok((headers, text).into_response())
    })
    .await
}

const ROOM: Room = Room {
    bytes_max: BYTES_MAX + FORM_BYTES_MAX,
    what: "map file",
    too_large: "far more than a yard has. Nothing was taken in. Cut it down to the yard, and send it again",
};

/// A file that was looked at and waits for its choices.
#[derive(Clone, Debug)]
pub(crate) struct Waiting {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
}

fn read(waiting: &Waiting, yard: &Yard) -> Result<MapRead, Vec<String>> {
    let Some(format) = MapFormat::of_name(&waiting.name) else {
        return Err(vec![format!("“{}” ends in none of .geojson, .json, .kml, .kmz", waiting.name)]);
    };
    mapfiles::read(format, &waiting.bytes, yard)
        .map_err(|e| e.to_string().lines().map(str::to_owned).collect())
        .and_then(
            |read| {
                if read.shapes.is_empty() { Err(vec!["the file has no shapes in it".to_owned()]) } else { Ok(read) }
            },
        )
}

/// The choices of a shape: value and words.
fn choices(yard: &Yard, shape: &FileShape) -> Vec<(String, String)> {
    let mut list = vec![("out".to_owned(), "left out".to_owned())];
    let mut add = |value: &str, words: &str| list.push((value.to_owned(), words.to_owned()));
    if shape.facts.is_some() {
        add("file", "as the file tells it");
    }
    match shape.geometry {
        Geometry::Ground(_) => {
            for a in &yard.areas {
                add(&format!("area:{}", a.key), &format!("outline of {}", a.name));
            }
            for (value, words) in [
                ("new:turf", "a new lawn"),
                ("new:bed", "a new bed"),
                ("new:hedge", "a new hedge"),
                ("new:hard", "a new hard surface"),
                ("building", "a building"),
                ("play", "where children play"),
                ("pets", "where pets run"),
            ] {
                add(value, words);
            }
        }
        Geometry::Line(_) => {
            for (value, words) in [
                ("main", "a sprinkler main"),
                ("lateral", "a sprinkler lateral"),
                ("water-edge", "a water’s edge"),
                ("buried-power", "a buried power line"),
                ("buried-gas", "a buried gas line"),
                ("buried-telecom", "a buried telephone line"),
                ("buried-water", "a buried water line"),
                ("buried-sewer", "a sewer line"),
                ("buried-drain", "a drain"),
                ("buried-private", "a private buried line"),
            ] {
                add(value, words);
            }
        }
        Geometry::Point(_) => {
            for (value, words) in [
                ("tree", "a tree (of usual size: put it right afterwards)"),
                ("well", "a well"),
                ("valve", "a valve"),
                ("controller", "the controller"),
            ] {
                add(value, words);
            }
        }
    }
    list
}

fn usual_value(yard: &Yard, shape: &FileShape) -> String {
    match usual_choice(yard, shape) {
        Choice::AsFile => "file".to_owned(),
        Choice::Outline(key) => format!("area:{key}"),
        _ => "out".to_owned(),
    }
}

fn choice_of(word: &str, shape: &FileShape, grass: Option<&str>, soil: &str) -> Choice {
    let new = |cover: Cover| Choice::NewArea {
        name: shape.name.clone(),
        cover,
        grass: (cover == Cover::Turf).then(|| grass.unwrap_or("kbg").to_owned()),
        soil: soil.to_owned(),
    };
    let buried = |of: Buried| Choice::Thing(Thing::BuriedLine { of });
    match word {
        "file" => Choice::AsFile,
        "new:turf" => new(Cover::Turf),
        "new:bed" => new(Cover::Bed),
        "new:hedge" => new(Cover::Hedge),
        "new:hard" => new(Cover::Hard),
        "building" => Choice::Thing(Thing::Building { height_m: BUILDING_HEIGHT_M }),
        "play" => Choice::Thing(Thing::Play),
        "pets" => Choice::Thing(Thing::Pets),
        "main" => Choice::Thing(Thing::Pipe { role: PipeRole::Main, zone: None, bore_mm: None }),
        "lateral" => Choice::Thing(Thing::Pipe { role: PipeRole::Lateral, zone: None, bore_mm: None }),
        "water-edge" => Choice::Thing(Thing::WaterEdge),
        "buried-power" => buried(Buried::Power),
        "buried-gas" => buried(Buried::Gas),
        "buried-telecom" => buried(Buried::Telecom),
        "buried-water" => buried(Buried::Water),
        "buried-sewer" => buried(Buried::Sewer),
        "buried-drain" => buried(Buried::Drain),
        "buried-private" => buried(Buried::Private),
        "tree" => Choice::Thing(Thing::Tree { height_m: 5.0, crown_m: 2.0, base_m: 0.0, evergreen: false }),
        "well" => Choice::Thing(Thing::Well),
        "valve" => Choice::Thing(Thing::Valve { zone: None }),
        "controller" => Choice::Thing(Thing::Controller),
        other => other.strip_prefix("area:").map_or(Choice::LeaveOut, |key| Choice::Outline(key.to_owned())),
    }
}

fn measure(view: &View, shape: &FileShape) -> String {
    let units = view.units();
    match (&shape.geometry, shape.area_m2, shape.length_m) {
        (Geometry::Ground(_), Some(m2), _) => units.say(Quantity::Area, m2),
        (Geometry::Line(_), _, Some(m)) => units.say(Quantity::Length, m),
        _ => "a point".to_owned(),
    }
}

fn choosing(view: &View, name: &str, key: &str, read: &MapRead, pairs: &Pairs, refused: &[String]) -> Markup {
    let almanac = view.almanac();
    let first_grass = view.yard.lawns().find_map(|a| a.grass.as_deref()).unwrap_or("kbg");
    let first_soil = view.yard.areas.first().map_or("loam", |a| a.soil.as_str());
    html! {
        div.head {
            h1 { "What each shape becomes" }
            p { (name) ": " (read.shapes.len()) " shapes." @if read.origin_is_new { " The map’s origin will lie in their middle." } }
        }
        @if !refused.is_empty() {
            div.faults role="alert" { p { strong { "Nothing was stored." } } ul { @for message in refused { li { (prose(message)) } } } }
        }
        @if !read.problems.is_empty() {
            details { summary { "Notes on the file (" (read.problems.len()) ")" } ul.plain { @for p in &read.problems { li { (p) } } } }
        }
        form.sheet method="post" action="/map/files/take" {
            (token(view))
            (once::field())
            input type="hidden" name="file" value=(key);
            div.wide {
                table {
                    caption.hidden { "Shapes of the file" }
                    thead { tr { th scope="col" { "Shape" } th.num scope="col" { "Size" } th scope="col" { "Becomes" } } }
                    tbody {
                        @for (i, shape) in read.shapes.iter().enumerate() {
                            @let field = format!("shape-{i}");
                            @let usual = usual_value(&view.yard, shape);
                            @let chosen = value(pairs, &field).unwrap_or(&usual);
                            tr {
                                th scope="row" { label for=(field) { (shape.name) } }
                                td.num { (measure(view, shape)) }
                                td { select id=(field) name=(field) { @for (value, words) in choices(&view.yard, shape) { option value=(value) selected[value == chosen] { (words) } } } }
                            }
                        }
                    }
                }
            }
            p.field {
                label for="grass" { "Grass of new lawns" }
                select #grass name="grass" { @for g in &almanac.grasses { option value=(g.id) selected[g.id == value(pairs, "grass").unwrap_or(first_grass)] { (g.name) } } }
            }
            p.field {
                label for="soil" { "Soil of new areas" }
                select #soil name="soil" { @for t in &almanac.textures { option value=(t.id) selected[t.id == value(pairs, "soil").unwrap_or(first_soil)] { (t.name) } } }
            }
            p.field { label for="on" { "Counts from" } input #on type="date" name="on" value=(value(pairs, "on").map_or_else(|| view.today.to_string(), str::to_owned)) max=(view.today); }
            div.actions { button { "Store" } a.button.quiet href="/map/files" { "Not this file" } }
        }
    }
}

fn refused(view: &View, messages: &[String]) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page(view, "Map files", front(view, messages))).into_response()
}

pub(crate) async fn upload(State(site): State<Site>, request: Request) -> Result<Response, PageError> {
    if site.facts().yard.is_none() {
        return Err(PageError::NoYard);
    }
    let sent = upload::read(&site, request, &ROOM).await?;
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let waiting = Waiting { name: sent.name, bytes: sent.bytes };
        match read(&waiting, &view.yard) {
            Ok(found) => {
                let name = waiting.name.clone();
                let key = site.keep_waiting(waiting);
                let main = choosing(&view, &name, &key, &found, &Pairs::new(), &[]);
                Ok(page(&view, "What each shape becomes", main).into_response())
            }
            Err(messages) => Ok(refused(&view, &messages)),
        }
    })
    .await
}

pub(crate) async fn take(State(site): State<Site>, posted: Posted) -> Result<Response, PageError> {
    let pairs = posted.checked()?;
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let mut once = site.once();
        if let Some(page) = once.before(&pairs).page() {
            return Ok(Redirect::to(&page).into_response());
        }
        let key = value(&pairs, "file").unwrap_or_default();
        let Some(waiting) = site.waiting(key) else {
            return Ok(refused(&view, &["the file is no longer at hand: choose it once more".to_owned()]));
        };
        let found = match read(&waiting, &view.yard) {
            Ok(found) => found,
            Err(messages) => return Ok(refused(&view, &messages)),
        };
        let again = |messages: &[String]| {
            let main = choosing(&view, &waiting.name, key, &found, &pairs, messages);
            (StatusCode::UNPROCESSABLE_ENTITY, page(&view, "What each shape becomes", main)).into_response()
        };
        let on = match date_of(value(&pairs, "on").unwrap_or_default()) {
            Ok(on) => on,
            Err(message) => return Ok(again(&[message])),
        };
        let grass = value(&pairs, "grass");
        let soil = value(&pairs, "soil").unwrap_or("loam");
        let choose = |i: usize, shape: &FileShape| {
            choice_of(value(&pairs, &format!("shape-{i}")).unwrap_or("out"), shape, grass, soil)
        };
        let bodies = match found.bodies(&view.yard, choose) {
            Ok(bodies) if bodies.is_empty() => return Ok(again(&["every shape is left out".to_owned()])),
            Ok(bodies) => bodies,
            Err(e) => return Ok(again(&[e.to_string()])),
        };
        let stored =
            site.store(|facts, today| prepare_bodies(&facts.entries, Almanac::embedded(), bodies, on, || stamp(today)));
        match stored {
            Ok(entries) => {
                let page = format!("/map?saved={}", entries.len());
                once.used(&pairs, &page);
                Ok(Redirect::to(&page).into_response())
            }
            Err(e) => Ok(again(&e.to_string().split("; ").map(str::to_owned).collect::<Vec<_>>())),
        }
    })
    .await
}
