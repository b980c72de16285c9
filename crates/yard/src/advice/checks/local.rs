//! Local rules on feeding that the person switched on.

use jiff::civil::Date;

use super::Level;
use super::book::{Book, finish, works};
use crate::entry::{Cover, ProductFacts};
use crate::ground::Plot;
use crate::units::Quantity;

/// The first day after a season without fertiliser that holds the day; `None` outside it. A season may run over New Year.
fn season_ends(on: Date, from: (i8, i8), until: (i8, i8)) -> Option<Date> {
    let today = (on.month(), on.day());
    let inside = if from <= until { from <= today && today <= until } else { today >= from || today <= until };
    if !inside {
        return None;
    }
    let year = if today <= until { on.year() } else { on.year() + 1 };
    // 29 February of a common year is its last day of February.
    let last = Date::new(year, until.0, until.1).or_else(|_| Date::new(year, until.0, 28)).ok()?;
    last.tomorrow().ok()
}

/// Nitrogen put down, or planned, on a plot from one day to another (g/m²), the entry checked itself left out.
fn nitrogen_on(book: &Book<'_>, plot: &Plot<'_>, first: Date, last: Date) -> f64 {
    let scene = book.scene;
    works(book)
        .filter(|(on, ..)| *on >= first && *on <= last)
        .filter_map(|(on, a, _)| {
            let nitrogen = a.rate_g_m2 * scene.yard.product_on(&a.product, on)?.n_pct / 100.0;
            (nitrogen > 0.0 && a.areas.iter().any(|k| plot.has(scene.yard, k, on))).then_some(nitrogen)
        })
        .sum()
}

/// Season, nitrogen at once and in the year, phosphate.
pub(super) fn feeding(book: &mut Book<'_>, product: &ProductFacts) {
    let scene = book.scene;
    let Some(rules) = scene.yard.local_rules.as_ref() else { return };
    let u = scene.units();
    let source = if rules.source.is_empty() {
        "the local rule you entered".to_owned()
    } else {
        format!("the local rule you entered: {}", rules.source)
    };
    let feeds = product.n_pct + product.p2o5_pct > 0.0;
    if feeds
        && let (Some(from), Some(until)) = (rules.no_feed_from, rules.no_feed_until)
        && let Some(clear) = season_ends(book.on, from, until)
    {
        let message = format!("no fertiliser from {:02}-{:02} until {:02}-{:02}", from.0, from.1, until.0, until.1);
        book.say(Level::Stop, "local-rule", message, source.clone(), Some(clear));
    }
    let nitrogen = book.work.rate_g_m2 * product.n_pct / 100.0;
    if nitrogen <= 0.0 {
        return;
    }
    if let Some(most) = rules.nitrogen_once_g_m2
        && nitrogen > most * (1.0 + 1e-6)
    {
        let message = format!(
            "{} of nitrogen at once; the rule allows {}",
            u.say(Quantity::Dose, nitrogen),
            u.say(Quantity::Dose, most)
        );
        book.say(Level::Stop, "local-rule", message, source.clone(), None);
    }
    let Some(most) = rules.nitrogen_year_g_m2 else { return };
    let year = book.on.year();
    let (Ok(first), Ok(last)) = (Date::new(year, 1, 1), Date::new(year, 12, 31)) else { return };
    for key in &book.work.areas {
        let Some(area) = scene.yard.area(key).filter(|a| a.cover == Cover::Turf) else { continue };
        let given = book.plots(key).iter().map(|plot| nitrogen_on(book, plot, first, last)).fold(0.0, f64::max);
        let total = given + nitrogen;
        if total > most * (1.0 + 1e-6) {
            let message = format!(
                "{}: {} of nitrogen this year and {} now are more than the rule’s {}",
                area.name,
                u.say(Quantity::Dose, given.max(0.0)),
                u.say(Quantity::Dose, nitrogen),
                u.say(Quantity::Dose, most)
            );
            // More than a whole year's rule in itself has no day.
            let clear = if nitrogen > most * (1.0 + 1e-6) { None } else { Date::new(year + 1, 1, 1).ok() };
            book.found.push(super::Finding {
                level: Level::Stop,
                rule: "local-rule".to_owned(),
                message,
                source: source.clone(),
                clear_on: clear,
            });
        }
    }
    book.found = finish(std::mem::take(&mut book.found));
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// A season over New Year and one within a year, their first and last days in, the days beside them out.
    #[test]
    fn seasons() {
        let winter = |d| season_ends(d, (12, 1), (4, 1));
        assert_eq!(winter(date(2017, 12, 1)), Some(date(2018, 4, 2)));
        assert_eq!(winter(date(2018, 4, 1)), Some(date(2018, 4, 2)));
        assert_eq!(winter(date(2018, 4, 2)), None);
        assert_eq!(winter(date(2017, 11, 30)), None);
        let summer = |d| season_ends(d, (6, 15), (8, 31));
        assert_eq!(summer(date(2017, 7, 1)), Some(date(2017, 9, 1)));
        assert_eq!(summer(date(2017, 9, 1)), None);
        assert_eq!(season_ends(date(2017, 2, 10), (1, 1), (2, 29)), Some(date(2017, 3, 1)));
    }
}
