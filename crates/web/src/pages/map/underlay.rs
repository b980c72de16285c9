//! A survey plan or an aerial picture under the map: taken in, then placed by two points known on both.

use axum::extract::{Path, Request, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use ledger::PICTURE_BYTES_MAX;
use maud::{Markup, html};
use yard::form::measure;
use yard::map::Underlay;
use yard::survey::known_corners;
use yard::units::Quantity;
use yard::{Body, prepare_bodies};

use almanac::Almanac;

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::layout::{Section, map_style, number, page_with, sentence, token};
use crate::logbook_links::query;
use crate::once;
use crate::record::stamp;
use crate::server::{FORM_BYTES_MAX, off_thread};
use crate::state::Site;
use crate::upload::{self, Room};
use crate::view::{Pairs, View, value};

/// Width the picture is shown at while its points are chosen (px).
const SHOWN_WIDTH: f64 = 720.0;

/// The picture under a drawing, in the map's own metres.
pub(crate) fn under(view: &View) -> Markup {
    html! {
        @if let Some(u) = &view.yard.underlay {
            @let m = u.matrix();
            @let [w, h] = u.size_px;
            image.underlay href=(format!("/map/picture/{}", u.picture)) width=(w) height=(h) preserveAspectRatio="none"
                transform=(format!("matrix({} {} {} {} {} {})", m[0], m[1], m[2], m[3], m[4], m[5])) {}
        }
    }
}

fn page(view: &View, title: &str, main: Markup) -> Markup {
    page_with(view, title, Section::Map, "/map/underlay", map_style(), main)
}

fn front(view: &View, refused: Option<&str>) -> Markup {
    let units = view.units();
    html! {
        div.head { h1 { "Picture under the map" } }
        @if let Some(message) = refused { div.faults role="alert" { p { strong { "Nothing was taken in. " } (message) } } }
        @if let Some(u) = &view.yard.underlay {
            p {
                (u.name) " lies under the map, "
                (number(u.scale() * 1000.0, 0)) " mm a pixel, "
                (units.say(Quantity::Length, u.scale() * u.size_px[0])) " across."
            }
            div.actions {
                a.button.quiet href=(format!("/map/underlay/place{}", query([("picture", u.picture.as_str()), ("name", u.name.as_str())]))) { "Place it anew" }
                form method="post" action="/map/underlay/place" {
                    (token(view)) (once::field())
                    input type="hidden" name="remove" value="yes";
                    button.quiet { "Take it away" }
                }
            }
        }
        p { "A survey plan photographed from straight above, a plat, or an aerial picture you have the right to use. It stays in your own file." }
        form.sheet method="post" action="/map/underlay" enctype="multipart/form-data" {
            (token(view))
            div.field {
                label for="file" { "Picture" }
                input #file type="file" name="file" required accept="image/png,image/jpeg,image/webp" aria-describedby="file-help";
                p.help #file-help { "PNG, JPEG or WebP, up to " (PICTURE_BYTES_MAX >> 20) " MB. From a phone choose “most compatible” (JPEG)." }
            }
            div.actions { button { "Take it in" } }
        }
        p { a href="/map" { "Back to the map" } }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        Ok(page(&view, "Picture under the map", front(&view, None)))
    })
    .await
}

const ROOM: Room = Room {
    bytes_max: PICTURE_BYTES_MAX + FORM_BYTES_MAX,
    what: "picture",
    too_large: "more than a plan needs. Nothing was taken in. Save it smaller and send it again",
};

pub(crate) async fn upload(State(site): State<Site>, request: Request) -> Result<Response, PageError> {
    if site.facts().yard.is_none() {
        return Err(PageError::NoYard);
    }
    let sent = upload::read(&site, request, &ROOM).await?;
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        match site.put_picture(&sent.bytes) {
            Ok(about) => {
                let name: String = sent.name.chars().filter(|c| c.is_alphanumeric() || "-_. ".contains(*c)).collect();
                let name = name.replace(' ', "+");
                Ok(Redirect::to(&format!("/map/underlay/place?picture={}&name={name}", about.hash)).into_response())
            }
            Err(e) => {
                let main = front(&view, Some(&e.to_string()));
                let status = axum::http::StatusCode::UNPROCESSABLE_ENTITY;
                Ok((status, page(&view, "Picture under the map", main)).into_response())
            }
        }
    })
    .await
}

/// The picture itself. Its name is the hash of its bytes, so it may be kept for ever.
pub(crate) async fn picture(State(site): State<Site>, Path(hash): Path<String>) -> Result<Response, PageError> {
    off_thread(move || {
        let found = site.picture(&hash).map_err(|e| PageError::bad("The picture cannot be read", e.to_string()))?;
        let Some(picture) = found else {
            return Err(PageError::Missing("There is no such picture".to_owned()));
        };
        let headers = [
            (header::CONTENT_TYPE, picture.about.media_type.as_str()),
            (header::CACHE_CONTROL, "private, max-age=31536000, immutable"),
        ];
        Ok((headers, picture.bytes).into_response())
    })
    .await
}

/// Two pixels told so far, as `x,y` each.
fn pixel(pairs: &Pairs, name: &str) -> Option<[f64; 2]> {
    let (x, y) = value(pairs, name)?.split_once(',')?;
    let read = |v: &str| v.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    Some([read(x)?, read(y)?])
}

/// The place just tapped on the picture: a browser sends it as `name.x` and `name.y`, in the picture's shown pixels.
fn tapped(pairs: &Pairs, scale: f64) -> Option<[f64; 2]> {
    let read = |name: &str| value(pairs, name)?.parse::<f64>().ok().filter(|n| n.is_finite());
    Some([read("tap.x")? * scale, read("tap.y")? * scale])
}

fn written([x, y]: [f64; 2]) -> String {
    format!("{x:.1},{y:.1}")
}

fn about(site: &Site, pairs: &Pairs) -> Result<(String, [f64; 2]), PageError> {
    let hash = value(pairs, "picture").unwrap_or_default().to_owned();
    let found = site.picture(&hash).map_err(|e| PageError::bad("The picture cannot be read", e.to_string()))?;
    let Some(picture) = found else { return Err(PageError::Missing("There is no such picture".to_owned())) };
    Ok((hash, [f64::from(picture.about.width), f64::from(picture.about.height)]))
}

fn tap(hash: &str, name: &str, size: [f64; 2], first: Option<[f64; 2]>) -> Markup {
    html! {
        p.lead {
            @match first {
                None => "Tap the first of two points you know: a corner of the house, a survey pin.",
                Some(_) => "Now the second, as far from the first as you can.",
            }
        }
        form.taps method="get" action="/map/underlay/place" {
            input type="hidden" name="picture" value=(hash);
            input type="hidden" name="name" value=(name);
            @if let Some(p) = first { input type="hidden" name="p1" value=(written(p)); }
            div.wide {
                input.underlay type="image" name="tap" src=(format!("/map/picture/{hash}")) alt="The picture: choose a point"
                    width=(SHOWN_WIDTH) height=(SHOWN_WIDTH * size[1] / size[0]);
            }
        }
        form.inline method="get" action="/map/underlay/place" {
            input type="hidden" name="picture" value=(hash);
            input type="hidden" name="name" value=(name);
            @if let Some(p) = first { input type="hidden" name="p1" value=(written(p)); }
            label { "Or type its pixels from the upper left corner (" (number(size[0], 0)) " × " (number(size[1], 0)) "): "
                input type="text" name=(if first.is_some() { "p2" } else { "p1" }) placeholder="120,340" size="12"; }
            button.quiet { "Take it" }
        }
    }
}

fn ground(view: &View, hash: &str, name: &str, points: [[f64; 2]; 2], pairs: &Pairs, fault: Option<&str>) -> Markup {
    let units = view.units();
    let unit = units.symbol(Quantity::Length);
    let known = known_corners(&view.yard);
    let field = |name: &str, label: &str, help: &str, start: &str| {
        html! {
            p.field {
                label for=(name) { (label) }
                input id=(name) type="text" name=(name) value=(value(pairs, name).unwrap_or(start)) autocomplete="off" aria-describedby=(format!("{name}-help"));
                span.help id=(format!("{name}-help")) { (help) }
            }
        }
    };
    html! {
        p { "First point at pixel " (written(points[0])) ", second at " (written(points[1])) ". " a href=(format!("/map/underlay/place{}", query([("picture", hash), ("name", name)]))) { "Choose them again" } }
        @if let Some(message) = fault { div.faults role="alert" { p { strong { "Not placed. " } (message) } } }
        form.sheet method="post" action="/map/underlay/place" {
            (token(view)) (once::field())
            input type="hidden" name="picture" value=(hash);
            input type="hidden" name="name" value=(name);
            input type="hidden" name="p1" value=(written(points[0]));
            input type="hidden" name="p2" value=(written(points[1]));
            (field("first", &format!("Where the first point is on the map ({unit})"), "east and north; 0 0 begins a new map there", "0 0"))
            (field("distance", "How far it is to the second", &format!("a number in {unit}, taped or written on the plan"), ""))
            (field("bearing", "Bearing from the first to the second", "degrees clockwise from north: 90 = due east", ""))
            (field("second", &format!("Or where the second point is on the map ({unit})"), "east and north, instead of distance and bearing", ""))
            @if !known.is_empty() {
                details {
                    summary { "Corners on the map" }
                    ul.plain { @for (corner, at) in &known { li { (corner) ": " (number(units.show(Quantity::Length, at[0]), 2)) " " (number(units.show(Quantity::Length, at[1]), 2)) } } }
                }
            }
            div.actions { button { "Place it" } }
        }
    }
}

pub(crate) async fn place(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let (hash, size) = about(&site, &asked)?;
        let name = value(&asked, "name").unwrap_or("plan");
        let now = tapped(&asked, size[0] / SHOWN_WIDTH);
        let first = pixel(&asked, "p1");
        let second = pixel(&asked, "p2").or(first.and(now));
        let first = first.or(now);
        let outside = |p: &[f64; 2]| !(0.0..=size[0]).contains(&p[0]) || !(0.0..=size[1]).contains(&p[1]);
        let unread = ["p1", "p2"].into_iter().find(|n| value(&asked, n).is_some() && pixel(&asked, n).is_none());
        let wrong = if let Some(name) = unread {
            Some(format!("“{}” is not two pixels; write them like 120,340", value(&asked, name).unwrap_or_default()))
        } else if let Some(p) = [first, second].iter().flatten().find(|p| outside(p)) {
            Some(format!("{} lies outside the picture, which has {} × {} pixels", written(*p), size[0], size[1]))
        } else if first.is_some() && first == second {
            Some("both points are the same; take two far from each other".to_owned())
        } else {
            None
        };
        if let Some(message) = wrong {
            let body = html! {
                div.head { h1 { "Place the picture" } }
                div.faults role="alert" { p { strong { "Not taken. " } (sentence(&message)) "." } }
                (tap(&hash, name, size, pixel(&asked, "p1").filter(|p| !outside(p) && unread != Some("p1"))))
            };
            return Ok(page(&view, "Place the picture", body));
        }
        let body = match (first, second) {
            (Some(a), Some(b)) => ground(&view, &hash, name, [a, b], &asked, None),
            (first, _) => tap(&hash, name, size, first),
        };
        Ok(page(&view, "Place the picture", html! { div.head { h1 { "Place the picture" } } (body) }))
    })
    .await
}

fn two(raw: &str, view: &View) -> Option<[f64; 2]> {
    let words: Vec<&str> = raw.split([' ', ',', ';']).filter(|w| !w.is_empty()).collect();
    let [x, y] = words[..] else { return None };
    let read = |w: &str| measure(w, Quantity::Length, view.units()).ok();
    Some([read(x)?, read(y)?])
}

/// Both places on the map, from what was typed.
fn places(view: &View, pairs: &Pairs) -> Result<[[f64; 2]; 2], String> {
    let of = |name: &str| value(pairs, name);
    let first = two(of("first").unwrap_or("0 0"), view).ok_or("the first point wants east and north, like “0 0”")?;
    if let Some(raw) = of("second") {
        let second = two(raw, view).ok_or("the second point wants east and north, like “40 12”")?;
        return Ok([first, second]);
    }
    let raw = of("distance").ok_or("say how far the second point is, or where it is")?;
    let distance = measure(raw, Quantity::Length, view.units())?;
    let raw = of("bearing").ok_or("say the bearing to the second point; 0 is north, 90 east")?;
    let bearing = raw.trim_end_matches('°').trim().parse().ok().filter(|b| (-360.0..=360.0).contains(b));
    let bearing: f64 = bearing.ok_or_else(|| format!("“{raw}” is no bearing; 0 is north, 90 east, 180 south"))?;
    let (east, north) = bearing.to_radians().sin_cos();
    Ok([first, [first[0] + distance * east, first[1] + distance * north]])
}

pub(crate) async fn placed(State(site): State<Site>, posted: Posted) -> Result<Response, PageError> {
    let pairs = posted.checked()?;
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let mut once = site.once();
        if let Some(page) = once.before(&pairs).page() {
            return Ok(Redirect::to(&page).into_response());
        }
        let underlay = if value(&pairs, "remove").is_some() {
            let Some(now) = view.yard.underlay.clone() else {
                return Ok(Redirect::to("/map/underlay").into_response());
            };
            Underlay { removed: true, ..now }
        } else {
            let (hash, size_px) = about(&site, &pairs)?;
            let name = value(&pairs, "name").unwrap_or("plan").to_owned();
            let (Some(a), Some(b)) = (pixel(&pairs, "p1"), pixel(&pairs, "p2")) else {
                return Err(PageError::bad("Two points are missing", "Choose the two points on the picture first"));
            };
            let again = |message: &str| {
                let body = ground(&view, &hash, &name, [a, b], &pairs, Some(message));
                let main = html! { div.head { h1 { "Place the picture" } } (body) };
                let status = axum::http::StatusCode::UNPROCESSABLE_ENTITY;
                Ok((status, page(&view, "Place the picture", main)).into_response())
            };
            let ground = match places(&view, &pairs) {
                Ok(ground) => ground,
                Err(message) => return again(&message),
            };
            let underlay =
                Underlay { picture: hash.clone(), name: name.clone(), size_px, pixels: [a, b], ground, removed: false };
            // Told at the form, before anything is kept.
            let trial = prepare_bodies(
                &view.facts.entries,
                Almanac::embedded(),
                vec![Body::Underlay(underlay.clone())],
                view.today,
                || stamp(view.today),
            );
            if let Err(faults) = trial {
                let message = faults.iter().map(|f| f.message.as_str()).collect::<Vec<_>>().join("; ");
                return again(&message);
            }
            underlay
        };
        site.store(|facts, today| {
            let body = vec![Body::Underlay(underlay)];
            prepare_bodies(&facts.entries, Almanac::embedded(), body, today, || stamp(today))
        })
        .map_err(|e| PageError::bad("Not saved", e.to_string()))?;
        once.used(&pairs, "/map?saved=1");
        Ok(Redirect::to("/map?saved=1").into_response())
    })
    .await
}
