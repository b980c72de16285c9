//! A guided search in an address: what was found so far, in order, and what cannot be done. Nothing is stored on the way, and a step back
//! of the browser is a step back of the search.

use crate::logbook_links::query;
use crate::view::Pairs;

/// Findings one address may hold.
const FINDINGS_MAX: usize = 60;

/// A search so far.
#[derive(Clone, Debug)]
pub(crate) struct FoundPath {
    page: String,
    /// What the search is about.
    about: Vec<(String, String)>,
    /// Test and outcome.
    pub(crate) found: Vec<(String, String)>,
    /// Tests that are left out.
    pub(crate) without: Vec<String>,
}

impl FoundPath {
    /// Reads it from a query; `about` are the names of the pairs that say what the search is about.
    pub(crate) fn of(page: &str, about: &[&str], asked: &Pairs) -> Self {
        let all = |name: &'static str| {
            asked.iter().filter(move |(n, _)| n == name).map(|(_, v)| v.clone()).take(FINDINGS_MAX)
        };
        let pair = |f: String| f.split_once(':').map(|(test, outcome)| (test.to_owned(), outcome.to_owned()));
        let about = about.iter().filter_map(|name| {
            let value = asked.iter().find(|(n, v)| n == name && !v.trim().is_empty())?.1.trim().to_owned();
            Some(((*name).to_owned(), value))
        });
        Self {
            page: page.to_owned(),
            about: about.collect(),
            found: all("f").filter_map(pair).collect(),
            without: all("w").collect(),
        }
    }

    /// One of the pairs that say what it is about.
    pub(crate) fn about(&self, name: &str) -> Option<&str> {
        self.about.iter().find(|(n, _)| n == name).map(|(_, v)| v.as_str())
    }

    /// The same search about something more.
    pub(crate) fn on(&self, name: &str, value: &str) -> Self {
        let mut next = self.clone();
        next.about.retain(|(n, _)| n != name);
        next.about.push((name.to_owned(), value.to_owned()));
        next
    }

    /// The same search without some of the pairs that say what it is about.
    pub(crate) fn not_about(&self, names: &[&str]) -> Self {
        let mut next = self.clone();
        next.about.retain(|(n, _)| !names.contains(&n.as_str()));
        next
    }

    /// The same search with a test's answer left open, so that another takes its place.
    pub(crate) fn without_answer(&self, test: &str) -> Self {
        let mut next = self.clone();
        next.found.retain(|(t, _)| t != test);
        next
    }

    /// The search in pairs, as the hidden fields of a form carry it.
    pub(crate) fn pairs(&self) -> Pairs {
        let found = self.found.iter().map(|(test, outcome)| ("f".to_owned(), format!("{test}:{outcome}")));
        let without = self.without.iter().map(|w| ("w".to_owned(), w.clone()));
        self.about.iter().cloned().chain(found).chain(without).collect()
    }

    pub(crate) fn href(&self) -> String {
        let pairs = self.pairs();
        let pairs = pairs.iter().map(|(n, v)| (n.as_str(), v.as_str()));
        format!("{}{}", self.page, query(pairs))
    }

    /// The search with one more finding.
    pub(crate) fn found(&self, test: &str, outcome: &str) -> String {
        let mut next = self.clone();
        next.found.push((test.to_owned(), outcome.to_owned()));
        next.href()
    }

    /// The search without a test that cannot be done.
    pub(crate) fn left_out(&self, test: &str) -> String {
        let mut next = self.clone();
        next.without.push(test.to_owned());
        next.href()
    }

    /// The search with a test that was left out asked for again.
    pub(crate) fn asked_again(&self, test: &str) -> String {
        let mut next = self.clone();
        next.without.retain(|w| w != test);
        next.href()
    }

    /// The search with a finding taken back.
    pub(crate) fn taken_back(&self, place: usize) -> String {
        let mut next = self.clone();
        next.found.remove(place);
        next.href()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// There and back: a search reads itself from its own address, and a finding taken back is gone.
    #[test]
    fn an_address_is_the_search() {
        let asked: Pairs = [("symptom", "weak"), ("f", "a:b"), ("f", "no"), ("f", "c:d e"), ("w", "x")]
            .map(|(n, v)| (n.to_owned(), v.to_owned()))
            .to_vec();
        let path = FoundPath::of("/p", &["symptom", "zone"], &asked);
        assert_eq!(path.href(), "/p?symptom=weak&f=a%3Ab&f=c%3Ad%20e&w=x");
        assert_eq!(path.taken_back(0), "/p?symptom=weak&f=c%3Ad%20e&w=x");
        assert_eq!(path.on("symptom", "dead").about("symptom"), Some("dead"));
    }
}
