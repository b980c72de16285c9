//! Forms sent twice: each form that stores carries a key of its own, made when it was written, and a key stores once.
//!
//! A double click or a step back and a second press then lead to what the first press saved. A form that was saved, gone back
//! to and changed is neither lost nor stored unasked: it is shown again, with a new key.

use std::collections::VecDeque;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::time::SystemTime;

use maud::{Markup, html};
use ulid::Ulid;

use crate::view::{Pairs, value};

/// Name of the hidden field.
pub(crate) const NAME: &str = "once";

/// Used keys kept; beyond it the oldest is forgotten. Far more forms than one person has open.
const KEPT_MAX: usize = 256;

/// The hidden field of a form that stores, with a fresh key.
pub(crate) fn field() -> Markup {
    html! { input type="hidden" name=(NAME) value=(Ulid::from_datetime(SystemTime::now())); }
}

/// What is known of a form that comes in.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Before {
    /// Its key has stored nothing yet, or it has none.
    Never,
    /// The same form has stored; its page.
    Same(String),
    /// Its key has stored something else; the page of that.
    Other(String),
}

impl Before {
    /// The page of what the key has stored.
    pub(crate) fn page(self) -> Option<String> {
        match self {
            Self::Never => None,
            Self::Same(page) | Self::Other(page) => Some(page),
        }
    }
}

#[derive(Debug)]
struct Used {
    key: Ulid,
    said: u64,
    page: String,
}

/// The keys that have stored, newest last.
#[derive(Debug, Default)]
pub(crate) struct Once(VecDeque<Used>);

fn key_of(pairs: &Pairs) -> Option<Ulid> {
    value(pairs, NAME)?.parse().ok()
}

fn said(pairs: &Pairs) -> u64 {
    let mut hasher = DefaultHasher::new();
    for pair in pairs.iter().filter(|(name, _)| name != NAME && name != "token") {
        pair.hash(&mut hasher);
    }
    hasher.finish()
}

impl Once {
    /// Whether this form has stored before.
    pub(crate) fn before(&self, pairs: &Pairs) -> Before {
        let used = key_of(pairs).and_then(|key| self.0.iter().find(|u| u.key == key));
        match used {
            None => Before::Never,
            Some(u) if u.said == said(pairs) => Before::Same(u.page.clone()),
            Some(u) => Before::Other(u.page.clone()),
        }
    }

    /// Remembers that this form has stored what `page` shows.
    pub(crate) fn used(&mut self, pairs: &Pairs, page: &str) {
        let Some(key) = key_of(pairs) else { return };
        if self.0.len() == KEPT_MAX {
            self.0.pop_front();
        }
        self.0.push_back(Used { key, said: said(pairs), page: page.to_owned() });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(key: &str, text: &str) -> Pairs {
        [(NAME, key), ("token", "t"), ("text", text)].map(|(n, v)| (n.to_owned(), v.to_owned())).to_vec()
    }

    /// A key is known again with the same words, told apart with other words, and forgotten only after many more.
    #[test]
    fn keys_are_kept_and_bounded() {
        let keys: Vec<String> = (0..=KEPT_MAX as u128).map(|n| Ulid(n).to_string()).collect();
        let mut once = Once::default();
        assert_eq!(once.before(&form(&keys[0], "a")), Before::Never);
        for (n, key) in keys[..KEPT_MAX].iter().enumerate() {
            once.used(&form(key, "a"), &format!("/saved/{n}"));
        }
        assert_eq!(once.before(&form(&keys[0], "a")), Before::Same("/saved/0".to_owned()));
        assert_eq!(once.before(&form(&keys[0], "b")), Before::Other("/saved/0".to_owned()));
        once.used(&form(&keys[KEPT_MAX], "a"), "/saved/last");
        assert_eq!(once.before(&form(&keys[0], "a")), Before::Never);
        assert_eq!(once.before(&form(&keys[1], "a")), Before::Same("/saved/1".to_owned()));
        assert_eq!(once.0.len(), KEPT_MAX);
    }

    /// What is no key is none: such a form stores, and nothing of it is kept.
    #[test]
    fn no_key() {
        let mut once = Once::default();
        for key in ["", "x", &"0".repeat(100_000)] {
            once.used(&form(key, "a"), "/saved/1");
            assert_eq!(once.before(&form(key, "a")), Before::Never);
        }
        assert!(once.0.is_empty());
    }
}
