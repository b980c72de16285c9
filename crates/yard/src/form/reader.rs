//! One field at a time: what was typed, read as a number, a measure, a choice, a list.

use almanac::{Almanac, Site, TestMethod};
use jiff::civil::{Date, Time};
use reckon::outline::{Corner, Outline};

use super::{METHODS, Typed, places};
use crate::check_entry::Fault;
use crate::entry::{Pack, SpreaderTrial, Strength, TargetRate};
use crate::units::{ML_PER_FLUID_OUNCE, Quantity, Units};

/// What was typed into a form, and what of it could not be read.
pub(super) struct Reader<'a> {
    pub(super) typed: &'a Typed,
    pub(super) units: Units,
    pub(super) faults: Vec<Fault>,
}

impl Reader<'_> {
    pub(super) fn fault(&mut self, name: &str, message: String) {
        self.faults.push(Fault { field: name.to_owned(), message });
    }

    pub(super) fn raw(&self, name: &str) -> Option<&str> {
        self.typed.get(name).map(|s| s.trim()).filter(|s| !s.is_empty())
    }

    pub(super) fn words(&self, name: &str) -> String {
        self.raw(name).unwrap_or_default().to_owned()
    }

    pub(super) fn words_maybe(&self, name: &str) -> Option<String> {
        self.raw(name).map(str::to_owned)
    }

    pub(super) fn tick(&self, name: &str) -> bool {
        self.raw(name).is_some_and(|v| !matches!(v, "no" | "false" | "0" | "off"))
    }

    pub(super) fn list(&self, name: &str) -> Vec<String> {
        self.raw(name)
            .unwrap_or_default()
            .split([',', ' '])
            .map(str::trim)
            .filter(|s| !s.is_empty())
            .map(str::to_owned)
            .collect()
    }

    pub(super) fn number_maybe(&mut self, name: &str) -> Option<f64> {
        let raw = self.raw(name)?.to_owned();
        match plain_number(&raw) {
            Some(n) => Some(n),
            None => {
                self.fault(name, format!("“{raw}” is not a number"));
                None
            }
        }
    }

    pub(super) fn measure_maybe(&mut self, name: &str, quantity: Quantity) -> Option<f64> {
        let raw = self.raw(name)?.to_owned();
        match measure(&raw, quantity, self.units) {
            Ok(v) => Some(v),
            Err(message) => {
                self.fault(name, message);
                None
            }
        }
    }

    pub(super) fn measure(&mut self, name: &str, quantity: Quantity) -> f64 {
        self.measure_maybe(name, quantity).unwrap_or(f64::NAN)
    }

    pub(super) fn number(&mut self, name: &str) -> f64 {
        self.number_maybe(name).unwrap_or(f64::NAN)
    }

    pub(super) fn choice<T: serde::de::DeserializeOwned + Default>(&mut self, name: &str) -> T {
        let Some(raw) = self.raw(name).map(str::to_owned) else { return T::default() };
        match serde_json::from_value(serde_json::Value::String(raw.clone())) {
            Ok(v) => v,
            Err(_) => {
                self.fault(name, format!("“{raw}” is not one of the choices"));
                T::default()
            }
        }
    }

    pub(super) fn clock(&mut self, name: &str) -> Time {
        let raw = self.words(name);
        let lower = raw.to_lowercase();
        let (digits, afternoon) = match (lower.strip_suffix("pm"), lower.strip_suffix("am")) {
            (Some(d), _) => (d.trim(), Some(true)),
            (_, Some(d)) => (d.trim(), Some(false)),
            _ => (lower.trim(), None),
        };
        let mut parts = digits.splitn(2, ':');
        let hour = parts.next().and_then(|h| h.trim().parse::<i8>().ok());
        let hour = match (hour, afternoon) {
            (Some(12), Some(false)) => Some(0),
            (Some(h), Some(true)) if h < 12 => Some(h + 12),
            (Some(h), Some(_)) if h > 12 => None,
            (h, _) => h,
        };
        // A browser may add seconds; they must be nothing.
        let minute =
            parts.next().map_or(Some(0), |m| m.trim().strip_suffix(":00").unwrap_or(m.trim()).parse::<i8>().ok());
        match (hour, minute) {
            (Some(h), Some(m)) if (0..24).contains(&h) && (0..60).contains(&m) => Time::constant(h, m, 0, 0),
            _ => {
                self.fault(name, format!("“{raw}” is not a clock time; write it like 4:30 or 22:00"));
                Time::midnight()
            }
        }
    }

    pub(super) fn weekdays(&mut self, name: &str) -> Vec<i8> {
        const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
        let mut out = Vec::new();
        for word in self.list(name) {
            let lower = word.to_lowercase();
            let day = lower.parse::<i8>().ok().filter(|d| (1..=7).contains(d)).or_else(|| {
                let i = DAYS.iter().position(|d| lower.get(..3) == Some(*d))?;
                i8::try_from(i + 1).ok()
            });
            match day {
                Some(d) if !out.contains(&d) => out.push(d),
                Some(_) => {}
                None => self.fault(name, format!("“{word}” is not a weekday; write mon, tue, … or 1 to 7")),
            }
        }
        out.sort_unstable();
        out
    }

    /// One of these words, where any is told.
    pub(super) fn one_of(&mut self, name: &str, words: &[&'static str]) -> Option<&'static str> {
        let raw = self.raw(name)?.to_owned();
        let found = words.iter().find(|w| **w == raw).copied();
        if found.is_none() {
            self.fault(name, format!("“{raw}” is not one of: {}", words.join(", ")));
        }
        found
    }

    pub(super) fn date_maybe(&mut self, name: &str) -> Option<Date> {
        let raw = self.raw(name)?.to_owned();
        let read = raw.parse().or_else(|_| Date::strptime("%d %b %Y", &raw));
        if read.is_err() {
            self.fault(name, format!("“{raw}” is not a date; write it like 2026-04-20"));
        }
        read.ok()
    }

    pub(super) fn method(&mut self, name: &str) -> TestMethod {
        let raw = self.words(name);
        let read = serde_json::from_value(serde_json::Value::String(raw.clone()));
        if read.is_err() && !raw.is_empty() {
            self.fault(name, format!("“{raw}” is not one of: {}", METHODS.join(", ")));
        }
        read.unwrap_or(TestMethod::Mehlich3)
    }

    /// "12-01": a month and a day.
    pub(super) fn month_day(&mut self, name: &str) -> Option<(i8, i8)> {
        let raw = self.raw(name)?.to_owned();
        let read = raw.split_once(['-', '/']).and_then(|(m, d)| {
            let (month, day) = (m.trim().parse::<i8>().ok()?, d.trim().parse::<i8>().ok()?);
            // A leap year, so that 29 February is a day.
            Date::new(2024, month, day).ok().map(|d| (d.month(), d.day()))
        });
        if read.is_none() {
            self.fault(name, format!("“{raw}” is not a month and day; write it like 12-01"));
        }
        read
    }

    /// "4, 0.6 lb, 5 ft, 50 ft": setting, weight, width, length.
    pub(super) fn trials(&mut self, name: &str) -> Vec<SpreaderTrial> {
        let mut out = Vec::new();
        for line in self.text_lines(name) {
            let parts: Vec<&str> = line.split(',').map(str::trim).collect();
            let read = |i: usize, q: Quantity| parts.get(i).and_then(|w| measure(w, q, self.units).ok());
            let setting = parts.first().and_then(|w| plain_number(w));
            match (setting, read(1, Quantity::Mass), read(2, Quantity::Length), read(3, Quantity::Length), parts.len())
            {
                (Some(setting), Some(collected_kg), Some(swath_m), Some(length_m), 4) => {
                    out.push(SpreaderTrial { setting, collected_kg, swath_m, length_m });
                }
                _ => self.fault(
                    name,
                    format!("“{line}” cannot be read; write setting, weight, width, length: 4, 0.6 lb, 5 ft, 50 ft"),
                ),
            }
        }
        out
    }

    /// Grasses by key or by name, parted by commas.
    pub(super) fn grasses(&mut self, name: &str, almanac: &Almanac) -> Vec<String> {
        let words = self.words(name);
        let parts = words.split([',', ';', '\n']).map(str::trim).filter(|w| !w.is_empty());
        let known = |word: &str| {
            almanac.grasses.iter().find(|g| g.id == word || g.name.eq_ignore_ascii_case(word)).map(|g| g.id.clone())
        };
        // Keys may also be parted by spaces; a name may not.
        parts
            .flat_map(|part| match known(part) {
                Some(key) => vec![key],
                None => part.split_whitespace().map(str::to_owned).collect(),
            })
            .collect()
    }

    pub(super) fn sites(&mut self, name: &str) -> Vec<Site> {
        let mut out = Vec::new();
        for word in self.list(name) {
            match word.to_lowercase().as_str() {
                "turf" | "lawn" => out.push(Site::Turf),
                "bed" | "beds" => out.push(Site::Bed),
                _ => self.fault(name, format!("“{word}” is not one of: turf, bed")),
            }
        }
        out.dedup();
        out
    }

    pub(super) fn text_lines(&self, name: &str) -> Vec<String> {
        let words = self.words(name);
        words.split(['\n', ';']).map(str::trim).filter(|l| !l.is_empty()).map(str::to_owned).collect()
    }

    /// "crabgrass 2.5 3.7": a target and one rate or two.
    pub(super) fn targets(&mut self, name: &str, dose: Quantity) -> Vec<TargetRate> {
        let mut out = Vec::new();
        for line in self.text_lines(name) {
            let words: Vec<&str> = line.split_whitespace().collect();
            let count = words.iter().rev().take_while(|w| plain_number(w).is_some()).take(2).count();
            let (target, rates) = words.split_at(words.len() - count);
            let rate = |i: usize| rates.get(i).and_then(|w| plain_number(w)).map(|n| tidy(self.units.read(dose, n)));
            match (rate(0), rate(1).or(rate(0))) {
                (Some(low), Some(high)) if !target.is_empty() => {
                    out.push(TargetRate { target: target.join(" "), low, high });
                }
                _ => self.fault(
                    name,
                    format!(
                        "“{line}” cannot be read; write the target, then lowest and highest rate in {}",
                        self.units.symbol(dose)
                    ),
                ),
            }
        }
        out
    }

    /// "40 lb = 58": a size and, where known, its price.
    pub(super) fn packs(&mut self, name: &str, quantity: Quantity) -> Vec<Pack> {
        let mut out = Vec::new();
        for line in self.text_lines(name) {
            let (size, price) = line.split_once('=').map_or((line.as_str(), None), |(s, p)| (s, Some(p)));
            let price_read = price.map(plain_number);
            match (measure(size, quantity, self.units), price_read) {
                (Ok(size_kg), None) => out.push(Pack { size_kg, price: None }),
                (Ok(size_kg), Some(Some(p))) => out.push(Pack { size_kg, price: Some(p) }),
                _ => self.fault(name, format!("“{line}” cannot be read; write size and price like “40 lb = 58”")),
            }
        }
        out
    }

    pub(super) fn corners(&mut self, name: &str) -> Vec<Corner> {
        match places::rings(&self.words(name), self.units).as_deref() {
            Ok([one]) => one.clone(),
            Ok([]) => Vec::new(),
            Ok(_) => {
                self.fault(name, "a thing has one place, one line or one ring; a / parts two".to_owned());
                Vec::new()
            }
            Err(message) => {
                self.fault(name, message.clone());
                Vec::new()
            }
        }
    }

    pub(super) fn pieces(&mut self, corners: &str, holes: &str) -> Vec<Outline> {
        let mut rings = |name: &str| match places::rings(&self.words(name), self.units) {
            Ok(rings) => rings,
            Err(message) => {
                self.faults.push(Fault { field: name.to_owned(), message });
                Vec::new()
            }
        };
        let mut pieces: Vec<Outline> =
            rings(corners).into_iter().map(|ring| Outline { ring, holes: Vec::new() }).collect();
        for hole in rings(holes) {
            // The piece the hole lies in; what lies in none is told by the check of the outline.
            let inside = hole.first().and_then(|c| pieces.iter().position(|p| p.contains(c.at()))).unwrap_or(0);
            match pieces.get_mut(inside) {
                Some(piece) => piece.holes.push(hole),
                None => self.faults.push(Fault {
                    field: holes.to_owned(),
                    message: "there is nothing to cut a hole out of: corners is empty".to_owned(),
                }),
            }
        }
        pieces
    }

    pub(super) fn actives(&mut self, name: &str) -> Vec<Strength> {
        let mut out = Vec::new();
        for part in ingredient_parts(&self.words(name)) {
            let cleaned = part.trim_end_matches('%').trim();
            match cleaned.rsplit_once([' ', '=']) {
                Some((key, pct)) => match pct.trim().parse::<f64>() {
                    Ok(pct) => out.push(Strength { active: key.trim().to_lowercase().replace(' ', "-"), pct }),
                    Err(_) => self.fault(
                        name,
                        format!("“{part}”: write the ingredient and its strength, like “prodiamine 0.48”"),
                    ),
                },
                None => self.fault(name, format!("“{part}”: the strength in % is missing, like “prodiamine 0.48”")),
            }
        }
        out
    }
}

/// Splits "2,4-d 26, mcpp 7" behind each strength: a comma inside an ingredient's name does not part.
fn ingredient_parts(words: &str) -> Vec<String> {
    let mut parts = Vec::new();
    let mut part = String::new();
    for piece in words.split_inclusive([',', ';']) {
        part.push_str(piece);
        let told = part.trim_end_matches([',', ';']).trim();
        let strength =
            told.trim_end_matches('%').trim().rsplit_once([' ', '=']).and_then(|(_, n)| n.parse::<f64>().ok());
        if strength.is_some() || piece.ends_with(';') {
            parts.push(told.to_owned());
            part.clear();
        }
    }
    parts.push(part.trim_end_matches([',', ';']).trim().to_owned());
    parts.retain(|p| !p.is_empty());
    parts
}

pub(super) fn plain_number(raw: &str) -> Option<f64> {
    let cleaned = raw.trim().trim_start_matches('$').trim_end_matches('%').replace(['\u{2009}', '\u{a0}'], "");
    // A comma is a thousands mark only where three digits follow; "1,5" is refused rather than guessed.
    let cleaned = if cleaned.contains(',') {
        let groups: Vec<&str> = cleaned.split(',').collect();
        let fine = groups.iter().skip(1).all(|g| g.split('.').next().is_some_and(|d| d.len() == 3));
        if !fine {
            return None;
        }
        groups.concat()
    } else {
        cleaned
    };
    cleaned.trim().parse::<f64>().ok().filter(|v| v.is_finite())
}

/// Reads "12", "12 mm", "0.5in" as a quantity in SI; a bare number is in the yard's units.
///
/// # Errors
/// Words for the user: what was typed and how to write it.
pub fn measure(raw: &str, quantity: Quantity, units: Units) -> Result<f64, String> {
    let text = raw.trim();
    // "60 x 40": a length times a width, as a person paces it.
    if quantity == Quantity::Area
        && let Some((a, b)) = text.split_once(['x', '×', '*'])
        && let (Ok(a), Ok(b)) = (measure(a, Quantity::Length, units), measure(b, Quantity::Length, units))
    {
        return Ok(tidy(a * b));
    }
    let split = text
        .char_indices()
        .find(|(i, c)| (c.is_alphabetic() || *c == '°' || *c == '"' || *c == '/') && !(*c == 'e' && *i == 0))
        .map_or(text.len(), |(i, _)| i);
    let (number, unit) = text.split_at(split);
    let Some(n) = plain_number(number) else {
        return Err(format!("“{raw}” is not a number; write it like “{} {}”", 12, units.symbol(quantity)));
    };
    let unit = unit.trim().to_lowercase().replace(' ', "").replace('²', "2");
    if unit.is_empty() {
        return Ok(tidy(units.read(quantity, n)));
    }
    let us = |q: Quantity| Units::UsCustomary.read(q, n);
    let si = match (quantity, unit.as_str()) {
        (Quantity::Depth, "mm") => n,
        (Quantity::Depth, "cm") => n * 10.0,
        (Quantity::Depth, "in" | "inch" | "inches" | "\"") => us(Quantity::Depth),
        (Quantity::Rate, "mm/h") => n,
        (Quantity::Rate, "in/h") => us(Quantity::Rate),
        (Quantity::Area, "m2" | "sqm") => n,
        (Quantity::Area, "ft2" | "sqft") => us(Quantity::Area),
        (Quantity::Area, "acre" | "acres") => n * reckon::units::factor::M2_PER_ACRE,
        (Quantity::Length, "m") => n,
        (Quantity::Length, "ft") => us(Quantity::Length),
        (Quantity::Dose, "g/m2") => n,
        (Quantity::Dose, "kg/ha") => n / 10.0,
        (Quantity::Dose, "lb/1000sqft" | "lb/1000ft2" | "lb/k" | "lb/m") => us(Quantity::Dose),
        (Quantity::Dose, "lb/acre" | "lb/a") => n * reckon::units::factor::G_M2_PER_LB_ACRE,
        (Quantity::DoseLiquid, "ml/m2") => n,
        (Quantity::DoseLiquid, "ml/100m2") => n / 100.0,
        (Quantity::DoseLiquid, "l/ha") => n / 10.0,
        (Quantity::DoseLiquid, "floz/1000sqft" | "floz/1000ft2" | "oz/1000sqft") => us(Quantity::DoseLiquid),
        (Quantity::DoseLiquid, "pt/acre" | "pt/a") => {
            n * 16.0 * ML_PER_FLUID_OUNCE / reckon::units::factor::M2_PER_ACRE
        }
        (Quantity::DoseLiquid, "floz/acre" | "floz/a") => n * ML_PER_FLUID_OUNCE / reckon::units::factor::M2_PER_ACRE,
        (Quantity::VolumeProduct, "l") => n,
        (Quantity::VolumeProduct, "ml") => n / 1000.0,
        (Quantity::VolumeProduct, "floz") => us(Quantity::VolumeProduct),
        (Quantity::VolumeProduct, "qt") => n * 32.0 * ML_PER_FLUID_OUNCE / 1000.0,
        (Quantity::VolumeProduct, "pt") => n * 16.0 * ML_PER_FLUID_OUNCE / 1000.0,
        (Quantity::VolumeProduct, "gal") => n * reckon::units::factor::L_PER_GALLON,
        (Quantity::Mass, "kg") => n,
        (Quantity::Mass, "g") => n / 1000.0,
        (Quantity::Mass, "lb" | "lbs") => us(Quantity::Mass),
        (Quantity::Volume, "l") => n,
        (Quantity::Volume, "m3") => n * 1000.0,
        (Quantity::Volume, "gal") => n * reckon::units::factor::L_PER_GALLON,
        (Quantity::Flow, "l/min") => n,
        (Quantity::Flow, "gal/min" | "gpm") => us(Quantity::Flow),
        (Quantity::Temperature, "°c" | "c") => n,
        (Quantity::Temperature, "°f" | "f") => us(Quantity::Temperature),
        (Quantity::Pressure, "kpa") => n,
        (Quantity::Pressure, "bar") => n * 100.0,
        (Quantity::Pressure, "psi") => us(Quantity::Pressure),
        (Quantity::Speed, "m/s") => n,
        (Quantity::Speed, "mph") => us(Quantity::Speed),
        (Quantity::Speed, "km/h") => n / 3.6,
        _ => {
            return Err(format!(
                "the unit in “{raw}” is not one Toft knows here; write it like “12 {}”",
                units.symbol(quantity)
            ));
        }
    };
    Ok(tidy(si))
}

/// A figure as a person writes it: six decimals at most, none that are nought.
pub(super) fn plain(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Twelve significant digits: what a person typed as 3.5 in is stored as 88.9 mm, not as 88.89999999999999.
fn tidy(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

/// A key made from a name: lower case, hyphens.
pub fn key_of(name: &str) -> String {
    let mut key = String::new();
    for c in name.trim().to_lowercase().chars() {
        if c.is_ascii_alphanumeric() {
            key.push(c);
        } else if !key.is_empty() && !key.ends_with('-') {
            key.push('-');
        }
    }
    key.truncate(60);
    key.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers are read with and without unit; a decimal comma is refused rather than guessed.
    #[test]
    fn measures() {
        let us = Units::UsCustomary;
        let near = |raw: &str, q: Quantity, want: f64| {
            let got = measure(raw, q, us).unwrap_or(f64::NAN);
            assert!((got - want).abs() < 1e-6 * want.abs().max(1.0), "{raw}: {got} not {want}");
        };
        near("0.5", Quantity::Depth, 12.7);
        near("12mm", Quantity::Depth, 12.0);
        near("1.5 in", Quantity::Depth, 38.1);
        near("3,200 sq ft", Quantity::Area, 297.289_728);
        near("20 °C", Quantity::Temperature, 20.0);
        near("50", Quantity::Temperature, 10.0);
        near("3 lb/1000 sq ft", Quantity::Dose, 14.647_282_9);
        assert!(measure("1,5", Quantity::Depth, us).is_err());
        assert!(measure("12 furlongs", Quantity::Depth, us).is_err());
        assert!(measure("nan", Quantity::Depth, us).is_err());
    }

    #[test]
    fn keys_are_made_from_names() {
        assert_eq!(key_of("  Front lawn, north "), "front-lawn-north");
        assert_eq!(key_of("Überm Teich"), "berm-teich");
    }
}
