//! What a sprayer lays down.

use crate::error::{Bound, ReckonError};
use crate::units::{LitresPer100SquareMetres, LitresPerMinute, Metres, MetresPerSecond};

/// Flow of one nozzle.
pub const NOZZLE_LPM: Bound = Bound::new("nozzle_lpm", 0.0, 100.0, "L/min", "flow of one nozzle, caught and measured");
/// Nozzles at work.
pub const NOZZLES: Bound = Bound::new("nozzles", 1.0, 200.0, "", "nozzles at work, all alike");
/// Speed over the ground.
pub const SPEED_M_S: Bound = Bound::new("speed_m_s", 0.05, 10.0, "m/s", "walking or driving speed");
/// Distance of nozzles.
pub const SPACING_M: Bound =
    Bound::new("spacing_m", 0.05, 20.0, "m", "distance between nozzles; the width sprayed when there is one");

/// What a sprayer lays down, with the steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Flow of all nozzles.
    pub flow: LitresPerMinute,
    /// Width sprayed in one pass.
    pub swath: Metres,
    /// Volume on the ground.
    pub rate: LitresPer100SquareMetres,
}

/// Volume a sprayer lays on the ground.
///
/// `Q = k q`; `W = k w`; `R = 100 Q / (60 v W) = Q / (0.6 v W)`. The number of nozzles falls out of the rate: each covers
/// its own strip.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `q` | flow of one nozzle | L/min | 0 ..= 100 |
/// | `k` | nozzles at work | – | 1 ..= 200 |
/// | `v` | speed over the ground | m/s | 0.05 ..= 10 |
/// | `w` | distance between nozzles, or the width one sprays | m | 0.05 ..= 20 |
/// | `R` | volume on the ground | L/100 m² | – |
///
/// Left out: overlap beyond the spacing, drift, uneven nozzles (catch each; replace those 10 % above new).
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// Definition: volume in a time over area in that time. In the trade's units the same is `GPA = 5940 GPM / (mph × in)`;
/// Albany County Weed and Pest, *Calibrating your sprayer*; South Dakota State University Extension, *Pesticide mixing and
/// sprayer calibration equations*.
///
/// # Examples
/// 3.75 gal/min over 222 in at 5 mph is 20 gal/acre (Albany County Weed and Pest, *Calibrating your sprayer*).
/// ```
/// use reckon::sprayer::sprayer_output;
/// use reckon::units::{LitresPerMinute, Metres, MetresPerSecond, factor};
///
/// let nozzle = LitresPerMinute::new(3.75 * factor::L_PER_GALLON);
/// let speed = MetresPerSecond::new(5.0 * factor::MS_PER_MPH);
/// let output = sprayer_output(nozzle, 1, speed, Metres::new(222.0 * factor::MM_PER_INCH / 1000.0))?;
/// let gallons_per_acre = output.rate.get() * factor::M2_PER_ACRE / 100.0 / factor::L_PER_GALLON;
/// assert!((gallons_per_acre - 20.0).abs() < 0.5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn sprayer_output(
    nozzle: LitresPerMinute,
    nozzles: u32,
    speed: MetresPerSecond,
    spacing: Metres,
) -> Result<Output, ReckonError> {
    let nozzle = NOZZLE_LPM.check(nozzle.get())?;
    let nozzles = NOZZLES.check(f64::from(nozzles))?;
    let speed = SPEED_M_S.check(speed.get())?;
    let spacing = SPACING_M.check(spacing.get())?;
    Ok(Output {
        flow: LitresPerMinute::new(nozzles * nozzle),
        swath: Metres::new(nozzles * spacing),
        rate: LitresPer100SquareMetres::new(nozzle / (0.6 * speed * spacing)),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::units::factor;

    fn rate(lpm: f64, nozzles: u32, speed: f64, spacing: f64) -> Result<f64, ReckonError> {
        sprayer_output(LitresPerMinute::new(lpm), nozzles, MetresPerSecond::new(speed), Metres::new(spacing))
            .map(|output| output.rate.get())
    }

    fn gallons_per_acre(gpm: f64, mph: f64, inches: f64) -> f64 {
        let rate = rate(gpm * factor::L_PER_GALLON, 1, mph * factor::MS_PER_MPH, inches * factor::MM_PER_INCH / 1000.0);
        rate.unwrap() * factor::M2_PER_ACRE / 100.0 / factor::L_PER_GALLON
    }

    /// Published rates in the trade's units; the tolerance is half the last printed digit, or what the source's own rounding
    /// of the plot allows.
    #[test]
    fn published_examples() {
        // 1/128 acre in one nozzle's strip: the fluid ounces caught in the time of the walk are the gallons on an acre.
        let caught = |oz: f64, seconds: f64| oz / 128.0 / seconds * 60.0;
        let mph = |feet: f64, seconds: f64| feet / seconds / 88.0 * 60.0;
        let rows = [
            (gallons_per_acre(3.75, 5.0, 222.0), 20.0, 0.5, "Albany County Weed and Pest, Calibrating your sprayer"),
            (
                gallons_per_acre(15.0 * 10.0 * 20.0 / 5940.0, 10.0, 20.0),
                15.0,
                0.005,
                "South Dakota State University Extension, the equation with its 5940: 15 gal/acre, 10 mph, 20 in",
            ),
            (
                gallons_per_acre(caught(20.0, 35.0), mph(204.0, 35.0), 20.0),
                20.0,
                0.05,
                "ounce method, 20 in and 204 ft in 35 s: 20 oz are 20 gal/acre",
            ),
            (
                gallons_per_acre(caught(40.0, 30.0), mph(18.5, 30.0), 18.5 * 12.0),
                40.0,
                0.3,
                "Larimer County, Single nozzle sprayer calibration: 18.5 × 18.5 ft, ounces are gallons (342.25 for 340.3 ft²)",
            ),
            (gallons_per_acre(0.20, 3.0, 20.0), 19.8, 0.05, "worked by hand: 5940 × 0.20 / 60"),
        ];
        for (got, printed, tolerance, source) in rows {
            assert!((got - printed).abs() <= tolerance, "{source}: {got} for {printed}");
        }
    }

    /// Metric: nozzles of 0.75 L/min at 9 km/h lay down 40 L/acre (Alberta Agriculture, Agdex 606-1, *Sprayer calibration –
    /// example*, nozzle 11002; spacing 0.5 m); 0.8 L/min at 1 m/s and 0.5 m are 267 L/ha (worked by hand).
    #[test]
    fn metric_examples() {
        let per_acre = rate(0.75, 1, 2.5, 0.5).unwrap() * factor::M2_PER_ACRE / 100.0;
        assert!((per_acre - 40.0).abs() <= 0.5, "{per_acre}");
        assert!((rate(0.8, 4, 1.0, 0.5).unwrap() - 2.6667).abs() < 0.00005);
    }

    #[test]
    fn refusals_name_the_field() {
        let field = |lpm, nozzles, speed, spacing| rate(lpm, nozzles, speed, spacing).unwrap_err().field();
        assert_eq!(field(-1.0, 1, 1.0, 1.0), "nozzle_lpm");
        assert_eq!(field(1.0, 0, 1.0, 1.0), "nozzles");
        assert_eq!(field(1.0, 1, 0.0, 1.0), "speed_m_s");
        assert_eq!(field(1.0, 1, 1.0, f64::INFINITY), "spacing_m");
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// Any input gives an error or a finite rate; the boom's flow over its ground is the nozzle's over its strip.
        #[test]
        fn any_input_is_safe(
            lpm in prop_oneof![0.0..5.0, any::<f64>()], nozzles in 0_u32..300,
            speed in prop_oneof![0.1..3.0, any::<f64>()], spacing in prop_oneof![0.1..2.0, any::<f64>()],
        ) {
            let output =
                sprayer_output(LitresPerMinute::new(lpm), nozzles, MetresPerSecond::new(speed), Metres::new(spacing));
            if let Ok(o) = output {
                let whole = o.flow.get() / (0.6 * speed * o.swath.get());
                prop_assert!(o.rate.get().is_finite() && (whole - o.rate.get()).abs() <= 1e-9 * whole);
            }
        }

        /// Double speed halves the rate; more flow never means less.
        #[test]
        fn speed_and_flow(lpm in 0.1..5.0, speed in 0.1..3.0, spacing in 0.1..2.0) {
            let one = rate(lpm, 1, speed, spacing).unwrap();
            prop_assert!((rate(lpm, 1, 2.0 * speed, spacing).unwrap() * 2.0 - one).abs() <= 1e-12 * one);
            prop_assert!(rate(lpm * 1.01, 1, speed, spacing).unwrap() > one);
        }
    }
}
