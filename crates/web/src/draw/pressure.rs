//! A disease's weather: the last sixty days of its model against the line from which its source acts, and the days ahead as past
//! years have them; the same in figures, for whoever reads no drawing.

use maud::{Markup, html};
use yard::watch::{DiseaseDay, DiseaseWatch};

use super::{MARK_WIDTH, WIDTH, at, polyline};
use crate::layout::{day, day_mark, number, sentence, time};

/// Where the curve's ground lies, and how high it can rise.
const GROUND: f64 = 80.0;
const HEIGHT: f64 = 68.0;
/// A week of the table.
const WEEK: usize = 7;

/// Runs of neighbouring days of one kind, told as first and last place; each begins where the one before ended, so that no gap shows.
fn stretches(days: &[DiseaseDay]) -> Vec<(usize, usize, bool)> {
    let mut out: Vec<(usize, usize, bool)> = Vec::new();
    for (i, d) in days.iter().enumerate() {
        match out.last_mut() {
            Some((_, end, guessed)) if *guessed == d.guessed => *end = i,
            _ => out.push((i.saturating_sub(1), i, d.guessed)),
        }
    }
    out
}

/// The strip of one disease.
pub(crate) fn pressure_strip(d: &DiseaseWatch) -> Markup {
    let (Some(first), Some(last)) = (d.days.first(), d.days.last()) else { return html! {} };
    let count = d.days.len();
    let step = (WIDTH - 16.0) / (count + d.days_ahead.len()) as f64;
    let x = |i: usize| 8.0 + step * (i as f64 + 0.5);
    let y = |v: f64| GROUND - HEIGHT * (v / d.top).clamp(0.0, 1.0);
    let point = |i: usize| (x(i), y(d.days[i].value));
    let fill = format!("{},{GROUND} {} {},{GROUND}", at(x(0)), polyline((0..count).map(point)), at(x(count - 1)));
    let over = d.days.iter().filter(|day| day.over).count();
    let ahead = |i: usize| x(count + i);
    // The band begins at what is known.
    let high = d.days_ahead.iter().enumerate().map(|(i, a)| (ahead(i), y(a.high)));
    let low = d.days_ahead.iter().enumerate().rev().map(|(i, a)| (ahead(i), y(a.low)));
    let band = polyline(std::iter::once(point(count - 1)).chain(high).chain(low));
    let likely = d.days_ahead.iter().enumerate().map(|(i, a)| (ahead(i), y(a.likely)));
    let likely = polyline(std::iter::once(point(count - 1)).chain(likely));
    let today = 8.0 + step * count as f64;
    let guessed = d.days.iter().any(|day| day.guessed);
    html! {
        figure.chart.pressure {
            svg viewBox="0 0 360 110" role="img" aria-labelledby=(format!("p-{}-t p-{}-d", d.id, d.id)) {
                title id=(format!("p-{}-t", d.id)) { (sentence(d.value_of)) ", " (day(first.date)) " to " (day(last.date)) @if !d.days_ahead.is_empty() { ", and the days ahead" } }
                desc id=(format!("p-{}-d", d.id)) {
                    (over) " of " (count) " days at or over the line of " (number(d.line, 2)) "; the last day " (number(last.value, 2)) "."
                    @if let Some(end) = d.days_ahead.last() {
                        " On " (day(end.date)) " it was over " (number(end.low, 2)) " in nine past years of ten, over " (number(end.likely, 2)) " in half, over " (number(end.high, 2)) " in one of ten."
                    }
                }
                @if !d.days_ahead.is_empty() { polygon.band points=(band) {} }
                polygon.left points=(fill) {}
                @for (from, to, guessed) in stretches(&d.days) {
                    polyline.line.guess[guessed] points=(polyline((from..=to).map(point))) {}
                }
                @if !d.days_ahead.is_empty() { polyline.median points=(likely) {} }
                line.limit x1="8" x2="352" y1=(at(y(d.line))) y2=(at(y(d.line))) {}
                line.rule x1="8" x2="352" y1=(GROUND) y2=(GROUND) {}
                @for (i, _) in d.days.iter().enumerate().filter(|(_, day)| day.over) {
                    rect.over x=(at(x(i) - step * 0.36)) y=(GROUND + 2.0) width=(at(step * 0.72)) height="6" {}
                }
                line.today x1=(at(today)) x2=(at(today)) y1="6" y2=(GROUND + 10.0) {}
                @for (i, date) in d.days.iter().map(|day| day.date).chain(d.days_ahead.iter().map(|a| a.date)).enumerate() {
                    @if date.day() == 1 || (i == 0 && date.day() < 16) {
                        @let start = x(i) - step * 0.5;
                        @let late = start + MARK_WIDTH > WIDTH - 8.0;
                        line.tick x1=(at(start)) x2=(at(start)) y1=(GROUND) y2=(GROUND + 12.0) {}
                        text.label x=(at(if late { WIDTH - 8.0 } else { start })) y="106" text-anchor=[late.then_some("end")] { (day_mark(date)) }
                    }
                }
            }
            figcaption.legend {
                span { i.key.line {} (d.value_of) ", last " (number(last.value, 2)) }
                @if guessed { span { i.key.guess {} "with filled readings" } }
                span { i.key.limit {} "line at " (number(d.line, 2)) }
                @if over > 0 { span { i.key.over {} "a day over it" } }
                @if !d.days_ahead.is_empty() { span { i.key.band {} "ahead: 8 past years of 10, and their middle" } }
            }
        }
    }
}

/// The same in figures: the weeks behind, the days ahead.
pub(crate) fn pressure_table(d: &DiseaseWatch) -> Markup {
    let weeks = d.days.rchunks(WEEK).rev().filter(|w| !w.is_empty());
    html! {
        details.figures {
            summary { "The figures" span.hidden { " of " (d.name) } }
            table {
                caption { (sentence(d.value_of)) ", by weeks" }
                thead { tr { th scope="col" { "From" } th scope="col" { "Highest" } th scope="col" { "Days over " (number(d.line, 2)) } } }
                tbody {
                    @for week in weeks {
                        tr {
                            th scope="row" { (time(week[0].date)) }
                            td.num { (number(week.iter().map(|day| day.value).fold(f64::NEG_INFINITY, f64::max), 2)) }
                            td.num { (week.iter().filter(|day| day.over).count()) " of " (week.len()) }
                        }
                    }
                }
            }
            @if !d.days_ahead.is_empty() {
                table {
                    caption { "The days ahead, as past years have them" }
                    thead { tr { th scope="col" { "Day" } th scope="col" { "1 year of 10 below" } th scope="col" { "Half below" } th scope="col" { "9 of 10 below" } } }
                    tbody {
                        @for a in &d.days_ahead {
                            tr { th scope="row" { (time(a.date)) } td.num { (number(a.low, 2)) } td.num { (number(a.likely, 2)) } td.num { (number(a.high, 2)) } }
                        }
                    }
                }
            }
        }
    }
}
