//! The judge: the rules of labels in plain loops over points of ground and days.
//!
//! What a label or a trial says, as the judge takes it:
//!
//! - Rate: no more product in one application than the label's most; where it names none, no more of an ingredient than a published
//!   rate; never three times any usual rate; nitrogen by its own limits.
//! - Yearly maximum: in any year that holds this application and one made under a label (this one's own included), the spot has no more of
//!   the ingredient than that label allows, under whatever names, and no more applications of it. The year is the calendar's or any 365
//!   days, as that label counts. A label of a mixture names no one's amount. Where no label
//!   of an application that could share a year with this one names an amount, a published one counts.
//! - Interval: between two applications of an ingredient lie the days each of the two labels names; for this one a published figure
//!   where its label is silent.
//! - Wait before sowing: label, else trial, whichever of the two comes to be asked about.
//! - Young grass: label, else published, in days since any sowing of the last year on the spot, and in mowings of the spot since. What
//!   may go down with the seed may do so on the day of sowing.
//! - Ground and grasses: the label's lists, else what the ingredient is sold for and what it injures.
//! - A plan whose day has passed comes today at the earliest. Work done is not held against the plan of it.

use almanac::{Active, Almanac, Basis, Figure, Site, Tolerance};
use yard::Yard;
use yard::entry::Cover;

use super::made::{ACTIVES, Asked, Bag, DOSE, GRASSES, History, Label, Rectangle, Treatment, day};

/// A rule, by the name a finding gives it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    Interval,
    Rate,
    Seedlings,
    SeedWait,
    Site,
    Slip,
    Tolerance,
    YearlyMaximum,
}

impl Rule {
    pub fn named(name: &str) -> Self {
        match name {
            "interval" => Self::Interval,
            "rate" => Self::Rate,
            "seedlings" => Self::Seedlings,
            "seed-wait" => Self::SeedWait,
            "site" => Self::Site,
            "slip" => Self::Slip,
            "tolerance" => Self::Tolerance,
            "yearly-maximum" => Self::YearlyMaximum,
            other => panic!("no rule judged here stops for “{other}”"),
        }
    }
}

/// What is violated on a day, and whether any of it names no day on which it ends.
#[derive(Clone, Debug, Default)]
pub struct Verdict {
    pub rules: Vec<Rule>,
    pub endless: bool,
}

impl Verdict {
    fn add(&mut self, rule: Rule, endless: bool) {
        self.endless |= endless;
        if !self.rules.contains(&rule) {
            self.rules.push(rule);
            self.rules.sort();
        }
    }
}

/// Points of ground with the same past: bit by bit what lies on them, in the order of the history.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Spot {
    treatments: u32,
    sowings: u32,
    mowings: u32,
}

fn bit(set: u32, n: usize) -> bool {
    set & (1 << n) != 0
}

/// An application of one ingredient on a spot.
struct Put<'a> {
    day: i64,
    dose: i64,
    label: &'a Label,
    /// The bag holds nothing else.
    alone: bool,
}

/// A judge of one history.
pub struct Judge<'a> {
    history: &'a History,
    /// The areas asked about, and the spots of each as they lie from today on.
    now: Vec<(usize, Vec<Spot>)>,
    treatments_live: u32,
    sowings_live: u32,
}

fn active_of(ingredient: usize) -> &'static Active {
    let id = ACTIVES[ingredient].0;
    Almanac::embedded().actives.iter().find(|a| a.id == id).unwrap()
}

/// The row that names the grass, else the one that names none.
fn row<'r, R>(rows: &'r [R], grasses: impl Fn(&R) -> &Vec<String>, grass: &str) -> Option<&'r R> {
    let mut general = None;
    for r in rows {
        if grasses(r).iter().any(|g| g == grass) {
            return Some(r);
        }
        if grasses(r).is_empty() && general.is_none() {
            general = Some(r);
        }
    }
    general
}

/// A figure that may stop anyone.
fn published(figure: Option<&Figure>) -> Option<f64> {
    figure.filter(|f| f.basis == Basis::Published).map(|f| f.value)
}

fn number(figure: Option<i64>) -> Option<f64> {
    figure.map(|f| f as f64)
}

fn year(number: i64) -> i16 {
    day(number).year()
}

impl<'a> Judge<'a> {
    /// A judge of a history; of the yard it only takes which plans are still open.
    pub fn of(history: &'a History, yard: &Yard) -> Self {
        let open = |id: &str, planned: bool| !planned || yard.plans.iter().any(|p| p.id == id);
        let live = |all: Vec<bool>| all.iter().enumerate().fold(0, |set, (n, live)| set | u32::from(*live) << n);
        let treatments_live = live(history.treatments.iter().map(|t| open(&t.id, t.planned)).collect());
        let sowings_live = live(history.sowings.iter().map(|s| open(&s.id, s.planned)).collect());
        let mut judge = Self { history, now: Vec::new(), treatments_live, sowings_live };
        judge.now = judge.lie(history.today);
        judge
    }

    /// The areas asked about, and their spots on a day.
    fn lie(&self, on: i64) -> Vec<(usize, Vec<Spot>)> {
        let areas = match &self.history.asked {
            Asked::Apply(work) => work.areas.clone(),
            Asked::Sow { area, .. } => vec![*area],
        };
        areas.into_iter().map(|a| (a, self.spots(a, on))).collect()
    }

    /// The day a plan can come at the earliest, or the day something was done.
    fn comes(&self, on: i64, planned: bool) -> i64 {
        if planned { on.max(self.history.today) } else { on }
    }

    /// The rectangles an area had on a day; none where it was not drawn.
    fn drawing(&self, area: usize, on: i64) -> &[Rectangle] {
        let drawings = &self.history.areas[area].drawings;
        let mut found = drawings.first();
        for d in drawings {
            if d.0 <= on {
                found = Some(d);
            }
        }
        found.map_or(&[], |d| &d.1)
    }

    /// Whether work on areas on a day lay on a point of this area. Ground without a drawing is known by its area's name alone.
    fn lay_on(&self, areas: &[usize], then: i64, area: usize, point: Option<(i64, i64)>) -> bool {
        areas.iter().any(|other| {
            let drawn = self.drawing(*other, then);
            match point {
                Some((x, y)) if !drawn.is_empty() => {
                    drawn.iter().any(|[w, s, e, n]| x >= *w && x < *e && y >= *s && y < *n)
                }
                _ => *other == area,
            }
        })
    }

    fn spots(&self, area: usize, on: i64) -> Vec<Spot> {
        let mut spots: Vec<Spot> = Vec::new();
        let history = self.history;
        let mut look = |point: Option<(i64, i64)>| {
            let mut spot = Spot { treatments: 0, sowings: 0, mowings: 0 };
            for (n, t) in history.treatments.iter().enumerate() {
                spot.treatments |= u32::from(self.lay_on(&t.areas, self.comes(t.day, t.planned), area, point)) << n;
            }
            for (n, s) in history.sowings.iter().enumerate() {
                spot.sowings |= u32::from(self.lay_on(&[s.area], self.comes(s.day, s.planned), area, point)) << n;
            }
            for (n, (then, areas)) in history.mowings.iter().enumerate() {
                spot.mowings |= u32::from(self.lay_on(areas, *then, area, point)) << n;
            }
            spot.treatments &= self.treatments_live;
            spot.sowings &= self.sowings_live;
            if !spots.contains(&spot) {
                spots.push(spot);
            }
        };
        let drawn = self.drawing(area, on);
        if drawn.is_empty() {
            look(None);
        }
        for [w, s, e, n] in drawn {
            for x in *w..*e {
                for y in *s..*n {
                    look(Some((x, y)));
                }
            }
        }
        spots
    }

    /// A product as it was described on a day.
    fn bag(&self, product: usize, on: i64) -> &'a Bag {
        let mut found = None;
        for bag in self.history.bags.iter().filter(|b| b.product == product) {
            if found.is_none() || bag.day <= on {
                found = Some(bag);
            }
        }
        found.unwrap()
    }

    /// The verdict on a day from today on.
    pub fn on(&self, on: i64) -> Verdict {
        self.judge(on, &self.now, false)
    }

    /// The verdict on any day, with every span of 365 days gone through.
    pub fn every_window(&self, on: i64) -> Verdict {
        self.judge(on, &self.lie(on), true)
    }

    fn judge(&self, on: i64, ground: &[(usize, Vec<Spot>)], every: bool) -> Verdict {
        let mut verdict = Verdict::default();
        match &self.history.asked {
            Asked::Apply(work) => {
                let bag = self.bag(work.product, on);
                rate(&mut verdict, work, bag);
                for (area, spots) in ground {
                    self.place(&mut verdict, bag, *area);
                    for spot in spots {
                        self.application(&mut verdict, work, bag, *area, spot, on, every);
                    }
                }
            }
            Asked::Sow { grass, .. } => {
                for (_, spots) in ground {
                    for spot in spots {
                        self.sowing(&mut verdict, *grass, spot, on);
                    }
                }
            }
        }
        verdict
    }

    /// Ground and grasses.
    fn place(&self, verdict: &mut Verdict, bag: &Bag, area: usize) {
        let ground = &self.history.areas[area];
        let site = match ground.cover {
            Cover::Hard => return verdict.add(Rule::Site, true),
            Cover::Turf => Site::Turf,
            Cover::Bed | Cover::Hedge => Site::Bed,
        };
        let label = &bag.label;
        let wrong_site = if label.sites.is_empty() {
            bag.actives.iter().any(|(a, _)| !active_of(*a).sites.contains(&site))
        } else {
            !label.sites.contains(&site)
        };
        if wrong_site {
            verdict.add(Rule::Site, true);
        }
        if site != Site::Turf {
            return;
        }
        let injures = |ingredient: usize| {
            let rows = &active_of(ingredient).tolerance;
            rows.iter().any(|r| r.grass == GRASSES[ground.grass] && r.tolerance == Tolerance::Injured)
        };
        let wrong_grass = label.grasses_not.contains(&ground.grass)
            || if label.grasses.is_empty() {
                bag.actives.iter().any(|(a, _)| injures(*a))
            } else {
                !label.grasses.contains(&ground.grass)
            };
        if wrong_grass {
            verdict.add(Rule::Tolerance, true);
        }
    }

    /// What was, or will be, put of an ingredient on a spot; of a bag without known ingredients, of the product.
    fn puts(&self, work: &Treatment, ingredient: Option<usize>, spot: &Spot, on: i64) -> Vec<Put<'a>> {
        let all = &self.history.treatments;
        let done = all.iter().any(|t| !t.planned && Some(&t.id) == self.history.except.as_ref());
        let mut puts = Vec::new();
        for (n, t) in all.iter().enumerate() {
            let own_plan = done
                && t.planned
                && t.product == work.product
                && t.areas.iter().any(|a| work.areas.contains(a))
                && (t.day - on).abs() <= 7;
            if !bit(spot.treatments, n) || Some(&t.id) == self.history.except.as_ref() || own_plan {
                continue;
            }
            let day = self.comes(t.day, t.planned);
            let bag = self.bag(t.product, day);
            let strength = match ingredient {
                Some(i) => bag.actives.iter().find(|(a, _)| *a == i).map(|(_, strength)| *strength),
                None => (bag.actives.is_empty() && t.product == work.product).then_some(10_000),
            };
            if let Some(strength) = strength {
                puts.push(Put { day, dose: t.rate * strength, label: &bag.label, alone: bag.actives.len() < 2 });
            }
        }
        puts
    }

    /// The rules that look at what lies on a spot.
    #[allow(clippy::too_many_arguments)]
    fn application(
        &self,
        verdict: &mut Verdict,
        work: &Treatment,
        bag: &'a Bag,
        area: usize,
        spot: &Spot,
        on: i64,
        every: bool,
    ) {
        let substances: Vec<(Option<usize>, i64)> = if bag.actives.is_empty() {
            vec![(None, 10_000)]
        } else {
            bag.actives.iter().map(|(a, strength)| (Some(*a), *strength)).collect()
        };
        for (ingredient, strength) in substances {
            let active = ingredient.map(active_of);
            let puts = self.puts(work, ingredient, spot, on);
            let now = Put { day: on, dose: work.rate * strength, label: &bag.label, alone: bag.actives.len() < 2 };
            self.year(verdict, active, area, &puts, &now, every);

            let own = number(bag.label.interval).or(published(active.and_then(|a| a.interval_days.as_ref())));
            for put in &puts {
                let gap = (put.day - on).abs() as f64;
                if [own, number(put.label.interval)].into_iter().flatten().any(|days| gap < days) {
                    verdict.add(Rule::Interval, false);
                }
            }

            for (_, seed) in self.history.sowings.iter().enumerate().filter(|(n, _)| bit(spot.sowings, *n)) {
                let sown = self.comes(seed.day, seed.planned);
                let row = active.and_then(|a| row(&a.seed_wait, |r| &r.grasses, GRASSES[seed.grass]));
                let age = sown - on;
                let wait = number(bag.label.seed_wait).or(published(row.map(|r| &r.stop_below_days)));
                if age >= 0 && wait.is_some_and(|days| (age as f64) < days) {
                    verdict.add(Rule::SeedWait, true);
                }
                let age = on - sown;
                let with_seed = row.is_some_and(|r| r.stop_below_days.value <= 0.0);
                if !(0..=365).contains(&age) || age == 0 && with_seed {
                    continue;
                }
                let days = number(bag.label.seedling_days).or(published(active.and_then(|a| a.seedling_days.as_ref())));
                if days.is_some_and(|days| (age as f64) < days) {
                    verdict.add(Rule::Seedlings, false);
                }
                let mowings = &self.history.mowings;
                let cut =
                    mowings.iter().enumerate().filter(|(m, (d, _))| bit(spot.mowings, *m) && *d > sown && *d <= on);
                let cut = cut.count() as f64;
                let need =
                    number(bag.label.seedling_mowings).or(published(active.and_then(|a| a.seedling_mowings.as_ref())));
                if need.is_some_and(|need| cut < need) {
                    verdict.add(Rule::Seedlings, true);
                }
            }
        }
    }

    /// The year's sum and the year's applications.
    fn year(
        &self,
        verdict: &mut Verdict,
        active: Option<&Active>,
        area: usize,
        puts: &[Put<'_>],
        now: &Put<'_>,
        every: bool,
    ) {
        let over = |sum: i64, most: f64| sum as f64 * DOSE > most * (1.0 + 1e-6);
        let typed = |put: &Put<'_>| put.label.year_max.filter(|_| put.alone).map(|most| most as f64 * DOSE);
        let ground = &self.history.areas[area];
        let grass = if ground.cover == Cover::Turf { GRASSES[ground.grass] } else { "" };
        let usual = published(active.and_then(|a| row(&a.yearly_max, |r| &r.grasses, grass)).map(|r| &r.g_m2));
        let for_ever = typed(now).or(usual).is_some_and(|most| over(now.dose, most));

        let shares_a_year = |p: &&Put<'_>| match now.label.rolling {
            true => (p.day - now.day).abs() < 365,
            false => year(p.day) == year(now.day),
        };
        let silent = typed(now).is_none() && puts.iter().filter(shares_a_year).all(|p| typed(p).is_none());

        // The calendar year, and where a label asks for it the spans of 365 days that hold the day: all of them, or those that begin with
        // something, for a span that begins with nothing holds no more than one that begins later.
        let mut windows = vec![None];
        let span = now.day - 364..=now.day;
        if !here(puts, now).any(|p| p.label.rolling) {
        } else if every {
            windows.extend(span.map(Some));
        } else {
            windows.extend(here(puts, now).map(|p| p.day).filter(|d| span.contains(d)).map(Some));
        }
        for window in windows {
            let inside = |put: &Put<'_>| match window {
                None => year(put.day) == year(now.day),
                Some(start) => put.day >= start && put.day < start + 365,
            };
            let (mut sum, mut count) = (now.dose, 1);
            for put in puts.iter().filter(|p| inside(p)) {
                sum += put.dose;
                count += 1;
            }
            for label in here(puts, now).filter(|p| p.label.rolling == window.is_some() && inside(p)) {
                if typed(label).is_some_and(|most| over(sum, most)) {
                    verdict.add(Rule::YearlyMaximum, for_ever);
                }
                if label.label.times.is_some_and(|most| count > most) {
                    verdict.add(Rule::YearlyMaximum, false);
                }
            }
            if silent && now.label.rolling == window.is_some() && usual.is_some_and(|most| over(sum, most)) {
                verdict.add(Rule::YearlyMaximum, for_ever);
            }
        }
    }

    /// What was put down before on the spot, or will have been, and still waits.
    fn sowing(&self, verdict: &mut Verdict, grass: usize, spot: &Spot, on: i64) {
        for (n, t) in self.history.treatments.iter().enumerate() {
            let treated = self.comes(t.day, t.planned);
            let own_plan = t.planned && Some(&t.id) == self.history.except.as_ref();
            if !bit(spot.treatments, n) || treated > on || own_plan {
                continue;
            }
            let bag = self.bag(t.product, treated);
            let mut waits: Vec<Option<f64>> = vec![number(bag.label.seed_wait)];
            if bag.label.seed_wait.is_none() {
                let rows = bag
                    .actives
                    .iter()
                    .filter_map(|(a, _)| row(&active_of(*a).seed_wait, |r| &r.grasses, GRASSES[grass]));
                waits = rows.map(|r| published(Some(&r.stop_below_days))).collect();
            }
            if waits.into_iter().flatten().any(|days| ((on - treated) as f64) < days) {
                verdict.add(Rule::SeedWait, false);
            }
        }
    }
}

/// What lies on the spot and what is asked about.
fn here<'p, 'a>(puts: &'p [Put<'a>], now: &'p Put<'a>) -> impl Iterator<Item = &'p Put<'a>> {
    puts.iter().chain([now])
}

/// How much goes down at once.
fn rate(verdict: &mut Verdict, work: &Treatment, bag: &Bag) {
    for (ingredient, strength) in &bag.actives {
        let active = active_of(*ingredient);
        let dose = (work.rate * strength) as f64 * DOSE;
        if dose > 3.0 * active.rate_g_m2.high {
            verdict.add(Rule::Slip, true);
        } else if bag.label.rate_max.is_none()
            && active.rate_basis == Basis::Published
            && dose > 1.001 * active.rate_g_m2.high
        {
            verdict.add(Rule::Rate, true);
        }
    }
    if bag.label.rate_max.is_some_and(|most| work.rate > most) {
        verdict.add(Rule::Rate, true);
    }
    // University of Illinois lawn figures: 1 lb/1000 sq ft, 4.9 g/m², at once; from memory 2 lb where at least half of it is slow.
    let nitrogen = (work.rate * bag.nitrogen) as f64 / 1000.0;
    let quick = nitrogen * (100 - bag.slow) as f64 / 100.0;
    let most = if bag.slow >= 50 { 9.8 } else { 4.9 };
    if nitrogen > most * 1.001 || quick > 4.9 * 1.001 {
        verdict.add(Rule::Rate, true);
    }
}
