//! Counts of a pest in a few places: how many on the ground, and which answer of the finding that is.

use almanac::{Almanac, Cause, CountThreshold, Finding};
use reckon::ReckonError;
use reckon::scouting::density_of_counts;
use reckon::units::SquareMetres;
use reckon::working::{Step, Value};

use super::Count;

/// Ground looked at in each place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// Key in addresses and commands.
    pub id: &'static str,
    /// In words.
    pub name: &'static str,
    /// Its ground (m²).
    pub m2: f64,
}

/// The pieces of ground people cut out, flush or flood. Sizes by definition: 1 ft = 0.3048 m, 1 in = 0.0254 m.
pub const CUTS: [Cut; 6] = [
    Cut { id: "sqft", name: "a square foot", m2: 0.092_903_04 },
    Cut { id: "tenth", name: "0.1 m²", m2: 0.1 },
    Cut { id: "cup", name: "a cup cutter, 4¼ in (108 mm)", m2: 0.009_152_4 },
    Cut { id: "can", name: "a can of 6 in (152 mm)", m2: 0.018_241_5 },
    Cut { id: "sqyd", name: "a square yard", m2: 0.836_127_36 },
    Cut { id: "m2", name: "1 m²", m2: 1.0 },
];

/// The cut of this key.
pub fn cut(id: &str) -> Option<&'static Cut> {
    CUTS.iter().find(|c| c.id == id)
}

/// The causes whose pest this finding counts, with their thresholds.
pub fn counted<'a>(tables: &'a Almanac, finding: &str) -> Vec<(&'a Cause, &'a CountThreshold)> {
    let causes = tables.causes.iter().filter(|c| c.count.as_deref() == Some(finding));
    causes.flat_map(|c| c.threshold.iter().map(move |row| (c, row))).collect()
}

/// A count made: the density, the answer it gives the finding, and the working.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// The density, for the decision.
    pub count: Count,
    /// Key of the answer.
    pub outcome: String,
    /// How it was reckoned.
    pub working: Step,
}

/// Reads counts such as "8, 5, 12".
///
/// # Errors
/// Words for the user: what is no whole number.
pub fn counts_of(text: &str) -> Result<Vec<f64>, String> {
    let words: Vec<&str> = text.split([',', ';', ' ', '\n', '+']).map(str::trim).filter(|w| !w.is_empty()).collect();
    if words.is_empty() {
        return Err("no count: write how many in each place, like 8, 5, 12".to_owned());
    }
    let read = |w: &&str| w.parse::<u32>().map(f64::from).map_err(|_| format!("“{w}” is not a whole number"));
    words.iter().map(read).collect()
}

/// What counts of a pest in places of one cut say.
///
/// Where the finding tells few from many, the lower figure of the pest's threshold parts them; else the answer is the one
/// the pest's cause makes likeliest against the usual.
///
/// # Errors
/// [`ReckonError`] naming `counts` or `places`; [`ReckonError::Inconsistent`] naming `pest` when this finding counts none such.
pub fn count_seen(
    tables: &Almanac,
    finding: &Finding,
    counts: &[f64],
    cut: &Cut,
    pest: Option<&str>,
) -> Result<Counted, ReckonError> {
    let rows = counted(tables, &finding.id);
    let row = match pest {
        Some(key) => rows.iter().find(|(_, row)| row.pest == key),
        None => rows.first(),
    };
    let Some((cause, row)) = row else {
        let message = format!("{} counts no {}", finding.id, pest.unwrap_or("pest"));
        return Err(ReckonError::Inconsistent { field: "pest", message });
    };
    let per_m2 = density_of_counts(counts, SquareMetres::new(cut.m2))?;
    let has = |id: &str| finding.outcome(id).is_some();
    let likeliest = likeliest(finding, cause);
    let outcome = if per_m2 <= 0.0 && has("none") {
        "none"
    } else if has("few") && matches!(likeliest, "few" | "many") {
        if per_m2 >= row.low_m2 { "many" } else { "few" }
    } else {
        likeliest
    };
    let told: Vec<String> = counts.iter().map(|n| format!("{n:.0}")).collect();
    let working = Step::new(
        "count on the ground",
        "all that was counted, over the places times the ground of one",
        vec![
            Value::text("counted", told.join(", ")),
            Value::number("places", counts.len() as f64, ""),
            Value::number("ground of one place", cut.m2, "m²").from(cut.name),
        ],
        Value::number("count", per_m2, "per m²"),
    );
    let pest = Some(row.pest.clone());
    Ok(Counted { count: Count { per_m2, pest }, outcome: outcome.to_owned(), working })
}

/// The answer a cause raises most over the usual.
fn likeliest<'a>(finding: &'a Finding, cause: &Cause) -> &'a str {
    let shares = finding.shares(cause);
    let raised = |i: usize| shares[i] / finding.usual[i].max(1e-6);
    let best = (0..finding.outcomes.len()).max_by(|a, b| raised(*a).total_cmp(&raised(*b)));
    best.map_or("", |i| &finding.outcomes[i].id)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(finding: &str, counts: &[f64], at: &str, pest: Option<&str>) -> Counted {
        let t = Almanac::embedded();
        count_seen(t, t.finding(finding).unwrap(), counts, cut(at).unwrap(), pest).unwrap()
    }

    /// Clemson treats grubs of no known kind from 6 to 10 a square foot, UMass Japanese beetle from 8 to 15: seven a square
    /// foot are at the first threshold and below the second.
    #[test]
    fn the_pest_decides_few_or_many() {
        assert_eq!(seen("dig", &[7.0, 6.0, 8.0], "sqft", None).outcome, "many");
        assert_eq!(seen("dig", &[7.0, 6.0, 8.0], "sqft", Some("japanese-beetle")).outcome, "few");
        assert_eq!(seen("dig", &[0.0, 0.0], "sqft", None).outcome, "none");
        assert_eq!(seen("dig", &[4.0], "sqft", Some("billbug-larvae")).outcome, "legless");
        assert_eq!(seen("soap", &[15.0], "m2", Some("webworm")).outcome, "webworms");
        assert_eq!(seen("soap", &[5.0], "m2", Some("cutworm")).outcome, "caterpillars");
        assert_eq!(seen("float", &[9.0], "can", None).outcome, "bugs");
        assert_eq!(seen("float", &[0.0], "can", None).outcome, "none");
    }

    /// Places are averaged: 8, 5 and 11 in three square feet are 8 a square foot, 86.1 a square metre.
    #[test]
    fn places_are_averaged() {
        let told = seen("dig", &[8.0, 5.0, 11.0], "sqft", None);
        assert!((told.count.per_m2 - 86.11).abs() < 0.01, "{told:?}");
    }

    #[test]
    fn what_is_no_count_is_told() {
        assert_eq!(counts_of(" 8, 5;12 "), Ok(vec![8.0, 5.0, 12.0]));
        assert!(counts_of("8, x").is_err_and(|m| m.contains("“x”")));
        assert!(counts_of("-1").is_err() && counts_of("").is_err() && counts_of("1e9").is_err());
        let t = Almanac::embedded();
        let refused = count_seen(t, t.finding("dig").unwrap(), &[1.0], &CUTS[0], Some("webworm"));
        assert_eq!(refused.unwrap_err().field(), "pest");
    }
}
