//! Entries of every kind, as a property test needs them: any words, any finite figure, references in order.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use serde_json::{Map, Value, json};
use yard::Entry;

/// A note, for tests where the kind does not matter.
pub fn note(id: &str, supersedes: Option<&str>) -> Entry {
    let mut entry = json!({
        "id": id,
        "happened_on": "2026-05-01",
        "recorded_at": "2026-05-01T18:00:00Z",
        "body": { "kind": "note/1", "text": "Pâquerettes – 雛菊" },
    });
    if let Some(target) = supersedes {
        entry["supersedes"] = json!(target);
    }
    serde_json::from_value(entry).unwrap()
}

/// Up to `most` entries of any kind, some of which supersede an earlier one.
pub fn entries(most: usize) -> impl Strategy<Value = Vec<Entry>> {
    let entry = (body(), day(), moment(), option::of(any::<prop::sample::Index>()));
    vec(entry, 0..=most).prop_map(|drafts| {
        let mut free: Vec<String> = Vec::new();
        let mut entries = Vec::new();
        for (n, (body, happened_on, recorded_at, target)) in drafts.into_iter().enumerate() {
            let id = format!("e{n:04}");
            let mut entry = json!({
                "id": id, "happened_on": happened_on, "recorded_at": recorded_at, "body": body,
            });
            if let Some(target) = target.filter(|_| !free.is_empty()) {
                entry["supersedes"] = json!(free.swap_remove(target.index(free.len())));
            }
            free.push(id);
            entries.push(serde_json::from_value(entry).expect("a generated entry is one"));
        }
        entries
    })
}

type Member = (&'static str, BoxedStrategy<Option<Value>>);

fn must<T: Into<Value> + std::fmt::Debug + 'static>(
    name: &'static str,
    value: impl Strategy<Value = T> + 'static,
) -> Member {
    (name, value.prop_map(|v| Some(v.into())).boxed())
}

fn may<T: Into<Value> + std::fmt::Debug + 'static>(
    name: &'static str,
    value: impl Strategy<Value = T> + 'static,
) -> Member {
    (name, option::of(value.prop_map(Into::into)).boxed())
}

fn object(members: Vec<Member>) -> BoxedStrategy<Value> {
    let (names, values): (Vec<_>, Vec<_>) = members.into_iter().unzip();
    values
        .prop_map(move |values| {
            let members = names.iter().zip(values).filter_map(|(n, v)| Some((n.to_string(), v?)));
            Value::Object(members.collect::<Map<_, _>>())
        })
        .boxed()
}

fn laid_pipe() -> BoxedStrategy<Value> {
    object(vec![must("kind", key()), must("size", words()), may("length_m", figure())])
}

fn one_of(words: &'static [&'static str]) -> impl Strategy<Value = String> {
    prop::sample::select(words).prop_map(str::to_owned)
}

fn figure() -> impl Strategy<Value = f64> {
    use prop::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    prop_oneof![NORMAL | SUBNORMAL | ZERO | POSITIVE | NEGATIVE, (0..10_000i32).prop_map(f64::from)]
}

/// Any text there is: control characters, quotes, line separators, letters of all scripts.
fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        ".{0,40}",
        vec(any::<char>(), 0..20).prop_map(String::from_iter),
        "[äßéñ草Ωж🌱\u{2028}\n\r\t\"\\\\\u{0}\u{7f}]{0,12}",
    ]
}

fn key() -> impl Strategy<Value = String> {
    "[a-z0-9-]{1,12}"
}

fn keys() -> impl Strategy<Value = Vec<String>> {
    vec(key(), 0..4)
}

fn day() -> impl Strategy<Value = String> {
    (1900..2200i32, 1..=12u8, 1..=28u8).prop_map(|(y, m, d)| format!("{y:04}-{m:02}-{d:02}"))
}

fn moment() -> impl Strategy<Value = String> {
    (0..4_102_444_800i64, 0..1_000_000_000i32).prop_map(|(s, ns)| jiff::Timestamp::new(s, ns).unwrap().to_string())
}

fn clock() -> impl Strategy<Value = String> {
    (0..24u8, 0..60u8).prop_map(|(h, m)| format!("{h:02}:{m:02}:00"))
}

fn weekdays() -> impl Strategy<Value = Vec<i8>> {
    vec(1..=7i8, 0..7)
}

fn applied() -> Vec<Member> {
    vec![
        must("areas", keys()),
        must("product", key()),
        must("rate_g_m2", figure()),
        may("wind_ms", figure()),
        may("air_c", figure()),
        may("rain_in_hours", figure()),
        may("watered_in_mm", figure()),
        may("flowers_open", any::<bool>()),
        may("remark", words()),
    ]
}

fn seeded() -> Vec<Member> {
    vec![
        must("area", key()),
        must("grass", key()),
        must("rate_g_m2", figure()),
        may("sowing", one_of(&["bare", "over"])),
        may("remark", words()),
    ]
}

fn pair() -> BoxedStrategy<Value> {
    (figure(), figure()).prop_map(|(x, y)| json!([x, y])).boxed()
}

fn corner() -> BoxedStrategy<Value> {
    prop_oneof![pair(), (figure(), figure(), figure()).prop_map(|(x, y, bow)| json!([x, y, bow]))].boxed()
}

fn outline() -> BoxedStrategy<Value> {
    object(vec![must("ring", vec(corner(), 0..5)), may("holes", vec(vec(corner(), 0..4), 0..2))])
}

fn thing() -> impl Strategy<Value = Value> {
    let is = |word: &'static str, mut members: Vec<Member>| {
        members.push(must("is", Just(word)));
        object(members)
    };
    let zone = || may("zone", key());
    prop::strategy::Union::new([
        is("building", vec![must("height_m", figure())]),
        is(
            "tree",
            vec![
                must("height_m", figure()),
                must("crown_m", figure()),
                may("base_m", figure()),
                may("evergreen", any::<bool>()),
            ],
        ),
        is("water-edge", vec![]),
        is("well", vec![]),
        is("buried-line", vec![must("of", one_of(&["power", "gas", "telecom", "water", "sewer", "drain", "private"]))]),
        is(
            "head",
            vec![
                zone(),
                may("nozzle", words()),
                must("radius_m", figure()),
                may("arc_from_deg", figure()),
                must("arc_deg", figure()),
                must("flow_lpm", figure()),
                may("lean_deg", figure()),
                may("lean_to_deg", figure()),
            ],
        ),
        is("valve", vec![zone()]),
        is("controller", vec![]),
        is("pipe", vec![must("role", one_of(&["main", "lateral"])), zone(), may("bore_mm", figure())]),
        is("level", vec![must("height_m", figure())]),
        is("play", vec![]),
        is("pets", vec![]),
    ])
}

fn planned(work: &'static str, mut members: Vec<Member>) -> Vec<Member> {
    members.push(must("work", Just(work)));
    members
}

/// Every kind with its members. A kind may stand here more than once.
fn kinds() -> Vec<(&'static str, Vec<Member>)> {
    let place =
        || object(vec![must("latitude_deg", figure()), must("longitude_deg", figure()), must("elevation_m", figure())]);
    let strength = || object(vec![must("active", key()), must("pct", figure())]);
    let label = || {
        object(vec![
            may("rate_max_g_m2", figure()),
            may("seed_wait_days", figure()),
            may("interval_days", figure()),
            may("active_yearly_max_g_m2", figure()),
            may("rain_free_hours", figure()),
            may("water_in_mm", figure()),
            may("water_in_within_days", figure()),
            may("applications_a_year", figure()),
            may("year_is_rolling", any::<bool>()),
            may("seedling_mowings", figure()),
            may("seedling_days", figure()),
            may("temperature_min_c", figure()),
            may("temperature_max_c", figure()),
            may("wind_max_ms", figure()),
            may("reentry_hours", figure()),
            may("water_buffer_m", figure()),
            may("sites", vec(one_of(&["turf", "bed"]), 0..2)),
            may("grasses", keys()),
            may("grasses_not", keys()),
            may("hazards", words()),
        ])
    };
    vec![
        (
            "yard/1",
            vec![
                must("name", words()),
                must("place", place()),
                must("units", one_of(&["us-customary", "metric"])),
                may("time_zone", Just("America/Denver")),
                may("currency", words()),
            ],
        ),
        (
            "area/1",
            vec![
                must("key", key()),
                must("name", words()),
                must("size_m2", figure()),
                may("cover", one_of(&["turf", "bed", "hedge", "hard"])),
                may("grass", key()),
                must("soil", key()),
                may("slope_pct", figure()),
                may("root_m", figure()),
                may("mow_mm", figure()),
                may("sun_h", figure()),
                may("mulch_mm", figure()),
                may("plants", words()),
                may("height_m", figure()),
                may("retired", any::<bool>()),
            ],
        ),
        ("outline/1", vec![must("area", key()), must("pieces", vec(outline(), 0..3)), may("measured", words())]),
        (
            "mapped/1",
            vec![
                must("key", key()),
                must("name", words()),
                must("thing", thing()),
                must("at", vec(corner(), 0..5)),
                may("removed", any::<bool>()),
            ],
        ),
        ("origin/1", vec![must("latitude_deg", figure()), must("longitude_deg", figure())]),
        (
            "underlay/1",
            vec![
                must("picture", key()),
                must("name", words()),
                must("size_px", pair()),
                must("pixels", vec(pair(), 2)),
                must("ground", vec(pair(), 2)),
                may("removed", any::<bool>()),
            ],
        ),
        (
            "zone/1",
            vec![
                must("key", key()),
                must("name", words()),
                must("areas", keys()),
                must("sprinkler", key()),
                may("rate_mm_h", figure()),
                may("flow_lpm", figure()),
                may("du_lq", figure()),
                may("retired", any::<bool>()),
            ],
        ),
        (
            "controller/1",
            vec![
                must("programmes", 1..12_u32),
                must("starts", 1..16_u32),
                must("longest_min", 1..1440_u32),
                must("at_once", 1..4_u32),
                may("supply_lpm", figure()),
            ],
        ),
        (
            "water-rules/1",
            vec![
                must("from", clock()),
                must("until", clock()),
                may("weekdays", weekdays()),
                may("parity", one_of(&["any", "odd", "even"])),
                may("seed_exempt", any::<bool>()),
            ],
        ),
        ("sprinklers/1", vec![must("state", one_of(&["opened", "shut"])), may("remark", words())]),
        ("programme/1", vec![must("zone", key()), must("minutes", figure()), may("weekdays", weekdays())]),
        (
            "product/1",
            vec![
                must("key", key()),
                must("name", words()),
                may("form", one_of(&["granule", "liquid"])),
                may("n_pct", figure()),
                may("p2o5_pct", figure()),
                may("k2o_pct", figure()),
                may("slow_n_pct", figure()),
                may("actives", vec(strength(), 0..3)),
                may("label", label()),
                may("pack_kg", figure()),
                may(
                    "targets",
                    vec(object(vec![must("target", words()), must("low", figure()), must("high", figure())]), 0..3),
                ),
                may("packs", vec(object(vec![must("size_kg", figure()), may("price", figure())]), 0..3)),
                may("lot", words()),
                may("opened_on", day()),
            ],
        ),
        (
            "soil-test/1",
            vec![
                must("areas", keys()),
                may("laboratory", words()),
                must(
                    "method",
                    one_of(&["mehlich-3", "bray-1", "olsen", "ammonium-acetate", "morgan", "modified-morgan"]),
                ),
                may("unit", one_of(&["ppm", "mg-dm3", "lb-acre", "kg-ha", "index"])),
                may("as_oxides", any::<bool>()),
                may("depth_mm", figure()),
                may("ph", figure()),
                may("acidity_meq", figure()),
                may("sikora_ph", figure()),
                may("p", figure()),
                may("k", figure()),
                may("ca", figure()),
                may("mg", figure()),
            ],
        ),
        ("counted/1", vec![must("product", key()), must("left_kg", figure())]),
        (
            "spreader/1",
            vec![
                must("spreader", words()),
                must("product", key()),
                must(
                    "trials",
                    vec(
                        object(vec![
                            must("setting", figure()),
                            must("collected_kg", figure()),
                            must("swath_m", figure()),
                            must("length_m", figure()),
                        ]),
                        0..3,
                    ),
                ),
            ],
        ),
        (
            "sprayer/1",
            vec![must("sprayer", words()), must("tank_l", figure()), must("used_l", figure()), must("on_m2", figure())],
        ),
        (
            "local-rules/1",
            vec![
                may("phosphate", one_of(&["free", "test-or-seed"])),
                may("no_feed_from", vec(1..=12i8, 2)),
                may("no_feed_until", vec(1..=12i8, 2)),
                may("nitrogen_once_g_m2", figure()),
                may("nitrogen_year_g_m2", figure()),
                may("source", words()),
            ],
        ),
        ("applied/1", applied()),
        ("seeded/1", seeded()),
        ("mowed/1", vec![must("areas", keys()), must("height_mm", figure()), may("bagged", any::<bool>())]),
        (
            "watered/1",
            vec![may("zone", key()), may("area", key()), may("minutes", figure()), may("depth_mm", figure())],
        ),
        ("rain/1", vec![must("depth_mm", figure())]),
        ("soil-water/1", vec![must("area", key()), must("depleted", figure())]),
        (
            "to-mend/1",
            vec![
                may("zone", key()),
                must("at", words()),
                may("trouble", one_of(&["tilted", "clogged", "broken", "manifold-leak", "other"])),
                may("by", one_of(&["2026-04-30", "2027-01-01"])),
                may("remark", words()),
            ],
        ),
        (
            "backflow-tested/1",
            vec![
                may("assembly", one_of(&["pressure-vacuum-breaker", "double-check", "reduced-pressure", "other"])),
                may("failed", any::<bool>()),
                may("tester", words()),
                must("months", 1..=120u32),
            ],
        ),
        (
            "mole-run/1",
            vec![
                must("area", key()),
                must("run", words()),
                may(
                    "state",
                    one_of(&[
                        "found",
                        "flattened",
                        "raised",
                        "stayed-flat",
                        "trap-set",
                        "trap-empty",
                        "caught",
                        "trap-taken",
                    ]),
                ),
            ],
        ),
        (
            "scouted/1",
            vec![
                must("area", key()),
                must("seen", words()),
                may("share_pct", figure()),
                may("settled", any::<bool>()),
                may("findings", vec(object(vec![must("finding", key()), must("outcome", key())]), 0..4)),
                may("count_per_m2", figure()),
                may("pest", key()),
                may("cause", key()),
                may("probability", figure()),
                may("at", [figure(), figure()]),
                may("picture", words()),
                may("green_pct", figure()),
                may("seedlings", one_of(&["none-yet", "first-up", "most-up", "rooted"])),
            ],
        ),
        (
            "planted/1",
            vec![
                must("area", key()),
                must("plant", key()),
                may("kind_of", words()),
                must("count", 0..5_000u32),
                may("calliper_mm", figure()),
                may("container_l", figure()),
                may("height_m", figure()),
                may("spacing_m", figure()),
                may("emitters", 0..50u32),
                may("emitter_l_h", figure()),
                may("at", [figure(), figure()]),
                may("remark", words()),
            ],
        ),
        ("repaired/1", vec![may("zone", key()), may("area", key()), must("done", words()), may("cost", figure())]),
        (
            "bought/1",
            vec![
                must("what", words()),
                may("product", key()),
                may("amount", words()),
                may("amount_kg", figure()),
                may("cost", figure()),
            ],
        ),
        (
            "meter-read/1",
            vec![
                may("meter", one_of(&["house", "yard"])),
                must("reading_m3", figure()),
                may("unit", one_of(&["m3", "l", "gal", "kgal", "ccf"])),
                may("renewed", any::<bool>()),
            ],
        ),
        (
            "tariff/1",
            vec![
                may("meter", one_of(&["house", "yard"])),
                may("period", one_of(&["month", "two-months", "quarter", "half-year", "year"])),
                may("base", figure()),
                may("unit", one_of(&["m3", "l", "gal", "kgal", "ccf"])),
                must("steps", vec(object(vec![may("up_to_m3", figure()), must("price_per_m3", figure())]), 0..3)),
                may("sewer_per_m3", figure()),
                may("sewer_free_m3", figure()),
                may("sewer_most_m3", figure()),
                may("source", words()),
            ],
        ),
        (
            "supply/1",
            vec![
                must("static_kpa", figure()),
                may("flow_lpm", figure()),
                may("working_kpa", figure()),
                may("meter", words()),
                may("service", laid_pipe()),
                may("backflow", key()),
                may("main", laid_pipe()),
                may("lateral", laid_pipe()),
                may("valve", words()),
                may("rise_m", figure()),
                may("remark", words()),
            ],
        ),
        (
            "audited/1",
            vec![
                must("zone", key()),
                must("minutes", figure()),
                may("caught_mm", vec(figure(), 0..4)),
                may("opening_cm2", figure()),
                may("at", vec(pair(), 0..4)),
                may("wind_ms", figure()),
                may("pressure_kpa", figure()),
                may("meter_before_l", figure()),
                may("meter_after_l", figure()),
                may("bucket_l", figure()),
                may("bucket_s", figure()),
                may("bucket_heads", figure()),
                may("remark", words()),
            ],
        ),
        ("note/1", vec![may("area", key()), must("text", words())]),
        ("planned/1", planned("apply", applied())),
        ("planned/1", planned("sow", seeded())),
        ("withdrawn/1", vec![may("why", words())]),
    ]
}

fn body() -> impl Strategy<Value = Value> {
    let bodies = kinds().into_iter().map(|(kind, mut members)| {
        members.push(must("kind", Just(kind)));
        object(members)
    });
    prop::strategy::Union::new(bodies)
}

/// The generator knows every kind the yard knows: a kind that was added must be added above. The yard's own list is in the
/// message with which it refuses an unknown kind.
#[test]
fn every_kind_is_generated() {
    let refusal = serde_json::from_value::<yard::Body>(json!({ "kind": "?" })).unwrap_err();
    let refusal = refusal.to_string();
    let known: Vec<&str> = refusal.split('`').filter(|word| word.contains('/')).collect();
    assert!(known.len() > 10, "{refusal}");
    let generated: Vec<&str> = kinds().into_iter().map(|(kind, _)| kind).collect();
    for kind in known {
        assert!(generated.contains(&kind), "no generator for {kind}");
    }
}
