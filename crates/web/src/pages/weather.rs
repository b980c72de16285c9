//! Weather files: what was taken in, the upload, and what was found in a file.

use std::pin::Pin;

use axum::body::{Body, HttpBody};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use feeds::{CsvHints, Report};
use ledger::ImportSummary;
use maud::{Markup, html};
use yard::form::measure;
use yard::units::{Quantity, thousands};

use crate::error::PageError;
use crate::extract::untrusted;
use crate::guard::same_secret;
use crate::layout::{Section, prose, time, token};
use crate::server::{UPLOAD_BYTES_MAX, off_thread};
use crate::state::Site;
use crate::view::{Pairs, View, value};

/// Most gaps and duplicate days listed; the rest are counted.
const LISTED_MAX: usize = 12;
/// Longest file name kept.
const NAME_CHARS_MAX: usize = 80;
/// Most bytes of a field beside the file.
const FIELD_BYTES_MAX: usize = 1024;
/// Most bytes read and thrown away after a refusal, so that the browser gets to read the answer.
const DRAINED_BYTES_MAX: u64 = 16 << 30;

/// The weather part of the settings; a refusal stands at its head.
pub(crate) fn section(view: &View, refused: Option<&str>) -> Markup {
    let choices = |name: &str, word: &str, list: &[(&str, &str)]| {
        html! {
            div.field {
                label for=(name) { (word) }
                select id=(name) name=(name) {
                    option value="" { "the columns say it" }
                    @for (value, shown) in list { option value=(value) { (shown) } }
                }
            }
        }
    };
    let unit = view.units().symbol(Quantity::Length);
    html! {
        section aria-labelledby="weather" {
            h2 #weather { "Weather" }
            @if view.facts.imports.is_empty() { p { "None taken in yet: figures rest on an average climate." } }
            @else {
                ul.plain {
                    @for i in &view.facts.imports {
                        li { strong { (i.name) } ": " (thousands(i.days as f64)) " days, " (time(i.first)) " to " (time(i.last)) }
                    }
                }
            }
            @if let Some(message) = refused { div.faults role="alert" { p { strong { "Nothing was taken in. " } (message) } } }
            form.sheet method="post" action="/settings/weather" enctype="multipart/form-data" {
                (token(view))
                details open[refused.is_some()] {
                    summary { "Units, where the columns do not say them" }
                    (choices("temperature", "Temperature", &[("c", "°C"), ("f", "°F")]))
                    (choices("depth", "Rain", &[("mm", "mm"), ("in", "inches")]))
                    (choices("wind", "Wind", &[("ms", "m/s"), ("kmh", "km/h"), ("mph", "mph"), ("kn", "knots")]))
                    div.field {
                        label for="wind_height" { "Height of the wind gauge" span.optional { " (if known)" } }
                        div.entry { input #wind_height type="text" inputmode="decimal" name="wind_height" autocomplete="off"; span.unit { (unit) } }
                    }
                }
                div.field {
                    label for="file" { "Weather file" }
                    input #file type="file" name="file" required accept=".csv,.dly,.txt,text/csv,text/plain" aria-describedby="file-help";
                    p.help #file-help { "Daily readings as CSV, or a station’s GHCN-Daily file (.csv, .dly); up to " (UPLOAD_BYTES_MAX >> 20) " MB." }
                }
                div.actions { button { "Take it in" } }
            }
        }
    }
}

/// A file with the words sent beside it.
struct Upload {
    name: String,
    bytes: Vec<u8>,
    said: Pairs,
}

fn too_large() -> PageError {
    let message = format!(
        "The file is larger than {} MB, which holds more than a century of one station. Nothing was taken in. Try one station, or \
         fewer years",
        UPLOAD_BYTES_MAX >> 20
    );
    PageError::Told(StatusCode::PAYLOAD_TOO_LARGE, "Too large", message)
}

fn of_multipart(error: &MultipartError) -> PageError {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        too_large()
    } else {
        PageError::bad("The upload cannot be read", error.body_text())
    }
}

/// Reads on after a refusal and throws it away: a browser that is still sending does not read the answer.
fn drain(mut body: Body) {
    tokio::spawn(async move {
        let mut seen = 0;
        while let Some(Ok(frame)) = std::future::poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await {
            seen += frame.data_ref().map_or(0, |bytes| bytes.len() as u64);
            if seen > DRAINED_BYTES_MAX {
                break;
            }
        }
    });
}

fn said_length(request: &Request) -> Option<u64> {
    request.headers().get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

async fn small(field: Field<'_>) -> Result<(String, String), PageError> {
    let name = field.name().unwrap_or_default().to_owned();
    let text = field.text().await.map_err(|e| of_multipart(&e))?;
    if text.len() > FIELD_BYTES_MAX {
        return Err(PageError::bad("The upload cannot be read", format!("The field {name} is too long")));
    }
    Ok((name, text))
}

async fn read(site: &Site, request: Request) -> Result<Upload, PageError> {
    let mut parts = Multipart::from_request(request, site)
        .await
        .map_err(|e| PageError::bad("The upload cannot be read", e.body_text()))?;
    let mut said = Pairs::new();
    while let Some(mut field) = parts.next_field().await.map_err(|e| of_multipart(&e))? {
        if field.name() != Some("file") {
            if said.len() < 16 {
                said.push(small(field).await?);
            }
            continue;
        }
        // The token stands before the file, so that a stranger's file is not even read.
        if !value(&said, "token").is_some_and(|t| same_secret(t, site.token())) {
            return Err(untrusted());
        }
        let whole = field.file_name().unwrap_or("weather file").to_owned();
        let last = whole.rsplit(['/', '\\']).next().unwrap_or_default();
        let name: String = last.chars().filter(|c| !c.is_control()).take(NAME_CHARS_MAX).collect();
        let mut bytes = Vec::new();
        while let Some(chunk) = field.chunk().await.map_err(|e| of_multipart(&e))? {
            bytes.extend_from_slice(&chunk);
        }
        return Ok(Upload { name: if name.is_empty() { "weather file".to_owned() } else { name }, bytes, said });
    }
    Err(PageError::bad("No file", "The upload has no file in it. Choose one and send it again"))
}

fn hints(view: &View, said: &Pairs) -> Result<CsvHints, String> {
    let height = value(said, "wind_height").map(|raw| measure(raw, Quantity::Length, view.units())).transpose()?;
    Ok(CsvHints {
        temperature: value(said, "temperature")
            .map(str::parse)
            .transpose()
            .map_err(|e: feeds::UnitWord| e.to_string())?,
        depth: value(said, "depth").map(str::parse).transpose().map_err(|e: feeds::UnitWord| e.to_string())?,
        wind: value(said, "wind").map(str::parse).transpose().map_err(|e: feeds::UnitWord| e.to_string())?,
        wind_height_m: height,
    })
}

fn refused(view: &View, message: &str) -> Response {
    let main = html! { div.head { h1 { "Weather" } } (section(view, Some(message))) };
    (StatusCode::UNPROCESSABLE_ENTITY, view.page("Weather", Section::Settings, "/settings", main)).into_response()
}

fn taken(view: &View, name: &str, report: &Report, summary: &ImportSummary) -> Markup {
    let duplicates = report.duplicates.len();
    html! {
        div.head {
            h1 role="status" { "Taken in: " (name) }
            @if let (Some(first), Some(last)) = (report.first, report.last) { p { (time(first)) " to " (time(last)) } }
            dl.strip {
                div { dt { "Rows read" } dd { (thousands(report.rows_read as f64)) } }
                div { dt { "Days" } dd { (thousands(report.days as f64)) } }
                div { dt { "New" } dd { (thousands(summary.days_new as f64)) } }
                div { dt { "Changed" } dd { (thousands(summary.days_changed as f64)) } }
                div { dt { "Known before" } dd { (thousands(summary.days_same as f64)) } }
            }
        }
        @if duplicates > 0 {
            h2 { "Days that stood twice" }
            p {
                @for (i, d) in report.duplicates.iter().take(LISTED_MAX).enumerate() { @if i > 0 { ", " } (time(*d)) }
                @if duplicates > LISTED_MAX { ", and " (duplicates - LISTED_MAX) " more" } ". Each now stands once."
            }
        }
        @if !report.gaps.is_empty() {
            h2 { "Gaps" }
            ul.plain {
                @for (a, b) in report.gaps.iter().take(LISTED_MAX) { li { (time(*a)) @if a != b { " to " (time(*b)) } } }
                @if report.gaps.len() > LISTED_MAX { li { "and " (report.gaps.len() - LISTED_MAX) " more" } }
            }
        }
        @if report.missing.iter().any(|(_, n)| *n > 0) {
            h2 { "Days without a value" }
            table {
                tbody { @for (column, n) in &report.missing { @if *n > 0 { tr { th scope="row" { (column) } td.num { (n) } } } } }
            }
        }
        @if !report.notes.is_empty() {
            h2 { "Notes" }
            ul.plain { @for n in &report.notes { li { (prose(n)) } } }
        }
        div.actions { a.button href="/" { "What is next" } a.button.quiet href="/settings#weather" { "Settings" } }
        p.source { "Figures now rest on: " (prose(&view.weather.basis().phrase())) }
    }
}

fn take_in(site: &Site, upload: &Upload) -> Result<Response, PageError> {
    let view = View::open(site, &Pairs::new())?;
    let hints = match hints(&view, &upload.said) {
        Ok(hints) => hints,
        Err(message) => return Ok(refused(&view, &message)),
    };
    let import = match feeds::read_any(&upload.name, upload.bytes.as_slice(), &hints) {
        Ok(import) => import,
        Err(e) => return Ok(refused(&view, &e.to_string())),
    };
    let summary = match site.import_weather(&import.record) {
        Ok(summary) => summary,
        Err(e) => return Ok(refused(&view, &e.to_string())),
    };
    let view = View::open(site, &Pairs::new())?;
    let main = taken(&view, &upload.name, &import.report, &summary);
    Ok(view.page("Weather taken in", Section::Settings, "/settings", main).into_response())
}

pub(crate) async fn upload(State(site): State<Site>, request: Request) -> Result<Response, PageError> {
    if site.facts().yard.is_none() {
        return Err(PageError::NoYard);
    }
    if said_length(&request).is_some_and(|n| n > UPLOAD_BYTES_MAX as u64) {
        drain(request.into_body());
        return Err(too_large());
    }
    let upload = read(&site, request).await?;
    off_thread(move || take_in(&site, &upload)).await
}
