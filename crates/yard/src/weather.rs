//! The weather a yard lives in: a dense run of days with the missing readings filled by stated methods and marked.

use std::borrow::Cow;
use std::sync::Arc;

use almanac::{Almanac, ClimateStation};
use jiff::civil::Date;
use reckon::evapotranspiration::{Et0Input, Humidity, Radiation, et0_penman_monteith_fao56, et0_working};
use reckon::growth_potential::{TurfSeason, growth_potential};
use reckon::radiation::Siting;
use reckon::soil_temperature::{Cover, daily_step};
use reckon::units::{Celsius, Degrees, Metres, MetresPerSecond, Millimetres, Percent};
use reckon::working::Step;
use serde::Serialize;

use crate::air::{Air, air};
use crate::forecast::Forecast;
use crate::weather_day::{Place, WeatherDay};

mod outlook;
pub use outlook::{Ahead, OUTLOOK_YEARS_MIN, Outlook};

/// Which of a day's figures nobody measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Estimated {
    /// Temperatures are the mean of other years or of the built-in climate.
    pub temperature: bool,
    /// Rain likewise.
    pub rain: bool,
    /// Humidity by FAO-56 eq. 48 (dew point taken as the day's minimum).
    pub humidity: bool,
    /// Wind taken as 2 m/s (FAO-56 p. 63).
    pub wind: bool,
    /// Radiation by FAO-56 eq. 50 from the day's temperature range.
    pub solar: bool,
}

/// One day, complete.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// Local civil date.
    pub date: Date,
    /// Lowest air temperature (°C).
    pub tmin_c: f64,
    /// Highest air temperature (°C).
    pub tmax_c: f64,
    /// Rain (mm).
    pub rain_mm: f64,
    /// Reference evapotranspiration, FAO-56 Penman–Monteith (mm).
    pub et0_mm: f64,
    /// The station's own reference evapotranspiration, for comparison (mm).
    pub station_et0_mm: Option<f64>,
    /// Daily mean soil temperature under turf at [`SOIL_DEPTH_M`] (°C).
    pub soil_c: f64,
    /// Growth potential of cool-season turf (0..1).
    pub growth_cool: f64,
    /// Growth potential of warm-season turf (0..1).
    pub growth_warm: f64,
    /// Mean wind (m/s at 2 m), where known.
    pub wind_ms: Option<f64>,
    /// Moisture of the air.
    pub air: Air,
    /// What was filled.
    pub estimated: Estimated,
}

impl Day {
    /// Mean of the day's extremes (FAO-56 eq. 9).
    pub fn tmean_c(&self) -> f64 {
        (self.tmin_c + self.tmax_c) / 2.0
    }

    /// Growth potential of a grass.
    pub fn growth(&self, season: almanac::Season) -> f64 {
        match season {
            almanac::Season::Cool => self.growth_cool,
            almanac::Season::Warm => self.growth_warm,
        }
    }
}

/// Depth at which soil temperature is followed: the middle of the top 2 in (50 mm), where weed seed and grass seed lie.
pub const SOIL_DEPTH_M: f64 = 0.025;

/// Spread of one month's mean temperature from year to year (°C), used for the built-in climate only: the standard deviation
/// of monthly means, averaged over the months, in the 37-year Champion, Nebraska, record (checked in this crate's tests).
pub const CLIMATE_SPREAD_C: f64 = 1.8;

/// Rain of one wet day in the built-in climate (mm): the mean of days over 1 mm in the same record.
pub const CLIMATE_WET_DAY_MM: f64 = 9.0;

/// How far a hot day's reference evapotranspiration lies over the average of its fortnight: one day of May to September in a hundred
/// lies higher in the same record (checked in this crate's tests). For yards that know only average years.
pub const HOT_OVER_AVERAGE: f64 = 1.5;

/// What a day of the year is usually like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// Usual high (°C).
    pub tmax_c: f64,
    /// Usual mean (°C); the soil near the surface follows it.
    pub tmean_c: f64,
}

/// What the days rest on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum Basis {
    /// Imported weather.
    Record {
        /// First day.
        first: Date,
        /// Last day.
        last: Date,
    },
    /// No weather was imported: monthly means of the nearest built-in station, moved to the yard's height.
    Climate {
        /// Station name.
        station: String,
        /// How far away (km).
        distance_km: f64,
    },
}

impl Basis {
    /// The phrase for one figure's origin, without dates.
    pub fn origin(&self) -> String {
        match self {
            Self::Record { .. } => "your weather record".to_owned(),
            Self::Climate { station, .. } => format!("the built-in climate of {station}"),
        }
    }

    /// A phrase for "where this comes from".
    pub fn phrase(&self) -> String {
        match self {
            Self::Record { first, last } => format!("your weather record, {first} to {last}"),
            Self::Climate { station, distance_km } => {
                format!("the built-in climate of {station}, {distance_km:.0} km away (no weather imported yet)")
            }
        }
    }
}

/// The days, in order and without gaps.
#[derive(Clone, Debug)]
pub struct Weather {
    place: Place,
    readings: Vec<WeatherDay>,
    days: Vec<Day>,
    first_number: i64,
    basis: Basis,
    normals: Normals,
    forecasts: Arc<[Forecast]>,
    /// Share of days in the record whose figure was filled, by kind.
    pub filled: Filled,
}

/// How much of the record was filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Filled {
    /// Days in the record.
    pub days: usize,
    /// Days without temperature.
    pub temperature: usize,
    /// Days without rain.
    pub rain: usize,
    /// Days without humidity.
    pub humidity: usize,
    /// Days without wind.
    pub wind: usize,
    /// Days without radiation.
    pub solar: usize,
}

/// There is neither a weather record nor a built-in climate row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no weather: the record is empty and the built-in climate table has no station")]
pub struct NoWeather;

/// A number for each date, one apart for neighbours.
pub fn day_number(date: Date) -> i64 {
    // Days from civil date: H. Hinnant, "chrono-Compatible Low-Level Date Algorithms" (2013); exact for all Gregorian dates.
    let (y, m, d) = (i64::from(date.year()), i64::from(date.month()), i64::from(date.day()));
    let y = if m <= 2 { y - 1 } else { y };
    let era = y.div_euclid(400);
    let yoe = y - era * 400;
    let doy = (153 * (if m > 2 { m - 3 } else { m + 9 }) + 2) / 5 + d - 1;
    era * 146_097 + yoe * 365 + yoe / 4 - yoe / 100 + doy
}

/// Mean weather by day of the year.
#[derive(Clone, Debug)]
struct Normals {
    tmin: Vec<f64>,
    tmax: Vec<f64>,
    rain: Vec<f64>,
}

impl Normals {
    fn at(&self, date: Date) -> (f64, f64, f64) {
        let i = usize::from(date.day_of_year().unsigned_abs() - 1).min(365);
        (self.tmin[i], self.tmax[i], self.rain[i])
    }

    /// Monthly means drawn as straight lines between the middles of the months.
    fn from_station(station: &ClimateStation, elevation_m: f64) -> Self {
        // Standard atmosphere lapse rate (ICAO Doc 7488): 6.5 K a kilometre.
        let lapse = -0.0065 * (elevation_m - station.elevation_m);
        const MONTH_DAYS: [f64; 12] = [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];
        let mut starts = [0.0; 12];
        for m in 1..12 {
            starts[m] = starts[m - 1] + MONTH_DAYS[m - 1];
        }
        let value = |row: &[f64; 12], doy: f64| {
            let mut m = 11;
            for (i, start) in starts.iter().enumerate() {
                if doy >= start + MONTH_DAYS[i] / 2.0 {
                    m = i;
                }
            }
            if doy < MONTH_DAYS[0] / 2.0 {
                m = 11;
            }
            let next = (m + 1) % 12;
            let from = starts[m] + MONTH_DAYS[m] / 2.0;
            let gap = (MONTH_DAYS[m] + MONTH_DAYS[next]) / 2.0;
            let mut t = (doy - from) / gap;
            if t < 0.0 {
                t = (doy + 365.25 - from) / gap;
            }
            row[m] * (1.0 - t) + row[next] * t
        };
        let mut daily_rain = station.rain_mm;
        for (rain, days) in daily_rain.iter_mut().zip(MONTH_DAYS) {
            *rain /= days;
        }
        let days = 0..366;
        Self {
            tmin: days.clone().map(|d| value(&station.tmin_c, f64::from(d)) + lapse).collect(),
            tmax: days.clone().map(|d| value(&station.tmax_c, f64::from(d)) + lapse).collect(),
            rain: days.map(|d| value(&daily_rain, f64::from(d))).collect(),
        }
    }

    /// Means of the record over the same fortnight of every year; `None` when some fortnight has fewer than seven readings.
    fn from_record(days: &[WeatherDay]) -> Option<Self> {
        let mut sums = vec![[(0.0f64, 0u32); 3]; 366];
        for day in days {
            let i = usize::from(day.date.day_of_year().unsigned_abs() - 1).min(365);
            let readings = [day.tmin.map(Celsius::get), day.tmax.map(Celsius::get), day.rain.map(Millimetres::get)];
            for (sum, reading) in sums[i].iter_mut().zip(readings) {
                if let Some(v) = reading {
                    sum.0 += v;
                    sum.1 += 1;
                }
            }
        }
        let mean = |i: usize, k: usize| {
            let (mut total, mut count) = (0.0, 0);
            for j in 0..15 {
                let (s, n) = sums[(i + 366 + j - 7) % 366][k];
                total += s;
                count += n;
            }
            (count >= 7).then(|| total / f64::from(count))
        };
        let column = |k: usize| (0..366).map(|i| mean(i, k)).collect::<Option<Vec<f64>>>();
        Some(Self { tmin: column(0)?, tmax: column(1)?, rain: column(2)? })
    }
}

impl Weather {
    /// Builds the weather of a place from the days of its records (in order, one a date; gaps allowed) and the almanac's
    /// built-in climate, which stands in for what no record tells.
    ///
    /// # Errors
    /// [`NoWeather`] when there is no record and the climate table is empty.
    pub fn build(place: Place, record: &[WeatherDay], almanac: &Almanac) -> Result<Self, NoWeather> {
        let nearest = almanac.nearest_climate(place.latitude_deg, place.longitude_deg);
        let record_normals = Normals::from_record(record);
        let normals = match (record_normals, nearest) {
            (Some(n), _) => n,
            (None, Some((station, _))) => Normals::from_station(station, place.elevation_m),
            (None, None) => return Err(NoWeather),
        };
        let basis = match (record.first(), record.last(), nearest) {
            (Some(a), Some(b), _) => Basis::Record { first: a.date, last: b.date },
            (_, _, Some((station, distance_km))) => Basis::Climate { station: station.name.clone(), distance_km },
            _ => return Err(NoWeather),
        };
        let mut filled = Filled { days: record.len(), ..Filled::default() };
        let mut days: Vec<Day> = Vec::with_capacity(record.len() + 16);
        let first_number = record.first().map_or(0, |d| day_number(d.date));
        for reading in record {
            while let Some(last) = days.last()
                && day_number(last.date) + 1 < day_number(reading.date)
                && let Ok(gap) = last.date.tomorrow()
            {
                days.push(complete(&WeatherDay::blank(gap), place, &normals));
            }
            let day = complete(reading, place, &normals);
            filled.temperature += usize::from(day.estimated.temperature);
            filled.rain += usize::from(day.estimated.rain);
            filled.humidity += usize::from(day.estimated.humidity);
            filled.wind += usize::from(day.estimated.wind);
            filled.solar += usize::from(day.estimated.solar);
            days.push(day);
        }
        warm_soil(&mut days);
        Ok(Self {
            place,
            readings: record.to_vec(),
            days,
            first_number,
            basis,
            normals,
            forecasts: Arc::default(),
            filled,
        })
    }

    /// The weather as it was known on the morning of a day: without that day and all later ones, the averages included.
    pub fn known_before(&self, on: Date, almanac: &Almanac) -> Cow<'_, Self> {
        let known = self.readings.partition_point(|d| d.date < on);
        if known == self.readings.len() {
            return Cow::Borrowed(self);
        }
        let cut = self.cut(known, almanac);
        let built = || Self::build(self.place, &self.readings[..known], almanac).ok();
        let known = cut.or_else(|| Some(Self { forecasts: Arc::clone(&self.forecasts), ..built()? }));
        known.map_or(Cow::Borrowed(self), Cow::Owned)
    }

    /// The first days of the record with the averages they give, where no day of them was filled with an average: then the days stay as
    /// they are. The same as building anew from their readings, and much quicker.
    fn cut(&self, known: usize, almanac: &Almanac) -> Option<Self> {
        let days = self.days.get(..known)?;
        let (first, last) = (days.first()?.date, days.last()?.date);
        if days.iter().any(|d| d.estimated.temperature || d.estimated.rain) {
            return None;
        }
        let readings = &self.readings[..known];
        let nearest = || almanac.nearest_climate(self.place.latitude_deg, self.place.longitude_deg);
        let normals = Normals::from_record(readings)
            .or_else(|| nearest().map(|(station, _)| Normals::from_station(station, self.place.elevation_m)))?;
        let count = |f: fn(&Estimated) -> bool| days.iter().filter(|d| f(&d.estimated)).count();
        let filled = Filled {
            days: known,
            temperature: 0,
            rain: 0,
            humidity: count(|e| e.humidity),
            wind: count(|e| e.wind),
            solar: count(|e| e.solar),
        };
        Some(Self {
            place: self.place,
            readings: readings.to_vec(),
            days: days.to_vec(),
            first_number: self.first_number,
            basis: Basis::Record { first, last },
            normals,
            forecasts: Arc::clone(&self.forecasts),
            filled,
        })
    }

    /// The same with the forecasts that were issued, in any order; of two of one day the later in the list counts.
    pub fn with_forecasts(mut self, forecasts: Vec<Forecast>) -> Self {
        let mut kept: Vec<Forecast> = Vec::with_capacity(forecasts.len());
        let mut sorted = forecasts;
        sorted.sort_by_key(|f| f.issued);
        for forecast in sorted {
            match kept.last_mut() {
                Some(last) if last.issued == forecast.issued => *last = forecast,
                _ => kept.push(forecast),
            }
        }
        self.forecasts = kept.into();
        self
    }

    /// The forecasts that were issued, oldest first, one a day.
    pub fn forecasts(&self) -> &[Forecast] {
        &self.forecasts
    }

    /// The last forecast that was issued by the morning of a day.
    pub fn forecast_on(&self, on: Date) -> Option<&Forecast> {
        let issued = self.forecasts.partition_point(|f| f.issued <= on);
        issued.checked_sub(1).map(|i| &self.forecasts[i])
    }

    /// Where this weather is.
    pub fn place(&self) -> Place {
        self.place
    }

    /// What the days rest on.
    pub fn basis(&self) -> &Basis {
        &self.basis
    }

    /// The days of the record.
    pub fn record(&self) -> &[Day] {
        &self.days
    }

    /// The day as the record tells it, or as an average year has it where the record is silent.
    pub fn day(&self, date: Date) -> Day {
        self.recorded(date).copied().unwrap_or_else(|| {
            let mut day = complete(&WeatherDay::blank(date), self.place, &self.normals);
            // An average day after an average fortnight: the soil follows the mean air.
            day.soil_c = day.tmean_c();
            day
        })
    }

    /// What this day of the year was usually like, told only by the fortnights round it in years that ended before `on`; the
    /// built-in or whole-record average where there are none. For days ahead, which nobody may look up in the record.
    pub fn usual(&self, date: Date, on: Date) -> Usual {
        let (mut tmax, mut tmean, mut count) = (0.0, 0.0, 0.0);
        let known = usize::try_from(day_number(on) - self.first_number).unwrap_or(0).min(self.days.len());
        if let Some(first) = self.days.first() {
            for year in first.date.year()..on.year() {
                let Ok(same_day) = Date::new(year, date.month(), date.day().min(28)) else { continue };
                let Ok(middle) = usize::try_from(day_number(same_day) - self.first_number) else { continue };
                for day in self.days[..known].iter().skip(middle.saturating_sub(7)).take(15) {
                    tmax += day.tmax_c;
                    tmean += day.tmean_c();
                    count += 1.0;
                }
            }
        }
        if count > 0.0 {
            return Usual { tmax_c: tmax / count, tmean_c: tmean / count };
        }
        let (tmin, tmax, _) = self.normals.at(date);
        Usual { tmax_c: tmax, tmean_c: (tmin + tmax) / 2.0 }
    }

    /// The day of the record.
    pub fn recorded(&self, date: Date) -> Option<&Day> {
        let i = usize::try_from(day_number(date) - self.first_number).ok()?;
        self.days.get(i)
    }

    /// The days from `first` to `last`, both included.
    pub fn run(&self, first: Date, last: Date) -> Vec<Day> {
        if let (Ok(a), Ok(b)) = (
            usize::try_from(day_number(first) - self.first_number),
            usize::try_from(day_number(last) - self.first_number),
        ) && a <= b
            && b < self.days.len()
        {
            return self.days[a..=b].to_vec();
        }
        let mut out = Vec::new();
        let mut date = first;
        let mut soil = self.day(first).soil_c;
        while date <= last {
            let mut day = self.day(date);
            if self.recorded(date).is_none() {
                soil = step_soil(soil, day.tmean_c());
                day.soil_c = soil;
            } else {
                soil = day.soil_c;
            }
            out.push(day);
            let Ok(next) = date.tomorrow() else { break };
            date = next;
        }
        out
    }

    /// The steps by which a recorded day's reference evapotranspiration was found.
    pub fn et0_steps(&self, reading: &WeatherDay) -> Vec<Step> {
        let (input, _) = et0_input(reading, self.place, &self.normals);
        et0_working(&input).unwrap_or_default()
    }
}

/// Soil temperature after one more day of this mean air.
pub fn step_soil(before_c: f64, tmean_c: f64) -> f64 {
    daily_step(Celsius::new(before_c), Celsius::new(tmean_c), Metres::new(SOIL_DEPTH_M), Cover::Turf).get()
}

fn warm_soil(days: &mut [Day]) {
    let first: Vec<f64> = days.iter().take(11).map(Day::tmean_c).collect();
    let mut soil = if first.is_empty() { 0.0 } else { first.iter().sum::<f64>() / first.len() as f64 };
    for day in days {
        soil = step_soil(soil, day.tmean_c());
        day.soil_c = soil;
    }
}

fn et0_input(reading: &WeatherDay, place: Place, normals: &Normals) -> (Et0Input, Estimated) {
    let (tmin_normal, tmax_normal, _) = normals.at(reading.date);
    let (tmin, tmax) = match (reading.tmin, reading.tmax) {
        (Some(a), Some(b)) => (a.get(), b.get()),
        // One extreme known: keep it and the usual range of the day.
        (Some(a), None) => (a.get(), a.get() + (tmax_normal - tmin_normal).max(0.0)),
        (None, Some(b)) => (b.get() - (tmax_normal - tmin_normal).max(0.0), b.get()),
        (None, None) => (tmin_normal, tmax_normal.max(tmin_normal)),
    };
    let humidity = match (reading.humidity_min, reading.humidity_max, reading.dew_point, reading.humidity_mean) {
        (Some(min), Some(max), _, _) => Humidity::MinMax { min, max },
        (_, _, Some(dew), _) => Humidity::DewPoint(dew),
        (_, _, _, Some(mean)) => Humidity::Mean(mean),
        _ => Humidity::FromMinimum,
    };
    let radiation = reading.solar.map_or(Radiation::FromTemperatureRange(Siting::Inland), Radiation::Solar);
    let estimated = Estimated {
        temperature: reading.tmin.is_none() || reading.tmax.is_none(),
        rain: reading.rain.is_none(),
        humidity: matches!(humidity, Humidity::FromMinimum),
        wind: reading.wind.is_none(),
        solar: reading.solar.is_none(),
    };
    let input = Et0Input {
        latitude: Degrees::new(place.latitude_deg),
        elevation: Metres::new(place.elevation_m),
        day_of_year: reading.date.day_of_year().unsigned_abs(),
        tmin: Celsius::new(tmin),
        tmax: Celsius::new(tmax),
        wind: reading.wind.unwrap_or(MetresPerSecond::new(2.0)),
        wind_height: if reading.wind.is_some() {
            reading.wind_height.unwrap_or(Metres::new(10.0))
        } else {
            Metres::new(2.0)
        },
        humidity,
        radiation,
    };
    (input, estimated)
}

fn measured_mean(reading: &WeatherDay) -> Option<f64> {
    let of_extremes = || Some((reading.humidity_min?.get() + reading.humidity_max?.get()) / 2.0);
    reading.humidity_mean.map(Percent::get).or_else(of_extremes)
}

fn complete(reading: &WeatherDay, place: Place, normals: &Normals) -> Day {
    let (input, estimated) = et0_input(reading, place, normals);
    let tmean = Celsius::new((input.tmin.get() + input.tmax.get()) / 2.0);
    // A reading that contradicts itself (a dew point above the air, say) falls back on the estimated form of the same day.
    let et0 = et0_penman_monteith_fao56(&input)
        .or_else(|_| {
            et0_penman_monteith_fao56(&Et0Input {
                humidity: Humidity::FromMinimum,
                radiation: Radiation::FromTemperatureRange(Siting::Inland),
                ..input
            })
        })
        .map_or(0.0, |e| e.et0.get().max(0.0));
    Day {
        date: reading.date,
        tmin_c: input.tmin.get(),
        tmax_c: input.tmax.get(),
        rain_mm: reading.rain.map_or_else(|| normals.at(reading.date).2, Millimetres::get),
        et0_mm: et0,
        station_et0_mm: reading.et0.map(Millimetres::get),
        soil_c: tmean.get(),
        growth_cool: growth_potential(tmean, TurfSeason::Cool).get(),
        growth_warm: growth_potential(tmean, TurfSeason::Warm).get(),
        wind_ms: reading.wind.map(MetresPerSecond::get),
        air: air(input.tmin, input.tmax, input.humidity, measured_mean(reading)),
        estimated,
    }
}
