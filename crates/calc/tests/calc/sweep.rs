//! Every model under a hundred thousand items made from its own metadata: sound, just out of range, and wild.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use calc::shape::{Need, Record, Shape};
use calc::{Figure, Model, models};
use reckon::Bound;
use reckon::working::Step;
use serde::Deserialize;
use serde_json::{Map, Value};

/// Items of each model.
const ITEMS: u64 = 100_000;
/// Another seed or count is tried with `TOFT_SWEEP_SEED` and `TOFT_SWEEP_ITEMS`.
const SEED: u64 = 20_260_503;
/// Failures told of one model before it is given up.
const FAILURES_TOLD: usize = 5;

/// The field that decides what an item costs: seldom as small as it may be.
const FINENESS: &str = "cell_m";

/// Splitmix64 of G. L. Steele and others (2014): small, seeded, the same everywhere.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}

/// How an item is made.
struct Maker<'a> {
    draw: Draw,
    model: &'a Model,
    /// Share of the example's values that stay.
    kept: f64,
    /// Share of figures just out of their range.
    outside: f64,
    /// Share of figures of any size.
    wild: f64,
    /// Names given so far, for other parts to refer to.
    names: Vec<Value>,
    /// Lists that the element at hand lies in.
    depth: usize,
    /// Inside an element that the example does not have.
    beyond: bool,
    /// Share of fields left out, options mixed and lists too short or too long.
    disorder: f64,
}

impl Maker<'_> {
    fn new(model: &Model, seed: u64) -> Maker<'_> {
        let mut draw = Draw(seed);
        let (outside, wild, disorder) = match draw.below(10) {
            0..=5 => (0.0, 0.0, 0.0),
            6 => (0.0, 0.0, 0.1),
            7 => (0.1, 0.0, 0.0),
            8 => (0.0, 0.15, 0.0),
            _ => (0.05, 0.1, 0.05),
        };
        let kept = draw.one(&[0.0, 0.0, 0.0, 0.4, 0.8, 0.95]);
        Maker { draw, model, kept, outside, wild, names: Vec::new(), depth: 0, beyond: false, disorder }
    }

    fn record(&mut self, record: &Record, example: Option<&Value>) -> Value {
        let mut left_out: Vec<&str> = Vec::new();
        for options in record.choices {
            if self.draw.chance(self.disorder) {
                continue;
            }
            let given = |option: &&&[&str]| option.iter().any(|f| example.is_some_and(|e| e.get(f).is_some()));
            let taken = match options.iter().find(given) {
                Some(taken) if self.draw.chance(0.5) => taken,
                _ => self.draw.one(&options.iter().collect::<Vec<_>>()),
            };
            left_out.extend(options.iter().flat_map(|o| o.iter()).filter(|field| !taken.contains(field)));
        }
        let grouped = |name: &str| record.choices.iter().any(|options| options.iter().any(|o| o.contains(&name)));
        let mut fields = Map::new();
        for field in record.fields {
            let there = match field.need {
                _ if left_out.contains(&field.name) => false,
                Need::Required => !self.draw.chance(self.disorder / 3.0),
                _ if grouped(field.name) => !self.draw.chance(self.disorder),
                _ => self.draw.chance(0.6),
            };
            if there && matches!(field.shape, Shape::Name(_)) {
                let value = self.name(field.name, example.and_then(|e| e.get(field.name)));
                fields.insert(field.name.to_owned(), value);
            } else if there {
                let value = self.value(field.name, &field.shape, example.and_then(|e| e.get(field.name)));
                fields.insert(field.name.to_owned(), value);
            }
        }
        Value::Object(fields)
    }

    fn value(&mut self, name: &str, shape: &Shape, example: Option<&Value>) -> Value {
        match (shape, example) {
            (Shape::Record(record), _) => return self.record(record, example),
            (Shape::List { of, min, max, .. }, _) => return self.list(name, of, *min, *max, example),
            (Shape::Row(bounds, _), None) => return bounds.iter().map(|b| self.number(name, b, false)).collect(),
            (_, Some(value)) if name != FINENESS && self.draw.chance(self.kept) => return value.clone(),
            _ => {}
        }
        match shape {
            Shape::Row(bounds, _) => bounds.iter().map(|b| self.number(name, b, false)).collect(),
            Shape::Number(bound) => self.number(name, bound, false),
            Shape::Whole(bound) => self.number(name, bound, true),
            Shape::Flag(_) => self.draw.chance(0.5).into(),
            Shape::Word(words, _) => self.draw.one(words).0.into(),
            Shape::Name(_) | Shape::Record(_) | Shape::List { .. } | Shape::Figure(..) | Shape::Count(_) => Value::Null,
        }
    }

    /// A part's own name: the example's, or a fresh one where that is taken. A name that refers: the example's, or one heard before.
    fn name(&mut self, field: &str, example: Option<&Value>) -> Value {
        if self.draw.chance(self.disorder) {
            return self.draw.one(&["", "a", "x\u{0}\"\\\n", "é🌱"]).into();
        }
        let example = example.filter(|_| self.kept > 0.0);
        if self.depth <= 1 && matches!(field, "id" | "name") && !self.draw.chance(0.01) {
            let fresh = match self.names.len() {
                i if i % 5 == 4 => Value::from(i),
                i => Value::from(format!("part {i}")),
            };
            let name = example.filter(|name| !self.names.contains(name)).cloned().unwrap_or(fresh);
            self.names.push(name.clone());
            return name;
        }
        match example {
            Some(name) if !self.beyond => name.clone(),
            _ if self.names.is_empty() => "part 0".into(),
            _ => self.names[self.draw.below(self.names.len())].clone(),
        }
    }

    fn list(&mut self, name: &str, of: &Shape, min: usize, max: usize, example: Option<&Value>) -> Value {
        let examples = example.and_then(Value::as_array).filter(|_| self.kept > 0.0).map_or(&[][..], Vec::as_slice);
        let likely = if examples.is_empty() { min } else { examples.len() };
        let count = match self.draw.below(8) {
            _ if self.draw.chance(self.disorder) => self.draw.below(3),
            0..=2 => likely,
            3 => likely + 1,
            4 => likely.saturating_sub(1).max(min),
            5 => likely + self.draw.below(12),
            _ => likely + self.draw.below(4),
        };
        let count = if self.draw.chance(self.disorder) { count } else { count.clamp(min, max) };
        let beyond = self.beyond;
        self.depth += 1;
        let each = |i| {
            self.beyond = beyond || i >= examples.len();
            self.value(name, of, examples.get(i).or(examples.last()))
        };
        let list = (0..count).map(each).collect();
        (self.beyond, self.depth) = (beyond, self.depth - 1);
        list
    }

    fn number(&mut self, name: &str, bound: &Bound, whole: bool) -> Value {
        let d = &mut self.draw;
        if d.chance(self.wild) {
            return Value::from(match d.below(12) {
                0 => 1e308,
                1 => -1e308,
                2 => f64::MAX,
                3 => f64::MIN,
                4 => 5e-324,
                5 => -5e-324,
                6 => f64::MIN_POSITIVE,
                7 => -0.0,
                8 => 1e-300,
                9 => 1e15 + 0.5,
                _ => Some(f64::from_bits(d.next())).filter(|n| n.is_finite()).unwrap_or(1e300),
            });
        }
        let (min, max) = (bound.min, bound.max);
        if d.chance(self.outside) {
            let step = (max - min) * 1e-6;
            return Value::from(d.one(&[min.next_down(), max.next_up(), min - step, max + step, max * 2.0 + 1.0]));
        }
        // Small sizes for what costs by its fineness; the whole range now and then.
        let (min, max) = match (self.model.name, name) {
            (_, FINENESS) if !d.chance(0.000_3) => (0.5, max),
            ("coverage", "radius_m") if !d.chance(0.000_3) => (min, 15.0),
            ("coverage", "area" | "holes" | "x_m" | "y_m") if !d.chance(0.000_3) => (-30.0, 30.0),
            ("tape-survey", "x_m" | "y_m" | "near") if !d.chance(0.1) => (-20.0, 20.0),
            ("tape-survey", "distance_m") if !d.chance(0.1) => (5.0, 40.0),
            _ => (min, max),
        };
        let n = match d.below(16) {
            0 => min,
            1 => max,
            2 => min.next_up(),
            3 => max.next_down(),
            4 => 0.0,
            5 => -0.0,
            6 => d.one(&[5e-324, f64::MIN_POSITIVE, 1e-12, -1e-12, 1.0]),
            7..=10 => {
                let sign = if d.chance(0.5) { 1.0 } else { -1.0 };
                sign * 10_f64.powf(5.0 * d.unit() - 2.0)
            }
            11 | 12 => ((min + (max - min) * d.unit()) * 100.0).round() / 100.0,
            _ => min + (max - min) * d.unit(),
        };
        let n = if whole { n.round() } else { n };
        let n = if (min..=max).contains(&n) { n } else { min + (max - min) * d.unit() };
        Value::from(if whole { n.round() } else { n })
    }
}

/// The answer as it comes back from its text.
#[derive(Deserialize)]
struct Back {
    result: Value,
    working: Vec<Step>,
    source: String,
    assumed: Vec<String>,
}

/// True when a figure came back as it was; a null is equal to no figure.
fn same(figure: &Figure, back: &Value) -> bool {
    match (figure, back) {
        (Figure::Number(n), _) => n.is_finite() && back.as_f64() == Some(*n),
        (Figure::Count(n), _) => back.as_u64() == Some(*n),
        (Figure::Flag(flag), _) => back.as_bool() == Some(*flag),
        (Figure::Text(text), _) => back.as_str() == Some(text),
        (Figure::List(list), Value::Array(backs)) => {
            list.len() == backs.len() && list.iter().zip(backs).all(|(f, b)| same(f, b))
        }
        (Figure::Record(fields), Value::Object(map)) => {
            fields.len() == map.len() && fields.iter().all(|(name, f)| map.get(*name).is_some_and(|b| same(f, b)))
        }
        _ => false,
    }
}

/// Judges one item: whether it was answered, or what is wrong with what came.
fn judge(model: &Model, item: &Value, streamed: bool) -> Result<bool, String> {
    let found = catch_unwind(AssertUnwindSafe(|| model.answer(item))).map_err(|_| "panics".to_owned())?;
    let answer = match found {
        Ok(answer) => answer,
        Err(fault) => {
            let root = fault.field.split(['.', '[']).next().unwrap_or_default();
            if !model.input().fields.iter().any(|field| field.name == root) {
                return Err(format!("names no field: {fault:?}"));
            }
            if !fault.message.starts_with(&fault.field) || ["NaN", "inf"].iter().any(|w| fault.message.contains(w)) {
                return Err(format!("is refused in odd words: {fault:?}"));
            }
            return Ok(false);
        }
    };
    let text = serde_json::to_vec(&answer).map_err(|error| format!("does not serialise: {error}"))?;
    if streamed {
        let mut output = Vec::new();
        let outcome = calc::run_stream(model, item.to_string().as_bytes(), &mut output).map_err(|e| e.to_string())?;
        if outcome.faults > 0 || output.strip_suffix(b"\n") != Some(text.as_slice()) {
            return Err(format!("is answered otherwise in a stream: {}", String::from_utf8_lossy(&output)));
        }
    }
    let back: Back = serde_json::from_slice(&text).map_err(|error| format!("does not parse back: {error}"))?;
    // A step's figure that is not finite would have become null, which is neither number nor word.
    let alike = same(&answer.result, &back.result)
        && answer.working == back.working
        && answer.source == back.source
        && answer.assumed == back.assumed;
    if alike { Ok(true) } else { Err("comes back changed".into()) }
}

/// Share of the items that a model answered, or its failures.
fn sweep(model: &Model, place: usize, seed: u64, items: u64) -> Result<f64, Vec<String>> {
    let example: Value = serde_json::from_str(model.example).expect("the example is JSON");
    let (mut answered, mut failures) = (0_u64, Vec::new());
    for case in 0..items {
        let mut maker = Maker::new(model, Draw(seed ^ ((place as u64) << 40) ^ case).next());
        let item = maker.record(model.input(), Some(&example));
        match judge(model, &item, case % 8 == 0) {
            Ok(true) => answered += 1,
            Ok(false) => {}
            Err(why) => {
                failures.push(format!("{} item {case} {why}\n    {item}", model.name));
                if failures.len() == FAILURES_TOLD {
                    break;
                }
            }
        }
    }
    if failures.is_empty() { Ok(answered as f64 / items as f64) } else { Err(failures) }
}

/// Never a panic, never a figure that is not finite, every refusal names a field of the schema, every answer survives its text.
#[test]
fn every_model_stands_any_item() {
    let setting = |name: &str| std::env::var(name).ok().and_then(|text| text.parse().ok());
    let (seed, items) =
        (setting("TOFT_SWEEP_SEED").unwrap_or(SEED), setting("TOFT_SWEEP_ITEMS").unwrap_or(ITEMS).max(1));
    println!("seed {seed}, {items} items of each model");
    let (next, failures) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    let worker = || {
        while let Some((place, model)) =
            Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|i| Some((i, models().get(i)?)))
        {
            let begun = std::time::Instant::now();
            let found = sweep(model, place, seed, items);
            let seconds = begun.elapsed().as_secs_f64();
            match found {
                Ok(share) => {
                    println!("{:<28} {seconds:>6.2} s, {:>3.0} % answered", model.name, 100.0 * share);
                    if share < 0.02 {
                        failures
                            .lock()
                            .expect("no panic inside")
                            .push(format!("{}: so few items are answered ({share}) that little is tested", model.name));
                    }
                }
                Err(told) => failures.lock().expect("no panic inside").extend(told),
            }
        }
    };
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| (0..cores).for_each(|_| drop(scope.spawn(worker))));
    let failures = failures.into_inner().expect("no panic inside");
    assert!(failures.is_empty(), "seed {seed}:\n{}", failures.join("\n"));
}
