//! The survey sheet: the drawing at a true scale in a frame, with title block, tables and signs, on as many pages as it takes.

use std::cmp::Ordering;

use jiff::civil::Date;
use yard::Yard;
use yard::units::{Quantity, Units, significant};

use super::ground;
use super::letters::{Weight, clean, fitted, lines, width};
use super::look::{Hand, Look, Medium};
use super::paper::{Ink, Page};
use super::path::{At, Path};
use super::scale::{self, Scale};
use super::tables::{self, Row};
use super::ties::Ties;
use super::{Anchor, Drawing, Letters, Options};
use crate::layout::day;

/// Ten millimetres round the frame: what a printer may leave white.
const MARGIN: f64 = 28.3;
const GAP: f64 = 12.0;
/// Strip under the drawing: scale bar, caution, north arrow.
const FOOT: f64 = 40.0;
const TITLE: f64 = 82.0;
/// Width of the tables' column.
const COLUMN: f64 = 204.0;
/// Most pages; a yard has far fewer areas and zones than they hold.
const PAGES_MAX: usize = 20;

const CAUTION: &str = "Caution: buried lines are only where they were drawn, not where they must lie, and there may be others. \
                       Have lines marked before digging (in the US call or click 811).";

/// A sheet, ready to be written.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    pub(crate) pages: Vec<Page>,
    /// What it is.
    pub(crate) title: String,
    /// What is on it, in words.
    pub(crate) words: String,
    /// Its scale, in words.
    pub(crate) scale: String,
    pub(crate) units: Units,
}

/// A rectangle of paper by its lower left and upper right corners.
#[derive(Clone, Copy, Debug)]
struct Room {
    low: At,
    high: At,
}

impl Room {
    fn width(&self) -> f64 {
        self.high[0] - self.low[0]
    }

    fn height(&self) -> f64 {
        self.high[1] - self.low[1]
    }

    fn frame(&self, look: Look) -> Ink {
        Ink::Figure(look, Path::rect(self.low, self.high))
    }
}

/// Where everything goes on a page of a size.
struct Plan {
    size: At,
    drawing: Room,
    /// Column for the rows of the first page.
    column: Room,
    title: Room,
}

/// The drawing, a column beside it, the title block under that.
fn plan(size: At) -> Plan {
    let [wide, high] = size;
    let edge = wide - MARGIN - GAP - COLUMN;
    let title = Room { low: [edge, MARGIN], high: [wide - MARGIN, MARGIN + TITLE] };
    let low = title.high[1] + GAP / 2.0;
    Plan {
        size,
        drawing: Room { low: [MARGIN, MARGIN + FOOT], high: [edge, high - MARGIN] },
        column: Room { low: [edge + GAP / 2.0, low], high: [edge + GAP / 2.0 + COLUMN, high - MARGIN] },
        title,
    }
}

/// Columns of a page without a drawing.
fn more_columns(plan: &Plan) -> Vec<Room> {
    let room = plan.size[0] - 2.0 * MARGIN - GAP;
    let count = ((room + GAP) / (COLUMN + GAP) + 1e-6).floor().max(1.0) as usize;
    let column = |i: usize| {
        let left = MARGIN + GAP / 2.0 + i as f64 * (COLUMN + GAP);
        Room { low: [left, MARGIN + FOOT], high: [left + COLUMN, plan.size[1] - MARGIN - GAP / 2.0] }
    };
    (0..count).map(column).collect()
}

/// Lets rows run down the columns, page by page.
fn flow(rows: Vec<Row>, plan: &Plan) -> Vec<Vec<Ink>> {
    let mut pages: Vec<Vec<Ink>> = vec![Vec::new()];
    let mut columns = Vec::new().into_iter();
    let mut column = Some(plan.column);
    let mut top = plan.column.high[1];
    for (i, row) in rows.iter().enumerate() {
        let with = if row.keeps_next { rows.get(i + 1).map_or(0.0, |next| next.height) } else { 0.0 };
        while let Some(room) = column {
            let fresh = top >= room.high[1];
            if top - row.height - with >= room.low[1] || (fresh && pages.len() > 1) {
                break;
            }
            column = columns.next();
            if column.is_none() && pages.len() < PAGES_MAX {
                pages.push(Vec::new());
                columns = more_columns(plan).into_iter();
                column = columns.next();
            }
            top = column.map_or(0.0, |c| c.high[1]);
        }
        if let (Some(room), Some(page)) = (column, pages.last_mut()) {
            page.extend(row.inks.iter().cloned().map(|ink| ink.moved([room.low[0], top])));
            top -= row.height;
        }
    }
    pages
}

fn title_block(room: Room, yard: &Yard, on: Date, scale: Scale, page: &str) -> Vec<Ink> {
    let [left, low] = room.low;
    let (x, wide) = (left + GAP / 2.0, room.width() - GAP);
    let name = yard.facts.as_ref().map_or_else(|| "The yard".to_owned(), |f| clean(&f.name));
    let mut inks = vec![
        room.frame(Look::Frame),
        Ink::words([x, room.high[1] - 18.0], Anchor::Start, 13.0, fitted(&name, wide, 13.0, Weight::Bold)).bold(),
        Ink::words([x, room.high[1] - 29.0], Anchor::Start, 7.0, "Plan of the ground and its sprinklers").soft(),
    ];
    let facts = [("Date", day(on)), ("Scale", scale.words()), ("Sheet", page.to_owned())];
    for (i, (what, words)) in facts.into_iter().enumerate() {
        let y = low + 36.0 - 10.5 * i as f64;
        inks.push(Ink::Figure(Look::Throw, Path::through(&[[left, y + 8.0], [room.high[0], y + 8.0]])));
        inks.push(Ink::words([x, y], Anchor::Start, 6.5, what).soft());
        inks.push(Ink::words([x + 34.0, y], Anchor::Start, 7.5, words).bold());
    }
    let print = "True to scale when printed at 100 %, not fitted to the page.";
    inks.push(Ink::words([x, low + 5.0], Anchor::Start, 5.8, print).soft());
    inks
}

fn scale_bar(units: Units, unit: f64, [x, y]: At, room: f64) -> Vec<Ink> {
    let length = scale::bar(units, room * unit);
    let long = units.read(Quantity::Length, length) / unit;
    let part = |i: f64| x + long * i / 4.0;
    let mut inks: Vec<Ink> = (0..4)
        .map(|i| {
            let look = if i % 2 == 0 { Look::Solid } else { Look::Blank };
            Ink::Figure(look, Path::rect([part(f64::from(i)), y], [part(f64::from(i) + 1.0), y + 3.6]))
        })
        .collect();
    inks.push(Ink::Figure(Look::Fine, Path::rect([x, y], [x + long, y + 3.6])));
    let label = |i: f64, words: String| Ink::words([part(i), y - 8.0], Anchor::Middle, 7.0, words);
    let symbol = units.symbol(Quantity::Length);
    inks.push(label(0.0, "0".to_owned()));
    inks.push(label(2.0, significant(length / 2.0, 3)));
    inks.push(label(4.0, format!("{} {symbol}", significant(length, 3))));
    inks
}

fn north([x, y]: At) -> Vec<Ink> {
    vec![
        Ink::Figure(Look::Fine, Path::through(&[[x, y], [x, y + 22.0]])),
        Ink::Figure(
            Look::Solid,
            Path::polygon(&[[x, y + 30.0], [x + 4.0, y + 17.0], [x, y + 20.0], [x - 4.0, y + 17.0]]),
        ),
        Ink::words([x + 7.0, y + 3.0], Anchor::Start, 9.0, "N").bold(),
    ]
}

/// The strip under the drawing.
fn foot(plan: &Plan, units: Units, unit: f64) -> Vec<Ink> {
    let room = plan.drawing;
    let (left, low) = (room.low[0], room.low[1] - FOOT);
    let bar = room.width() * 0.27;
    let mut inks = scale_bar(units, unit, [left + 12.0, low + 22.0], bar);
    inks.extend(north([room.high[0] - 24.0, low + 5.0]));
    let from = left + bar + 44.0;
    let caution = lines(CAUTION, room.high[0] - 44.0 - from, 7.0, Weight::Bold);
    let middle = low + FOOT / 2.0 + caution.len() as f64 * 4.2;
    for (i, line) in caution.into_iter().enumerate() {
        inks.push(Ink::words([from, middle - 8.4 * (i as f64 + 0.8)], Anchor::Start, 7.0, line).bold());
    }
    inks.push(Ink::Figure(Look::Frame, Path::rect([left, low], [room.high[0], room.low[1]])));
    inks
}

/// The strip under a page that carries on.
fn foot_of_more(plan: &Plan, title: &str, page: &str) -> Vec<Ink> {
    let y = MARGIN + 14.0;
    let room = plan.size[0] - 2.0 * MARGIN - 2.0 * GAP - width(page, 7.5, Weight::Plain);
    vec![
        Ink::Figure(
            Look::Fine,
            Path::through(&[[MARGIN, MARGIN + FOOT - 8.0], [plan.size[0] - MARGIN, MARGIN + FOOT - 8.0]]),
        ),
        Ink::words([MARGIN + GAP / 2.0, y], Anchor::Start, 7.5, fitted(title, room, 7.5, Weight::Bold)).bold(),
        Ink::words([plan.size[0] - MARGIN - GAP / 2.0, y], Anchor::End, 7.5, page),
    ]
}

/// Letters at the corners valves are taped from.
fn mark_corners(drawing: &mut Drawing, ties: &Ties) {
    for mark in &ties.marks {
        let by = [mark.out[0] * 6.0, mark.out[1] * 6.0 - 2.6];
        let (anchor, hand) = (Anchor::Middle, Hand::Name);
        drawing.letters.push(Letters { at: mark.at, by, anchor, hand, words: mark.letter.to_string() });
    }
}

impl Sheet {
    /// The sheet of a yard on a day: A4 or US Letter by its units, lying or standing, whichever shows it larger; `None` where
    /// nothing of it is drawn.
    pub(crate) fn of(yard: &Yard, on: Date) -> Option<Self> {
        let units = yard.units();
        let extent = ground::extent(yard)?;
        let ground = [extent.width(), extent.height()];
        let [short, long] = match units {
            // ISO 216 A4, 210 by 297 mm; ANSI A "Letter", 8½ by 11 in.
            Units::Metric => [210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0],
            Units::UsCustomary => [8.5 * 72.0, 11.0 * 72.0],
        };
        let fit = |plan: Plan| {
            let room = [plan.drawing.width(), plan.drawing.height()];
            let fill = (ground[0] / room[0]).max(ground[1] / room[1]);
            (Scale::fitting(units, ground, room), fill, plan)
        };
        // The one that shows it larger; if both do, the one whose room it fills better.
        let plans = [plan([long, short]), plan([short, long])].map(fit);
        let order = |p: &(Scale, f64, Plan)| [p.0.one_to, p.1];
        let (scale, _, plan) =
            plans.into_iter().min_by(|a, b| order(a).partial_cmp(&order(b)).unwrap_or(Ordering::Equal))?;
        let unit = scale.unit();
        let mut drawing = ground::draw(yard, &Options::default(), extent, unit, Medium::Paper);
        let ties = Ties::of(yard);
        mark_corners(&mut drawing, &ties);

        let flowed = flow(tables::rows(yard, &drawing, &ties, COLUMN), &plan);
        let count = flowed.len();
        let room = plan.drawing;
        let at = |i: usize| room.low[i] + ([room.width(), room.height()][i] - ground[i] / unit) / 2.0;
        let mut pages = Vec::with_capacity(count);
        for (i, rows) in flowed.into_iter().enumerate() {
            let of = format!("{} of {count}", i + 1);
            let [width, height] = plan.size;
            let mut inks = Vec::new();
            if i == 0 {
                inks.push(Ink::Within(room.low, room.high, drawing.inks([at(0), at(1)])));
                inks.push(room.frame(Look::Frame));
                inks.extend(foot(&plan, units, unit));
                inks.extend(title_block(plan.title, yard, on, scale, &of));
            } else {
                inks.extend(foot_of_more(&plan, &drawing.title, &format!("{}, sheet {of}", day(on))));
            }
            inks.extend(rows);
            let frame = Path::rect([MARGIN, MARGIN], [width - MARGIN, height - MARGIN]);
            inks.push(Ink::Figure(Look::Frame, frame));
            pages.push(Page { width, height, inks });
        }
        Some(Self { pages, title: drawing.title, words: drawing.words, scale: scale.words(), units })
    }
}
