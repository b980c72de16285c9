//! Stepping the day of a demo.

use axum::extract::{Path, State};
use axum::response::Redirect;

use crate::error::PageError;
use crate::extract::Posted;
use crate::state::Site;
use crate::view::value;

/// A path of this host to go back to: nothing that could name another.
fn back(raw: Option<&str>) -> &str {
    raw.filter(|p| p.starts_with('/') && !p.starts_with("//") && p.bytes().all(|b| b.is_ascii_graphic() && b != b'\\'))
        .unwrap_or("/")
}

pub(crate) async fn step(
    State(site): State<Site>,
    Path(step): Path<String>,
    posted: Posted,
) -> Result<Redirect, PageError> {
    let pairs = posted.checked()?;
    if site.demo_start().is_none() {
        return Err(PageError::Missing("Only a demo can be stepped".to_owned()));
    }
    match step.as_str() {
        "day" => site.step(Some(1)),
        "week" => site.step(Some(7)),
        "start" => site.step(None),
        _ => return Err(PageError::Missing("A demo goes a day on, a week on, or back to the start".to_owned())),
    }
    Ok(Redirect::to(back(value(&pairs, "back"))))
}

#[cfg(test)]
mod tests {
    use super::back;

    /// Only a path of this host is gone back to.
    #[test]
    fn paths_back() {
        assert_eq!(back(Some("/water")), "/water");
        for bad in ["//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere.example", "", "/a b", "/é"] {
            assert_eq!(back(Some(bad)), "/", "{bad}");
        }
        assert_eq!(back(None), "/");
    }
}
