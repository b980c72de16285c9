//! The place of a patch on the map: an image that is tapped, or two numbers.

use axum::extract::{Path as UrlPath, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use yard::Yard;
use yard::entry::{AreaFacts, Cover};
use yard::form::measure;
use yard::map::Thing;
use yard::units::Quantity;

use super::{COUNT, PAGE, place};
use crate::error::PageError;
use crate::found_path::FoundPath;
use crate::layout::number;
use crate::plan::path::Path;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

/// Width of the image on the page, in its own pixels; a narrow screen scrolls it.
const WIDTH: f64 = 340.0;
/// Height at most: a long strip is drawn smaller.
const HEIGHT_MAX: f64 = 420.0;
/// Ground shown round the area (m).
const ROUND_M: f64 = 2.0;

/// How an area lies in its image.
struct Frame {
    west: f64,
    north: f64,
    /// Pixels a metre.
    scale: f64,
    size: [f64; 2],
}

impl Frame {
    /// The frame of an area that is drawn.
    fn of(yard: &Yard, area: &str) -> Option<Self> {
        let corners = yard.pieces(area).iter().flat_map(|p| &p.ring).map(|c| c.at());
        let mut all = corners.fold(None, |b: Option<[f64; 4]>, [x, y]| {
            let [w, s, e, n] = b.unwrap_or([x, y, x, y]);
            Some([w.min(x), s.min(y), e.max(x), n.max(y)])
        })?;
        all = [all[0] - ROUND_M, all[1] - ROUND_M, all[2] + ROUND_M, all[3] + ROUND_M];
        let (wide, high) = (all[2] - all[0], all[3] - all[1]);
        let scale = (WIDTH / wide).min(HEIGHT_MAX / high);
        Some(Self { west: all[0], north: all[3], scale, size: [(wide * scale).ceil(), (high * scale).ceil()] })
    }

    fn on_ground(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.west + x / self.scale, self.north - y / self.scale]
    }
}

/// The place just chosen (m): tapped on the image, or typed in the yard's units.
pub(super) fn tapped(view: &View, area: &str, asked: &Pairs) -> Result<Option<[f64; 2]>, PageError> {
    let read = |name: &str| value(asked, name)?.parse::<f64>().ok().filter(|n| n.is_finite());
    if let (Some(x), Some(y)) = (read("tap.x"), read("tap.y")) {
        // A keyboard presses the image without a place.
        let inside =
            |f: &Frame| (0.0..=f.size[0]).contains(&x) && (0.0..=f.size[1]).contains(&y) && (x, y) != (0.0, 0.0);
        return Ok(Frame::of(&view.yard, area).filter(inside).map(|f| f.on_ground([x, y])));
    }
    let Some(raw) = value(asked, "place") else { return Ok(None) };
    let words: Vec<&str> = raw.split([' ', ',', ';']).filter(|w| !w.is_empty()).collect();
    let metres = |w: &str| measure(w, Quantity::Length, view.units()).map_err(|m| PageError::bad("No such place", m));
    match words[..] {
        [x, y] => Ok(Some([metres(x)?, metres(y)?])),
        _ => Err(PageError::bad("No such place", format!("“{raw}” is not a place; write east and north, like 12.5 3"))),
    }
}

pub(super) fn section(view: &View, area: &AreaFacts, path: &FoundPath) -> Markup {
    let Some(frame) = Frame::of(&view.yard, &area.key) else { return html! {} };
    let units = view.units();
    let rest = path.not_about(&["at"]).pairs();
    let at = place(path);
    let show = |m: f64| number(units.show(Quantity::Length, m), 1);
    let mark = at.map(|[x, y]| format!("?mark={x:.2},{y:.2}")).unwrap_or_default();
    let counted = COUNT.iter().any(|n| path.about(n).is_some());
    html! {
        section aria-labelledby="place" {
            h2 #place { "Where it is" }
            @if let Some([x, y]) = at { p { (show(x)) " east, " (show(y)) " north of the map’s origin (" (units.symbol(Quantity::Length)) ")." } }
            details open[at.is_none() && path.found.is_empty() && !counted] {
                summary { @if at.is_some() { "Choose it anew" } @else { "Tap it on the map (if you like)" } }
                form.taps method="get" action=(PAGE) {
                    @for (name, value) in &rest { input type="hidden" name=(name) value=(value); }
                    div.wide {
                        input.underlay type="image" name="tap" src=(format!("/patch/ground/{}{mark}", area.key))
                            alt=(format!("{} from above, north up: choose the place", area.name)) width=(frame.size[0]) height=(frame.size[1]);
                    }
                }
                form.inline method="get" action=(PAGE) {
                    @for (name, value) in &rest { input type="hidden" name=(name) value=(value); }
                    label { "Or east and north (" (units.symbol(Quantity::Length)) "): " input type="text" name="place" size="12" autocomplete="off" placeholder="12.5 3"; }
                    button.quiet { "Take it" }
                }
            }
        }
    }
}

/// Fill of ground by its cover, in the pen's paper colours: an image cannot take the page's.
fn fill(cover: Cover, own: bool) -> &'static str {
    match (cover, own) {
        (Cover::Turf, true) => "#cfe0b4",
        (Cover::Turf, false) => "#e9f0dc",
        (Cover::Bed | Cover::Hedge, _) => "#e6dcc8",
        (Cover::Hard, _) => "#dcdad3",
    }
}

fn drawing(view: &View, area: &str, frame: &Frame, mark: Option<[f64; 2]>) -> Markup {
    let [w, h] = frame.size;
    let move_it =
        format!("matrix({s} 0 0 -{s} {} {})", -frame.west * frame.scale, frame.north * frame.scale, s = frame.scale);
    let ring = |p: &reckon::outline::Outline| {
        p.holes.iter().fold(Path::ring(&p.ring), |path, hole| path.and(Path::ring(hole))).data(3)
    };
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(w) height=(h) viewBox=(format!("0 0 {w} {h}")) {
            rect width=(w) height=(h) fill="#f8f4e9" {}
            g transform=(move_it) stroke="#5a574c" stroke-width=(1.0 / frame.scale) fill-rule="evenodd" {
                @for a in &view.yard.areas {
                    @for p in view.yard.pieces(&a.key) { path d=(ring(p)) fill=(fill(a.cover, a.key == area)) {} }
                }
                @for t in &view.yard.things {
                    @if let Thing::Building { .. } = t.thing {
                        @if let Some(g) = t.ground() { path d=(ring(&g)) fill="#b9b5aa" {} }
                    }
                    @if let Thing::Tree { crown_m, .. } = t.thing {
                        @let [x, y] = t.place();
                        circle cx=(x) cy=(y) r=(crown_m) fill="none" stroke-dasharray=(4.0 / frame.scale) {}
                    }
                }
            }
            @if let Some([x, y]) = mark {
                @let (px, py) = ((x - frame.west) * frame.scale, (frame.north - y) * frame.scale);
                g fill="none" stroke="#1d1c18" stroke-width="2" {
                    circle cx=(px) cy=(py) r="9" {}
                    path d=(format!("M{} {}h24M{} {}v24", px - 12.0, py, px, py - 12.0)) {}
                }
            }
        }
    }
}

/// The image of an area from above.
pub(crate) async fn image(
    State(site): State<Site>,
    UrlPath(key): UrlPath<String>,
    crate::extract::Asked(asked): crate::extract::Asked,
) -> Result<Response, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(frame) = Frame::of(&view.yard, &key) else {
            return Err(PageError::Missing(format!("“{key}” is not drawn")));
        };
        let read = |v: &str| v.parse::<f64>().ok().filter(|n| n.is_finite());
        let mark = value(&asked, "mark").and_then(|m| m.split_once(',')).and_then(|(x, y)| Some([read(x)?, read(y)?]));
        let headers = [(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "no-store")];
        Ok((headers, drawing(&view, &key, &frame, mark).into_string()).into_response())
    })
    .await
}
