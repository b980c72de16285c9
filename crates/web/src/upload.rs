//! A file that is sent in: read in bounds, its form's token looked at first.

use std::pin::Pin;

use axum::body::{Body, HttpBody};
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, Multipart, Request};
use axum::http::{StatusCode, header};

use crate::error::PageError;
use crate::extract::untrusted;
use crate::guard::same_secret;
use crate::state::Site;
use crate::view::{Pairs, value};

/// Longest file name kept.
const NAME_CHARS_MAX: usize = 80;
/// Most bytes of a field beside the file.
const FIELD_BYTES_MAX: usize = 1024;
/// Most bytes read and thrown away after a refusal, so that the browser gets to read the answer.
const DRAINED_BYTES_MAX: u64 = 16 << 30;

/// A file with the words sent beside it.
pub(crate) struct Upload {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
    pub(crate) said: Pairs,
}

/// What a file may be at most, and the words for it.
pub(crate) struct Room {
    pub(crate) bytes_max: usize,
    /// What it is called where it has no name.
    pub(crate) what: &'static str,
    /// What stands behind "The file is larger than so many MB, ".
    pub(crate) too_large: &'static str,
}

fn too_large(room: &Room) -> PageError {
    let message = format!("The file is larger than {} MB, {}", room.bytes_max >> 20, room.too_large);
    PageError::Told(StatusCode::PAYLOAD_TOO_LARGE, "Too large", message)
}

fn of_multipart(error: &MultipartError, room: &Room) -> PageError {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        too_large(room)
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

async fn small(field: Field<'_>, room: &Room) -> Result<(String, String), PageError> {
    let name = field.name().unwrap_or_default().to_owned();
    let text = field.text().await.map_err(|e| of_multipart(&e, room))?;
    if text.len() > FIELD_BYTES_MAX {
        return Err(PageError::bad("The upload cannot be read", format!("The field {name} is too long")));
    }
    Ok((name, text))
}

/// Reads a form with one file in it: its token first, then the words, then the file.
pub(crate) async fn read(site: &Site, request: Request, room: &Room) -> Result<Upload, PageError> {
    if said_length(&request).is_some_and(|n| n > room.bytes_max as u64) {
        drain(request.into_body());
        return Err(too_large(room));
    }
    let mut parts = Multipart::from_request(request, site)
        .await
        .map_err(|e| PageError::bad("The upload cannot be read", e.body_text()))?;
    let mut said = Pairs::new();
    while let Some(mut field) = parts.next_field().await.map_err(|e| of_multipart(&e, room))? {
        if field.name() != Some("file") {
            if said.len() < 16 {
                said.push(small(field, room).await?);
            }
            continue;
        }
        // The token stands before the file, so that a stranger's file is not even read.
        if !value(&said, "token").is_some_and(|t| same_secret(t, site.token())) {
            return Err(untrusted());
        }
        let whole = field.file_name().unwrap_or(room.what).to_owned();
        let last = whole.rsplit(['/', '\\']).next().unwrap_or_default();
        let name: String = last.chars().filter(|c| !c.is_control()).take(NAME_CHARS_MAX).collect();
        let mut bytes = Vec::new();
        while let Some(chunk) = field.chunk().await.map_err(|e| of_multipart(&e, room))? {
            bytes.extend_from_slice(&chunk);
        }
        return Ok(Upload { name: if name.is_empty() { room.what.to_owned() } else { name }, bytes, said });
    }
    Err(PageError::bad("No file", "The upload has no file in it. Choose one and send it again"))
}
