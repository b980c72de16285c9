//! Mowing: how high the grass stands by now, and when the one-third rule calls for the mower.
//!
//! Growth of a day = fastest growth of the grass × growth potential × water factor (1 with enough water, less under stress). The
//! fastest growth is a usual figure from memory; the daybook's own mowings are what corrects it.

use almanac::Grass;
use jiff::{Span, civil::Date};
use reckon::working::{Step, Value};

use super::soil::AreaWater;
use super::{Item, Job, LogAs, Scene, Urgency, urgency_of, window_of};
use crate::entry::AreaFacts;
use crate::fold::Yard;
use crate::units::Quantity;
use crate::weather::Outlook;

/// One cut takes at most a third of the leaf: mow by 1.5 times the height kept (Purdue University AY-8, 1998).
const MOW_BY: f64 = 1.5;
/// Height at which mowing begins to make sense, as a share of the height kept (the same publication prints 3 in cut at 4 in).
const MOW_FROM: f64 = 4.0 / 3.0;
/// Days a mowing is looked for; older ones belong to another season.
const LOOK_BACK_DAYS: i64 = 120;
/// Mean growth potential of ten days below which nothing grows worth mowing (PACE Turf notes: at or below 0.10 there is almost no
/// growth).
const GROWTH_LEAST: f64 = 0.1;
/// Days ahead the height is followed.
const HORIZON_DAYS: i64 = 90;
/// Days ahead the first screen cares about.
const LOOK_AHEAD_DAYS: i64 = 14;

struct Sward<'a> {
    area: &'a AreaFacts,
    grass: &'a Grass,
    water: Option<&'a AreaWater>,
}

impl Sward<'_> {
    fn keep_mm(&self) -> f64 {
        self.area.mow_mm.unwrap_or(self.grass.mow_mm[1])
    }

    /// Factor of dryness on growth on a day of the past; 1 where nothing is known.
    fn water_factor(&self, date: Date) -> f64 {
        let Some(water) = self.water else { return 1.0 };
        let Some(day) = water.history.iter().find(|d| d.date == date) else { return 1.0 };
        if day.depletion_mm <= day.raw_mm || water.taw_mm <= day.raw_mm {
            1.0
        } else {
            ((water.taw_mm - day.depletion_mm) / (water.taw_mm - day.raw_mm)).clamp(0.0, 1.0)
        }
    }
}

/// Mowing items, one for each lawn that comes due within a fortnight; lawns due alike are not merged, since heights differ.
pub fn items(scene: &Scene<'_>, waters: &[AreaWater], outlook: &Outlook<'_>) -> Vec<Item> {
    scene
        .yard
        .lawns()
        .filter_map(|area| {
            let grass = scene.almanac.grass(area.grass.as_deref()?)?;
            let sward = Sward { area, grass, water: waters.iter().find(|w| w.key == area.key) };
            item(scene, &sward, outlook)
        })
        .collect()
}

fn item(scene: &Scene<'_>, sward: &Sward<'_>, outlook: &Outlook<'_>) -> Option<Item> {
    let u = scene.units();
    let yesterday = scene.yesterday();
    let keep = sward.keep_mm();
    let longest = yesterday.checked_sub(Span::new().days(LOOK_BACK_DAYS)).ok()?;
    let mown = scene.yard.last_mowing(&sward.area.key, scene.on).filter(|m| m.on >= longest);
    // A stand is young until its first mowing, if it was sown this season.
    let ever_mown = scene.yard.last_mowing(&sward.area.key, scene.on);
    let sown = scene.yard.last_seeding(&sward.area.key, scene.on).filter(|s| {
        s.fact.sowing == crate::entry::Sowing::Bare && s.on >= longest && ever_mown.is_none_or(|m| m.on < s.on)
    });
    let mut assumed = vec![format!(
        "{}: grows {} to {} a day at its best (usual, from memory); log mowings and look at the height",
        sward.area.name,
        u.say(Quantity::Depth, sward.grass.growth_mm_day.low),
        u.say(Quantity::Depth, sward.grass.growth_mm_day.high)
    )];
    let (mut height, from, origin) = match (sown, mown) {
        (Some(s), _) => {
            let up = s.on.checked_add(Span::new().days(sward.grass.germination_days.middle().round() as i64)).ok()?;
            (0.0, up, format!("seed of {}, up about {up}", s.on))
        }
        (None, Some(m)) => (
            m.fact.height_mm,
            m.on.tomorrow().ok()?,
            format!("mown to {} on {}", u.say(Quantity::Depth, m.fact.height_mm), m.on),
        ),
        (None, None) => {
            assumed.push(format!("{}: stood at the height kept when growth began (no mowing logged since {longest}); log the next mowing", sward.area.name));
            (keep, longest, format!("assumed {} on {longest}", u.say(Quantity::Depth, keep)))
        }
    };
    let start_height = height;
    let fastest = sward.grass.growth_mm_day.middle();
    let (mut grown, mut potential_days) = (0.0, 0.0);
    if from <= yesterday {
        for day in scene.weather.run(from.max(longest), yesterday) {
            let potential = day.growth(sward.grass.season);
            let more = fastest * potential * sward.water_factor(day.date);
            potential_days += potential;
            grown += more;
        }
    }
    height += grown;
    // Grass that hardly grew over ten days waits, however tall it stands.
    let ten_ago = yesterday.checked_sub(Span::new().days(9)).unwrap_or(yesterday);
    let recent: f64 = scene.weather.run(ten_ago, yesterday).iter().map(|d| d.growth(sward.grass.season)).sum();
    if recent / 10.0 < GROWTH_LEAST {
        return None;
    }
    let due_height = keep * MOW_BY;
    let first_height = keep * MOW_FROM;
    let crossing = |target: f64| -> Vec<Option<i64>> {
        outlook
            .years
            .iter()
            .map(|year| {
                let mut h = height;
                for (i, day) in year.iter().take(HORIZON_DAYS as usize).enumerate() {
                    if h >= target {
                        return Some(i as i64);
                    }
                    let date = scene.on.checked_add(Span::new().days(i as i64)).unwrap_or(scene.on);
                    if date >= from {
                        h += fastest * day.growth(sward.grass.season);
                    }
                }
                None
            })
            .collect()
    };
    let window = window_of(scene.on, crossing(due_height), HORIZON_DAYS)?;
    let begin = window_of(scene.on, crossing(first_height), HORIZON_DAYS).map_or(scene.on, |w| w.likely);
    if Yard::days_between(scene.on, begin) > LOOK_AHEAD_DAYS {
        return None;
    }
    let by = window.likely;
    let tall = height > due_height * 1.1;
    // Twice the height kept and nobody mowed? More likely nobody wrote it down: the height is not to be believed.
    let unlogged = height > keep * 2.0;
    let height = height.min(keep * 2.0);
    let young = sown.is_some();
    // From the height at which mowing makes sense it is today's work: waiting for the last day leaves no day to spare.
    let known = mown.is_some() || sown.is_some();
    let urgency = match (height >= first_height, known) {
        (true, true) => Urgency::Today,
        (true, false) => Urgency::ThisWeek,
        (false, _) => match urgency_of(scene.on, begin.max(scene.on)) {
            Urgency::Today => Urgency::ThisWeek,
            other => other,
        },
    };
    let mut amounts = vec![format!("cut to {}", u.say(Quantity::Depth, keep))];
    if tall {
        let first_cut = height * 2.0 / 3.0;
        amounts = vec![format!(
            "first cut to {}, then down to {} in steps two or three days apart",
            u.say(Quantity::Depth, first_cut),
            u.say(Quantity::Depth, keep)
        )];
    }
    if unlogged {
        amounts.insert(0, "if it was mown since, log that mowing; this advice then follows it".to_owned());
    }
    let title = format!(
        "{} {} to {}",
        if young { "First mowing:" } else { "Mow" },
        sward.area.name,
        u.say(Quantity::Depth, if tall { height * 2.0 / 3.0 } else { keep })
    );
    if !known {
        let why = format!(
            "No mowing is written down since {longest}, so how high it stands is not known. Cut when it reaches {}; log that mowing and the next one is told.",
            u.say(Quantity::Depth, first_height)
        );
        return Some(unknown_height(scene, sward, urgency, why, assumed));
    }
    let why = format!(
        "It stands at {} {} ({origin}; {} grown since). Mow from {} on and by {} at the latest, so that no cut takes more than a third.",
        if unlogged { "more than" } else { "about" },
        u.say(Quantity::Depth, height),
        u.say(Quantity::Depth, grown),
        u.say(Quantity::Depth, first_height),
        u.say(Quantity::Depth, due_height),
    );
    let mut cautions = Vec::new();
    if young {
        cautions.push(
            "Young grass: dry ground, a sharp blade, no tight turns; wait if the soil gives underfoot.".to_owned(),
        );
    }
    if sward.area.slope_pct > 27.0 {
        cautions.push("Steeper than 15° (27 %): not with a mower. Use a string trimmer or leave it long.".to_owned());
    } else if sward.area.slope_pct > 15.0 {
        cautions.push("Slope: walk-behind mowers across it, riders up and down, never when wet.".to_owned());
    }
    let working = vec![
        Step::new(
            "growth since",
            "fastest growth × Σ growth potential × water factor",
            vec![
                Value::number("fastest", fastest, "mm").assumed("usual for the grass, from memory"),
                Value::number("Σ growth potential", potential_days, "")
                    .from(format!("{from} to {yesterday}, Gelernter & Stowell 2005")),
            ],
            Value::number("grown", grown, "mm"),
        ),
        Step::new(
            "height now",
            "start + grown",
            vec![Value::number("start", start_height, "mm").from(origin), Value::number("grown", grown, "mm")],
            Value::number("height", height, "mm"),
        ),
        Step::new(
            "height to mow by",
            "height kept ÷ (1 − 1/3) (Purdue University AY-8, 1998)",
            vec![Value::number("kept", keep, "mm").from(if sward.area.mow_mm.is_some() {
                "yours"
            } else {
                "almanac, the grass's target"
            })],
            Value::number("mow by", due_height, "mm"),
        ),
    ];
    Some(Item {
        id: format!("mow:{}", sward.area.key),
        job: Job::Mow,
        title,
        places: vec![scene.place_of(&sward.area.key)],
        amounts,
        urgency,
        from: Some(begin.max(scene.on)),
        by: Some(by),
        window: Some(window),
        window_of: "a cut would take more than a third",
        why,
        findings: Vec::new(),
        cautions,
        working,
        assumed,
        log: vec![LogAs::new(
            "Log it",
            "mowed",
            &[
                ("areas", sward.area.key.clone()),
                ("height", scene.typed(Quantity::Depth, if tall { height * 2.0 / 3.0 } else { keep })),
            ],
        )],
    })
}

/// A lawn nobody wrote a mowing down of: no height is told, only the rule.
fn unknown_height(scene: &Scene<'_>, sward: &Sward<'_>, urgency: Urgency, why: String, assumed: Vec<String>) -> Item {
    let u = scene.units();
    let keep = sward.keep_mm();
    Item {
        id: format!("mow:{}", sward.area.key),
        job: Job::Mow,
        title: format!("Mow {} to {} when it is tall enough", sward.area.name, u.say(Quantity::Depth, keep)),
        places: vec![scene.place_of(&sward.area.key)],
        amounts: vec![format!("cut to {}, never more than a third at once", u.say(Quantity::Depth, keep))],
        urgency,
        from: Some(scene.on),
        by: None,
        window: None,
        window_of: "",
        why,
        findings: Vec::new(),
        cautions: Vec::new(),
        working: vec![Step::new(
            "height to mow from",
            "four thirds of the height kept (Purdue University AY-8, 1998: 3 in cut at 4 in)",
            vec![Value::number("kept", keep, "mm")],
            Value::number("mow from", keep * MOW_FROM, "mm"),
        )],
        assumed,
        log: vec![LogAs::new(
            "Log it",
            "mowed",
            &[("areas", sward.area.key.clone()), ("height", scene.typed(Quantity::Depth, keep))],
        )],
    }
}
