//! Colour of turf: how dark a green, and how far two colours lie apart.

use crate::error::{Bound, ReckonError};
use crate::units::Degrees;

/// Red of a colour in sRGB.
pub const RED: Bound = Bound::new("r", 0.0, 255.0, "", "red in sRGB, may be a mean over many pixels");
/// Green of a colour in sRGB.
pub const GREEN: Bound = Bound::new("g", 0.0, 255.0, "", "green in sRGB");
/// Blue of a colour in sRGB.
pub const BLUE: Bound = Bound::new("b", 0.0, 255.0, "", "blue in sRGB");
/// Lightness of a colour in CIELAB.
pub const LIGHTNESS: Bound = Bound::new("L", 0.0, 100.0, "", "lightness L* of CIELAB");
/// The other two axes of CIELAB.
pub const OPPONENT: Bound = Bound::new("a, b", -200.0, 200.0, "", "green to red (a*) or blue to yellow (b*) of CIELAB");

/// A colour as hue, saturation and brightness, and its index.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColourIndex {
    /// Hue: 60 yellow, 120 green, 180 cyan; 0 for a grey, which has none.
    pub hue: Degrees,
    /// Saturation, 0..=1; 0 for black.
    pub saturation: f64,
    /// Brightness, 0..=1.
    pub brightness: f64,
    /// Dark green colour index.
    pub dgci: f64,
}

/// Dark green colour index of a colour.
///
/// `DGCI = ((H - 60) / 60 + (1 - S) + (1 - B)) / 3`, with `B = max / 255`, `S = (max - min) / max` and the hue `H` on the
/// six-sided colour wheel.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `r`, `g`, `b` | the colour in sRGB | – | 0 ..= 255 |
/// | `H` | hue | ° | 0 ..< 360; the index is meant for 60 (yellow) to 120 (green) |
/// | `S` | saturation | – | 0 ..= 1 |
/// | `B` | brightness | – | 0 ..= 1 |
///
/// From 0 (yellow) to 1 (dark green) for hues from 60 to 120; other hues lead outside and are given as they come.
///
/// Left out: light and camera, which shift the index; compare pictures taken alike, or with a card of known colour.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field outside its range.
///
/// # Source
/// D. E. Karcher and M. D. Richardson, *Quantifying turfgrass color using digital image analysis*, Crop Science 43, 2003,
/// pp. 943–951. Hue, saturation and brightness: A. R. Smith, *Color gamut transform pairs*, SIGGRAPH 1978.
///
/// # Examples
/// Yellow is 0 by definition; pure green at half brightness is half way.
/// ```
/// use reckon::colour::colour_index_karcher_richardson_2003;
///
/// assert_eq!(colour_index_karcher_richardson_2003([255.0, 255.0, 0.0])?.dgci, 0.0);
/// assert_eq!(colour_index_karcher_richardson_2003([0.0, 127.5, 0.0])?.dgci, 0.5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn colour_index_karcher_richardson_2003(srgb: [f64; 3]) -> Result<ColourIndex, ReckonError> {
    let [r, g, b] = [RED.check(srgb[0])?, GREEN.check(srgb[1])?, BLUE.check(srgb[2])?];
    let high = r.max(g).max(b);
    let spread = high - r.min(g).min(b);
    let sixths = if spread == 0.0 {
        0.0
    } else if high == r {
        (g - b) / spread
    } else if high == g {
        (b - r) / spread + 2.0
    } else {
        (r - g) / spread + 4.0
    };
    let hue = 60.0 * if sixths < 0.0 { sixths + 6.0 } else { sixths };
    let saturation = if high == 0.0 { 0.0 } else { spread / high };
    let brightness = high / 255.0;
    let dgci = ((hue - 60.0) / 60.0 + (1.0 - saturation) + (1.0 - brightness)) / 3.0;
    Ok(ColourIndex { hue: Degrees::new(hue), saturation, brightness, dgci })
}

/// Difference of two colours as the eye sees it, by CIEDE2000.
///
/// `ΔE = √((ΔL'/S_L)² + (ΔC'/S_C)² + (ΔH'/S_H)² + R_T (ΔC'/S_C)(ΔH'/S_H))`, all three weights 1.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `L` | lightness of each colour in CIELAB | – | 0 ..= 100 |
/// | `a`, `b` | green to red, blue to yellow | – | -200 ..= 200 |
///
/// About 1 is the least an eye tells apart side by side. Above 5 or so the figure only orders differences.
///
/// Left out: texture, gloss, and sizes far from the viewing field the formula was fitted to.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `lab_a` or `lab_b` and the place in it that lies outside its range.
///
/// # Source
/// CIE 142-2001; G. Sharma, W. Wu and E. N. Dalal, *The CIEDE2000 color-difference formula: implementation notes,
/// supplementary test data, and mathematical observations*, Color Research and Application 30, 2005, eq. 2 to 22.
///
/// # Examples
/// Table 1 of the source, pair 1: 2.0425.
/// ```
/// use reckon::colour::colour_difference_ciede2000;
///
/// let difference = colour_difference_ciede2000([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485])?;
/// assert!((difference - 2.0425).abs() < 0.00005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn colour_difference_ciede2000(lab_a: [f64; 3], lab_b: [f64; 3]) -> Result<f64, ReckonError> {
    let [l1, a1, b1] = check_lab("lab_a", lab_a)?;
    let [l2, a2, b2] = check_lab("lab_b", lab_b)?;
    // √(C⁷ / (C⁷ + 25⁷)), written so that it keeps its digits.
    let saturating = |chroma: f64| (1.0 / (1.0 + (25.0 / chroma).powi(7))).sqrt();

    let g = 0.5 * (1.0 - saturating((a1.hypot(b1) + a2.hypot(b2)) / 2.0));
    let (a1, a2) = (a1 * (1.0 + g), a2 * (1.0 + g));
    let (c1, c2) = (a1.hypot(b1), a2.hypot(b2));
    let hue = |a: f64, b: f64| b.atan2(a).to_degrees().rem_euclid(360.0);
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));
    let grey = c1 == 0.0 || c2 == 0.0;

    let apart = h2 - h1;
    let dh = match apart {
        _ if grey => 0.0,
        d if d > 180.0 => d - 360.0,
        d if d < -180.0 => d + 360.0,
        d => d,
    };
    let dl = l2 - l1;
    let dc = c2 - c1;
    let dh_chord = 2.0 * (c1 * c2).sqrt() * (dh / 2.0).to_radians().sin();

    let l = (l1 + l2) / 2.0;
    let c = (c1 + c2) / 2.0;
    let h = match h1 + h2 {
        sum if grey => sum,
        sum if apart.abs() <= 180.0 => sum / 2.0,
        sum if sum < 360.0 => (sum + 360.0) / 2.0,
        sum => (sum - 360.0) / 2.0,
    };
    let cosine = |degrees: f64| degrees.to_radians().cos();
    let t = 1.0 - 0.17 * cosine(h - 30.0) + 0.24 * cosine(2.0 * h) + 0.32 * cosine(3.0 * h + 6.0)
        - 0.20 * cosine(4.0 * h - 63.0);
    let off_middle = (l - 50.0).powi(2);
    let sl = 1.0 + 0.015 * off_middle / (20.0 + off_middle).sqrt();
    let sc = 1.0 + 0.045 * c;
    let sh = 1.0 + 0.015 * c * t;
    let turn = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
    let rt = -2.0 * saturating(c) * (2.0 * turn).to_radians().sin();

    let (l, c, h) = (dl / sl, dc / sc, dh_chord / sh);
    Ok((l * l + c * c + h * h + rt * c * h).max(0.0).sqrt())
}

fn check_lab(field: &'static str, lab: [f64; 3]) -> Result<[f64; 3], ReckonError> {
    for (i, (value, bound)) in lab.into_iter().zip([&LIGHTNESS, &OPPONENT, &OPPONENT]).enumerate() {
        bound.check(value).map_err(|_| {
            let message = format!("{field}[{i}] is {value}; it must be between {} and {}", bound.min, bound.max);
            ReckonError::Inconsistent { field, message }
        })?;
    }
    Ok(lab)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Sharma, Wu and Dalal 2005, Table 1, all 34 pairs; read in four independent open test suites that reprint it and agree.
    /// The tolerance is half the last printed digit.
    #[test]
    fn published_pairs() {
        let rows = [
            ([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485], 2.0425),
            ([50.0, 3.1571, -77.2803], [50.0, 0.0, -82.7485], 2.8615),
            ([50.0, 2.8361, -74.0200], [50.0, 0.0, -82.7485], 3.4412),
            ([50.0, -1.3802, -84.2814], [50.0, 0.0, -82.7485], 1.0000),
            ([50.0, -1.1848, -84.8006], [50.0, 0.0, -82.7485], 1.0000),
            ([50.0, -0.9009, -85.5211], [50.0, 0.0, -82.7485], 1.0000),
            ([50.0, 0.0, 0.0], [50.0, -1.0, 2.0], 2.3669),
            ([50.0, -1.0, 2.0], [50.0, 0.0, 0.0], 2.3669),
            ([50.0, 2.4900, -0.0010], [50.0, -2.4900, 0.0009], 7.1792),
            ([50.0, 2.4900, -0.0010], [50.0, -2.4900, 0.0010], 7.1792),
            ([50.0, 2.4900, -0.0010], [50.0, -2.4900, 0.0011], 7.2195),
            ([50.0, 2.4900, -0.0010], [50.0, -2.4900, 0.0012], 7.2195),
            ([50.0, -0.0010, 2.4900], [50.0, 0.0009, -2.4900], 4.8045),
            ([50.0, -0.0010, 2.4900], [50.0, 0.0010, -2.4900], 4.8045),
            ([50.0, -0.0010, 2.4900], [50.0, 0.0011, -2.4900], 4.7461),
            ([50.0, 2.5, 0.0], [50.0, 0.0, -2.5], 4.3065),
            ([50.0, 2.5, 0.0], [73.0, 25.0, -18.0], 27.1492),
            ([50.0, 2.5, 0.0], [61.0, -5.0, 29.0], 22.8977),
            ([50.0, 2.5, 0.0], [56.0, -27.0, -3.0], 31.9030),
            ([50.0, 2.5, 0.0], [58.0, 24.0, 15.0], 19.4535),
            ([50.0, 2.5, 0.0], [50.0, 3.1736, 0.5854], 1.0000),
            ([50.0, 2.5, 0.0], [50.0, 3.2972, 0.0], 1.0000),
            ([50.0, 2.5, 0.0], [50.0, 1.8634, 0.5757], 1.0000),
            ([50.0, 2.5, 0.0], [50.0, 3.2592, 0.3350], 1.0000),
            ([60.2574, -34.0099, 36.2677], [60.4626, -34.1751, 39.4387], 1.2644),
            ([63.0109, -31.0961, -5.8663], [62.8187, -29.7946, -4.0864], 1.2630),
            ([61.2901, 3.7196, -5.3901], [61.4292, 2.2480, -4.9620], 1.8731),
            ([35.0831, -44.1164, 3.7933], [35.0232, -40.0716, 1.5901], 1.8645),
            ([22.7233, 20.0904, -46.6940], [23.0331, 14.9730, -42.5619], 2.0373),
            ([36.4612, 47.8580, 18.3852], [36.2715, 50.5065, 21.2231], 1.4146),
            ([90.8027, -2.0831, 1.4410], [91.1528, -1.6435, 0.0447], 1.4441),
            ([90.9257, -0.5406, -0.9208], [88.6381, -0.8985, -0.7239], 1.5381),
            ([6.7747, -0.2908, -2.4247], [5.8714, -0.0985, -2.2286], 0.6377),
            ([2.0776, 0.0795, -1.1350], [0.9033, -0.0636, -0.5514], 0.9082),
        ];
        assert_eq!(rows.len(), 34);
        for (i, (a, b, printed)) in rows.into_iter().enumerate() {
            for (a, b) in [(a, b), (b, a)] {
                let got = colour_difference_ciede2000(a, b).unwrap();
                assert!((got - printed).abs() <= 0.00005, "pair {}: {got} for {printed}", i + 1);
            }
        }
    }

    /// The index at its definition's ends and at colours worked by hand.
    #[test]
    fn index_worked_by_hand() {
        let rows = [
            ([255.0, 255.0, 0.0], 60.0, 1.0, 1.0, 0.0),
            ([0.0, 255.0, 0.0], 120.0, 1.0, 1.0, 1.0 / 3.0),
            // max 127, spread 127 - 45: H = 60 (2 + (45 - 81)/82), S = 82/127, B = 127/255.
            ([81.0, 127.0, 45.0], 60.0 * (2.0 - 36.0 / 82.0), 82.0 / 127.0, 127.0 / 255.0, 0.472_422),
            ([128.0, 128.0, 128.0], 0.0, 0.0, 128.0 / 255.0, (-1.0 + 1.0 + 127.0 / 255.0) / 3.0),
            ([0.0, 0.0, 0.0], 0.0, 0.0, 0.0, 1.0 / 3.0),
            ([255.0, 0.0, 51.0], 348.0, 1.0, 1.0, 4.8 / 3.0),
            ([0.0, 0.0, 255.0], 240.0, 1.0, 1.0, 1.0),
        ];
        for (srgb, hue, saturation, brightness, dgci) in rows {
            let found = colour_index_karcher_richardson_2003(srgb).unwrap();
            assert!((found.hue.get() - hue).abs() < 1e-9, "{srgb:?}: {found:?}");
            assert!((found.saturation - saturation).abs() < 1e-12, "{srgb:?}: {found:?}");
            assert!((found.brightness - brightness).abs() < 1e-12, "{srgb:?}: {found:?}");
            assert!((found.dgci - dgci).abs() < 5e-7, "{srgb:?}: {found:?}");
        }
    }

    #[test]
    fn refusals_name_the_field() {
        let field = |srgb| colour_index_karcher_richardson_2003(srgb).unwrap_err().field();
        assert_eq!(field([256.0, 0.0, 0.0]), "r");
        assert_eq!(field([0.0, -1.0, 0.0]), "g");
        assert_eq!(field([0.0, 0.0, f64::NAN]), "b");
        let fine = [50.0, 0.0, 0.0];
        let error = colour_difference_ciede2000([50.0, 0.0, 201.0], fine).unwrap_err();
        assert_eq!(error.to_string(), "lab_a: lab_a[2] is 201; it must be between -200 and 200");
        assert_eq!(colour_difference_ciede2000(fine, [101.0, 0.0, 0.0]).unwrap_err().field(), "lab_b");
    }

    fn any_lab() -> impl Strategy<Value = [f64; 3]> {
        let axis = || prop_oneof![-200.0..200.0, Just(0.0), -1e-3..1e-3];
        (0.0..100.0, axis(), axis()).prop_map(|(l, a, b)| [l, a, b])
    }

    proptest! {
        #![proptest_config(crate::cases(100_000))]

        /// The difference is the same both ways, nothing to itself, and never below nothing.
        #[test]
        fn difference_is_symmetric(a in any_lab(), b in any_lab()) {
            let there = colour_difference_ciede2000(a, b).unwrap();
            let back = colour_difference_ciede2000(b, a).unwrap();
            prop_assert!(there >= 0.0 && (there - back).abs() <= 1e-9 * (1.0 + there));
            prop_assert_eq!(colour_difference_ciede2000(a, a).unwrap(), 0.0);
        }

        /// The steps rebuild the colour: brightness and saturation give back the largest and smallest channel.
        #[test]
        fn index_keeps_the_colour(srgb in prop::array::uniform3(0.0..=255.0_f64)) {
            let found = colour_index_karcher_richardson_2003(srgb).unwrap();
            let (high, low) = (srgb.iter().fold(0.0, |m: f64, c| m.max(*c)), srgb.iter().fold(255.0, |m: f64, c| m.min(*c)));
            prop_assert!((0.0..360.0).contains(&found.hue.get()));
            prop_assert!((255.0 * found.brightness - high).abs() < 1e-9);
            prop_assert!((255.0 * found.brightness * (1.0 - found.saturation) - low).abs() < 1e-9);
        }

        /// Numbers of any size are answered or refused.
        #[test]
        fn any_number_is_safe(n in prop::array::uniform3(any::<f64>()), m in prop::array::uniform3(any::<f64>())) {
            if let Ok(found) = colour_index_karcher_richardson_2003(n) {
                prop_assert!(found.dgci.is_finite());
            }
            if let Ok(difference) = colour_difference_ciede2000(n, m) {
                prop_assert!(difference.is_finite());
            }
        }
    }
}
