//! What a file of Toft's own tells of a shape beside its place.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};
use yard::entry::AreaFacts;
use yard::form::key_of;
use yard::map::{HeadFacts, Mapped, Shape, Thing};
use yard::{Body, Yard};

use crate::bows::Bow;
use crate::placed::Geometry;
use crate::raw::RawFeature;

/// The facts of an area or a thing, as the file tells them.
#[derive(Clone, Debug, PartialEq)]
pub enum Facts {
    /// An area; its size is the shape's.
    Area(AreaFacts),
    /// A thing on the map, without its place.
    Thing(Mapped),
}

/// Properties of an area.
pub(crate) fn of_area(area: &AreaFacts, measured: &str, bows: Vec<Value>) -> Map<String, Value> {
    let mut properties = properties(&area.name, &area.key, json!("area"), Body::Area(area.clone()), bows);
    if !measured.is_empty() {
        properties.insert("measured".to_owned(), json!(measured));
    }
    properties
}

/// Properties of a thing.
pub(crate) fn of_thing(thing: &Mapped, bows: Vec<Value>) -> Map<String, Value> {
    let placeless = Body::Mapped(Mapped { at: Vec::new(), ..thing.clone() });
    properties(&thing.name, &thing.key, json!(thing.thing)["is"].clone(), placeless, bows)
}

fn properties(name: &str, key: &str, is: Value, body: Body, bows: Vec<Value>) -> Map<String, Value> {
    let mut facts = json!(body);
    if let Some(members) = facts.as_object_mut() {
        members.remove("at");
    }
    let mut properties = Map::new();
    for (member, value) in [("name", json!(name)), ("is", is), ("key", json!(key)), ("facts", facts)] {
        properties.insert(member.to_owned(), value);
    }
    if !bows.is_empty() {
        properties.insert("bows".to_owned(), Value::Array(bows));
    }
    properties
}

/// The key a file gives a feature, as Toft writes keys.
pub(crate) fn key(feature: &RawFeature) -> Option<String> {
    feature.properties.get("key").and_then(Value::as_str).map(key_of).filter(|key| !key.is_empty())
}

/// How a feature was measured.
pub(crate) fn measured(feature: &RawFeature) -> String {
    let told = feature.properties.get("measured").and_then(Value::as_str).unwrap_or_default();
    told.chars().take(yard::check_entry::TEXT_MAX).collect()
}

/// The arcs of a feature, by piece and ring.
pub(crate) fn bows(feature: &RawFeature) -> BTreeMap<[usize; 2], Vec<Bow>> {
    let index = |value: &Value| value.as_u64().and_then(|n| usize::try_from(n).ok());
    let bow = |told: &Value| match told.as_array()?.as_slice() {
        [piece, ring, first, last, bow] => {
            Some(([index(piece)?, index(ring)?], (index(first)?, index(last)?, bow.as_f64()?)))
        }
        _ => None,
    };
    let mut bows: BTreeMap<[usize; 2], Vec<Bow>> = BTreeMap::new();
    let told = feature.properties.get("bows").and_then(Value::as_array);
    for (ring, bow) in told.into_iter().flatten().filter_map(bow) {
        bows.entry(ring).or_default().push(bow);
    }
    bows
}

/// The facts a file of Toft's own tells of a shape, and what of them cannot be taken.
///
/// What is taken over is on the map: a file neither gives up an area nor takes a thing away. A zone the yard does not have is
/// left out.
pub(crate) fn read(
    feature: &RawFeature,
    geometry: &Geometry,
    yard: &Yard,
    problems: &mut Vec<String>,
) -> Option<Facts> {
    let mut told = feature.properties.get("facts")?.clone();
    let kind = told.get("kind")?.as_str()?.to_owned();
    let members = told.as_object_mut()?;
    if kind.starts_with("mapped/") {
        members.insert("at".to_owned(), json!([]));
    }
    let mut say = |what: String| problems.push(format!("{}: {what}", feature.spot));
    let facts = match serde_json::from_value(told) {
        Ok(Body::Area(area)) => {
            Facts::Area(AreaFacts { retired: false, key: sound_key(&area.key, &feature.name), ..area })
        }
        Ok(Body::Mapped(thing)) => {
            let mut thing = Mapped { removed: false, key: sound_key(&thing.key, &feature.name), ..thing };
            if let Some(zone) = unknown_zone(&mut thing.thing, yard) {
                say(format!("it names the zone {zone}, which this yard does not have; taken without its zone"));
            }
            Facts::Thing(thing)
        }
        Ok(other) => {
            say(format!("its facts are of an entry of the kind {}; left out", other.kind()));
            return None;
        }
        Err(e) => {
            say(format!("its facts ({kind}) cannot be read and are left out: {e}"));
            return None;
        }
    };
    let needed = match &facts {
        Facts::Area(_) => Shape::Ring,
        Facts::Thing(thing) => thing.thing.shape(),
    };
    if needed != geometry.shape() {
        say(format!("its facts are of something else than {}; they are left out", geometry.words()));
        return None;
    }
    Some(facts)
}

fn sound_key(key: &str, name: &str) -> String {
    let sound = key_of(key);
    if sound.is_empty() { key_of(name) } else { sound }
}

/// Takes a zone the yard does not have out of a thing.
fn unknown_zone(thing: &mut Thing, yard: &Yard) -> Option<String> {
    match thing {
        Thing::Head(HeadFacts { zone, .. }) | Thing::Valve { zone } | Thing::Pipe { zone, .. } => {
            zone.take_if(|key| yard.zone(key).is_none())
        }
        _ => None,
    }
}
