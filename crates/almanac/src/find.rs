//! Finding a row.

use crate::{
    Active, Almanac, ClimateStation, CropCoefficient, Grass, NitrogenSplit, Season, SlopeClass, SprinklerKind, Texture,
    Threshold,
};

/// Mean radius of the Earth (km): International Union of Geodesy and Geophysics, mean radius R1.
const EARTH_RADIUS_KM: f64 = 6371.0088;

impl Almanac {
    /// The grass with this key.
    pub fn grass(&self, id: &str) -> Option<&Grass> {
        self.grasses.iter().find(|row| row.id == id)
    }

    /// The active ingredient with this key.
    pub fn active(&self, id: &str) -> Option<&Active> {
        self.actives.iter().find(|row| row.id == id)
    }

    /// The soil texture with this key.
    pub fn texture(&self, id: &str) -> Option<&Texture> {
        self.textures.iter().find(|row| row.id == id)
    }

    /// The sprinkler kind with this key.
    pub fn sprinkler(&self, id: &str) -> Option<&SprinklerKind> {
        self.sprinklers.iter().find(|row| row.id == id)
    }

    /// The threshold with this key.
    pub fn threshold(&self, id: &str) -> Option<&Threshold> {
        self.thresholds.iter().find(|row| row.id == id)
    }

    /// The class a slope falls in. A slope steeper than every class, or not a number, takes the steepest class, which
    /// lets the least water in.
    ///
    /// # Panics
    /// When the table of slopes is empty, which the built-in one never is.
    pub fn slope_class(&self, slope_pct: f64) -> &SlopeClass {
        let steepest = self.slopes.len().saturating_sub(1);
        let at = self.slopes.iter().position(|class| slope_pct.abs() <= class.up_to_pct);
        &self.slopes[at.unwrap_or(steepest)]
    }

    /// The crop coefficients of a season's grasses.
    ///
    /// # Panics
    /// When the table of crop coefficients is empty, which the built-in one never is.
    pub fn crop_coefficient(&self, season: Season) -> &CropCoefficient {
        let at = self.crop_coefficients.iter().position(|row| row.season == season);
        &self.crop_coefficients[at.unwrap_or(0)]
    }

    /// The month split for a number of feeds, or the nearest number there is a row for (the fewer on a tie).
    pub fn nitrogen_split(&self, season: Season, feeds: u8) -> Option<&NitrogenSplit> {
        self.nitrogen_splits
            .iter()
            .filter(|row| row.season == season)
            .min_by_key(|row| (row.feeds.abs_diff(feeds), row.feeds))
    }

    /// The nearest built-in climate and how far off it is (km); `None` when there is no row or a coordinate is not
    /// finite.
    pub fn nearest_climate(&self, latitude_deg: f64, longitude_deg: f64) -> Option<(&ClimateStation, f64)> {
        if !(latitude_deg.is_finite() && longitude_deg.is_finite()) {
            return None;
        }
        self.climate
            .iter()
            .map(|row| (row, distance_km(latitude_deg, longitude_deg, row.latitude_deg, row.longitude_deg)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// Great-circle distance by the haversine form, on a sphere: good to half a per cent, enough to pick a row.
fn distance_km(lat_a_deg: f64, lon_a_deg: f64, lat_b_deg: f64, lon_b_deg: f64) -> f64 {
    let (lat_a, lat_b) = (lat_a_deg.to_radians(), lat_b_deg.to_radians());
    let half_lat = (lat_b - lat_a) / 2.0;
    let half_lon = (lon_b_deg - lon_a_deg).to_radians() / 2.0;
    let h = half_lat.sin().powi(2) + lat_a.cos() * lat_b.cos() * half_lon.sin().powi(2);
    2.0 * EARTH_RADIUS_KM * h.clamp(0.0, 1.0).sqrt().asin()
}

#[cfg(test)]
mod tests {
    use super::distance_km;

    /// The quarter meridian, pole to equator, on the mean sphere is a quarter of its circumference.
    #[test]
    fn distance_pole_to_equator() {
        let quarter = std::f64::consts::FRAC_PI_2 * super::EARTH_RADIUS_KM;
        assert!((distance_km(90.0, 0.0, 0.0, 37.0) - quarter).abs() < 1e-6);
        assert!(distance_km(40.0, -96.0, 40.0, 264.0) < 1e-6, "the same meridian written two ways");
    }
}
