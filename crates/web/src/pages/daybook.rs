//! The daybook: every entry in force, newest first.

use std::collections::BTreeMap;

use axum::extract::State;
use jiff::civil::Date;
use maud::{Markup, html};
use yard::entry::Body;
use yard::form::FORMS;
use yard::{Entry, in_force};

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, prose, time};
use crate::logbook_links::query;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, date_of, value};
use yard::words;

/// Entries on one page.
const PAGE_ENTRIES: usize = 100;

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let filter = Filter::of(&asked)?;
        Ok(view.page("Daybook", Section::Daybook, "/daybook", main(&view, &filter)))
    })
    .await
}

/// Entries in force, newest first; what happened after the day looked at is left out, plans are kept.
pub(crate) fn shown(view: &View) -> Vec<&Entry> {
    let mut list = in_force(&view.facts.entries);
    list.retain(|e| e.happened_on <= view.on || matches!(e.body, Body::Planned(_)));
    list.reverse();
    list
}

struct Filter {
    area: Option<String>,
    kind: Option<String>,
    from: Option<Date>,
    to: Option<Date>,
    page: usize,
}

impl Filter {
    fn of(asked: &Pairs) -> Result<Self, PageError> {
        let date = |name| value(asked, name).map(date_of).transpose().map_err(|m| PageError::bad("No such day", m));
        Ok(Self {
            area: value(asked, "area").map(str::to_owned),
            kind: value(asked, "kind").map(str::to_owned),
            from: date("from")?,
            to: date("to")?,
            page: value(asked, "page").and_then(|p| p.parse().ok()).unwrap_or(1).max(1),
        })
    }

    fn takes(&self, entry: &Entry, view: &View) -> bool {
        let in_area = |area: &String| {
            let by_zone = || {
                let zone = entry.body.zone().and_then(|z| view.yard.zone(z));
                zone.is_some_and(|z| z.areas.contains(area))
            };
            entry.body.areas().contains(&area.as_str()) || by_zone()
        };
        self.area.as_ref().is_none_or(in_area)
            && self.kind.as_ref().is_none_or(|k| entry.body.kind() == k)
            && self.from.is_none_or(|d| entry.happened_on >= d)
            && self.to.is_none_or(|d| entry.happened_on <= d)
    }

    fn link(&self, view: &View, page: usize) -> String {
        let dates = (self.from.map(|d| d.to_string()), self.to.map(|d| d.to_string()));
        let number = page.to_string();
        let all = [
            ("area", self.area.as_deref()),
            ("kind", self.kind.as_deref()),
            ("from", dates.0.as_deref()),
            ("to", dates.1.as_deref()),
            ("page", Some(number.as_str())),
        ];
        view.link(&format!("/daybook{}", query(all.iter().filter_map(|(n, v)| Some((*n, (*v)?))))))
    }
}

/// The word of a kind: the title of its form.
pub(crate) fn kind_word(kind: &str) -> &str {
    if kind == "planned" { "Plan" } else { FORMS.iter().find(|f| f.kind == kind).map_or(kind, |f| f.title) }
}

/// Entries under their days, in the order given.
pub(crate) fn days(view: &View, list: &[&Entry]) -> Markup {
    html! {
        @if list.is_empty() { p { "Nothing yet." } }
        @for day in list.chunk_by(|a, b| a.happened_on == b.happened_on) {
            section.day {
                h3 { (time(day[0].happened_on)) @if day[0].happened_on > view.today { span.ahead { " ahead" } } }
                ul.entries {
                    @for e in day {
                        li {
                            a href=(view.link(&format!("/entry/{}", e.id))) { (prose(&words::line(&e.body, &view.yard))) }
                            @if let Some(cost) = e.body.cost() { span.cost { " " (words::money(&view.yard, cost)) } }
                        }
                    }
                }
            }
        }
    }
}

fn form(view: &View, filter: &Filter) -> Markup {
    let mut kinds: Vec<&str> = FORMS.iter().map(|f| f.kind).filter(|k| !k.starts_with("plan-")).collect();
    kinds.push("planned");
    let raw = |d: Option<Date>| d.map(|d| d.to_string()).unwrap_or_default();
    html! {
        form.filter method="get" action="/daybook" {
            @if view.on != view.today { input type="hidden" name="on" value=(view.on); }
            div.field {
                label for="area" { "Area" }
                select #area name="area" {
                    option value="" { "all" }
                    @for a in &view.yard.areas { option value=(a.key) selected[filter.area.as_ref() == Some(&a.key)] { (a.name) } }
                }
            }
            div.field {
                label for="kind" { "Kind" }
                select #kind name="kind" {
                    option value="" { "all" }
                    @for k in kinds { option value=(k) selected[filter.kind.as_deref() == Some(k)] { (kind_word(k)) } }
                }
            }
            div.field { label for="from" { "From" } input #from type="date" name="from" value=(raw(filter.from)); }
            div.field { label for="to" { "To" } input #to type="date" name="to" value=(raw(filter.to)); }
            button { "Show" }
        }
    }
}

fn costs(view: &View, list: &[&Entry]) -> Markup {
    let mut years: BTreeMap<i16, f64> = BTreeMap::new();
    for e in list {
        if let Some(cost) = e.body.cost() {
            *years.entry(e.happened_on.year()).or_default() += cost;
        }
    }
    html! {
        @if !years.is_empty() {
            section aria-labelledby="costs" {
                h2 #costs { "Money spent" }
                table {
                    caption.hidden { "Money spent by year, of the entries shown" }
                    tbody {
                        @for (year, sum) in years.iter().rev() {
                            tr { th scope="row" { (year) } td.num { (words::money(&view.yard, *sum)) } }
                        }
                    }
                }
            }
        }
    }
}

fn main(view: &View, filter: &Filter) -> Markup {
    let mut list = shown(view);
    list.retain(|e| filter.takes(e, view));
    let pages = list.len().div_ceil(PAGE_ENTRIES).max(1);
    let page = filter.page.min(pages);
    let part: Vec<&Entry> = list.iter().skip((page - 1) * PAGE_ENTRIES).take(PAGE_ENTRIES).copied().collect();
    html! {
        div.head { h1 { "Daybook" } }
        div.columns {
            div {
                h2.hidden { "Entries" }
                p { (list.len()) @if list.len() == 1 { " entry" } @else { " entries" } @if pages > 1 { ", page " (page) " of " (pages) } }
                (days(view, &part))
                @if pages > 1 {
                    nav.pages aria-label="Pages" {
                        @if page > 1 { a.button href=(filter.link(view, page - 1)) rel="prev" { "Newer" } }
                        @if page < pages { a.button href=(filter.link(view, page + 1)) rel="next" { "Older" } }
                    }
                }
            }
            div {
                section aria-labelledby="choose" { h2 #choose { "Choose" } (form(view, filter)) }
                (costs(view, &list))
            }
        }
    }
}
