//! What to buy: the packs that cover what is short at least cost.

use reckon::packs::{
    Pack as Offer, Shortage, cheapest_packs, grams_rounded_down, grams_rounded_up, millilitres_rounded_down,
    millilitres_rounded_up,
};
use reckon::units::{Kilograms, Litres};

use super::stock::{Shelf, shelf};
use crate::entry::{Form, Pack, ProductFacts};
use crate::fold::Yard;
use crate::words::money;

/// Packs to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Buy {
    /// Packs with how many of each, none left out.
    pub packs: Vec<(Pack, u64)>,
    /// What they cost, in the yard's currency; `None` where a pack's price is not known.
    pub cost: Option<f64>,
    /// What will be left over (kg; L).
    pub left_over_kg: f64,
}

/// The cheapest packs that cover a need (kg; L) with what is on the shelf. Where no price is known the fewest and smallest packs
/// are taken. `None` where nothing is short, no pack is known, or the numbers are beyond what the search takes.
pub fn buy(product: &ProductFacts, need_kg: f64, on_shelf_kg: f64) -> Option<Buy> {
    if need_kg <= on_shelf_kg + 1e-9 {
        return None;
    }
    let priced: Vec<Pack> = product.packs.iter().filter(|p| p.price.is_some()).cloned().collect();
    let known = !priced.is_empty();
    let packs = if known { priced } else { product.all_packs() };
    let up = |v: f64| match product.form {
        Form::Granule => grams_rounded_up(Kilograms::new(v)),
        Form::Liquid => millilitres_rounded_up(Litres::new(v)),
    };
    let down = |v: f64| match product.form {
        Form::Granule => grams_rounded_down(Kilograms::new(v)),
        Form::Liquid => millilitres_rounded_down(Litres::new(v)),
    };
    let offers: Vec<Offer> = packs
        .iter()
        .map(|p| {
            // To the nearest gram: 40 lb is 40 lb, whether asked for or held.
            let holds = (p.size_kg * 1000.0).round().max(1.0) as u64;
            // Without prices a pack costs what it holds: least bought is then cheapest.
            let price_cents = p.price.map_or(holds, |price| (price * 100.0).round() as u64);
            Some(Offer { holds, price_cents, most: None })
        })
        .collect::<Option<_>>()?;
    let tenth = 0.000_5;
    let shortage = Shortage {
        need: up((need_kg - tenth).max(0.0)).ok()?,
        on_shelf: down(on_shelf_kg.max(0.0)).ok()?,
        left_over_wish: None,
    };
    let found = cheapest_packs(shortage, &offers).ok()?;
    Some(Buy {
        packs: packs.into_iter().zip(found.counts).filter(|(_, n)| *n > 0).collect(),
        cost: known.then_some(found.cost_cents as f64 / 100.0),
        left_over_kg: found.left_over as f64 / 1000.0,
    })
}

/// The shelf against a need, in words: enough, or what to buy. Nothing where the shelf was neither counted nor bought for.
pub fn shelf_words(yard: &Yard, product: &ProductFacts, need_kg: f64) -> Option<String> {
    let Shelf { left_kg, counted_on, bought_kg, .. } = shelf(yard, product);
    if counted_on.is_none() && bought_kg <= 0.0 {
        return None;
    }
    let u = yard.units();
    let amount = |kg: f64| u.say(product.amount_quantity(), kg);
    let left = left_kg.max(0.0);
    if need_kg <= left + 1e-9 {
        return Some(format!("{} should be on the shelf: enough", amount(left)));
    }
    let short = format!("{} should be on the shelf: {} short", amount(left), amount(need_kg - left));
    let Some(buy) = buy(product, need_kg, left) else { return Some(short) };
    let packs: Vec<String> = buy.packs.iter().map(|(p, n)| format!("{n} × {}", amount(p.size_kg))).collect();
    let cost = buy.cost.map(|c| format!(", {}", money(yard, c))).unwrap_or_default();
    Some(format!("{short}; buy {}{cost}", packs.join(" and ")))
}
