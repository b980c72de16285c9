//! What becomes of each shape: entries' bodies, as the person chose.

use std::collections::{BTreeMap, BTreeSet};

use reckon::outline::{Corner, Outline};
use yard::entry::{AreaFacts, Cover};
use yard::form::key_of;
use yard::map::{Mapped, OutlineFacts, Shape, Thing};
use yard::{Body, Key, Yard};

use crate::{Facts, FileShape, Geometry, MapFileError, MapRead, text};

/// Room a key leaves for the number that makes it unique.
const KEY_LETTERS_MAX: usize = 50;

/// What becomes of a shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// It is left out.
    LeaveOut,
    /// It is what the file tells, which must be one of Toft's own.
    AsFile,
    /// It is the ground of an area the yard has; shapes of the same area are its pieces.
    Outline(Key),
    /// It is a new area.
    NewArea {
        /// Name.
        name: String,
        /// What covers it.
        cover: Cover,
        /// Grass key of the almanac; needed for turf.
        grass: Option<Key>,
        /// Soil texture key of the almanac.
        soil: Key,
    },
    /// It is a new thing on the map, of a form that fits. Of ground in pieces, each becomes a thing; holes do not count.
    Thing(Thing),
}

/// What becomes of a shape unless the person says otherwise: what a file of Toft's own tells, else the ground of the area of
/// the same key or name, else nothing.
pub fn usual_choice(yard: &Yard, shape: &FileShape) -> Choice {
    if shape.facts.is_some() {
        return Choice::AsFile;
    }
    if !matches!(shape.geometry, Geometry::Ground(_)) {
        return Choice::LeaveOut;
    }
    let by_key = shape.key.as_ref().and_then(|key| yard.area(key));
    let name = shape.name.to_lowercase();
    let by_name = || yard.areas.iter().find(|a| a.name.trim().to_lowercase() == name);
    by_key.or_else(by_name).map_or(Choice::LeaveOut, |area| Choice::Outline(area.key.clone()))
}

impl MapRead {
    /// The entries' bodies that take the chosen shapes over, in the order they are to be recorded: a new origin first, then
    /// each shape's; a new area before its outline.
    ///
    /// An area or thing of a file of Toft's own keeps its key, and is a new word on the yard's area or thing of that key; the
    /// second of that key in one file becomes a new one. Whether the figures and words of the bodies are allowed is left to
    /// [`yard::prepare_bodies`].
    ///
    /// # Errors
    /// [`MapFileError::Unfit`] for a choice the shape cannot become.
    pub fn bodies(&self, yard: &Yard, choose: impl Fn(usize, &FileShape) -> Choice) -> Result<Vec<Body>, MapFileError> {
        let mut taker = Taker {
            yard,
            areas: yard
                .areas
                .iter()
                .map(|a| &a.key)
                .chain(yard.outlines.iter().map(|o| &o.fact.area))
                .cloned()
                .collect(),
            things: yard.things.iter().map(|t| t.key.clone()).collect(),
            told: BTreeSet::new(),
            outlined: BTreeMap::new(),
            bodies: Vec::new(),
        };
        for (i, shape) in self.shapes.iter().enumerate() {
            taker.take(i, shape, choose(i, shape))?;
        }
        if self.origin_is_new && !taker.bodies.is_empty() {
            taker.bodies.insert(0, Body::Origin(self.origin));
        }
        Ok(taker.bodies)
    }
}

struct Taker<'a> {
    yard: &'a Yard,
    /// Keys that are taken.
    areas: BTreeSet<Key>,
    things: BTreeSet<Key>,
    /// Keys the file itself has given, with the kind before them.
    told: BTreeSet<(&'static str, Key)>,
    /// Where among the bodies an area's outline is.
    outlined: BTreeMap<Key, usize>,
    bodies: Vec<Body>,
}

impl Taker<'_> {
    fn take(&mut self, index: usize, shape: &FileShape, choice: Choice) -> Result<(), MapFileError> {
        let unfit = |choice: &str, allowed: &'static str| MapFileError::Unfit {
            shape: index + 1,
            name: shape.name.clone(),
            geometry: shape.geometry.words(),
            choice: choice.to_owned(),
            allowed,
        };
        let ground = || match &shape.geometry {
            Geometry::Ground(pieces) => Some(pieces.clone()),
            Geometry::Line(_) | Geometry::Point(_) => None,
        };
        match choice {
            Choice::LeaveOut => {}
            Choice::AsFile => match &shape.facts {
                Some(Facts::Area(facts)) => {
                    let pieces = ground().ok_or_else(|| unfit("an area", "a piece of ground"))?;
                    let facts = self.area_as_file(shape, facts);
                    let key = facts.key.clone();
                    let is_known = self
                        .yard
                        .area(&key)
                        .is_some_and(|known| AreaFacts { size_m2: known.size_m2, ..facts.clone() } == *known);
                    if !is_known {
                        self.bodies.push(Body::Area(facts));
                    }
                    self.outline(shape, key, pieces);
                }
                Some(Facts::Thing(facts)) => self.things(shape, &facts.thing, Some(facts)),
                None => return Err(unfit("what the file tells", "a shape of a file that Toft wrote")),
            },
            Choice::Outline(area) => {
                let pieces = ground().ok_or_else(|| unfit("an area’s ground", "a piece of ground"))?;
                self.outline(shape, area, pieces);
            }
            Choice::NewArea { name, cover, grass, soil } => {
                let pieces = ground().ok_or_else(|| unfit("a new area", "a piece of ground"))?;
                let key = unique(&name, "area", &mut self.areas);
                self.bodies.push(Body::Area(AreaFacts {
                    key: key.clone(),
                    name,
                    size_m2: shape.area_m2.unwrap_or_default(),
                    cover,
                    grass,
                    soil,
                    slope_pct: 0.0,
                    care: Default::default(),
                    root_m: None,
                    mow_mm: None,
                    sun_h: None,
                    sod_on: None,
                    made_on: None,
                    salted: false,
                    snow_days: None,
                    mulch_mm: None,
                    plants: String::new(),
                    height_m: None,
                    retired: false,
                }));
                self.outline(shape, key, pieces);
            }
            Choice::Thing(thing) => {
                if thing.shape() != shape.geometry.shape() {
                    let allowed = match thing.shape() {
                        Shape::Ring => "a piece of ground",
                        Shape::Line => "a line",
                        Shape::Point => "a point",
                    };
                    return Err(unfit(&format!("a {}", thing.word()), allowed));
                }
                self.things(shape, &thing, None);
            }
        }
        Ok(())
    }

    /// The ground of an area; what another shape of the file gave it stays beside.
    fn outline(&mut self, shape: &FileShape, area: Key, mut pieces: Vec<Outline>) {
        let before = self.outlined.get(&area).and_then(|&at| self.bodies.get_mut(at));
        if let Some(Body::Outline(outline)) = before {
            outline.pieces.append(&mut pieces);
            return;
        }
        self.outlined.insert(area.clone(), self.bodies.len());
        self.bodies.push(Body::Outline(OutlineFacts { area, pieces, measured: shape.measured.clone() }));
    }

    fn area_as_file(&mut self, shape: &FileShape, facts: &AreaFacts) -> AreaFacts {
        let name = name_of(shape, &facts.name);
        let key = self.key_as_file("area", &facts.key, &name);
        AreaFacts { key, name, size_m2: shape.area_m2.unwrap_or(facts.size_m2), ..facts.clone() }
    }

    /// The key the file tells, once; then new ones.
    fn key_as_file(&mut self, kind: &'static str, key: &str, name: &str) -> Key {
        let taken = if kind == "area" { &mut self.areas } else { &mut self.things };
        if !key.is_empty() && self.told.insert((kind, key.to_owned())) {
            taken.insert(key.to_owned());
            return key.to_owned();
        }
        unique(if key.is_empty() { name } else { key }, kind, taken)
    }

    fn things(&mut self, shape: &FileShape, thing: &Thing, facts: Option<&Mapped>) {
        let places: Vec<Vec<Corner>> = match &shape.geometry {
            Geometry::Ground(pieces) => pieces.iter().map(|piece| piece.ring.clone()).collect(),
            Geometry::Line(line) => vec![line.clone()],
            Geometry::Point([x, y]) => vec![vec![Corner::new(*x, *y)]],
        };
        for (i, at) in places.into_iter().enumerate() {
            let name = name_of(shape, facts.map_or("", |f| &f.name));
            let name = if name.is_empty() { thing.word().to_owned() } else { name };
            let name = if i > 0 { format!("{name} {}", i + 1) } else { name };
            let key = match facts {
                Some(facts) => self.key_as_file("thing", &facts.key, &name),
                None => unique(&name, &key_of(thing.word()), &mut self.things),
            };
            self.bodies.push(Body::Mapped(Mapped { key, name, thing: thing.clone(), at, removed: false }));
        }
    }
}

/// The name the file shows, which another program may have changed; the facts' own where that is the same but for its form.
fn name_of(shape: &FileShape, facts_name: &str) -> String {
    if shape.name.is_empty() || text::name(facts_name) == shape.name {
        facts_name.to_owned()
    } else {
        shape.name.clone()
    }
}

/// A key nobody has, from a name.
fn unique(name: &str, kind: &str, taken: &mut BTreeSet<Key>) -> Key {
    let mut stem = key_of(name);
    stem.truncate(KEY_LETTERS_MAX);
    let stem = stem.trim_end_matches('-');
    let numbered = |stem: &str, from: usize| (from..).map(|n| format!("{stem}-{n}")).find(|key| !taken.contains(key));
    let key = if stem.is_empty() {
        // A name without Latin letters has no key of its own: the kind and the first free number stand in.
        numbered(kind, 1)
    } else if taken.contains(stem) {
        numbered(stem, 2)
    } else {
        Some(stem.to_owned())
    };
    let key = key.unwrap_or_default();
    taken.insert(key.clone());
    key
}
