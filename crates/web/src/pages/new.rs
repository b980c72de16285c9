//! Making a yard: name, place, units, the first lawn, and a first zone if there is one.

use almanac::Almanac;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use maud::{Markup, html};
use yard::form::{self, FormSpec, Typed};
use yard::{Body, Entry, Fault, Units, Yard};

use crate::error::PageError;
use crate::extract::Posted;
use crate::fields::{self, Filled};
use crate::layout::{bare, sentence, token_of};
use crate::once;
use crate::record::{RecordError, new_entry};
use crate::server::off_thread;
use crate::state::Site;
use crate::typed::typed_of;
use crate::view::Pairs;

const YARD: &str = "yard-";
const AREA: &str = "area-";
const ZONE: &str = "zone-";

/// One of the three forms of the page.
struct Part {
    prefix: &'static str,
    kind: &'static str,
    heading: &'static str,
    /// The fields shown.
    names: &'static [&'static str],
}

const PARTS: [Part; 3] = [
    Part {
        prefix: YARD,
        kind: "yard",
        heading: "The place",
        names: &["name", "units", "latitude", "longitude", "elevation", "time_zone"],
    },
    Part { prefix: AREA, kind: "area", heading: "The first lawn", names: &["name", "size", "grass", "soil", "slope"] },
    Part { prefix: ZONE, kind: "zone", heading: "Its sprinklers", names: &["name", "sprinkler", "rate"] },
];

fn spec_of(kind: &str) -> Result<&'static FormSpec, PageError> {
    form::form(kind).ok_or_else(PageError::broken)
}

fn defaults() -> Pairs {
    // A machine that keeps universal time tells nothing of where the yard is.
    let zone = TimeZone::system().iana_name().filter(|z| !z.contains("UTC")).unwrap_or_default().to_owned();
    [
        ("yard-name", "Home"),
        ("yard-units", "us-customary"),
        ("yard-time_zone", &zone),
        ("area-name", "Lawn"),
        ("area-soil", "loam"),
    ]
    .into_iter()
    .map(|(n, v)| (n.to_owned(), v.to_owned()))
    .collect()
}

fn part(pairs: &Pairs, faults: &PartFaults, part: &Part, help: &str) -> Result<Markup, PageError> {
    let spec = spec_of(part.kind)?;
    let (yard, typed) = (Yard::default(), typed_of(spec, part.prefix, pairs));
    let faults = faults_of(faults, part);
    let filled = Filled { yard: &yard, units: None, typed: &typed, faults, prefix: part.prefix };
    let id = format!("part-{}", part.kind);
    Ok(html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (part.heading) }
            p.help { (help) }
            (fields::opening(spec))
            @for f in part.names.iter().filter_map(|n| spec.fields.iter().find(|f| f.name == *n)) { (fields::field(&filled, spec, f)) }
            @for f in faults.iter().filter(|f| !part.names.contains(&f.field.as_str())) { p.fault { (filled.say(spec, f)) } }
        }
    })
}

/// Faults of the parts, by prefix.
type PartFaults = [(&'static str, Vec<Fault>)];

fn faults_of<'f>(faults: &'f PartFaults, part: &Part) -> &'f [Fault] {
    faults.iter().find(|(p, _)| *p == part.prefix).map_or(&[][..], |(_, f)| f)
}

/// All faults at the head of the page, under the heading of their part: each part has a field “Name”.
fn summary(faults: &PartFaults) -> Result<Markup, PageError> {
    let (yard, typed) = (Yard::default(), Typed::new());
    Ok(html! {
        div.faults role="alert" {
            p { strong { "Nothing was saved." } " What you typed is still here." }
            @for part in PARTS.iter().filter(|p| !faults_of(faults, p).is_empty()) {
                @let spec = spec_of(part.kind)?;
                @let filled = Filled { yard: &yard, units: None, typed: &typed, faults: faults_of(faults, part), prefix: part.prefix };
                p { (part.heading) }
                ul { @for f in filled.faults { li { a href=(format!("#{}", filled.id_of(f))) { (filled.say(spec, f)) } } } }
            }
        }
    })
}

/// A refusal no field is at fault for.
fn refusal(message: &str) -> Markup {
    html! { div.faults role="alert" { p { strong { "Nothing was saved. " } (sentence(message)) "." } } }
}

fn page(site: &Site, pairs: &Pairs, faults: &PartFaults, told: Markup) -> Result<Markup, PageError> {
    let helps = [
        "In a map on your phone, press long on the yard: the two numbers are latitude and longitude, like 40.47, −101.68; both may be \
         pasted into the first field. West of Greenwich and south of the equator they are negative. The height above sea need not be \
         exact.",
        "Pace it out: length times width. A plain number is taken in the units chosen above; a unit may be written behind it.",
        "Leave this empty if there are none. The zone is taken to water the whole of this lawn.",
    ];
    let main = html! {
        div.head {
            h1 { "A new yard" }
            p.lead { "Where it is, and the first piece of lawn. All of it can be changed and added to later." }
        }
        (told)
        @if faults.iter().any(|(_, f)| !f.is_empty()) { (summary(faults)?) }
        form.sheet method="post" action="/new" {
            (token_of(site.token()))
            (once::field())
            @for (p, help) in PARTS.iter().zip(helps) { (part(pairs, faults, p, help)?) }
            div.actions { button { "Make the yard" } }
        }
    };
    Ok(bare("A new yard", main))
}

pub(crate) async fn show(State(site): State<Site>) -> Result<Response, PageError> {
    off_thread(move || {
        if site.facts().yard.is_some() {
            return Ok(Redirect::to("/").into_response());
        }
        Ok(page(&site, &defaults(), &[], html! {})?.into_response())
    })
    .await
}

fn body(kind: &'static str, typed: &Typed, yard: &Yard, today: Date) -> Result<Entry, Vec<Fault>> {
    let almanac = Almanac::embedded();
    let entry = new_entry(form::body_from(kind, typed, yard, almanac)?, today, None);
    let faults = yard::check_entry(&entry, yard, almanac, today);
    if faults.is_empty() { Ok(entry) } else { Err(faults) }
}

/// Entries of the whole page, or the faults of each part.
fn entries(pairs: &Pairs, today: Date) -> Result<Vec<Entry>, Vec<(&'static str, Vec<Fault>)>> {
    let mut faults = Vec::new();
    let mut made = Vec::new();
    let mut yard = Yard::default();
    let typed = |kind: &str, prefix| form::form(kind).map(|spec| typed_of(spec, prefix, pairs)).unwrap_or_default();
    let told = typed("yard", YARD);
    match body("yard", &told, &yard, today) {
        Ok(entry) => {
            if let Body::Yard(facts) = &entry.body {
                yard.facts = Some(facts.clone());
            }
            made.push(entry);
        }
        Err(f) => {
            // The other parts are read in the units chosen, faults or none.
            if told.get("units").map(String::as_str) == Some("metric") {
                yard.facts = Some(yard::entry::YardFacts {
                    name: String::new(),
                    place: yard::Place { latitude_deg: 0.0, longitude_deg: 0.0, elevation_m: 0.0 },
                    units: Units::Metric,
                    time_zone: None,
                    currency: "$".to_owned(),
                });
            }
            faults.push((YARD, f));
        }
    }
    let mut told = typed("area", AREA);
    if form::key_of(told.get("name").map_or("", String::as_str)).is_empty() {
        told.insert("key".to_owned(), "area-1".to_owned());
    }
    match body("area", &told, &yard, today) {
        Ok(entry) => {
            if let Body::Area(a) = &entry.body {
                yard.areas.push(a.clone());
            }
            made.push(entry);
        }
        Err(f) => faults.push((AREA, f)),
    }
    let mut told = typed("zone", ZONE);
    if !told.is_empty() {
        told.entry("name".to_owned()).or_insert_with(|| "Zone 1".to_owned());
        if form::key_of(&told["name"]).is_empty() {
            told.insert("key".to_owned(), "zone-1".to_owned());
        }
        match yard.areas.first().map(|a| a.key.clone()) {
            Some(key) => {
                told.insert("areas".to_owned(), key);
                match body("zone", &told, &yard, today) {
                    Ok(entry) => made.push(entry),
                    Err(f) => faults.push((ZONE, f)),
                }
            }
            // Without its lawn the zone cannot be judged but for what can be read of it.
            None => {
                told.insert("areas".to_owned(), "lawn".to_owned());
                if let Err(f) = form::body_from("zone", &told, &yard, Almanac::embedded()) {
                    faults.push((ZONE, f));
                }
            }
        }
    }
    if faults.is_empty() { Ok(made) } else { Err(faults) }
}

pub(crate) async fn make(State(site): State<Site>, posted: Posted) -> Result<Response, PageError> {
    off_thread(move || {
        let mut once = site.once();
        if posted.trusted
            && let Some(first) = once.before(&posted.pairs).page()
        {
            return Ok(Redirect::to(&first).into_response());
        }
        if site.facts().yard.is_some() {
            let message = "There is a yard already; change it in the settings".to_owned();
            return Err(PageError::Told(StatusCode::CONFLICT, "Nothing was saved", message));
        }
        if !posted.trusted {
            let told = refusal(
                "this form was opened before Toft was started anew, or comes from elsewhere; look it over and send it again",
            );
            return Ok((StatusCode::FORBIDDEN, page(&site, &posted.pairs, &[], told)?).into_response());
        }
        let made = match entries(&posted.pairs, site.today()) {
            Ok(made) => made,
            Err(faults) => {
                let again = page(&site, &posted.pairs, &faults, html! {})?;
                return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
            }
        };
        let stored = site.store(|facts, _| {
            // Two forms sent at once make one yard.
            if facts.yard.is_some() {
                Err(vec![Fault { field: String::new(), message: "there is a yard already".to_owned() }])
            } else {
                Ok(made)
            }
        });
        match stored {
            Ok(_) => {
                once.used(&posted.pairs, "/");
                Ok(Redirect::to("/").into_response())
            }
            Err(other @ RecordError::Faults(_)) => {
                let told = refusal(&other.to_string());
                Ok((StatusCode::CONFLICT, page(&site, &posted.pairs, &[], told)?).into_response())
            }
            Err(other) => Err(other.into()),
        }
    })
    .await
}
