//! Histories made of a number: areas drawn and redrawn, bags and their labels, what was put down, sown, mown and planned.
//!
//! Whole numbers throughout, so that the judge adds without rounding: days since 2013, half metres, tenths of g/m², hundredths of a
//! per cent; a dose is a rate times a strength, in 1e-5 g/m².

use std::sync::LazyLock;

use almanac::Site;
use jiff::civil::{Date, date};
use reckon::outline::{Corner, Outline};
use yard::entry::{
    Applied, AreaFacts, Body, Cover, Entry, LabelLimits, Mowed, Planned, ProductFacts, Seeded, Sowing, Strength, Work,
};
use yard::map::OutlineFacts;
use yard::{Yard, fold};

/// Grasses sown and grown.
pub const GRASSES: [&str; 5] = ["kbg", "ttf", "prg", "ber", "crf"];
/// Ingredients, and a strength at which some grams of product make a usual dose (hundredths of a per cent).
pub const ACTIVES: [(&str, i64); 6] =
    [("prodiamine", 48), ("dithiopyr", 40), ("siduron", 900), ("2,4-d", 200), ("quinclorac", 140), ("mesotrione", 40)];
/// A dose unit (g/m²).
pub const DOSE: f64 = 1e-5;

static DAYS: LazyLock<Vec<Date>> =
    LazyLock::new(|| date(2013, 1, 1).series(jiff::Span::new().days(1)).take(7_000).collect());

/// The day of a number.
pub fn day(number: i64) -> Date {
    DAYS[usize::try_from(number).unwrap()]
}

/// The key of the thing of this kind and number.
pub fn key(kind: &str, number: usize) -> String {
    format!("{kind}{number}")
}

/// Numbers that look random and are the same every time: G. Steele, D. Lea and C. Flood 2014, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014 (the finaliser with its published constants).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `low` to below `high`.
    fn from(&mut self, low: i64, high: i64) -> i64 {
        low + i64::try_from(self.next() % u64::try_from(high - low).unwrap()).unwrap()
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.from(0, i64::try_from(end).unwrap())).unwrap()
    }

    /// True so many times in a hundred.
    fn chance(&mut self, percent: i64) -> bool {
        self.from(0, 100) < percent
    }

    /// A figure so many times in a hundred.
    fn maybe(&mut self, percent: i64, low: i64, high: i64) -> Option<i64> {
        self.chance(percent).then(|| self.from(low, high))
    }
}

/// West, south, east and north edge in half metres.
pub type Rectangle = [i64; 4];

/// A piece of ground.
#[derive(Debug)]
pub struct Ground {
    pub cover: Cover,
    pub grass: usize,
    /// Its drawings, oldest first; one without a rectangle takes the drawing back.
    pub drawings: Vec<(i64, Vec<Rectangle>)>,
}

/// What is printed on a bag; nothing where it is silent.
#[derive(Clone, Debug, Default)]
pub struct Label {
    pub rate_max: Option<i64>,
    pub seed_wait: Option<i64>,
    pub interval: Option<i64>,
    /// In doses.
    pub year_max: Option<i64>,
    pub times: Option<i64>,
    pub rolling: bool,
    pub seedling_days: Option<i64>,
    pub seedling_mowings: Option<i64>,
    pub sites: Vec<Site>,
    pub grasses: Vec<usize>,
    pub grasses_not: Vec<usize>,
}

/// A product as it was described from a day on.
#[derive(Clone, Debug)]
pub struct Bag {
    pub day: i64,
    pub product: usize,
    /// Ingredient and strength.
    pub actives: Vec<(usize, i64)>,
    pub nitrogen: i64,
    pub slow: i64,
    pub label: Label,
}

/// An application done or planned.
#[derive(Clone, Debug)]
pub struct Treatment {
    pub id: String,
    pub day: i64,
    pub planned: bool,
    pub areas: Vec<usize>,
    pub product: usize,
    pub rate: i64,
}

/// A sowing done or planned.
#[derive(Clone, Debug)]
pub struct Sown {
    pub id: String,
    pub day: i64,
    pub planned: bool,
    pub area: usize,
    pub grass: usize,
}

/// What is asked.
#[derive(Debug)]
pub enum Asked {
    Apply(Treatment),
    Sow { area: usize, grass: usize },
}

/// A yard's history and one question.
#[derive(Debug)]
pub struct History {
    pub today: i64,
    pub areas: Vec<Ground>,
    pub bags: Vec<Bag>,
    pub treatments: Vec<Treatment>,
    pub sowings: Vec<Sown>,
    pub mowings: Vec<(i64, Vec<usize>)>,
    pub asked: Asked,
    /// The entry that is itself asked about.
    pub except: Option<String>,
    pub random_day: i64,
    pub from: i64,
}

impl Treatment {
    /// As an entry tells it.
    pub fn applied(&self) -> Applied {
        Applied {
            areas: self.areas.iter().map(|a| key("area", *a)).collect(),
            product: key("product", self.product),
            rate_g_m2: self.rate as f64 / 10.0,
            spot_m2: None,
            wind_ms: None,
            air_c: None,
            rain_in_hours: None,
            watered_in_mm: None,
            flowers_open: false,
            remark: String::new(),
        }
    }
}

fn rectangle(dice: &mut Dice) -> Rectangle {
    let (west, south) = (dice.from(0, 9), dice.from(0, 9));
    [west, south, west + dice.from(1, 7), south + dice.from(1, 7)]
}

fn ground(dice: &mut Dice, today: i64) -> Ground {
    let cover = match dice.from(0, 20) {
        0 => Cover::Bed,
        1 => Cover::Hedge,
        2 if dice.chance(40) => Cover::Hard,
        _ => Cover::Turf,
    };
    let mut drawings = Vec::new();
    if dice.chance(80) {
        let mut days: Vec<i64> = (0..dice.from(1, 4)).map(|_| today - dice.from(0, 800)).collect();
        days.sort_unstable();
        days.dedup();
        for (n, on) in days.into_iter().enumerate() {
            let mut pieces = vec![rectangle(dice)];
            if n > 0 && dice.chance(15) {
                pieces.clear();
            } else if dice.chance(15) {
                // A second piece well away from the first.
                pieces.push(rectangle(dice).map(|v| v + 20));
            }
            drawings.push((on, pieces));
        }
    }
    Ground { cover, grass: dice.below(GRASSES.len()), drawings }
}

fn label(dice: &mut Dice, actives: &[(usize, i64)]) -> Label {
    let usual = 60 * actives.first().map_or(10_000, |(_, strength)| *strength);
    Label {
        rate_max: dice.maybe(25, 40, 130),
        seed_wait: dice.maybe(30, 0, 130),
        interval: dice.maybe(40, 0, 100),
        // A form refuses one figure for a mixture; an entry of elsewhere may hold it, and it is no one ingredient's.
        year_max: dice.maybe(45, usual / 2, usual * 5),
        times: dice.maybe(30, 1, 5),
        rolling: dice.chance(40),
        seedling_days: dice.maybe(25, 0, 130),
        seedling_mowings: dice.maybe(15, 0, 4),
        sites: match dice.from(0, 20) {
            0 => vec![Site::Bed],
            1 | 2 => vec![Site::Turf],
            3 => vec![Site::Turf, Site::Bed],
            _ => Vec::new(),
        },
        grasses: if dice.chance(8) { vec![dice.below(5), dice.below(5), dice.below(5)] } else { Vec::new() },
        grasses_not: if dice.chance(8) { vec![dice.below(5)] } else { Vec::new() },
    }
}

impl History {
    /// The history of a number, always the same.
    pub fn made(number: u64) -> Self {
        let dice = &mut Dice(number.wrapping_mul(0x1000_0001));
        let today = dice.from(1095, 1900);
        let areas: Vec<Ground> = (0..dice.from(1, 4)).map(|_| ground(dice, today)).collect();
        // Few ingredients, so that one comes under several names.
        let known = [dice.below(ACTIVES.len()), dice.below(ACTIVES.len())];
        let mut bags: Vec<Bag> = Vec::new();
        let products = 1 + dice.below(4);
        for product in 0..products {
            let mut actives: Vec<(usize, i64)> = match dice.from(0, 10) {
                0 => Vec::new(),
                1 | 2 if known[0] != known[1] => known.iter().map(|k| (*k, ACTIVES[*k].1)).collect(),
                n => vec![known[usize::from(n > 7)]].into_iter().map(|k| (k, ACTIVES[k].1)).collect(),
            };
            let (nitrogen, slow) =
                if dice.chance(25) { ([15, 24, 32, 46][dice.below(4)], [0, 30, 60][dice.below(3)]) } else { (0, 0) };
            let mut on = 0;
            for _ in 0..=usize::from(dice.chance(20)) {
                bags.push(Bag {
                    day: on,
                    product,
                    actives: actives.clone(),
                    nitrogen,
                    slow,
                    label: label(dice, &actives),
                });
                on = today - dice.from(0, 500);
                actives.iter_mut().for_each(|(_, strength)| *strength += *strength / 4);
            }
        }
        let some = |dice: &mut Dice| {
            let mut chosen = vec![dice.below(areas.len())];
            if dice.chance(25) {
                chosen.push(dice.below(areas.len()));
                chosen.sort_unstable();
                chosen.dedup();
            }
            chosen
        };
        let treatment = |dice: &mut Dice, id: String, day: i64, planned: bool| {
            let rate = if dice.chance(2) { dice.from(300, 900) } else { dice.from(10, 100) };
            Treatment { id, day, planned, areas: some(dice), product: dice.below(products), rate }
        };
        // Half of the past lies in the last months, where it still counts.
        let past = |dice: &mut Dice| today - if dice.chance(50) { dice.from(0, 120) } else { dice.from(0, 800) };
        let ahead = |dice: &mut Dice| today + if dice.chance(50) { dice.from(-30, 60) } else { dice.from(0, 500) };
        let mut treatments: Vec<Treatment> = (0..dice.from(0, 6))
            .map(|n| {
                let on = past(dice);
                treatment(dice, format!("done{n}"), on, false)
            })
            .collect();
        for n in 0..dice.from(0, 3) {
            let on = ahead(dice);
            treatments.push(treatment(dice, format!("plan{n}"), on, true));
        }
        let mut sowings = Vec::new();
        for n in 0..dice.from(0, 3) {
            let (planned, area, grass) = (dice.chance(30), dice.below(areas.len()), dice.below(GRASSES.len()));
            let day = if planned { ahead(dice) } else { past(dice) };
            sowings.push(Sown { id: format!("seed{n}"), day, planned, area, grass });
        }
        let mowings = (0..dice.from(0, 7)).map(|_| (today - dice.from(0, 120), some(dice))).collect();
        let mut random_day = today + dice.from(-150, 400);
        let (mut except, mut asked) = (None, None);
        if dice.chance(30) && !treatments.is_empty() {
            let own = treatments[dice.below(treatments.len())].clone();
            except = Some(own.id.clone());
            random_day = own.day;
            asked = Some(Asked::Apply(own));
        } else if dice.chance(25) {
            asked = Some(Asked::Sow { area: dice.below(areas.len()), grass: dice.below(GRASSES.len()) });
        }
        let asked = asked.unwrap_or_else(|| Asked::Apply(treatment(dice, "new".to_owned(), today, false)));
        let from = today + if dice.chance(60) { 0 } else { dice.from(0, 300) };
        Self { today, areas, bags, treatments, sowings, mowings, asked, except, random_day, from }
    }

    /// Work already done is asked about: it has its day, and no other is looked for.
    pub fn is_of_work_done(&self) -> bool {
        self.treatments.iter().any(|t| !t.planned && Some(&t.id) == self.except.as_ref())
    }

    /// The yard as the entries of the history make it.
    pub fn yard(&self) -> Yard {
        let mut entries: Vec<Entry> = Vec::new();
        let mut put = |id: String, on: i64, body: Body| {
            let recorded_at = jiff::Timestamp::UNIX_EPOCH;
            entries.push(Entry { id, happened_on: day(on), recorded_at, supersedes: None, body });
        };
        for (a, area) in self.areas.iter().enumerate() {
            put(key("area", a), 0, Body::Area(area.facts(a)));
            for (n, (on, pieces)) in area.drawings.iter().enumerate() {
                let pieces = pieces.iter().map(outline).collect();
                let facts = OutlineFacts { area: key("area", a), pieces, measured: String::new() };
                put(format!("outline{a}-{n}"), *on, Body::Outline(facts));
            }
        }
        for (n, bag) in self.bags.iter().enumerate() {
            put(format!("bag{n}"), bag.day, Body::Product(Box::new(bag.facts())));
        }
        for t in &self.treatments {
            let body = if t.planned {
                Body::Planned(Planned { work: Work::Apply(t.applied()) })
            } else {
                Body::Applied(t.applied())
            };
            put(t.id.clone(), t.day, body);
        }
        for s in &self.sowings {
            let (area, grass) = (key("area", s.area), GRASSES[s.grass].to_owned());
            let seed =
                Seeded { area, grass, rate_g_m2: 20.0, spot_m2: None, sowing: Sowing::Bare, remark: String::new() };
            let body = if s.planned { Body::Planned(Planned { work: Work::Sow(seed) }) } else { Body::Seeded(seed) };
            put(s.id.clone(), s.day, body);
        }
        for (n, (on, areas)) in self.mowings.iter().enumerate() {
            let areas = areas.iter().map(|a| key("area", *a)).collect();
            put(format!("mown{n}"), *on, Body::Mowed(Mowed { areas, height_mm: 70.0, bagged: false }));
        }
        fold(&entries, day(self.today))
    }
}

fn outline(ring: &Rectangle) -> Outline {
    let [w, s, e, n] = ring.map(|v| v as f64 / 2.0);
    Outline::new(vec![Corner::new(w, s), Corner::new(e, s), Corner::new(e, n), Corner::new(w, n)])
}

impl Ground {
    fn facts(&self, number: usize) -> AreaFacts {
        AreaFacts {
            key: key("area", number),
            name: key("Area ", number),
            size_m2: 10.0,
            cover: self.cover,
            grass: (self.cover == Cover::Turf).then(|| GRASSES[self.grass].to_owned()),
            soil: "loam".to_owned(),
            slope_pct: 0.0,
            care: almanac::CareLevel::default(),
            root_m: None,
            mow_mm: None,
            sun_h: None,
            sod_on: None,
            made_on: None,
            salted: false,
            snow_days: None,
            mulch_mm: None,
            plants: String::new(),
            height_m: None,
            retired: false,
        }
    }
}

impl Bag {
    fn facts(&self) -> ProductFacts {
        let l = &self.label;
        let number = |v: Option<i64>| v.map(|v| v as f64);
        let keys = |list: &[usize]| list.iter().map(|g| GRASSES[*g].to_owned()).collect();
        let strength =
            |(a, pct): &(usize, i64)| Strength { active: ACTIVES[*a].0.to_owned(), pct: *pct as f64 / 100.0 };
        ProductFacts {
            key: key("product", self.product),
            name: key("Product ", self.product),
            n_pct: self.nitrogen as f64,
            slow_n_pct: self.slow as f64,
            actives: self.actives.iter().map(strength).collect(),
            label: LabelLimits {
                rate_max_g_m2: l.rate_max.map(|v| v as f64 / 10.0),
                seed_wait_days: number(l.seed_wait),
                interval_days: number(l.interval),
                active_yearly_max_g_m2: l.year_max.map(|v| v as f64 * DOSE),
                applications_a_year: number(l.times),
                year_is_rolling: l.rolling,
                seedling_days: number(l.seedling_days),
                seedling_mowings: number(l.seedling_mowings),
                sites: l.sites.clone(),
                grasses: keys(&l.grasses),
                grasses_not: keys(&l.grasses_not),
                ..LabelLimits::default()
            },
            ..ProductFacts::default()
        }
    }
}
