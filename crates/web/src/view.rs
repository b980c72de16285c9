//! What a page is drawn from: the facts, the day it is for, the yard of that day.

use std::sync::Arc;

use almanac::Almanac;
use jiff::civil::Date;
use maud::Markup;
use yard::advice::Scene;
use yard::check_entry::{YEAR_MAX, YEAR_MIN};
use yard::{Advice, Units, Weather, Yard};

use crate::error::PageError;
use crate::layout::{self, Section};
use crate::state::{Facts, Site};

/// Pairs of a query or a form, in order.
pub(crate) type Pairs = Vec<(String, String)>;

/// The first value of a name.
pub(crate) fn value<'a>(pairs: &'a Pairs, name: &str) -> Option<&'a str> {
    pairs.iter().find(|(n, _)| n == name).map(|(_, v)| v.trim()).filter(|v| !v.is_empty())
}

/// A date a person gave: as a date field sends it (2026-04-25), or as pages write it (25 Apr 2026).
pub(crate) fn date_of(raw: &str) -> Result<Date, String> {
    let text = raw.trim();
    let date: Date = text
        .parse()
        .or_else(|_| Date::strptime("%d %b %Y", text))
        .map_err(|_| format!("“{raw}” is not a date; write it like 25 Apr 2026"))?;
    if (YEAR_MIN..=YEAR_MAX).contains(&date.year()) {
        Ok(date)
    } else {
        Err(format!("“{raw}” is not between the years {YEAR_MIN} and {YEAR_MAX}"))
    }
}

pub(crate) struct View {
    pub(crate) site: Site,
    pub(crate) facts: Arc<Facts>,
    pub(crate) weather: Arc<Weather>,
    pub(crate) today: Date,
    pub(crate) on: Date,
    pub(crate) yard: Yard,
}

impl View {
    /// The view of the day a query asks for with `on`, today where it does not.
    pub(crate) fn open(site: &Site, query: &Pairs) -> Result<View, PageError> {
        let facts = site.facts();
        let weather = facts.weather.clone().ok_or(PageError::NoYard)?;
        let today = site.today();
        let on = match value(query, "on") {
            Some(raw) => date_of(raw).map_err(|m| PageError::bad("No such day", m))?,
            None => today,
        };
        let yard = yard::fold(&facts.entries, on);
        Ok(View { site: site.clone(), facts, weather, today, on, yard })
    }

    pub(crate) fn almanac(&self) -> &'static Almanac {
        Almanac::embedded()
    }

    pub(crate) fn units(&self) -> Units {
        self.yard.units()
    }

    pub(crate) fn advice(&self) -> Advice {
        yard::advise(&self.yard, &self.weather, self.almanac(), self.on)
    }

    pub(crate) fn scene(&self) -> Scene<'_> {
        Scene { yard: &self.yard, weather: &self.weather, almanac: self.almanac(), on: self.on }
    }

    /// A path that keeps the day looked at.
    pub(crate) fn link(&self, path: &str) -> String {
        if self.on == self.today {
            path.to_owned()
        } else {
            let joint = if path.contains('?') { '&' } else { '?' };
            match path.split_once('#') {
                Some((page, anchor)) => format!("{page}{joint}on={}#{anchor}", self.on),
                None => format!("{path}{joint}on={}", self.on),
            }
        }
    }

    /// A whole page.
    pub(crate) fn page(&self, title: &str, section: Section, path: &str, main: Markup) -> Markup {
        layout::page(self, title, section, path, main)
    }
}
