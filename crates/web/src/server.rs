//! Routes, and the socket.

use std::future::Future;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::{StatusCode, header};
use axum::middleware::from_fn;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use tokio::net::TcpListener;

use crate::error::PageError;
use crate::guard::guard;
use crate::layout::{ICON, MAP_SCRIPT, MAP_STYLE, STYLE};
use crate::pages::{
    area, audit, close, daybook, demo, entry, fault, leak, log, map, new, now, open, patch, plant, plant_out, pressure,
    programme, safety, seasons, settings, shed, watch, water, water_cost, weather, weeds,
};
use crate::state::Site;

/// Most bytes of a form.
pub const FORM_BYTES_MAX: usize = 256 * 1024;

/// Most bytes of an upload: the largest weather file the readers take, and room for the form around it.
pub const UPLOAD_BYTES_MAX: usize = feeds::BYTES_MAX as usize + FORM_BYTES_MAX;

/// Runs work that takes the processor or the disk away from the threads that answer.
pub(crate) async fn off_thread<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, PageError> + Send + 'static,
) -> Result<T, PageError> {
    tokio::task::spawn_blocking(work).await.unwrap_or_else(|_| Err(PageError::broken()))
}

async fn style() -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/css; charset=utf-8"),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    (headers, STYLE).into_response()
}

async fn map_style() -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/css; charset=utf-8"),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    (headers, MAP_STYLE).into_response()
}

async fn map_script() -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    (headers, MAP_SCRIPT).into_response()
}

async fn icon() -> Response {
    let headers = [(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "public, max-age=86400")];
    (headers, ICON).into_response()
}

async fn missing() -> PageError {
    PageError::Missing("There is no page of this name".to_owned())
}

async fn wrong_method() -> PageError {
    PageError::Told(
        StatusCode::METHOD_NOT_ALLOWED,
        "Not this way",
        "This page cannot be asked for like that".to_owned(),
    )
}

/// The pages of a site, guards included.
pub fn router(site: Site) -> Router {
    Router::new()
        .route("/", get(now::show))
        .route("/area/{key}", get(area::show))
        .route("/map", get(map::show::show))
        .route("/map/draw", get(map::draw::show).post(map::draw::save))
        .route("/map/coverage", post(map::coverage::answer))
        .route("/map/zone/{key}", get(map::coverage::show))
        .route("/map/sun", get(map::sun::show))
        .route(
            "/map/files",
            get(map::files::show)
                .post(map::files::upload)
                .layer(DefaultBodyLimit::max(mapfiles::BYTES_MAX + FORM_BYTES_MAX)),
        )
        .route("/map/files/take", post(map::files::take))
        .route("/map/files/{word}", get(map::files::write))
        .route("/map/tape", get(map::tape::show).post(map::tape::work_out))
        .route(
            "/map/underlay",
            get(map::underlay::show)
                .post(map::underlay::upload)
                .layer(DefaultBodyLimit::max(ledger::PICTURE_BYTES_MAX + FORM_BYTES_MAX)),
        )
        .route("/map/underlay/place", get(map::underlay::place).post(map::underlay::placed))
        .route("/map/picture/{hash}", get(map::underlay::picture))
        .route("/map/sheet", get(map::sheet::show))
        .route("/map/sheet.svg", get(map::sheet::svg))
        .route("/map/sheet.pdf", get(map::sheet::pdf))
        .route("/patch", get(patch::show))
        .route("/patch/plan", post(patch::take))
        .route(
            "/patch/photo",
            post(patch::photo::upload).layer(DefaultBodyLimit::max(ledger::PICTURE_BYTES_MAX + FORM_BYTES_MAX)),
        )
        .route("/patch/ground/{key}", get(patch::ground::image))
        .route("/water", get(water::show))
        .route("/water/programme", get(programme::show))
        .route("/water/audit", get(audit::show))
        .route("/water/open", get(open::show))
        .route("/water/leak", get(leak::show))
        .route("/water/close", get(close::show))
        .route("/water/pressure", get(pressure::show))
        .route("/water/cost", get(water_cost::show))
        .route("/water/fault", get(fault::show))
        .route("/plant", get(plant::show))
        .route("/plant/set-out", get(plant_out::show))
        .route("/water/seasons", get(seasons::show))
        .route("/watch", get(watch::show))
        .route("/weeds", get(weeds::show))
        .route("/weeds/which", get(weeds::which::show))
        .route("/weeds/{id}", get(weeds::one::show))
        .route("/daybook", get(daybook::show))
        .route("/entry/{id}", get(entry::show))
        .route("/entry/{id}/correct", get(log::correct).post(log::corrected))
        .route("/entry/{id}/withdraw", post(entry::withdraw))
        .route("/saved/{id}", get(entry::saved))
        .route("/log", get(log::list))
        .route("/log/{kind}", get(log::form).post(log::take))
        .route("/shed", get(shed::list::show))
        .route("/shed/{key}", get(shed::product::show))
        .route("/shed/{key}/confirm", post(shed::product::confirmed))
        .route("/shed/{key}/safety", get(shed::safety_sheet::show))
        .route("/costs", get(shed::cost::show))
        .route("/costs.csv", get(shed::cost::file))
        .route("/settings", get(settings::show))
        .route("/settings/export", get(settings::export))
        .route("/settings/weather", post(weather::upload).layer(DefaultBodyLimit::max(UPLOAD_BYTES_MAX)))
        .route("/settings/forecast", post(weather::upload_forecast).layer(DefaultBodyLimit::max(UPLOAD_BYTES_MAX)))
        .route("/new", get(new::show).post(new::make))
        .route("/safety", get(safety::show))
        .route("/demo/{step}", post(demo::step))
        .route("/style.css", get(style))
        .route("/map.css", get(map_style))
        .route("/map.js", get(map_script))
        .route("/favicon.svg", get(icon))
        .route("/healthz", get(async || "ok\n"))
        .fallback(missing)
        .method_not_allowed_fallback(wrong_method)
        .layer(DefaultBodyLimit::max(FORM_BYTES_MAX))
        .layer(from_fn(guard))
        .with_state(site)
}

/// Answers on the listener until `shutdown` is done; requests under way are finished first.
///
/// # Errors
/// What the system says of the socket.
pub async fn serve(
    site: Site,
    listener: TcpListener,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    axum::serve(listener, router(site)).with_graceful_shutdown(shutdown).await
}
