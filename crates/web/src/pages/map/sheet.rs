//! The survey sheet: to print from the page, or as a file to keep.

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use yard::Units;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, map_style, page_with};
use crate::plan::Sheet;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View};

fn sheet_of(site: &Site, asked: &Pairs) -> Result<(View, Sheet), PageError> {
    let view = View::open(site, asked)?;
    let sheet = Sheet::of(&view.yard, view.on)
        .ok_or_else(|| PageError::Missing("Nothing of the yard is drawn yet, so there is no sheet of it".to_owned()))?;
    Ok((view, sheet))
}

/// The class that gives the printed page its size and way.
fn page_class(sheet: &Sheet) -> &'static str {
    let lies = sheet.pages.first().is_some_and(|p| p.width > p.height);
    match (sheet.units, lies) {
        (Units::Metric, true) => "sheet-page a4-lies",
        (Units::Metric, false) => "sheet-page a4-stands",
        (Units::UsCustomary, true) => "sheet-page letter-lies",
        (Units::UsCustomary, false) => "sheet-page letter-stands",
    }
}

fn main(view: &View, sheet: &Sheet) -> Markup {
    html! {
        div.head {
            h1 { "Survey sheet" }
            p.lead { "To keep beside the controller: " (sheet.scale) "." }
            div.actions {
                a.button href=(view.link("/map/sheet.pdf")) { "PDF" }
                a.button.quiet href=(view.link("/map/sheet.svg")) { "SVG" }
                a.button.quiet href=(view.link("/map")) { "Back to the map" }
            }
            p.why { "This page prints as the sheet alone. Print at 100 %, then the scale is true." }
        }
        @for i in 0..sheet.pages.len() {
            @if let Some(page) = sheet.page_svg(i, &format!("s{}", i + 1)) {
                // A phone scrolls it sideways, with the keys too.
                div class=(page_class(sheet)) role="region" tabindex="0" aria-label=(format!("Sheet {}", i + 1)) { (page) }
            }
        }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let (view, sheet) = sheet_of(&site, &asked)?;
        Ok(page_with(&view, "Survey sheet", Section::Map, "/map/sheet", map_style(), main(&view, &sheet)))
    })
    .await
}

pub(crate) async fn svg(State(site): State<Site>, Asked(asked): Asked) -> Result<Response, PageError> {
    off_thread(move || {
        let (_, sheet) = sheet_of(&site, &asked)?;
        let headers = [
            (header::CONTENT_TYPE, "image/svg+xml"),
            (header::CONTENT_DISPOSITION, "inline; filename=\"survey-sheet.svg\""),
        ];
        Ok((headers, sheet.svg()).into_response())
    })
    .await
}

pub(crate) async fn pdf(State(site): State<Site>, Asked(asked): Asked) -> Result<Response, PageError> {
    off_thread(move || {
        let (_, sheet) = sheet_of(&site, &asked)?;
        let headers = [
            (header::CONTENT_TYPE, "application/pdf"),
            (header::CONTENT_DISPOSITION, "attachment; filename=\"survey-sheet.pdf\""),
        ];
        Ok((headers, sheet.pdf()).into_response())
    })
    .await
}
