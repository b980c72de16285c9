//! The frost outlook: in how many of the past years the first freeze of autumn, or the last of spring, came by which day.

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use reckon::date_odds::DateOdds;
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::{Scene, Window, window_of};
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::Day;

/// Freeze: 32 °F (National Weather Service). It harms what stands above ground and holds little water: the backflow assembly.
pub const FREEZE_C: f64 = 0.0;
/// Hard freeze: 28 °F (National Weather Service), as a record of tenths of a degree Celsius holds it.
pub const HARD_FREEZE_C: f64 = -2.2;
/// Share of past years that may still go against the plan: one in ten, as the freeze tables' early and late dates are read.
pub const RISK_SHARE: f64 = 0.1;
/// How much colder than an average year's night the first freezing night of a real autumn is, and the last of a spring (°C). Average years are
/// smooth; real nights scatter. On the median day of the first, or last, freeze of three records (Nebraska, New Jersey, Washington) the
/// average night still lay 4.4 to 6.0 °C above it. Toft's figure; checked against the dates the National Weather Service prints for
/// North Platte, Nebraska.
const NIGHTS_COLDER_C: f64 = 5.0;
/// Days of autumn that are looked through, from midsummer's fifteenth of July on (half a year later in the south).
const AUTUMN_DAYS: i64 = 200;
/// Days of spring that are looked through, from New Year on.
const SPRING_DAYS: i64 = 180;
/// Days between the lines of the table.
const STEP_DAYS: i64 = 7;

/// Which end of the winter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// The first freeze.
    Autumn,
    /// The last freeze.
    Spring,
}

/// In how many years it had frozen by a day, or still froze from it on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// The day.
    pub date: Date,
    /// Years with a freeze by it (autumn), or on or after it (spring).
    pub with: usize,
    /// Years counted.
    pub of: usize,
}

impl Chance {
    /// The share.
    pub fn share(&self) -> f64 {
        self.with as f64 / self.of as f64
    }
}

/// The freezes of the past years laid on the days ahead.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrostOdds {
    /// Which end of the winter.
    pub end: End,
    /// Air temperature it is a freeze at (°C).
    pub threshold_c: f64,
    /// First day counted: today, or the season's beginning where that lies ahead.
    pub from: Date,
    /// Last day counted.
    pub to: Date,
    /// 10, 50 and 90 % points; `None` where half the years do not freeze.
    pub window: Option<Window>,
    /// The day the plan holds to: the last that at most one year of ten has frozen by, or the first that at most one freezes after.
    pub limit: Option<Date>,
    /// The chance week by week, where it lies between none and all.
    pub chances: Vec<Chance>,
    /// Where the years come from.
    pub basis: String,
    /// True when they are average years, not the record's own.
    pub climate_only: bool,
    /// The computation.
    pub working: Vec<Step>,
    #[serde(skip)]
    odds: DateOdds,
}

impl FrostOdds {
    /// The chance for one day; `None` outside the days counted.
    pub fn chance(&self, date: Date) -> Option<Chance> {
        if date < self.from || date > self.to {
            return None;
        }
        let n = Yard::days_between(self.from, date);
        let with = match self.end {
            End::Autumn => self.odds.by(n),
            End::Spring => self.odds.from(n),
        };
        Some(Chance { date, with, of: self.odds.years() })
    }
}

/// The first day of an end of the winter that still lies ahead, and the last day of it.
fn season_of(scene: &Scene<'_>, end: End) -> Option<(Date, Date)> {
    let (month, length) = match end {
        End::Autumn => (7, AUTUMN_DAYS),
        End::Spring => (1, SPRING_DAYS),
    };
    let day = if end == End::Autumn { 15 } else { 1 };
    let begun = scene.season_start(month, day);
    let over = begun.checked_add(length.days()).ok()?;
    if scene.on <= over {
        return Some((scene.on, over));
    }
    let next = begun.checked_add(Span::new().years(1)).ok()?;
    Some((next, next.checked_add(length.days()).ok()?))
}

/// Every past year's freezes laid on the days of the next autumn, or spring, from today on. Only weather before today is looked at.
/// `None` where the calendar ends.
pub fn frost_odds(scene: &Scene<'_>, end: End, threshold_c: f64) -> Option<FrostOdds> {
    let known = scene.weather.known_before(scene.on, scene.almanac);
    let (from, to) = season_of(scene, end)?;
    let length = usize::try_from(Yard::days_between(from, to)).ok()? + 1;
    let outlook = known.outlook(from.yesterday().ok()?, length);
    // A forecast's nights are real ones, whatever follows them.
    let forecast = outlook.forecast.as_ref().map_or(0, |f| f.days.len());
    let colder = |i: usize| if outlook.climate_only && i >= forecast { NIGHTS_COLDER_C } else { 0.0 };
    let freezes = |(i, d): (usize, &Day)| d.tmin_c <= threshold_c + colder(i);
    let days: Vec<Option<i64>> = outlook
        .years
        .iter()
        .map(|year| {
            let at = match end {
                End::Autumn => year.iter().enumerate().position(freezes),
                End::Spring => year.iter().enumerate().rposition(freezes),
            };
            at.map(|i| i as i64)
        })
        .collect();
    let odds = DateOdds::of_years(&days).ok()?;
    let on = |n: i64| from.checked_add(n.days()).ok();
    let limit = match end {
        // Where no day is too late the last day counted is as good as any.
        End::Autumn => odds.last_day_within(RISK_SHARE).ok()?.map_or(Some(to), on),
        End::Spring => odds.first_day_left(RISK_SHARE).ok()?.map_or(Some(from), on),
    };
    let window = match end {
        End::Autumn => window_of(from, days, Yard::days_between(from, to)),
        // A year without another freeze has seen its last before today.
        End::Spring => {
            window_of(from, days.iter().map(|d| Some(d.unwrap_or(0))).collect(), Yard::days_between(from, to))
        }
    };
    let mut found = FrostOdds {
        end,
        threshold_c,
        from,
        to,
        window,
        limit,
        chances: Vec::new(),
        basis: outlook.basis.clone(),
        climate_only: outlook.climate_only,
        working: Vec::new(),
        odds,
    };
    found.chances = week_by_week(&found);
    found.working = working(scene, &found);
    Some(found)
}

/// A line a week, from the last that is certain one way to the first that is certain the other way.
fn week_by_week(odds: &FrostOdds) -> Vec<Chance> {
    let weeks = Yard::days_between(odds.from, odds.to) / STEP_DAYS;
    let all: Vec<Chance> =
        (0..=weeks).filter_map(|w| odds.chance(odds.from.checked_add((w * STEP_DAYS).days()).ok()?)).collect();
    let (none, whole) = match odds.end {
        End::Autumn => (0, odds.odds.years()),
        End::Spring => (odds.odds.years(), 0),
    };
    let first = all.iter().rposition(|c| c.with == none).unwrap_or(0);
    let last = all.iter().position(|c| c.with == whole).unwrap_or(all.len().saturating_sub(1));
    all.get(first..=last.max(first)).unwrap_or_default().to_vec()
}

fn working(scene: &Scene<'_>, odds: &FrostOdds) -> Vec<Step> {
    let say = |d: Option<Date>| d.map_or_else(|| "none".to_owned(), |d| d.to_string());
    let (what, limit) = match odds.end {
        End::Autumn => ("first freeze of each year", "last day by which at most one year of ten had frozen"),
        End::Spring => ("last freeze of each year", "first day from which on at most one year of ten still froze"),
    };
    let threshold = Value::text("freeze", scene.units().say(Quantity::Temperature, odds.threshold_c)).from(
        if odds.threshold_c < -1.0 {
            "hard freeze, National Weather Service"
        } else {
            "freeze, National Weather Service"
        },
    );
    let years = Value::text("years", odds.basis.clone());
    let years = if odds.climate_only {
        years.assumed("average years are smooth: a night counts as a freeze from 5 °C (9 °F) above it on; your own record would tell")
    } else {
        years
    };
    let window = odds.window;
    vec![
        Step::new(
            what,
            "each past year laid on the days ahead; place round((n − 1) q) of the sorted days",
            vec![threshold, years, Value::number("n", odds.odds.years() as f64, "")],
            Value::text(
                "early, likely, late",
                window.map_or_else(
                    || "not in half the years".to_owned(),
                    |w| format!("{}, {}, {}", w.early, w.likely, w.late),
                ),
            ),
        ),
        Step::new(
            limit,
            "years with it ÷ years",
            vec![Value::number("share allowed", RISK_SHARE, "")],
            Value::text("day", say(odds.limit)),
        ),
    ]
}
