//! What is known of the place, the season and the log before anything is looked at.

use std::collections::{BTreeMap, BTreeSet};

use almanac::{Cause, Condition};
use reckon::ReckonError;
use reckon::error::Bound;

use super::{MONTH_LEAST, Seen};

/// Month of the year.
const MONTH: Bound = Bound::new("month", 1.0, 12.0, "", "month");
/// Mean air temperature of the last week.
const MEAN: Bound = Bound::new("mean_temp_c", -50.0, 50.0, "°C", "mean air temperature of the last seven days");
/// Share of a cause's peak.
const SHARE: Bound = Bound::new("season", 0.0, 1.0, "", "share of its peak the weather gives a cause");
/// Hours of sun.
const SUN: Bound = Bound::new("sun_hours", 0.0, 24.0, "h", "hours of sun a day in the growing season");
/// Slope.
const SLOPE: Bound = Bound::new("slope_pct", 0.0, 100.0, "%", "slope");
/// Time since something was done.
const SINCE: Bound = Bound::new("since", 0.0, 1e5, "", "days, weeks or years since something was done");

/// From here the week counts as hot (°C): brown patch and Pythium need nights of 18–20 °C (Fidanza 1996, Nutter 1983).
const HOT_C: f64 = 23.0;
/// From here as warm (°C); common practice.
const WARM_C: f64 = 17.0;
/// From here as mild, below as cold (°C): snow moulds and dormancy of warm-season grass; common practice.
const MILD_C: f64 = 9.0;
/// Under these hours of sun a day grass counts as shaded: fine fescue wants 3–4 (recalled).
const SHADE_H: f64 = 4.0;
/// From these hours it stands in full sun (recalled).
const SUN_H: f64 = 6.0;
/// From this slope water and sun act otherwise (%); common practice.
const SLOPE_PCT: f64 = 10.0;
/// Weeks a seeding stays new; common practice.
const NEW_SEED_WEEKS: f64 = 10.0;
/// Days snow must have lain for grey snow mould (recalled).
const SNOW_DAYS: f64 = 60.0;
/// Years after which sod shows ring diseases: two to five (KSL, "Summer Patch & Necrotic Ringspot of Turf", Utah).
const YOUNG_SOD_YEARS: std::ops::RangeInclusive<f64> = 2.0..=5.0;
/// Years rubble and fill of a new house tell; common practice.
const NEW_HOUSE_YEARS: f64 = 5.0;
/// Days a feed, a weed killer and a mowing can show.
const FED_DAYS: f64 = 14.0;
const WEED_KILLER_DAYS: f64 = 28.0;
const MOWN_DAYS: f64 = 4.0;

/// Water in the root zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoilWater {
    /// Drier than the grass likes.
    Dry,
    /// Enough.
    Fair,
    /// At or above what the soil can hold.
    Wet,
}

/// Nitrogen of the year so far against the grass's need.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nitrogen {
    /// Short.
    Low,
    /// Enough.
    Fair,
    /// More than enough.
    High,
}

/// The place, the season and the log. What is not known stays `None` and changes nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Conditions {
    /// Key of the grass.
    pub grass: Option<String>,
    /// Month, 1 to 12.
    pub month: Option<u8>,
    /// Share of its own peak the weather behind gives a cause, by its key: it stands in for the month.
    pub season: BTreeMap<String, f64>,
    /// Mean air temperature of the last seven days (°C).
    pub mean_temp_c: Option<f64>,
    /// Water in the root zone.
    pub soil_water: Option<SoilWater>,
    /// Leaves wet through warm, still nights.
    pub humid: Option<bool>,
    /// Nitrogen.
    pub nitrogen: Option<Nitrogen>,
    /// Hours of sun a day.
    pub sun_hours: Option<f64>,
    /// Slope (%).
    pub slope_pct: Option<f64>,
    /// Weeks since it was sown.
    pub weeks_since_sown: Option<f64>,
    /// Years since sod was laid.
    pub sod_years: Option<f64>,
    /// Years since the house was built.
    pub house_years: Option<f64>,
    /// Days snow lay last winter.
    pub snow_days: Option<f64>,
    /// Whether salt was put down beside it last winter.
    pub salted: Option<bool>,
    /// Whether a dog uses it.
    pub dog: Option<bool>,
    /// Whether sprinklers water it.
    pub irrigated: Option<bool>,
    /// Whether feet or wheels go over it.
    pub traffic: Option<bool>,
    /// Whether it lies over the roots of a tree.
    pub tree: Option<bool>,
    /// Whether it is cut short as a habit.
    pub mown_low: Option<bool>,
    /// Days since it was fed.
    pub days_since_fed: Option<f64>,
    /// Days since a weed killer was put down here or beside it.
    pub days_since_weed_killer: Option<f64>,
    /// Days since a low or rough mowing.
    pub days_since_rough_mowing: Option<f64>,
}

impl Conditions {
    /// The conditions that hold.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming the field.
    pub fn holds(&self) -> Result<BTreeSet<Condition>, ReckonError> {
        let mut out = BTreeSet::new();
        if let Some(month) = self.month {
            MONTH.check(f64::from(month))?;
        }
        for since in [
            self.weeks_since_sown,
            self.sod_years,
            self.house_years,
            self.snow_days,
            self.days_since_fed,
            self.days_since_weed_killer,
            self.days_since_rough_mowing,
        ] {
            since.map(|s| SINCE.check(s)).transpose()?;
        }
        for share in self.season.values() {
            SHARE.check(*share)?;
        }
        if let Some(mean) = self.mean_temp_c {
            out.insert(match MEAN.check(mean)? {
                m if m >= HOT_C => Condition::Hot,
                m if m >= WARM_C => Condition::Warm,
                m if m >= MILD_C => Condition::Mild,
                _ => Condition::Cold,
            });
        }
        if let Some(hours) = self.sun_hours {
            let hours = SUN.check(hours)?;
            if hours < SHADE_H {
                out.insert(Condition::Shade);
            } else if hours >= SUN_H {
                out.insert(Condition::Sun);
            }
        }
        let slope = self.slope_pct.map(|s| SLOPE.check(s)).transpose()?;
        let told = [
            (self.soil_water == Some(SoilWater::Dry), Condition::Dry),
            (self.soil_water == Some(SoilWater::Wet), Condition::Wet),
            (self.humid == Some(true), Condition::Humid),
            (self.nitrogen == Some(Nitrogen::Low), Condition::LowNitrogen),
            (self.nitrogen == Some(Nitrogen::High), Condition::HighNitrogen),
            (slope.is_some_and(|s| s >= SLOPE_PCT), Condition::Slope),
            (self.weeks_since_sown.is_some_and(|w| w <= NEW_SEED_WEEKS), Condition::NewSeed),
            (self.sod_years.is_some_and(|y| YOUNG_SOD_YEARS.contains(&y)), Condition::YoungSod),
            (self.house_years.is_some_and(|y| y <= NEW_HOUSE_YEARS), Condition::NewHouse),
            (self.snow_days.is_some_and(|d| d >= SNOW_DAYS), Condition::Snow),
            (self.salted == Some(true), Condition::Salted),
            (self.dog == Some(true), Condition::Dog),
            (self.irrigated == Some(true), Condition::Irrigated),
            (self.irrigated == Some(false), Condition::Unwatered),
            (self.traffic == Some(true), Condition::Traffic),
            (self.tree == Some(true), Condition::Tree),
            (self.mown_low == Some(true), Condition::MownLow),
        ];
        out.extend(told.into_iter().filter(|(holds, _)| *holds).map(|(_, c)| c));
        Ok(out)
    }

    /// Prior weight of a cause: how common it is, times the factors of grass, season and conditions.
    pub(super) fn weight(&self, cause: &Cause, holds: &BTreeSet<Condition>) -> f64 {
        let month = match (self.season.get(&cause.id), self.month) {
            (Some(share), _) => share.max(MONTH_LEAST),
            (None, Some(m)) => cause.months[usize::from(m - 1)].max(MONTH_LEAST),
            (None, None) => cause.months.iter().sum::<f64>() / 12.0,
        };
        let taken = cause.grasses.is_empty() || self.grass.as_ref().is_none_or(|g| cause.grasses.contains(g));
        let grass = if taken { 1.0 } else { cause.elsewhere };
        let raised: f64 = holds.iter().filter_map(|c| cause.raises.get(c)).product();
        cause.common * month * grass * raised
    }

    /// What the log says was done before, when nobody has answered it: the nearest in its own time.
    pub(super) fn log(&self, seen: &[Seen]) -> Option<Seen> {
        if seen.iter().any(|s| s.finding == "before") {
            return None;
        }
        let within = |since: Option<f64>, most: f64| since.filter(|s| *s <= most).map(|s| s / most);
        [
            (within(self.days_since_fed, FED_DAYS), "feeding"),
            (within(self.days_since_weed_killer, WEED_KILLER_DAYS), "weed-killer"),
            (within(self.days_since_rough_mowing, MOWN_DAYS), "mowing"),
            (within(self.weeks_since_sown, NEW_SEED_WEEKS), "sowing"),
        ]
        .into_iter()
        .filter_map(|(part, outcome)| part.map(|p| (p, outcome)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, outcome)| Seen::new("before", outcome))
    }
}
