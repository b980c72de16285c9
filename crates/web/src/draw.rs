//! Drawings, as SVG of our own: the season strip, the soil's last sixty days, the morning's runs. Colours come from classes, so
//! that they follow light, dark and print; each has its title and its description in words.

mod pressure;

use jiff::ToSpan;
use jiff::civil::Date;
use maud::{Markup, html};
use yard::advice::water_day::clock;
use yard::advice::{AreaWater, WaterDay, Window};
use yard::units::{Quantity, Units};
use yard::weather::day_number;

use crate::layout::{day, day_mark, sentence};

pub(crate) use self::pressure::{pressure_strip, pressure_table};

/// Weeks a season strip shows.
const STRIP_WEEKS: i64 = 8;
/// A window that ends sooner is not drawn.
const STRIP_FROM_DAYS: f64 = 4.0;
/// Width of every drawing, in its own units: about a phone's page, so that letters keep their size there.
const WIDTH: f64 = 360.0;

/// Room a day's mark takes: "31 May" in the drawing's letters.
const MARK_WIDTH: f64 = 44.0;

fn at(v: f64) -> String {
    // Adding zero turns -0 into 0.
    let text = format!("{:.1}", (v * 10.0).round() / 10.0 + 0.0);
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

fn days_from(from: Date, to: Date) -> f64 {
    (day_number(to) - day_number(from)) as f64
}

/// The weeks ahead with the window drawn as a leaf: pointed at early and late, widest at likely.
pub(crate) fn season_strip(id: &str, on: Date, window: &Window, event: &str) -> Markup {
    let span = (STRIP_WEEKS * 7) as f64;
    // What is all but certain within days needs no drawing.
    if days_from(on, window.late) <= STRIP_FROM_DAYS {
        return html! {};
    }
    let x = |date: Date| 8.0 + (WIDTH - 16.0) * (days_from(on, date) / span).clamp(0.0, 1.0);
    let beyond = |date: Date| days_from(on, date) > span;
    let (early, likely, late) = (x(window.early), x(window.likely), x(window.late).max(x(window.early) + 3.0));
    let leaf = format!(
        "M{} 22Q{} 6 {} 22Q{} 38 {} 22Z",
        at(early),
        at(likely.clamp(early, late)),
        at(late),
        at(likely.clamp(early, late)),
        at(early)
    );
    let words =
        format!("{event}: early {}, likely {}, late {}", day(window.early), day(window.likely), day(window.late));
    let ticks: Vec<Date> = (0..=STRIP_WEEKS).filter_map(|w| on.checked_add((7 * w).days()).ok()).collect();
    html! {
        figure.strip {
            svg viewBox="0 0 360 58" role="img" aria-labelledby=(format!("{id}-t {id}-d")) {
                title id=(format!("{id}-t")) { "When, over the next eight weeks" }
                desc id=(format!("{id}-d")) { "From " (day(on)) ": " (words) ". In one year of ten it is by the early date, in nine of ten by the late one." }
                line.rule x1="8" x2="352" y1="22" y2="22" {}
                @for (i, tick) in ticks.iter().enumerate() {
                    line.tick x1=(at(x(*tick))) x2=(at(x(*tick))) y1="18" y2="26" {}
                    @if i % 2 == 0 {
                        text.label x=(at(x(*tick))) y="52" text-anchor=(if i == 0 { "start" } else if i + 1 == ticks.len() { "end" } else { "middle" }) {
                            (day_mark(*tick))
                        }
                    }
                }
                @if days_from(on, window.early) <= span {
                    path.leaf d=(leaf) {}
                    @if !beyond(window.likely) { line.likely x1=(at(likely)) x2=(at(likely)) y1="8" y2="36" {} }
                } @else {
                    text.label x="352" y="14" text-anchor="end" { "later ›" }
                }
            }
            figcaption { (sentence(event)) ": early " (day(window.early)) " · likely " strong { (day(window.likely)) } " · late " (day(window.late)) }
        }
    }
}

fn polyline(points: impl Iterator<Item = (f64, f64)>) -> String {
    points.map(|(x, y)| format!("{},{}", at(x), at(y))).collect::<Vec<_>>().join(" ")
}

/// The last days of an area's root zone: the water left, as a level that falls towards wilting, against the line below which
/// stress begins; rain and watering as bars.
pub(crate) fn soil_chart(area: &AreaWater, units: Units) -> Markup {
    let history = &area.history;
    let (Some(first), Some(last)) = (history.first(), history.last()) else { return html! {} };
    if area.taw_mm <= 0.0 {
        return html! {};
    }
    let step = (WIDTH - 16.0) / history.len() as f64;
    let x = |i: usize| 8.0 + step * (i as f64 + 0.5);
    let y = |mm: f64| 20.0 + 90.0 * (mm / area.taw_mm).clamp(0.0, 1.0);
    let most = history.iter().map(|d| d.rain_mm.max(d.irrigation_mm)).fold(1.0, f64::max);
    let height = |mm: f64| 44.0 * (mm / most).clamp(0.0, 1.0);
    let (rain, watered): (f64, f64) =
        (history.iter().map(|d| d.rain_mm).sum(), history.iter().map(|d| d.irrigation_mm).sum());
    let stress_days = history.iter().filter(|d| d.depletion_mm > d.raw_mm).count();
    let say = |mm| units.say(Quantity::Depth, mm);
    let used = polyline(history.iter().enumerate().map(|(i, d)| (x(i), y(d.depletion_mm))));
    let stress = polyline(history.iter().enumerate().map(|(i, d)| (x(i), y(d.raw_mm))));
    let fill = format!("{},110 {used} {},110", at(x(0)), at(x(history.len() - 1)));
    html! {
        figure.chart {
            svg viewBox="0 0 360 200" role="img" aria-labelledby="soil-t soil-d" {
                title #soil-t { "Soil water of " (area.name) ", " (day(first.date)) " to " (day(last.date)) }
                desc #soil-d {
                    "Of " (say(area.taw_mm)) " the roots can reach, " (say(area.depletion_mm)) " is used up; stress begins at " (say(area.raw_mm))
                    ". Rain " (say(rain)) ", watering " (say(watered)) " in these " (history.len()) " days; "
                    (stress_days) " of them past the stress line."
                }
                text.label x="8" y="14" { "full" }
                text.label x="352" y="14" text-anchor="end" { (say(area.taw_mm)) " in reach of the roots" }
                line.rule x1="8" x2="352" y1="20" y2="20" {}
                line.rule x1="8" x2="352" y1="110" y2="110" {}
                text.label x="8" y="124" { "wilting" }
                polygon.left points=(fill) {}
                polyline.line points=(used) {}
                polyline.stress points=(stress) {}
                line.rule x1="8" x2="352" y1="178" y2="178" {}
                @for (i, d) in history.iter().enumerate() {
                    @if d.rain_mm > 0.0 {
                        rect.rain x=(at(x(i) - step * 0.4)) y=(at(178.0 - height(d.rain_mm))) width=(at(step * 0.8)) height=(at(height(d.rain_mm))) {}
                    }
                    @if d.irrigation_mm > 0.0 {
                        rect.watered x=(at(x(i) - step * 0.4)) y=(at(178.0 - height(d.irrigation_mm))) width=(at(step * 0.8)) height=(at(height(d.irrigation_mm))) {}
                    }
                    @if d.date.day() == 1 || (i == 0 && d.date.day() < 22) {
                        @let start = x(i) - step * 0.4;
                        @let late = start + MARK_WIDTH > WIDTH - 8.0;
                        text.label x=(at(if late { WIDTH - 8.0 } else { start })) y="194" text-anchor=[late.then_some("end")] { (day_mark(d.date)) }
                    }
                }
            }
            figcaption.legend {
                span { i.key.line {} "water left" }
                span { i.key.stress {} "stress below this" }
                span { i.key.rain {} "rain, " (say(rain)) }
                span { i.key.watered {} "watering, " (say(watered)) }
            }
        }
    }
}

/// The morning as a line, a row of blocks for each zone.
pub(crate) fn run_clock(plan: &WaterDay) -> Markup {
    if plan.runs.is_empty() {
        return html! {};
    }
    let mut zones: Vec<(&str, &str)> = Vec::new();
    for run in &plan.runs {
        if !zones.iter().any(|(key, _)| *key == run.zone) {
            zones.push((&run.zone, &run.name));
        }
    }
    let from = (plan.start_minute / 60.0).floor() * 60.0;
    let to = ((plan.start_minute + plan.span_minutes) / 60.0).ceil() * 60.0;
    let hours = ((to - from) / 60.0).max(1.0);
    let x = |after: f64| 8.0 + (WIDTH - 16.0) * (plan.start_minute + after - from) / (hours * 60.0);
    let rows = zones.len() as f64;
    let bottom = rows * 40.0 + 6.0;
    // At most seven hour marks, so that their letters keep apart.
    let every = (hours / 6.0).ceil().max(1.0);
    let marks: Vec<f64> = (0..).map(|i| f64::from(i) * every).take_while(|h| *h <= hours).collect();
    let words: Vec<String> = plan
        .runs
        .iter()
        .map(|r| format!("{} at {} for {:.0} minutes", r.name, clock(r.start_minute), r.minutes))
        .collect();
    html! {
        figure.chart.clock {
            svg viewBox=(format!("0 0 360 {}", at(bottom + 22.0))) role="img" aria-labelledby="clock-t clock-d" {
                title #clock-t { "Runs in the next watering hours, from " (clock(plan.start_minute)) " to " (clock(plan.start_minute + plan.span_minutes)) }
                desc #clock-d { (words.join("; ")) "." }
                @for h in &marks {
                    @let mark = 8.0 + (WIDTH - 16.0) * h / hours;
                    line.tick x1=(at(mark)) x2=(at(mark)) y1="2" y2=(at(bottom)) {}
                    text.label x=(at(mark)) y=(at(bottom + 16.0)) text-anchor=(if *h == 0.0 { "start" } else if *h + every > hours { "end" } else { "middle" }) {
                        (clock(from + h * 60.0))
                    }
                }
                line.rule x1="8" x2="352" y1=(at(bottom)) y2=(at(bottom)) {}
                @for (row, (key, name)) in zones.iter().enumerate() {
                    @let top = row as f64 * 40.0;
                    text.label x="10" y=(at(top + 14.0)) { (name) }
                    line.faint x1="8" x2="352" y1=(at(top + 27.0)) y2=(at(top + 27.0)) {}
                    @for run in plan.runs.iter().filter(|r| r.zone == *key) {
                        rect.run x=(at(x(run.after_minutes))) y=(at(top + 19.0)) width=(at(x(run.after_minutes + run.minutes) - x(run.after_minutes))) height="16" rx="2" {}
                    }
                }
            }
        }
    }
}
