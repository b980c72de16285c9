//! How much of a photo of turf is green, and how dark a green: a measure of colour only.

use crate::colour::colour_index_karcher_richardson_2003;
use crate::error::ReckonError;

/// Hues that count as green (°): from 57, the lower end of the first method, to 140, the upper end of later ones.
const GREEN_HUE_DEG: std::ops::RangeInclusive<f64> = 57.0..=140.0;
/// Least saturation of a green: below it a pixel is grey, whatever its hue.
const GREEN_SATURATION_MIN: f64 = 0.10;
/// Least brightness of a green: in deep shadow a camera's hue is noise.
const GREEN_BRIGHTNESS_MIN: f64 = 0.08;

/// Greenness of a photo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GreenCover {
    /// Share of pixels that are green, 0..=1.
    pub share: f64,
    /// Mean dark green colour index of the green ones; `None` where there is none.
    pub dgci: Option<f64>,
}

/// Share of green pixels, and the mean dark green colour index of those.
///
/// A pixel is green when its hue lies between 57° and 140°, its saturation is at least 10 % and its brightness at least 8 %.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | pixels | sRGB | – | 0 ..= 255 each, at least one pixel |
///
/// Left out: what is green but no grass, shade, the camera's own balance of colours, perspective. Compare photos taken from
/// straight above in the same light. It says nothing of the cause.
///
/// # Errors
/// [`ReckonError::Inconsistent`] naming `pixels` when there is none.
///
/// # Source
/// M. D. Richardson, D. E. Karcher and L. C. Purcell, *Quantifying turfgrass cover using digital image analysis*, Crop
/// Science 41, 2001, pp. 1884–1888: hue from 57 to 107 (recalled). Later work of the same authors takes hues to 140 and
/// saturations from 10 % (recalled). The index: [`colour_index_karcher_richardson_2003`].
///
/// # Examples
/// Half grass, half straw.
/// ```
/// use reckon::green_cover::green_cover;
///
/// let cover = green_cover([[70, 110, 45], [205, 180, 120]])?;
/// assert_eq!(cover.share, 0.5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn green_cover(pixels: impl IntoIterator<Item = [u8; 3]>) -> Result<GreenCover, ReckonError> {
    let (mut all, mut green, mut dark) = (0u64, 0u64, 0.0);
    for pixel in pixels {
        all += 1;
        let colour = colour_index_karcher_richardson_2003(pixel.map(f64::from))?;
        if GREEN_HUE_DEG.contains(&colour.hue.get())
            && colour.saturation >= GREEN_SATURATION_MIN
            && colour.brightness >= GREEN_BRIGHTNESS_MIN
        {
            green += 1;
            dark += colour.dgci;
        }
    }
    if all == 0 {
        return Err(ReckonError::Inconsistent { field: "pixels", message: "the photo has no pixel".to_owned() });
    }
    let dgci = (green > 0).then(|| dark / green as f64);
    Ok(GreenCover { share: green as f64 / all as f64, dgci })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Colours of the Munsell chart for plant tissues stand on the side their names say: 5GY 5/6 (a leaf's green) and
    /// 7.5GY 4/4 are green; 2.5G 4/4, bluer than a leaf of turf, 2.5Y 8/4 (straw), 10YR 5/4 and 7.5YR 4/4 (soil) are not. Their sRGB is that of the Munsell
    /// renotation under illuminant C, rounded (recalled).
    #[test]
    fn leaves_are_green_and_straw_is_not() {
        for green in [[113, 128, 59], [80, 104, 70]] {
            assert_eq!(green_cover([green]).unwrap().share, 1.0, "{green:?}");
        }
        for other in
            [[65, 103, 79], [219, 201, 151], [145, 118, 83], [121, 91, 64], [128, 128, 128], [2, 4, 1], [90, 140, 220]]
        {
            assert_eq!(green_cover([other]).unwrap().share, 0.0, "{other:?}");
        }
    }

    /// The mean index is that of the green pixels alone: yellow at the edge of green is near 0, pure green at half
    /// brightness 0.5 (by the definition of 2003).
    #[test]
    fn the_index_is_of_the_green_alone() {
        let cover = green_cover([[0, 128, 0], [200, 180, 120], [10, 10, 10]]).unwrap();
        assert!((cover.dgci.unwrap() - 0.5).abs() < 0.001 && (cover.share - 1.0 / 3.0).abs() < 1e-12);
        assert_eq!(green_cover([[255, 0, 0]]).unwrap().dgci, None);
        assert_eq!(green_cover([]).unwrap_err().field(), "pixels");
    }
}
