//! The built-in tables judged from outside: complete, consistent, and faithful to the figures their sources print.

use std::collections::BTreeSet;

use almanac::{ActiveKind, Almanac, Basis, Figure, Range, Season, Tolerance};

/// Grams per square metre of one pound per 1000 square feet.
const LB_PER_1000_SQ_FT: f64 = 4.882428;
/// Grams per square metre of one pound per acre.
const LB_PER_ACRE: f64 = 0.1120851;
/// Millimetres of an inch.
const INCH: f64 = 25.4;
/// The tables print two to four digits after the point.
const PRINTED: f64 = 0.006;

fn tables() -> &'static Almanac {
    Almanac::embedded()
}

fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want} within {tolerance}");
}

fn unique<'a>(table: &str, keys: impl Iterator<Item = &'a str>) {
    let mut seen = BTreeSet::new();
    for key in keys {
        assert!(!key.trim().is_empty(), "{table}: a key is empty");
        assert!(seen.insert(key), "{table}: the key {key} stands twice");
    }
    assert!(!seen.is_empty(), "{table} is empty");
}

fn ordered(what: &str, range: Range) {
    assert!(range.low.is_finite() && range.high.is_finite(), "{what}: not finite");
    assert!(range.low <= range.high, "{what}: {} above {}", range.low, range.high);
}

/// Every file parses; a fault names its file and line.
#[test]
fn all_files_parse() {
    if let Err(fault) = Almanac::parse() {
        panic!("{fault}");
    }
}

/// Keys find their row, and nothing else does.
#[test]
fn keys_unique_and_found() {
    let t = tables();
    unique("grasses", t.grasses.iter().map(|r| r.id.as_str()));
    unique("actives", t.actives.iter().map(|r| r.id.as_str()));
    unique("textures", t.textures.iter().map(|r| r.id.as_str()));
    unique("sprinklers", t.sprinklers.iter().map(|r| r.id.as_str()));
    unique("thresholds", t.thresholds.iter().map(|r| r.id.as_str()));
    if !t.climate.is_empty() {
        unique("climate", t.climate.iter().map(|r| r.id.as_str()));
    }
    let splits: BTreeSet<_> = t.nitrogen_splits.iter().map(|r| (r.season == Season::Cool, r.feeds)).collect();
    assert_eq!(splits.len(), t.nitrogen_splits.len(), "one split a season and number of feeds");
    for season in [Season::Cool, Season::Warm] {
        assert_eq!(t.crop_coefficients.iter().filter(|r| r.season == season).count(), 1);
        assert_eq!(t.crop_coefficient(season).season, season);
    }
    for id in ["kbg", "ttf", "prg", "crf", "chf", "haf", "ber", "zoy", "sta", "cen", "buf"] {
        assert_eq!(t.grass(id).map(|r| r.id.as_str()), Some(id));
    }
    for id in ["spray", "rotor", "stream", "drip"] {
        assert_eq!(t.sprinkler(id).map(|r| r.id.as_str()), Some(id));
    }
    assert_eq!(t.textures.len(), 12, "the twelve USDA textures");
    assert!(t.texture("silt-loam").is_some() && t.threshold("crab_first").is_some());
    assert!(t.grass("").is_none() && t.active("water").is_none() && t.texture("peat").is_none());
}

/// Every row, and every figure of an active, says where it comes from.
#[test]
fn every_row_has_a_source() {
    let t = tables();
    let mut rows: Vec<(String, &str)> = Vec::new();
    rows.extend(t.grasses.iter().map(|r| (r.id.clone(), r.source.as_str())));
    rows.extend(t.nitrogen_splits.iter().map(|r| (format!("{:?} {} feeds", r.season, r.feeds), r.source.as_str())));
    rows.extend(t.crop_coefficients.iter().map(|r| (format!("{:?} Kc", r.season), r.source.as_str())));
    rows.extend(t.textures.iter().map(|r| (r.id.clone(), r.source.as_str())));
    rows.extend(t.slopes.iter().map(|r| (format!("slope {}", r.up_to_pct), r.source.as_str())));
    rows.extend(t.sprinklers.iter().map(|r| (r.id.clone(), r.source.as_str())));
    rows.extend(t.thresholds.iter().map(|r| (r.id.clone(), r.source.as_str())));
    rows.extend(t.climate.iter().map(|r| (r.id.clone(), r.source.as_str())));
    rows.extend(t.insect_stages.iter().map(|r| (r.id.clone(), r.source.as_str())));
    for a in &t.actives {
        rows.push((a.id.clone(), &a.source));
        rows.push((format!("{} rate", a.id), &a.rate_source));
        rows.extend(a.tolerance.iter().map(|r| (format!("{} on {}", a.id, r.grass), r.source.as_str())));
        rows.extend(figures(a).into_iter().map(|(name, f)| (format!("{} {name}", a.id), f.source.as_str())));
    }
    for (row, source) in rows {
        assert!(!source.trim().is_empty(), "{row} names no source");
    }
}

/// A name in `from_memory` is a field of its row, so that a misspelt one cannot pass a recalled figure off as read.
#[test]
fn recalled_names_are_fields() {
    const GRASS: &[&str] = &[
        "mow_mm",
        "growth_mm_day",
        "nitrogen_g_m2",
        "root_m",
        "depletion_fraction",
        "germination_days",
        "germination_min_c",
        "germination_good_c",
        "germination_max_c",
        "first_mow_weeks",
        "seed_new_g_m2",
        "seed_over_g_m2",
        "sow_before_frost_days",
    ];
    const GROUND: &[&str] =
        &["intake_mm_h", "surface_storage_mm", "rate_mm_h", "du_lq", "low", "likely", "high", "start"];
    let t = tables();
    for r in &t.grasses {
        assert!(r.from_memory.iter().all(|n| GRASS.contains(&n.as_str())), "{}: {:?}", r.id, r.from_memory);
    }
    let ground = (t.textures.iter().map(|r| (&r.id, &r.from_memory)))
        .chain(t.sprinklers.iter().map(|r| (&r.id, &r.from_memory)))
        .chain(t.thresholds.iter().map(|r| (&r.id, &r.from_memory)));
    for (id, names) in ground {
        assert!(names.iter().all(|n| GROUND.contains(&n.as_str())), "{id}: {names:?}");
    }
}

/// Mowing heights rise from low over target to high; every range runs upward; temperatures of seed are in order.
#[test]
fn grasses_in_order() {
    for g in &tables().grasses {
        let [low, target, high] = g.mow_mm;
        assert!(0.0 < low && low <= target && target <= high, "{}: mowing {:?}", g.id, g.mow_mm);
        for (what, range) in [
            ("growth", g.growth_mm_day),
            ("root", g.root_m),
            ("germination days", g.germination_days),
            ("good soil", g.germination_good_c),
            ("first mowing", g.first_mow_weeks),
        ] {
            ordered(&format!("{} {what}", g.id), range);
            assert!(range.low > 0.0, "{} {what}", g.id);
        }
        for pair in g.nitrogen_g_m2.windows(2) {
            assert!(pair[0].low <= pair[1].low && pair[0].high <= pair[1].high, "{}: nitrogen by care", g.id);
        }
        for range in g.nitrogen_g_m2.into_iter().chain(g.seed_new_g_m2).chain(g.seed_over_g_m2) {
            ordered(&format!("{} nitrogen or seed", g.id), range);
        }
        if let (Some(new), Some(over)) = (g.seed_new_g_m2, g.seed_over_g_m2) {
            assert!(over.middle() <= new.middle(), "{}: overseeding takes no more seed than bare ground", g.id);
        }
        assert!(g.germination_min_c <= g.germination_good_c.low, "{}: good soil below the minimum", g.id);
        assert!(g.germination_max_c.is_none_or(|max| max >= g.germination_good_c.high), "{}: maximum", g.id);
        assert_eq!(
            g.germination_max_c.is_some(),
            g.season == Season::Cool,
            "{}: only cool-season seed fails hot",
            g.id
        );
        assert!((0.1..=0.8).contains(&g.depletion_fraction), "{}: depletion fraction", g.id);
    }
}

/// St. Augustinegrass alone has no seed.
#[test]
fn only_st_augustine_is_never_sown() {
    let unsown: Vec<_> = tables().grasses.iter().filter(|g| g.seed_new_g_m2.is_none()).map(|g| g.id.as_str()).collect();
    assert_eq!(unsown, ["sta"]);
    assert!(tables().grass("sta").is_some_and(|g| g.seed_over_g_m2.is_none()));
}

/// The months' shares are a whole; slow-release months are months that are fed.
#[test]
fn nitrogen_shares_sum_to_one() {
    for r in &tables().nitrogen_splits {
        close(r.share.iter().sum(), 1.0, 1e-9, "sum of shares");
        assert!(r.share.iter().all(|s| (0.0..=1.0).contains(s)));
        assert_eq!(r.share.iter().filter(|s| **s > 0.0).count(), usize::from(r.feeds), "a month a feed");
        for month in &r.slow_only_months {
            assert!((1..=12).contains(month) && r.share[usize::from(*month) - 1] > 0.0, "slow month {month}");
        }
    }
}

/// A number of feeds without a row takes the nearest, and the fewer on a tie.
#[test]
fn nitrogen_split_takes_the_nearest() {
    let feeds = |season, n| tables().nitrogen_split(season, n).map(|r| r.feeds);
    assert_eq!([0, 1, 2, 3, 4, 9].map(|n| feeds(Season::Cool, n)), [1, 1, 2, 3, 4, 4].map(Some));
    assert_eq!([0, 3, 255].map(|n| feeds(Season::Warm, n)), [1, 3, 4].map(Some));
}

/// Steeper ground never takes or holds more water, and any slope at all finds a class.
#[test]
fn slopes_in_order() {
    let t = tables();
    for pair in t.slopes.windows(2) {
        assert!(pair[0].up_to_pct < pair[1].up_to_pct);
        assert!(pair[0].intake_factor >= pair[1].intake_factor && pair[0].storage_factor >= pair[1].storage_factor);
    }
    assert!(t.slopes.iter().all(|r| r.intake_factor > 0.0 && r.storage_factor > 0.0));
    let intake = |slope| t.slope_class(slope).intake_factor;
    assert_eq!([0.0, 5.0, 5.1, 8.0, 12.0, 20.0, 33.0].map(intake), [1.0, 1.0, 0.8, 0.8, 0.6, 0.4, 0.25]);
    assert_eq!([1e9, f64::INFINITY, f64::NAN].map(intake), [0.25; 3]);
    assert_eq!(intake(-10.0), intake(10.0), "downhill is as steep as uphill");
}

/// Soils, sprinklers and thresholds lie in range and in order.
#[test]
fn ground_in_order() {
    let t = tables();
    for r in &t.textures {
        ordered(&r.id, r.intake_mm_h);
        assert!(r.sand_pct >= 0.0 && r.clay_pct >= 0.0 && r.sand_pct + r.clay_pct <= 100.0, "{}", r.id);
        assert!(r.intake_mm_h.low > 0.0 && r.surface_storage_mm > 0.0, "{}", r.id);
    }
    for r in &t.sprinklers {
        ordered(&r.id, r.rate_mm_h);
        assert!(r.rate_mm_h.low > 0.0 && (0.0..=1.0).contains(&r.du_lq), "{}", r.id);
    }
    for r in &t.thresholds {
        assert!(r.low <= r.likely && r.likely <= r.high, "{}", r.id);
        let degree_days = r.unit == "°C·d";
        assert!(degree_days || r.unit == "°C", "{}: unit {}", r.id, r.unit);
        assert_eq!((r.base_c.is_some(), r.start.is_some()), (degree_days, degree_days), "{}: base and start", r.id);
        if let Some([month, day]) = r.start {
            assert!((1..=12).contains(&month) && (1..=28).contains(&day), "{}: start {month}-{day}", r.id);
        }
    }
    for r in &t.crop_coefficients {
        assert!(r.kc.iter().all(|kc| (0.05..=1.05).contains(kc)), "range of Romero and Dukes 2016");
    }
    for r in &t.climate {
        assert!(r.latitude_deg.abs() <= 90.0 && r.longitude_deg.abs() <= 180.0, "{}", r.id);
        assert!(r.tmin_c.iter().zip(&r.tmax_c).all(|(low, high)| low < high), "{}: temperatures", r.id);
        assert!(r.rain_mm.iter().all(|mm| *mm >= 0.0), "{}: rain", r.id);
    }
}

/// A place that is in the table is nearest to itself; without numbers there is no nearest.
#[test]
fn nearest_climate_finds_itself() {
    let t = tables();
    for r in &t.climate {
        let found = t.nearest_climate(r.latitude_deg, r.longitude_deg);
        assert!(found.is_some_and(|(_, km)| km < 1e-6), "{}", r.id);
    }
    assert!(t.nearest_climate(f64::NAN, 0.0).is_none() && t.nearest_climate(40.0, f64::INFINITY).is_none());
    assert_eq!(t.nearest_climate(40.0, -100.0).is_some(), !t.climate.is_empty());
}

fn figures(a: &almanac::Active) -> Vec<(&'static str, &Figure)> {
    let mut all = Vec::new();
    for (name, figure) in [
        ("applications a year", &a.applications_a_year),
        ("interval", &a.interval_days),
        ("seedling mowings", &a.seedling_mowings),
        ("seedling days", &a.seedling_days),
        ("water in", &a.water_in_mm),
        ("water in within", &a.water_in_within_days),
        ("rain free", &a.rain_free_hours),
        ("temperature minimum", &a.temperature_min_c),
        ("temperature maximum", &a.temperature_max_c),
        ("mow before", &a.mow_before_days),
        ("mow after", &a.mow_after_days),
        ("water buffer", &a.water_buffer_m),
    ] {
        all.extend(figure.iter().map(|f| (name, f)));
    }
    all.extend(a.yearly_max.iter().map(|r| ("yearly maximum", &r.g_m2)));
    all.extend(a.seed_wait.iter().flat_map(|r| [("stop", &r.stop_below_days), ("caution", &r.caution_below_days)]));
    all
}

/// Grass keys in active rows exist; figures are sane; a single dose at the low rate never breaks the yearly maximum.
#[test]
fn actives_consistent() {
    let t = tables();
    assert!(t.actives.len() >= 20, "{} actives", t.actives.len());
    for a in &t.actives {
        ordered(&format!("{} rate", a.id), a.rate_g_m2);
        assert!(a.rate_g_m2.low > 0.0, "{}: rate", a.id);
        assert!(!a.sites.is_empty() && !a.group.is_empty() && !a.controls.is_empty(), "{}", a.id);
        let named = (a.tolerance.iter().map(|r| &r.grass))
            .chain(a.seed_wait.iter().flat_map(|r| &r.grasses))
            .chain(a.yearly_max.iter().flat_map(|r| &r.grasses));
        for grass in named {
            assert!(t.grass(grass).is_some(), "{} names the unknown grass {grass}", a.id);
        }
        let grasses: BTreeSet<_> = a.tolerance.iter().map(|r| &r.grass).collect();
        assert_eq!(grasses.len(), a.tolerance.len(), "{}: one tolerance a grass", a.id);
        for (name, figure) in figures(a) {
            assert!(figure.value.is_finite() && figure.value >= 0.0, "{} {name}", a.id);
        }
        for r in &a.seed_wait {
            assert!(r.stop_below_days.value <= r.caution_below_days.value, "{}: stop after caution", a.id);
        }
        for r in &a.yearly_max {
            assert!(a.rate_g_m2.low <= r.g_m2.value + 5e-5, "{}: rate above the yearly maximum", a.id);
        }
        if let Some(weeks) = a.barrier_weeks {
            ordered(&format!("{} barrier", a.id), weeks);
        }
        assert_eq!(a.barrier_weeks.is_some(), a.kind == ActiveKind::Preventer, "{}: barrier of a preventer", a.id);
        if let (Some(min), Some(max)) = (&a.temperature_min_c, &a.temperature_max_c) {
            assert!(min.value < max.value, "{}: temperatures", a.id);
        }
    }
}

/// The row that names the grass wins over the row that names none.
#[test]
fn a_named_grass_has_its_own_row() -> Result<(), &'static str> {
    let prodiamine = tables().active("prodiamine").ok_or("prodiamine")?;
    let max = |grass| prodiamine.yearly_max_for(grass).map_or(f64::NAN, |r| r.g_m2.value);
    assert!(max("crf") < max("kbg") && max("kbg") < max("ttf"));
    close(max("unknown"), 1.5 * LB_PER_ACRE, 1e-5, "row without grasses");
    let siduron = tables().active("siduron").ok_or("siduron")?;
    let stop = |grass| siduron.seed_wait_for(grass).map_or(f64::NAN, |r| r.stop_below_days.value);
    assert!(stop("kbg") == 0.0 && stop("ber") > 0.0);
    assert_eq!(siduron.tolerance_of("ber").map(|r| r.tolerance), Some(Tolerance::Injured));
    assert!(siduron.tolerance_of("sta").is_none(), "nothing known");
    Ok(())
}

/// Waits against the days the trials print. Keeley and Zhou 2005, Weed Technology 19(1), slit sowing of Kentucky
/// bluegrass: 11, 10 and 16 weeks after dithiopyr, pendimethalin and prodiamine. Johnson and Bundschuh 1993, Weed
/// Technology 7:169–173: 8 weeks for tall fescue and perennial ryegrass after dithiopyr granules at 0.56 kg/ha.
#[test]
fn seed_waits_match_the_trials() {
    for (active, grass, weeks) in [
        ("dithiopyr", "kbg", 11.0),
        ("pendimethalin", "kbg", 10.0),
        ("prodiamine", "kbg", 16.0),
        ("dithiopyr", "ttf", 8.0),
        ("dithiopyr", "prg", 8.0),
    ] {
        let wait = tables().active(active).and_then(|a| a.seed_wait_for(grass));
        assert!(
            wait.is_some_and(|w| w.stop_below_days.value == weeks * 7.0 && w.stop_below_days.basis == Basis::Published),
            "{active} before {grass}"
        );
    }
}

/// Converted figures against the figures the sources print.
#[test]
fn conversions_match_the_sources() -> Result<(), &'static str> {
    let t = tables();
    let kbg = t.grass("kbg").ok_or("kbg")?;
    let seed = kbg.seed_new_g_m2.ok_or("kbg seed")?;
    close(seed.low, LB_PER_1000_SQ_FT, PRINTED, "Cornell, Seeding rates: 1 lb/1000 sq ft");
    close(seed.high, 3.0 * LB_PER_1000_SQ_FT, PRINTED, "Cornell, Seeding rates: 3 lb/1000 sq ft");
    close(kbg.mow_mm[2], 3.5 * INCH, 0.05, "Purdue AY-8: 3.5 in");
    close(kbg.nitrogen_g_m2[2].high, 4.0 * LB_PER_1000_SQ_FT, PRINTED, "Maine YardScaping: 4 lb N/1000 sq ft");
    let ttf = t.grass("ttf").ok_or("ttf")?;
    close(ttf.mow_mm[2], 4.0 * INCH, 0.05, "Purdue AY-8: 4.0 in");
    close(ttf.germination_min_c, 10.0, 0.05, "University of Nebraska, Sustainable Acreage Ground Covers: 50 °F");
    let cen = t.grass("cen").ok_or("cen")?;
    close(cen.nitrogen_g_m2[0].high, 0.4 * LB_PER_1000_SQ_FT, PRINTED, "UF/IFAS centipedegrass: 0.4 lb N/1000 sq ft");

    let mesotrione = t.active("mesotrione").and_then(|a| a.yearly_max_for("kbg")).ok_or("mesotrione")?;
    close(mesotrione.g_m2.value, 0.056, 1e-4, "HortScience 53(11):1689: 560 g/ha a year");
    let dithiopyr = t.active("dithiopyr").ok_or("dithiopyr")?;
    close(dithiopyr.rate_g_m2.high, 0.056, 1e-4, "Keeley and Zhou 2005: 0.56 kg/ha");
    let pendimethalin = t.active("pendimethalin").ok_or("pendimethalin")?;
    close(pendimethalin.rate_g_m2.high, 0.336, 5e-4, "Keeley and Zhou 2005: 3.36 kg/ha");
    let gluten = t.active("corn-gluten").ok_or("corn-gluten")?;
    close(gluten.rate_g_m2.high, 20.0 * LB_PER_1000_SQ_FT, PRINTED, "Pacific Northwest handbook: 20 lb/1000 sq ft");
    let isoxaben = t.active("isoxaben").ok_or("isoxaben")?;
    close(isoxaben.rate_g_m2.high, LB_PER_ACRE, 1e-4, "Pacific Northwest handbook: 1.0 lb/A");
    let two_four_d = t.active("2,4-d").ok_or("2,4-d")?;
    let hot = two_four_d.temperature_max_c.as_ref().ok_or("2,4-d heat")?;
    close(hot.value, 32.2, 0.05, "three-way label text: 90 °F");

    let first = t.threshold("crab_first").ok_or("crab_first")?;
    assert_eq!((first.low, first.high), (42.0, 78.0), "Fidanza, Dernoeden and Zhang 1996 print 42–78");
    assert_eq!((first.base_c, first.start), (Some(12.0), Some([4, 1])), "same, base 12 °C, from 1 April");
    let pre = t.threshold("crab_pre").ok_or("crab_pre")?;
    close(pre.low, 250.0 / 1.8, 0.05, "University of Wisconsin: 250 °F·d over 32 °F");
    close(pre.high, 500.0 / 1.8, 0.05, "University of Wisconsin: 500 °F·d over 32 °F");
    let soil = t.threshold("crab_pre_soil").ok_or("crab_pre_soil")?;
    close(soil.high, 12.8, 0.05, "Michigan State University: 55 °F");

    let silt_loam = t.texture("silt-loam").ok_or("silt-loam")?;
    assert_eq!((silt_loam.sand_pct, silt_loam.clay_pct), (20.0, 15.0), "Saxton and Rawls 2006, Table 3");
    // University of California, Turfgrass Crop Coefficients, Table 1: April and July of each season.
    let cool = t.crop_coefficient(Season::Cool).kc;
    let warm = t.crop_coefficient(Season::Warm).kc;
    assert_eq!([cool[3], cool[6], warm[3], warm[6]], [1.04, 0.94, 0.72, 0.71]);
    let spray = t.sprinkler("spray").ok_or("spray")?;
    close(spray.rate_mm_h.high, 2.0 * INCH, PRINTED, "Texas watering FAQ: about 2 in/h");
    Ok(())
}

/// The fault table refers only to its own rows, every row of likelihoods sums to one, every symptom has causes and tests,
/// every cause can be told from the default by some test, and a test that opens a wire, a valve or a box names its danger.
#[test]
fn faults_hold_together() {
    let t = &tables().faults;
    unique("symptoms", t.symptoms.iter().map(|r| r.id.as_str()));
    unique("fault tests", t.tests.iter().map(|r| r.id.as_str()));
    unique("causes", t.causes.iter().map(|r| r.id.as_str()));
    assert!(t.causes.len() >= 24, "{} causes", t.causes.len());
    for s in &t.symptoms {
        assert!(s.checklist.iter().all(|id| t.test(id).is_some()), "{}: a test that is not there", s.id);
        assert!(t.causes.iter().filter(|c| c.weights.contains_key(&s.id)).count() >= 2, "{}: too few causes", s.id);
    }
    for test in &t.tests {
        unique(&test.id, test.outcomes.iter().map(|o| o.id.as_str()));
        assert!(test.minutes > 0.0 && !test.how.is_empty() && !test.source.is_empty(), "{}", test.id);
        assert!(test.given.keys().all(|id| t.cause(id).is_some()), "{}: a cause that is not there", test.id);
        for row in test.given.values().chain([&test.default]) {
            assert_eq!(row.len(), test.outcomes.len(), "{}", test.id);
            close(row.iter().sum(), 1.0, 1e-9, &test.id);
        }
        for after in &test.after {
            let before = t.test(&after.test).map(|b| after.outcomes.iter().all(|o| b.outcome(o).is_some()));
            assert_eq!(before, Some(true), "{} comes after an outcome that is not there", test.id);
        }
    }
    for cause in &t.causes {
        assert!(cause.weights.iter().all(|(s, w)| t.symptom(s).is_some() && *w > 0.0), "{}", cause.id);
        assert!(!cause.steps.is_empty() && !cause.source.is_empty(), "{}", cause.id);
        for symptom in cause.weights.keys() {
            let told = |id: &String| t.test(id).is_some_and(|test| test.given.contains_key(&cause.id));
            let checklist = t.symptom(symptom).map(|s| s.checklist.iter().any(told));
            assert_eq!(checklist, Some(true), "{symptom}: no test tells {}", cause.id);
        }
    }
    for id in ["coil_ohms", "circuit_ohms", "swap_coil", "swap_terminal", "splice_look", "wires_off", "fuse_look"] {
        let safety = &t.test(id).map(|r| r.safety.join(" ")).unwrap_or_default();
        assert!(safety.contains("plug"), "{id}: power off at the plug before a wire is touched");
    }
    for id in ["transformer_volts", "terminal_volts", "sensor_bypass"] {
        let safety = &t.test(id).map(|r| r.safety.join(" ")).unwrap_or_default();
        assert!(safety.contains("24 V side"), "{id}: only the low-voltage side");
    }
    for id in ["open_valve", "swap_coil"] {
        let safety = &t.test(id).map(|r| r.safety.join(" ")).unwrap_or_default();
        assert!(safety.contains("Shut the irrigation main"), "{id}: water off first");
    }
    for id in ["wire_cut", "common_cut", "lateral_broken", "lateral_pinched", "mainline_leak"] {
        let safety = &t.cause(id).map(|r| r.safety.join(" ")).unwrap_or_default();
        assert!(safety.contains("before any digging"), "{id}: lines marked before digging");
    }
}

/// Stages of insects: in order, of a cause or of plants, with a start and a way to look; the sums are the sources' Fahrenheit figures
/// over 1.8. Soil lines are 65 and 70 °F.
#[test]
fn insect_stages_hold_together() {
    let t = tables();
    unique("insect stages", t.insect_stages.iter().map(|r| r.id.as_str()));
    for s in &t.insect_stages {
        let summed = matches!(s.method, almanac::StageMethod::Average | almanac::StageMethod::SingleSine);
        let floor = if summed && s.after_seen.is_none() { s.low > 0.0 } else { s.low >= 0.0 };
        assert!(floor && s.low <= s.high && s.upper_c.is_none_or(|u| u > s.base_c), "{}", s.id);
        assert!(summed || (s.low == s.high && s.low < 30.0 && s.lasts_days.is_some()), "{}", s.id);
        assert!(s.grasses.iter().all(|g| t.grass(g).is_some()), "{}", s.id);
        assert!(s.cause.as_ref().is_none_or(|c| t.cause(c).is_some()), "{}: a cause that is not there", s.id);
        let told = [s.cause.is_some(), !s.plants.is_empty(), !s.grasses.is_empty()];
        assert_eq!(told.iter().filter(|x| **x).count(), 1, "{}: a cause, plants or grasses", s.id);
        assert!((1..=12).contains(&s.start[0]) && (1..=28).contains(&s.start[1]), "{}", s.id);
        assert!(!s.look.is_empty() && !s.place.is_empty() && !s.stage.is_empty(), "{}", s.id);
        assert_eq!(s.basis == almanac::Ground::FromMemory, s.source.contains("recalled"), "{}", s.id);
    }
    for (id, low_f, high_f) in [
        ("japanese-beetle-first", 971.0, 971.0),
        ("bagworm-hatch", 600.0, 630.0),
        ("spruce-mite-spring", 100.0, 200.0),
        ("spruce-mite-autumn", 2375.0, 2375.0),
        ("leafminer-first", 245.0, 360.0),
        ("fletcher-scale", 900.0, 1200.0),
        ("leafminer-second", 533.0, 700.0),
        ("leafminer-third", 1700.0, 2100.0),
        ("euonymus-scale", 500.0, 700.0),
        ("cutworm-cutting", 312.0, 364.0),
        ("annual-bluegrass-weevil-adults", 80.0, 150.0),
        ("annual-bluegrass-weevil-larvae", 175.0, 300.0),
    ] {
        let row = t.insect_stages.iter().find(|r| r.id == id);
        let (low, high) = row.map_or((0.0, 0.0), |r| (r.low, r.high));
        close(low, low_f / 1.8, 0.06, id);
        close(high, high_f / 1.8, 0.06, id);
    }
}

/// Pipes: the average inside diameter is the mean outside diameter less two mean walls, as ASTM D1785-88 prints both (mm; a
/// maker's extract of its table); SDR 11 is an outside diameter eleven walls wide by definition, walls rounded up to 0.1 mm.
#[test]
fn pipes_are_what_their_standards_leave_inside() {
    let h = &tables().hydraulics;
    // size, outside diameter least and most, wall least and most
    let schedule_40 = [
        ("1/2", 21.24, 21.44, 2.77, 3.28),
        ("3/4", 26.57, 26.77, 2.87, 3.38),
        ("1", 33.27, 33.53, 3.38, 3.89),
        ("1-1/4", 42.03, 42.29, 3.56, 4.07),
        ("1-1/2", 48.11, 48.41, 3.68, 4.19),
        ("2", 60.17, 60.47, 3.91, 4.42),
    ];
    let pvc = h.pipe("pvc-40").unwrap();
    for (size, outside_least, outside_most, wall_least, wall_most) in schedule_40 {
        let inside = (outside_least + outside_most) / 2.0 - wall_least - wall_most;
        close(pvc.inside_mm[size], inside, 0.2, size);
    }
    for (size, inside) in &h.pipe("pe-80").unwrap().inside_mm {
        let outside: f64 = size.trim_end_matches("mm").parse().unwrap();
        close(*inside, outside * (1.0 - 2.0 / 11.0), 0.4, size);
    }
}

/// Meters: rows of the AWWA table of losses at about half the highest safe flow (psi at gal/min), which the square of the
/// row kept here must give within 0.3 psi.
#[test]
fn meters_lose_what_their_table_prints() {
    let (psi, gpm) = (6.894757, 3.785412);
    for (size, flow, printed) in
        [("5/8", 10.0, 3.7), ("3/4", 15.0, 3.6), ("1", 26.0, 4.0), ("1-1/2", 50.0, 4.9), ("2", 80.0, 4.9)]
    {
        let meter = tables().hydraulics.meter(size).unwrap();
        close(meter.loss_kpa * (flow * gpm / meter.safe_lpm).powi(2) / psi, printed, 0.3, size);
    }
}

/// Hydraulics: keys unique, sizes in order, every pipe's fittings told for each of its sizes, pressures in order, sources there.
#[test]
fn hydraulics_hang_together() {
    let h = &tables().hydraulics;
    unique("pipes", h.pipes.iter().map(|r| r.id.as_str()));
    unique("meters", h.meters.iter().map(|r| r.size.as_str()));
    unique("backflow preventers", h.backflows.iter().map(|r| r.id.as_str()));
    unique("valves", h.valves.iter().map(|r| r.size.as_str()));
    unique("limits", h.limits.iter().map(|r| r.id.as_str()));
    for pipe in &h.pipes {
        let fittings = h.fittings(pipe).unwrap_or_else(|| panic!("{}: no fittings", pipe.id));
        assert!((100.0..=150.0).contains(&pipe.c), "{}: C {}", pipe.id, pipe.c);
        for size in pipe.inside_mm.keys() {
            let [run, elbow, side] = [&fittings.tee_run_m, &fittings.elbow_m, &fittings.tee_side_m].map(|f| f[size]);
            assert!(0.0 < run && run <= elbow && elbow < side, "{} {size}: {run} {elbow} {side}", pipe.id);
        }
        assert!(!pipe.source.trim().is_empty());
        assert!(pipe.from_memory.iter().all(|f| ["inside_mm", "c"].contains(&f.as_str())), "{}", pipe.id);
    }
    let wider = h.pipe("pe").unwrap();
    assert_eq!((wider.next_wider("3/4"), wider.next_wider("2")), (Some("1"), None));
    assert!(h.meters.is_sorted_by(|a, b| a.safe_lpm < b.safe_lpm));
    for (id, opening, loss, from_memory, source) in h
        .backflows
        .iter()
        .map(|r| (&r.id, r.opening_kpa, r.loss_kpa, &r.from_memory, &r.source))
        .chain(h.valves.iter().map(|r| (&r.size, r.opening_kpa, r.loss_kpa, &r.from_memory, &r.source)))
    {
        assert!(opening <= loss, "{id}: opens at {opening}, loses {loss}");
        assert!(from_memory.iter().all(|f| ["opening_kpa", "loss_kpa"].contains(&f.as_str())), "{id}");
        assert!(!source.trim().is_empty(), "{id} names no source");
    }
    for kind in &tables().sprinklers {
        let w = h.working(&kind.id).unwrap_or_else(|| panic!("{}: no working pressures", kind.id));
        assert!(w.low_kpa < w.design_kpa && w.design_kpa < w.high_kpa, "{}", kind.id);
        assert!(!w.source.trim().is_empty());
    }
    for limit in &h.limits {
        assert!(limit.value > 0.0 && !limit.source.trim().is_empty(), "{}", limit.id);
    }
}
