//! Water in money: what the meter counted beside what the zones let out, and what watering costs by the supplier's prices.

use jiff::civil::Date;
use reckon::tariff::{Bill, bill};
use reckon::units::CubicMetres;
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::Scene;
use crate::advice::delivery::{on_weekday, zone_rate};
use crate::advice::trial::{DayLitres, SeasonTrial};
use crate::entry::{Meter, TariffFacts, ZoneFacts};
use crate::fold::{Dated, Yard};
use crate::units::{Quantity, significant};
use crate::words::money;

/// Share of the metered water within which meter and zones agree (flows of zones are seldom known better).
const AGREES_SHARE: f64 = 0.10;
/// ... or so much a day, where little was used (L): about five gallons.
const AGREES_L_A_DAY: f64 = 20.0;
/// A span counts as one without watering where no more than this share of it was let out by zones.
const DRY_SHARE: f64 = 0.02;

/// What one zone, or a hand, let out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneUse {
    /// Name.
    pub name: String,
    /// Key; `None` for water given by hand.
    pub zone: Option<String>,
    /// Litres.
    pub litres: f64,
    /// Minutes run.
    pub minutes: f64,
    /// The flow comes from a rate that nobody measured.
    pub assumed: bool,
}

/// The time between two readings of a meter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeterSpan {
    /// Which meter.
    pub meter: Meter,
    /// Morning of the first reading.
    pub from: Date,
    /// Morning of the second.
    pub to: Date,
    /// Days between.
    pub days: i64,
    /// Water through the meter (L).
    pub metered_l: f64,
    /// Water written down, by zone (L).
    pub zones: Vec<ZoneUse>,
    /// All of that (L).
    pub counted_l: f64,
    /// The house's own use, where a span without watering tells it (L).
    pub house_l: Option<f64>,
    /// What neither explains (L); may be below 0.
    pub rest_l: f64,
    /// The rest is more than the flows are known to.
    pub look: bool,
    /// The rest in words.
    pub words: String,
    /// What it cost.
    pub cost: Option<SpanCost>,
}

/// A span in money.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpanCost {
    /// All of it.
    pub total: f64,
    /// What the watering added.
    pub watering: f64,
    /// The step the next cubic metre falls in.
    pub step: String,
    /// What that cubic metre costs.
    pub marginal_per_m3: f64,
    /// The computation.
    pub working: Vec<Step>,
}

/// One way of watering over a season, in water and money.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SeasonCost {
    /// Litres.
    pub litres: f64,
    /// What they add to the bills.
    pub cost: f64,
    /// Days of stress.
    pub stress_days: usize,
}

/// A past season in money, by the prices in force now.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeasonMoney {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// As advised.
    pub advice: SeasonCost,
    /// By the fixed timer.
    pub timer: SeasonCost,
    /// By the timer set long enough.
    pub long_timer: SeasonCost,
    /// At least, all weather known.
    pub optimum: SeasonCost,
    /// The dearest step reached as advised.
    pub step: String,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// The computation.
    pub working: Vec<Step>,
}

/// Water in money.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WaterCost {
    /// Spans between readings, newest first.
    pub spans: Vec<MeterSpan>,
    /// The house's own use a day (L), from spans without watering.
    pub house_l_a_day: Option<f64>,
    /// The prices in force.
    pub tariff: Option<TariffFacts>,
}

/// The prices of a meter on a day; the house's, where the yard's meter has none of its own.
pub fn tariff_on(yard: &Yard, meter: Meter, day: Date) -> Option<&Dated<TariffFacts>> {
    let of = |m: Meter| {
        let known = || yard.tariffs.iter().filter(move |t| t.fact.meter == m);
        known().rfind(|t| t.on <= day).or_else(|| known().next())
    };
    of(meter).or_else(|| of(Meter::House))
}

/// Meter, zones and prices up to a day.
pub fn water_cost(scene: &Scene<'_>) -> WaterCost {
    let mut spans: Vec<MeterSpan> = [Meter::House, Meter::Yard].into_iter().flat_map(|m| spans_of(scene, m)).collect();
    let mut dry: Vec<f64> = spans
        .iter()
        .filter(|s| s.meter == Meter::House && s.metered_l >= 0.0 && s.counted_l <= DRY_SHARE * s.metered_l)
        .map(|s| s.metered_l / s.days as f64)
        .collect();
    dry.sort_by(f64::total_cmp);
    let house_l_a_day = dry.get(dry.len().saturating_sub(1) / 2).copied();
    for span in &mut spans {
        explain(scene, span, house_l_a_day);
    }
    spans.sort_by_key(|s| std::cmp::Reverse((s.to, s.meter)));
    let tariff = tariff_on(scene.yard, Meter::House, scene.on).or_else(|| tariff_on(scene.yard, Meter::Yard, scene.on));
    WaterCost { spans, house_l_a_day, tariff: tariff.map(|t| t.fact.clone()) }
}

/// The spans between a meter's readings; a new meter begins anew.
fn spans_of(scene: &Scene<'_>, meter: Meter) -> Vec<MeterSpan> {
    let reads: Vec<_> = scene.yard.meter_reads.iter().filter(|r| r.fact.meter == meter && r.on <= scene.on).collect();
    reads
        .windows(2)
        .filter(|pair| pair[1].on > pair[0].on && !pair[1].fact.renewed)
        .map(|pair| {
            let (from, to) = (pair[0].on, pair[1].on);
            let zones = let_out(scene, from, to);
            MeterSpan {
                meter,
                from,
                to,
                days: Yard::days_between(from, to),
                metered_l: (pair[1].fact.reading_m3 - pair[0].fact.reading_m3) * 1000.0,
                counted_l: zones.iter().map(|z| z.litres).sum(),
                zones,
                house_l: None,
                rest_l: 0.0,
                look: false,
                words: String::new(),
                cost: None,
            }
        })
        .collect()
}

/// Litres a minute of a zone, and whether the figure is only a usual one.
pub(crate) fn flow_of(scene: &Scene<'_>, zone: &ZoneFacts) -> Option<(f64, bool)> {
    if let Some(flow) = zone.flow_lpm {
        return Some((flow, false));
    }
    let (rate, value) = zone_rate(scene, zone)?;
    let size: f64 = zone.areas.iter().filter_map(|a| scene.yard.area(a)).map(|a| a.size_m2).sum();
    Some((rate.get() * size / 60.0, value.assumed))
}

/// What the zones let out from the morning of one day to the morning of another, programme and daybook together.
pub fn let_out(scene: &Scene<'_>, from: Date, to: Date) -> Vec<ZoneUse> {
    let yard = scene.yard;
    let mut out = Vec::new();
    for zone in &yard.zones_ever {
        let mut minutes = 0.0;
        let mut programmes = yard.programmes.iter().filter(|p| p.fact.zone == zone.key).peekable();
        while let Some(programme) = programmes.next() {
            let until = programmes.peek().map_or(to, |next| next.on).min(to);
            let mut day = programme.on.max(from);
            while day < until {
                if on_weekday(&programme.fact.weekdays, day) {
                    minutes += programme.fact.minutes.max(0.0);
                }
                let Ok(next) = day.tomorrow() else { break };
                day = next;
            }
        }
        let by_log =
            yard.waterings.iter().filter(|w| w.on >= from && w.on < to && w.fact.zone.as_ref() == Some(&zone.key));
        minutes += by_log.filter_map(|w| w.fact.minutes).sum::<f64>();
        if minutes > 0.0
            && let Some((flow, assumed)) = flow_of(scene, zone)
        {
            let litres = flow * minutes;
            out.push(ZoneUse { name: zone.name.clone(), zone: Some(zone.key.clone()), litres, minutes, assumed });
        }
    }
    let by_hand = yard.waterings.iter().filter(|w| w.on >= from && w.on < to && w.fact.zone.is_none());
    let litres: f64 =
        by_hand.filter_map(|w| Some(yard.area(w.fact.area.as_deref()?)?.size_m2 * w.fact.depth_mm?)).sum();
    if litres > 0.0 {
        out.push(ZoneUse { name: "by hand".to_owned(), zone: None, litres, minutes: 0.0, assumed: false });
    }
    out
}

/// The rest of a span in figures and words, and its cost.
fn explain(scene: &Scene<'_>, span: &mut MeterSpan, house_l_a_day: Option<f64>) {
    let u = scene.units();
    let say = |l: f64| u.say(Quantity::Volume, l);
    let days = span.days as f64;
    if span.metered_l < 0.0 {
        span.rest_l = span.metered_l;
        span.words = "the meter stood lower than before: correct a reading, or tell that it was renewed".to_owned();
        return;
    }
    let dry = span.counted_l <= DRY_SHARE * span.metered_l;
    span.house_l = match span.meter {
        Meter::Yard => Some(0.0),
        Meter::House => house_l_a_day.map(|l| l * days),
    };
    span.rest_l = span.metered_l - span.counted_l - span.house_l.unwrap_or(0.0);
    let grace = (AGREES_SHARE * span.metered_l).max(AGREES_L_A_DAY * days);
    span.look = span.house_l.is_some() && span.rest_l > grace;
    span.words = match span.house_l {
        None => format!(
            "{} a day is the house and all that is not written down; two readings of a time without watering would tell the house's own use",
            say(span.rest_l / days)
        ),
        Some(_) if span.look => format!(
            "{} more than is explained, {} a day: a leak, or zones that let out more than their rates say. With everything shut, watch the meter for \
             two hours",
            say(span.rest_l),
            say(span.rest_l / days)
        ),
        Some(_) if span.rest_l < -grace => format!(
            "{} less than is explained: zones let out less than their rates say, runs were left out, or the house used less",
            say(-span.rest_l)
        ),
        Some(_) if span.meter == Meter::House && dry => "a time without watering: the house's own use".to_owned(),
        Some(_) => format!("explained to within {:.0} %", 100.0 * span.rest_l.abs() / span.metered_l.max(1.0)),
    };
    span.cost = cost_of(scene, span);
}

/// A bill's marginal step in words: "step 3 of 4, over 35 1000 gal a quarter".
pub(crate) fn step_words(tariff: &TariffFacts, bill: &Bill) -> String {
    let (place, all) = (bill.marginal_step, tariff.steps.len());
    let from = place.checked_sub(2).and_then(|i| tariff.steps.get(i)).and_then(|s| s.up_to_m3);
    let end = tariff.steps.get(place - 1).and_then(|s| s.up_to_m3);
    let say = |m3: f64| format!("{} × {}", significant(m3 / tariff.unit.in_m3(), 4), tariff.unit.symbol());
    let range = match (from, end) {
        (Some(a), None) => format!("over {}", say(a)),
        (Some(a), Some(b)) => format!("{} to {}", say(a), say(b)),
        (None, Some(b)) => format!("to {}", say(b)),
        (None, None) => "one price".to_owned(),
    };
    format!("step {place} of {all}, {range} in {}", tariff.period.words())
}

fn cost_of(scene: &Scene<'_>, span: &MeterSpan) -> Option<SpanCost> {
    let tariff = &tariff_on(scene.yard, span.meter, span.from)?.fact;
    let share = span.days as f64 / tariff.period.days();
    let part = tariff.tariff().over(share);
    let m3 = |litres: f64| CubicMetres::new(litres.max(0.0) / 1000.0);
    let all = bill(&part, m3(span.metered_l)).ok()?;
    let without = bill(&part, m3(span.metered_l - span.counted_l)).ok()?;
    let price = |p: f64| format!("{} for {}", money(scene.yard, p * tariff.unit.in_m3()), tariff.unit.symbol());
    let mut working = vec![Step::new(
        "share of a period",
        "days / days of a period; base charge and ends of steps are taken by this share",
        vec![Value::number("days", span.days as f64, ""), Value::number("period", tariff.period.days(), "")],
        Value::number("share", share, ""),
    )];
    for line in &all.lines {
        working.push(Step::new(
            format!("step at {}", price(line.price_per_m3)),
            "water within the step × price",
            vec![
                Value::number("water", line.volume.get() * 1000.0, "L"),
                Value::text("price", price(line.price_per_m3)),
            ],
            Value::text("amount", money(scene.yard, line.amount)),
        ));
    }
    if let Some(sewer) = all.sewer {
        working.push(Step::new(
            "sewer charge",
            "water that bears it × price",
            vec![
                Value::number("water", sewer.volume.get() * 1000.0, "L"),
                Value::text("price", price(sewer.price_per_m3)),
            ],
            Value::text("amount", money(scene.yard, sewer.amount)),
        ));
    }
    working.push(Step::new(
        "all of it",
        "base + water + sewer",
        vec![Value::text("base", money(scene.yard, all.base)), Value::text("water", money(scene.yard, all.water))],
        Value::text("total", money(scene.yard, all.total)),
    ));
    working.push(Step::new(
        "what the watering added",
        "this bill − the bill without the water written down",
        vec![Value::text("without", money(scene.yard, without.total))],
        Value::text("watering", money(scene.yard, all.total - without.total)),
    ));
    Some(SpanCost {
        total: all.total,
        watering: all.total - without.total,
        step: step_words(tariff, &all),
        marginal_per_m3: all.marginal_price_per_m3,
        working,
    })
}

/// A past season in money by the prices of a day: month by month on top of the house's own use. `None` without a tariff.
pub fn season_money(scene: &Scene<'_>, season: &SeasonTrial, house_l_a_day: Option<f64>) -> Option<SeasonMoney> {
    let yards_own = scene.yard.tariffs.iter().any(|t| t.fact.meter == Meter::Yard);
    let meter = if yards_own { Meter::Yard } else { Meter::House };
    let tariff = &tariff_on(scene.yard, meter, scene.on)?.fact;
    let house = if yards_own { Some(0.0) } else { house_l_a_day };
    let mut assumed = Vec::new();
    if house.is_none() {
        assumed.push(
            "the house's own use is not known, so the first steps are counted for the yard; read the house meter twice in a time without watering"
                .to_owned(),
        );
    }
    let house = house.unwrap_or(0.0);
    let mut step = None;
    let mut cost = |of: fn(&DayLitres) -> f64, told: bool| -> Option<f64> {
        let mut sum = 0.0;
        let mut dearest = 0.0;
        for month in &season.months {
            let days = f64::from(month.date.days_in_month());
            let part = tariff.tariff().over(days / tariff.period.days());
            let own = bill(&part, CubicMetres::new(house * days / 1000.0)).ok()?;
            let with = bill(&part, CubicMetres::new((house * days + of(month)) / 1000.0)).ok()?;
            sum += with.total - own.total;
            if told && with.marginal_price_per_m3 > dearest {
                dearest = with.marginal_price_per_m3;
                step = Some(step_words(tariff, &with));
            }
        }
        Some(sum)
    };
    let advice = cost(|m| m.advice, true)?;
    let (timer, long) = (cost(|m| m.timer, false)?, cost(|m| m.long_timer, false)?);
    let optimum = cost(|m| m.optimum, false)?;
    let of =
        |f: &crate::advice::trial::Fared, cost: f64| SeasonCost { litres: f.litres, cost, stress_days: f.stress_days };
    let money_of = |name: &'static str, x: f64| Value::text(name, money(scene.yard, x));
    let working = vec![Step::new(
        "what watering adds to the bills",
        "Σ over months (bill of house and yard − bill of the house alone)",
        vec![
            Value::number("house a day", house, "L"),
            Value::number("months", season.months.len() as f64, ""),
            money_of("timer", timer),
            money_of("long timer", long),
        ],
        money_of("as advised", advice),
    )];
    Some(SeasonMoney {
        from: season.from,
        to: season.to,
        advice: of(&season.advice, advice),
        timer: of(&season.timer, timer),
        long_timer: of(&season.long_timer, long),
        optimum: of(&season.optimum, optimum),
        step: step.unwrap_or_default(),
        assumed,
        working,
    })
}
