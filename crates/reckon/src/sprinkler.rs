//! How fast sprinklers apply water.

use crate::error::{Bound, ReckonError};
use crate::units::{Degrees, LitresPerMinute, Metres, MillimetresPerHour, SquareMetres};

/// Flow of one head or of a whole zone.
pub const FLOW_LPM: Bound = Bound::new("flow_lpm", 0.0, 10_000.0, "L/min", "flow of the heads");
/// Ground that the flow waters.
pub const AREA_M2: Bound = Bound::new("area_m2", 0.01, 1_000_000.0, "m²", "area watered by the flow");
/// Distance of heads in a row.
pub const SPACING_M: Bound = Bound::new("spacing_m", 0.05, 100.0, "m", "distance between heads in a row");
/// Distance of rows.
pub const ROW_SPACING_M: Bound = Bound::new("row_spacing_m", 0.05, 100.0, "m", "distance between rows");
/// Arc of a part-circle head.
pub const ARC_DEG: Bound = Bound::new("arc_deg", 1.0, 360.0, "°", "arc the head waters");

/// The ground on which the flow falls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ground {
    /// An area; the flow is the sum of all heads on it, each with its own arc's flow.
    Area(SquareMetres),
    /// The share of one head in an even layout; the flow is one full-circle head's (see [`full_circle_flow`]).
    Spacing {
        /// Distance between heads in a row.
        heads: Metres,
        /// Distance between rows, measured square to them. A triangular layout given by its side alone has rows
        /// 0.866 sides apart; a row distance that was measured takes no such factor.
        rows: Metres,
    },
}

/// Mean application rate of sprinklers.
///
/// `PR = 60 Q / A`, with `A = S L` for an even layout (square or triangular).
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Q` | flow: all heads on the area, or one full-circle head of the layout | L/min | 0 ..= 10,000 |
/// | `A` | area | m² | 0.01 ..= 1,000,000 |
/// | `S` | distance of heads in a row | m | 0.05 ..= 100 |
/// | `L` | distance of rows | m | 0.05 ..= 100 |
///
/// Left out: water blown or thrown beyond the area, and evaporation on the way; a catch-can audit sees both.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition: one litre on one square metre is one millimetre. In the trade's units the same is
/// `in/h = 96.25 gal/min / ft²`, 96.25 = 231/144 × 60.
///
/// # Examples
/// 60 by 15 feet under six half heads of 1.0 and four quarter heads of 0.5 gal/min gets 0.856 in/h (teaching slides,
/// *Sprinkler precipitation rates*, printed .86).
/// ```
/// use reckon::sprinkler::{Ground, sprinkler_rate};
/// use reckon::units::{LitresPerMinute, SquareMetres, factor};
///
/// let flow = LitresPerMinute::new(8.0 * factor::L_PER_GALLON);
/// let ground = Ground::Area(SquareMetres::new(900.0 * factor::M2_PER_FT2));
/// let rate = sprinkler_rate(flow, ground)?;
/// assert!((rate.get() / factor::MM_PER_INCH - 0.856).abs() < 0.0005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn sprinkler_rate(flow: LitresPerMinute, ground: Ground) -> Result<MillimetresPerHour, ReckonError> {
    let flow = FLOW_LPM.check(flow.get())?;
    let area = match ground {
        Ground::Area(area) => AREA_M2.check(area.get())?,
        Ground::Spacing { heads, rows } => SPACING_M.check(heads.get())? * ROW_SPACING_M.check(rows.get())?,
    };
    Ok(MillimetresPerHour::new(60.0 * flow / area))
}

/// Flow a part-circle head would have if its nozzle's rate filled the whole circle.
///
/// `Q_full = Q × 360 / arc`. Heads of one radius whose full-circle flows agree have matched rates.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `Q` | flow of the head | L/min | 0 ..= 10,000 |
/// | `arc` | arc it waters | ° | 1 ..= 360 |
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition.
///
/// # Examples
/// ```
/// use reckon::sprinkler::full_circle_flow;
/// use reckon::units::{Degrees, LitresPerMinute};
///
/// assert_eq!(full_circle_flow(LitresPerMinute::new(2.0), Degrees::new(90.0))?.get(), 8.0);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn full_circle_flow(flow: LitresPerMinute, arc: Degrees) -> Result<LitresPerMinute, ReckonError> {
    let flow = FLOW_LPM.check(flow.get())?;
    let arc = ARC_DEG.check(arc.get())?;
    Ok(LitresPerMinute::new(flow * 360.0 / arc))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    const FT: f64 = factor::M_PER_FOOT;

    fn inches_per_hour(gpm: f64, ground: Ground) -> f64 {
        let flow = LitresPerMinute::new(gpm * factor::L_PER_GALLON);
        sprinkler_rate(flow, ground).unwrap().get() / factor::MM_PER_INCH
    }

    /// Published rates in the trade's units; the tolerance is half the last printed digit.
    #[test]
    fn published_examples() {
        let area = |ft2: f64| Ground::Area(SquareMetres::new(ft2 * factor::M2_PER_FT2));
        let spacing = |s: f64, l: f64| Ground::Spacing { heads: Metres::new(s * FT), rows: Metres::new(l * FT) };
        let rows = [
            (8.0, area(900.0), 0.86, 0.005, "slides, Sprinkler precipitation rates: area example"),
            // Printed 0.136 with the rounded 96.3; a circle of 30 ft is 2827 ft².
            (4.0, area(2827.0), 0.136, 0.000_5, "notes, The basics of matched precipitation: full circle"),
            (4.0, area(2827.0 / 2.0), 0.273, 0.001, "same notes: full flow in a half circle"),
            (4.0, area(2827.0 / 4.0), 0.545, 0.001, "same notes: full flow in a quarter circle"),
            (6.0, spacing(30.0, 25.0), 0.770, 0.000_5, "6 × 96.3 / 750, triangle with measured rows"),
        ];
        for (gpm, ground, printed, tolerance, source) in rows {
            let got = inches_per_hour(gpm, ground);
            assert!((got - printed).abs() <= tolerance, "{source}: {got} for {printed}");
        }
    }

    /// Full, half and quarter heads of one radius with 4, 2 and 1 gal/min are matched: one full-circle flow.
    #[test]
    fn matched_heads_share_a_full_circle_flow() {
        for (flow, arc) in [(4.0, 360.0), (2.0, 180.0), (1.0, 90.0)] {
            let full = full_circle_flow(LitresPerMinute::new(flow), Degrees::new(arc)).unwrap();
            assert!((full.get() - 4.0).abs() < 1e-12);
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let one = LitresPerMinute::new(1.0);
        let zero = Metres::new(0.0);
        let field = |flow, ground| sprinkler_rate(flow, ground).unwrap_err().field();
        assert_eq!(field(one, Ground::Area(SquareMetres::new(0.0))), "area_m2");
        assert_eq!(field(LitresPerMinute::new(f64::NAN), Ground::Area(SquareMetres::new(1.0))), "flow_lpm");
        assert_eq!(field(one, Ground::Spacing { heads: zero, rows: Metres::new(1.0) }), "spacing_m");
        assert_eq!(field(one, Ground::Spacing { heads: Metres::new(1.0), rows: zero }), "row_spacing_m");
        assert_eq!(full_circle_flow(one, Degrees::new(0.0)).unwrap_err().field(), "arc_deg");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or a finite rate, and the rate puts the flow back on the area.
        #[test]
        fn flow_is_conserved(
            flow in prop_oneof![0.0..500.0, any::<f64>()], area in prop_oneof![0.01..5000.0, any::<f64>()],
        ) {
            let ground = Ground::Area(SquareMetres::new(area));
            if let Ok(rate) = sprinkler_rate(LitresPerMinute::new(flow), ground) {
                prop_assert!((rate.get() * area / 60.0 - flow).abs() <= 1e-9 * flow.max(1.0));
            }
        }
    }
}
