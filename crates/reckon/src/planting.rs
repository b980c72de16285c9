//! Planting trees, shrubs and hedges: how many, how far apart, how large a hole, how much water and for how long.

use std::f64::consts::PI;

use crate::error::{Bound, ReckonError};
use crate::units::{Fraction, Litres, Metres, Millimetres, Minutes, SquareMetres, factor};

/// Trunk thickness, 6 in over the ground (12 in where it is over 4 in).
pub const CALLIPER: Bound =
    Bound::new("calliper_mm", 3.0, 400.0, "mm", "thickness of the trunk 150 mm over the ground");
/// Volume of the pot a plant came in.
pub const CONTAINER: Bound = Bound::new("container_l", 0.2, 1500.0, "L", "volume of the pot the plant came in");
/// Where in a published range, low to high.
pub const SHARE: Bound =
    Bound::new("share", 0.0, 1.0, "", "place in the published range, 0 its low end, 1 its high one");
/// Emitters on one plant.
pub const EMITTERS: Bound = Bound::new("emitters", 1.0, 200.0, "", "emitters on one plant");
/// Water of one emitter.
pub const EMITTER_L_H: Bound = Bound::new("emitter_l_h", 0.2, 250.0, "L/h", "water one emitter gives in an hour");
/// Share of the water that reaches the roots.
pub const EFFICIENCY: Bound = Bound::new("efficiency", 0.3, 1.0, "", "share of the water that reaches the roots");
/// Length of a hedge.
pub const HEDGE_LENGTH: Bound = Bound::new("length_m", 0.3, 2000.0, "m", "length of the hedge");
/// Width of a grown plant.
pub const MATURE_WIDTH: Bound = Bound::new("mature_width_m", 0.2, 15.0, "m", "width of a grown plant");
/// Distance between plants.
pub const SPACING: Bound = Bound::new("spacing_m", 0.1, 15.0, "m", "distance between plants in a row");
/// Rows of a hedge.
pub const ROWS: Bound = Bound::new("rows", 1.0, 2.0, "", "rows of the hedge");
/// Height of a plant.
pub const HEIGHT: Bound = Bound::new("height_m", 0.05, 40.0, "m", "height of the plant");
/// Growth in a year.
pub const GROWTH: Bound = Bound::new("growth_m", 0.0, 3.0, "m", "growth in height in a year");
/// Years until a plant grows at its own pace.
pub const LAG: Bound = Bound::new("lag_years", 0.0, 15.0, "a", "years until a new plant grows at its own pace");
/// Width of a root ball.
pub const BALL: Bound = Bound::new("ball_mm", 50.0, 3000.0, "mm", "width of the root ball");
/// Depth of a root ball, from the root flare down.
pub const BALL_DEPTH: Bound =
    Bound::new("ball_depth_mm", 50.0, 2000.0, "mm", "depth of the root ball, from the root flare down");
/// Width of a mulch ring.
pub const RING: Bound = Bound::new("ring_m", 0.2, 10.0, "m", "diameter of the mulch ring");
/// Ground left free of mulch round the stem.
pub const CLEAR: Bound = Bound::new("clear_m", 0.0, 1.0, "m", "free ground round the stem, from its middle");

/// How cold the winters are, as far as roots care.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Winters {
    /// The coldest night of a usual year is below −6.7 °C (20 °F): hardiness zones 8 and colder.
    Cold,
    /// Zones 9 to 11.
    Mild,
}

/// Years until a tree's roots have grown into the ground.
///
/// `1.5 a` an inch of calliper in cold winters, `3.5/12 a` in mild ones.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `d` | calliper: trunk 6 in over the ground, 12 in where it is over 4 in | mm | 3 ..= 400 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// University of Minnesota Extension, "Watering newly planted trees and shrubs", table by calliper (1 in 1.5 years … 6 in 9 years);
/// University of Florida IFAS Extension Charlotte County, "Water – the most important ingredient", 2024 (3 to 4 months an inch).
///
/// # Examples
/// ```
/// use reckon::planting::{Winters, establishment_years};
/// use reckon::units::Millimetres;
/// let years = establishment_years(Millimetres::new(3.0 * 25.4), Winters::Cold)?;
/// assert!((years - 4.5).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn establishment_years(calliper: Millimetres, winters: Winters) -> Result<f64, ReckonError> {
    let inches = CALLIPER.check(calliper.get())? / factor::MM_PER_INCH;
    Ok(inches
        * match winters {
            Winters::Cold => 1.5,
            Winters::Mild => 3.5 / 12.0,
        })
}

/// Water for a new tree at one watering: 1 to 1.5 gallons an inch of calliper.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// University of Minnesota Extension, "Watering newly planted trees and shrubs", the same table.
pub fn tree_watering(calliper: Millimetres, share: Fraction) -> Result<Litres, ReckonError> {
    let inches = CALLIPER.check(calliper.get())? / factor::MM_PER_INCH;
    let share = SHARE.check(share.get())?;
    Ok(Litres::new(inches * (1.0 + 0.5 * share) * factor::L_PER_GALLON))
}

/// Water for a new shrub at one watering: a quarter to a third of its pot's volume.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// University of Minnesota Extension, "Watering newly planted trees and shrubs".
pub fn shrub_watering(container: Litres, share: Fraction) -> Result<Litres, ReckonError> {
    let pot = CONTAINER.check(container.get())?;
    let share = SHARE.check(share.get())?;
    Ok(Litres::new(pot * (0.25 + (1.0 / 3.0 - 0.25) * share)))
}

/// Fewest and most days between two waterings, so many days after planting: daily for two weeks, every two to three days to the twelfth
/// week, then weekly.
///
/// # Source
/// University of Minnesota Extension, "Watering newly planted trees and shrubs".
pub fn days_between_waterings(days_since_planting: i64) -> (i64, i64) {
    match days_since_planting {
        d if d < 14 => (1, 1),
        d if d < 84 => (2, 3),
        _ => (7, 7),
    }
}

/// Minutes a drip line runs to give one plant its water: `t = 60 V / (n q e)`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `V` | water for one plant | L | 0 ..= 1500 |
/// | `n` | emitters on it | – | 1 ..= 200 |
/// | `q` | water of one emitter | L/h | 0.2 ..= 250 |
/// | `e` | share that reaches the roots | – | 0.3 ..= 1 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Definition; worked example of a landscape drip design manual: 1.4 gallons by two emitters of 2 gal/h at 90 % take 0.39 h, 23 minutes.
///
/// # Examples
/// ```
/// use reckon::planting::drip_minutes;
/// use reckon::units::{Fraction, Litres};
/// const GAL: f64 = 3.785_411_784;
/// let t = drip_minutes(Litres::new(1.4 * GAL), 2, Litres::new(2.0 * GAL), Fraction::new(0.9))?;
/// assert!((t.get() - 23.0).abs() < 0.5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn drip_minutes(
    water: Litres,
    emitters: u32,
    each_hour: Litres,
    efficiency: Fraction,
) -> Result<Minutes, ReckonError> {
    let water = Bound::new("water_l", 0.0, 1500.0, "L", "water for one plant").check(water.get())?;
    let n = EMITTERS.check(f64::from(emitters))?;
    let q = EMITTER_L_H.check(each_hour.get())?;
    let e = EFFICIENCY.check(efficiency.get())?;
    Ok(Minutes::new(60.0 * water / (n * q * e)))
}

/// A hedge set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HedgeRow {
    /// Plants in all.
    pub plants: u32,
    /// Plants in the first row.
    pub first_row: u32,
    /// Distance between neighbours in a row, stretched to fill the length.
    pub spacing: Metres,
    /// From the hedge's end to the first plant.
    pub from_end: Metres,
    /// Between the rows; nothing for one row.
    pub between_rows: Metres,
}

/// Plants of a hedge along a line, in one row or in two staggered ones.
///
/// One row: the first and the last plant stand half a spacing from the ends, `n = round(L / s)`, at least one, and the spacing is
/// `L / n`. Two rows: the second stands in the gaps of the first, `n − 1` plants, `0.866 s` behind (equilateral triangles).
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `L` | length of the hedge | m | 0.3 ..= 2000 |
/// | `s` | spacing wanted | m | 0.1 ..= 15 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Half a spacing at the ends: common practice of hedge nurseries. Staggered rows at 0.866 of the spacing: sine of 60 degrees, as plant
/// spacing tables have it (12 in apart: rows 10.4 in).
///
/// # Examples
/// Ten plants at 2½ ft fill 25 ft of hedge (a nursery's answer to a boxwood hedge).
/// ```
/// use reckon::planting::hedge_row;
/// use reckon::units::{Metres, factor::M_PER_FOOT};
/// let row = hedge_row(Metres::new(25.0 * M_PER_FOOT), Metres::new(2.5 * M_PER_FOOT), 1)?;
/// assert_eq!(row.plants, 10);
/// let two = hedge_row(Metres::new(25.0 * M_PER_FOOT), Metres::new(0.3048), 2)?;
/// assert!((two.between_rows.get() / 0.0254 - 10.39).abs() < 0.01);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn hedge_row(length: Metres, spacing: Metres, rows: u32) -> Result<HedgeRow, ReckonError> {
    let length = HEDGE_LENGTH.check(length.get())?;
    let wanted = SPACING.check(spacing.get())?;
    ROWS.check(f64::from(rows))?;
    let n = (length / wanted).round().max(1.0);
    let spacing = length / n;
    let first = n as u32;
    let two = rows == 2;
    Ok(HedgeRow {
        plants: if two { 2 * first - 1 } else { first },
        first_row: first,
        spacing: Metres::new(spacing),
        from_end: Metres::new(spacing / 2.0),
        between_rows: Metres::new(if two { spacing * 3.0_f64.sqrt() / 2.0 } else { 0.0 }),
    })
}

/// Spacing of a hedge from the width of a grown plant: half of it for a closed wall, two thirds at most.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Common practice of nurseries: narrow arborvitae of 3–4 ft width stand 2–3 ft apart.
pub fn hedge_spacing(mature_width: Metres) -> Result<(Metres, Metres), ReckonError> {
    let width = MATURE_WIDTH.check(mature_width.get())?;
    Ok((Metres::new(width / 2.0), Metres::new(width * 2.0 / 3.0)))
}

/// Years until a replacement is as tall as its neighbours; `None` where it never is.
///
/// `t = lag + max(0, (H + lag g_n − h) / (g − g_n))`: while it roots (`lag`) it hardly grows and they go on.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `H`, `h` | height of the neighbours, of the new plant | m | 0.05 ..= 40 |
/// | `g`, `g_n` | growth of the new plant, of the neighbours; 0 where they are cut back to their height | m/a | 0 ..= 3 |
/// | `lag` | years until it grows at its own pace | a | 0 ..= 15 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Definition. Growth slows after planting until the roots are established (University of Florida IFAS, ENH857, E. F. Gilman).
pub fn years_to_catch_up(
    neighbours: Metres,
    new: Metres,
    growth: Metres,
    growth_of_neighbours: Metres,
    lag_years: f64,
) -> Result<Option<f64>, ReckonError> {
    let (tall, short) = (HEIGHT.check(neighbours.get())?, HEIGHT.check(new.get())?);
    let (g, gn) = (GROWTH.check(growth.get())?, GROWTH.check(growth_of_neighbours.get())?);
    let lag = LAG.check(lag_years)?;
    if short >= tall {
        return Ok(Some(0.0));
    }
    let missing = tall + lag * gn - short;
    Ok((g > gn).then(|| lag + missing / (g - gn)))
}

/// A hole to plant in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Least width.
    pub width_low: Millimetres,
    /// Best width.
    pub width_high: Millimetres,
    /// Depth: never more than the ball's.
    pub depth: Millimetres,
    /// How far the ball stands over the ground.
    pub above_ground: Millimetres,
}

/// Hole for a root ball: two to three times its width, and so deep that the root flare ends an inch over the ground; in clay a third of
/// the ball stands over it.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// University of Minnesota Extension (three times the ball's width, no deeper than the ball), as printed by the City of Saint Paul; flare an
/// inch high and a third over clay: City of New Hope forestry and common practice.
pub fn planting_hole(ball: Millimetres, ball_depth: Millimetres, clay: bool) -> Result<Hole, ReckonError> {
    let width = BALL.check(ball.get())?;
    let deep = BALL_DEPTH.check(ball_depth.get())?;
    let above = if clay { deep / 3.0 } else { factor::MM_PER_INCH.min(deep / 3.0) };
    Ok(Hole {
        width_low: Millimetres::new(2.0 * width),
        width_high: Millimetres::new(3.0 * width),
        depth: Millimetres::new(deep - above),
        above_ground: Millimetres::new(above),
    })
}

/// Ground under a ring of mulch that leaves the stem free: `π (D²/4 − c²)`.
///
/// # Errors
/// [`ReckonError`] naming the field.
///
/// # Source
/// Definition.
pub fn mulch_ring(ring: Metres, clear: Metres) -> Result<SquareMetres, ReckonError> {
    let outer = RING.check(ring.get())? / 2.0;
    let inner = CLEAR.check(clear.get())?;
    if inner >= outer {
        return Err(ReckonError::Inconsistent {
            field: CLEAR.field,
            message: format!("{inner} m free from the stem leave nothing of a ring of {} m", 2.0 * outer),
        });
    }
    Ok(SquareMetres::new(PI * (outer * outer - inner * inner)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// University of Minnesota Extension, "Watering newly planted trees and shrubs": the whole table, years and gallons by calliper.
    #[test]
    fn minnesota_table() {
        let rows = [
            (1.0, 1.5, 1.0, 1.5),
            (2.0, 3.0, 2.0, 3.0),
            (3.0, 4.5, 3.0, 4.5),
            (4.0, 6.0, 4.0, 6.0),
            (5.0, 7.5, 5.0, 7.5),
            (6.0, 9.0, 6.0, 9.0),
        ];
        for (inches, years, low, high) in rows {
            let d = Millimetres::new(inches * 25.4);
            let gal =
                |share| tree_watering(d, Fraction::new(share)).map_or(f64::NAN, |l| l.get() / factor::L_PER_GALLON);
            assert!((establishment_years(d, Winters::Cold).unwrap_or(f64::NAN) - years).abs() < 1e-9);
            assert!((gal(0.0) - low).abs() < 1e-9 && (gal(1.0) - high).abs() < 1e-9, "{inches}");
        }
        // 3 to 4 months an inch in Florida: a 2.5 in live oak about a year by the same university's trials (2.5 in: 7.5 to 10 months by rule).
        let florida = establishment_years(Millimetres::new(63.5), Winters::Mild).unwrap_or(f64::NAN) * 12.0;
        assert!((7.5..=10.0).contains(&florida));
    }

    /// The same page: daily for weeks 1 and 2, every 2 to 3 days for weeks 3 to 12, then weekly; a shrub a fourth to a third of its pot.
    #[test]
    fn minnesota_calendar() {
        assert_eq!(
            [0, 13, 14, 83, 84, 700].map(days_between_waterings),
            [(1, 1), (1, 1), (2, 3), (2, 3), (7, 7), (7, 7)]
        );
        let pot = Litres::new(3.0 * factor::L_PER_GALLON);
        let gal =
            |share| shrub_watering(pot, Fraction::new(share)).map_or(f64::NAN, |l| l.get() / factor::L_PER_GALLON);
        assert!((gal(0.0) - 0.75).abs() < 1e-9 && (gal(1.0) - 1.0).abs() < 1e-9);
    }

    /// Narrow arborvitae, 4 ft wide when grown: 2 ft, at most 2 ft 8 in (nurseries print 2–3 ft). By hand: neighbours of 8 ft kept at that
    /// height, a plant of 5 ft that grows a foot a year after a year of rooting: four years; one that grows no faster than they do: never.
    #[test]
    fn a_gap_in_a_hedge() {
        let ft = |x: f64| Metres::new(x * factor::M_PER_FOOT);
        let (close, wide) = hedge_spacing(ft(4.0)).unwrap_or((ft(0.0), ft(0.0)));
        assert!((close.get() - ft(2.0).get()).abs() < 1e-12 && wide.get() < ft(3.0).get());
        let years = years_to_catch_up(ft(8.0), ft(5.0), ft(1.0), ft(0.0), 1.0);
        assert!(matches!(years, Ok(Some(y)) if (y - 4.0).abs() < 1e-9), "{years:?}");
        assert_eq!(years_to_catch_up(ft(8.0), ft(5.0), ft(1.0), ft(1.0), 1.0), Ok(None));
        assert_eq!(years_to_catch_up(ft(6.0), ft(6.5), ft(1.0), ft(0.0), 1.0), Ok(Some(0.0)));
    }

    /// A 12 in ball 10 in deep: a hole of 24 to 36 in, 9 in deep; in clay a third stands out (by hand). A 3 ft ring, 3 in free from the
    /// stem, is 6.87 sq ft (π (1.5² − 0.25²)), three inches of mulch on it 1.72 cu ft.
    #[test]
    fn hole_and_ring() {
        let mm = |inches: f64| Millimetres::new(inches * 25.4);
        let hole = planting_hole(mm(12.0), mm(10.0), false);
        assert!(hole.is_ok_and(|h| (h.width_low.get() - 609.6).abs() < 1e-9
            && (h.width_high.get() - 914.4).abs() < 1e-9
            && (h.depth.get() - 228.6).abs() < 1e-9));
        let clay = planting_hole(mm(12.0), mm(12.0), true);
        assert!(clay.is_ok_and(|h| (h.above_ground.get() - 101.6).abs() < 1e-9));
        let ring = mulch_ring(Metres::new(3.0 * factor::M_PER_FOOT), Metres::new(0.25 * factor::M_PER_FOOT));
        assert!(ring.is_ok_and(|a| (a.get() / factor::M2_PER_FT2 - 6.872).abs() < 0.001));
        assert!(mulch_ring(Metres::new(0.5), Metres::new(0.3)).is_err_and(|e| e.field() == "clear_m"));
    }

    proptest! {
        #![proptest_config(crate::cases(50_000))]

        /// The plants fill the line from half a spacing to half a spacing, never more than a half off the spacing asked for.
        #[test]
        fn a_row_fills_its_line(length in 0.3..200.0f64, spacing in 0.1..5.0f64) {
            let row = hedge_row(Metres::new(length), Metres::new(spacing), 1).unwrap();
            let end = row.from_end.get() * 2.0 + f64::from(row.first_row - 1) * row.spacing.get();
            prop_assert!((end - length).abs() < 1e-9 * length.max(1.0));
            prop_assert!(row.first_row == 1 || (row.spacing.get() / spacing - 1.0).abs() < 0.51);
        }

        /// A taller plant is never later.
        #[test]
        fn taller_is_never_later(h in 0.3..5.0f64, more in 0.0..2.0f64, g in 0.05..1.0f64, lag in 0.0..3.0f64) {
            let t = |h: f64| years_to_catch_up(Metres::new(4.0), Metres::new(h), Metres::new(g), Metres::new(0.0), lag);
            let (a, b) = (t(h).unwrap().unwrap(), t(h + more).unwrap().unwrap());
            prop_assert!(b <= a + 1e-9);
        }
    }
}
