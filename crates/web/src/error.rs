//! What a request is answered with when its page cannot be shown.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use ledger::{ErrorKind, LedgerError};
use maud::html;

use crate::layout;
use crate::record::RecordError;

#[derive(Debug)]
pub(crate) enum PageError {
    /// No yard has been made yet.
    NoYard,
    /// There is no such page or thing.
    Missing(String),
    /// Everything else: status, heading, sentence.
    Told(StatusCode, &'static str, String),
}

impl PageError {
    /// The request cannot be understood.
    pub(crate) fn bad(heading: &'static str, message: impl Into<String>) -> Self {
        Self::Told(StatusCode::BAD_REQUEST, heading, message.into())
    }

    /// A fault of the program.
    pub(crate) fn broken() -> Self {
        let message = "Something in Toft failed while it made this page. What was saved before is safe. Try again";
        Self::Told(StatusCode::INTERNAL_SERVER_ERROR, "Toft failed", message.to_owned())
    }
}

impl From<LedgerError> for PageError {
    fn from(error: LedgerError) -> Self {
        let status = match error.kind() {
            ErrorKind::Input => StatusCode::CONFLICT,
            ErrorKind::DataFile | ErrorKind::Bug => StatusCode::INTERNAL_SERVER_ERROR,
            ErrorKind::Machine => StatusCode::SERVICE_UNAVAILABLE,
        };
        Self::Told(status, "Nothing was saved", error.to_string())
    }
}

impl From<RecordError> for PageError {
    fn from(error: RecordError) -> Self {
        match error {
            RecordError::Ledger(e) => e.into(),
            other => Self::Told(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was saved", other.to_string()),
        }
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        let (status, heading, message) = match self {
            Self::NoYard => return Redirect::to("/new").into_response(),
            Self::Missing(message) => (StatusCode::NOT_FOUND, "Not here", message),
            Self::Told(status, heading, message) => (status, heading, message),
        };
        let body = html! {
            h1 { (heading) }
            p.lead { (message) @if !message.ends_with(['.', '!', '?']) { "." } }
            p { a.button href="/" { "To the first page" } }
        };
        (status, layout::bare(heading, body)).into_response()
    }
}
