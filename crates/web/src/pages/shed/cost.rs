//! What it cost: by year, by job, by area; and all of it as CSV.

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use maud::{Markup, html};
use yard::shed::{CostReport, costs};
use yard::words::money;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, sentence, time};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, date_of, value};

/// Lines shown; the file has all.
const SHOWN: usize = 60;

fn span(view: &View, asked: &Pairs) -> Result<(Date, Date), PageError> {
    let first = view.facts.entries.iter().map(|e| e.happened_on).min().unwrap_or(view.on);
    let read = |name: &str, usual: Date| match value(asked, name) {
        None => Ok(usual),
        Some(raw) => date_of(raw).map_err(|m| PageError::bad("No such day", m)),
    };
    Ok((read("from", first)?, read("to", view.on)?))
}

fn sums<K: std::fmt::Display>(view: &View, heading: &str, id: &str, rows: impl Iterator<Item = (K, f64)>) -> Markup {
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (heading) }
            table { tbody { @for (name, amount) in rows { tr { th scope="row" { (sentence(&name.to_string())) } td.num { (money(&view.yard, amount)) } } } } }
        }
    }
}

fn main(view: &View, from: Date, to: Date, report: &CostReport) -> Markup {
    // A list, not a map: two areas may have one name.
    let areas: Vec<(String, f64)> = report
        .by_area
        .iter()
        .map(|(key, sum)| {
            (if key.is_empty() { "No one area".to_owned() } else { view.yard.area_name(key).to_owned() }, *sum)
        })
        .collect();
    html! {
        div.head { h1 { "Costs" } p { (time(from)) " to " (time(to)) } }
        form.inline method="get" action="/costs" {
            label { "From " input type="date" name="from" value=(from); }
            label { " to " input type="date" name="to" value=(to); }
            button.quiet { "Show" }
        }
        @if report.lines.is_empty() && report.spent_by_year.is_empty() { p { "No cost is written down in these days." } }
        @else {
            div.columns {
                div {
                    (sums(view, "Spent, by year", "years", report.spent_by_year.iter().map(|(y, s)| (*y, *s))))
                    (sums(view, "Used, by job", "jobs", report.by_job.iter().map(|(j, s)| (*j, *s))))
                    (sums(view, "Used, by area", "areas", areas.into_iter()))
                    @if report.without_price > 0 {
                        p { (report.without_price) " applications are of products without a known price: give the purchase its amount and cost." }
                    }
                }
                section aria-labelledby="lines" {
                    h2 #lines { "Line by line" }
                    p { a.button.quiet href=(format!("/costs.csv?from={from}&to={to}")) download { "As CSV" } }
                    div.wide {
                        table {
                            caption.hidden { "Costs line by line" }
                            thead { tr { th scope="col" { "Day" } th scope="col" { "What" } th scope="col" { "Area" } th.num scope="col" { "Cost" } } }
                            tbody {
                                @for line in report.lines.iter().rev().take(SHOWN) {
                                    tr {
                                        td { a href=(format!("/entry/{}", line.entry)) { (time(line.on)) } }
                                        td { (line.what) " (" (line.job) ")" }
                                        td { (line.area.as_deref().map_or("–", |a| view.yard.area_name(a))) }
                                        td.num { (money(&view.yard, line.amount)) }
                                    }
                                }
                            }
                        }
                    }
                    @if report.lines.len() > SHOWN { p { "The last " (SHOWN) " of " (report.lines.len()) "; the file has all." } }
                }
            }
            p.source { "Spent: purchases and repairs on their day. Used: what the ground took of each product at its mean price, shared by size; repairs where they were done." }
        }
        p { a href="/water/cost" { "Water in money" } " · " a href="/shed" { "Back to the shed" } }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let (from, to) = span(&view, &asked)?;
        let report = costs(&view.yard, from, to);
        Ok(view.page("Costs", Section::Settings, "/costs", main(&view, from, to, &report)))
    })
    .await
}

pub(crate) async fn file(State(site): State<Site>, Asked(asked): Asked) -> Result<Response, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let (from, to) = span(&view, &asked)?;
        let text = yard::shed::costs_csv(&view.yard, &costs(&view.yard, from, to));
        let headers = [
            (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
            (header::CONTENT_DISPOSITION, "attachment; filename=\"costs.csv\""),
        ];
        Ok((headers, text).into_response())
    })
    .await
}
