//! The conditions in words, each with where it comes from.

use super::{Conditions, Nitrogen, SoilWater};
use crate::advice::Scene;
use crate::entry::AreaFacts;
use crate::units::Quantity;

/// Something the yard knows of a place before anybody looks.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Told {
    /// What, in words.
    pub what: String,
    /// Where it comes from: the map, the weather, the daybook, the day.
    pub from: &'static str,
}

/// What is known of an area before anything is looked at, in words.
pub fn told(scene: &Scene<'_>, area: &AreaFacts, known: &Conditions) -> Vec<Told> {
    let units = scene.yard.units();
    let mut out = Vec::new();
    let mut say = |what: String, from: &'static str| out.push(Told { what, from });
    if let Some(grass) = &known.grass {
        say(scene.almanac.grass(grass).map_or(grass.clone(), |g| g.name.clone()), "the area");
    }
    if known.month.is_some() {
        say(scene.on.strftime("%B").to_string(), "the day");
    }
    if let Some(mean) = known.mean_temp_c {
        say(format!("{} in the mean of a week", units.say(Quantity::Temperature, mean)), "the weather");
    }
    if let Some(water) = known.soil_water {
        let word = match water {
            SoilWater::Dry => "soil drier than the grass likes",
            SoilWater::Fair => "soil neither dry nor wet",
            SoilWater::Wet => "soil wet",
        };
        say(word.to_owned(), "the water balance");
    }
    if let Some(nitrogen) = known.nitrogen {
        let word = match nitrogen {
            Nitrogen::Low => "short of nitrogen",
            Nitrogen::Fair => "nitrogen enough",
            Nitrogen::High => "more nitrogen than it needs",
        };
        say(word.to_owned(), "the daybook");
    }
    if let Some(hours) = known.sun_hours {
        say(format!("{hours:.1} h of sun in midsummer"), if area.sun_h.is_some() { "the area" } else { "the map" });
    }
    if let Some(slope) = known.slope_pct.filter(|s| *s > 0.0) {
        say(format!("slope {slope:.0} %"), "the area");
    }
    if let Some(weeks) = known.weeks_since_sown {
        say(format!("sown {weeks:.0} weeks ago"), "the daybook");
    }
    if let Some(days) = known.days_since_fed {
        say(format!("fed {days:.0} days ago"), "the daybook");
    }
    if let Some(days) = known.days_since_weed_killer {
        say(format!("weed killer {days:.0} days ago"), "the daybook");
    }
    if let Some(days) = known.days_since_rough_mowing {
        say(format!("mown low {days:.0} days ago"), "the daybook");
    }
    if let Some(years) = known.sod_years {
        say(format!("sod {years:.1} years old"), "the area");
    }
    if let Some(years) = known.house_years {
        say(format!("ground made {years:.1} years ago"), "the area");
    }
    if let Some(days) = known.snow_days {
        say(format!("snow lay {days:.0} days last winter"), "the area");
    }
    for (cause, share) in &known.season {
        let name = scene.almanac.cause(cause).map_or(cause.as_str(), |c| &c.name);
        let word = match *share {
            s if s >= 0.9 => "has favoured",
            s if s >= 0.4 => "has somewhat favoured",
            _ => "has not favoured",
        };
        say(format!("the weather {word} {name}"), "the weather");
    }
    let flags = [
        (known.irrigated, "under sprinklers", "no sprinklers", "the zones"),
        (known.tree, "roots of a tree", "no tree near", "the map"),
        (known.dog, "a dog uses it", "no dog", "the map"),
        (known.traffic, "feet or wheels go over it", "little walked on", "the map"),
        (known.humid, "leaves long wet", "leaves dry early", "the weather"),
        (known.mown_low, "cut short as a habit", "not cut short", "the daybook"),
        (known.salted, "salted in winter", "not salted", "the area"),
    ];
    for (flag, yes, no, from) in flags {
        if let Some(flag) = flag {
            say((if flag { yes } else { no }).to_owned(), from);
        }
    }
    out
}
