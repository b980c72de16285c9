//! From a yard to marks: areas, then things, then letters.

use yard::Yard;
use yard::entry::{AreaFacts, Cover};
use yard::units::Quantity;

use super::labels;
use super::letters::clean;
use super::look::{Look, Medium};
use super::path::{At, Path};
use super::signs;
use super::{Drawing, Extent, Ground, Options, Used};

/// The ground everything drawn lies on, with a margin; the throw of heads may reach over it.
pub(crate) fn extent(yard: &Yard) -> Option<Extent> {
    let pieces = yard.areas.iter().flat_map(|a| yard.pieces(&a.key));
    let areas = pieces.flat_map(|piece| Path::ring(&piece.ring).places());
    let things = yard.things.iter().flat_map(|thing| signs::reach(thing).places());
    Extent::of(areas.chain(things)).map(|e| e.with_margin())
}

/// The ground a zone waters, with a margin; `None` where none of it is drawn.
pub(crate) fn zone_extent(yard: &Yard, zone: &str) -> Option<Extent> {
    let pieces = yard.zone(zone)?.areas.iter().flat_map(|a| yard.pieces(a));
    Extent::of(pieces.flat_map(|piece| Path::ring(&piece.ring).places())).map(|e| e.with_margin())
}

/// How an area's cover is drawn.
pub(crate) fn look_of(cover: Cover) -> Look {
    match cover {
        Cover::Turf => Look::Lawn,
        Cover::Bed => Look::Bed,
        Cover::Hedge => Look::Hedge,
        Cover::Hard => Look::Hard,
    }
}

/// Areas that have a drawing, in the yard's order, with their number on it.
pub(crate) fn drawn(yard: &Yard) -> impl Iterator<Item = (usize, &AreaFacts)> {
    (1..).zip(yard.areas.iter().filter(|a| !yard.pieces(&a.key).is_empty()))
}

fn finite(path: &Path) -> bool {
    path.places().iter().flatten().all(|v: &f64| v.is_finite())
}

/// Draws the yard on an extent, with so many metres to a unit.
pub(crate) fn draw(yard: &Yard, options: &Options<'_>, extent: Extent, unit: f64, medium: Medium) -> Drawing {
    let name = yard.facts.as_ref().map_or_else(|| "The yard".to_owned(), |f| clean(&f.name));
    let mut drawing = Drawing {
        extent,
        unit,
        medium,
        units: yard.units(),
        on: options.on,
        title: format!("Plan of {name}"),
        words: String::new(),
        grounds: Vec::new(),
        figures: Vec::new(),
        signs: Vec::new(),
        letters: Vec::new(),
        key: Vec::new(),
        used: Vec::new(),
    };
    let zone = options.only_zone.and_then(|key| yard.zone(key));
    // Hard ground first: a path drawn over the lawn's edge lies under it.
    let order = |a: &&(usize, &AreaFacts)| (a.1.cover != Cover::Hard, a.1.cover == Cover::Hedge);
    let areas: Vec<(usize, &AreaFacts)> = drawn(yard).collect();
    let mut ordered: Vec<&(usize, &AreaFacts)> = areas.iter().collect();
    ordered.sort_by_key(order);
    for (_, area) in ordered {
        let apart = zone.is_some_and(|z| !z.areas.contains(&area.key));
        drawing.area(yard, area, apart);
    }
    for thing in &yard.things {
        signs::add(&mut drawing, yard, thing, options);
    }
    if options.names {
        labels::add(&mut drawing, yard, &areas);
    }
    drawing.words = words(yard, &areas, options);
    drawing
}

impl Drawing {
    /// Notes that a kind of mark is on the drawing.
    pub(super) fn uses(&mut self, used: Used) {
        if !self.used.contains(&used) {
            self.used.push(used);
        }
    }

    fn area(&mut self, yard: &Yard, area: &AreaFacts, apart: bool) {
        let fill = look_of(area.cover);
        let (fill, edge) = if apart { (Look::Other, Look::Other) } else { (fill, Look::Edge) };
        for piece in yard.pieces(&area.key) {
            let holes = piece.holes.iter().map(|hole| Path::ring(hole));
            let path = holes.fold(Path::ring(&piece.ring), Path::and);
            if finite(&path) {
                let words = format!("{}, {}", clean(&area.name), self.units.say(Quantity::Area, area.size_m2));
                self.grounds.push(Ground { key: area.key.clone(), words, fill, edge, path });
                self.uses(Used::Ground(fill));
            }
        }
    }
}

fn words(yard: &Yard, areas: &[(usize, &AreaFacts)], options: &Options<'_>) -> String {
    let units = yard.units();
    let mut said: Vec<String> = areas
        .iter()
        .map(|(_, a)| format!("{} ({}, {})", clean(&a.name), a.cover.word(), units.say(Quantity::Area, a.size_m2)))
        .collect();
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for thing in yard.things.iter().filter(|t| signs::shown(&t.thing, options)) {
        match counts.iter_mut().find(|(word, _)| *word == thing.thing.word()) {
            Some((_, n)) => *n += 1,
            None => counts.push((thing.thing.word(), 1)),
        }
    }
    said.extend(counts.into_iter().map(|(word, n)| if n == 1 { format!("1 {word}") } else { format!("{n} × {word}") }));
    format!("North is up. {}.", said.join("; "))
}

/// Places every so far along a line, with the way it goes there: the first after `from`.
pub(crate) fn along(places: &[At], from: f64, every: f64) -> Vec<(At, At)> {
    let mut found = Vec::new();
    let (mut walked, mut next) = (0.0, from);
    for pair in places.windows(2) {
        let (dx, dy) = (pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
        let length = dx.hypot(dy);
        while length > 0.0 && next <= walked + length {
            let share = (next - walked) / length;
            found.push(([pair[0][0] + dx * share, pair[0][1] + dy * share], [dx / length, dy / length]));
            next += every;
        }
        walked += length;
    }
    found
}

/// Length of a line through places.
pub(crate) fn length(places: &[At]) -> f64 {
    places.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum()
}
