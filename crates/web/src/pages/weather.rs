//! Weather files: what was taken in, the upload, and what was found in a file.

use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use feeds::{CsvHints, ForecastFile, ForecastHints, Report};
use ledger::{ForecastSummary, ImportSummary};
use maud::{Markup, html};
use reckon::units::{Celsius, Millimetres};
use yard::Forecast;
use yard::form::measure;
use yard::units::{Quantity, thousands};

use crate::error::PageError;
use crate::layout::{Section, prose, time, token};
use crate::server::{UPLOAD_BYTES_MAX, off_thread};
use crate::state::Site;
use crate::upload::{self, Room, Upload};
use crate::view::{Pairs, View, value};

/// Most gaps and duplicate days listed; the rest are counted.
const LISTED_MAX: usize = 12;

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
            (forecast_section(view))
        }
    }
}

/// The last forecast, and the upload of another.
fn forecast_section(view: &View) -> Markup {
    html! {
        h3 #forecast { "Forecast" }
        @match view.weather.forecast_on(view.on) {
            None => p { "None read yet: the days ahead are told by past years alone." },
            Some(last) => {
                p {
                    "Issued " (time(last.issued)) " (" (last.source) ")"
                    @if last.fresh_on(view.on) { "." } @else { ": too old to be used for " (time(view.on)) "." }
                }
                (days_table(view, last))
            }
        }
        form.sheet method="post" action="/settings/forecast" enctype="multipart/form-data" {
            (token(view))
            div.field {
                label for="forecast-file" { "Forecast file" }
                input #forecast-file type="file" name="file" required accept=".csv,.json,text/csv,application/json,application/geo+json" aria-describedby="forecast-help";
                p.help #forecast-help {
                    "A CSV with the columns issued, date, low_c or low_f, high_c or high_f, rain_mm or rain_in, chance_pct; or the document of a public weather service as you saved it: the National Weather Service’s gridpoint forecast, MET Norway’s locationforecast. Nothing is fetched from the network."
                }
            }
            div.actions { button { "Read it" } }
        }
    }
}

fn days_table(view: &View, forecast: &Forecast) -> Markup {
    let say = |quantity, figure: Option<f64>| figure.map_or_else(|| "–".to_owned(), |v| view.units().say(quantity, v));
    html! {
        div.wide tabindex="0" role="region" aria-label="The last forecast, day by day" {
            table {
                thead { tr { th scope="col" { "Day" } th.num scope="col" { "Low" } th.num scope="col" { "High" } th.num scope="col" { "Chance of rain" } th.num scope="col" { "If it rains" } } }
                tbody {
                    @for day in &forecast.days {
                        tr {
                            th scope="row" { (time(day.date)) }
                            td.num { (say(Quantity::Temperature, day.low.map(Celsius::get))) }
                            td.num { (say(Quantity::Temperature, day.high.map(Celsius::get))) }
                            td.num { @match day.chance { Some(c) => { (format!("{:.0}\u{a0}%", c.get())) } None => { "–" } } }
                            td.num { (say(Quantity::Depth, day.rain.map(Millimetres::get))) }
                        }
                    }
                }
            }
        }
    }
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

fn forecast_taken(view: &View, name: &str, read: &ForecastFile, summary: &ForecastSummary) -> Markup {
    html! {
        div.head {
            h1 role="status" { "Read: " (name) }
            p { (summary.kept) " forecasts kept, " (summary.same) " known before." }
        }
        @for note in &read.notes { p.why { (prose(note)) } }
        @if let Some(last) = read.forecasts.last() {
            h2 { "Issued " (time(last.issued)) }
            (days_table(view, last))
        }
        div.actions { a.button href="/" { "What is next" } a.button.quiet href="/settings#forecast" { "Settings" } }
    }
}

fn take_forecast_in(site: &Site, upload: &Upload) -> Result<Response, PageError> {
    let view = View::open(site, &Pairs::new())?;
    let hints = ForecastHints { issued: None, time_zone: site.time_zone() };
    let read = match feeds::read_forecast(&upload.name, upload.bytes.as_slice(), &hints) {
        Ok(read) => read,
        Err(e) => return Ok(refused(&view, &e.to_string())),
    };
    let summary = match site.import_forecasts(&upload.name, read.format, &read.forecasts) {
        Ok(summary) => summary,
        Err(e) => return Ok(refused(&view, &e.to_string())),
    };
    let view = View::open(site, &Pairs::new())?;
    let main = forecast_taken(&view, &upload.name, &read, &summary);
    Ok(view.page("Forecast read", Section::Settings, "/settings", main).into_response())
}

pub(crate) async fn upload_forecast(State(site): State<Site>, request: Request) -> Result<Response, PageError> {
    if site.facts().yard.is_none() {
        return Err(PageError::NoYard);
    }
    let upload = upload::read(&site, request, &ROOM).await?;
    off_thread(move || take_forecast_in(&site, &upload)).await
}

/// What a weather file may be at most.
const ROOM: Room = Room {
    bytes_max: UPLOAD_BYTES_MAX,
    what: "weather file",
    too_large: "which holds more than a century of one station. Nothing was taken in. Try one station, or fewer years",
};

pub(crate) async fn upload(State(site): State<Site>, request: Request) -> Result<Response, PageError> {
    if site.facts().yard.is_none() {
        return Err(PageError::NoYard);
    }
    let upload = upload::read(&site, request, &ROOM).await?;
    off_thread(move || take_in(&site, &upload)).await
}
