//! Real seasons watered over again: the advice beside a fixed timer and beside the least water possible.
//!
//! Weather: Champion, Nebraska (see demo/README.md). The years are a drought (2012) and the last whole ones of the record.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::trial::compared::compared;
use yard::advice::trial::{RATIO_MARK, SeasonTrial, season_trial, seasons};
use yard::{Yard, fold};

use crate::common::{champion, entries};

/// A deep-rooted lawn on silt loam and a shallow-rooted one on loam, watered when they need it.
const TWO_LAWNS: &str = "\
2017-01-01 yard name=Two latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2017-01-02 area name=Deep size=300 cover=turf soil=silt-loam grass=ttf
2017-01-02 area name=Shallow size=200 cover=turf soil=loam grass=kbg
2017-01-02 zone name=One areas=deep sprinkler=rotor rate=12 du=0.7
2017-01-02 zone name=Two areas=shallow sprinkler=spray rate=40 du=0.6
";

fn two_lawns() -> Yard {
    fold(&entries(TWO_LAWNS), date(2018, 5, 3))
}

fn trial(yard: &Yard, year: i16) -> SeasonTrial {
    season_trial(yard, &champion(), Almanac::embedded(), date(year, 5, 1), date(year, 9, 30)).unwrap()
}

/// The mark: within 5 % of the least water possible and no day of stress. What is reached, season by season, is written down here as it
/// is. The deep lawn never suffers; it meets the mark where rain is scarce or falls in small showers, and misses it where a
/// month's rain falls at once (2014: a quarter over, because only somebody who knows the day of the rain lets the soil run dry before it).
/// The shallow lawn holds less than two days' use: room for rain is small, and a day hotter than any of its date may catch it.
#[test]
fn advice_beside_the_least_possible() {
    // year, ratio of the deep and the shallow lawn at most, days of stress of the shallow lawn at most
    let reached = [
        (2012, 1.01, 1.02, 0),
        (2014, 1.26, 1.22, 1),
        (2015, 1.04, 1.15, 0),
        (2016, 1.06, 1.11, 0),
        (2017, 1.07, 1.15, 1),
    ];
    let yard = two_lawns();
    let mut met = 0;
    for (year, deep_most, shallow_most, days) in reached {
        let t = trial(&yard, year);
        let [deep, shallow] = &t.lawns[..] else { panic!("two lawns") };
        let ratio = |l: &yard::advice::trial::LawnTrial| l.advice.depth_mm / l.optimum.depth_mm;
        assert_eq!(deep.advice.stress_days, 0, "{year}");
        assert!(shallow.advice.stress_days <= days, "{year}: {}", shallow.advice.stress_days);
        assert!(
            ratio(deep) <= deep_most && ratio(shallow) <= shallow_most,
            "{year}: {} {}",
            ratio(deep),
            ratio(shallow)
        );
        // Knowing more never costs more: the optimum has fewer days of stress, or no more water.
        for lawn in &t.lawns {
            assert!(lawn.optimum.stress_days <= lawn.advice.stress_days);
            assert!(
                lawn.optimum.stress_days < lawn.advice.stress_days || ratio(lawn) > 0.999,
                "{year}: {}",
                ratio(lawn)
            );
            // What a faultless forecast to the next chance would gain: nearly all of the way to the optimum, by the same rule.
            let seen = lawn.foresight.depth_mm / lawn.optimum.depth_mm;
            assert!(seen < 1.08 && seen <= ratio(lawn) + 0.01, "{year}: {seen}");
            assert!(lawn.foresight.stress_days <= lawn.advice.stress_days);
            assert!(
                lawn.timer.stress_days > 10 * lawn.advice.stress_days.max(1),
                "the timer is set once for all weather"
            );
        }
        met += usize::from(ratio(deep) <= RATIO_MARK);
        assert!((t.advice.litres - t.lawns.iter().map(|l| l.advice.litres).sum::<f64>()).abs() < 1e-6);
    }
    assert!(met >= 2, "{met} of five seasons within 5 %");
}

/// What a forecast is worth in a rainy summer (2009, the demo's lawns, four days of watering a week): one as good as published takes a third
/// off the water over the least possible, without a day of stress. The mark of 5 % is missed all the same, by a faultless forecast too:
/// rain that is only forecast is never waited for, and where it comes the water that carries the lawn to the next chance is lost.
#[test]
fn what_a_forecast_is_worth() {
    let yard = fold(&entries(crate::common::DAYBOOK), date(2018, 5, 3));
    let season = (date(2009, 5, 1), date(2009, 9, 30));
    let c = compared(&yard, &champion(), Almanac::embedded(), season, 3, 2).unwrap();
    let [none, faultless, skilled] = c.ways.as_slice() else { panic!("three ways") };
    assert!(c.ways.iter().all(|w| w.stress_days.most == 0.0), "{:?}", c.ways);
    assert!((1.25..1.35).contains(&none.ratio.mean), "{none:?}");
    assert!(faultless.ratio.mean < 1.20 && skilled.trials == 2, "{faultless:?}");
    assert!(skilled.ratio.most - 1.0 < 0.75 * (none.ratio.mean - 1.0), "{skilled:?}");
    assert!(faultless.ratio.mean > RATIO_MARK && skilled.ratio.least > RATIO_MARK);
    assert!(skilled.ratio.least <= skilled.ratio.mean && skilled.ratio.mean <= skilled.ratio.most);
}

/// Nothing of the days to come is seen: the same season with other weather after its middle is watered the same up to there.
#[test]
fn the_trial_never_looks_ahead() {
    let yard = two_lawns();
    let middle = date(2015, 7, 1);
    let mut days = crate::common::champion_days();
    for day in days.iter_mut().filter(|d| d.date >= middle) {
        day.rain = Some(reckon::units::Millimetres::new(0.0));
        day.tmax = day.tmax.map(|t| t + reckon::units::Celsius::new(4.0));
    }
    let other = yard::Weather::build(crate::common::CHAMPION_PLACE, &days, Almanac::embedded()).unwrap();
    let to = middle.yesterday().unwrap();
    let of = |weather| season_trial(&yard, weather, Almanac::embedded(), date(2015, 5, 1), to).unwrap();
    let (a, b) = (of(&champion()), of(&other));
    assert_eq!(a, b);
    assert!(a.advice.runs > 5);
}

/// Only whole seasons of the record are taken, north and south; a season outside of it is none.
#[test]
fn only_whole_seasons() {
    let weather = champion();
    let all = seasons(&weather, Date::MIN, Date::MAX);
    assert_eq!(
        (all.len(), all[0], all[36]),
        (37, (date(1982, 5, 1), date(1982, 9, 30)), (date(2018, 5, 1), date(2018, 9, 30)))
    );
    assert_eq!(seasons(&weather, date(2015, 5, 2), date(2017, 9, 29)), [(date(2016, 5, 1), date(2016, 9, 30))]);
    let south = yard::Place { latitude_deg: -40.4, ..crate::common::CHAMPION_PLACE };
    let south = yard::Weather::build(south, &crate::common::champion_days(), Almanac::embedded()).unwrap();
    let summers = seasons(&south, date(2015, 1, 1), date(2017, 6, 30));
    assert_eq!(summers, [(date(2015, 11, 1), date(2016, 3, 31)), (date(2016, 11, 1), date(2017, 3, 31))]);
    let yard = two_lawns();
    assert_eq!(season_trial(&yard, &weather, Almanac::embedded(), date(2019, 5, 1), date(2019, 9, 30)), None);
    let bare = fold(
        &entries("2017-01-01 yard name=Bare latitude=40.4 longitude=-101.72 elevation=1029 units=metric"),
        date(2018, 5, 3),
    );
    assert_eq!(season_trial(&bare, &weather, Almanac::embedded(), date(2017, 5, 1), date(2017, 9, 30)), None);
}
