//! What comes in: pairs of a query or a form, with a page of our own where they cannot be read.

use axum::extract::rejection::{FormRejection, QueryRejection};
use axum::extract::{Form, FromRequest, FromRequestParts, Query, Request};
use axum::http::StatusCode;
use axum::http::request::Parts;

use crate::error::PageError;
use crate::guard::same_secret;
use crate::state::Site;
use crate::view::{Pairs, value};

/// The pairs of the query.
pub(crate) struct Asked(pub(crate) Pairs);

impl<S: Send + Sync> FromRequestParts<S> for Asked {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, PageError> {
        let query: Result<Query<Pairs>, QueryRejection> = Query::from_request_parts(parts, state).await;
        query.map(|Query(pairs)| Self(pairs)).map_err(|e| PageError::bad("The address cannot be read", e.body_text()))
    }
}

/// The pairs of a form that was sent, and whether it carried this run's token.
pub(crate) struct Posted {
    pub(crate) pairs: Pairs,
    pub(crate) trusted: bool,
}

impl Posted {
    /// The pairs, if the form is one of this run's pages.
    pub(crate) fn checked(self) -> Result<Pairs, PageError> {
        if self.trusted { Ok(self.pairs) } else { Err(untrusted()) }
    }
}

pub(crate) fn untrusted() -> PageError {
    let message = "The form does not carry this run’s token: it was opened before Toft was started anew, or comes from elsewhere. \
                   Nothing was changed. Open the page again and repeat it";
    PageError::Told(StatusCode::FORBIDDEN, "Not taken", message.to_owned())
}

impl FromRequest<Site> for Posted {
    type Rejection = PageError;

    async fn from_request(request: Request, site: &Site) -> Result<Self, PageError> {
        let form: Result<Form<Pairs>, FormRejection> = Form::from_request(request, site).await;
        let Form(pairs) = form.map_err(|e| {
            if e.status() == StatusCode::PAYLOAD_TOO_LARGE {
                let message = format!("A form has at most {} KB. Nothing was saved", crate::FORM_BYTES_MAX / 1024);
                PageError::Told(StatusCode::PAYLOAD_TOO_LARGE, "Too long", message)
            } else {
                PageError::bad("The form cannot be read", e.body_text())
            }
        })?;
        let trusted = value(&pairs, "token").is_some_and(|t| same_secret(t, site.token()));
        Ok(Self { pairs, trusted })
    }
}
