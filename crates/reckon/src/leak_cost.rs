//! What a standing leak costs, and by when it pays to mend it.

use crate::error::{Bound, ReckonError};
use crate::units::{Litres, LitresPerMinute};

/// Flow that nobody asked for.
pub const LEAK_FLOW: Bound = Bound::new("leak_l_min", 0.0, 1_000.0, "L/min", "flow of the leak");
/// Price of water, sewer charge with it where that is billed by the water meter.
pub const PRICE: Bound = Bound::new("price_per_m3", 0.0, 1_000.0, "money/m³", "price of a cubic metre of water");
/// What the parts of the repair cost.
pub const REPAIR: Bound = Bound::new("repair_cost", 0.0, 1e6, "money", "cost of the repair");
/// A leak above this undermines the ground and drowns wires: it is shut off and mended the same day (common practice).
pub const AT_ONCE: LitresPerMinute = LitresPerMinute::new(4.0);
/// No leak is left longer than this, however little it loses (common practice; local rules are often shorter).
pub const DAYS_MOST: u32 = 14;

/// A leak in water, money and days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeakCost {
    /// Water lost a day.
    pub per_day: Litres,
    /// What that costs, in the currency of the price.
    pub cost_per_day: f64,
    /// Days until it must be mended; 0 is today.
    pub days: u32,
}

/// Water and money a leak loses a day, and the days within which it is to be mended.
///
/// `V = 1440 q`; `k = V / 1000 · p`; `n = 0` when `q ≥ 4 L/min`, else `⌊R / k⌋` and at most 14.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `q` | flow of the leak | L/min | 0 ..= 1,000 |
/// | `p` | price of water at the block reached | money/m³ | 0 ..= 1,000 |
/// | `R` | cost of the repair | money | 0 ..= 1,000,000 |
/// | `V`, `k` | water and money lost a day | L, money | |
/// | `n` | days: until the lost water has cost as much as the repair | d | 0 ..= 14 |
///
/// Left out: blocks of a tariff (give the price of the block the leak falls in), and damage by wet ground.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Loss and cost by definition. The rule of days is our own: waiting is over when it has cost as much as mending; the two limits are
/// common practice.
///
/// # Examples
/// US EPA WaterSense: an irrigation leak of 1/32 inch loses about 6,300 gallons a month. In a month of 30 days that is 795 L a
/// day; at 2 a cubic metre it costs 1.59 a day, and a fitting of 10 is to be renewed within 6 days.
/// ```
/// use reckon::leak_cost::leak_cost;
/// use reckon::units::{LitresPerMinute, factor::L_PER_GALLON};
///
/// let flow = LitresPerMinute::new(6_300.0 * L_PER_GALLON / (30.0 * 1_440.0));
/// let leak = leak_cost(flow, 2.0, 10.0)?;
/// assert!((leak.per_day.get() - 795.0).abs() < 0.5);
/// assert!((leak.cost_per_day - 1.59).abs() < 0.005);
/// assert_eq!(leak.days, 6);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn leak_cost(flow: LitresPerMinute, price_per_m3: f64, repair_cost: f64) -> Result<LeakCost, ReckonError> {
    let flow = LEAK_FLOW.check(flow.get())?;
    let price = PRICE.check(price_per_m3)?;
    let repair = REPAIR.check(repair_cost)?;
    let litres = flow * 1_440.0;
    let cost = litres / 1_000.0 * price;
    let days = if flow >= AT_ONCE.get() {
        0
    } else {
        // Free water never pays for the repair; the longest wait holds. The quotient is cut to it, so the cast keeps its value.
        let worth = if cost > 0.0 { (repair / cost).floor() } else { f64::INFINITY };
        worth.min(f64::from(DAYS_MOST)) as u32
    };
    Ok(LeakCost { per_day: Litres::new(litres), cost_per_day: cost, days })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor::L_PER_GALLON;

    fn of(flow: f64, price: f64, repair: f64) -> LeakCost {
        leak_cost(LitresPerMinute::new(flow), price, repair).unwrap()
    }

    /// City of Grants Pass, Oregon: at 60 psi a hole of 1/16 inch loses 25,000 gallons a month and one of 1/4 inch 400,000;
    /// US EPA WaterSense: one drip a second is over 3,000 gallons a year. The tolerance is the printed digits.
    #[test]
    fn published_losses() {
        let gallons_a_minute = |gallons: f64, days: f64| gallons * L_PER_GALLON / (days * 1_440.0);
        for (gallons, days, litres_a_day) in
            [(25_000.0, 30.0, 3_155.0), (400_000.0, 30.0, 50_472.0), (3_000.0, 365.0, 31.1)]
        {
            let leak = of(gallons_a_minute(gallons, days), 1.0, 20.0);
            assert!((leak.per_day.get() / litres_a_day - 1.0).abs() < 0.001, "{gallons} gallons");
        }
        assert_eq!(of(gallons_a_minute(400_000.0, 30.0), 1.0, 20.0).days, 0, "a gushing main is shut today");
        assert_eq!(of(gallons_a_minute(3_000.0, 365.0), 1.0, 20.0).days, DAYS_MOST, "a drip waits no longer than this");
    }

    #[test]
    fn edges_and_refusals() {
        assert_eq!(of(0.0, 2.0, 0.0).days, DAYS_MOST);
        assert_eq!(of(1.0, 0.0, 50.0).days, DAYS_MOST);
        assert_eq!(of(1.0, 2.0, 0.0).days, 0);
        assert_eq!(of(3.999, 0.0, 50.0).days, DAYS_MOST);
        assert_eq!(of(4.0, 0.0, 50.0).days, 0);
        let field = |q, p, r| leak_cost(LitresPerMinute::new(q), p, r).unwrap_err().field();
        assert_eq!(field(-1.0, 1.0, 1.0), "leak_l_min");
        assert_eq!(field(1.0, f64::NAN, 1.0), "price_per_m3");
        assert_eq!(field(1.0, 1.0, f64::INFINITY), "repair_cost");
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// A larger leak or dearer water never leaves more time, a dearer repair never less.
        #[test]
        fn more_loss_never_leaves_more_time(q in 0.0..10.0, p in 0.0..20.0, r in 0.0..500.0, more in 0.0..5.0) {
            let days = of(q, p, r).days;
            prop_assert!(days <= DAYS_MOST);
            prop_assert!(of(q + more, p, r).days <= days && of(q, p + more, r).days <= days);
            prop_assert!(of(q, p, r + more).days >= days);
        }
    }
}
