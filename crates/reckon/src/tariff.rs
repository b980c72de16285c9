//! What a period's water costs by a stepped tariff, and what one cubic metre more would cost.

use serde::{Deserialize, Serialize};

use crate::error::{Bound, ReckonError};
use crate::units::CubicMetres;

/// Water of one billing period.
pub const VOLUME: Bound = Bound::new("volume_m3", 0.0, 1e6, "m³", "water of one billing period");
/// End of a step.
pub const UP_TO: Bound = Bound::new("up_to_m3", 0.0, 1e6, "m³", "volume at which a step ends");
/// Price of a step.
pub const PRICE: Bound = Bound::new("price_per_m3", 0.0, 1_000.0, "money/m³", "price of a cubic metre within the step");
/// Charges that do not hang on the volume.
pub const BASE: Bound = Bound::new("base", 0.0, 1e5, "money", "charges of a period that do not hang on the volume");
/// Sewer price.
pub const SEWER_PRICE: Bound =
    Bound::new("sewer_per_m3", 0.0, 1_000.0, "money/m³", "sewer charge for a cubic metre of metered water");
/// Water free of the sewer charge.
pub const SEWER_FREE: Bound =
    Bound::new("sewer_free_m3", 0.0, 1e6, "m³", "water of a period that is free of the sewer charge");
/// Water beyond which the sewer charge no longer grows.
pub const SEWER_MOST: Bound =
    Bound::new("sewer_most_m3", 0.0, 1e6, "m³", "water of a period beyond which the sewer charge no longer grows");
/// Most steps of a tariff.
pub const STEPS_MOST: usize = 12;

/// One step: the water up to its end, beyond the step before, at one price.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TariffStep {
    /// Where it ends; the last step has no end.
    pub up_to: Option<CubicMetres>,
    /// Price of a cubic metre.
    pub price_per_m3: f64,
}

/// The sewer charge, where it hangs on the metered water.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SewerCharge {
    /// Price of a cubic metre.
    pub price_per_m3: f64,
    /// Water of a period that is free of it.
    pub free: CubicMetres,
    /// Water of a period beyond which nothing more is charged (a summer cap).
    pub most: Option<CubicMetres>,
}

/// A tariff for one period.
#[derive(Clone, Debug, PartialEq)]
pub struct Tariff {
    /// Charges that do not hang on the volume.
    pub base: f64,
    /// The steps in order.
    pub steps: Vec<TariffStep>,
    /// The sewer charge.
    pub sewer: Option<SewerCharge>,
}

/// What one step of a bill comes to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BillLine {
    /// Water within the step.
    pub volume: CubicMetres,
    /// Its price.
    pub price_per_m3: f64,
    /// Both multiplied.
    pub amount: f64,
}

/// A bill.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill {
    /// Charges that do not hang on the volume.
    pub base: f64,
    /// The steps reached.
    pub lines: Vec<BillLine>,
    /// Water, all steps.
    pub water: f64,
    /// Water that bears the sewer charge, and the charge.
    pub sewer: Option<BillLine>,
    /// All of it.
    pub total: f64,
    /// Place of the step in which the next cubic metre falls, the first being 1.
    pub marginal_step: usize,
    /// What that cubic metre costs, the sewer charge with it.
    pub marginal_price_per_m3: f64,
}

/// A period's bill by a stepped tariff.
///
/// `K = B + Σ pᵢ (min(V, uᵢ) − uᵢ₋₁)⁺ + s (min(V, m) − f)⁺`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `V` | water of the period | m³ | 0 ..= 1,000,000 |
/// | `B` | charges that do not hang on it | money | 0 ..= 100,000 |
/// | `uᵢ`, `pᵢ` | end and price of a step; 1 to 12 steps, ends rising, the last without | m³, money/m³ | 0 ..= 1,000,000, 0 ..= 1,000 |
/// | `s`, `f`, `m` | sewer price, water free of it, water beyond which it no longer grows | money/m³, m³ | as above |
///
/// Left out: taxes on the sum, and suppliers that round the volume to whole units before they multiply.
///
/// # Errors
/// [`ReckonError`] naming the field.
///
/// # Source
/// Definition. Worked bills: a Minnesota city's *Current Rate Structure* examples for the first quarter of 2013 (metro-inet document
/// library, AHPublic 288623, pages 8 and 12), in this file's tests.
///
/// # Examples
/// The example for 50,000 gallons: of them 25,000 at 3.51 and 15,000 at 6.15 a thousand, 180.00 in all.
/// ```
/// use reckon::tariff::{Tariff, TariffStep, bill};
/// use reckon::units::{CubicMetres, factor::L_PER_GALLON};
///
/// let thousand = |n: f64| CubicMetres::new(n * L_PER_GALLON);
/// let step = |up_to: Option<f64>, price: f64| TariffStep { up_to: up_to.map(thousand), price_per_m3: price / L_PER_GALLON };
/// let tariff = Tariff { base: 0.0, steps: vec![step(Some(10.0), 0.0), step(Some(35.0), 3.51), step(None, 6.15)], sewer: None };
/// let bill = bill(&tariff, thousand(50.0))?;
/// assert!((bill.water - 180.00).abs() < 0.005 && bill.marginal_step == 3);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn bill(tariff: &Tariff, volume: CubicMetres) -> Result<Bill, ReckonError> {
    tariff.check()?;
    let volume = VOLUME.check(volume.get())?;
    let mut lines = Vec::with_capacity(tariff.steps.len());
    let (mut from, mut marginal) = (0.0, None);
    for (i, step) in tariff.steps.iter().enumerate() {
        let end = step.up_to.map_or(f64::INFINITY, CubicMetres::get);
        if marginal.is_none() && volume < end {
            marginal = Some(i);
        }
        if volume > from {
            let within = volume.min(end) - from;
            let amount = within * step.price_per_m3;
            lines.push(BillLine { volume: CubicMetres::new(within), price_per_m3: step.price_per_m3, amount });
        }
        from = end;
    }
    let marginal = marginal.unwrap_or(tariff.steps.len() - 1);
    let sewer = tariff.sewer.map(|s| {
        let charged = (volume.min(s.most.map_or(f64::INFINITY, CubicMetres::get)) - s.free.get()).max(0.0);
        BillLine { volume: CubicMetres::new(charged), price_per_m3: s.price_per_m3, amount: charged * s.price_per_m3 }
    });
    let sewer_next = tariff.sewer.map_or(0.0, |s| {
        let grows = volume >= s.free.get() && s.most.is_none_or(|m| volume < m.get());
        if grows { s.price_per_m3 } else { 0.0 }
    });
    let water = lines.iter().map(|l| l.amount).sum::<f64>();
    Ok(Bill {
        base: tariff.base,
        total: tariff.base + water + sewer.map_or(0.0, |s| s.amount),
        lines,
        water,
        sewer,
        marginal_step: marginal + 1,
        marginal_price_per_m3: tariff.steps[marginal].price_per_m3 + sewer_next,
    })
}

impl Tariff {
    /// Every figure in its range, the steps' ends rising and only the last without one.
    ///
    /// # Errors
    /// [`ReckonError`] naming the field.
    pub fn check(&self) -> Result<(), ReckonError> {
        BASE.check(self.base)?;
        let wrong = |message: String| Err(ReckonError::Inconsistent { field: "steps", message });
        if self.steps.is_empty() || self.steps.len() > STEPS_MOST {
            return wrong(format!("{} steps; one to {STEPS_MOST} make a tariff", self.steps.len()));
        }
        let mut from = 0.0;
        for (i, step) in self.steps.iter().enumerate() {
            PRICE.check(step.price_per_m3)?;
            match step.up_to {
                None if i + 1 < self.steps.len() => return wrong("only the last step has no end".to_owned()),
                Some(_) if i + 1 == self.steps.len() => return wrong("the last step must have no end".to_owned()),
                Some(end) => {
                    UP_TO.check(end.get())?;
                    if end.get() <= from {
                        return wrong(format!("a step ends at {} m³, not after the one before it", end.get()));
                    }
                    from = end.get();
                }
                None => {}
            }
        }
        if let Some(sewer) = self.sewer {
            SEWER_PRICE.check(sewer.price_per_m3)?;
            SEWER_FREE.check(sewer.free.get())?;
            if let Some(most) = sewer.most {
                SEWER_MOST.check(most.get())?;
            }
        }
        Ok(())
    }

    /// The same tariff for a span of another length: base charge and steps grow with the share of a period.
    pub fn over(&self, share: f64) -> Self {
        let part = |v: CubicMetres| v * share;
        Self {
            base: self.base * share,
            steps: self.steps.iter().map(|s| TariffStep { up_to: s.up_to.map(part), ..*s }).collect(),
            sewer: self.sewer.map(|s| SewerCharge { free: part(s.free), most: s.most.map(part), ..s }),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor::L_PER_GALLON;

    fn thousand(gallons: f64) -> CubicMetres {
        CubicMetres::new(gallons * L_PER_GALLON)
    }

    fn step(up_to: Option<CubicMetres>, price: f64) -> TariffStep {
        TariffStep { up_to, price_per_m3: price }
    }

    /// The city's rates of 2013: base, stand-by and test fee 50.46, sewer base 85.55, surface water 11.71; 10,000 gallons free, then
    /// 3.51 a thousand to 35,000 and 6.15 beyond; sewer 4.93 a thousand over 15,000.
    fn minnesota() -> Tariff {
        let each = |price: f64| price / L_PER_GALLON;
        Tariff {
            base: 41.16 + 7.71 + 1.59 + 85.55 + 11.71,
            steps: vec![
                step(Some(thousand(10.0)), 0.0),
                step(Some(thousand(35.0)), each(3.51)),
                step(None, each(6.15)),
            ],
            sewer: Some(SewerCharge { price_per_m3: each(4.93), free: thousand(15.0), most: None }),
        }
    }

    /// The two bills of that document line by line; its sum for 50,000 gallons is printed a cent higher than its lines add up to.
    #[test]
    fn printed_bills() {
        let large = bill(&minnesota(), thousand(50.0)).unwrap();
        let amounts: Vec<f64> = large.lines.iter().map(|l| l.amount).collect();
        for (got, printed) in amounts.iter().zip([0.0, 87.75, 92.25]) {
            assert!((got - printed).abs() < 0.005, "{got} for {printed}");
        }
        assert!((large.sewer.unwrap().amount - 172.55).abs() < 0.005);
        assert!((large.total - 500.28).abs() < 0.015, "{}", large.total);
        assert_eq!(large.marginal_step, 3);
        assert!((large.marginal_price_per_m3 * L_PER_GALLON - (6.15 + 4.93)).abs() < 1e-9);
        let small = bill(&minnesota(), thousand(10.0)).unwrap();
        assert!((small.total - 147.73).abs() < 0.015, "{}", small.total);
        assert_eq!(small.marginal_step, 2, "the next gallon is the first that costs");
    }

    /// Hi-Desert Water District, rates page (hdwd.com/314): 4 units at 3.65, 4 at 6.17 and 20.75 fixed are 60.03 (the page's words say
    /// six units, its sum is that of eight).
    #[test]
    fn a_bill_in_hundred_cubic_feet() {
        const CCF: f64 = 2.831_684_659_2;
        let units = |n: f64| CubicMetres::new(n * CCF);
        let steps = vec![step(Some(units(4.0)), 3.65 / CCF), step(None, 6.17 / CCF)];
        let tariff = Tariff { base: 20.75, steps, sewer: None };
        assert!((bill(&tariff, units(8.0)).unwrap().total - 60.03).abs() < 0.005);
    }

    /// A sewer charge capped for the summer grows no more beyond its cap.
    #[test]
    fn the_sewer_cap_holds() {
        let sewer = SewerCharge { price_per_m3: 2.0, free: CubicMetres::new(5.0), most: Some(CubicMetres::new(20.0)) };
        let tariff = Tariff { base: 10.0, steps: vec![step(None, 1.0)], sewer: Some(sewer) };
        let of = |v: f64| bill(&tariff, CubicMetres::new(v)).unwrap();
        assert_eq!((of(5.0).total, of(20.0).total, of(30.0).total), (15.0, 60.0, 70.0));
        let next = |v: f64| of(v).marginal_price_per_m3;
        assert_eq!((next(0.0), next(5.0), next(20.0)), (1.0, 3.0, 1.0));
    }

    #[test]
    fn refusals_name_the_field() {
        let field = |t: &Tariff, v: f64| bill(t, CubicMetres::new(v)).map_err(|e| e.field()).err();
        let with = |steps: Vec<TariffStep>| Tariff { steps, ..minnesota() };
        let m3 = |v: f64| Some(CubicMetres::new(v));
        assert_eq!(field(&minnesota(), -1.0), Some("volume_m3"));
        assert_eq!(field(&with(vec![]), 1.0), Some("steps"));
        assert_eq!(field(&with(vec![step(m3(5.0), 1.0)]), 1.0), Some("steps"));
        assert_eq!(field(&with(vec![step(None, 1.0), step(None, 2.0)]), 1.0), Some("steps"));
        assert_eq!(field(&with(vec![step(m3(5.0), 1.0), step(m3(5.0), 2.0), step(None, 3.0)]), 1.0), Some("steps"));
        assert_eq!(field(&with(vec![step(None, f64::NAN)]), 1.0), Some("price_per_m3"));
        assert_eq!(field(&Tariff { base: -1.0, ..minnesota() }, 1.0), Some("base"));
    }

    fn any_tariff(rising: bool) -> impl Strategy<Value = Tariff> {
        (
            prop::collection::vec((0.5..50.0f64, 0.0..10.0f64), 1..8),
            0.0..100.0f64,
            prop::option::of((0.0..10.0f64, 0.0..20.0f64)),
        )
            .prop_map(move |(parts, base, sewer)| {
                let mut prices: Vec<f64> = parts.iter().map(|p| p.1).collect();
                if rising {
                    prices.sort_by(f64::total_cmp);
                }
                let last = parts.len() - 1;
                let mut end = 0.0;
                let steps = parts.iter().zip(prices).enumerate().map(|(i, ((width, _), price))| {
                    end += width;
                    step((i < last).then_some(CubicMetres::new(end)), price)
                });
                let sewer = sewer.map(|(price_per_m3, free)| SewerCharge {
                    price_per_m3,
                    free: CubicMetres::new(free),
                    most: None,
                });
                Tariff { base, steps: steps.collect(), sewer }
            })
    }

    proptest! {
        #![proptest_config(crate::cases(20_000))]

        /// More water never costs less; no jump anywhere, the ends of steps included: the difference is at most the water at the dearest
        /// price.
        #[test]
        fn monotone_and_without_jumps(t in any_tariff(false), v in 0.0..400.0f64, more in 0.0..50.0f64) {
            let of = |v: f64| bill(&t, CubicMetres::new(v)).unwrap().total;
            let dearest = t.steps.iter().map(|s| s.price_per_m3).fold(0.0, f64::max) + t.sewer.map_or(0.0, |s| s.price_per_m3);
            let rise = of(v + more) - of(v);
            prop_assert!(rise >= -1e-9 && rise <= dearest * more + 1e-9);
        }

        /// Where the steps rise the cost is convex: the middle of two volumes costs no more than the mean of their costs.
        #[test]
        fn convex_where_the_steps_rise(t in any_tariff(true), a in 0.0..400.0f64, b in 0.0..400.0f64) {
            let of = |v: f64| bill(&t, CubicMetres::new(v)).unwrap().total;
            prop_assert!(of((a + b) / 2.0) <= (of(a) + of(b)) / 2.0 + 1e-9);
        }

        /// The next litre costs what the bill says, within the step.
        #[test]
        fn the_marginal_price_is_the_slope(t in any_tariff(false), v in 0.0..400.0f64) {
            let b = bill(&t, CubicMetres::new(v)).unwrap();
            let ends = t.steps.iter().filter_map(|s| s.up_to).chain(t.sewer.map(|s| s.free));
            prop_assume!(ends.into_iter().all(|e| !(v..v + 0.001).contains(&e.get())));
            let slope = (bill(&t, CubicMetres::new(v + 0.001)).unwrap().total - b.total) / 0.001;
            prop_assert!((slope - b.marginal_price_per_m3).abs() < 1e-6, "{slope} {}", b.marginal_price_per_m3);
        }

        /// Half a period with half the water costs half.
        #[test]
        fn a_part_of_a_period(t in any_tariff(false), v in 0.0..400.0f64, share in 0.05..3.0f64) {
            let whole = bill(&t, CubicMetres::new(v)).unwrap().total;
            let part = bill(&t.over(share), CubicMetres::new(v * share)).unwrap().total;
            prop_assert!((part - whole * share).abs() < 1e-6);
        }
    }
}
