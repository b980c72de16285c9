//! From a piece of advice to the form that logs it, filled in as far as the advice tells.

use maud::{Markup, html};
use yard::Item;
use yard::form::Typed;

use crate::layout::token;
use crate::once;
use crate::view::View;

/// Name of the hidden field with the plan that a log entry takes the place of.
pub(crate) const FULFILS: &str = "fulfils";

/// A query string from pairs, percent-encoded.
pub(crate) fn query<'a>(pairs: impl IntoIterator<Item = (&'a str, &'a str)>) -> String {
    let mut out = String::new();
    for (name, value) in pairs {
        out.push(if out.is_empty() { '?' } else { '&' });
        for (i, text) in [name, value].into_iter().enumerate() {
            if i == 1 {
                out.push('=');
            }
            for b in text.bytes() {
                if b.is_ascii_alphanumeric() || b"-_.~,".contains(&b) {
                    out.push(char::from(b));
                } else {
                    out.push_str(&format!("%{b:02X}"));
                }
            }
        }
    }
    out
}

fn of_typed(kind: &str, typed: &Typed, more: &[(&str, &str)]) -> String {
    let pairs = typed.iter().map(|(n, v)| (n.as_str(), v.as_str())).chain(more.iter().copied());
    format!("/log/{kind}{}", query(pairs))
}

/// The entry of the plan an item is about.
fn plan_of(item: &Item) -> Option<&str> {
    item.id.strip_prefix("plan:")
}

/// The entry that the logged work takes the place of: a plan, or something found that waits to be mended.
fn fulfilled_by(item: &Item) -> Option<&str> {
    plan_of(item).or_else(|| item.id.strip_prefix("mend:"))
}

fn targets(item: &Item) -> Vec<(String, String)> {
    let plan = plan_of(item);
    let fulfils: Vec<(&str, &str)> = fulfilled_by(item).map(|id| (FULFILS, id)).into_iter().collect();
    let mut links: Vec<(String, String)> =
        item.log.iter().map(|log| (log.words.clone(), of_typed(log.kind, &log.fields, &fulfils))).collect();
    if let Some(area) = item.id.strip_prefix("scout:") {
        links.insert(0, ("Find out what it is".to_owned(), format!("/patch{}", query([("area", area)]))));
    }
    match item.id.as_str() {
        "system:open" => links.insert(0, ("Zone by zone".to_owned(), "/water/open".to_owned())),
        "system:shut" => links.insert(0, ("How, and when it freezes".to_owned(), "/water/close".to_owned())),
        _ => {}
    }
    if let Some(id) = plan {
        links.push(("Change the plan".to_owned(), format!("/entry/{id}/correct")));
    }
    links
}

/// Links to the forms that log this item; a plan can be changed and dropped as well.
pub(crate) fn log_links(view: &View, item: &Item) -> Markup {
    html! {
        @for (word, href) in targets(item) { a.button href=(view.link(&href)) { (word) } }
        @if let Some(id) = plan_of(item) {
            form method="post" action=(format!("/entry/{id}/withdraw")) {
                (token(view))
                (once::field())
                input type="hidden" name="why" value="plan dropped";
                button.quiet { "Drop the plan" }
            }
        }
    }
}
