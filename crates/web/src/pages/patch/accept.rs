//! One tap for the whole plan: the look into the daybook, and what it comes to as planned work.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use yard::diagnosis::plan_of;
use yard::entry::Body;
use yard::form;

use crate::error::PageError;
use crate::extract::Posted;
use crate::once::Before;
use crate::record::record;
use crate::server::off_thread;
use crate::state::Site;
use crate::typed::typed_of;
use crate::view::{Pairs, View, date_of, value};

/// Writes the look down, then the work its plan comes to. The plan is reckoned anew from what was stored, never taken from the page.
pub(crate) async fn take(State(site): State<Site>, posted: Posted) -> Result<Response, PageError> {
    off_thread(move || {
        let pairs = posted.checked()?;
        let mut once = site.once();
        if let Before::Same(page) | Before::Other(page) = once.before(&pairs) {
            return Ok(Redirect::to(&page).into_response());
        }
        let on = date_of(value(&pairs, "on").unwrap_or_default()).map_err(|m| PageError::bad("No such day", m))?;
        let spec = form::form("scouted").ok_or_else(|| PageError::Missing("There is no such form".to_owned()))?;
        let entry = record(&site, spec.kind, &typed_of(spec, "", &pairs), on, None)?;
        let page = format!("/saved/{}", entry.id);
        once.used(&pairs, &page);
        let Body::Scouted(scouted) = &entry.body else { return Ok(Redirect::to(&page).into_response()) };
        // The day's view as it is now: a plan of before must not stand against itself.
        let day: Pairs = vec![("on".to_owned(), on.to_string())];
        let view = View::open(&site, &day)?;
        let plan = view.yard.area(&scouted.area).and_then(|area| plan_of(&view.scene(), area, scouted));
        for meant in plan.iter().flat_map(|p| &p.to_plan) {
            record(&site, meant.entry.kind, &meant.entry.fields, meant.on.max(view.today), None)?;
        }
        Ok(Redirect::to(if plan.is_some() { "/" } else { &page }).into_response())
    })
    .await
}
