//! Forms: the fields of each kind of entry, once for the page, the command line and their help.
//!
//! A field's words are what the user typed, in the user's units; a unit written behind the number ("12 mm", "0.5in") goes before
//! the yard's own.

mod audited;
mod places;
mod planted;
mod read;
mod reader;
mod run;
mod scouted;
mod show;
mod supply;
mod upkeep;
mod water_supply;

use std::collections::BTreeMap;

pub use self::read::body_from;
pub use self::reader::{key_of, measure};
pub use self::show::typed_from;
use crate::units::Quantity;

/// How a field is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// A number in the user's unit of this quantity.
    Measure(Quantity),
    /// A plain number; the text is its unit or meaning.
    Number(&'static str),
    /// One area.
    Area,
    /// One or more areas.
    Areas,
    /// One zone.
    Zone,
    /// A product on the shelf.
    Product,
    /// A grass of the almanac.
    Grass,
    /// A soil texture.
    Soil,
    /// A sprinkler kind.
    Sprinkler,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A tick.
    Tick,
    /// A line of words.
    Line,
    /// Several lines of words.
    Text,
    /// A clock time, 24 hours.
    Clock,
    /// Weekdays.
    Weekdays,
    /// Active ingredients with their strength: "prodiamine 0.48, dithiopyr 0.1".
    Actives,
}

/// One field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Field {
    /// Name in forms and commands.
    pub name: &'static str,
    /// Words before it.
    pub label: &'static str,
    /// How it is asked for.
    pub ask: Ask,
    /// Must be told.
    pub required: bool,
    /// What would trip someone up; empty where nothing would.
    pub help: &'static str,
    /// Heading of the group this field begins, folded on the page; empty where it goes on.
    pub group: &'static str,
}

/// One kind of entry as a form.
#[derive(Clone, Copy, Debug)]
pub struct FormSpec {
    /// The kind, as commands name it.
    pub kind: &'static str,
    /// Heading.
    pub title: &'static str,
    /// Fields in order.
    pub fields: &'static [Field],
    /// Caution shown with it; empty where nothing can hurt.
    pub caution: &'static str,
}

const fn field(name: &'static str, label: &'static str, ask: Ask, required: bool, help: &'static str) -> Field {
    Field { name, label, ask, required, help, group: "" }
}

/// A field that begins a folded group.
const fn begins(group: &'static str, field: Field) -> Field {
    Field { group, ..field }
}

const CHEMICAL: &str = "The label on the container is the law. Gloves, long sleeves, goggles when pouring; keep children and pets off until dry; keep away from water and wells. Poison line (US): 1-800-222-1222.";
/// Blow-out limits: several home guides, as collected in the trade (50 psi on polyethylene, 80 psi on rigid PVC).
const SPRINKLERS: &str = "Opening: fill slowly, main a quarter open, to spare the pipes. Shutting: main and power off first; if you blow out, eye protection, never over 80 psi on rigid PVC or 50 psi on polyethylene, never through the backflow assembly, never stand over a head, stop when only mist comes. Backflow tests are for a licensed tester.";
const ELECTRIC: &str =
    "Only the 24 V side is yours to open, power off first; 120 V work is for a licensed electrician.";
const DIG: &str = "Before digging, have buried lines marked. Water off and power off before opening anything; 120 V work is for a licensed electrician.";

/// What a thing on the map may be.
pub const THINGS: &[&str] = &[
    "building",
    "tree",
    "water-edge",
    "well",
    "buried-line",
    "head",
    "valve",
    "controller",
    "pipe",
    "level",
    "play",
    "pets",
];
/// Methods of soil laboratories.
pub const METHODS: &[&str] = &["mehlich-3", "bray-1", "olsen", "ammonium-acetate", "morgan", "modified-morgan"];
/// What may run in a buried line.
pub const BURIED: [&str; 7] = ["power", "gas", "telecom", "water", "sewer", "drain", "private"];

const APPLIED: &[Field] = &[
    field("areas", "Where", Ask::Areas, true, ""),
    field("product", "Product", Ask::Product, true, "enter the product from its label first"),
    field(
        "rate",
        "Product on the ground",
        Ask::Measure(Quantity::Dose),
        true,
        "of product, not of ingredient; a bare number is a weight for granules, fl oz/1000 sq ft (mL/m²) for liquids",
    ),
    field("spot", "Only on a spot of", Ask::Measure(Quantity::Area), false, "where it did not go on the whole ground"),
    field("wind", "Wind", Ask::Measure(Quantity::Speed), false, ""),
    field("air", "Air temperature", Ask::Measure(Quantity::Temperature), false, ""),
    field("rain_in_hours", "Rain expected in", Ask::Number("hours"), false, ""),
    field("watered_in", "Water put on after", Ask::Measure(Quantity::Depth), false, ""),
    field("flowers_open", "Flowers are open there", Ask::Tick, false, ""),
    field("remark", "Remark", Ask::Line, false, ""),
];

const SEEDED: &[Field] = &[
    field("area", "Where", Ask::Area, true, ""),
    field("grass", "Grass", Ask::Grass, true, ""),
    field("rate", "Seed", Ask::Measure(Quantity::Dose), true, ""),
    field("spot", "Only on a spot of", Ask::Measure(Quantity::Area), false, "where it did not go on the whole ground"),
    field("sowing", "Sown", Ask::Choice(&["bare", "over"]), false, "on bare ground or over a living stand"),
    field("remark", "Remark", Ask::Line, false, ""),
];

/// Every form, in the order the log page shows them.
pub const FORMS: &[FormSpec] = &[
    FormSpec {
        kind: "mowed",
        title: "Mowed",
        fields: &[
            field("areas", "Where", Ask::Areas, true, ""),
            field("height", "Height left", Ask::Measure(Quantity::Depth), true, ""),
            field("bagged", "Clippings taken off", Ask::Tick, false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "watered",
        title: "Watered",
        fields: &[
            field("zone", "Zone", Ask::Zone, false, "with its minutes"),
            field("minutes", "Minutes it ran", Ask::Number("min"), false, ""),
            field("area", "or by hand on", Ask::Area, false, "with the depth"),
            field("depth", "Depth", Ask::Measure(Quantity::Depth), false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "rain",
        title: "Rain gauge",
        fields: &[field("depth", "Rain of the day", Ask::Measure(Quantity::Depth), true, "goes before the station's")],
        caution: "",
    },
    FormSpec { kind: "applied", title: "Put down", fields: APPLIED, caution: CHEMICAL },
    FormSpec { kind: "seeded", title: "Seeded", fields: SEEDED, caution: "" },
    FormSpec { kind: "scouted", title: "Seen", fields: scouted::FIELDS, caution: "" },
    FormSpec { kind: "planted", title: "Planted", fields: planted::FIELDS, caution: DIG },
    FormSpec { kind: "mole-run", title: "Mole run", fields: run::FIELDS, caution: run::CAUTION },
    FormSpec {
        kind: "soil-water",
        title: "Soil felt",
        fields: &[
            field("area", "Where", Ask::Area, true, ""),
            field(
                "depleted",
                "Water used up",
                Ask::Number("%"),
                true,
                "0 = full after a soaking, 50 = crumbles in the hand, 100 = wilting",
            ),
        ],
        caution: "",
    },
    FormSpec {
        kind: "repaired",
        title: "Repaired",
        fields: &[
            field("done", "What was done", Ask::Text, true, "with parts"),
            field("zone", "Zone", Ask::Zone, false, ""),
            field("area", "Area", Ask::Area, false, ""),
            field("cost", "Cost", Ask::Number("money"), false, ""),
        ],
        caution: DIG,
    },
    FormSpec { kind: "to-mend", title: "Found: to be mended", fields: upkeep::TO_MEND, caution: DIG },
    FormSpec {
        kind: "bought",
        title: "Bought",
        fields: &[
            field("what", "What", Ask::Line, true, ""),
            field("amount", "Amount", Ask::Line, false, "as on the receipt"),
            field("product", "Product", Ask::Product, false, ""),
            field(
                "amount_in",
                "Amount of it, in all",
                Ask::Measure(Quantity::Mass),
                false,
                "so that the shelf can be reckoned: 2 bags of 40 lb are 80 lb",
            ),
            field("cost", "Cost", Ask::Number("money"), false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "note",
        title: "Note",
        fields: &[field("text", "Words", Ask::Text, true, ""), field("area", "Area", Ask::Area, false, "")],
        caution: "",
    },
    FormSpec { kind: "plan-apply", title: "Plan to put down", fields: APPLIED, caution: CHEMICAL },
    FormSpec { kind: "plan-sow", title: "Plan to sow", fields: SEEDED, caution: "" },
    FormSpec {
        kind: "product",
        title: "Product on the shelf",
        fields: &[
            field("name", "What it is", Ask::Line, true, "plain words: “starter fertiliser”, “prodiamine granule”"),
            field("form", "Form", Ask::Choice(&["granule", "liquid"]), false, ""),
            field("n", "Nitrogen", Ask::Number("%"), false, ""),
            field("p2o5", "Phosphate", Ask::Number("%"), false, ""),
            field("k2o", "Potash", Ask::Number("%"), false, ""),
            field("slow", "Slow share of the nitrogen", Ask::Number("%"), false, ""),
            field(
                "actives",
                "Active ingredients",
                Ask::Actives,
                false,
                "each with its strength in %: “prodiamine 0.48”",
            ),
            field(
                "targets",
                "Rates on the label",
                Ask::Text,
                false,
                "one target a line, lowest and highest rate of product: crabgrass 2.5 3.7",
            ),
            field("label_rate_max", "Label: most at once", Ask::Measure(Quantity::Dose), false, "of product"),
            field("label_interval", "Label: days between", Ask::Number("days"), false, ""),
            field("label_seed_wait", "Label: days before sowing", Ask::Number("days"), false, ""),
            field("label_water_in", "Label: water in with", Ask::Measure(Quantity::Depth), false, ""),
            begins(
                "More limits on the label",
                field("label_active_year", "Label: most active in a year", Ask::Measure(Quantity::Dose), false, ""),
            ),
            field("label_times_year", "Label: most times in a year", Ask::Number("times"), false, ""),
            field(
                "label_year",
                "Label: a year is",
                Ask::Choice(&["calendar", "rolling"]),
                false,
                "rolling = any 365 days",
            ),
            field("label_water_within", "Label: water in within", Ask::Number("days"), false, ""),
            field("label_rain_free", "Label: hours without rain", Ask::Number("hours"), false, ""),
            field(
                "label_seedling_days",
                "Label: days from sowing until it may go down",
                Ask::Number("days"),
                false,
                "",
            ),
            field("label_seedling_mowings", "Label: mowings of new grass first", Ask::Number("mowings"), false, ""),
            field("label_cold", "Label: coldest air", Ask::Measure(Quantity::Temperature), false, ""),
            field("label_heat", "Label: hottest air", Ask::Measure(Quantity::Temperature), false, ""),
            field("label_wind", "Label: strongest wind", Ask::Measure(Quantity::Speed), false, ""),
            field("label_reentry", "Label: hours until people and pets go back", Ask::Number("hours"), false, ""),
            field("label_buffer", "Label: strip beside water", Ask::Measure(Quantity::Length), false, ""),
            begins(
                "Where it may go",
                field("label_sites", "Label: ground it is for", Ask::Line, false, "turf, bed, or both"),
            ),
            field(
                "label_grasses",
                "Label: grasses it may go on",
                Ask::Line,
                false,
                "names parted by commas: Kentucky bluegrass, tall fescue",
            ),
            field("label_grasses_not", "Label: grasses it must not go on", Ask::Line, false, ""),
            field("label_hazards", "Label: signal word and hazards", Ask::Line, false, "as printed"),
            begins("Packs and prices", field("pack", "Pack", Ask::Measure(Quantity::Mass), false, "")),
            field("packs", "Packs with prices", Ask::Text, false, "one a line, size and price: 40 lb = 58"),
            field("lot", "Lot", Ask::Line, false, "as printed"),
            field("opened", "Opened on", Ask::Line, false, "2026-04-20"),
        ],
        caution: CHEMICAL,
    },
    FormSpec {
        kind: "soil-test",
        title: "Soil tested",
        fields: &[
            field("areas", "Where", Ask::Areas, true, "areas sampled together; the day is that of sampling"),
            field("ph", "pH", Ask::Number("in water"), false, ""),
            field(
                "method",
                "Method",
                Ask::Choice(METHODS),
                true,
                "it stands on the report; figures of different methods are never compared",
            ),
            field("unit", "Figures in", Ask::Choice(&["ppm", "mg-dm3", "lb-acre", "kg-ha", "index"]), false, ""),
            field("oxides", "Figures are P₂O₅ and K₂O", Ask::Tick, false, ""),
            field("p", "Phosphorus", Ask::Number("as printed"), false, ""),
            field("k", "Potassium", Ask::Number("as printed"), false, ""),
            begins(
                "More of the report",
                field("acidity", "Exchangeable acidity, Mehlich buffer", Ask::Number("meq/100 g"), false, ""),
            ),
            field("sikora", "Buffer pH, Sikora buffer", Ask::Number("pH"), false, ""),
            field("ca", "Calcium", Ask::Number("as printed"), false, ""),
            field("mg", "Magnesium", Ask::Number("as printed"), false, ""),
            field(
                "depth",
                "Depth sampled",
                Ask::Measure(Quantity::Depth),
                false,
                "6.67 in (the furrow slice) if left out",
            ),
            field("laboratory", "Laboratory", Ask::Line, false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "counted",
        title: "Shelf counted",
        fields: &[
            field("product", "Product", Ask::Product, true, ""),
            field("left", "What is left", Ask::Measure(Quantity::Mass), true, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "spreader",
        title: "Spreader tried out",
        fields: &[
            field("spreader", "Spreader", Ask::Line, true, "what you call it"),
            field("product", "Product", Ask::Product, true, ""),
            field(
                "trials",
                "Trials",
                Ask::Text,
                true,
                "two or more, one a line: setting, weight laid down, width, length: 4, 0.6 lb, 5 ft, 50 ft",
            ),
        ],
        caution: CHEMICAL,
    },
    FormSpec { kind: "meter-read", title: "Water meter read", fields: supply::METER_READ, caution: "" },
    FormSpec { kind: "audited", title: "Zone measured", fields: audited::FIELDS, caution: "" },
    FormSpec { kind: "controller", title: "Sprinkler controller", fields: supply::CONTROLLER, caution: "" },
    FormSpec { kind: "supply", title: "Water supply", fields: water_supply::FIELDS, caution: water_supply::CAUTION },
    FormSpec { kind: "tariff", title: "Water prices", fields: supply::TARIFF, caution: "" },
    FormSpec {
        kind: "sprayer",
        title: "Sprayer tried out",
        fields: &[
            field("sprayer", "Sprayer", Ask::Line, true, "what you call it"),
            field("tank", "Tank holds", Ask::Measure(Quantity::Volume), true, ""),
            field(
                "used",
                "Water used in the trial",
                Ask::Measure(Quantity::Volume),
                true,
                "fill to a mark, spray clean water at your own pace, measure what fills it up again",
            ),
            field(
                "ground",
                "on so much ground",
                Ask::Measure(Quantity::Area),
                true,
                "18.5 × 18.5 ft are 1/128 acre: its fluid ounces are gallons an acre",
            ),
        ],
        caution: CHEMICAL,
    },
    FormSpec {
        kind: "local-rules",
        title: "Local rules on feeding",
        fields: &[
            field(
                "phosphate",
                "Phosphate on lawns",
                Ask::Choice(&["free", "test-or-seed"]),
                false,
                "test-or-seed = only where a soil test shows need, or for new grass",
            ),
            field("no_feed_from", "No fertiliser from", Ask::Line, false, "month and day: 12-01"),
            field("no_feed_until", "No fertiliser until", Ask::Line, false, "month and day: 04-01"),
            field("nitrogen_once", "Most nitrogen at once", Ask::Measure(Quantity::Dose), false, ""),
            field("nitrogen_year", "Most nitrogen in a year", Ask::Measure(Quantity::Dose), false, ""),
            field("source", "Where it stands written", Ask::Line, false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "programme",
        title: "Controller set",
        fields: &[
            field("zone", "Zone", Ask::Zone, true, ""),
            field("minutes", "Minutes each run", Ask::Number("min"), true, "0 = off"),
            field("weekdays", "On", Ask::Weekdays, false, "none ticked = every day"),
        ],
        caution: ELECTRIC,
    },
    FormSpec {
        kind: "sprinklers",
        title: "Sprinklers opened or shut",
        fields: &[
            field("state", "They were", Ask::Choice(&["opened", "shut"]), true, "for the season, or for the winter"),
            field("remark", "What was found", Ask::Line, false, "zone by zone"),
        ],
        caution: SPRINKLERS,
    },
    FormSpec {
        kind: "backflow-tested",
        title: "Backflow assembly tested",
        fields: upkeep::BACKFLOW,
        caution: upkeep::BACKFLOW_CARE,
    },
    FormSpec {
        kind: "area",
        title: "Area",
        fields: &[
            field("name", "Name", Ask::Line, true, ""),
            field(
                "size",
                "Size",
                Ask::Measure(Quantity::Area),
                true,
                "where the area is drawn, the drawing's size counts",
            ),
            field("cover", "Cover", Ask::Choice(&["turf", "bed", "hedge", "hard"]), false, ""),
            field("grass", "Grass", Ask::Grass, false, "needed for a lawn"),
            field(
                "soil",
                "Soil texture",
                Ask::Soil,
                true,
                "rub a moist pinch: gritty = sand, floury = silt, sticky = clay",
            ),
            field("slope", "Slope", Ask::Number("%"), false, ""),
            field("care", "Feeding", Ask::Choice(&["low", "medium", "high"]), false, ""),
            field("root", "Root depth, measured", Ask::Measure(Quantity::Depth), false, "on a plug"),
            field("mow", "Height you mow to", Ask::Measure(Quantity::Depth), false, ""),
            field(
                "sun",
                "Direct sun on a summer day",
                Ask::Number("hours"),
                false,
                "as seen; the map works it out where trees and walls are drawn",
            ),
            field("sod", "Sod laid on", Ask::Line, false, "2023-05-20; from two to five years it gets ring diseases"),
            field("made", "Ground graded on", Ask::Line, false, "2024-09-01; rubble of a new house tells for years"),
            field("salted", "Salt is put down beside it in winter", Ask::Tick, false, ""),
            field("snow", "Snow lay last winter", Ask::Number("days"), false, "grey snow mould wants about sixty"),
            field("mulch", "Mulch, depth found", Ask::Measure(Quantity::Depth), false, "beds"),
            field("plants", "Plants", Ask::Line, false, "beds and hedges"),
            field("height", "Height of the hedge", Ask::Measure(Quantity::Length), false, ""),
            field("retired", "This area is no more", Ask::Tick, false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "outline",
        title: "Outline of an area",
        fields: &[
            field("area", "Area", Ask::Area, true, ""),
            field(
                "corners",
                "Corners",
                Ask::Text,
                false,
                "one a line: east and north of the map's origin; a third number bows the side that follows outwards by so much \
                 (right of the way); a line with / begins another piece; the word none = no longer drawn",
            ),
            field("holes", "Cut out of it", Ask::Text, false, "corners in the same way; / between two holes"),
            field("measured", "How it was measured", Ask::Line, false, "tape, offsets, the plan it was traced from"),
        ],
        caution: "",
    },
    FormSpec {
        kind: "mapped",
        title: "Thing on the map",
        fields: &[
            field("name", "Name", Ask::Line, true, ""),
            field("is", "What it is", Ask::Choice(THINGS), true, ""),
            field("at", "Where", Ask::Text, true, "one place a line: east and north of the map's origin"),
            field("height", "Height", Ask::Measure(Quantity::Length), false, "of a building, a tree, a spot level"),
            field("crown", "Radius of the crown", Ask::Measure(Quantity::Length), false, "trees"),
            field("base", "Crown begins at", Ask::Measure(Quantity::Length), false, "trees"),
            field("evergreen", "Keeps its leaves in winter", Ask::Tick, false, "trees"),
            field("of", "What runs in it", Ask::Choice(&BURIED), false, "buried lines"),
            field("role", "Which pipe", Ask::Choice(&["main", "lateral"]), false, "sprinkler pipes"),
            field("bore", "Inner diameter", Ask::Measure(Quantity::Depth), false, "sprinkler pipes"),
            field("zone", "Zone", Ask::Zone, false, "heads, valves, laterals"),
            field("nozzle", "Nozzle", Ask::Line, false, "heads: what is written on it"),
            field("radius", "Throw", Ask::Measure(Quantity::Length), false, "heads"),
            field("arc_from", "Arc starts at", Ask::Number("° from north"), false, "heads: clockwise"),
            field("arc", "Arc", Ask::Number("°"), false, "heads: width, clockwise; 360 = full circle"),
            field("flow", "Flow", Ask::Measure(Quantity::Flow), false, "heads"),
            field("lean", "Leans by", Ask::Number("°"), false, "heads"),
            field("lean_to", "Leans towards", Ask::Number("° from north"), false, "heads"),
            field("removed", "It is no more", Ask::Tick, false, ""),
        ],
        caution: DIG,
    },
    FormSpec {
        kind: "origin",
        title: "Where the map lies",
        fields: &[
            field("latitude", "Latitude of the map's origin", Ask::Number("degrees, north positive"), true, ""),
            field("longitude", "Longitude of the map's origin", Ask::Number("degrees, east positive"), true, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "zone",
        title: "Sprinkler zone",
        fields: &[
            field("name", "Name", Ask::Line, true, ""),
            field("areas", "Waters", Ask::Areas, true, ""),
            field("sprinkler", "Sprinklers", Ask::Sprinkler, true, ""),
            field("rate", "Rate, measured", Ask::Measure(Quantity::Rate), false, "with cans"),
            field("flow", "Flow of all heads", Ask::Measure(Quantity::Flow), false, "from the meter"),
            field("du", "Evenness, measured", Ask::Number("0–1"), false, "lowest quarter ÷ mean of the cans"),
            field("retired", "This zone is no more", Ask::Tick, false, ""),
        ],
        caution: ELECTRIC,
    },
    FormSpec {
        kind: "water-rules",
        title: "Watering hours and rules",
        fields: &[
            field("from", "Not before", Ask::Clock, true, ""),
            field("until", "Done by", Ask::Clock, true, ""),
            field("weekdays", "Allowed on", Ask::Weekdays, false, "none ticked = any day"),
            field("parity", "Dates", Ask::Choice(&["any", "odd", "even"]), false, ""),
            field("seed_exempt", "New seed may be watered any day", Ask::Tick, false, ""),
        ],
        caution: "",
    },
    FormSpec {
        kind: "yard",
        title: "The yard",
        fields: &[
            field("name", "Name", Ask::Line, true, ""),
            field("latitude", "Latitude", Ask::Number("degrees, north positive"), true, ""),
            field("longitude", "Longitude", Ask::Number("degrees, east positive, west negative"), true, ""),
            field("elevation", "Height above sea", Ask::Measure(Quantity::Length), true, ""),
            field("units", "Units", Ask::Choice(&["us-customary", "metric"]), true, ""),
            field("time_zone", "Time zone", Ask::Line, false, "like America/Denver; the machine's own if left out"),
            field("currency", "Money sign", Ask::Line, false, ""),
        ],
        caution: "",
    },
];

/// The form of a kind.
pub fn form(kind: &str) -> Option<&'static FormSpec> {
    FORMS.iter().find(|f| f.kind == kind)
}

/// What was typed, field by field.
pub type Typed = BTreeMap<String, String>;
