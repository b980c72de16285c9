//! From what was typed to an entry's body.

use almanac::{Almanac, CareLevel};

use super::reader::{Reader, key_of};
use super::{FORMS, THINGS, Typed, audited, form, planted, run, scouted, supply, upkeep, water_supply};
use crate::check_entry::Fault;
use crate::entry::{
    Applied, AreaFacts, Body, Bought, Counted, Cover, Form, LabelLimits, LocalRules, Mowed, Note, Parity,
    PhosphateRule, Planned, ProductFacts, Programme, RainGauge, Repaired, Seeded, SoilTested, SoilWaterSeen, Sowing,
    SprayerTried, SpreaderTried, Sprinklers, SystemState, TestUnit, WaterRules, Watered, Work, YardFacts, ZoneFacts,
};
use crate::fold::Yard;
use crate::map::{Buried, HeadFacts, Mapped, Origin, OutlineFacts, PipeRole, Thing};
use crate::units::{Quantity, Units};
use crate::weather_day::Place;

/// Makes an entry's body from what was typed.
///
/// # Errors
/// Every field that cannot be read; the ranges are checked later by [`crate::check_entry()`].
pub fn body_from(kind: &str, typed: &Typed, yard: &Yard, almanac: &Almanac) -> Result<Body, Vec<Fault>> {
    let Some(spec) = form(kind) else {
        let known: Vec<&str> = FORMS.iter().map(|f| f.kind).collect();
        return Err(vec![Fault {
            field: "kind".to_owned(),
            message: format!("no kind of entry “{kind}”; there are: {}", known.join(", ")),
        }]);
    };
    // A yard not yet made is read in the units its own form names.
    let units = match (kind, typed.get("units").map(String::as_str)) {
        ("yard", Some("metric")) => Units::Metric,
        ("yard", _) => Units::UsCustomary,
        _ => yard.units(),
    };
    let mut r = Reader { typed, units, faults: Vec::new() };
    for name in typed.keys() {
        if name != "key" && !spec.fields.iter().any(|f| f.name == name) {
            let known: Vec<&str> = spec.fields.iter().map(|f| f.name).collect();
            r.fault(name, format!("“{}” has no field “{name}”; its fields are: {}", spec.kind, known.join(", ")));
        }
    }
    for f in spec.fields.iter().filter(|f| f.required) {
        if r.raw(f.name).is_none() {
            let label = f.label.to_lowercase();
            let more = if label == f.name { String::new() } else { format!(" ({label})") };
            r.fault(f.name, format!("{} is missing{more}", f.name));
        }
    }
    let body = read_body(kind, &mut r, yard, almanac);
    if r.faults.is_empty() { Ok(body) } else { Err(r.faults) }
}

fn key_for(r: &Reader<'_>, kind: &str, taken: usize) -> String {
    // A name without Latin letters has no key of its own: the kind and the next number stand in.
    let made = || match key_of(&r.words("name")) {
        key if key.is_empty() => format!("{kind}-{}", taken + 1),
        key => key,
    };
    r.words_maybe("key").unwrap_or_else(made)
}

fn read_applied(r: &mut Reader<'_>, yard: &Yard) -> Applied {
    let product = r.words("product");
    let quantity = yard.product(&product).map_or(Quantity::Dose, ProductFacts::dose_quantity);
    Applied {
        areas: r.list("areas"),
        product,
        rate_g_m2: r.measure("rate", quantity),
        spot_m2: r.measure_maybe("spot", Quantity::Area),
        wind_ms: r.measure_maybe("wind", Quantity::Speed),
        air_c: r.measure_maybe("air", Quantity::Temperature),
        rain_in_hours: r.number_maybe("rain_in_hours"),
        watered_in_mm: r.measure_maybe("watered_in", Quantity::Depth),
        flowers_open: r.tick("flowers_open"),
        remark: r.words("remark"),
    }
}

fn read_seeded(r: &mut Reader<'_>) -> Seeded {
    Seeded {
        area: r.words("area"),
        grass: r.words("grass"),
        rate_g_m2: r.measure("rate", Quantity::Dose),
        spot_m2: r.measure_maybe("spot", Quantity::Area),
        sowing: r.choice::<Sowing>("sowing"),
        remark: r.words("remark"),
    }
}

fn read_thing(r: &mut Reader<'_>) -> Thing {
    let height = |r: &mut Reader<'_>| r.measure("height", Quantity::Length);
    match r.raw("is").unwrap_or_default() {
        "building" => Thing::Building { height_m: height(r) },
        "tree" => Thing::Tree {
            height_m: height(r),
            crown_m: r.measure("crown", Quantity::Length),
            base_m: r.measure_maybe("base", Quantity::Length).unwrap_or(0.0),
            evergreen: r.tick("evergreen"),
        },
        "water-edge" => Thing::WaterEdge,
        "well" => Thing::Well,
        "buried-line" => Thing::BuriedLine { of: r.choice::<Buried>("of") },
        "head" => Thing::Head(HeadFacts {
            zone: r.words_maybe("zone"),
            nozzle: r.words("nozzle"),
            radius_m: r.measure("radius", Quantity::Length),
            arc_from_deg: r.number_maybe("arc_from").unwrap_or(0.0),
            arc_deg: r.number_maybe("arc").unwrap_or(360.0),
            flow_lpm: r.measure("flow", Quantity::Flow),
            lean_deg: r.number_maybe("lean").unwrap_or(0.0),
            lean_to_deg: r.number_maybe("lean_to").unwrap_or(0.0),
        }),
        "valve" => Thing::Valve { zone: r.words_maybe("zone") },
        "controller" => Thing::Controller,
        "pipe" => Thing::Pipe {
            role: r.choice::<PipeRole>("role"),
            zone: r.words_maybe("zone"),
            bore_mm: r.measure_maybe("bore", Quantity::Depth),
        },
        "level" => Thing::Level { height_m: height(r) },
        "play" => Thing::Play,
        "pets" => Thing::Pets,
        other => {
            let message = format!("“{other}” is not one of: {}", THINGS.join(", "));
            r.fault("is", message);
            Thing::Well
        }
    }
}

fn read_body(kind: &str, r: &mut Reader<'_>, yard: &Yard, almanac: &Almanac) -> Body {
    match kind {
        "mowed" => Body::Mowed(Mowed {
            areas: r.list("areas"),
            height_mm: r.measure("height", Quantity::Depth),
            bagged: r.tick("bagged"),
        }),
        "watered" => Body::Watered(Watered {
            zone: r.words_maybe("zone"),
            area: r.words_maybe("area"),
            minutes: r.number_maybe("minutes"),
            depth_mm: r.measure_maybe("depth", Quantity::Depth),
        }),
        "rain" => Body::Rain(RainGauge { depth_mm: r.measure("depth", Quantity::Depth) }),
        "applied" => Body::Applied(read_applied(r, yard)),
        "seeded" => Body::Seeded(read_seeded(r)),
        "plan-apply" => Body::Planned(Planned { work: Work::Apply(read_applied(r, yard)) }),
        "plan-sow" => Body::Planned(Planned { work: Work::Sow(read_seeded(r)) }),
        "scouted" => Body::Scouted(scouted::read(r)),
        "planted" => Body::Planted(planted::read(r)),
        "mole-run" => Body::MoleRun(run::read(r)),
        "soil-water" => {
            Body::SoilWater(SoilWaterSeen { area: r.words("area"), depleted: r.number("depleted") / 100.0 })
        }
        "repaired" => Body::Repaired(Repaired {
            zone: r.words_maybe("zone"),
            area: r.words_maybe("area"),
            done: r.words("done"),
            cost: r.number_maybe("cost"),
        }),
        "to-mend" => Body::ToMend(upkeep::read_to_mend(r)),
        "backflow-tested" => Body::BackflowTested(upkeep::read_backflow(r)),
        "bought" => Body::Bought(Bought {
            what: r.words("what"),
            product: r.words_maybe("product"),
            amount: r.words("amount"),
            amount_kg: {
                let product = yard.product(&r.words("product"));
                r.measure_maybe("amount_in", product.map_or(Quantity::Mass, ProductFacts::amount_quantity))
            },
            cost: r.number_maybe("cost"),
        }),
        "soil-test" => Body::SoilTested(SoilTested {
            areas: r.list("areas"),
            laboratory: r.words("laboratory"),
            method: r.method("method"),
            unit: r.choice::<TestUnit>("unit"),
            as_oxides: r.tick("oxides"),
            depth_mm: r.measure_maybe("depth", Quantity::Depth),
            ph: r.number_maybe("ph"),
            acidity_meq: r.number_maybe("acidity"),
            sikora_ph: r.number_maybe("sikora"),
            p: r.number_maybe("p"),
            k: r.number_maybe("k"),
            ca: r.number_maybe("ca"),
            mg: r.number_maybe("mg"),
        }),
        "counted" => {
            let product = r.words("product");
            let quantity = yard.product(&product).map_or(Quantity::Mass, ProductFacts::amount_quantity);
            Body::Counted(Counted { product, left_kg: r.measure("left", quantity) })
        }
        "spreader" => Body::Spreader(SpreaderTried {
            spreader: r.words("spreader"),
            product: r.words("product"),
            trials: r.trials("trials"),
        }),
        "meter-read" => Body::MeterRead(supply::read_meter(r)),
        "tariff" => Body::Tariff(supply::read_tariff(r)),
        "sprayer" => Body::Sprayer(SprayerTried {
            sprayer: r.words("sprayer"),
            tank_l: r.measure("tank", Quantity::Volume),
            used_l: r.measure("used", Quantity::Volume),
            on_m2: r.measure("ground", Quantity::Area),
        }),
        "local-rules" => Body::LocalRules(LocalRules {
            phosphate: r.choice::<PhosphateRule>("phosphate"),
            no_feed_from: r.month_day("no_feed_from"),
            no_feed_until: r.month_day("no_feed_until"),
            nitrogen_once_g_m2: r.measure_maybe("nitrogen_once", Quantity::Dose),
            nitrogen_year_g_m2: r.measure_maybe("nitrogen_year", Quantity::Dose),
            source: r.words("source"),
        }),
        "sprinklers" => {
            Body::Sprinklers(Sprinklers { state: r.choice::<SystemState>("state"), remark: r.words("remark") })
        }
        "product" => {
            let form = r.choice::<Form>("form");
            let (dose, pack) = match form {
                Form::Granule => (Quantity::Dose, Quantity::Mass),
                Form::Liquid => (Quantity::DoseLiquid, Quantity::VolumeProduct),
            };
            Body::Product(Box::new(ProductFacts {
                key: key_for(r, "product", yard.products_ever.len()),
                name: r.words("name"),
                form,
                n_pct: r.number_maybe("n").unwrap_or(0.0),
                p2o5_pct: r.number_maybe("p2o5").unwrap_or(0.0),
                k2o_pct: r.number_maybe("k2o").unwrap_or(0.0),
                slow_n_pct: r.number_maybe("slow").unwrap_or(0.0),
                actives: r.actives("actives"),
                label: LabelLimits {
                    rate_max_g_m2: r.measure_maybe("label_rate_max", dose),
                    seed_wait_days: r.number_maybe("label_seed_wait"),
                    interval_days: r.number_maybe("label_interval"),
                    active_yearly_max_g_m2: r.measure_maybe("label_active_year", Quantity::Dose),
                    rain_free_hours: r.number_maybe("label_rain_free"),
                    water_in_mm: r.measure_maybe("label_water_in", Quantity::Depth),
                    water_in_within_days: r.number_maybe("label_water_within"),
                    applications_a_year: r.number_maybe("label_times_year"),
                    year_is_rolling: r.one_of("label_year", &["calendar", "rolling"]) == Some("rolling"),
                    seedling_mowings: r.number_maybe("label_seedling_mowings"),
                    seedling_days: r.number_maybe("label_seedling_days"),
                    temperature_min_c: r.measure_maybe("label_cold", Quantity::Temperature),
                    temperature_max_c: r.measure_maybe("label_heat", Quantity::Temperature),
                    wind_max_ms: r.measure_maybe("label_wind", Quantity::Speed),
                    reentry_hours: r.number_maybe("label_reentry"),
                    water_buffer_m: r.measure_maybe("label_buffer", Quantity::Length),
                    sites: r.sites("label_sites"),
                    grasses: r.grasses("label_grasses", almanac),
                    grasses_not: r.grasses("label_grasses_not", almanac),
                    hazards: r.words("label_hazards"),
                },
                pack_kg: r.measure_maybe("pack", pack),
                targets: r.targets("targets", dose),
                packs: r.packs("packs", pack),
                lot: r.words("lot"),
                opened_on: r.date_maybe("opened"),
            }))
        }
        "programme" => Body::Programme(Programme {
            zone: r.words("zone"),
            minutes: r.number("minutes"),
            weekdays: r.weekdays("weekdays"),
        }),
        "area" => Body::Area(AreaFacts {
            key: key_for(r, "area", yard.areas_ever.len()),
            name: r.words("name"),
            size_m2: r.measure("size", Quantity::Area),
            cover: r.choice::<Cover>("cover"),
            grass: r.words_maybe("grass"),
            soil: r.words("soil"),
            slope_pct: r.number_maybe("slope").unwrap_or(0.0),
            care: r.choice::<CareLevel>("care"),
            root_m: r.measure_maybe("root", Quantity::Depth).map(|mm| mm / 1000.0),
            mow_mm: r.measure_maybe("mow", Quantity::Depth),
            sun_h: r.number_maybe("sun"),
            sod_on: r.date_maybe("sod"),
            made_on: r.date_maybe("made"),
            salted: r.tick("salted"),
            snow_days: r.number_maybe("snow"),
            mulch_mm: r.measure_maybe("mulch", Quantity::Depth),
            plants: r.words("plants"),
            height_m: r.measure_maybe("height", Quantity::Length),
            retired: r.tick("retired"),
        }),
        "outline" => Body::Outline(OutlineFacts {
            area: r.words("area"),
            pieces: match r.raw("corners").map(str::to_lowercase).as_deref() {
                Some("none") => Vec::new(),
                Some(_) => r.pieces("corners", "holes"),
                None => {
                    let message = "corners is missing; write the corners, or none where the area is no longer drawn";
                    r.fault("corners", message.to_owned());
                    Vec::new()
                }
            },
            measured: r.words("measured"),
        }),
        "mapped" => Body::Mapped(Mapped {
            key: key_for(r, "thing", yard.things.len()),
            name: r.words("name"),
            thing: read_thing(r),
            at: r.corners("at"),
            removed: r.tick("removed"),
        }),
        "origin" => Body::Origin(Origin { latitude_deg: r.number("latitude"), longitude_deg: r.number("longitude") }),
        "zone" => Body::Zone(ZoneFacts {
            key: key_for(r, "zone", yard.zones_ever.len()),
            name: r.words("name"),
            areas: r.list("areas"),
            sprinkler: r.words("sprinkler"),
            rate_mm_h: r.measure_maybe("rate", Quantity::Rate),
            flow_lpm: r.measure_maybe("flow", Quantity::Flow),
            du_lq: r.number_maybe("du"),
            retired: r.tick("retired"),
        }),
        "audited" => Body::Audited(audited::read(r)),
        "supply" => Body::Supply(water_supply::read(r)),
        "controller" => Body::Controller(supply::read_controller(r)),
        "water-rules" => Body::WaterRules(WaterRules {
            from: r.clock("from"),
            until: r.clock("until"),
            weekdays: r.weekdays("weekdays"),
            parity: r.choice::<Parity>("parity"),
            seed_exempt: r.tick("seed_exempt"),
        }),
        "yard" => Body::Yard(YardFacts {
            name: r.words("name"),
            place: Place {
                latitude_deg: r.number("latitude"),
                longitude_deg: r.number("longitude"),
                elevation_m: r.measure("elevation", Quantity::Length),
            },
            units: r.choice::<Units>("units"),
            time_zone: r.words_maybe("time_zone"),
            currency: r
                .words_maybe("currency")
                .unwrap_or_else(|| yard.facts.as_ref().map_or_else(|| "$".to_owned(), |f| f.currency.clone())),
        }),
        _ => Body::Note(Note { area: r.words_maybe("area"), text: r.words("text") }),
    }
}
