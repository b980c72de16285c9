//! Corners as a person writes them: one a line, east and north, in the user's unit of length.

use reckon::outline::Corner;

use crate::units::{Quantity, Units};

/// Reads rings of corners: one corner a line (or between `;`), two or three numbers each, `/` between two rings.
///
/// # Errors
/// Words for the user: the corner that cannot be read.
pub(super) fn rings(text: &str, units: Units) -> Result<Vec<Vec<Corner>>, String> {
    let mut rings = Vec::new();
    for part in text.split('/') {
        let mut ring = Vec::new();
        for line in part.split([';', '\n']).map(str::trim).filter(|l| !l.is_empty()) {
            ring.push(corner(line, units)?);
        }
        if !ring.is_empty() {
            rings.push(ring);
        }
    }
    Ok(rings)
}

fn corner(line: &str, units: Units) -> Result<Corner, String> {
    let numbers: Option<Vec<f64>> = line
        .split([',', ' ', '\t'])
        .filter(|n| !n.is_empty())
        .map(|n| n.replace('−', "-").parse::<f64>().ok().filter(|n| n.is_finite()))
        .collect();
    let read = |n: f64| {
        let metres = units.read(Quantity::Length, n);
        // A tenth of a micrometre: what was typed in feet is stored without the factor's last digits.
        (metres * 1e7).round() / 1e7
    };
    match numbers.as_deref() {
        Some([x, y]) => Ok(Corner::new(read(*x), read(*y))),
        Some([x, y, bow]) => Ok(Corner::new(read(*x), read(*y)).bowed(read(*bow))),
        _ => {
            let unit = units.symbol(Quantity::Length);
            Err(format!("“{line}” is not a corner; write east and north in {unit}, like “12.5 −3”"))
        }
    }
}

/// A number already in the user's unit, without needless digits.
fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// East and north in the user's unit, as [`rings`] reads them.
pub(super) fn number_pair(east: f64, north: f64) -> String {
    format!("{} {}", number(east), number(north))
}

/// Writes rings the way [`rings`] reads them.
pub(super) fn written<'a>(rings: impl IntoIterator<Item = &'a Vec<Corner>>, units: Units) -> String {
    let number = |metres: f64| number(units.show(Quantity::Length, metres));
    let line = |c: &Corner| {
        let [x, y] = c.at();
        let bow = c.bow.get();
        let bow = if bow == 0.0 { String::new() } else { format!(" {}", number(bow)) };
        format!("{} {}{bow}", number(x), number(y))
    };
    let rings: Vec<String> = rings.into_iter().map(|r| r.iter().map(line).collect::<Vec<_>>().join("\n")).collect();
    rings.join("\n/\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        /// What is written reads back to the same corners, in either unit, to a thousandth of a millimetre.
        #[test]
        fn written_reads_back(numbers in proptest::collection::vec((-500.0..500.0_f64, -500.0..500.0_f64, -5.0..5.0_f64), 1..20)) {
            for units in [Units::Metric, Units::UsCustomary] {
                let ring: Vec<Corner> = numbers.iter().map(|(x, y, b)| Corner::new(*x, *y).bowed(*b)).collect();
                let back = rings(&written([&ring, &ring], units), units).expect("it was written here");
                proptest::prop_assert_eq!(back.len(), 2);
                for (a, b) in ring.iter().zip(&back[1]) {
                    proptest::prop_assert!((a.x - b.x).get().abs() < 1e-6 && (a.y - b.y).get().abs() < 1e-6);
                    proptest::prop_assert!((a.bow - b.bow).get().abs() < 1e-6);
                }
            }
        }
    }

    /// What is no corner is told with the line it stands on.
    #[test]
    fn faults() {
        assert!(rings("0 0; 1", Units::Metric).is_err_and(|m| m.contains("“1”")));
        assert!(rings("0 0; 1 nan", Units::Metric).is_err());
        assert_eq!(rings(" ", Units::Metric), Ok(vec![]));
    }
}
