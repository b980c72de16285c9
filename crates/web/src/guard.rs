//! Who is let in: this machine by its own names, forms from its own pages; and the headers every answer carries.

use axum::extract::Request;
use axum::http::header::{self, HeaderValue};
use axum::http::{HeaderMap, HeaderName, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::error::PageError;

/// What a page may load and where its forms may go.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self'; \
                              img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Compares without telling by its time where the first difference is.
pub(crate) fn same_secret(a: &str, b: &str) -> bool {
    a.len() == b.len() && std::hint::black_box(a.bytes().zip(b.bytes()).fold(0u8, |all, (x, y)| all | (x ^ y))) == 0
}

/// True for a name of this machine, with or without a port.
fn is_this_machine(host: &str) -> bool {
    let bare = |name: &str| {
        host.strip_prefix(name).is_some_and(|rest| {
            rest.is_empty()
                || rest
                    .strip_prefix(':')
                    .is_some_and(|p| (1..=5).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_digit()))
        })
    };
    bare("localhost") || bare("127.0.0.1") || bare("[::1]")
}

fn host_of(headers: &HeaderMap) -> Result<&str, PageError> {
    let mut hosts = headers.get_all(header::HOST).iter();
    match (hosts.next().map(HeaderValue::to_str), hosts.next()) {
        (Some(Ok(host)), None) if is_this_machine(host) => Ok(host),
        (Some(Ok(host)), None) => {
            let message = format!("Toft answers to localhost, 127.0.0.1 and [::1] only, not to “{host}”");
            Err(PageError::Told(StatusCode::MISDIRECTED_REQUEST, "Not this name", message))
        }
        _ => Err(PageError::bad("No name", "The request does not say which host it is for")),
    }
}

fn check(request: &Request) -> Result<(), PageError> {
    let headers = request.headers();
    let host = host_of(headers)?;
    if let Some(authority) = request.uri().authority()
        && authority.as_str() != host
    {
        return Err(PageError::bad("Two names", "The request names two hosts"));
    }
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return Ok(());
    }
    let refused = |what: &str| {
        let message = format!("The form comes from another page ({what}). Nothing was changed");
        Err(PageError::Told(StatusCode::FORBIDDEN, "Not taken", message))
    };
    let origins_fit = headers
        .get_all(header::ORIGIN)
        .iter()
        .all(|o| o.to_str().is_ok_and(|o| o.strip_prefix("http://") == Some(host)));
    if !origins_fit {
        return refused("Origin");
    }
    let site = HeaderName::from_static("sec-fetch-site");
    if headers.get(&site).is_some_and(|s| s != "same-origin" && s != "none") {
        return refused("Sec-Fetch-Site");
    }
    Ok(())
}

/// Lets a request pass or answers it with a page that says why not, and puts the headers on the answer.
pub(crate) async fn guard(request: Request, next: Next) -> Response {
    let mut response = match check(&request) {
        Ok(()) => next.run(request).await,
        Err(refused) => refused.into_response(),
    };
    let headers = response.headers_mut();
    let mut put = |name: HeaderName, value: &'static str| {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    };
    put(header::CONTENT_SECURITY_POLICY, CONTENT_POLICY);
    put(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    put(header::X_FRAME_OPTIONS, "DENY");
    put(header::REFERRER_POLICY, "same-origin");
    put(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    put(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    put(header::CACHE_CONTROL, "no-cache");
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Only the three names, with a port or none; a name that only begins like one is not it.
    #[test]
    fn names_of_this_machine() {
        for host in ["localhost", "localhost:8080", "127.0.0.1:1", "[::1]:65535", "[::1]"] {
            assert!(is_this_machine(host), "{host}");
        }
        for host in [
            "",
            "localhost.example",
            "localhost:",
            "localhost:80a",
            "127.0.0.1.example:80",
            "127.0.0.2",
            "::1",
            "example",
        ] {
            assert!(!is_this_machine(host), "{host}");
        }
    }

    #[test]
    fn secrets() {
        assert!(same_secret("abc", "abc"));
        assert!(!same_secret("abc", "abd"));
        assert!(!same_secret("abc", "ab"));
        assert!(!same_secret("", "a"));
    }
}
