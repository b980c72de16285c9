//! Which weed it is: the species ranked by a few marks, what speaks for and against each, the next best mark to look at.
//!
//! Species, marks and figures are [`almanac::Weeds`]; the weighing is that of patches and plants.

use almanac::{Site, Weed, Weeds};
use reckon::ReckonError;
use reckon::error::Bound;

use super::weigh::weigh;
use super::{MONTH_LEAST, NextLook, Says, Seen, Verdict};

/// Exponent on the posterior, as [`super::SHARPNESS`]. Nothing is sharpened.
pub const WEED_SHARPNESS: f64 = 1.0;
/// Factor on a species that is seldom a weed of the ground it stands on.
const ELSEWHERE: f64 = 0.15;
/// Below this share a species is not called likely while a mark is left that could tell more: looking costs seconds, and what
/// kills one weed leaves its double standing.
pub const WEED_LIKELY: f64 = 0.6;
/// Month of the year.
const MONTH: Bound = Bound::new("month", 1.0, 12.0, "", "month");

/// The season and the place. What is not known changes nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WeedPlace {
    /// Month of the north, 1 to 12.
    pub month: Option<u8>,
    /// Lawn or bed.
    pub site: Option<Site>,
}

impl WeedPlace {
    /// Prior weight of a species: how common it is, times the factors of month and ground.
    fn weight(&self, tables: &Weeds, weed: &Weed) -> f64 {
        let months = tables.months_of(weed.life);
        let month = match self.month {
            Some(m) => months[usize::from(m - 1)].max(MONTH_LEAST),
            None => months.iter().sum::<f64>() / 12.0,
        };
        let there = self.site.is_none_or(|site| weed.sites.contains(&site));
        weed.common * month * if there { 1.0 } else { ELSEWHERE }
    }
}

/// A species with its probability.
#[derive(Clone, Debug)]
pub struct WeedRanked<'a> {
    /// The species.
    pub weed: &'a Weed,
    /// Probability.
    pub probability: f64,
    /// What the answers say about it, strongest first.
    pub says: Vec<Says<'a>>,
}

/// The outcome of a search.
#[derive(Clone, Debug)]
pub struct WeedFound<'a> {
    /// Every species, the likeliest first.
    pub ranked: Vec<WeedRanked<'a>>,
    /// Whether that is enough.
    pub verdict: Verdict,
    /// Marks that would still tell something, the most for a minute of work first.
    pub next: Vec<NextLook<'a>>,
}

/// Ranks the weeds by marks.
///
/// Enough to tell as with a patch, and the first at [`WEED_LIKELY`] or more while a mark is left that tells something.
/// Left out: plants that are not in the table; months are those of the cool north.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `seen` for a finding or outcome the tables do not have;
/// [`ReckonError::OutOfRange`] for the month.
pub fn which_weed<'a>(tables: &'a Weeds, place: &WeedPlace, seen: &[Seen]) -> Result<WeedFound<'a>, ReckonError> {
    if let Some(month) = place.month {
        MONTH.check(f64::from(month))?;
    }
    let weights: Vec<f64> = tables.weeds.iter().map(|w| place.weight(tables, w)).collect();
    let signs: Vec<_> = tables.weeds.iter().map(|w| &w.signs).collect();
    let weighed = weigh(&tables.findings, &signs, &weights, seen, WEED_SHARPNESS)?;
    let first = weighed.ranked.first().map_or(0.0, |r| r.1);
    let open = first < WEED_LIKELY && !weighed.next.is_empty();
    let verdict = if open { Verdict::NotEnough } else { weighed.verdict };
    let row = |(at, probability, says)| WeedRanked { weed: &tables.weeds[at], probability, says };
    Ok(WeedFound { ranked: weighed.ranked.into_iter().map(row).collect(), verdict, next: weighed.next })
}
