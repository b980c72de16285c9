//! Entries: what is refused, what supersedes, and that writing them out and reading them in changes nothing.

use almanac::Almanac;
use jiff::civil::date;
use proptest::prelude::*;
use yard::form::{FORMS, Typed, body_from, typed_from};
use yard::{Entry, Stamp, fold, in_force, prepare};

use crate::common::{DAYBOOK, entries};

fn stamp(id: &str) -> Stamp {
    Stamp { id: id.to_owned(), recorded_at: "2018-05-03T12:00:00Z".parse().unwrap(), today: date(2018, 5, 3) }
}

fn typed(pairs: &[(&str, &str)]) -> Typed {
    pairs.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()
}

/// Kind, fields, the field at fault, words of the message.
type Case = (&'static str, &'static [(&'static str, &'static str)], &'static str, &'static str);

/// Every bad figure or name gets a message that names the field; nothing comes out to be stored.
#[test]
fn bad_entries_are_refused_with_reasons() {
    let all = entries(DAYBOOK);
    let cases: &[Case] = &[
        ("mowed", &[("areas", "front-lown"), ("height", "3")], "areas", "no area “front-lown”"),
        ("mowed", &[("areas", "front-lawn"), ("height", "-3")], "height", "must be between"),
        ("mowed", &[("areas", "front-lawn"), ("height", "three")], "height", "not a number"),
        ("mowed", &[("areas", "front-lawn"), ("height", "3 furlongs")], "height", "unit"),
        ("mowed", &[("areas", "front-lawn")], "height", "missing"),
        ("mowed", &[("areas", "front-lawn"), ("height", "3"), ("hight", "3")], "hight", "no field"),
        ("rain", &[("depth", "NaN")], "depth", "not a number"),
        ("rain", &[("depth", "400")], "depth", "must be between"),
        ("area", &[("name", "X"), ("size", "-20"), ("soil", "loam"), ("grass", "kbg")], "size", "must be between"),
        ("area", &[("name", "X"), ("size", "20"), ("soil", "mud"), ("grass", "kbg")], "soil", "no soil texture"),
        ("area", &[("name", "X"), ("size", "20"), ("soil", "loam"), ("grass", "plastic")], "grass", "no grass"),
        ("area", &[("name", "X"), ("size", "20"), ("soil", "loam")], "grass", "needs its grass"),
        ("product", &[("name", "x"), ("actives", "prodiamine")], "actives", "strength"),
        ("product", &[("name", "x"), ("actives", "unobtainium 3")], "actives", "no active ingredient"),
        ("applied", &[("areas", "front-lawn"), ("product", "magic"), ("rate", "3")], "product", "no product"),
        ("watered", &[("zone", "zone-1-front"), ("depth", "1")], "zone", "either a zone"),
        (
            "programme",
            &[("zone", "zone-1-front"), ("minutes", "20"), ("weekdays", "someday")],
            "weekdays",
            "not a weekday",
        ),
        ("water-rules", &[("from", "26:00"), ("until", "8:00")], "from", "not a clock time"),
        ("water-rules", &[("from", "5:00"), ("until", "4:00")], "until", "wrong way round"),
        ("mowed", &[("areas", "front-lawn,front-lawn"), ("height", "3")], "areas", "told twice"),
        ("soil-water", &[("area", "front-lawn"), ("depleted", "150")], "depleted", "150"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("findings", "tug")], "findings", "finding=answer"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("findings", "tug=hard")], "findings", "one of: firm"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("findings", "tug=firm tug=rolls")], "findings", "twice"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("cause", "bad-luck")], "cause", "no cause"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("count", "8/acre")], "count", "is not a count"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("count", "-8")], "count", "must be between"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("pest", "webworm")], "count", "not how many"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("picture", "../etc")], "picture", "not one the ledger"),
        ("scouted", &[("area", "front-lawn"), ("seen", "x"), ("at", "1 2; 3 4")], "at", "one place only"),
        (
            "yard",
            &[("name", "x"), ("latitude", "140"), ("longitude", "0"), ("elevation", "0"), ("units", "metric")],
            "latitude",
            "must be between",
        ),
    ];
    for (kind, fields, field, words) in cases {
        let faults =
            prepare(&all, Almanac::embedded(), kind, &typed(fields), date(2018, 5, 3), None, &stamp("x")).unwrap_err();
        let fault = faults.iter().find(|f| &f.field == field);
        assert!(fault.is_some_and(|f| f.message.contains(words)), "{kind} {fields:?}: {faults:?}");
    }
    let old = prepare(&all, Almanac::embedded(), "rain", &typed(&[("depth", "1")]), date(26, 5, 3), None, &stamp("x"))
        .unwrap_err();
    assert!(old[0].message.contains("year 26"), "{old:?}");
    let ahead =
        prepare(&all, Almanac::embedded(), "rain", &typed(&[("depth", "1")]), date(2018, 5, 4), None, &stamp("x"))
            .unwrap_err();
    assert!(ahead[0].message.contains("after today"), "{ahead:?}");
}

/// A correction takes the first entry's place and a withdrawal takes it out; both stay readable, and neither can be done twice.
#[test]
fn corrections_supersede() {
    let mut all = entries(DAYBOOK);
    let old = all.iter().rev().find(|e| e.body.kind() == "mowed").unwrap().clone();
    let count = in_force(&all).len();
    let fixed = prepare(
        &all,
        Almanac::embedded(),
        "mowed",
        &typed(&[("areas", "front-lawn"), ("height", "2.75")]),
        old.happened_on,
        Some(old.id.clone()),
        &stamp("fix"),
    )
    .unwrap();
    all.push(fixed);
    assert_eq!(in_force(&all).len(), count);
    assert!(in_force(&all).iter().all(|e| e.id != old.id));
    let again = yard::prepare::withdraw(&all, &old.id, "", &stamp("w")).unwrap_err();
    assert!(again[0].message.contains("already corrected"), "{again:?}");
    let kind = prepare(
        &all,
        Almanac::embedded(),
        "rain",
        &typed(&[("depth", "1")]),
        date(2018, 5, 1),
        Some("fix".into()),
        &stamp("y"),
    )
    .unwrap_err();
    assert!(kind[0].message.contains("withdraw the one and log the other"), "{kind:?}");
    all.push(yard::prepare::withdraw(&all, "fix", "typed twice", &stamp("w")).unwrap());
    assert_eq!(in_force(&all).len(), count - 1);
    assert!(
        prepare(
            &all,
            Almanac::embedded(),
            "mowed",
            &typed(&[("areas", "front-lawn"), ("height", "3")]),
            date(2018, 5, 1),
            Some("nowhere".into()),
            &stamp("z")
        )
        .is_err()
    );
}

/// What a correction form starts from reads back as the same body, for every entry of two seasons.
#[test]
fn forms_round_trip() {
    let all = entries(DAYBOOK);
    let yard = fold(&all, date(2018, 5, 3));
    for entry in &all {
        let (kind, typed) = typed_from(&entry.body, &yard).unwrap();
        let back = body_from(kind, &typed, &yard, Almanac::embedded()).unwrap();
        let (a, b) = (serde_json::to_value(&entry.body).unwrap(), serde_json::to_value(&back).unwrap());
        assert!(near(&a, &b), "{a}\n{b}");
    }
}

/// Equal but for the rounding of a figure shown in the user's units.
fn near(a: &serde_json::Value, b: &serde_json::Value) -> bool {
    use serde_json::Value::{Array, Number, Object};
    match (a, b) {
        (Number(x), Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            (x - y).abs() <= 1e-4 * x.abs().max(1e-3)
        }
        (Array(x), Array(y)) => x.len() == y.len() && x.iter().zip(y).all(|(p, q)| near(p, q)),
        (Object(x), Object(y)) => x.len() == y.len() && x.iter().all(|(k, p)| y.get(k).is_some_and(|q| near(p, q))),
        _ => a == b,
    }
}

/// Clock times are read with am and pm, and a liquid's rate in fluid ounces (1.5 fl oz/1000 sq ft is 0.477 mL/m²: 29.5735 mL over
/// 92.903 m²).
#[test]
fn times_and_fluids_are_read() {
    let mut all = entries(DAYBOOK);
    let rules = prepare(
        &all,
        Almanac::embedded(),
        "water-rules",
        &typed(&[("from", "8:00 pm"), ("until", "6:00 am")]),
        date(2018, 5, 3),
        None,
        &stamp("r"),
    )
    .unwrap();
    let text = serde_json::to_string(&rules).unwrap();
    assert!(text.contains("20:00") && text.contains("06:00"), "{text}");
    let liquid = typed(&[("name", "three way"), ("form", "liquid"), ("actives", "2,4-d 26, mcpp 7, dicamba 3")]);
    all.push(prepare(&all, Almanac::embedded(), "product", &liquid, date(2018, 5, 3), None, &stamp("p")).unwrap());
    for rate in ["1.5", "1.5 fl oz/1000 sq ft"] {
        let put = typed(&[("areas", "front-lawn"), ("product", "three-way"), ("rate", rate)]);
        let entry = prepare(&all, Almanac::embedded(), "applied", &put, date(2018, 5, 3), None, &stamp("a")).unwrap();
        let yard::Body::Applied(a) = &entry.body else { panic!("{entry:?}") };
        assert!((a.rate_g_m2 - 0.4775).abs() < 0.0005, "{rate}: {}", a.rate_g_m2);
    }
}

/// The fold of entries equals the fold of their export, whatever order the lines came in.
#[test]
fn the_fold_survives_export() {
    let all = entries(DAYBOOK);
    let text: Vec<String> = all.iter().map(|e| serde_json::to_string(e).unwrap()).collect();
    let back: Vec<Entry> = text.iter().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(all, back);
    let again: Vec<String> = back.iter().map(|e| serde_json::to_string(e).unwrap()).collect();
    assert_eq!(text, again);
    let mut turned = back.clone();
    turned.reverse();
    for on in [date(2017, 8, 1), date(2018, 5, 3)] {
        let told = |list: &[Entry]| format!("{:?}", fold(list, on));
        assert_eq!(told(&all), told(&turned), "{on}");
    }
}

proptest! {
    /// No form panics on any words, and what it takes has no figure that is not a number.
    #[test]
    fn forms_never_panic(kind in 0..FORMS.len(), words in prop::collection::vec(".{0,24}", 14)) {
        let spec = &FORMS[kind];
        let typed: Typed = spec.fields.iter().zip(words).map(|(f, w)| (f.name.to_owned(), w)).collect();
        let all = entries(SMALLEST);
        if let Ok(entry) = prepare(&all, Almanac::embedded(), spec.kind, &typed, date(2018, 5, 3), None, &stamp("p")) {
            let text = serde_json::to_string(&entry).unwrap();
            prop_assert!(serde_json::from_str::<Entry>(&text).is_ok(), "{}", text);
        }
    }
}

const SMALLEST: &str = "2017-01-02 yard name=Small latitude=40.4 longitude=-101.72 elevation=1029 units=metric";

/// A guided look goes from the form into the daybook's line of JSON and back unchanged; a look of the time before guided
/// ones still reads, and is written as it was.
#[test]
fn a_guided_look_is_kept_whole() {
    let all = entries(DAYBOOK);
    let pairs = [
        ("area", "front-lawn"),
        ("seen", "lifts like a carpet"),
        ("share", "8"),
        ("findings", "tug=rolls dig=many"),
        ("count", "8/sq ft"),
        ("pest", "japanese-beetle"),
        ("cause", "white-grubs"),
        ("probability", "91"),
        ("at", "10 20"),
        ("picture", &"0a".repeat(32)),
        ("green", "42.5"),
    ];
    let on = date(2018, 5, 3);
    let entry = prepare(&all, Almanac::embedded(), "scouted", &typed(&pairs), on, None, &stamp("x")).unwrap();
    let json = serde_json::to_string(&entry).unwrap();
    assert_eq!(serde_json::from_str::<Entry>(&json).unwrap(), entry);
    for kept in [
        r#""findings":[{"finding":"tug","outcome":"rolls"},{"finding":"dig","outcome":"many"}]"#,
        r#""count_per_m2":86.1"#,
        r#""probability":0.91"#,
        r#""at":[3.048,6.096]"#,
    ] {
        assert!(json.contains(kept), "{kept} in {json}");
    }
    let yard = fold(&all, on);
    let (kind, back) = typed_from(&entry.body, &yard).unwrap();
    let again = body_from(kind, &back, &yard, Almanac::embedded()).unwrap();
    assert_eq!(again, entry.body);
    let old = r#"{"kind":"scouted/1","area":"front-lawn","seen":"thin","share_pct":8.0}"#;
    let body: yard::Body = serde_json::from_str(old).unwrap();
    assert_eq!(serde_json::to_string(&body).unwrap(), old);
}
