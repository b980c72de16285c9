//! A photo of the patch: kept beside the entries, and its green measured.

use std::io::Cursor;

use axum::extract::{Request, State};
use axum::response::{IntoResponse, Redirect, Response};
use image::{ImageReader, Limits};
use ledger::PICTURE_BYTES_MAX;
use maud::{Markup, html};
use reckon::green_cover::{GreenCover, green_cover};

use super::{ABOUT, Asking, PAGE};
use crate::error::PageError;
use crate::found_path::FoundPath;
use crate::layout::{number, token};
use crate::logbook_links::query;
use crate::server::{FORM_BYTES_MAX, off_thread};
use crate::state::Site;
use crate::upload::{self, Room};
use crate::view::Pairs;

/// Longest side decoded (pixels), and most memory a decoder may take (bytes): a phone's photo of 50 megapixels fits.
const SIDE_MAX: u32 = 12_000;
const DECODED_BYTES_MAX: u64 = 256 << 20;
/// Pixels measured: evenly chosen from a larger photo.
const MEASURED: usize = 250_000;
/// The pairs of a photo.
const PHOTO: [&str; 3] = ["picture", "green", "dgci"];

const ROOM: Room = Room {
    bytes_max: PICTURE_BYTES_MAX + FORM_BYTES_MAX,
    what: "photo",
    too_large: "more than a photo needs. Nothing was taken in. Send it smaller",
};

/// The photo taken in, or the form that takes one.
pub(super) fn section(a: &Asking<'_>) -> Markup {
    let to = format!("{PAGE}/photo{}", pairs(&a.path.not_about(&PHOTO)));
    html! {
        section aria-labelledby="photo" {
            h2 #photo { "Photo" }
            @if let Some(hash) = a.path.about("picture") {
                img src=(format!("/map/picture/{hash}")) alt="The photo of this patch" width="340";
                @if let Some(green) = a.path.about("green") {
                    p {
                        strong { (green) " % green" }
                        @if let Some(dark) = a.path.about("dgci") { ", dark green colour index " (dark) }
                        ". A measure of colour only: from straight above, in the same light, it can be compared with the next."
                    }
                }
                p { a href=(a.path.not_about(&PHOTO).href()) { "Without the photo" } }
            } @else {
                details {
                    summary { "Add a photo" }
                    form.sheet method="post" action=(to) enctype="multipart/form-data" {
                        (token(a.view))
                        div.field {
                            label for="photo-file" { "From straight above, your feet out of it" }
                            input #photo-file type="file" name="file" required accept="image/jpeg,image/png,image/webp" aria-describedby="photo-help";
                            p.help #photo-help { "JPEG, PNG or WebP, up to " (PICTURE_BYTES_MAX >> 20) " MB. It stays in your own file." }
                        }
                        div.actions { button { "Take it in" } }
                    }
                }
            }
        }
    }
}

fn pairs(path: &FoundPath) -> String {
    let pairs = path.pairs();
    query(pairs.iter().map(|(n, v)| (n.as_str(), v.as_str())))
}

/// The green of a photo, decoded within bounds.
fn measured(bytes: &[u8]) -> Result<GreenCover, String> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|e| e.to_string())?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(SIDE_MAX);
    limits.max_image_height = Some(SIDE_MAX);
    limits.max_alloc = Some(DECODED_BYTES_MAX);
    reader.limits(limits);
    let photo = reader.decode().map_err(|e| e.to_string())?.into_rgb8();
    let step = (photo.pixels().len() / MEASURED).max(1);
    green_cover(photo.pixels().step_by(step).map(|p| p.0)).map_err(|e| e.to_string())
}

pub(crate) async fn upload(State(site): State<Site>, request: Request) -> Result<Response, PageError> {
    if site.facts().yard.is_none() {
        return Err(PageError::NoYard);
    }
    let asked: Pairs = request
        .uri()
        .query()
        .map(|q| axum::extract::Query::<Pairs>::try_from_uri(&format!("/?{q}").parse().unwrap_or_default()))
        .and_then(Result::ok)
        .map(|q| q.0)
        .unwrap_or_default();
    let sent = upload::read(&site, request, &ROOM).await?;
    off_thread(move || {
        let refused =
            |why: String| PageError::bad("The photo cannot be taken in", format!("{why}. Nothing was stored"));
        // Measured first: what cannot be decoded is not kept.
        let green = measured(&sent.bytes).map_err(refused)?;
        let about = site.put_picture(&sent.bytes).map_err(|e| refused(e.to_string()))?;
        let mut path =
            FoundPath::of(PAGE, &ABOUT, &asked).on("picture", &about.hash).on("green", &number(green.share * 100.0, 0));
        if let Some(dark) = green.dgci {
            path = path.on("dgci", &number(dark, 2));
        }
        Ok(Redirect::to(&path.href()).into_response())
    })
    .await
}
