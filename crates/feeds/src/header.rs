//! What a column's name says: quantity, unit, height of a wind gauge.

use crate::bounds::Quantity::{self, *};
use crate::units::{DepthUnit, TemperatureUnit, Unit, WindUnit};

/// Names for the message about a file without any.
pub(crate) const KNOWN_NAMES: &str = "names such as tmin_c, tmax_c, precip_mm, wind_ms, rh_mean_pct, rh_min_pct, rh_max_pct, tdew_c, solar_mj_m2, et0_mm";

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Meaning {
    Date,
    Year,
    Month,
    Day,
    /// A reading; `melted_snow_in` tells `precipitation` from `rain`.
    Reading {
        quantity: Quantity,
        unit: Option<Unit>,
        height_m: Option<f64>,
        melted_snow_in: bool,
    },
    Unknown,
}

/// Reads a column's name.
pub(crate) fn meaning(name: &str) -> Meaning {
    let tokens = tokens(name);
    match tokens.concat().as_str() {
        "date" | "time" | "datetime" | "timestamp" | "obsdate" | "dateobs" => return Meaning::Date,
        "year" | "yr" | "yyyy" => return Meaning::Year,
        "month" | "mon" | "mo" => return Meaning::Month,
        "day" | "dd" | "dom" | "dayofmonth" => return Meaning::Day,
        _ => {}
    }
    let (bare, height_m) = without_height(&tokens);
    // A unit that fits goes before none: "wind m s" is a wind in m/s, not a quantity called "winds".
    let with = |unit: bool| {
        [(&tokens, None), (&bare, height_m)].into_iter().find_map(|(tokens, height)| reading(tokens, height, unit))
    };
    with(true).or_else(|| with(false)).unwrap_or(Meaning::Unknown)
}

fn reading(tokens: &[String], height_m: Option<f64>, with_unit: bool) -> Option<Meaning> {
    let made = |words: &[String], unit: Option<Unit>| {
        let (quantity, own_height) = alias(&words.concat())?;
        (unit.is_none_or(|u| fits(quantity, u))).then(|| Meaning::Reading {
            quantity,
            unit,
            height_m: if quantity == Wind { own_height.or(height_m) } else { None },
            melted_snow_in: !words.concat().contains("rain"),
        })
    };
    if !with_unit {
        return made(tokens, None);
    }
    (1..tokens.len()).find_map(|cut| {
        let unit = unit(&tokens[cut..].concat())?;
        made(&tokens[..cut], Some(unit))
    })
}

/// Lower-case words of a name: split at anything but letters and digits, and where a capital follows a small letter.
fn tokens(name: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let (mut open, mut small) = (false, false);
    for c in name.chars() {
        let word: String = match c {
            '%' => " pct ".to_owned(),
            '℃' => " c ".to_owned(),
            '℉' => " f ".to_owned(),
            '²' => "2".to_owned(),
            '¹' => "1".to_owned(),
            'º' | 'ª' => " ".to_owned(),
            c if c.is_uppercase() && small => format!(" {}", c.to_lowercase()),
            c => c.to_lowercase().collect(),
        };
        small = c.is_lowercase();
        for c in word.chars() {
            if !c.is_alphanumeric() {
                open = false;
            } else if open {
                if let Some(last) = out.last_mut() {
                    last.push(c);
                }
            } else {
                out.push(c.to_string());
                open = true;
            }
        }
    }
    out
}

/// The words without a height ("10m", or "10" before "m"), and the height.
fn without_height(tokens: &[String]) -> (Vec<String>, Option<f64>) {
    let number = |t: &str| t.bytes().all(|b| b.is_ascii_digit()).then(|| t.parse::<f64>().ok()).flatten();
    for (i, token) in tokens.iter().enumerate() {
        let (height, width) = match (token.strip_suffix('m').and_then(number), number(token)) {
            (Some(h), _) => (h, 1),
            (None, Some(h)) if tokens.get(i + 1).is_some_and(|t| t == "m") => (h, 2),
            _ => continue,
        };
        let mut rest = tokens.to_vec();
        rest.drain(i..i + width);
        return (rest, Some(height));
    }
    (tokens.to_vec(), None)
}

fn unit(word: &str) -> Option<Unit> {
    Some(match word {
        "c" | "degc" | "degreec" | "degreesc" | "celsius" | "degreescelsius" | "degcelsius" => {
            Unit::Temperature(TemperatureUnit::Celsius)
        }
        "f" | "degf" | "degreef" | "degreesf" | "fahrenheit" | "degreesfahrenheit" | "degfahrenheit" => {
            Unit::Temperature(TemperatureUnit::Fahrenheit)
        }
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" | "mmday" | "mmd" | "mmd1" | "mmday1" => {
            Unit::Depth(DepthUnit::Millimetres)
        }
        "in" | "inch" | "inches" | "inday" | "ind" => Unit::Depth(DepthUnit::Inches),
        "ms" | "mps" | "ms1" | "metrespersecond" | "meterspersecond" => Unit::Wind(WindUnit::MetresPerSecond),
        "kmh" | "kph" | "kmph" | "kmh1" | "kmhr" => Unit::Wind(WindUnit::KilometresPerHour),
        "mph" | "mih" | "mihr" | "milesperhour" => Unit::Wind(WindUnit::MilesPerHour),
        "kn" | "kt" | "kts" | "knot" | "knots" => Unit::Wind(WindUnit::Knots),
        "pct" | "percent" | "pc" => Unit::Percent,
        "m" | "metre" | "metres" | "meter" | "meters" => Unit::Metres,
        "mjm2" | "mjm2day" | "mjm2d" | "mjm2d1" | "mjm2day1" => Unit::Megajoules,
        "kwhm2" | "kwhm2day" | "kwhm2d" | "kwhm2d1" => Unit::KilowattHours,
        _ => return None,
    })
}

const fn fits(quantity: Quantity, unit: Unit) -> bool {
    matches!(
        (quantity, unit),
        (Tmin | Tmax | DewPoint, Unit::Temperature(_))
            | (Rain | Et0, Unit::Depth(_))
            | (Wind, Unit::Wind(_))
            | (WindHeight, Unit::Metres)
            | (HumidityMean | HumidityMin | HumidityMax, Unit::Percent)
            | (Solar, Unit::Megajoules | Unit::KilowattHours)
    )
}

/// The quantity of a name without its unit.
fn alias(key: &str) -> Option<(Quantity, Option<f64>)> {
    let quantity = match key {
        "tmin" | "mint" | "tn" | "mintemp" | "tempmin" | "mintemperature" | "temperaturemin" | "minimumtemp"
        | "tempminimum" | "minimumtemperature" | "temperatureminimum" | "minairtemp" | "airtempmin"
        | "minairtemperature" | "airtemperaturemin" | "low" | "lowtemp" | "templow" | "lowtemperature"
        | "temperaturelow" | "lowesttemperature" | "lowesttemp" => Tmin,
        "tmax" | "maxt" | "tx" | "maxtemp" | "tempmax" | "maxtemperature" | "temperaturemax" | "maximumtemp"
        | "tempmaximum" | "maximumtemperature" | "temperaturemaximum" | "maxairtemp" | "airtempmax"
        | "maxairtemperature" | "airtemperaturemax" | "high" | "hightemp" | "temphigh" | "hightemperature"
        | "temperaturehigh" | "highesttemperature" | "highesttemp" => Tmax,
        "rain"
        | "rainfall"
        | "raintotal"
        | "totalrain"
        | "rainsum"
        | "dailyrain"
        | "rainfalltotal"
        | "totalrainfall"
        | "rainfallamount"
        | "precip"
        | "precipitation"
        | "prcp"
        | "pcp"
        | "ppt"
        | "precipsum"
        | "precipitationsum"
        | "preciptotal"
        | "totalprecip"
        | "precipitationtotal"
        | "totalprecipitation"
        | "dailyprecip"
        | "precipamount"
        | "precipitationamount" => Rain,
        "wind" | "windspeed" | "windmean" | "meanwind" | "windavg" | "avgwind" | "averagewind" | "windspeedmean"
        | "meanwindspeed" | "windspeedavg" | "avgwindspeed" | "averagewindspeed" | "windspeedaverage" | "awnd" => Wind,
        "u2" | "ws2" => return Some((Wind, Some(2.0))),
        "u10" | "ws10" => return Some((Wind, Some(10.0))),
        "windheight" | "heightwind" | "anemometerheight" | "windgaugeheight" | "heightofwind" => WindHeight,
        "rh"
        | "rhmean"
        | "meanrh"
        | "rhavg"
        | "avgrh"
        | "humidity"
        | "humiditymean"
        | "meanhumidity"
        | "humidityavg"
        | "avghumidity"
        | "relativehumidity"
        | "relativehumiditymean"
        | "meanrelativehumidity"
        | "relhumidity"
        | "averagerelativehumidity"
        | "rhav" => HumidityMean,
        "rhmin"
        | "minrh"
        | "humiditymin"
        | "minhumidity"
        | "relativehumiditymin"
        | "minrelativehumidity"
        | "minimumrelativehumidity"
        | "rhmn" => HumidityMin,
        "rhmax"
        | "maxrh"
        | "humiditymax"
        | "maxhumidity"
        | "relativehumiditymax"
        | "maxrelativehumidity"
        | "maximumrelativehumidity"
        | "rhmx" => HumidityMax,
        "tdew"
        | "dewpoint"
        | "dew"
        | "tdewpoint"
        | "dewpt"
        | "tdp"
        | "dewpointmean"
        | "meandewpoint"
        | "dewpointavg"
        | "avgdewpoint"
        | "dewpointtemperature"
        | "dewpointtemp"
        | "meandewpointtemperature" => DewPoint,
        "solar"
        | "rs"
        | "srad"
        | "solarradiation"
        | "globalradiation"
        | "radiation"
        | "ghi"
        | "solarrad"
        | "solarradiationsum"
        | "shortwaveradiation"
        | "shortwaveradiationsum"
        | "globalsolarradiation" => Solar,
        "et0"
        | "eto"
        | "etref"
        | "refet"
        | "referenceet"
        | "referenceevapotranspiration"
        | "et0faoevapotranspiration" => Et0,
        _ => return None,
    };
    Some((quantity, None))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names as files spell them, and what each says.
    #[test]
    fn names() {
        let (c, f) = (Unit::Temperature(TemperatureUnit::Celsius), Unit::Temperature(TemperatureUnit::Fahrenheit));
        let (mm, inches) = (Unit::Depth(DepthUnit::Millimetres), Unit::Depth(DepthUnit::Inches));
        let rows = [
            ("tmin_c", Tmin, Some(c), None),
            ("TMIN (°F)", Tmin, Some(f), None),
            ("min temp f", Tmin, Some(f), None),
            ("MaxTemp", Tmax, None, None),
            ("TMAX", Tmax, None, None),
            ("tMaxC", Tmax, Some(c), None),
            ("High [℉]", Tmax, Some(f), None),
            ("temperature_2m_max (°C)", Tmax, Some(c), None),
            ("precip_in", Rain, Some(inches), None),
            ("rain mm", Rain, Some(mm), None),
            ("Rain (in.)", Rain, Some(inches), None),
            ("PRCP", Rain, None, None),
            ("wind_ms", Wind, Some(Unit::Wind(WindUnit::MetresPerSecond)), None),
            ("wind m/s", Wind, Some(Unit::Wind(WindUnit::MetresPerSecond)), None),
            ("Wind speed 10 m (km/h)", Wind, Some(Unit::Wind(WindUnit::KilometresPerHour)), Some(10.0)),
            ("wind_speed_2m_mph", Wind, Some(Unit::Wind(WindUnit::MilesPerHour)), Some(2.0)),
            ("u2 (m s-1)", Wind, Some(Unit::Wind(WindUnit::MetresPerSecond)), Some(2.0)),
            ("wind mph", Wind, Some(Unit::Wind(WindUnit::MilesPerHour)), None),
            ("wind kn", Wind, Some(Unit::Wind(WindUnit::Knots)), None),
            ("wind_height_m", WindHeight, Some(Unit::Metres), None),
            ("rh_mean_pct", HumidityMean, Some(Unit::Percent), None),
            ("RH min %", HumidityMin, Some(Unit::Percent), None),
            ("Relative Humidity Max (%)", HumidityMax, Some(Unit::Percent), None),
            ("tdew_c", DewPoint, Some(c), None),
            ("solar_mj_m2", Solar, Some(Unit::Megajoules), None),
            ("Solar radiation (MJ/m²/day)", Solar, Some(Unit::Megajoules), None),
            ("GHI kWh/m2", Solar, Some(Unit::KilowattHours), None),
            ("et0_mm", Et0, Some(mm), None),
        ];
        for (name, quantity, unit, height) in rows {
            match meaning(name) {
                Meaning::Reading { quantity: q, unit: u, height_m, .. } => {
                    assert_eq!((q, u, height_m), (quantity, unit, height), "{name}");
                }
                other => panic!("{name}: {other:?}"),
            }
        }
        for (name, expected) in
            [("Date", Meaning::Date), ("YEAR", Meaning::Year), ("month", Meaning::Month), ("Day", Meaning::Day)]
        {
            assert_eq!(meaning(name), expected);
        }
        for name in [
            "",
            "snow_mm",
            "hours",
            "weather",
            "solar_w_m2 ",
            "tmin_mm",
            "PRCP_ATTRIBUTES",
            "wind gust mph",
            "windspeed_10m_max",
        ] {
            let m = meaning(name);
            assert!(matches!(m, Meaning::Unknown), "{name}: {m:?}");
        }
    }
}
