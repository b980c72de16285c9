//! What is left on the shelf: the last count, and what was bought and put down since.

use jiff::civil::Date;

use crate::entry::{Applied, ProductFacts};
use crate::fold::Yard;
use crate::ground::Ground;

/// One product on the shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelf {
    /// Product.
    pub product: String,
    /// What should be left (kg; L for liquids); below nothing where more was put down than is known to have been bought.
    pub left_kg: f64,
    /// Day of the last count; `None` where it was never counted.
    pub counted_on: Option<Date>,
    /// Bought since, with an amount (kg; L).
    pub bought_kg: f64,
    /// Put down since (kg; L).
    pub used_kg: f64,
    /// Purchases since whose amount is not known: the figure is then too low.
    pub unknown_purchases: usize,
    /// Mean price of a kilogram or litre, over every purchase with amount and cost, else over the packs' prices.
    pub price_per_kg: Option<f64>,
}

/// Size an area had on a day (m²).
pub fn size_on(yard: &Yard, area: &str, on: Date) -> f64 {
    match yard.ground_on(area, on) {
        Ground::Drawn(i) => yard.outline_size(i),
        Ground::Named(_) => {
            let told = || yard.areas_ever.iter().filter(|a| a.fact.key == area);
            let then = told().rev().find(|a| a.on <= on && !a.fact.retired).or_else(|| told().next());
            then.map_or(0.0, |a| a.fact.size_m2)
        }
    }
}

/// Ground an application lies on (m²): the spot told, else its areas as they were that day.
pub fn ground_put_on(yard: &Yard, work: &Applied, on: Date) -> f64 {
    work.spot_m2.unwrap_or_else(|| work.areas.iter().map(|a| size_on(yard, a, on)).sum())
}

/// Product an application took (kg; L for liquids), on the ground its areas had that day.
pub fn product_used(yard: &Yard, work: &Applied, on: Date) -> f64 {
    ground_put_on(yard, work, on) * work.rate_g_m2 / 1000.0
}

/// Share of an area's ground an application of a day lies on, 0 to 1; a spot counts by its size, wherever on the areas it was.
pub fn share_put_on(yard: &Yard, area: &str, work: &Applied, on: Date) -> f64 {
    let share: f64 = work.areas.iter().map(|k| yard.share_of(area, k, on)).sum();
    let part = work.spot_m2.map_or(1.0, |spot| {
        let whole: f64 = work.areas.iter().map(|a| size_on(yard, a, on)).sum();
        if whole > 0.0 { (spot / whole).min(1.0) } else { 1.0 }
    });
    share.min(1.0) * part
}

pub(super) fn price(yard: &Yard, product: &ProductFacts) -> Option<f64> {
    let known: Vec<(f64, f64)> = yard
        .purchases
        .iter()
        .filter(|p| p.fact.product.as_deref() == Some(product.key.as_str()))
        .filter_map(|p| Some((p.fact.amount_kg?, p.fact.cost?)))
        .collect();
    let (amount, cost) = known.iter().fold((0.0, 0.0), |(a, c), (x, y)| (a + x, c + y));
    if amount > 0.0 {
        return Some(cost / amount);
    }
    product.packs.iter().filter_map(|p| Some(p.price? / p.size_kg)).min_by(f64::total_cmp)
}

/// What should be left of a product.
pub fn shelf(yard: &Yard, product: &ProductFacts) -> Shelf {
    let counted = yard.counts.iter().rev().find(|c| c.fact.product == product.key);
    // Of one day the order in which they were written down decides: ids sort by time.
    let since = |on: Date, id: &str| counted.is_none_or(|c| (on, id) > (c.on, c.id.as_str()));
    let bought =
        yard.purchases.iter().filter(|p| p.fact.product.as_deref() == Some(product.key.as_str()) && since(p.on, &p.id));
    let bought_kg: f64 = bought.clone().filter_map(|p| p.fact.amount_kg).sum();
    let unknown_purchases = bought.filter(|p| p.fact.amount_kg.is_none()).count();
    let used_kg: f64 = yard
        .applications
        .iter()
        .filter(|a| a.fact.product == product.key && since(a.on, &a.id))
        .map(|a| product_used(yard, &a.fact, a.on))
        .sum();
    Shelf {
        product: product.key.clone(),
        left_kg: counted.map_or(0.0, |c| c.fact.left_kg) + bought_kg - used_kg,
        counted_on: counted.map(|c| c.on),
        bought_kg,
        used_kg,
        unknown_purchases,
        price_per_kg: price(yard, product),
    }
}

/// Every product on the shelf.
pub fn shelves(yard: &Yard) -> Vec<Shelf> {
    yard.products.iter().map(|p| shelf(yard, p)).collect()
}
