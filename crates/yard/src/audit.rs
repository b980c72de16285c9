//! Audits of zones: where to set the cans, what the readings say, what two audits differ by.

use std::collections::HashMap;

use almanac::SprinklerKind;
use jiff::civil::Date;
use reckon::catch_can::{MINUTES, catch_can_audit};
use reckon::outline::Outline;
use reckon::run_time::{Scheduling, run_time_multiplier};
use reckon::sprinkler::{Ground, sprinkler_rate};
use reckon::units::{Fraction, LitresPerMinute, Minutes, SquareMetres};
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::entry::{Audited, ZoneFacts};
use crate::fold::{Dated, Yard};
use crate::units::{Quantity, Units};

/// Fewest cans of an audit (University of Minnesota Extension, *Auditing home lawn irrigation systems*).
pub const CANS_LEAST: usize = 20;
/// Cans the layout aims at: the next number a quarter of which is whole, with some to spare (common practice).
pub const CANS_AIM: usize = 24;
/// Most cans the layout asks anybody to carry.
pub const CANS_MOST: usize = 96;
/// Wind above which an audit is put off: 5 mph (New Mexico State University Extension, Guide H-510).
pub const WIND_MOST_MS: f64 = 2.235_2;
/// Between cans (m): 5 to 8 ft under sprays, 10 to 20 ft under rotors (University of Minnesota Extension, as above).
const SPRAY_STEP_M: [f64; 2] = [1.524, 2.438_4];
const ROTOR_STEP_M: [f64; 2] = [3.048, 6.096];
/// Share by which meter and cans may differ before something is to be looked for (common practice).
const METER_APART: f64 = 0.25;
/// Depth two audits are compared by (mm): half an inch of need.
pub const COMPARED_MM: f64 = 12.7;
/// Finest step a grid is tried at (m).
const STEP_LEAST_M: f64 = 0.3;
/// Cells of the picture of the cans at most.
const CELLS_MAX: f64 = 8_000.0;

/// Where to set the cans.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Layout {
    /// Places (m east and north), in the order of their numbers; empty where the ground is not drawn.
    pub at: Vec<[f64; 2]>,
    /// Between cans (m).
    pub step_m: f64,
    /// Cans.
    pub cans: usize,
    /// Narrowest and widest published spacing for the kind of head (m).
    pub published_m: [f64; 2],
}

/// What an audit says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Judged {
    /// The entry.
    pub id: String,
    /// The day.
    pub on: Date,
    /// Zone.
    pub zone: String,
    /// Rate by the cans (mm/h).
    pub cans_mm_h: Option<f64>,
    /// Rate by the meter (mm/h).
    pub meter_mm_h: Option<f64>,
    /// Rate by the bucket (mm/h).
    pub bucket_mm_h: Option<f64>,
    /// Evenness of the lowest quarter.
    pub du_lq: Option<f64>,
    /// Christiansen's uniformity.
    pub cu: Option<f64>,
    /// Run-time multiplier of the lower half.
    pub multiplier: Option<f64>,
    /// The old multiplier, of the lowest quarter, for comparison.
    pub multiplier_quarter: Option<f64>,
    /// For each can, whether it is of the lowest quarter.
    pub dry: Vec<bool>,
    /// Depth in each can (mm).
    pub caught_mm: Vec<f64>,
    /// Where the cans stood.
    pub at: Vec<[f64; 2]>,
    /// What to think of.
    pub findings: Vec<String>,
    /// How it was worked out.
    pub working: Vec<Step>,
}

impl Judged {
    /// The rate the zone is known by from this audit on: by the cans, else the meter, else the bucket (mm/h).
    pub fn rate_mm_h(&self) -> Option<f64> {
        self.cans_mm_h.or(self.meter_mm_h).or(self.bucket_mm_h)
    }
}

/// What a later audit differs by from an earlier one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// Day of the earlier audit.
    pub before: Date,
    /// Day of the later.
    pub after: Date,
    /// Evenness then and now.
    pub du_lq: [f64; 2],
    /// Need the run is for (mm).
    pub need_mm: f64,
    /// Water of one run then and now (L).
    pub litres: [f64; 2],
    /// Minutes of one run then and now.
    pub minutes: [f64; 2],
    /// How it was worked out.
    pub working: Vec<Step>,
}

/// The ground nearest each can, in cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearest {
    /// West and south edge (m).
    pub origin_m: [f64; 2],
    /// Side of a cell (m).
    pub cell_m: f64,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
    /// The can nearest each cell, row by row; `None` beside the ground.
    pub can: Vec<Option<usize>>,
}

fn size_of(yard: &Yard, zone: &ZoneFacts) -> f64 {
    zone.areas.iter().filter_map(|a| yard.area(a)).map(|a| a.size_m2).sum()
}

fn pieces<'a>(yard: &'a Yard, zone: &'a ZoneFacts) -> Vec<&'a Outline> {
    zone.areas.iter().flat_map(|a| yard.pieces(a)).collect()
}

/// West, south, east and north edge of the pieces.
fn bounds(pieces: &[&Outline]) -> Option<[f64; 4]> {
    let places = pieces.iter().flat_map(|p| p.flattened(0.05).ring);
    places.fold(None, |b: Option<[f64; 4]>, [x, y]| {
        let [w, s, e, n] = b.unwrap_or([x, y, x, y]);
        Some([w.min(x), s.min(y), e.max(x), n.max(y)])
    })
}

/// The middles of the cells of a lattice that lie on the ground, row by row from the south-west.
fn grid(pieces: &[&Outline], [w, s, e, n]: [f64; 4], step: f64) -> Vec<[f64; 2]> {
    // A hair less, so that a length of whole steps is not counted one more.
    let count = |length: f64| (length / step - 1e-6).ceil().max(1.0);
    let (columns, rows) = (count(e - w), count(n - s));
    // The lattice lies evenly over the bounds.
    let (west, south) = ((w + e - columns * step) / 2.0, (s + n - rows * step) / 2.0);
    let mut at = Vec::new();
    for row in 0..rows as usize {
        for column in 0..columns as usize {
            let place = [west + (column as f64 + 0.5) * step, south + (row as f64 + 0.5) * step];
            if pieces.iter().any(|p| p.contains(place)) {
                at.push(place);
            }
        }
    }
    at
}

/// Whether a kind of sprinkler can be measured with cans.
pub fn takes_cans(zone: &ZoneFacts) -> bool {
    zone.sprinkler != "drip"
}

/// Where to set the cans: an even grid as wide as is published for the kind of head, closer where that gives fewer than
/// [`CANS_AIM`], wider where it gives more than [`CANS_MOST`]. Each can then stands for the same share of the ground.
pub fn layout(yard: &Yard, zone: &ZoneFacts, kind: Option<&SprinklerKind>) -> Layout {
    let published = if kind.is_some_and(|k| k.id == "spray") { SPRAY_STEP_M } else { ROTOR_STEP_M };
    let size = size_of(yard, zone).max(1.0);
    let by_size = |count: usize| (size / count as f64).sqrt();
    let ground = pieces(yard, zone);
    let Some(edges) = bounds(&ground) else {
        let step = published[1].min(by_size(CANS_AIM)).max(by_size(CANS_MOST));
        let cans = ((size / (step * step)).round() as usize).max(CANS_AIM);
        return Layout { at: Vec::new(), step_m: step, cans, published_m: published };
    };
    let mut step = published[1].max(by_size(CANS_MOST));
    let mut at = grid(&ground, edges, step);
    while at.len() < CANS_AIM && step > STEP_LEAST_M {
        step *= 0.95;
        at = grid(&ground, edges, step);
    }
    Layout { cans: at.len(), at, step_m: step, published_m: published }
}

/// What an audit says.
pub fn judge(yard: &Yard, audit: &Dated<Audited>) -> Judged {
    let a = &audit.fact;
    let units = yard.units();
    let zone = yard.zone(&a.zone);
    let size = zone.map_or(0.0, |z| size_of(yard, z));
    let mut working = Vec::new();
    let by_flow = |flow_lpm: f64| {
        let rate = sprinkler_rate(LitresPerMinute::new(flow_lpm), Ground::Area(SquareMetres::new(size)));
        rate.ok().map(|r| r.get())
    };
    // Depths are volumes over 10 cm²: 1 mL on it stands 1 mm deep.
    let cans = catch_can_audit(&a.caught_mm, 10.0, Minutes::new(a.minutes)).ok();
    if let Some(c) = cans {
        working.push(Step::new(
            "rate and evenness by the cans",
            "rate = mean / minutes × 60; DU = mean of the lowest quarter / mean; CU = 1 − Σ|depth − mean| / (n mean)",
            vec![
                Value::number("cans", a.caught_mm.len() as f64, ""),
                Value::number("mean", c.mean.get(), "mm"),
                Value::number("DU", c.du_lq.get(), ""),
                Value::number("CU", c.cu.get(), ""),
                Value::number("minutes", a.minutes, "min"),
            ],
            Value::number("rate", c.rate.get(), "mm/h"),
        ));
    }
    let metered = a.meter_before_l.zip(a.meter_after_l).map(|(before, after)| after - before);
    let meter = metered.filter(|_| a.minutes >= MINUTES.min).and_then(|l| by_flow(l / a.minutes));
    let bucket_flow = a.bucket_l.zip(a.bucket_s).map(|(l, s)| l / s * 60.0 * a.bucket_heads.unwrap_or(1.0));
    let bucket = bucket_flow.and_then(by_flow);
    for (label, flow, rate) in
        [("rate by the meter", metered.map(|l| l / a.minutes), meter), ("rate by the bucket", bucket_flow, bucket)]
    {
        if let (Some(flow), Some(rate)) = (flow, rate) {
            working.push(Step::new(
                label,
                "rate = flow × 60 / ground",
                vec![Value::number("flow", flow, "L/min"), Value::number("ground", size, "m²")],
                Value::number("rate", rate, "mm/h"),
            ));
        }
    }
    let du = cans.map(|c| c.du_lq.get());
    let multiplier = |s| du.and_then(|d| run_time_multiplier(Fraction::new(d), s).ok());
    let half = multiplier(Scheduling::LowHalf);
    if let (Some(du), Some(half)) = (du, half) {
        working.push(Step::new(
            "run-time multiplier",
            "1 / (0.4 + 0.6 DU), near the lower half of the cans",
            vec![Value::number("DU", du, "")],
            Value::number("multiplier", half, ""),
        ));
    }
    Judged {
        id: audit.id.clone(),
        on: audit.on,
        zone: a.zone.clone(),
        cans_mm_h: cans.map(|c| c.rate.get()),
        meter_mm_h: meter,
        bucket_mm_h: bucket,
        du_lq: du,
        cu: cans.map(|c| c.cu.get()),
        multiplier: half,
        multiplier_quarter: multiplier(Scheduling::LowQuarter),
        dry: lowest_quarter(&a.caught_mm),
        caught_mm: a.caught_mm.clone(),
        at: a.at.clone(),
        findings: findings(a, cans.map(|c| c.rate.get()), meter.or(bucket), units),
        working,
    }
}

/// The cans of the lowest quarter, the last one told when it counts by half or more.
fn lowest_quarter(caught: &[f64]) -> Vec<bool> {
    let mut order: Vec<usize> = (0..caught.len()).collect();
    order.sort_by(|&a, &b| caught[a].total_cmp(&caught[b]));
    let quarter = (caught.len() as f64 / 4.0).round().max(1.0) as usize;
    let mut dry = vec![false; caught.len()];
    order.iter().take(quarter).for_each(|&i| dry[i] = true);
    dry
}

fn findings(a: &Audited, cans: Option<f64>, flow: Option<f64>, units: Units) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(wind) = a.wind_ms.filter(|w| *w > WIND_MOST_MS) {
        out.push(format!(
            "the wind was {}; above {} the cans tell of the wind, so measure again on a calm morning (New Mexico State University Extension, Guide H-510)",
            units.say(Quantity::Speed, wind),
            units.say(Quantity::Speed, WIND_MOST_MS)
        ));
    }
    if (2..CANS_LEAST).contains(&a.caught_mm.len()) {
        out.push(format!(
            "{} cans tell the rate, hardly the evenness; an audit has at least {CANS_LEAST} (University of Minnesota Extension)",
            a.caught_mm.len()
        ));
    }
    if let (Some(cans), Some(flow)) = (cans, flow) {
        let share = cans / flow - 1.0;
        if share < -METER_APART {
            out.push(format!(
                "{:.0} % of the water let out did not reach the cans: look for a leak in the lateral, throw beside the ground, mist",
                -share * 100.0
            ));
        } else if share > METER_APART {
            out.push(format!(
                "the cans caught {:.0} % more than was let out on this ground: its size, the readings, or cans of another zone’s water",
                share * 100.0
            ));
        }
    }
    out
}

/// All audits of a zone, newest first.
pub fn audits_of(yard: &Yard, zone: &str) -> Vec<Judged> {
    yard.audits.iter().rev().filter(|a| a.fact.zone == zone).map(|a| judge(yard, a)).collect()
}

/// What the later audit differs by: the water of a run for the same need, each with its own multiplier.
///
/// A run lets out `need × multiplier` on all the ground; it lasts that depth over the rate.
pub fn compare(yard: &Yard, before: &Judged, after: &Judged, need_mm: f64) -> Option<Compared> {
    let zone = yard.zone(&after.zone).filter(|_| before.zone == after.zone)?;
    let size = size_of(yard, zone);
    let side = |j: &Judged| Some((j.du_lq?, j.multiplier?, j.rate_mm_h()?));
    let ((du_0, m_0, rate_0), (du_1, m_1, rate_1)) = (side(before)?, side(after)?);
    let litres = [need_mm * m_0 * size, need_mm * m_1 * size];
    let working = vec![Step::new(
        "water of a run, then and now",
        "need × multiplier × ground",
        vec![
            Value::number("need", need_mm, "mm"),
            Value::number("multiplier then", m_0, ""),
            Value::number("multiplier now", m_1, ""),
            Value::number("ground", size, "m²"),
        ],
        Value::number("saved", litres[0] - litres[1], "L"),
    )];
    Some(Compared {
        before: before.on,
        after: after.on,
        du_lq: [du_0, du_1],
        need_mm,
        litres,
        minutes: [need_mm * m_0 / rate_0 * 60.0, need_mm * m_1 / rate_1 * 60.0],
        working,
    })
}

/// The ground of a zone by the can nearest to it; `None` where the ground is not drawn or the cans' places are not known.
pub fn nearest(yard: &Yard, zone: &ZoneFacts, at: &[[f64; 2]]) -> Option<Nearest> {
    let ground = pieces(yard, zone);
    let [w, s, e, n] = bounds(&ground).filter(|_| !at.is_empty())?;
    let cell = ((e - w) * (n - s) / CELLS_MAX).sqrt().max(0.2);
    let (columns, rows) = (((e - w) / cell).ceil() as usize, ((n - s) / cell).ceil() as usize);
    let far = |place: [f64; 2], can: &[f64; 2]| (place[0] - can[0]).powi(2) + (place[1] - can[1]).powi(2);
    let mut can = Vec::with_capacity(columns * rows);
    for row in 0..rows {
        for column in 0..columns {
            let place = [w + (column as f64 + 0.5) * cell, s + (row as f64 + 0.5) * cell];
            let here = ground.iter().any(|p| p.contains(place));
            let next = (0..at.len()).min_by(|&a, &b| far(place, &at[a]).total_cmp(&far(place, &at[b])));
            can.push(next.filter(|_| here));
        }
    }
    Some(Nearest { origin_m: [w, s], cell_m: cell, columns, rows, can })
}

/// Gives each zone the rate and evenness of its newest audit, unless the zone itself was told a later one.
pub(crate) fn take_over(yard: &mut Yard, audits_before: &HashMap<String, usize>) {
    for i in 0..yard.zones.len() {
        let known = audits_before.get(&yard.zones[i].key).copied().unwrap_or(0);
        let (mut rate, mut du) = (None, None);
        for (k, audit) in yard.audits.iter().enumerate().filter(|(_, a)| a.fact.zone == yard.zones[i].key) {
            let judged = judge(yard, audit);
            let later = k >= known;
            rate = judged.rate_mm_h().filter(|_| later || yard.zones[i].rate_mm_h.is_none()).or(rate);
            du = judged.du_lq.filter(|_| later || yard.zones[i].du_lq.is_none()).or(du);
        }
        let zone = &mut yard.zones[i];
        zone.rate_mm_h = rate.or(zone.rate_mm_h);
        zone.du_lq = du.or(zone.du_lq).map(|d| d.clamp(reckon::run_time::DU_LQ.min, 1.0));
    }
}
