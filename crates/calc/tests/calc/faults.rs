//! What a bad item answers.

use calc::{Fault, find, item_from_pairs, models};
use proptest::prelude::*;
use serde_json::Value;

use crate::{answer, run};

fn fault(model: &str, item: &str) -> Fault {
    let (output, outcome) = run(model, item.as_bytes());
    assert_eq!((outcome.items, outcome.faults), (1, 1), "{output}");
    let output: Value = serde_json::from_str(&output).expect("the output is JSON");
    let text = |key: &str| output["error"][key].as_str().expect("a text").to_owned();
    Fault { field: text("field"), message: text("message") }
}

/// The field, the value and what it must be: the words a person reads.
#[test]
fn messages() {
    let days = |day: &str| format!(r#"{{"method":"average","base_c":10,"days":[{{"tmin_c":1,"tmax_c":2}},{day}]}}"#);
    let et0 = |rest: &str| {
        format!(
            r#"{{"latitude_deg":50.8,"elevation_m":100,"day_of_year":187,"tmin_c":12.3,"tmax_c":21.5,"wind_ms":2{rest}}}"#
        )
    };
    let rows = [
        ("et0-temperature", r#"{"tmax_c":99}"#.into(), "tmax_c", "tmax_c is 99; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":1e999}"#.into(), "tmax_c", "tmax_c is 1e999; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":NaN}"#.into(), "tmax_c", "tmax_c is NaN; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":-Infinity}"#.into(), "tmax_c", "tmax_c is -Infinity; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":1e300}"#.into(), "tmax_c", "tmax_c is 1e300; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":"20"}"#.into(), "tmax_c", "tmax_c is \"20\" (a text); it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":null}"#.into(), "tmax_c", "tmax_c is null; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":[1,2]}"#.into(), "tmax_c", "tmax_c is a list of 2; it must be between -90 and 60 °C"),
        ("et0-temperature", r#"{"tmax_c":1,"tmax_c":2}"#.into(), "tmax_c", "tmax_c is given twice, the second time as 2; give it once"),
        (
            "et0-temperature",
            r#"{"tmax":1}"#.into(),
            "tmax",
            "tmax is 1, but there is no such field; the fields are latitude_deg, day_of_year, tmin_c, tmax_c",
        ),
        ("et0-temperature", "{}".into(), "latitude_deg", "latitude_deg is missing; it must be between -90 and 90 °"),
        (
            "et0-temperature",
            r#"{"day_of_year":1.5}"#.into(),
            "day_of_year",
            "day_of_year is 1.5; it must be a whole number between 1 and 366",
        ),
        ("et0-temperature", "7".into(), "", "the item is 7; it must be an object"),
        ("et0-temperature", "null".into(), "", "the item is null; it must be an object"),
        (
            "et0",
            et0(r#","sunshine_h":8"#),
            "rhmin_pct",
            "rhmin_pct is missing; exactly one of these must be given: rhmin_pct + rhmax_pct, rhmean_pct, dewpoint_c, vapour_pressure_kpa",
        ),
        (
            "et0",
            et0(r#","sunshine_h":8,"rhmax_pct":80"#),
            "rhmin_pct",
            "rhmin_pct is missing; these belong together: rhmin_pct + rhmax_pct",
        ),
        (
            "et0",
            et0(r#","sunshine_h":8,"solar_mj_m2":20,"dewpoint_c":9"#),
            "sunshine_h",
            "sunshine_h is given beside solar_mj_m2; exactly one of these must be given: solar_mj_m2, sunshine_h",
        ),
        ("degree-days", days("{\"tmin_c\":99}"), "days[1].tmin_c", "days[1].tmin_c is 99; it must be between -90 and 60 °C"),
        ("degree-days", days("{\"tmin_c\":9}"), "days[1].tmax_c", "days[1].tmax_c is missing; it must be between -90 and 60 °C"),
        ("degree-days", days("7"), "days[1]", "days[1] is 7; it must be an object"),
        (
            "degree-days",
            r#"{"method":"mean","base_c":10,"days":[]}"#.into(),
            "method",
            "method is \"mean\" (a text); it must be \"average\" or \"modified-average\" or \"single-sine\"",
        ),
        (
            "degree-days",
            r#"{"method":"average","base_c":10,"days":[]}"#.into(),
            "days",
            "days is a list of 0; it must be a list of 1 to 40000",
        ),
        (
            "coverage",
            r#"{"area":[[0,0],[1,0],[1,"a"]]}"#.into(),
            "area[2][1]",
            "area[2][1] is \"a\" (a text); it must be between -10000000 and 10000000 m",
        ),
        (
            "coverage",
            r#"{"area":[[0,0],[1,0],[1]]}"#.into(),
            "area[2]",
            "area[2] is a list of 1; it must be a list of 2 numbers",
        ),
        (
            "coverage",
            r#"{"area":[[0,0],[1,0],[1,1]],"cell_m":0.1,"heads":[{"x_m":0,"y_m":0,"radius_m":1,"arc_from_deg":0,"arc_deg":90,
                "flow_lpm":1,"profile":[0,0]}]}"#
                .into(),
            "heads[0].profile",
            "heads[0].profile is zero throughout; water must land somewhere",
        ),
        (
            "polygon-area",
            r#"{"ring":[[0,0],[2,2],[2,0],[0,2]]}"#.into(),
            "ring",
            "ring: crosses or touches itself: the sides from ring[0] to ring[1] and from ring[2] to ring[3]",
        ),
        (
            "polygon-area",
            r#"{"ring":[[0,0],[9,0],[0,9]],"holes":[[[1,1],[2,1],[1,2]],[[5,5],[6,5],[5,6]]]}"#.into(),
            "holes[1]",
            "holes[1] reaches outside the ring; a hole must lie inside it",
        ),
        (
            "polygon-area",
            r#"{"lonlat":[[0,0],[0,1],[1,1]],"holes":[[[0,0.5],[0,95],[0.1,0.6]]]}"#.into(),
            "holes[0][1]",
            "holes[0][1] holds 95 °; it must be between -90 and 90 °",
        ),
        (
            "cut-fill",
            r#"{"existing":[[0,0,0],[1,0,0],[1,1,0],[0,0,2]],"proposed":[[0,0,0],[1,0,0],[1,1,0]]}"#.into(),
            "existing[3]",
            "existing[3] has height 2 m where existing[0] has 0",
        ),
        (
            "tape-survey",
            r#"{"corners":[{"id":"A","x_m":0,"y_m":0},{"id":"B","x_m":20,"y_m":0}],
                "points":[{"id":"t","from":[{"id":"A","distance_m":13},{"id":"B","distance_m":15}]}]}"#
                .into(),
            "points[0].near",
            "points[0].near is missing: the distances fit at [8.60, 9.75] as well as at [8.60, -9.75]; say which is nearer, or measure one more",
        ),
        (
            "pipe-network",
            r#"{"source":{"id":"s","head_m":4},"nodes":[{"id":"a","elevation_m":0,"demand_lps":1}],
                "pipes":[{"id":"p","from":"s","to":"b","length_m":1,"inside_mm":9,"c":150}]}"#
                .into(),
            "pipes[0].to",
            "pipes[0].to is \"b\", which is neither the source nor a node",
        ),
        (
            "fertilizer",
            r#"{"n_pct":20,"p2o5_pct":0,"k2o_pct":0,"area_m2":1,"nutrient":"k2o","target_g_m2":5}"#.into(),
            "k2o_pct",
            "k2o_pct: 0 % of potash cannot bring 5 g/m² of it; take a product with at least 0.01 % or dose it by another nutrient",
        ),
        (
            "spreader-calibration",
            r#"{"trials":[{"setting":4,"collected_kg":0.2,"swath_m":2,"length_m":5},
                {"setting":6,"collected_kg":0.1,"swath_m":2,"length_m":5}],"target_g_m2":12}"#
                .into(),
            "trials[1].collected_kg",
            "trials[1].collected_kg makes 10.0000 g/m² at setting 6, no more than the 20.0000 g/m² of trials[0] at setting 4; a \
             wider setting must lay down more: measure both again",
        ),
        (
            "active-ingredient",
            r#"{"product_g_m2":1,"active_g_l":5}"#.into(),
            "active_g_l",
            "active_g_l is given beside product_g_m2 + active_pct; exactly one of these must be given: product_g_m2 + active_pct, \
             product_ml_m2 + active_g_l",
        ),
        (
            "seed-mix",
            r#"{"parts":[{"name":"a","weight_pct":60,"purity_pct":98,"germination_pct":85,"seeds_per_kg":500000}],"rate_g_m2":30,
                "area_m2":1}"#
                .into(),
            "parts",
            "parts: the weights add up to 60 %; they must make 100 %, give or take 0.5 for the label's rounding",
        ),
    ];
    for (model, item, field, message) in rows {
        let fault = fault(model, &item);
        assert_eq!((fault.field.as_str(), fault.message.as_str()), (field, message), "{item}");
    }
}

/// Values that contradict each other on one day are told by that day's path.
#[test]
fn contradictions_name_the_day() {
    for (model, rest) in
        [("degree-days", r#""method":"average","base_c":10"#), ("soil-temperature", r#""depth_m":0.05,"cover":"turf""#)]
    {
        let item = format!(r#"{{{rest},"days":[{{"tmin_c":1,"tmax_c":2}},{{"tmin_c":9,"tmax_c":2}}]}}"#);
        let fault = fault(model, &item);
        assert!(fault.field.starts_with("days[1].t"), "{fault:?}");
        assert!(fault.message.contains('9') && fault.message.contains('2'), "{fault:?}");
    }
    let item = r#"{"available_mm_m":200,"root_depth_m":0.8,"depletion_fraction":0.4,"adjust_fraction":false,
        "initial_depletion_mm":55,"days":[{"et0_mm":5,"kc":1.2,"rain_mm":1,"irrigation_mm":0,"runoff_mm":2}]}"#;
    assert_eq!(fault("root-zone-balance", item).field, "days[0].runoff_mm");
}

/// What was left out and assumed is told; what was given is not.
#[test]
fn assumed_fields() {
    let assumed = |model: &str, item: &str| answer(model, item).expect("it answers").assumed;
    assert_eq!(assumed("wire-drop", r#"{"awg":18,"length_m":10,"current_a":1,"supply_v":24}"#), ["temperature_c"]);
    assert!(
        assumed("wire-drop", r#"{"awg":18,"length_m":10,"current_a":1,"supply_v":24,"temperature_c":20}"#).is_empty()
    );
    let run = r#"{"need_mm":1,"rate_mm_h":40,"du_lq":1,"scheduling":"low-half"}"#;
    assert_eq!(assumed("zone-run-time", run), ["intake_mm_h", "surface_storage_mm"]);
    assert_eq!(assumed("coverage", find("coverage").expect("listed").example), ["heads[].profile"]);
    assert_eq!(assumed("pipe-network", find("pipe-network").expect("listed").example), ["pipes[].minor_k"]);
    for (model, item, value) in [
        ("wire-drop", r#"{"awg":18,"length_m":10,"current_a":1,"supply_v":24}"#, "T"),
        ("zone-run-time", r#"{"need_mm":20,"rate_mm_h":40,"du_lq":1,"scheduling":"low-half","intake_mm_h":7}"#, "S"),
        (
            "et0",
            r#"{"latitude_deg":50.8,"elevation_m":100,"day_of_year":187,"tmin_c":12,"tmax_c":21,"wind_ms":2,"dewpoint_c":9,
                "sunshine_h":9}"#,
            "z",
        ),
    ] {
        let working = answer(model, item).expect("it answers").working;
        let mut marked = working.iter().flat_map(|step| &step.values).filter(|v| v.assumed);
        assert!(marked.next().is_some_and(|v| v.name == value && v.from.is_some()), "{model}");
    }
    let days = r#"{"method":"average","base_c":10,"days":[{"tmin_c":1,"tmax_c":2}]}"#;
    assert!(assumed("degree-days", days).is_empty(), "no cutoff is not an assumption");
}

/// Lists on both sides of their limit.
#[test]
fn lists_are_bounded() {
    let days = |count: usize| {
        format!(
            r#"{{"method":"average","base_c":10,"days":[{}]}}"#,
            vec![r#"{"tmin_c":10,"tmax_c":12}"#; count].join(",")
        )
    };
    let found = answer("degree-days", &days(40_000)).expect("a century of days is taken");
    assert_eq!(found.result.get("total").and_then(calc::Figure::number), Some(40_000.0));
    assert_eq!(found.working.len(), 367);
    assert_eq!(fault("degree-days", &days(40_001)).message, "days is a list of 40001; it must be a list of 1 to 40000");
}

/// Words of a command line: numbers, words, flags, lists; the rest is told by name.
#[test]
fn pairs() {
    let pairs = |model: &str, words: &[(&str, &str)]| {
        let words: Vec<(String, String)> = words.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        item_from_pairs(find(model).expect("listed"), &words)
    };
    let item = pairs("growth-potential", &[("tmean_c", " 15 "), ("grass", "cool")]).expect("pairs are read");
    assert!(find("growth-potential").expect("listed").answer(&item).is_ok());
    let item = pairs("catch-can-audit", &[("readings_ml", "[1, 2, 3, 4]"), ("opening_cm2", "80"), ("minutes", "1e1")]);
    assert!(find("catch-can-audit").expect("listed").answer(&item.expect("pairs are read")).is_ok());
    let item = pairs("root-zone-balance", &[("adjust_fraction", "true")]).expect("pairs are read");
    assert_eq!(item["adjust_fraction"], true);
    for (words, field) in [(&[("tmin", "1")][..], "tmin"), (&[("tmean_c", "1"), ("tmean_c", "2")], "tmean_c")] {
        assert_eq!(pairs("growth-potential", words).expect_err("refused").field, field);
    }
    let fault = pairs("catch-can-audit", &[("readings_ml", "1,2")]).expect_err("refused");
    assert!(fault.message.contains("readings_ml is 1,2") && fault.message.contains("JSON"), "{fault}");
    for text in ["NaN", "inf", "1e999", "warm", "1,5", ""] {
        let item = pairs("growth-potential", &[("tmean_c", text), ("grass", "cool")]).expect("read, not judged");
        let fault = find("growth-potential").expect("listed").answer(&item).expect_err("refused");
        assert_eq!(fault.field, "tmean_c");
        assert!(fault.message.contains(&format!("\"{text}\"")), "{fault}");
    }
}

/// A leaf that is often nearly right: the words and numbers the models take, and odd ones.
fn leaf() -> impl Strategy<Value = Value> {
    let words = [
        "average",
        "single-sine",
        "turf",
        "bare",
        "cool",
        "warm",
        "low-half",
        "low-quarter",
        "after-inflow",
        "s",
        "a",
        "",
    ];
    prop_oneof![
        4 => (-10.0..60.0).prop_map(Value::from),
        2 => (0..30).prop_map(Value::from),
        1 => any::<f64>().prop_map(Value::from),
        1 => any::<i64>().prop_map(Value::from),
        2 => proptest::sample::select(words.to_vec()).prop_map(Value::from),
        1 => any::<bool>().prop_map(Value::from),
        1 => Just(Value::Null),
    ]
}

fn any_value() -> impl Strategy<Value = Value> {
    let names: Vec<&str> = models()
        .iter()
        .flat_map(|model| model.input().fields.iter().map(|field| field.name))
        .chain(["id", "from", "to", "x_m", "y_m", "radius_m", "inside_mm", "c"])
        .collect();
    leaf().prop_recursive(3, 24, 5, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..5).prop_map(Value::from),
            prop::collection::vec((proptest::sample::select(names.clone()), inner), 0..6)
                .prop_map(|fields| Value::Object(fields.into_iter().map(|(k, v)| (k.to_owned(), v)).collect())),
        ]
    })
}

fn holds_null(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::Array(list) => list.iter().any(holds_null),
        Value::Object(map) => map.values().any(holds_null),
        _ => false,
    }
}

proptest! {
    /// Any JSON: an answer without null, or a fault with a message; by value and by text alike.
    #[test]
    fn any_json_is_safe(value in any_value()) {
        for model in models() {
            let answered = model.answer(&value);
            let (output, _) = run(model.name, value.to_string().as_bytes());
            let streamed: Value = serde_json::from_str(&output).expect("the output is JSON");
            prop_assert!(!holds_null(&streamed), "{}: {}", model.name, streamed);
            if let (Err(fault), false) = (&answered, value.is_array()) {
                prop_assert!(!fault.message.is_empty());
                prop_assert_eq!(streamed["error"]["message"].as_str(), Some(fault.message.as_str()));
            }
        }
    }

    /// A good item with some of its fields changed at random: the nearly right is where models could stumble.
    #[test]
    fn spoiled_examples_are_safe(which in 0..models().len(), changes in prop::collection::vec((0_usize..16, leaf()), 0..4)) {
        let model = &models()[which];
        let mut item: Value = serde_json::from_str(model.example).expect("the example is JSON");
        for (field, value) in changes {
            let fields = model.input().fields;
            item[fields[field % fields.len()].name] = value;
        }
        if let Ok(answer) = model.answer(&item) {
            let answer = serde_json::to_value(&answer).expect("an answer serialises");
            prop_assert!(!holds_null(&answer), "{answer}");
        }
    }

    /// Any bytes: valid JSON comes out and nothing panics.
    #[test]
    fn any_bytes_are_safe(bytes in prop::collection::vec(any::<u8>(), 0..64), text in "[\\[\\]{}\",:0-9e.\\-a-z \\\\]{0,40}") {
        for document in [bytes.as_slice(), text.as_bytes()] {
            let (output, _) = run("meter-leak", document);
            prop_assert!(serde_json::from_str::<Value>(&output).is_ok(), "{output}");
        }
    }
}
