//! Signs of our own for the things on a map, after the habits of survey drawings.

use yard::Yard;
use yard::map::{Buried, HeadFacts, Mapped, PipeRole, Thing};
use yard::units::Quantity;

use super::ground::{along, length};
use super::letters::clean;
use super::look::{Hand, Look, Medium};
use super::path::{At, Path, Step};
use super::{Anchor, Drawing, Letters, Options, Sign, Used};
use crate::layout::number;

/// Units between two letters of a buried line.
const LETTER_EVERY: f64 = 70.0;
/// Units between two ticks of a water's edge, and their length.
const TICK_EVERY: f64 = 6.0;
const TICK: f64 = 3.0;
/// Most ticks or letters of one line.
const ALONG_MAX: f64 = 2_000.0;

/// The ground a thing takes on the drawing, for the drawing's extent.
pub(crate) fn reach(thing: &Mapped) -> Path {
    match &thing.thing {
        Thing::Tree { crown_m, .. } => Path::circle(thing.place(), *crown_m),
        Thing::Building { .. } | Thing::Play | Thing::Pets => Path::ring(&thing.at),
        _ => Path::line(&thing.at),
    }
}

/// Whether a drawing shows things of this kind.
pub(crate) fn shown(thing: &Thing, options: &Options<'_>) -> bool {
    let of_zone = match options.only_zone {
        Some(zone) => thing.zone().is_none_or(|z| z == zone) && !matches!(thing, Thing::Head(h) if h.zone.is_none()),
        None => true,
    };
    let asked = match thing {
        Thing::Head(_) | Thing::Valve { .. } | Thing::Controller => options.heads,
        Thing::Pipe { .. } => options.pipes,
        Thing::BuriedLine { .. } => options.buried,
        Thing::Level { .. } => options.levels,
        _ => true,
    };
    of_zone && asked
}

/// The letter a buried line is told by.
pub(crate) fn letter(of: Buried) -> &'static str {
    match of {
        Buried::Power => "E",
        Buried::Gas => "G",
        Buried::Telecom => "T",
        Buried::Water => "W",
        Buried::Sewer => "S",
        Buried::Drain => "D",
        Buried::Private => "P",
    }
}

/// The figures of a sign round its place, in units, y up.
pub(crate) fn figures(used: Used) -> Vec<(Look, Path)> {
    let cross = |arm: f64| Path::through(&[[-arm, 0.0], [arm, 0.0]]).and(Path::through(&[[0.0, -arm], [0.0, arm]]));
    match used {
        Used::Tree => vec![(Look::Fine, cross(3.0))],
        Used::Head => vec![(Look::Solid, Path::circle([0.0, 0.0], 1.8))],
        // Two triangles meeting, as drawings of pipes have it (common practice).
        Used::Valve => {
            let left = Path::polygon(&[[-5.0, 3.2], [0.0, 0.0], [-5.0, -3.2]]);
            vec![(Look::Blank, left.and(Path::polygon(&[[5.0, 3.2], [0.0, 0.0], [5.0, -3.2]])))]
        }
        Used::Controller => vec![(Look::Blank, Path::rect([-5.5, -5.5], [5.5, 5.5]))],
        Used::Well => {
            vec![(Look::Blank, Path::circle([0.0, 0.0], 4.5)), (Look::Fine, Path::circle([0.0, 0.0], 2.0))]
        }
        Used::Level => vec![(Look::Fine, cross(2.5))],
        _ => Vec::new(),
    }
}

impl Drawing {
    fn sign(&mut self, at: At, used: Used, words: String) {
        self.uses(used);
        self.signs.push(Sign { at, words, parts: figures(used) });
    }

    fn letter(&mut self, at: At, by: At, anchor: Anchor, hand: Hand, words: impl Into<String>) {
        self.letters.push(Letters { at, by, anchor, hand, words: words.into() });
    }

    fn figure(&mut self, look: Look, path: Path, used: Used) {
        self.uses(used);
        self.figures.push((look, path));
    }

    fn bank(&mut self, path: Path) {
        let places = path.places();
        let every = (TICK_EVERY * self.unit).max(length(&places) / ALONG_MAX);
        let tick = TICK * self.unit;
        let ticks = along(&places, every / 2.0, every)
            .into_iter()
            .flat_map(|([x, y], [u, v])| [Step::Start([x, y]), Step::Line([x + tick * v, y - tick * u])]);
        let ticks = Path(ticks.collect());
        self.figure(Look::Bank, path, Used::WaterEdge);
        self.figures.push((Look::Fine, ticks));
    }

    fn buried(&mut self, path: Path, of: Buried) {
        let places = path.places();
        let whole = length(&places);
        let every = (LETTER_EVERY * self.unit).max(whole / ALONG_MAX);
        // Spread evenly: one letter in the middle of every part.
        let parts = (whole / every).round().max(1.0);
        let drop = -0.36 * Hand::Tiny.size(self.medium);
        for (at, _) in along(&places, whole / parts / 2.0, whole / parts) {
            self.letter(at, [0.0, drop], Anchor::Middle, Hand::Tiny, letter(of));
        }
        self.figure(Look::Buried, path, Used::Buried(of));
    }

    fn head(&mut self, yard: &Yard, at: At, head: &HeadFacts, name: &str, options: &Options<'_>) {
        if options.throws && head.radius_m > 0.0 && head.arc_deg > 0.0 {
            self.figures.push((Look::Throw, Path::wedge(at, head.radius_m, head.arc_from_deg, head.arc_deg)));
        }
        self.sign(at, Used::Head, name.to_owned());
        self.zone_number(yard, at, [2.4, 1.2], head.zone.as_deref());
    }

    /// On paper, the number a zone has in the table of zones.
    fn zone_number(&mut self, yard: &Yard, at: At, by: At, zone: Option<&str>) {
        let zone = zone.and_then(|key| yard.zones.iter().position(|z| z.key == key));
        if let (Medium::Paper, Some(zone)) = (self.medium, zone) {
            self.letter(at, by, Anchor::Start, Hand::Tiny, (zone + 1).to_string());
        }
    }
}

/// Adds a thing to the drawing.
pub(crate) fn add(drawing: &mut Drawing, yard: &Yard, mapped: &Mapped, options: &Options<'_>) {
    let at = mapped.place();
    let finite = mapped.at.iter().all(|c| c.at().iter().chain([&c.bow.get()]).all(|v| v.is_finite()));
    if !shown(&mapped.thing, options) || mapped.at.is_empty() || !finite {
        return;
    }
    let name = clean(&mapped.name);
    match &mapped.thing {
        Thing::Building { .. } => drawing.figure(Look::House, Path::ring(&mapped.at), Used::Building),
        Thing::Tree { crown_m, .. } => {
            drawing.figures.push((Look::Crown, Path::circle(at, *crown_m)));
            drawing.sign(at, Used::Tree, name);
        }
        Thing::WaterEdge => drawing.bank(Path::line(&mapped.at)),
        Thing::Well => drawing.sign(at, Used::Well, name),
        Thing::BuriedLine { of } => drawing.buried(Path::line(&mapped.at), *of),
        Thing::Head(head) => drawing.head(yard, at, head, &name, options),
        Thing::Valve { zone } => {
            drawing.sign(at, Used::Valve, name);
            drawing.zone_number(yard, at, [5.8, -2.0], zone.as_deref());
        }
        Thing::Controller => {
            drawing.sign(at, Used::Controller, name);
            let hand = Hand::Tiny;
            let drop = -0.36 * hand.size(drawing.medium);
            drawing.letter(at, [0.0, drop], Anchor::Middle, hand, "C");
        }
        Thing::Pipe { role, .. } => {
            let look = match role {
                PipeRole::Main => Look::Main,
                PipeRole::Lateral => Look::Lateral,
            };
            drawing.figure(look, Path::line(&mapped.at), Used::Pipe(*role));
        }
        Thing::Level { height_m } => {
            drawing.sign(at, Used::Level, name);
            let height = number(drawing.units.show(Quantity::Length, *height_m), 2);
            drawing.letter(at, [3.5, 1.5], Anchor::Start, Hand::Tiny, height);
        }
        Thing::Play => drawing.figure(Look::Dotted, Path::ring(&mapped.at), Used::Play),
        Thing::Pets => drawing.figure(Look::Dotted, Path::ring(&mapped.at), Used::Pets),
    }
}
