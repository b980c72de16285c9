//! Lime to raise the pH of a soil, sulphur to lower it, and how much of either growing turf bears at once.

use crate::error::{Bound, ReckonError};
use crate::fertilizer::count_rounded_up;
use crate::units::{Fraction, GramsPerSquareMetre, Percent, factor};

/// The pH of the soil in water.
pub const SOIL_PH: Bound = Bound::new("soil_ph", 3.0, 10.0, "pH", "pH of the soil in water");
/// The pH to reach.
pub const GOAL_PH: Bound = Bound::new("goal_ph", 4.0, 8.0, "pH", "pH to reach");
/// What a lime table is entered with.
pub const READING: Bound = Bound::new("reading", 0.0, 100.0, "", "acidity or buffer pH, as the laboratory reports it");
/// Buffer pH by the Mehlich buffer.
pub const BUFFER_PH: Bound = Bound::new("buffer_ph", 3.0, 8.0, "pH", "pH of soil and Mehlich buffer");
/// Lime wanted, as calcium carbonate.
pub const CCE_NEED: Bound = Bound::new("cce_g_m2", 0.0, 20_000.0, "g/m²", "lime wanted, as calcium carbonate");
/// Calcium carbonate equivalent of a product.
pub const CCE_PCT: Bound = Bound::new("cce_pct", 1.0, 180.0, "%", "calcium carbonate equivalent on the label");
/// Share of a product that works.
pub const FINENESS: Bound = Bound::new("fineness", 0.01, 1.0, "", "share of the product fine enough to work");
/// Product that passes a sieve.
pub const PASSING_PCT: Bound = Bound::new("passing_pct", 0.0, 100.0, "%", "product that passes the sieve, by weight");
/// An amount to be split into doses.
pub const AMOUNT: Bound = Bound::new("amount_g_m2", 0.0, 1e6, "g/m²", "amount to spread in all");
/// Most at once.
pub const DOSE_MAX: Bound = Bound::new("dose_max_g_m2", 0.1, 2_000.0, "g/m²", "most at once");
/// Most in a year.
pub const YEAR_MAX: Bound = Bound::new("year_max_g_m2", 0.1, 10_000.0, "g/m²", "most in a year");

/// Most rows of a table, most goals of a row, and most sieves of a scale.
pub const TABLE_MAX: usize = 200;
/// Most doses a split answers with: more than a lifetime of liming.
pub const DOSES_MAX: u64 = 1_000;

/// Most ground limestone at once on growing turf: 50 lb on 1,000 ft². (Virginia Cooperative Extension, 1994; North Carolina
/// Cooperative Extension. Pennsylvania State University allows 100.)
pub const SURFACE_LIME_MAX: GramsPerSquareMetre = GramsPerSquareMetre::new(50.0 * factor::G_M2_PER_LB_1000FT2);
/// Months between two doses of lime on turf: the longer end of the three to six months of Virginia Cooperative Extension,
/// 1994.
pub const SURFACE_LIME_MONTHS: u32 = 6;

/// The pH the Mehlich buffer's acidity is counted to (North Carolina).
const MEHLICH_BUFFER_PH: f64 = 6.6;
/// Pounds in a US ton.
const LB_PER_TON: f64 = 2_000.0;

/// One line of a table: a reading, and the amount for every goal in the table's order.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRow {
    /// What the laboratory reports, or the pH of the soil.
    pub reading: f64,
    /// Amounts, one a goal.
    pub amounts: Vec<GramsPerSquareMetre>,
}

/// A published table of lime, least lime in the first row.
#[derive(Clone, Debug, PartialEq)]
pub struct LimeTable {
    /// Goals of pH, one a column.
    pub goals_ph: Vec<f64>,
    /// Rows; readings rise (acidity) or fall (buffer pH, pH of the soil) throughout.
    pub rows: Vec<TableRow>,
}

/// Lime by a published table, as calcium carbonate equivalent.
///
/// The column is the goal's; the row is the reading's, and between two rows the one with less lime. At or above the goal no
/// lime is needed, whatever the buffer says.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `table` | goals of pH, and rows of readings with one amount a goal | g/m² CCE | – |
/// | `reading` | exchangeable acidity (meq/100 g), buffer pH, or pH of the soil | as the table's | inside the table |
/// | `soil_ph` | pH of the soil in water | pH | 3 ..= 10 |
/// | `goal_ph` | pH to reach | pH | a goal of the table |
///
/// A table stands for one buffer of one laboratory: a Sikora reading has no place in a Mehlich table. A table entered with
/// the pH of the soil and its texture is typical only; a buffer test is better. Left out: lime spread since the test.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `soil_ph`, `goal_ph`, or `reading` outside the table; [`ReckonError::Inconsistent`]
/// naming `goal_ph` when the table has no such goal, or `table` when its rows do not fit or are out of order.
///
/// # Source
/// Penn State Agricultural Analytical Services Laboratory, *Lime recommendations for turf*, Table 1 (exchangeable acidity
/// by the Mehlich buffer); A. Moore, Oregon State University Extension, EM 9585, *Updated lime requirement recommendations
/// for Oregon*, 2025, Table 1 (Sikora buffer). "Less lime between rows" is this project's rounding.
///
/// # Examples
/// Oregon State's own: Sikora buffer 6.0, goal 5.6, 1.7 tons an acre (EM 9585, below Table 1).
/// ```
/// use reckon::lime::{LimeTable, TableRow, lime_by_table};
/// use reckon::units::{GramsPerSquareMetre, factor};
///
/// let tons = |t: f64| GramsPerSquareMetre::new(t * 2_000.0 * factor::G_M2_PER_LB_ACRE);
/// let row = |reading, t: [f64; 2]| TableRow { reading, amounts: t.map(tons).to_vec() };
/// let table = LimeTable { goals_ph: vec![5.6, 6.0], rows: vec![row(6.1, [1.5, 2.3]), row(6.0, [1.7, 2.5])] };
/// assert_eq!(lime_by_table(&table, 6.0, 5.1, 5.6)?, tons(1.7));
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn lime_by_table(
    table: &LimeTable,
    reading: f64,
    soil_ph: f64,
    goal_ph: f64,
) -> Result<GramsPerSquareMetre, ReckonError> {
    let soil_ph = SOIL_PH.check(soil_ph)?;
    let goal_ph = GOAL_PH.check(goal_ph)?;
    let rising = check_table(table)?;
    let Some(column) = table.goals_ph.iter().position(|goal| (goal - goal_ph).abs() < 1e-9) else {
        let goals: Vec<String> = table.goals_ph.iter().map(f64::to_string).collect();
        return Err(ReckonError::Inconsistent {
            field: GOAL_PH.field,
            message: format!("the table has no column for pH {goal_ph}; it has {}", goals.join(", ")),
        });
    };
    if soil_ph >= goal_ph {
        return Ok(GramsPerSquareMetre::new(0.0));
    }
    let first = table.rows[0].reading;
    let last = table.rows[table.rows.len() - 1].reading;
    let reading = Bound { min: first.min(last), max: first.max(last), ..READING }.check(reading)?;
    let reached = |row: &&TableRow| if rising { row.reading <= reading } else { row.reading >= reading };
    let row = table.rows.iter().rev().find(reached).unwrap_or(&table.rows[0]);
    Ok(row.amounts[column])
}

/// Lime by the Mehlich buffer as North Carolina reckons it.
///
/// `Ac = 4 (6.6 - BpH)`; `L = Ac (pHg - pH) / (6.6 - pH)` tons an acre, `0` when `BpH ≥ 6.6` or `pH ≥ pHg`.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `BpH` | pH of soil and Mehlich buffer | pH | 3 ..= 8 |
/// | `pH` | pH of the soil in water | pH | 3 ..= 10 |
/// | `pHg` | pH to reach | pH | 4 ..= 6.6 |
/// | `Ac` | acidity | meq/100 cm³ | – |
/// | `L` | ground limestone | US ton/acre, answered in g/m² | – |
///
/// Left out: the credit for lime spread in the months before the test. The source counts farm-grade ground limestone; here
/// it is taken as calcium carbonate.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// North Carolina Department of Agriculture and Consumer Services, Agronomic Division, lime factor table: notes on its
/// formulas.
///
/// # Examples
/// The source's own: pH 5.0, goal 6.0, acidity 1.2 (buffer 6.3) give a factor of 0.625 and 0.75 tons an acre; it prints
/// 0.76.
/// ```
/// use reckon::lime::lime_mehlich_buffer_north_carolina;
/// use reckon::units::factor;
///
/// let lime = lime_mehlich_buffer_north_carolina(6.3, 5.0, 6.0)?;
/// assert!((lime.get() / (2_000.0 * factor::G_M2_PER_LB_ACRE) - 0.76).abs() <= 0.011);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn lime_mehlich_buffer_north_carolina(
    buffer_ph: f64,
    soil_ph: f64,
    goal_ph: f64,
) -> Result<GramsPerSquareMetre, ReckonError> {
    let buffer_ph = BUFFER_PH.check(buffer_ph)?;
    let soil_ph = SOIL_PH.check(soil_ph)?;
    let goal_ph = Bound { max: MEHLICH_BUFFER_PH, ..GOAL_PH }.check(goal_ph)?;
    if soil_ph >= goal_ph {
        return Ok(GramsPerSquareMetre::new(0.0));
    }
    let acidity = (4.0 * (MEHLICH_BUFFER_PH - buffer_ph)).max(0.0);
    let tons = acidity * (goal_ph - soil_ph) / (MEHLICH_BUFFER_PH - soil_ph);
    Ok(GramsPerSquareMetre::new(tons * LB_PER_TON * factor::G_M2_PER_LB_ACRE))
}

/// One sieve: what passes it, and how much of what it lets through and the next finer one holds will work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sieve {
    /// Product that passes this sieve, by weight.
    pub passing: Percent,
    /// Share that works of what passes here and is held by the next finer sieve.
    pub factor: Fraction,
}

/// Share of a liming material fine enough to work.
///
/// `F = Σ fᵢ (Pᵢ - Pᵢ₊₁) / 100`, sieves from coarse to fine, `P` after the last one 0.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `P` | passes the sieve | % | 0 ..= 100, never more than through the coarser one |
/// | `f` | share that works | – | 0 ..= 1 |
/// | `F` | fineness factor | – | 0 ..= 1 |
///
/// What the coarsest sieve holds counts for nothing. Scales differ by state; take the one the recommendation was made for.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `passing_pct` or `factor`; [`ReckonError::Inconsistent`] naming `passing_pct` when a
/// finer sieve lets more through, or `sieves` when there are none or too many.
///
/// # Source
/// British Columbia Ministry of Agriculture, factsheet 637.200-2, *Evaluation of agricultural limestone*, 2015 (8, 20 and
/// 60 mesh: 0.2, 0.6, 1); Cornell University, Northeast certified crop adviser study guide, performance objective 41 (20,
/// 60 and 100 mesh: 0.4, 0.8, 1); University of Missouri, Agricultural Liming Materials rules (8, 40 and 60 mesh: 0.25,
/// 0.6, 1).
///
/// # Examples
/// Limestone A of the factsheet: 78.8 % finer than 60 mesh, 10.0 % from 20 to 60, 2.4 % from 8 to 20 make 85.28 %.
/// ```
/// use reckon::lime::{Sieve, fineness_factor};
/// use reckon::units::{Fraction, Percent};
///
/// let sieve = |passing, factor| Sieve { passing: Percent::new(passing), factor: Fraction::new(factor) };
/// let limestone_a = [sieve(91.2, 0.2), sieve(88.8, 0.6), sieve(78.8, 1.0)];
/// assert!((fineness_factor(&limestone_a)?.get() - 0.8528).abs() < 0.00005);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn fineness_factor(sieves: &[Sieve]) -> Result<Fraction, ReckonError> {
    const FACTOR: Bound = Bound::new("factor", 0.0, 1.0, "", "share that works");
    if !(1..=TABLE_MAX).contains(&sieves.len()) {
        return Err(ReckonError::Inconsistent {
            field: "sieves",
            message: format!("{} sieves; there must be 1 to {TABLE_MAX}", sieves.len()),
        });
    }
    let mut coarser = 100.0;
    for sieve in sieves {
        FACTOR.check(sieve.factor.get())?;
        let passing = PASSING_PCT.check(sieve.passing.get())?;
        if passing > coarser {
            return Err(ReckonError::Inconsistent {
                field: PASSING_PCT.field,
                message: format!("{passing} % pass a finer sieve, {coarser} % the coarser one before it"),
            });
        }
        coarser = passing;
    }
    let after = sieves.iter().skip(1).map(|sieve| sieve.passing.get()).chain([0.0]);
    let works: f64 = sieves.iter().zip(after).map(|(s, finer)| s.factor.get() * (s.passing.get() - finer)).sum();
    Ok(Fraction::new((works / 100.0).clamp(0.0, 1.0)))
}

/// Product that brings an amount of lime.
///
/// `M = L / (c / 100 · F)`
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `L` | lime wanted, as calcium carbonate | g/m² | 0 ..= 20,000 |
/// | `c` | calcium carbonate equivalent of the product | % | 1 ..= 180 |
/// | `F` | fineness factor | – | 0.01 ..= 1 |
/// | `M` | product | g/m² | – |
///
/// `F` is 1 where the recommendation asks only for a fine grade and the product is one, as Penn State's does.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field.
///
/// # Source
/// Penn State Agricultural Analytical Services Laboratory, notes to the turf report (`recommendation × 100 / CCE`); with
/// the fineness: Cornell University, as at [`fineness_factor`] (effective neutralizing value, CCE times fineness).
///
/// # Examples
/// Penn State's own: 75 lb on 1,000 ft² wanted, 80 % on the label, 94 lb of product.
/// ```
/// use reckon::lime::lime_product;
/// use reckon::units::{Fraction, GramsPerSquareMetre, Percent, factor};
///
/// let wanted = GramsPerSquareMetre::new(75.0 * factor::G_M2_PER_LB_1000FT2);
/// let product = lime_product(wanted, Percent::new(80.0), Fraction::new(1.0))?;
/// assert!((product.get() / factor::G_M2_PER_LB_1000FT2 - 94.0).abs() <= 0.5);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn lime_product(
    need: GramsPerSquareMetre,
    cce: Percent,
    fineness: Fraction,
) -> Result<GramsPerSquareMetre, ReckonError> {
    let need = CCE_NEED.check(need.get())?;
    let cce = CCE_PCT.check(cce.get())?;
    let fineness = FINENESS.check(fineness.get())?;
    Ok(GramsPerSquareMetre::new(need / (cce / 100.0 * fineness)))
}

/// Sulphur from a table that leads to one goal, by the difference of two of its rows.
///
/// `S(pH → pHg) = T(pH) - T(pHg)`, `T` linear between the rows and 0 at the table's own goal.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `T` | sulphur from a pH down to the table's goal | g/m² | – |
/// | `pH` | pH of the soil in water | pH | up to the table's highest |
/// | `pHg` | pH to reach | pH | the table's goal up to the table's highest |
///
/// The table is for sulphur worked into bare ground; the difference between two rows is this project's reading of it. Above
/// its last row it says nothing: a soil with free lime is hardly ever brought down (Purdue University: on turf not at all
/// at the doses turf bears). Left out: free carbonates.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming `soil_ph` or `goal_ph` outside the table; [`ReckonError::Inconsistent`] naming
/// `table`.
///
/// # Source
/// Michigan State University table of elemental sulphur by texture for blueberry ground (lb/acre to pH 4.5), as reprinted
/// by a fertiliser supplier, *How to acidify your soil*.
///
/// # Examples
/// The table's own row: loam at pH 6.0 needs 1,540 lb an acre to reach 4.5.
/// ```
/// use reckon::lime::{TableRow, sulphur_by_table};
/// use reckon::units::{GramsPerSquareMetre, factor};
///
/// let lb = |lb: f64| GramsPerSquareMetre::new(lb * factor::G_M2_PER_LB_ACRE);
/// let loam = [(5.0, 530.0), (5.5, 1_030.0), (6.0, 1_540.0), (6.5, 2_020.0), (7.0, 2_560.0)];
/// let loam = loam.map(|(reading, amount)| TableRow { reading, amounts: vec![lb(amount)] });
/// assert!((sulphur_by_table(4.5, &loam, 6.0, 4.5)?.get() - lb(1_540.0).get()).abs() < 1e-9);
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn sulphur_by_table(
    table_goal_ph: f64,
    rows: &[TableRow],
    soil_ph: f64,
    goal_ph: f64,
) -> Result<GramsPerSquareMetre, ReckonError> {
    let soil_ph = SOIL_PH.check(soil_ph)?;
    let table_goal_ph = GOAL_PH.check(table_goal_ph)?;
    let table = LimeTable { goals_ph: vec![table_goal_ph], rows: rows.to_vec() };
    if !check_table(&table)? || rows[0].reading <= table_goal_ph {
        return Err(bad_table("readings must rise from above the table's goal"));
    }
    let highest = rows[rows.len() - 1].reading;
    let goal_ph = Bound { min: table_goal_ph, max: highest, ..GOAL_PH }.check(goal_ph)?;
    if soil_ph <= goal_ph {
        return Ok(GramsPerSquareMetre::new(0.0));
    }
    let soil_ph = Bound { min: table_goal_ph, max: highest, ..SOIL_PH }.check(soil_ph)?;
    let to_table_goal = |ph: f64| {
        let mut below = (table_goal_ph, 0.0);
        for row in rows {
            let here = (row.reading, row.amounts[0].get());
            if ph <= here.0 {
                return below.1 + (here.1 - below.1) * (ph - below.0) / (here.0 - below.0);
            }
            below = here;
        }
        below.1
    };
    Ok(GramsPerSquareMetre::new((to_table_goal(soil_ph) - to_table_goal(goal_ph)).max(0.0)))
}

/// What growing turf bears of a material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoseLimit {
    /// Most at once.
    pub at_once: GramsPerSquareMetre,
    /// Most in a year, where there is such a limit.
    pub in_a_year: Option<GramsPerSquareMetre>,
    /// Months from one dose to the next.
    pub months_between: u32,
}

/// An amount in equal doses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doses {
    /// How many.
    pub count: u64,
    /// Each of them.
    pub each: GramsPerSquareMetre,
    /// Months from one to the next.
    pub months_between: u32,
    /// Months from the first to the last.
    pub months_in_all: u64,
}

/// An amount in as few equal doses as the limit allows.
///
/// `n = ⌈M / d⌉`; each `M / n`. With a limit `y` for a year, `k = ⌊y n / M⌋` doses go into twelve months, so they stand at
/// least `⌈12 / k⌉` months apart; where even one is more than `y`, there are `⌈M / y⌉` doses, a year apart.
///
/// | symbol | meaning | unit | range |
/// | --- | --- | --- | --- |
/// | `M` | amount in all | g/m² | 0 ..= 10⁶ |
/// | `d` | most at once | g/m² | 0.1 ..= 2,000 |
/// | `y` | most in a year | g/m² | 0.1 ..= 10,000 |
/// | `n` | doses | – | 0 ..= 1,000 |
///
/// An amount within a part in 10⁹ of whole doses is those doses; no dose is more than `d`. Lime on turf:
/// [`SURFACE_LIME_MAX`] and [`SURFACE_LIME_MONTHS`]. Left out: a new test between the doses, which is wise before the
/// third.
///
/// # Errors
/// [`ReckonError::OutOfRange`] naming the field; `amount_g_m2` also when it would take more than [`DOSES_MAX`] doses.
///
/// # Source
/// Lime: Virginia Cooperative Extension (J. Hunnings, 1994), North Carolina Cooperative Extension (R. Gaster). Sulphur:
/// Purdue University Turfgrass Science, *Sulfur is not effective for lowering pH of turfed soils* (5 lb on 1,000 ft² at
/// once, 10 lb a year).
///
/// # Examples
/// 140 lb of lime on 1,000 ft² of turf: three doses of 46.7 lb, half a year apart (worked by hand).
/// ```
/// use reckon::lime::{DoseLimit, SURFACE_LIME_MAX, SURFACE_LIME_MONTHS, split_into_doses};
/// use reckon::units::{GramsPerSquareMetre, factor};
///
/// let limit = DoseLimit { at_once: SURFACE_LIME_MAX, in_a_year: None, months_between: SURFACE_LIME_MONTHS };
/// let doses = split_into_doses(GramsPerSquareMetre::new(140.0 * factor::G_M2_PER_LB_1000FT2), limit)?;
/// assert_eq!((doses.count, doses.months_in_all), (3, 12));
/// # Ok::<(), reckon::ReckonError>(())
/// ```
pub fn split_into_doses(amount: GramsPerSquareMetre, limit: DoseLimit) -> Result<Doses, ReckonError> {
    let total = AMOUNT.check(amount.get())?;
    let at_once = DOSE_MAX.check(limit.at_once.get())?;
    let in_a_year = limit.in_a_year.map(|year| YEAR_MAX.check(year.get())).transpose()?;
    let most = in_a_year.map_or(at_once, |year| at_once.min(year));
    Bound { max: most * DOSES_MAX as f64, ..AMOUNT }.check(total)?;
    let count = count_rounded_up(total / most);
    if count == 0 {
        return Ok(Doses { count, each: GramsPerSquareMetre::new(0.0), months_between: 0, months_in_all: 0 });
    }
    let each = (total / count as f64).min(most);
    // At least 1, because no dose is more than the year's most; at most 12, so that the months stay whole.
    let a_year = in_a_year.map_or(12, |year| ((year / each * (1.0 + 1e-9)) as u32).clamp(1, 12));
    let apart = if in_a_year.is_some() { 12_u32.div_ceil(a_year) } else { 0 };
    let months_between = if count > 1 { limit.months_between.max(apart) } else { 0 };
    Ok(Doses {
        count,
        each: GramsPerSquareMetre::new(each),
        months_between,
        months_in_all: (count - 1) * u64::from(months_between),
    })
}

/// Whether the readings rise; refuses a table whose rows do not fit its goals or are out of order.
fn check_table(table: &LimeTable) -> Result<bool, ReckonError> {
    let (goals, rows) = (table.goals_ph.len(), &table.rows);
    if !(1..=TABLE_MAX).contains(&goals) || !(1..=TABLE_MAX).contains(&rows.len()) {
        return Err(bad_table(&format!(
            "{goals} goals and {} rows; there must be 1 to {TABLE_MAX} of each",
            rows.len()
        )));
    }
    for row in rows {
        if row.amounts.len() != goals {
            return Err(bad_table(&format!("a row has {} amounts for {goals} goals", row.amounts.len())));
        }
        READING.check(row.reading)?;
        for amount in &row.amounts {
            CCE_NEED.check(amount.get())?;
        }
    }
    let rising = rows.windows(2).all(|pair| pair[0].reading < pair[1].reading);
    let falling = rows.windows(2).all(|pair| pair[0].reading > pair[1].reading);
    let growing = |pair: &[TableRow]| pair[0].amounts.iter().zip(&pair[1].amounts).all(|(a, b)| a <= b);
    if !(rising || falling) || !rows.windows(2).all(growing) {
        return Err(bad_table("rows must go from least lime to most, and their readings one way"));
    }
    Ok(rising)
}

fn bad_table(message: &str) -> ReckonError {
    ReckonError::Inconsistent { field: "table", message: message.to_string() }
}

#[cfg(test)]
mod tests;
