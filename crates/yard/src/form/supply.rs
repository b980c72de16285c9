//! The forms of meter readings, tariffs and the controller: figures as the meter and the bill print them.

use super::reader::{Reader, plain, plain_number};
use super::{Ask, Field, begins, field};
use crate::entry::{BillPeriod, BilledUnit, ControllerFacts, Meter, MeterRead, PriceStep, TariffFacts};
use crate::units::{Quantity, Units};

const METERS: Ask = Ask::Choice(&["house", "yard"]);
const METER_HELP: &str = "house = all water runs through it; yard = a meter of the yard's own";

pub(super) const METER_READ: &[Field] = &[
    field(
        "reading",
        "The meter stands at",
        Ask::Number("as read"),
        true,
        "all digits, in the morning before anything runs",
    ),
    field(
        "unit",
        "Unit",
        Ask::Choice(&["m3", "l", "gal", "kgal", "ccf"]),
        false,
        "as printed on it; ccf = 100 cu ft, kgal = 1000 gal",
    ),
    field("meter", "Which meter", METERS, false, METER_HELP),
    field("renewed", "New meter, or rolled over", Ask::Tick, false, "what it stood at before does not count"),
];

pub(super) const TARIFF: &[Field] = &[
    field(
        "steps",
        "Prices",
        Ask::Text,
        true,
        "one step a line: where it ends = price of a unit, the last “more”: 10 = 0; 35 = 3.51; more = 6.15",
    ),
    field(
        "unit",
        "Unit",
        Ask::Choice(&["m3", "kgal", "ccf", "gal", "l"]),
        false,
        "of ends and prices; kgal = 1000 gal, ccf = 100 cu ft",
    ),
    field("base", "Base charge", Ask::Number("a period"), false, "all that does not hang on the water used"),
    field("period", "Period", Ask::Choice(&["month", "two-months", "quarter", "half-year", "year"]), false, ""),
    field("meter", "Which meter", METERS, false, METER_HELP),
    begins(
        "Sewer charge by the meter",
        field("sewer", "Sewer price", Ask::Number("a unit"), false, "only where it is charged on the metered water"),
    ),
    field("sewer_free", "Free of it", Ask::Number("units a period"), false, ""),
    field("sewer_most", "Charged at most", Ask::Number("units a period"), false, "a summer or winter-use cap"),
    field("source", "Where it stands written", Ask::Line, false, ""),
];

pub(super) const CONTROLLER: &[Field] = &[
    field("programmes", "Programmes", Ask::Number("of its own days and starts"), true, "often three: A, B and C"),
    field("starts", "Start times", Ask::Number("a programme"), true, "often four"),
    field("longest", "Longest run", Ask::Number("min"), false, "most minutes a zone can be given; 240 where not told"),
    field(
        "at_once",
        "Zones at once",
        Ask::Number("programmes that can run at the same time"),
        false,
        "one, unless the controller and the supply bear more",
    ),
    field(
        "supply",
        "Flow the supply bears",
        Ask::Measure(Quantity::Flow),
        false,
        "a bucket and a watch at the tap tell it",
    ),
];

pub(super) fn read_controller(r: &mut Reader<'_>) -> ControllerFacts {
    let usual = ControllerFacts::default();
    let count = |r: &mut Reader<'_>, name: &str, usual: u32| match r.number_maybe(name) {
        None => usual,
        Some(n) if n.fract() == 0.0 && (0.0..=10_000.0).contains(&n) => n as u32,
        Some(_) => {
            r.fault(name, format!("{name} is a whole number"));
            usual
        }
    };
    ControllerFacts {
        programmes: count(r, "programmes", usual.programmes),
        starts: count(r, "starts", usual.starts),
        longest_min: count(r, "longest", usual.longest_min),
        at_once: count(r, "at_once", usual.at_once),
        supply_lpm: r.measure_maybe("supply", Quantity::Flow),
    }
}

pub(super) fn show_controller(put: &mut dyn FnMut(&str, String), c: &ControllerFacts, supply: String) {
    put("programmes", c.programmes.to_string());
    put("starts", c.starts.to_string());
    put("longest", c.longest_min.to_string());
    put("at_once", c.at_once.to_string());
    put("supply", supply);
}

fn unit_of(r: &mut Reader<'_>, usual: BilledUnit) -> BilledUnit {
    match (r.raw("unit"), r.units) {
        (None, Units::UsCustomary) => usual,
        (None, Units::Metric) => BilledUnit::CubicMetre,
        (Some(_), _) => r.choice("unit"),
    }
}

pub(super) fn read_meter(r: &mut Reader<'_>) -> MeterRead {
    let unit = unit_of(r, BilledUnit::Gallon);
    MeterRead {
        meter: r.choice::<Meter>("meter"),
        reading_m3: r.number("reading") * unit.in_m3(),
        unit,
        renewed: r.tick("renewed"),
    }
}

pub(super) fn read_tariff(r: &mut Reader<'_>) -> TariffFacts {
    let unit = unit_of(r, BilledUnit::ThousandGallons);
    let m3 = unit.in_m3();
    let mut steps = Vec::new();
    for line in r.text_lines("steps") {
        let (end, price) = line.split_once('=').map_or(("", line.as_str()), |(e, p)| (e.trim(), p.trim()));
        let open = matches!(end.to_lowercase().as_str(), "" | "more" | "over" | "rest");
        match (open, plain_number(end), plain_number(price)) {
            (true, _, Some(p)) => steps.push(PriceStep { up_to_m3: None, price_per_m3: p / m3 }),
            (false, Some(e), Some(p)) => steps.push(PriceStep { up_to_m3: Some(e * m3), price_per_m3: p / m3 }),
            _ => r.fault(
                "steps",
                format!("“{line}” cannot be read; write end = price like “10 = 2.40”, the last “more = 6.15”"),
            ),
        }
    }
    TariffFacts {
        meter: r.choice::<Meter>("meter"),
        period: r.choice::<BillPeriod>("period"),
        base: r.number_maybe("base").unwrap_or(0.0),
        unit,
        steps,
        sewer_per_m3: r.number_maybe("sewer").map(|p| p / m3),
        sewer_free_m3: r.number_maybe("sewer_free").map(|v| v * m3),
        sewer_most_m3: r.number_maybe("sewer_most").map(|v| v * m3),
        source: r.words("source"),
    }
}

fn word(value: &impl serde::Serialize) -> String {
    serde_json::to_value(value).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

pub(super) fn show_meter(put: &mut dyn FnMut(&str, String), m: &MeterRead) {
    put("meter", word(&m.meter));
    put("reading", plain(m.reading_m3 / m.unit.in_m3()));
    put("unit", word(&m.unit));
    put("renewed", if m.renewed { "yes".to_owned() } else { String::new() });
}

pub(super) fn show_tariff(put: &mut dyn FnMut(&str, String), t: &TariffFacts) {
    let m3 = t.unit.in_m3();
    let step = |s: &PriceStep| {
        let end = s.up_to_m3.map_or("more".to_owned(), |v| plain(v / m3));
        format!("{end} = {}", plain(s.price_per_m3 * m3))
    };
    let volume = |v: Option<f64>| v.map(|v| plain(v / m3)).unwrap_or_default();
    put("meter", word(&t.meter));
    put("period", word(&t.period));
    put("base", plain(t.base));
    put("unit", word(&t.unit));
    put("steps", t.steps.iter().map(step).collect::<Vec<_>>().join("\n"));
    put("sewer", t.sewer_per_m3.map(|p| plain(p * m3)).unwrap_or_default());
    put("sewer_free", volume(t.sewer_free_m3));
    put("sewer_most", volume(t.sewer_most_m3));
    put("source", t.source.clone());
}
