//! The shed: what is left, what a visit takes, what to buy, what it cost, what the label says against what is typical.

use almanac::Almanac;
use jiff::civil::{Date, date};
use yard::advice::checks::check_application;
use yard::advice::{Finding, Level, Scene};
use yard::entry::{Body, Work};
use yard::shed::{Told, buy, confirm, costs, limits, planned_need, shelf, shelf_words, soil_verdict, visit_amounts};
use yard::{Units, fold};

use crate::common::{champion, entries};

const BASE: &str = "
2016-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=3376 units=us-customary
2016-01-02 area name=Front size=4000 grass=kbg soil=loam
2016-01-02 area name=Back size=6000 grass=ttf soil=loam
2016-01-02 zone name=Z1 areas=front sprinkler=spray
2016-01-02 product name=feed n=24 packs=\"40 lb = 58; 15 lb = 25\"
2016-01-02 product name=weedkiller form=liquid actives=\"2,4-d 26, mcpp 7, dicamba 3\" packs=\"32 fl oz = 24\"
2016-01-02 product name=preventer actives=\"prodiamine 0.48\"
";

fn yard(lines: &str, on: Date) -> yard::Yard {
    fold(&entries(&format!("{BASE}{lines}")), on)
}

const MAY: Date = date(2016, 5, 15);

fn pounds(kg: f64) -> f64 {
    kg / 0.453_592_37
}

/// A count, what was bought and what was put down since, by hand: 20 lb counted, 80 lb bought, 3 lb/1000 sq ft on 10,000 sq ft.
#[test]
fn what_is_left() {
    let lines = "2016-03-01 bought what=feed product=feed amount_in=40 cost=58\n\
                 2016-03-10 counted product=feed left=20\n\
                 2016-03-20 bought what=feed product=feed amount_in=\"80 lb\" cost=110\n\
                 2016-04-20 applied areas=front,back product=feed rate=3\n";
    let y = yard(lines, MAY);
    let left = shelf(&y, y.product("feed").unwrap());
    assert!((pounds(left.left_kg) - (20.0 + 80.0 - 30.0)).abs() < 1e-9, "{left:?}");
    assert_eq!(left.counted_on, Some(date(2016, 3, 10)));
    // 168 for 120 lb, whatever was counted since.
    assert!((left.price_per_kg.unwrap() * 0.453_592_37 - 168.0 / 120.0).abs() < 1e-9);
    let words = shelf_words(&y, y.product("feed").unwrap(), 90.0 * 0.453_592_37).unwrap();
    assert!(
        words.contains("70.0 lb should")
            && words.contains("20.0 lb short")
            && words.contains("buy 2 × 15.0 lb, $50.00"),
        "{words}"
    );
    assert!(shelf_words(&y, y.product("feed").unwrap(), 30.0).unwrap().contains("enough"));
    assert_eq!(shelf_words(&y, y.product("preventer").unwrap(), 3.0), None, "nothing is known of that shelf");
}

/// Packs of 40 lb at 58 and 15 lb at 25, by hand: for 50 lb, 40 + 15 = 83 beats 2 × 40 = 116 and 4 × 15 = 100.
#[test]
fn what_to_buy() {
    let y = yard("", MAY);
    let feed = y.product("feed").unwrap();
    let found = buy(feed, 50.0 * 0.453_592_37, 0.0).unwrap();
    assert_eq!(found.cost, Some(83.0), "{found:?}");
    assert!((pounds(found.left_over_kg) - 5.0).abs() < 0.01);
    assert_eq!(buy(feed, 10.0, 10.0), None);
}

/// Exactly a bag is one bag, though a pound is no whole number of grams.
#[test]
fn exactly_a_bag_is_one_bag() {
    let y = yard("", MAY);
    let found = buy(y.product("feed").unwrap(), 40.0 * 0.453_592_37, 0.0).unwrap();
    assert_eq!((found.cost, found.packs.len()), (Some(58.0), 1), "{found:?}");
}

/// What was put down on an area of plain size counts at the size told then, also once the area is given up or told anew; and of one
/// day the count goes before what was bought after it was written.
#[test]
fn the_past_keeps_its_size() {
    let used =
        "2016-03-01 bought what=feed product=feed amount_in=100\n2016-04-01 applied areas=front product=feed rate=3\n";
    let left = |more: &str| {
        let y = yard(&format!("{used}{more}"), MAY);
        pounds(shelf(&y, y.product("feed").unwrap()).left_kg)
    };
    assert!((left("") - 88.0).abs() < 1e-9);
    assert!((left("2016-05-01 area name=Front size=8000 grass=kbg soil=loam\n") - 88.0).abs() < 1e-9);
    assert!((left("2016-05-01 area name=Front size=4000 grass=kbg soil=loam retired=yes\n") - 88.0).abs() < 1e-9);
    assert!(
        (left("2016-05-02 counted product=feed left=0\n2016-05-02 bought what=feed product=feed amount_in=40\n")
            - 40.0)
            .abs()
            < 1e-9
    );
}

/// Facts of the trade, worked there: setting 6 lays 4.0 lb/1000 sq ft and setting 4 lays 2.5, so 3.125 wants 4.83. Asked for twice
/// that, for the visit goes over the ground twice at half the rate. 0.75 lb on 5 ft × 50 ft = 250 sq ft are 3.0 lb/1000.
#[test]
fn the_spreader_is_set_from_trials() {
    let lines = "2016-03-01 spreader spreader=red product=feed trials=\"4, 0.625, 5, 50; 6, 1.0, 5, 50\"\n";
    let y = yard(lines, MAY);
    let feed = y.product("feed").unwrap();
    let rate = 2.0 * 3.125 * 4.882_427_636;
    let found = visit_amounts(&y, feed, rate, 400.0);
    assert!(found[0].0.contains("red: setting 4.8 for half the rate"), "{found:?}");
    let beyond = visit_amounts(&y, feed, 5.0 * rate, 400.0);
    assert!(beyond[0].0.contains("beyond your trials"), "{beyond:?}");
    assert!(visit_amounts(&y, y.product("preventer").unwrap(), 12.0, 400.0).is_empty(), "not tried with that product");
}

/// Facts of the trade, example A: 1.5 fl oz and 1 gal on 1,000 sq ft, a tank of 4 gal, 6,300 sq ft: 6.0 fl oz in the full tank, then
/// 2.3 gal with 3.45 fl oz.
#[test]
fn the_tanks_are_mixed_from_a_trial() {
    let lines = "2016-03-01 sprayer sprayer=back tank=4 used=0.5 ground=500\n";
    let y = yard(lines, MAY);
    let rate = 1.5 * 29.573_529_562_5 / 92.903_04;
    let found = visit_amounts(&y, y.product("weedkiller").unwrap(), rate, 6_300.0 * 0.092_903_04);
    let words = &found[0].0;
    assert!(
        words.contains("1 full tank of 4")
            && words.contains("with 6")
            && words.contains("2.3")
            && words.contains("3.45"),
        "{words}"
    );
}

/// Money by year, by job and by area: purchases by their day, product by what the ground took at its mean price, split by size.
#[test]
fn what_it_cost() {
    let lines = "2015-12-01 bought what=hose cost=30\n\
                 2016-03-01 bought what=feed product=feed amount_in=100 cost=150\n\
                 2016-04-20 applied areas=front,back product=feed rate=3\n\
                 2016-04-25 repaired done=\"head replaced\" zone=z1 cost=9\n\
                 2016-05-01 applied areas=front product=preventer rate=2\n";
    let y = yard(lines, MAY);
    let all = costs(&y, date(2015, 1, 1), MAY);
    assert_eq!(all.spent_by_year.get(&2015), Some(&30.0));
    assert_eq!(all.spent_by_year.get(&2016), Some(&159.0));
    // 3 lb/1000 at 1.50: 12 lb on 4,000 sq ft are 18, 18 lb on 6,000 are 27; the repair is the front's.
    let near = |key: &str, want: f64| assert!((all.by_area[key] - want).abs() < 1e-9, "{key}: {:?}", all.by_area);
    near("front", 18.0 + 9.0);
    near("back", 27.0);
    near("", 30.0);
    assert!((all.by_job["feeding"] - 45.0).abs() < 1e-9);
    assert_eq!(all.by_job["repairs"], 9.0);
    assert_eq!(all.without_price, 1, "nobody knows what the preventer cost");
    let sum: f64 = all.lines.iter().map(|l| l.amount).sum();
    assert!((sum - all.by_area.values().sum::<f64>()).abs() < 1e-9);
    let later = costs(&y, date(2016, 4, 22), MAY);
    assert_eq!(later.lines.len(), 1, "{:?}", later.lines);
}

/// Work planned ahead, by product: 3 lb/1000 on 4,000 sq ft are 12 lb.
#[test]
fn what_plans_will_take() {
    let y = yard("2016-06-01 plan-apply areas=front product=feed rate=3\n", date(2016, 6, 1));
    assert!((pounds(planned_need(&y)["feed"]) - 12.0).abs() < 1e-9);
}

/// A typical figure is marked as such until the label's own is there; a recalled one is never called a limit; confirming takes the
/// figure over and nothing else.
#[test]
fn typical_until_confirmed() {
    let y = yard("", MAY);
    let almanac = Almanac::embedded();
    let product = y.product("preventer").unwrap();
    let rows = limits(product, almanac, Units::UsCustomary);
    let row = |rows: &[yard::shed::Limit], field: &str| rows.iter().find(|r| r.field == field).cloned().unwrap();
    let water = row(&rows, "label_water_in");
    assert!(matches!(water.told, Told::Typical(_)), "{water:?}");
    assert!(water.told.mark().contains("not your label"));
    assert!(rows.iter().filter(|r| r.told == Told::Recalled).all(|r| r.told.mark().contains("not a limit")));
    assert_eq!(row(&rows, "label_reentry").told, Told::Unknown);
    let confirmed = confirm(product, almanac, "label_water_in").unwrap();
    let published = almanac.active("prodiamine").and_then(|a| a.water_in_mm.as_ref()).map(|f| f.value);
    assert!(published.is_some() && confirmed.label.water_in_mm == published);
    assert_eq!(yard::entry::LabelLimits { water_in_mm: None, ..confirmed.label.clone() }, product.label);
    let again = limits(&confirmed, almanac, Units::UsCustomary);
    assert_eq!(row(&again, "label_water_in").told, Told::YourLabel);
    assert_eq!(row(&again, "label_water_in").figure, water.figure);
    assert_eq!(row(&again, "label_interval"), row(&rows, "label_interval"));
    assert_eq!(confirm(&confirmed, almanac, "label_water_in"), None, "confirmed already");
    assert_eq!(confirm(product, almanac, "label_reentry"), None, "nothing typical to take over");
    let feed = limits(y.product("feed").unwrap(), almanac, Units::UsCustomary);
    assert!(feed.is_empty(), "a plain fertiliser has no limits to look up: {feed:?}");
}

fn findings(lines: &str, plan: &str, on: Date) -> Vec<Finding> {
    let all = entries(&format!("{BASE}{lines}{on} {plan}\n"));
    let (work, before) = all.split_last().unwrap();
    let Body::Planned(p) = &work.body else { panic!("a plan") };
    let Work::Apply(a) = &p.work else { panic!("an application") };
    let y = fold(before, on);
    let weather = champion();
    let scene = Scene { yard: &y, weather: &weather, almanac: Almanac::embedded(), on };
    check_application(&scene, a, on, None)
}

/// Rules the person switched on: a season without fertiliser names its end, nitrogen at once and in the year stop.
#[test]
fn local_rules() {
    let rules = "2016-01-03 local-rules no_feed_from=12-01 no_feed_until=04-01 nitrogen_once=0.9 nitrogen_year=2 source=\"town rule 7\"\n";
    let stops = |lines: &str, rate: f64, on: Date| -> Vec<Finding> {
        let found =
            findings(&format!("{rules}{lines}"), &format!("plan-apply areas=front product=feed rate={rate}"), on);
        found.into_iter().filter(|f| f.level == Level::Stop && f.rule == "local-rule").collect()
    };
    let winter = stops("", 1.0, date(2016, 3, 1));
    assert_eq!(winter.first().and_then(|f| f.clear_on), Some(date(2016, 4, 2)), "{winter:?}");
    assert!(winter[0].source.contains("town rule 7"));
    assert!(stops("", 1.0, date(2016, 4, 2)).is_empty());
    assert_eq!(stops("", 4.0, MAY).len(), 1, "0.96 lb of nitrogen at once");
    let before =
        "2016-04-03 applied areas=front product=feed rate=3.7\n2016-04-20 applied areas=front product=feed rate=3.7\n";
    let year = stops(before, 1.0, MAY);
    assert!(year.len() == 1 && year[0].clear_on == Some(date(2017, 1, 1)), "1.776 and 0.24 lb: {year:?}");
    assert!(stops(before, 0.9, MAY).is_empty(), "1.776 and 0.216 lb are under 2");
}

fn verdict(test: &str, on: Date) -> yard::shed::SoilVerdict {
    let y = yard(&format!("2016-03-01 soil-test areas=front method=mehlich-3 {test}\n"), on);
    soil_verdict(&y, Almanac::embedded(), y.area("front").unwrap(), on).expect("a verdict")
}

/// Penn State's turf table (AASL, Table 1): exchangeable acidity 5.2 meq/100 g wants 90 lb of lime on 1,000 sq ft for pH 6.5; at most
/// 50 lb at once on growing turf (Virginia, North Carolina), so two doses of 45. Soil at pH 6.4 wants none.
#[test]
fn lime_by_the_buffer() {
    let sour = verdict("ph=5.6 acidity=5.2", MAY).amend.expect("lime");
    let lb = |g: f64| g / 4.882_427_636;
    assert!((lb(sour.total_g_m2) - 90.0).abs() < 0.01 && sour.goal_ph == 6.5, "{sour:?}");
    assert!(sour.doses == 2 && (lb(sour.each_g_m2) - 45.0).abs() < 0.01 && !sour.typical, "{sour:?}");
    // A later report of pH alone leaves the phosphorus of the one before it standing.
    let y = yard(
        "2016-03-01 soil-test areas=front method=mehlich-3 p=8\n2016-04-01 soil-test areas=front method=mehlich-3 ph=6.4\n",
        MAY,
    );
    let both = soil_verdict(&y, Almanac::embedded(), y.area("front").unwrap(), MAY).unwrap();
    assert!(both.ph == Some(6.4) && both.needs.iter().any(|n| n.name == "phosphate"), "{both:?}");
    let fine = verdict("ph=6.4 acidity=5.2", MAY);
    assert!(fine.amend.is_none() && fine.notes[0].contains("neither lime nor sulphur"), "{fine:?}");
    // Without a buffer test only the texture can tell, and that is said.
    assert!(verdict("ph=5.6", MAY).amend.is_some_and(|a| a.typical));
}

/// Rutgers reads Mehlich-3 phosphorus below 12.5 ppm as very low; 20 lb/acre are 10 ppm by the furrow slice's convention. The figures
/// of another method are never judged by these tables, and an index not at all.
#[test]
fn nutrients_by_their_own_method() {
    let low = verdict("p=20 unit=lb-acre", MAY);
    assert!((low.rows[0].ppm.unwrap() - 10.0).abs() < 1e-9, "{low:?}");
    assert!(
        low.rows[0]
            .verdicts
            .iter()
            .any(|(class, enough, source)| class == "very low" && !enough && source.contains("Rutgers")),
        "{low:?}"
    );
    let phosphate = low.needs.iter().find(|n| n.name == "phosphate").expect("a need");
    assert!(phosphate.typical, "no published table of amounts was found");
    let oxide = verdict("p=45.83 oxides=yes unit=lb-acre", MAY);
    assert!(
        (oxide.rows[0].ppm.unwrap() - 10.0).abs() < 0.01,
        "45.83 lb P2O5 are 20 lb P (IFA factor 2.2914): {oxide:?}"
    );
    assert!(verdict("p=200", MAY).needs.is_empty(), "high: none");
    let index = verdict("p=60 unit=index", MAY);
    assert!(index.rows[0].ppm.is_none() && index.rows[0].silent.contains("index"), "{index:?}");
    let y = yard("2016-03-01 soil-test areas=front method=morgan p=3\n", MAY);
    let morgan = soil_verdict(&y, Almanac::embedded(), y.area("front").unwrap(), MAY).unwrap();
    assert!(morgan.rows[0].verdicts.is_empty() && !morgan.rows[0].silent.is_empty(), "{morgan:?}");
}

/// Phosphate on a grown lawn: a test that shows need lets it pass, one that shows enough does not, an old one says nothing; where the
/// person's law wants a test or seed, the rest is stopped (Michigan P.A. 299, Minnesota: test of the last three years, or new grass).
#[test]
fn phosphate_by_test_and_law() {
    let starter = "2016-01-02 product name=starter n=18 p2o5=24 slow=20\n";
    let law = "2016-01-03 local-rules phosphate=test-or-seed source=law\n";
    let level = |lines: &str, on: Date| {
        let found = findings(&format!("{starter}{lines}"), "plan-apply areas=front product=starter rate=3", on);
        found.into_iter().find(|f| f.rule == "phosphate").map(|f| f.level)
    };
    let low = "2016-03-01 soil-test areas=front method=mehlich-3 p=8\n";
    let high = "2016-03-01 soil-test areas=front method=mehlich-3 p=200\n";
    assert_eq!(level("", MAY), Some(Level::Caution));
    assert_eq!(level(low, MAY), None);
    assert_eq!(level(high, MAY), Some(Level::Caution));
    assert_eq!(level(low, date(2019, 3, 2)), Some(Level::Caution), "older than three years");
    assert_eq!(level(law, MAY), Some(Level::Stop));
    assert_eq!(level(&format!("{law}{low}"), MAY), None);
    assert_eq!(level(&format!("{law}{high}"), MAY), Some(Level::Stop));
    assert_eq!(level(&format!("{law}2016-05-01 seeded area=front grass=kbg rate=2\n"), MAY), None, "new grass");
}

/// Work on a spot takes and gives by the spot's ground: 10 g/m² on 20 of 200 m² are 0.2 kg, and a quarter of nitrogen in it is 0.25 g
/// over every square metre of the lawn (arithmetic). A mended spot of a tenth is no new lawn; a spot larger than the lawn is refused.
#[test]
fn a_spot_counts_by_its_ground() {
    let base = "
2017-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric
2017-01-02 area name=Lawn size=200 grass=ttf soil=loam
2017-01-02 product name=feed n=25
2017-05-02 applied areas=lawn product=feed rate=10 spot=20
2017-05-03 seeded area=lawn grass=ttf rate=30 spot=20
";
    let on = date(2017, 5, 10);
    let yard = fold(&entries(base), on);
    let put = &yard.applications[0];
    assert!((yard::shed::product_used(&yard, &put.fact, put.on) - 0.2).abs() < 1e-9);
    let given = yard::advice::feeding::nitrogen_given(&yard, "lawn", date(2017, 1, 1), on);
    assert!((given[0].1 - 0.25).abs() < 1e-9, "{given:?}");
    assert!(yard.last_seeding("lawn", on).is_none());
    let large = base.replace("spot=20", "spot=300");
    let faults = yard::scenario::read(&large, "t", almanac::Almanac::embedded()).expect_err("more than there is");
    assert_eq!(faults.len(), 2, "{faults:?}");
}
