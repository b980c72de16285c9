//! Which packs to buy so that the need is covered at the least cost.

use crate::error::{Bound, ReckonError};
use crate::fertilizer::count_rounded_up;
use crate::units::{Kilograms, Litres};

/// Amount needed, in whole grams or millilitres.
pub const NEED: Bound = Bound::new("need", 0.0, 1e10, "g or mL", "amount needed");
/// Amount that is there already.
pub const ON_SHELF: Bound = Bound::new("on_shelf", 0.0, 1e10, "g or mL", "amount that is there already");
/// Content of one pack.
pub const HOLDS: Bound = Bound::new("holds", 1.0, 1e8, "g or mL", "content of one pack");
/// Price of one pack.
pub const PRICE_CENTS: Bound = Bound::new("price_cents", 0.0, 1e8, "cents", "price of one pack");
/// Sums looked at: amounts up to the need and one pack more, in steps of the packs' common measure, for every kind.
pub const SUMS: Bound = Bound::new("packs", 0.0, 4e6, "sums", "amounts to look through, for every kind of pack");

/// Most kinds of pack.
pub const KINDS_MAX: usize = 20;

/// A kind of pack on offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack {
    /// What one holds, in grams or millilitres.
    pub holds: u64,
    /// What one costs, in cents.
    pub price_cents: u64,
    /// How many may be bought; `None` for as many as wanted.
    pub most: Option<u64>,
}

/// What is needed. Everything is in grams, or everything in millilitres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shortage {
    /// Amount needed.
    pub need: u64,
    /// Amount that is there already.
    pub on_shelf: u64,
    /// A wish that no more than this stays over, kept where it can be.
    pub left_over_wish: Option<u64>,
}

/// What to buy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// How many of each kind, in the order given.
    pub counts: Vec<u64>,
    /// Packs in all.
    pub packs: u64,
    /// Cost in cents.
    pub cost_cents: u64,
    /// Amount bought.
    pub bought: u64,
    /// What stays over, the shelf included.
    pub left_over: u64,
    /// Whether the wish about what stays over is kept; `true` without a wish.
    pub wish_kept: bool,
}

/// Whole grams of a mass, rounded up: for a need.
///
/// A mass within a part in 10⁹ of whole grams is those grams.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `need` when the mass is not a number between 0 and 10,000 t.
pub fn grams_rounded_up(mass: Kilograms) -> Result<u64, ReckonError> {
    Ok(count_rounded_up(NEED.check(mass.get() * 1000.0)?))
}

/// Whole grams of a mass, rounded down: for what is on the shelf.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `on_shelf` when the mass is not a number between 0 and 10,000 t.
pub fn grams_rounded_down(mass: Kilograms) -> Result<u64, ReckonError> {
    Ok(whole_rounded_down(ON_SHELF.check(mass.get() * 1000.0)?))
}

/// Whole millilitres of a volume, rounded up: for a need.
///
/// A volume within a part in 10⁹ of whole millilitres is those millilitres.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `need` when the volume is not a number between 0 and 10,000 m³.
pub fn millilitres_rounded_up(volume: Litres) -> Result<u64, ReckonError> {
    Ok(count_rounded_up(NEED.check(volume.get() * 1000.0)?))
}

/// Whole millilitres of a volume, rounded down: for what is on the shelf.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `on_shelf` when the volume is not a number between 0 and 10,000 m³.
pub fn millilitres_rounded_down(volume: Litres) -> Result<u64, ReckonError> {
    Ok(whole_rounded_down(ON_SHELF.check(volume.get() * 1000.0)?))
}

/// The cheapest packs that cover what is missing; of equal cost the least left over, then the fewest packs.
///
/// Minimise `(Σ nᵢ pᵢ, Σ nᵢ hᵢ, Σ nᵢ)` in that order, subject to `Σ nᵢ hᵢ ≥ N - S`, `0 ≤ nᵢ ≤ mᵢ`, and, where it can be,
/// `S + Σ nᵢ hᵢ - N ≤ W`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `N` | amount needed | g or mL | 0 ..= 10¹⁰ |
/// | `S` | amount on the shelf | g or mL | 0 ..= 10¹⁰ |
/// | `W` | wish: most that stays over | g or mL | – |
/// | `h` | content of one pack | g or mL | 1 ..= 10⁸ |
/// | `p` | price of one pack | cents | 0 ..= 10⁸ |
/// | `m` | how many of it may be bought | – | – |
/// | `n` | how many to buy | – | – |
///
/// Exact, in whole numbers throughout. Every amount that packs can add up to is looked at in steps of the packs' greatest
/// common measure. Nothing above the missing amount and one largest pack needs a look: of such a choice any one pack could
/// be left in the shop at no more cost and with less over. Where no choice keeps the wish, it is set aside and the answer
/// says so.
///
/// Left out: discounts for several packs, shipping, and several products; the caller compares those.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `need`, `on_shelf`, or `packs` when there are more sums to look at than [`SUMS`]
/// allows; [`ReckonError::Inconsistent`] naming `packs` and the place: none or too many kinds, a value out of range, or too
/// few to
/// buy.
///
/// # Source
/// Bounded knapsack as a covering problem by dynamic programming over sums: S. Martello and P. Toth, *Knapsack problems*,
/// Wiley 1990, chapter 3; common practice for the order of the ties.
///
/// # Examples
/// 21 kg missing. Two packs of 10 kg and one of 2 kg cost less than three of 10 kg (worked by hand).
/// ```
/// use reckon::packs::{Pack, Shortage, cheapest_packs};
///
/// let pack = |holds, price_cents| Pack { holds, price_cents, most: None };
/// let shortage = Shortage { need: 25_000, on_shelf: 4_000, left_over_wish: None };
/// let buy = cheapest_packs(shortage, &[pack(10_000, 30_00), pack(2_000, 9_00)])?;
/// assert_eq!((buy.counts, buy.cost_cents, buy.left_over), (vec![2, 1], 69_00, 1_000));
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn cheapest_packs(shortage: Shortage, packs: &[Pack]) -> Result<Purchase, ReckonError> {
    NEED.check(shortage.need as f64)?;
    ON_SHELF.check(shortage.on_shelf as f64)?;
    check_packs(packs)?;
    let Some(missing) = shortage.need.checked_sub(shortage.on_shelf).filter(|missing| *missing > 0) else {
        return Ok(purchase(shortage, packs, vec![0; packs.len()]));
    };
    let step = packs.iter().fold(0, |step, pack| common_measure(step, pack.holds));
    let target = missing.div_ceil(step);
    let largest = packs.iter().map(|pack| pack.holds / step).max().unwrap_or(0);
    let kinds: Vec<Kind> = packs
        .iter()
        .map(|pack| {
            let holds = pack.holds / step;
            Kind { holds, price: pack.price_cents, most: pack.most.unwrap_or(u64::MAX).min(target.div_ceil(holds)) }
        })
        .collect();
    let offered: u64 = kinds.iter().map(|kind| kind.holds * kind.most).sum();
    if offered < target {
        return Err(refused(format!(
            "all that may be bought holds {} g or mL; {missing} g or mL are missing",
            offered * step
        )));
    }
    let sums = (target + largest) as f64 * kinds.len() as f64;
    SUMS.check(sums)?;
    let search = Search::over(&kinds, (target + largest) as usize);
    let best = |last: u64| {
        (target..=last.min(target + largest - 1))
            .filter_map(|sum| search.cheapest[sum as usize].map(|(cost, count)| (cost, sum, count)))
            .min()
            .map(|(_, sum, _)| sum)
    };
    let within_wish = shortage.left_over_wish.and_then(|wish| best(missing.saturating_add(wish) / step));
    match within_wish.or_else(|| best(u64::MAX)) {
        Some(sum) => Ok(purchase(shortage, packs, search.counts(&kinds, sum as usize))),
        None => Err(refused(format!("no choice of packs covers {missing} g or mL"))),
    }
}

/// A kind of pack in steps of the common measure.
struct Kind {
    holds: u64,
    price: u64,
    most: u64,
}

/// For every sum, the cheapest way to it (cost, then packs), and how many of each kind that way takes.
struct Search {
    cheapest: Vec<Option<(u64, u64)>>,
    taken: Vec<Vec<u32>>,
}

impl Search {
    /// Looks at every sum below `sums`, kind by kind: the best way to a sum with up to `m` packs of a kind is the least
    /// over a window of `m` earlier sums, one pack apart, kept in a queue whose head is the least.
    fn over(kinds: &[Kind], sums: usize) -> Search {
        let mut cheapest: Vec<Option<(u64, u64)>> = vec![None; sums];
        cheapest[0] = Some((0, 0));
        let mut taken = Vec::with_capacity(kinds.len());
        for kind in kinds {
            let holds = kind.holds as usize;
            let mut took = vec![0_u32; sums];
            let mut next = cheapest.clone();
            for start in 0..holds.min(sums) {
                // Queue of (packs of this kind already in the sum, cost and count less those packs), least first.
                let mut window: std::collections::VecDeque<(u64, (i64, i64))> = std::collections::VecDeque::new();
                for (k, sum) in (start..sums).step_by(holds).enumerate() {
                    let k = k as u64;
                    if let Some((cost, count)) = cheapest[sum] {
                        let without = (cost as i64 - (k * kind.price) as i64, count as i64 - k as i64);
                        while window.back().is_some_and(|(_, last)| *last > without) {
                            window.pop_back();
                        }
                        window.push_back((k, without));
                    }
                    while window.front().is_some_and(|(first, _)| k - first > kind.most) {
                        window.pop_front();
                    }
                    if let Some(&(first, (cost, count))) = window.front() {
                        let with = ((cost + (k * kind.price) as i64) as u64, (count + k as i64) as u64);
                        next[sum] = Some(with);
                        took[sum] = (k - first) as u32;
                    }
                }
            }
            cheapest = next;
            taken.push(took);
        }
        Search { cheapest, taken }
    }

    /// How many of each kind the cheapest way to a sum takes.
    fn counts(&self, kinds: &[Kind], mut sum: usize) -> Vec<u64> {
        let mut counts = vec![0; kinds.len()];
        for (i, kind) in kinds.iter().enumerate().rev() {
            counts[i] = u64::from(self.taken[i][sum]);
            sum -= (counts[i] * kind.holds) as usize;
        }
        counts
    }
}

fn purchase(shortage: Shortage, packs: &[Pack], counts: Vec<u64>) -> Purchase {
    let total = |of: fn(&Pack) -> u64| packs.iter().zip(&counts).map(|(pack, count)| of(pack) * count).sum::<u64>();
    let bought = total(|pack| pack.holds);
    let left_over = shortage.on_shelf + bought - shortage.need;
    Purchase {
        packs: counts.iter().sum(),
        cost_cents: total(|pack| pack.price_cents),
        bought,
        left_over,
        wish_kept: shortage.left_over_wish.is_none_or(|wish| left_over <= wish),
        counts,
    }
}

fn check_packs(packs: &[Pack]) -> Result<(), ReckonError> {
    if !(1..=KINDS_MAX).contains(&packs.len()) {
        return Err(refused(format!("{} kinds; there must be 1 to {KINDS_MAX}", packs.len())));
    }
    for (i, pack) in packs.iter().enumerate() {
        for (bound, value) in [(HOLDS, pack.holds), (PRICE_CENTS, pack.price_cents)] {
            if bound.check(value as f64).is_err() {
                let Bound { field, min, max, unit, .. } = bound;
                return Err(refused(format!(
                    "packs[{i}].{field} is {value} {unit}; it must be between {min} and {max} {unit}"
                )));
            }
        }
    }
    Ok(())
}

fn refused(message: String) -> ReckonError {
    ReckonError::Inconsistent { field: SUMS.field, message }
}

/// Greatest common divisor.
fn common_measure(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common_measure(b, a % b) }
}

/// A finite amount of at least 0, rounded down to a whole one unless it falls short of that by rounding alone.
fn whole_rounded_down(exact: f64) -> u64 {
    (exact * (1.0 + crate::fertilizer::WHOLE_TOLERANCE)).floor() as u64
}

#[cfg(test)]
mod tests;
