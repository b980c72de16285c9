//! What stands beside the drawing on a sheet: areas, zones, signs, in rows of one width that run on from column to column.

use almanac::Almanac;
use yard::Yard;
use yard::entry::ZoneFacts;
use yard::map::{Buried, HeadFacts, PipeRole, Thing};
use yard::units::Quantity;

use super::ground::drawn;
use super::letters::{Weight, clean, fitted, lines, width};
use super::look::Look;
use super::paper::Ink;
use super::path::Path;
use super::signs;
use super::ties::Ties;
use super::{Anchor, Drawing, Used};
use crate::layout::sentence;

const SIZE: f64 = 7.0;
const SMALL: f64 = 6.2;
const HEADING: f64 = 9.0;
/// Room for the number before a name, or the sign before its meaning.
const INDENT: f64 = 15.0;
const SAMPLE: f64 = 32.0;

/// A row: its marks from its upper left corner, and whether the next belongs to it.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) height: f64,
    pub(crate) inks: Vec<Ink>,
    pub(crate) keeps_next: bool,
}

fn heading(words: &str, wide: f64) -> Row {
    let line = Ink::Figure(Look::Fine, Path::through(&[[0.0, -16.5], [wide, -16.5]]));
    let words = Ink::words([0.0, -13.0], Anchor::Start, HEADING, words).bold();
    Row { height: 19.0, inks: vec![words, line], keeps_next: true }
}

/// A name with its number and a figure at the right, and softer lines under it.
fn entry(number: &str, name: &str, figure: &str, under: &[String], wide: f64) -> Row {
    let room = wide - INDENT - width(figure, SIZE, Weight::Plain) - 6.0;
    let mut inks = vec![
        Ink::words([0.0, -8.0], Anchor::Start, SIZE, number).bold(),
        Ink::words([INDENT, -8.0], Anchor::Start, SIZE, fitted(name, room, SIZE, Weight::Bold)).bold(),
        Ink::words([wide, -8.0], Anchor::End, SIZE, figure),
    ];
    let mut down = 8.0;
    for line in under.iter().flat_map(|line| lines(line, wide - INDENT, SMALL, Weight::Plain)) {
        down += SMALL * 1.2;
        inks.push(Ink::words([INDENT, -down], Anchor::Start, SMALL, line).soft());
    }
    Row { height: down + 3.5, inks, keeps_next: false }
}

fn areas(yard: &Yard, wide: f64) -> Vec<Row> {
    let (units, almanac) = (yard.units(), Almanac::embedded());
    let rows = drawn(yard).map(|(number, area)| {
        let grass = area.grass.as_ref().map(|key| almanac.grass(key).map_or(key.as_str(), |g| &g.name));
        let soil = almanac.texture(&area.soil).map_or(area.soil.as_str(), |t| &t.name);
        let under = format!("{}, on {}", clean(grass.unwrap_or(area.cover.word())), clean(soil));
        entry(&number.to_string(), &clean(&area.name), &units.say(Quantity::Area, area.size_m2), &[under], wide)
    });
    let rows: Vec<Row> = rows.collect();
    if rows.is_empty() { rows } else { [vec![heading("Areas", wide)], rows].concat() }
}

/// What a sheet says of a zone, below its name.
fn zone_words(yard: &Yard, zone: &ZoneFacts, ties: &Ties) -> Vec<String> {
    let of_zone = |thing: &Thing| thing.zone() == Some(zone.key.as_str());
    let mut words = Vec::new();
    if !zone.areas.is_empty() {
        words.push(format!("Waters {}", clean(&yard.area_names(&zone.areas))));
    }
    let valves = yard.things.iter().filter(|t| matches!(t.thing, Thing::Valve { .. }) && of_zone(&t.thing));
    words.extend(valves.filter_map(|valve| {
        let tie = ties.ties.iter().find(|tie| tie.key == valve.key)?;
        Some(format!("Valve: {}", tie.words))
    }));
    words
}

fn zones(yard: &Yard, ties: &Ties, wide: f64) -> Vec<Row> {
    let units = yard.units();
    let rows = (1..).zip(&yard.zones).map(|(number, zone)| {
        let head = |thing: &Thing| match thing {
            Thing::Head(HeadFacts { zone: Some(key), flow_lpm, .. }) if *key == zone.key => Some(*flow_lpm),
            _ => None,
        };
        let flows: Vec<f64> = yard.things.iter().filter_map(|t| head(&t.thing)).collect();
        let flow = if flows.is_empty() { zone.flow_lpm } else { Some(flows.iter().sum()) };
        let heads = match flows.len() {
            0 => None,
            1 => Some("1 head".to_owned()),
            n => Some(format!("{n} heads")),
        };
        let figure: Vec<String> = heads.into_iter().chain(flow.map(|f| units.say(Quantity::Flow, f))).collect();
        entry(&number.to_string(), &clean(&zone.name), &figure.join(", "), &zone_words(yard, zone, ties), wide)
    });
    let mut rows: Vec<Row> = rows.collect();
    if !rows.is_empty() {
        rows.insert(0, heading("Zones", wide));
    }
    let loose: Vec<Row> = yard
        .things
        .iter()
        .filter(|t| matches!(&t.thing, Thing::Valve { zone } if zone.as_ref().is_none_or(|z| yard.zone(z).is_none())))
        .filter_map(|valve| {
            let tie = ties.ties.iter().find(|tie| tie.key == valve.key)?;
            Some(entry("", &clean(&valve.name), "", std::slice::from_ref(&tie.words), wide))
        })
        .collect();
    if !loose.is_empty() {
        rows.push(heading("Valves of no zone", wide));
        rows.extend(loose);
    }
    rows
}

fn meaning(used: Used) -> &'static str {
    match used {
        Used::Ground(Look::Lawn) => "lawn",
        Used::Ground(Look::Bed) => "bed",
        Used::Ground(Look::Hedge) => "hedge",
        Used::Ground(Look::Hard) => "hard surface",
        Used::Ground(_) => "other ground",
        Used::Building => "building",
        Used::Tree => "tree with its crown",
        Used::WaterEdge => "water’s edge",
        Used::Well => "well",
        Used::Buried(Buried::Power) => "buried electric line",
        Used::Buried(Buried::Gas) => "buried gas line",
        Used::Buried(Buried::Telecom) => "buried telephone line",
        Used::Buried(Buried::Water) => "buried water line",
        Used::Buried(Buried::Sewer) => "sewer or septic line",
        Used::Buried(Buried::Drain) => "drain",
        Used::Buried(Buried::Private) => "buried private line",
        Used::Head => "head, zone, throw",
        Used::Valve => "valve",
        Used::Controller => "controller",
        Used::Pipe(PipeRole::Main) => "main pipe",
        Used::Pipe(PipeRole::Lateral) => "lateral pipe",
        Used::Level => "spot level",
        Used::Play => "play",
        Used::Pets => "pets",
    }
}

/// A small picture of a mark, its middle at the origin.
fn sample(used: Used) -> Vec<Ink> {
    let half = SAMPLE / 2.0 - 5.0;
    let line = |look| Ink::Figure(look, Path::through(&[[-half, 0.0], [half, 0.0]]));
    let letters = |words: &str| Ink::words([0.0, -2.0], Anchor::Middle, 5.5, words);
    let square = Path::rect([-half, -4.0], [half, 4.0]);
    let mut inks = match used {
        Used::Ground(look) => vec![Ink::Figure(look, square.clone()), Ink::Figure(Look::Edge, square)],
        Used::Building => vec![Ink::Figure(Look::House, square)],
        Used::Play | Used::Pets => vec![Ink::Figure(Look::Dotted, square)],
        Used::Tree => vec![Ink::Figure(Look::Crown, Path::circle([0.0, 0.0], 4.5))],
        Used::WaterEdge => {
            let ticks = (-1..=2).map(|i| f64::from(i) * 6.0 - 3.0);
            let ticks = ticks.map(|x| Path::through(&[[x, 0.0], [x, -3.0]])).fold(Path::default(), Path::and);
            vec![line(Look::Bank), Ink::Figure(Look::Fine, ticks)]
        }
        Used::Buried(of) => {
            let gap = Path::through(&[[-half, 0.0], [-4.0, 0.0]]).and(Path::through(&[[4.0, 0.0], [half, 0.0]]));
            vec![Ink::Figure(Look::Buried, gap), letters(signs::letter(of))]
        }
        Used::Pipe(PipeRole::Main) => vec![line(Look::Main)],
        Used::Pipe(PipeRole::Lateral) => vec![line(Look::Lateral)],
        Used::Head => vec![Ink::Figure(Look::Throw, Path::wedge([0.0, 0.0], half, 45.0, 90.0))],
        Used::Well | Used::Valve | Used::Controller | Used::Level => Vec::new(),
    };
    inks.extend(signs::figures(used).into_iter().map(|(look, path)| Ink::Figure(look, path)));
    if used == Used::Controller {
        inks.push(letters("C"));
    }
    inks
}

/// Signs and their meanings, two beside each other.
fn legend(drawing: &Drawing, marks: bool, wide: f64) -> Vec<Row> {
    let room = wide / 2.0;
    let mut used = drawing.used.clone();
    used.sort_by_key(|used| match used {
        Used::Ground(Look::Hard) => 1,
        Used::Ground(_) => 0,
        Used::Building => 2,
        _ => 3,
    });
    let symbol = drawing.units.symbol(Quantity::Length);
    let words = |used: Used| match used {
        Used::Level => format!("{} ({symbol})", sentence(meaning(used))),
        _ => sentence(meaning(used)),
    };
    let mut signs: Vec<(Vec<Ink>, String)> = used.into_iter().map(|used| (sample(used), words(used))).collect();
    if marks {
        let letter = Ink::words([0.0, -2.5], Anchor::Middle, SIZE, "A").bold();
        signs.push((vec![letter], "Corner to tape from".to_owned()));
    }
    let mut rows = vec![heading("Signs", wide)];
    for pair in signs.chunks(2) {
        let mut inks = Vec::new();
        for (i, (sample, words)) in pair.iter().enumerate() {
            let left = i as f64 * room;
            inks.extend(sample.iter().cloned().map(|ink| ink.moved([left + SAMPLE / 2.0 - 5.0, -7.5])));
            let words = fitted(words, room - SAMPLE, SMALL, Weight::Plain);
            inks.push(Ink::words([left + SAMPLE, -9.7], Anchor::Start, SMALL, words));
        }
        rows.push(Row { height: 14.0, inks, keeps_next: false });
    }
    rows
}

/// All rows, for a column so wide.
pub(crate) fn rows(yard: &Yard, drawing: &Drawing, ties: &Ties, wide: f64) -> Vec<Row> {
    let mut rows = areas(yard, wide);
    rows.extend(zones(yard, ties, wide));
    rows.extend(legend(drawing, !ties.marks.is_empty(), wide));
    rows
}
