//! The days ahead: a fresh forecast first, then every past year.

use std::borrow::Cow;

use jiff::{ToSpan, civil::Date};
use reckon::forecast_error::{members_about, rain_members};
use reckon::units::{Celsius, Fraction, Metres, Millimetres};

use super::{Basis, CLIMATE_SPREAD_C, CLIMATE_WET_DAY_MM, Day, Weather, complete, day_number, step_soil};
use crate::fold::Yard;
use crate::forecast::{Forecast, ForecastDay, spreads};
use crate::weather_day::WeatherDay;

/// The days ahead, told by many possible years.
#[derive(Clone, Debug)]
pub struct Outlook<'a> {
    /// One run of days a year; each starts on the day after `on`.
    pub years: Vec<Cow<'a, [Day]>>,
    /// Where the years come from, for the working.
    pub basis: String,
    /// True when they are made from monthly means only.
    pub climate_only: bool,
    /// The forecast that goes before the years, where a fresh one is known.
    pub forecast: Option<Ahead>,
}

/// A forecast as the outlook uses it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ahead {
    /// Day of issue.
    pub issued: Date,
    /// File or service.
    pub source: String,
    /// What it says of the first days of the outlook, without a gap; the high is told on all of them.
    pub days: Vec<ForecastDay>,
}

impl Ahead {
    /// The forecast, if it is fresh on the morning of a day and tells the high of it. (One issued after dawn has no low of that day.)
    fn of(forecast: &Forecast, morning: Date) -> Option<Self> {
        if !forecast.fresh_on(morning) {
            return None;
        }
        let mut days = Vec::new();
        let mut date = morning;
        while let Some(day) = forecast.day(date).filter(|d| d.high.is_some()) {
            days.push(*day);
            date = date.tomorrow().ok()?;
        }
        (!days.is_empty()).then(|| Self { issued: forecast.issued, source: forecast.source.clone(), days })
    }
}

/// Fewest years of a record that are laid on the days ahead; below this the built-in climate is used.
pub const OUTLOOK_YEARS_MIN: usize = 3;

impl Weather {
    /// The `length` days after `on`, once for every year of the record that ended before `on` (nothing later than `on` is
    /// looked at), or from the average year when the record is too short. The first days follow the forecast known on the morning after
    /// `on`, if there is a fresh one.
    pub fn outlook(&self, on: Date, length: usize) -> Outlook<'_> {
        let mut outlook = self.years_ahead(on, length);
        let Ok(morning) = on.tomorrow() else { return outlook };
        if let Some(ahead) = self.forecast_on(morning).and_then(|f| Ahead::of(f, morning)) {
            self.lay_forecast(&mut outlook, &ahead, on);
            outlook.basis = format!(
                "the forecast issued on {} ({}) for {} day{}, then {}",
                ahead.issued,
                ahead.source,
                ahead.days.len(),
                if ahead.days.len() == 1 { "" } else { "s" },
                outlook.basis
            );
            outlook.forecast = Some(ahead);
        }
        outlook
    }

    /// Puts the forecast in the place of the first days of every year: low and high spread by the error forecasts have at that distance,
    /// rain in the share of the years the chance says. What the years say of that day keeps its order.
    fn lay_forecast(&self, outlook: &mut Outlook<'_>, ahead: &Ahead, on: Date) {
        let mut soil: Vec<f64> = vec![self.day(on).soil_c; outlook.years.len()];
        for (i, told) in ahead.days.iter().enumerate() {
            let Some(high) = told.high else { break };
            let (low_spread, high_spread) = spreads(Yard::days_between(ahead.issued, told.date));
            let of_years =
                |f: fn(&Day) -> f64| -> Vec<f64> { outlook.years.iter().map(|y| y.get(i).map_or(0.0, f)).collect() };
            let usual_lows = of_years(|d| d.tmin_c);
            let lows = told.low.map_or(Ok(usual_lows.clone()), |low| members_about(low, low_spread, &usual_lows));
            let (Ok(lows), Ok(highs)) = (lows, members_about(high, high_spread, &of_years(|d| d.tmax_c))) else {
                break;
            };
            let rains = told.rain_told(CLIMATE_WET_DAY_MM).and_then(|(chance, mm)| {
                rain_members(Fraction::new(chance), Millimetres::new(mm), &of_years(|d| d.rain_mm)).ok()
            });
            for (k, year) in outlook.years.iter_mut().enumerate() {
                let Some(day) = year.to_mut().get_mut(i) else { continue };
                let mut reading = WeatherDay::blank(told.date);
                reading.tmin = Some(Celsius::new(lows[k].min(highs[k])));
                reading.tmax = Some(Celsius::new(highs[k].max(lows[k])));
                reading.rain = Some(Millimetres::new(rains.as_ref().map_or(day.rain_mm, |r| r[k])));
                reading.humidity_mean = told.humidity;
                reading.wind = told.wind;
                reading.wind_height = told.wind.map(|_| told.wind_height.unwrap_or(Metres::new(10.0)));
                let made = complete(&reading, self.place, &self.normals);
                soil[k] = step_soil(soil[k], made.tmean_c());
                *day = Day { date: day.date, soil_c: soil[k], ..made };
            }
        }
    }

    fn years_ahead(&self, on: Date, length: usize) -> Outlook<'_> {
        let mut years: Vec<Cow<'_, [Day]>> = Vec::new();
        let Ok(start) = on.tomorrow() else {
            return Outlook { years, basis: "no days ahead".to_owned(), climate_only: true, forecast: None };
        };
        let known = usize::try_from(day_number(on) - self.first_number + 1).unwrap_or(0).min(self.days.len());
        if let Some(first) = self.days.first() {
            for year in first.date.year()..=on.year() {
                // 29 February of a leap year is told by 1 March of the others.
                let begin = Date::new(year, start.month(), start.day()).or_else(|_| Date::new(year, 3, 1));
                if let Ok(begin) = begin
                    && let Ok(i) = usize::try_from(day_number(begin) - self.first_number)
                    && i + length <= known
                {
                    years.push(Cow::Borrowed(&self.days[i..i + length]));
                }
            }
        }
        if years.len() >= OUTLOOK_YEARS_MIN {
            let basis = format!("{} years of your weather record laid on the days ahead", years.len());
            return Outlook { years, basis, climate_only: false, forecast: None };
        }
        // Five average years: colder to warmer and wetter to drier, at the 10, 30, 50, 70 and 90 % points of a normal spread.
        let members = [(-1.282, 1.3), (-0.524, 0.7), (0.0, 1.0), (0.524, 1.2), (1.282, 0.5)];
        let years = members
            .iter()
            .enumerate()
            .map(|(k, &(offset, wetness))| {
                Cow::Owned(self.average_year(start, length, offset * CLIMATE_SPREAD_C, wetness, k))
            })
            .collect();
        let basis = match &self.basis {
            Basis::Climate { .. } => format!("five average years made from {}", self.basis.phrase()),
            Basis::Record { .. } => "five average years (the record is shorter than three years)".to_owned(),
        };
        Outlook { years, basis, climate_only: true, forecast: None }
    }

    fn average_year(&self, start: Date, length: usize, warmer_c: f64, wetness: f64, phase: usize) -> Vec<Day> {
        let mut out = Vec::with_capacity(length);
        let mut stored_rain = CLIMATE_WET_DAY_MM * phase as f64 / 5.0;
        let mut date = start;
        for _ in 0..length {
            let (tmin, tmax, rain) = self.normals.at(date);
            stored_rain += rain * wetness;
            let wet = stored_rain >= CLIMATE_WET_DAY_MM;
            let mut reading = WeatherDay::blank(date);
            reading.tmin = Some(Celsius::new(tmin + warmer_c));
            reading.tmax = Some(Celsius::new(tmax.max(tmin) + warmer_c));
            reading.rain = Some(Millimetres::new(if wet { CLIMATE_WET_DAY_MM } else { 0.0 }));
            if wet {
                stored_rain -= CLIMATE_WET_DAY_MM;
            }
            let mut day = complete(&reading, self.place, &self.normals);
            day.estimated.temperature = true;
            day.estimated.rain = true;
            out.push(day);
            match date.checked_add(1.day()) {
                Ok(next) => date = next,
                Err(_) => break,
            }
        }
        out
    }
}
