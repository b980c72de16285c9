//! Names and sizes of areas, set inside their ground and clear of each other; a number where there is no room.

use reckon::outline::{FlatOutline, Outline};
use yard::Yard;
use yard::entry::AreaFacts;
use yard::map::{Mapped, Thing};
use yard::units::Quantity;

use super::ground::along;
use super::letters::{Weight, clean, lines, width};
use super::look::{Hand, Look};
use super::path::At;
use super::{Anchor, Drawing, Extent, Keyed, Letters};

/// Sides that stand for an arc lie so close to it (units of the drawing).
const FLAT: f64 = 0.5;
/// Steps looked at on each side of an outline's middle.
const STEPS: i32 = 7;
/// Units between the dots a line counts as.
const DOT_EVERY: f64 = 6.0;
/// Dots each way over the ground of play.
const GRID: i32 = 8;
/// Height of a line of letters for their size.
const LEADING: f64 = 1.18;
/// System letters run a little wider than those measured.
const SPARE: f64 = 1.08;

/// A ground with straight sides, and where its middle is.
struct Room {
    flat: FlatOutline,
    middle: At,
}

fn inside(ring: &[At], [x, y]: At) -> bool {
    let next = ring.iter().cycle().skip(1);
    ring.iter()
        .zip(next)
        .filter(|([ax, ay], [bx, by])| (*ay > y) != (*by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax))
        .count()
        % 2
        == 1
}

impl Extent {
    fn around([x, y]: At, width: f64, height: f64) -> Self {
        Self { low: [x - width / 2.0, y - height / 2.0], high: [x + width / 2.0, y + height / 2.0] }
    }

    fn meets(&self, other: &Self) -> bool {
        (0..2).all(|i| self.low[i] < other.high[i] && other.low[i] < self.high[i])
    }

    fn holds(&self, at: At) -> bool {
        (0..2).all(|i| self.low[i] <= at[i] && at[i] <= self.high[i])
    }

    /// Places on its edge and in its middle.
    fn places(&self) -> impl Iterator<Item = At> + '_ {
        let shares = [0.0, 0.25, 0.5, 0.75, 1.0];
        let grid = shares.into_iter().flat_map(move |u| [0.0, 0.5, 1.0].into_iter().map(move |v| [u, v]));
        grid.map(|[u, v]| [self.low[0] + u * self.width(), self.low[1] + v * self.height()])
    }
}

impl Room {
    fn of(outline: &Outline, unit: f64) -> Self {
        Self { flat: outline.flattened(FLAT * unit), middle: outline.label_point() }
    }

    fn holds(&self, at: At) -> bool {
        inside(&self.flat.ring, at) && !self.flat.holes.iter().any(|hole| inside(hole, at))
    }

    /// Whether a label lies on the ground with no corner of an edge in it.
    fn takes(&self, label: &Extent) -> bool {
        let corners = self.flat.ring.iter().chain(self.flat.holes.iter().flatten());
        label.places().all(|at| self.holds(at)) && !corners.into_iter().any(|&at| label.holds(at))
    }
}

/// What is on the drawing already.
#[derive(Default)]
struct Taken {
    boxes: Vec<Extent>,
    houses: Vec<Vec<At>>,
    dots: Vec<At>,
}

impl Taken {
    fn free(&self, label: &Extent) -> bool {
        !self.boxes.iter().any(|b| b.meets(label))
            && !self.houses.iter().any(|house| {
                label.places().any(|at| inside(house, at)) || house.iter().any(|&corner| label.holds(corner))
            })
    }

    /// Dots a label would cover.
    fn covered(&self, label: &Extent) -> usize {
        self.dots.iter().filter(|at| label.holds(**at)).count()
    }
}

/// The place for a label in a room: on free ground, over as few dots as can be, then near the middle.
fn place(room: &Room, taken: &Taken, width: f64, height: f64) -> Option<At> {
    let [x, y] = room.middle;
    let steps = (-STEPS..=STEPS).flat_map(|i| (-STEPS..=STEPS).map(move |j| [f64::from(i), f64::from(j)]));
    let mut tries: Vec<At> = steps.map(|[i, j]| [i * height * 0.9, j * height * 0.6]).collect();
    tries.sort_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1])));
    let mut best: Option<(usize, At)> = None;
    for [dx, dy] in tries {
        let at = [x + dx, y + dy];
        let label = Extent::around(at, width, height);
        if !room.takes(&label) || !taken.free(&label) {
            continue;
        }
        let covered = taken.covered(&label);
        if best.is_none_or(|(least, _)| covered < least) {
            best = Some((covered, at));
        }
        if covered == 0 {
            break;
        }
    }
    best.map(|(_, at)| at)
}

/// A label's lines, each in its hand.
type Block = Vec<(Hand, String)>;

fn size_of(block: &Block, drawing: &Drawing) -> (f64, f64) {
    let wide = |(hand, words): &(Hand, String)| {
        let weight = if *hand == Hand::Name { Weight::Bold } else { Weight::Plain };
        width(words, hand.size(drawing.medium), weight) * SPARE
    };
    let height: f64 = block.iter().map(|(hand, _)| hand.size(drawing.medium) * LEADING).sum();
    let width = block.iter().map(wide).fold(0.0, f64::max);
    ((width + 4.0) * drawing.unit, (height + 2.0) * drawing.unit)
}

fn write(drawing: &mut Drawing, taken: &mut Taken, at: At, block: &Block) {
    let (width, height) = size_of(block, drawing);
    taken.boxes.push(Extent::around(at, width, height));
    let mut down = height / drawing.unit / 2.0 - 1.0;
    for (hand, words) in block {
        let size = hand.size(drawing.medium);
        down -= size * LEADING;
        let by = [0.0, down + 0.27 * size];
        drawing.letters.push(Letters { at, by, anchor: Anchor::Middle, hand: *hand, words: words.clone() });
    }
}

fn taken(drawing: &Drawing, yard: &Yard) -> Taken {
    let unit = drawing.unit;
    let mut taken = Taken::default();
    for sign in &drawing.signs {
        let places = sign.parts.iter().flat_map(|(_, path)| path.places());
        let reach = places.map(|[x, y]| x.abs().max(y.abs())).fold(0.0, f64::max);
        if reach < 2.0 {
            taken.dots.push(sign.at);
        } else {
            taken.boxes.push(Extent::around(sign.at, 2.0 * reach * unit, 2.0 * reach * unit));
        }
    }
    for letters in &drawing.letters {
        let size = letters.hand.size(drawing.medium);
        let wide = width(&letters.words, size, Weight::Plain) * unit;
        let from = match letters.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => wide / 2.0,
            Anchor::End => wide,
        };
        let x = letters.at[0] + letters.by[0] * unit - from + wide / 2.0;
        let y = letters.at[1] + (letters.by[1] + size * 0.36) * unit;
        taken.boxes.push(Extent::around([x, y], wide, size * unit));
    }
    // Lines are kept clear of as far as can be: each is a row of dots.
    for (look, path) in &drawing.figures {
        if matches!(look, Look::Buried | Look::Main | Look::Lateral | Look::Dotted) {
            taken.dots.extend(along(&path.places(), 0.0, DOT_EVERY * unit).into_iter().map(|(at, _)| at));
        }
    }
    // So is the ground of play and pets, which has a word of its own.
    for ground in yard.things.iter().filter(|t| matches!(t.thing, Thing::Play | Thing::Pets)).filter_map(Mapped::ground)
    {
        let ring = ground.flattened(FLAT * unit).ring;
        let Some(extent) = Extent::of(ring.iter().copied()) else { continue };
        let dots = (1..GRID).flat_map(|i| (1..GRID).map(move |j| [i, j].map(|k| f64::from(k) / f64::from(GRID))));
        let dots = dots.map(|[u, v]| [extent.low[0] + u * extent.width(), extent.low[1] + v * extent.height()]);
        taken.dots.extend(dots.filter(|at| inside(&ring, *at)));
    }
    let houses = yard.things.iter().filter(|t| matches!(t.thing, Thing::Building { .. }));
    taken.houses = houses.filter_map(|t| Some(t.ground()?.flattened(FLAT * unit).ring)).collect();
    taken
}

/// The ways a label can be set, the fullest first.
fn blocks(drawing: &Drawing, name: &str, size: &str) -> Vec<Block> {
    let hand = Hand::Name;
    let letters = hand.size(drawing.medium);
    let set = |ems: f64, sizes: Vec<&str>| {
        let lines = lines(name, ems * letters, letters, Weight::Bold).into_iter().map(|line| (hand, line));
        lines.chain(sizes.into_iter().map(|part| (Hand::Figure, part.to_owned()))).collect::<Block>()
    };
    // The narrowest has the number over its unit.
    let mut blocks: Vec<Block> = [22.0, 12.0, 7.0, 5.5].iter().map(|ems| set(*ems, vec![size])).collect();
    blocks.push(set(4.0, size.splitn(2, ' ').collect()));
    // Nothing of a name is lost: what had to be cut or needs more lines gets a number.
    blocks.retain(|block| block.len() <= 4 && !block.iter().any(|(_, line)| line.ends_with('…')));
    blocks.dedup();
    blocks
}

/// Names buildings and the grounds of play and pets, where there is room.
fn things(drawing: &mut Drawing, yard: &Yard, taken: &mut Taken) {
    for thing in &yard.things {
        let words = match thing.thing {
            Thing::Building { .. } => clean(&thing.name),
            Thing::Play => "play".to_owned(),
            Thing::Pets => "pets".to_owned(),
            _ => continue,
        };
        let Some(ground) = thing.ground() else { continue };
        let room = Room::of(&ground, drawing.unit);
        let block = vec![(Hand::Note, words)];
        let (width, height) = size_of(&block, drawing);
        // A building's own ground is where its name belongs.
        let houses = std::mem::take(&mut taken.houses);
        let at = place(&room, taken, width, height);
        taken.houses = houses;
        if let Some(at) = at {
            write(drawing, taken, at, &block);
        }
    }
}

/// Adds the names, the largest areas first.
pub(super) fn add(drawing: &mut Drawing, yard: &Yard, areas: &[(usize, &AreaFacts)]) {
    let mut taken = taken(drawing, yard);
    let mut by_size: Vec<&(usize, &AreaFacts)> = areas.iter().collect();
    by_size.sort_by(|a, b| b.1.size_m2.total_cmp(&a.1.size_m2));
    for (number, area) in by_size {
        let unit = drawing.unit;
        let piece_size = |piece: &Outline| piece.size().map_or(0.0, |s| s.area.get());
        let largest = yard.pieces(&area.key).iter().max_by(|a, b| piece_size(a).total_cmp(&piece_size(b)));
        let Some(room) = largest.map(|piece| Room::of(piece, unit)) else { continue };
        let (name, size) = (clean(&area.name), drawing.units.say(Quantity::Area, area.size_m2));
        let fits = blocks(drawing, &name, &size).into_iter().find_map(|block| {
            let (width, height) = size_of(&block, drawing);
            place(&room, &taken, width, height).map(|at| (at, block))
        });
        let (at, block) = fits.unwrap_or_else(|| {
            let block = vec![(Hand::Name, number.to_string())];
            let (width, height) = size_of(&block, drawing);
            drawing.key.push(Keyed { number: *number, area: area.key.clone(), name, size });
            (place(&room, &taken, width, height).unwrap_or(room.middle), block)
        });
        write(drawing, &mut taken, at, &block);
    }
    drawing.key.sort_by_key(|k| k.number);
    things(drawing, yard, &mut taken);
}
