//! The top of the soil as the air dries it: what it can lose, how fast, and how often it must be wetted to stay moist.
//!
//! Equation numbers are of FAO Irrigation and Drainage Paper 56 (1998), chapter 7. The layer is described by its **depletion** `De`:
//! 0 mm when it has drained after a wetting, `TEW` when the air can take no more from it.

use crate::error::{Bound, ReckonError};
use crate::units::{Fraction, Metres, MetresPerSecond, Millimetres, Percent};
use crate::working::{Step, Value};

/// Depth for which the paper's Table 19 gives its figures.
pub const TABLE_DEPTH: Metres = Metres::new(0.10);

/// Water left when the soil has drained.
pub const FIELD_CAPACITY: Bound =
    Bound::new("field_capacity", 0.01, 0.7, "m³/m³", "water left in the soil when it has drained");
/// Water left at the wilting point.
pub const WILTING_POINT: Bound =
    Bound::new("wilting_point", 0.0, 0.6, "m³/m³", "water left in the soil when plants wilt for good");
/// Depth of the layer.
pub const LAYER_DEPTH: Bound = Bound::new("layer_depth_m", 0.01, 0.15, "m", "depth of the layer to be kept moist");
/// Water a layer of 0.10 m loses as fast as the air asks.
pub const READILY_EVAPORABLE: Bound = Bound::new(
    "readily_evaporable_mm",
    1.0,
    15.0,
    "mm",
    "water the top 0.10 m lose as fast as the air asks, before their surface is dry",
);
/// Height of the plants.
pub const PLANT_HEIGHT: Bound = Bound::new("plant_height_m", 0.0, 10.0, "m", "height of the plants");
/// Wind at 2 m.
pub const WIND: Bound = Bound::new("wind_ms", 0.0, 40.0, "m/s", "mean wind of the day at 2 m");
/// Least relative humidity of the day.
pub const HUMIDITY_MIN: Bound = Bound::new("humidity_min_pct", 0.0, 100.0, "%", "least relative humidity of the day");
/// Basal crop coefficient.
pub const KCB: Bound = Bound::new("kcb", 0.0, 1.5, "", "basal crop coefficient");
/// Most wettings a day.
pub const WETTINGS_MAX: u32 = 24;

/// A layer whose numbers were checked when it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceLayer {
    tew: f64,
    rew: f64,
}

/// What one day did to the layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerDay {
    /// `Kr`, 1 while the surface is wet, 0 when nothing more can go.
    pub kr: f64,
    /// Water that left into the air.
    pub evaporated: Millimetres,
    /// Water that went on below the layer.
    pub drained: Millimetres,
    /// Depletion at the day's end.
    pub depletion: Millimetres,
}

/// How often a surface is wetted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wetting {
    /// Every third day or less often: the dry soil stored heat, 1.2.
    Seldom,
    /// Daily or every second day: 1.1.
    Often,
}

/// How often a layer is wetted in a day, and how deep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wettings {
    /// Wettings.
    pub count: u32,
    /// Depth of each.
    pub depth: Millimetres,
    /// The count was cut to the most allowed: between two of them the surface dries.
    pub cut: bool,
}

impl SurfaceLayer {
    /// A layer of the soil's top.
    ///
    /// `TEW = 1000 (θFC − 0.5 θWP) Ze` (eq. 73). Table 19 gives `REW` for 0.10 m; a thinner layer has its share,
    /// `REW = REW₀.₁₀ Ze / 0.10`, and never more than `TEW`: a seed lies in the upper centimetres, and they are dry before the
    /// whole 0.10 m have given what they readily can.
    ///
    /// | symbol | meaning | unit | range |
    /// | --- | --- | --- | --- |
    /// | `θFC`, `θWP` | water at field capacity, at the wilting point | m³/m³ | 0.01 ..= 0.7, 0 ..= 0.6, in order |
    /// | `Ze` | depth of the layer | m | 0.01 ..= 0.15 |
    /// | `REW₀.₁₀` | readily evaporable water of 0.10 m | mm | 1 ..= 15; Table 19: 2–7 for sand, 8–10 for loam, 8–12 for clay |
    ///
    /// # Errors
    /// [`ReckonError`] naming the field.
    ///
    /// # Source
    /// FAO Irrigation and Drainage Paper 56 (1998), eq. 73 and Table 19. The share of a thinner layer: our own reading, in proportion.
    pub fn new(
        field_capacity: Fraction,
        wilting_point: Fraction,
        depth: Metres,
        readily_evaporable: Millimetres,
    ) -> Result<Self, ReckonError> {
        let fc = FIELD_CAPACITY.check(field_capacity.get())?;
        let wp = WILTING_POINT.check(wilting_point.get())?;
        let depth = LAYER_DEPTH.check(depth.get())?;
        let rew = READILY_EVAPORABLE.check(readily_evaporable.get())?;
        if wp >= fc {
            return Err(ReckonError::Inconsistent {
                field: WILTING_POINT.field,
                message: format!("the wilting point {wp} must lie below field capacity {fc}"),
            });
        }
        let tew = 1000.0 * (fc - 0.5 * wp) * depth;
        Ok(Self { tew, rew: (rew * depth / TABLE_DEPTH.get()).min(tew) })
    }

    /// Total evaporable water.
    pub fn tew(&self) -> Millimetres {
        Millimetres::new(self.tew)
    }

    /// Readily evaporable water: the surface is wet until so much is gone.
    pub fn rew(&self) -> Millimetres {
        Millimetres::new(self.rew)
    }

    /// `Kr = (TEW − De) / (TEW − REW)` for `De > REW`, else 1 (eq. 74).
    pub fn kr(&self, depletion: Millimetres) -> f64 {
        let de = depletion.get();
        if de <= self.rew || self.tew <= self.rew {
            f64::from(de < self.tew || de <= self.rew)
        } else {
            ((self.tew - de) / (self.tew - self.rew)).clamp(0.0, 1.0)
        }
    }

    /// One day: water comes in the morning, the air draws over the day.
    ///
    /// `E = Kr Kc,max ET0` of bare ground wetted all over (eq. 71 with `few = 1`, `Kcb = 0`); `De' = De − W + E + DP`, within 0 and `TEW`
    /// (eq. 77 to 79). `demand` is `Kc,max ET0`. Total on any input: what is not finite or below 0 is held at 0.
    ///
    /// Left out: plants' shade, ground wetted in part, water rising from below.
    pub fn step(&self, depletion_before: Millimetres, water: Millimetres, demand: Millimetres) -> LayerDay {
        let held = |x: f64| if x > 0.0 { x.min(1e6) } else { 0.0 };
        let wetted = held(depletion_before.get()).min(self.tew) - held(water.get());
        let kr = self.kr(Millimetres::new(wetted.max(0.0)));
        let start = wetted.max(0.0);
        let evaporated = (kr * held(demand.get())).min(self.tew - start);
        LayerDay {
            kr,
            evaporated: Millimetres::new(evaporated),
            drained: Millimetres::new((-wetted).max(0.0)),
            depletion: Millimetres::new(start + evaporated),
        }
    }

    /// The fewest equal wettings that keep the surface from drying on a day.
    ///
    /// The surface is dry once more than `REW` is gone. From `De` in the morning the air draws `E` by the evening, so `De + E − REW` must be
    /// put back, and no wetting can put back more than `REW` before the layer is full: `n = ⌈(De + E − REW) / REW⌉`, each
    /// `(De + E − REW) / n` deep; none where `De + E ≤ REW`.
    ///
    /// # Source
    /// Depth balance of the layer of eq. 73 and 74 (definition).
    pub fn wettings(&self, depletion: Millimetres, demand: Millimetres, most: u32) -> Wettings {
        let held = |x: f64| if x > 0.0 { x.min(1e6) } else { 0.0 };
        let missing = held(depletion.get()) + held(demand.get()) - self.rew;
        let most = most.clamp(1, WETTINGS_MAX);
        if missing <= 1e-9 {
            return Wettings { count: 0, depth: Millimetres::new(0.0), cut: false };
        }
        let wanted = (missing / self.rew - 1e-9).ceil().max(1.0);
        let count = wanted.min(f64::from(most));
        Wettings { count: count as u32, depth: Millimetres::new(missing / count), cut: wanted > count }
    }

    /// The steps behind the layer's two figures.
    pub fn working(
        field_capacity: Fraction,
        wilting_point: Fraction,
        depth: Metres,
        rew: Value,
    ) -> Result<Vec<Step>, ReckonError> {
        let of_table = match &rew.value {
            crate::working::Datum::Number(mm) => *mm,
            crate::working::Datum::Text(_) => f64::NAN,
        };
        let layer = Self::new(field_capacity, wilting_point, depth, Millimetres::new(of_table))?;
        Ok(vec![
            Step::new(
                "water the air can take from the layer",
                "TEW = 1000 × (θFC − 0.5 θWP) × Ze (FAO-56 eq. 73)",
                vec![
                    Value::number("θFC", field_capacity.get(), ""),
                    Value::number("θWP", wilting_point.get(), ""),
                    Value::number("Ze", depth.get(), "m"),
                ],
                Value::number("TEW", layer.tew, "mm"),
            ),
            Step::new(
                "part of it that goes before the surface is dry",
                "REW = REW of 0.10 m × Ze / 0.10, at most TEW",
                vec![rew, Value::number("Ze", depth.get(), "m")],
                Value::number("REW", layer.rew, "mm"),
            ),
        ])
    }
}

/// Most that evaporation and plants together can use of reference evapotranspiration, after a wetting.
///
/// `Kc,max = max(b + (0.04 (u2 − 2) − 0.004 (RHmin − 45)) (h/3)^0.3, Kcb + 0.05)`, `b` 1.2, or 1.1 where the surface is wetted
/// daily or every second day (eq. 72 and the text under it).
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `u2` | wind at 2 m | m/s | 0 ..= 40, taken as 1 ..= 6 |
/// | `RHmin` | least relative humidity | % | 0 ..= 100, taken as 20 ..= 80 |
/// | `h` | height of the plants | m | 0 ..= 10 |
/// | `Kcb` | basal crop coefficient | – | 0 ..= 1.5 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// FAO Irrigation and Drainage Paper 56 (1998), eq. 72; limits of wind and humidity as for eq. 62.
pub fn kc_max_fao56(
    wetting: Wetting,
    wind: MetresPerSecond,
    humidity_min: Percent,
    height: Metres,
    kcb: f64,
) -> Result<f64, ReckonError> {
    let u2 = WIND.check(wind.get())?.clamp(1.0, 6.0);
    let rh = HUMIDITY_MIN.check(humidity_min.get())?.clamp(20.0, 80.0);
    let h = PLANT_HEIGHT.check(height.get())?;
    let kcb = KCB.check(kcb)?;
    let base = match wetting {
        Wetting::Seldom => 1.2,
        Wetting::Often => 1.1,
    };
    Ok((base + (0.04 * (u2 - 2.0) - 0.004 * (rh - 45.0)) * (h / 3.0).powf(0.3)).max(kcb + 0.05))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn layer(fc: f64, wp: f64, depth: f64, rew: f64) -> SurfaceLayer {
        match SurfaceLayer::new(Fraction::new(fc), Fraction::new(wp), Metres::new(depth), Millimetres::new(rew)) {
            Ok(layer) => layer,
            Err(e) => panic!("{e}"),
        }
    }

    const fn mm(x: f64) -> Millimetres {
        Millimetres::new(x)
    }

    /// FAO-56 Table 19: field capacity, wilting point and the TEW printed for 0.10 m, both ends of each range. The paper rounds
    /// and trims its ranges, so 1.6 mm are allowed.
    #[test]
    fn table_19() {
        let rows = [
            ("sand", (0.07, 0.17), (0.02, 0.07), (6.0, 12.0)),
            ("loamy sand", (0.11, 0.19), (0.03, 0.10), (9.0, 14.0)),
            ("sandy loam", (0.18, 0.28), (0.06, 0.16), (15.0, 20.0)),
            ("loam", (0.20, 0.30), (0.07, 0.17), (16.0, 22.0)),
            ("silt loam", (0.22, 0.36), (0.09, 0.21), (18.0, 25.0)),
            ("clay", (0.32, 0.40), (0.20, 0.24), (22.0, 29.0)),
        ];
        for (name, fc, wp, tew) in rows {
            for (fc, wp, printed) in [(fc.0, wp.0, tew.0), (fc.1, wp.1, tew.1)] {
                let got = layer(fc, wp, 0.10, 2.0).tew().get();
                assert!((got - printed).abs() <= 1.6, "{name}: {got} for {printed}");
            }
        }
    }

    /// Eq. 74 at its ends and half-way, TEW 18 and REW 8 mm (figures of the paper's cotton example, from memory).
    #[test]
    fn kr_falls_from_one_to_nothing() {
        let l = layer(0.23, 0.10, 0.10, 8.0);
        assert!((l.tew().get() - 18.0).abs() < 1e-9 && (l.rew().get() - 8.0).abs() < 1e-12);
        for (de, kr) in [(0.0, 1.0), (8.0, 1.0), (13.0, 0.5), (18.0, 0.0)] {
            assert!((l.kr(mm(de)) - kr).abs() < 1e-9, "{de}");
        }
    }

    /// Eq. 72 with wind 2 m/s and 45 % is the bare 1.2 and 1.1; by hand for 5 m/s, 20 %, plants of 3 m:
    /// 1.2 + 0.04 × 3 + 0.004 × 25 = 1.42; over a full canopy Kcb + 0.05.
    #[test]
    fn kc_max() {
        let k = |w, u: f64, rh: f64, h: f64, kcb| {
            kc_max_fao56(w, MetresPerSecond::new(u), Percent::new(rh), Metres::new(h), kcb).unwrap_or(f64::NAN)
        };
        assert!((k(Wetting::Seldom, 2.0, 45.0, 0.5, 0.0) - 1.2).abs() < 1e-12);
        assert!((k(Wetting::Often, 2.0, 45.0, 0.5, 0.0) - 1.1).abs() < 1e-12);
        assert!((k(Wetting::Seldom, 5.0, 20.0, 3.0, 0.0) - 1.42).abs() < 1e-12);
        assert!((k(Wetting::Seldom, 2.0, 45.0, 3.0, 1.25) - 1.30).abs() < 1e-12);
    }

    /// An inch of loam on a hot day (ET0 6 mm): two to four light wettings, as extension has them for new seed (common practice), of the
    /// 1.5–2.5 mm of the trade; on a cool day (1.5 mm) after rain, none.
    #[test]
    fn an_inch_of_loam() {
        let l = layer(0.28, 0.14, 0.0254, 9.0);
        let hot = l.wettings(l.rew(), mm(1.1 * 6.0), 4);
        assert!((2..=4).contains(&hot.count) && !hot.cut, "{hot:?}");
        assert!((1.5..=2.5).contains(&hot.depth.get()), "{hot:?}");
        assert_eq!(l.wettings(mm(0.0), mm(1.1 * 1.5), 4).count, 0);
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// No water is made or lost; the depletion stays within the layer.
        #[test]
        fn water_is_kept(de in 0.0..30.0f64, w in 0.0..60.0f64, e in 0.0..15.0f64, fc in 0.1..0.5f64, part in 0.1..0.9f64,
                         depth in 0.01..0.15f64, rew in 1.0..15.0f64) {
            let l = layer(fc, fc * part, depth, rew);
            let before = de.min(l.tew().get());
            let day = l.step(mm(de), mm(w), mm(e));
            let leak = w - day.evaporated.get() - day.drained.get() + (day.depletion.get() - before);
            prop_assert!(leak.abs() < 1e-9);
            prop_assert!((0.0..=l.tew().get() + 1e-9).contains(&day.depletion.get()));
        }

        /// The wettings told keep the surface wet: run evenly over a day of even draw they end it no drier than REW, and unless cut none is
        /// deeper than REW.
        #[test]
        fn wettings_are_enough(share in 0.0..1.0f64, e in 0.0..12.0f64, depth in 0.02..0.15f64, rew in 2.0..12.0f64) {
            let l = layer(0.35, 0.15, depth, rew);
            let de = share * l.rew().get();
            let told = l.wettings(mm(de), mm(e), WETTINGS_MAX);
            let end = de + e - f64::from(told.count) * told.depth.get();
            prop_assert!(end <= l.rew().get() + 1e-9);
            prop_assert!(told.cut || told.depth.get() <= l.rew().get() + 1e-9);
        }

        /// Any floats: an answer or a refusal.
        #[test]
        fn total(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            if let Ok(l) = SurfaceLayer::new(Fraction::new(a), Fraction::new(b), Metres::new(c), mm(d)) {
                let day = l.step(mm(a), mm(b), mm(c));
                prop_assert!(day.depletion.get().is_finite());
            }
        }
    }
}
