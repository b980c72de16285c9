//! What it cost: by area, by job, by year.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::stock::{price, product_used, size_on};
use crate::entry::{ProductFacts, Work};
use crate::fold::Yard;

/// One sum of money, or of product valued at its mean price.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// Entry.
    pub entry: String,
    /// Day.
    pub on: Date,
    /// Job: "feeding", "weeds", "insects", "disease", "other products", "repairs", "other purchases", "products".
    pub job: &'static str,
    /// Area, where it lies on one.
    pub area: Option<String>,
    /// What.
    pub what: String,
    /// Amount, in the yard's currency.
    pub amount: f64,
}

/// Costs of a span of days.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CostReport {
    /// Money spent: every purchase and repair, by year.
    pub spent_by_year: BTreeMap<i16, f64>,
    /// Product put down at its mean price, and repairs: line by line.
    pub lines: Vec<CostLine>,
    /// The lines by area key; repairs without an area under "".
    pub by_area: BTreeMap<String, f64>,
    /// The lines by job.
    pub by_job: BTreeMap<&'static str, f64>,
    /// Purchases of products, which the lines count as they are used up.
    pub spent: Vec<CostLine>,
    /// Applications whose product has no known price.
    pub without_price: usize,
}

/// What a product is for.
fn job_of(product: &ProductFacts) -> &'static str {
    use almanac::ActiveKind;
    let kinds: Vec<ActiveKind> =
        product.actives.iter().filter_map(|s| almanac::Almanac::embedded().active(&s.active)).map(|a| a.kind).collect();
    match kinds.first() {
        Some(ActiveKind::Preventer | ActiveKind::Postemergence) => "weeds",
        Some(ActiveKind::Insecticide) => "insects",
        Some(ActiveKind::Fungicide) => "disease",
        None if product.n_pct + product.p2o5_pct + product.k2o_pct > 0.0 => "feeding",
        None => "other products",
    }
}

/// Every cost from one day to another, both counted.
pub fn costs(yard: &Yard, from: Date, to: Date) -> CostReport {
    let mut report = CostReport::default();
    let within = |on: Date| on >= from && on <= to;
    for bought in yard.purchases.iter().filter(|p| within(p.on)) {
        let Some(amount) = bought.fact.cost else { continue };
        *report.spent_by_year.entry(bought.on.year()).or_insert(0.0) += amount;
        let lines = if bought.fact.product.is_some() { &mut report.spent } else { &mut report.lines };
        lines.push(CostLine {
            entry: bought.id.clone(),
            on: bought.on,
            job: if bought.fact.product.is_some() { "products" } else { "other purchases" },
            area: None,
            what: bought.fact.what.clone(),
            amount,
        });
    }
    for repair in yard.repairs.iter().filter(|r| within(r.on)) {
        let Some(amount) = repair.fact.cost else { continue };
        *report.spent_by_year.entry(repair.on.year()).or_insert(0.0) += amount;
        let zone = repair.fact.zone.as_deref().and_then(|z| yard.zones_ever.iter().find(|x| x.key == z));
        // A repair of a zone is its area's where it waters one alone.
        let area = repair.fact.area.clone().or_else(|| match zone?.areas.as_slice() {
            [one] => Some(one.clone()),
            _ => None,
        });
        report.lines.push(CostLine {
            entry: repair.id.clone(),
            on: repair.on,
            job: "repairs",
            area,
            what: repair.fact.done.clone(),
            amount,
        });
    }
    let prices: BTreeMap<&str, Option<f64>> = yard.products.iter().map(|p| (p.key.as_str(), price(yard, p))).collect();
    for put in yard.applications.iter().filter(|a| within(a.on)) {
        let Some(product) = yard.product_on(&put.fact.product, put.on) else { continue };
        let Some(price) = prices.get(product.key.as_str()).copied().flatten() else {
            report.without_price += 1;
            continue;
        };
        let sizes: Vec<(&String, f64)> = put.fact.areas.iter().map(|a| (a, size_on(yard, a, put.on))).collect();
        let total: f64 = sizes.iter().map(|(_, m2)| m2).sum();
        let used = product_used(yard, &put.fact, put.on);
        for (area, m2) in sizes.into_iter().filter(|(_, m2)| *m2 > 0.0) {
            report.lines.push(CostLine {
                entry: put.id.clone(),
                on: put.on,
                job: job_of(product),
                area: Some(area.clone()),
                what: product.name.clone(),
                amount: used * price * m2 / total,
            });
        }
    }
    report.lines.sort_by(|a, b| (a.on, &a.entry, &a.area).cmp(&(b.on, &b.entry, &b.area)));
    for line in &report.lines {
        *report.by_area.entry(line.area.clone().unwrap_or_default()).or_insert(0.0) += line.amount;
        *report.by_job.entry(line.job).or_insert(0.0) += line.amount;
    }
    report
}

/// Product the plans ahead will take (kg; L), by product.
pub fn planned_need(yard: &Yard) -> BTreeMap<String, f64> {
    let mut need = BTreeMap::new();
    for plan in &yard.plans {
        if let Work::Apply(work) = &plan.fact.work {
            *need.entry(work.product.clone()).or_insert(0.0) += product_used(yard, work, plan.on);
        }
    }
    need
}

/// Everything as CSV (RFC 4180): day, kind, job, area, what, cost, entry. Kind `used` is what the ground took and what was mended, `spent` is
/// money paid for products; the two are never added to each other. A cell that a spreadsheet would take for a formula is set in front
/// with an apostrophe.
pub fn costs_csv(yard: &Yard, report: &CostReport) -> String {
    let cell = |text: &str| {
        let guarded =
            if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_owned() };
        if guarded.contains([',', '"', '\n', '\r']) { format!("\"{}\"", guarded.replace('"', "\"\"")) } else { guarded }
    };
    let mut out = String::from("day,kind,job,area,what,cost,entry\r\n");
    for line in &report.spent {
        let what = cell(&line.what);
        out.push_str(&format!(
            "{},spent,{},,{what},{:.2},{}\r\n",
            line.on,
            cell(line.job),
            line.amount,
            cell(&line.entry)
        ));
    }
    for line in &report.lines {
        let area = line.area.as_deref().map_or("", |a| yard.area_name(a));
        out.push_str(&format!(
            "{},used,{},{},{},{:.2},{}\r\n",
            line.on,
            cell(line.job),
            cell(area),
            cell(&line.what),
            line.amount,
            cell(&line.entry)
        ));
    }
    out
}
