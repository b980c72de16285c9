//! When something comes in a year, told by the days it came in past years: points and chances by plain count.

use crate::error::{Bound, ReckonError};

/// A point of the past years, or a share of them.
pub const SHARE: Bound = Bound::new("share", 0.0, 1.0, "", "share of the past years");
/// Most past years looked at.
pub const YEARS_MOST: usize = 1_000;

/// Days on which something came, one a year, counted from the same day of each year.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `dᵢ` | day of it in year `i`, none where it did not come | d | |
/// | `n` | years | – | 1 ..= 1,000 |
///
/// The point `q` is the value at place `round((n − 1) q)` of the sorted days, years without it last; a chance is a count over `n`.
/// Nothing is fitted and nothing smoothed: of 30 years, one year is three hundredths.
///
/// Left out: that the climate moves (an old year counts as a new one), and how sure a count of few years is.
///
/// # Source
/// Plain counting. What a chance by a day means is the meaning of the United States freeze tables (NOAA, Climatography of the
/// United States no. 20): in autumn the chance of the first freeze on or before a day, in spring of the last one on or after it. Those
/// tables fit a distribution; this counts. The nearest-place rule is the method “nearest” of numpy's quantile, compared in
/// `tests/reference`.
///
/// # Examples
/// The nine first freezes below stand at day 10 in half the years; two of the nine came by day 6.
/// ```
/// use reckon::date_odds::DateOdds;
/// let odds = DateOdds::of_years(&[Some(4), Some(6), Some(7), Some(9), Some(10), Some(11), Some(12), Some(15), None])?;
/// assert_eq!(odds.point(0.5)?, Some(10));
/// assert_eq!((odds.by(6), odds.years()), (2, 9));
/// # Ok::<(), reckon::ReckonError>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DateOdds {
    /// Sorted, years without it last.
    days: Vec<Option<i64>>,
}

impl DateOdds {
    /// Takes the day of each year.
    ///
    /// # Errors
    /// [`ReckonError::Inconsistent`] naming `years` for none, or too many.
    pub fn of_years(days: &[Option<i64>]) -> Result<Self, ReckonError> {
        if days.is_empty() || days.len() > YEARS_MOST {
            let message = format!("{} past years; 1 to {YEARS_MOST} can be counted", days.len());
            return Err(ReckonError::Inconsistent { field: "years", message });
        }
        let mut days = days.to_vec();
        days.sort_unstable_by_key(|d| d.unwrap_or(i64::MAX));
        Ok(Self { days })
    }

    /// Years counted.
    pub fn years(&self) -> usize {
        self.days.len()
    }

    /// The day at a point of the years; `None` where that year did not have it.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming `share`.
    pub fn point(&self, q: f64) -> Result<Option<i64>, ReckonError> {
        let q = SHARE.check(q)?;
        Ok(self.days[((self.days.len() - 1) as f64 * q).round() as usize])
    }

    /// Years that had it on or before a day.
    pub fn by(&self, day: i64) -> usize {
        self.days.iter().flatten().filter(|d| **d <= day).count()
    }

    /// Years that had it on or after a day.
    pub fn from(&self, day: i64) -> usize {
        self.days.iter().flatten().filter(|d| **d >= day).count()
    }

    /// The last day on or before which it came in no more than this share of the years; `None` where no day is too late.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming `share`.
    pub fn last_day_within(&self, share: f64) -> Result<Option<i64>, ReckonError> {
        let allowed = self.allowed(share)?;
        Ok(self.days.get(allowed).copied().flatten().map(|d| d - 1))
    }

    /// The first day on or after which it came in no more than this share of the years; `None` where every day is.
    ///
    /// # Errors
    /// [`ReckonError::OutOfRange`] naming `share`.
    pub fn first_day_left(&self, share: f64) -> Result<Option<i64>, ReckonError> {
        let allowed = self.allowed(share)?;
        let came: Vec<i64> = self.days.iter().flatten().copied().collect();
        Ok(came.len().checked_sub(allowed + 1).map(|place| came[place] + 1))
    }

    fn allowed(&self, share: f64) -> Result<usize, ReckonError> {
        // The addend undoes the last digit of a product such as 0.1 × 30.
        Ok((SHARE.check(share)? * self.days.len() as f64 + 1e-9).floor() as usize)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn odds(days: &[i64]) -> DateOdds {
        DateOdds::of_years(&days.iter().copied().map(Some).collect::<Vec<_>>()).unwrap()
    }

    /// Ten years by hand: one of the ten had it by the day before the second, one still has it after the ninth. (Real years are counted
    /// beside numpy in `tests/reference`.)
    #[test]
    fn tenths_of_ten_years() {
        let ten = odds(&[246, 255, 262, 268, 272, 275, 279, 284, 290, 332]);
        assert_eq!(
            ten.last_day_within(0.1).unwrap(),
            Some(254),
            "one year of ten had come by the day before the second"
        );
        assert_eq!(ten.by(254), 1);
        assert_eq!(ten.first_day_left(0.1).unwrap(), Some(291));
        assert_eq!((ten.from(291), ten.from(290)), (1, 2));
        assert_eq!([0.0, 1.0].map(|q| ten.point(q).unwrap()), [Some(246), Some(332)]);
    }

    #[test]
    fn years_without_it_count() {
        let days = [Some(5), None, Some(9), None];
        let some = DateOdds::of_years(&days).unwrap();
        assert_eq!((some.years(), some.by(100), some.from(6)), (4, 2, 1));
        assert_eq!((some.point(0.0).unwrap(), some.point(1.0).unwrap()), (Some(5), None));
        assert_eq!(some.last_day_within(0.5).unwrap(), None, "half the years never have it");
        assert_eq!(some.first_day_left(0.5).unwrap(), None, "no day has more than half the years after it");
        assert_eq!(some.first_day_left(0.25).unwrap(), Some(6));
    }

    #[test]
    fn refusals_name_the_field() {
        assert_eq!(DateOdds::of_years(&[]).unwrap_err().field(), "years");
        assert_eq!(odds(&[1]).point(1.5).unwrap_err().field(), "share");
        assert_eq!(odds(&[1]).last_day_within(f64::NAN).unwrap_err().field(), "share");
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// A chance never falls as the day goes on; the limits hold their share and the next day does not.
        #[test]
        fn the_limits_are_the_tightest(
            days in prop::collection::vec(prop::option::weighted(0.8, 0i64..200), 1..60), share in 0.0..1.0f64,
        ) {
            let odds = DateOdds::of_years(&days).unwrap();
            let most = share * odds.years() as f64 + 1e-9;
            for day in -1..200 {
                prop_assert!(odds.by(day) <= odds.by(day + 1) && odds.from(day) >= odds.from(day + 1));
            }
            match odds.last_day_within(share).unwrap() {
                Some(day) => prop_assert!(odds.by(day) as f64 <= most && odds.by(day + 1) as f64 > most),
                None => prop_assert!(odds.by(200) as f64 <= most),
            }
            match odds.first_day_left(share).unwrap() {
                Some(day) => prop_assert!(odds.from(day) as f64 <= most && odds.from(day - 1) as f64 > most),
                None => prop_assert!(odds.from(-1) as f64 <= most),
            }
        }
    }
}
