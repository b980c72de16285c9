//! Counts what a JSON text holds without building it: a small file can hold a million vertices.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use crate::{JSON_VALUES_MAX, MapFileError, VERTICES_MAX};

/// Refuses a text that is not JSON, or holds more than a map file may.
pub(crate) fn count(text: &str) -> Result<(), MapFileError> {
    let mut tally = Tally::default();
    let mut json = serde_json::Deserializer::from_str(text);
    let counted = Counted { tally: &mut tally, in_coordinates: false }.deserialize(&mut json);
    match counted.and_then(|_| json.end()) {
        Ok(()) => Ok(()),
        Err(_) if tally.vertices > VERTICES_MAX => Err(MapFileError::TooManyVertices),
        Err(_) if tally.values > JSON_VALUES_MAX => Err(MapFileError::TooManyValues),
        Err(e) => Err(MapFileError::NotJson { message: e.to_string() }),
    }
}

#[derive(Default)]
struct Tally {
    values: usize,
    vertices: usize,
}

/// What a value is, as far as it is of interest here.
#[derive(Clone, Copy, PartialEq)]
enum Seen {
    Number,
    Other,
}

struct Counted<'a> {
    tally: &'a mut Tally,
    in_coordinates: bool,
}

impl<'de> DeserializeSeed<'de> for Counted<'_> {
    type Value = Seen;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Seen, D::Error> {
        self.tally.values += 1;
        if self.tally.values > JSON_VALUES_MAX {
            return Err(D::Error::custom("too many values"));
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Counted<'_> {
    type Value = Seen;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Seen, E> {
        Ok(Seen::Other)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Seen, E> {
        Ok(Seen::Number)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Seen, E> {
        Ok(Seen::Number)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Seen, E> {
        Ok(Seen::Number)
    }

    fn visit_str<E>(self, _: &str) -> Result<Seen, E> {
        Ok(Seen::Other)
    }

    fn visit_unit<E>(self) -> Result<Seen, E> {
        Ok(Seen::Other)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Seen, A::Error> {
        let mut first = true;
        while let Some(seen) =
            list.next_element_seed(Counted { tally: &mut *self.tally, in_coordinates: self.in_coordinates })?
        {
            if first && self.in_coordinates && seen == Seen::Number {
                self.tally.vertices += 1;
                if self.tally.vertices > VERTICES_MAX {
                    return Err(A::Error::custom("too many vertices"));
                }
            }
            first = false;
        }
        Ok(Seen::Other)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Seen, A::Error> {
        while let Some(in_coordinates) = map.next_key_seed(IsCoordinates)? {
            map.next_value_seed(Counted { tally: &mut *self.tally, in_coordinates })?;
        }
        Ok(Seen::Other)
    }
}

/// Whether a key is `coordinates`.
struct IsCoordinates;

impl<'de> DeserializeSeed<'de> for IsCoordinates {
    type Value = bool;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<bool, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for IsCoordinates {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    fn visit_str<E>(self, key: &str) -> Result<bool, E> {
        Ok(key == "coordinates")
    }
}
