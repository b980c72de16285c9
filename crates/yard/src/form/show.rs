//! From an entry's body back to the words of its form: what a correction starts from.

use super::{Typed, audited, places, planted, run, scouted, supply, upkeep, water_supply};
use crate::entry::{Applied, Body, Pack, Seeded, SpreaderTrial, TargetRate, Work};
use crate::fold::Yard;
use crate::map::Thing;
use crate::units::Quantity;

/// The words a form would hold for an existing body, in the user's units: what a correction starts from.
pub fn typed_from(body: &Body, yard: &Yard) -> Option<(&'static str, Typed)> {
    let units = yard.units();
    let mut t = Typed::new();
    let mut put = |name: &str, value: String| {
        if !value.is_empty() {
            t.insert(name.to_owned(), value);
        }
    };
    let show = |q: Quantity, si: f64| {
        let text = format!("{:.6}", units.show(q, si));
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let num = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
    let measure = |q: Quantity, v: Option<f64>| v.map(|v| show(q, v)).unwrap_or_default();
    let tick = |b: bool| if b { "yes".to_owned() } else { String::new() };
    let word = |v: &dyn erased::Word| v.word();
    let days = |d: &[i8]| d.iter().map(i8::to_string).collect::<Vec<_>>().join(",");
    let applied = |put: &mut dyn FnMut(&str, String), a: &Applied| {
        put("areas", a.areas.join(","));
        put("product", a.product.clone());
        let quantity = yard.product(&a.product).map_or(Quantity::Dose, |p| p.dose_quantity());
        put("rate", show(quantity, a.rate_g_m2));
        put("spot", measure(Quantity::Area, a.spot_m2));
        put("wind", measure(Quantity::Speed, a.wind_ms));
        put("air", measure(Quantity::Temperature, a.air_c));
        put("rain_in_hours", num(a.rain_in_hours));
        put("watered_in", measure(Quantity::Depth, a.watered_in_mm));
        put("flowers_open", tick(a.flowers_open));
        put("remark", a.remark.clone());
    };
    let seeded = |put: &mut dyn FnMut(&str, String), s: &Seeded| {
        put("area", s.area.clone());
        put("grass", s.grass.clone());
        put("rate", show(Quantity::Dose, s.rate_g_m2));
        put("spot", measure(Quantity::Area, s.spot_m2));
        put("sowing", word(&s.sowing));
        put("remark", s.remark.clone());
    };
    let kind = match body {
        Body::Mowed(m) => {
            put("areas", m.areas.join(","));
            put("height", show(Quantity::Depth, m.height_mm));
            put("bagged", tick(m.bagged));
            "mowed"
        }
        Body::Watered(w) => {
            put("zone", w.zone.clone().unwrap_or_default());
            put("area", w.area.clone().unwrap_or_default());
            put("minutes", num(w.minutes));
            put("depth", measure(Quantity::Depth, w.depth_mm));
            "watered"
        }
        Body::Rain(x) => {
            put("depth", show(Quantity::Depth, x.depth_mm));
            "rain"
        }
        Body::Applied(a) => {
            applied(&mut put, a);
            "applied"
        }
        Body::Seeded(s) => {
            seeded(&mut put, s);
            "seeded"
        }
        Body::Planned(p) => match &p.work {
            Work::Apply(a) => {
                applied(&mut put, a);
                "plan-apply"
            }
            Work::Sow(s) => {
                seeded(&mut put, s);
                "plan-sow"
            }
        },
        Body::Planted(p) => {
            planted::show(&mut put, p, units);
            "planted"
        }
        Body::MoleRun(m) => {
            run::show(&mut put, m, units);
            "mole-run"
        }
        Body::Scouted(s) => {
            scouted::show(&mut put, s, units);
            "scouted"
        }
        Body::SoilWater(s) => {
            put("area", s.area.clone());
            put("depleted", (s.depleted * 100.0).to_string());
            "soil-water"
        }
        Body::Repaired(x) => {
            put("done", x.done.clone());
            put("zone", x.zone.clone().unwrap_or_default());
            put("area", x.area.clone().unwrap_or_default());
            put("cost", num(x.cost));
            "repaired"
        }
        Body::ToMend(m) => {
            upkeep::show_to_mend(&mut put, m);
            "to-mend"
        }
        Body::BackflowTested(b) => {
            upkeep::show_backflow(&mut put, b);
            "backflow-tested"
        }
        Body::Bought(b) => {
            put("what", b.what.clone());
            put("amount", b.amount.clone());
            put("product", b.product.clone().unwrap_or_default());
            let quantity =
                b.product.as_deref().and_then(|p| yard.product(p)).map_or(Quantity::Mass, |p| p.amount_quantity());
            put("amount_in", measure(quantity, b.amount_kg));
            put("cost", num(b.cost));
            "bought"
        }
        Body::SoilTested(s) => {
            put("areas", s.areas.join(","));
            put("laboratory", s.laboratory.clone());
            put("method", word(&s.method));
            put("unit", word(&s.unit));
            put("oxides", tick(s.as_oxides));
            put("depth", measure(Quantity::Depth, s.depth_mm));
            let figures = [
                ("ph", s.ph),
                ("acidity", s.acidity_meq),
                ("sikora", s.sikora_ph),
                ("p", s.p),
                ("k", s.k),
                ("ca", s.ca),
                ("mg", s.mg),
            ];
            for (name, v) in figures {
                put(name, num(v));
            }
            "soil-test"
        }
        Body::Counted(c) => {
            put("product", c.product.clone());
            let quantity = yard.product(&c.product).map_or(Quantity::Mass, |p| p.amount_quantity());
            put("left", show(quantity, c.left_kg));
            "counted"
        }
        Body::Spreader(s) => {
            put("spreader", s.spreader.clone());
            put("product", s.product.clone());
            let line = |t: &SpreaderTrial| {
                let (mass, length) = (show(Quantity::Mass, t.collected_kg), |m| show(Quantity::Length, m));
                format!("{}, {mass}, {}, {}", t.setting, length(t.swath_m), length(t.length_m))
            };
            put("trials", s.trials.iter().map(line).collect::<Vec<_>>().join("\n"));
            "spreader"
        }
        Body::MeterRead(m) => {
            supply::show_meter(&mut put, m);
            "meter-read"
        }
        Body::Tariff(t) => {
            supply::show_tariff(&mut put, t);
            "tariff"
        }
        Body::Sprayer(s) => {
            put("sprayer", s.sprayer.clone());
            put("tank", show(Quantity::Volume, s.tank_l));
            put("used", show(Quantity::Volume, s.used_l));
            put("ground", show(Quantity::Area, s.on_m2));
            "sprayer"
        }
        Body::LocalRules(l) => {
            let day = |d: Option<(i8, i8)>| d.map(|(m, d)| format!("{m:02}-{d:02}")).unwrap_or_default();
            put("phosphate", word(&l.phosphate));
            put("no_feed_from", day(l.no_feed_from));
            put("no_feed_until", day(l.no_feed_until));
            put("nitrogen_once", measure(Quantity::Dose, l.nitrogen_once_g_m2));
            put("nitrogen_year", measure(Quantity::Dose, l.nitrogen_year_g_m2));
            put("source", l.source.clone());
            "local-rules"
        }
        Body::Note(n) => {
            put("text", n.text.clone());
            put("area", n.area.clone().unwrap_or_default());
            "note"
        }
        Body::Product(p) => {
            put("key", p.key.clone());
            put("name", p.name.clone());
            put("form", word(&p.form));
            for (name, v) in [("n", p.n_pct), ("p2o5", p.p2o5_pct), ("k2o", p.k2o_pct), ("slow", p.slow_n_pct)] {
                put(name, if v > 0.0 { v.to_string() } else { String::new() });
            }
            put("actives", p.actives.iter().map(|s| format!("{} {}", s.active, s.pct)).collect::<Vec<_>>().join(", "));
            put("pack", measure(p.amount_quantity(), p.pack_kg));
            put("label_rate_max", measure(p.dose_quantity(), p.label.rate_max_g_m2));
            put("label_active_year", measure(Quantity::Dose, p.label.active_yearly_max_g_m2));
            put("label_interval", num(p.label.interval_days));
            put("label_seed_wait", num(p.label.seed_wait_days));
            put("label_rain_free", num(p.label.rain_free_hours));
            put("label_water_in", measure(Quantity::Depth, p.label.water_in_mm));
            let l = &p.label;
            put("label_water_within", num(l.water_in_within_days));
            put("label_times_year", num(l.applications_a_year));
            put("label_year", if l.year_is_rolling { "rolling".to_owned() } else { String::new() });
            put("label_seedling_mowings", num(l.seedling_mowings));
            put("label_seedling_days", num(l.seedling_days));
            put("label_cold", measure(Quantity::Temperature, l.temperature_min_c));
            put("label_heat", measure(Quantity::Temperature, l.temperature_max_c));
            put("label_wind", measure(Quantity::Speed, l.wind_max_ms));
            put("label_reentry", num(l.reentry_hours));
            put("label_buffer", measure(Quantity::Length, l.water_buffer_m));
            put("label_sites", l.sites.iter().map(|s| word(s)).collect::<Vec<_>>().join(", "));
            put("label_grasses", l.grasses.join(", "));
            put("label_grasses_not", l.grasses_not.join(", "));
            put("label_hazards", l.hazards.clone());
            let rate = |v: f64| show(p.dose_quantity(), v);
            let target = |t: &TargetRate| format!("{} {} {}", t.target, rate(t.low), rate(t.high));
            put("targets", p.targets.iter().map(target).collect::<Vec<_>>().join("\n"));
            let pack = |pack: &Pack| {
                let size = show(p.amount_quantity(), pack.size_kg);
                let unit = units.symbol(p.amount_quantity());
                pack.price.map_or_else(|| format!("{size} {unit}"), |price| format!("{size} {unit} = {price}"))
            };
            put("packs", p.packs.iter().map(pack).collect::<Vec<_>>().join("\n"));
            put("lot", p.lot.clone());
            put("opened", p.opened_on.map(|d| d.to_string()).unwrap_or_default());
            "product"
        }
        Body::Sprinklers(s) => {
            put("state", word(&s.state));
            put("remark", s.remark.clone());
            "sprinklers"
        }
        Body::Programme(p) => {
            put("zone", p.zone.clone());
            put("minutes", p.minutes.to_string());
            put("weekdays", days(&p.weekdays));
            "programme"
        }
        Body::Area(a) => {
            put("key", a.key.clone());
            put("name", a.name.clone());
            put("size", show(Quantity::Area, a.size_m2));
            put("cover", word(&a.cover));
            put("grass", a.grass.clone().unwrap_or_default());
            put("soil", a.soil.clone());
            put("slope", a.slope_pct.to_string());
            put("care", word(&a.care));
            put("root", measure(Quantity::Depth, a.root_m.map(|m| m * 1000.0)));
            put("mow", measure(Quantity::Depth, a.mow_mm));
            put("sun", num(a.sun_h));
            put("sod", a.sod_on.map(|d| d.to_string()).unwrap_or_default());
            put("made", a.made_on.map(|d| d.to_string()).unwrap_or_default());
            put("salted", tick(a.salted));
            put("snow", num(a.snow_days));
            put("mulch", measure(Quantity::Depth, a.mulch_mm));
            put("plants", a.plants.clone());
            put("height", measure(Quantity::Length, a.height_m));
            put("retired", tick(a.retired));
            "area"
        }
        Body::Outline(o) => {
            put("area", o.area.clone());
            let corners = places::written(o.pieces.iter().map(|p| &p.ring), units);
            put("corners", if o.pieces.is_empty() { "none".to_owned() } else { corners });
            put("holes", places::written(o.pieces.iter().flat_map(|p| &p.holes), units));
            put("measured", o.measured.clone());
            "outline"
        }
        Body::Mapped(m) => {
            put("key", m.key.clone());
            put("name", m.name.clone());
            put("at", places::written([&m.at], units));
            put("removed", tick(m.removed));
            let length = |m: f64| show(Quantity::Length, m);
            let angle = |deg: f64| if deg == 0.0 { String::new() } else { deg.to_string() };
            let is = match &m.thing {
                Thing::Building { height_m } => {
                    put("height", length(*height_m));
                    "building"
                }
                Thing::Tree { height_m, crown_m, base_m, evergreen } => {
                    put("height", length(*height_m));
                    put("crown", length(*crown_m));
                    put("base", if *base_m == 0.0 { String::new() } else { length(*base_m) });
                    put("evergreen", tick(*evergreen));
                    "tree"
                }
                Thing::WaterEdge => "water-edge",
                Thing::Well => "well",
                Thing::BuriedLine { of } => {
                    put("of", word(of));
                    "buried-line"
                }
                Thing::Head(h) => {
                    put("zone", h.zone.clone().unwrap_or_default());
                    put("nozzle", h.nozzle.clone());
                    put("radius", length(h.radius_m));
                    put("arc_from", angle(h.arc_from_deg));
                    put("arc", h.arc_deg.to_string());
                    put("flow", show(Quantity::Flow, h.flow_lpm));
                    put("lean", angle(h.lean_deg));
                    put("lean_to", angle(h.lean_to_deg));
                    "head"
                }
                Thing::Valve { zone } => {
                    put("zone", zone.clone().unwrap_or_default());
                    "valve"
                }
                Thing::Controller => "controller",
                Thing::Pipe { role, zone, bore_mm } => {
                    put("role", word(role));
                    put("zone", zone.clone().unwrap_or_default());
                    put("bore", measure(Quantity::Depth, *bore_mm));
                    "pipe"
                }
                Thing::Level { height_m } => {
                    put("height", length(*height_m));
                    "level"
                }
                Thing::Play => "play",
                Thing::Pets => "pets",
            };
            put("is", is.to_owned());
            "mapped"
        }
        Body::Origin(o) => {
            put("latitude", o.latitude_deg.to_string());
            put("longitude", o.longitude_deg.to_string());
            "origin"
        }
        Body::Zone(z) => {
            put("key", z.key.clone());
            put("name", z.name.clone());
            put("areas", z.areas.join(","));
            put("sprinkler", z.sprinkler.clone());
            put("rate", measure(Quantity::Rate, z.rate_mm_h));
            put("flow", measure(Quantity::Flow, z.flow_lpm));
            put("du", num(z.du_lq));
            put("retired", tick(z.retired));
            "zone"
        }
        Body::Audited(a) => {
            audited::show(&mut put, a, units);
            "audited"
        }
        Body::Supply(w) => {
            water_supply::show(&mut put, w, units);
            "supply"
        }
        Body::Controller(c) => {
            let supply = measure(Quantity::Flow, c.supply_lpm);
            supply::show_controller(&mut put, c, supply);
            "controller"
        }
        Body::WaterRules(w) => {
            put("from", format!("{:02}:{:02}", w.from.hour(), w.from.minute()));
            put("until", format!("{:02}:{:02}", w.until.hour(), w.until.minute()));
            put("weekdays", days(&w.weekdays));
            put("parity", word(&w.parity));
            put("seed_exempt", tick(w.seed_exempt));
            "water-rules"
        }
        Body::Yard(y) => {
            put("name", y.name.clone());
            put("latitude", y.place.latitude_deg.to_string());
            put("longitude", y.place.longitude_deg.to_string());
            put("elevation", show(Quantity::Length, y.place.elevation_m));
            put("units", word(&y.units));
            put("time_zone", y.time_zone.clone().unwrap_or_default());
            put("currency", y.currency.clone());
            "yard"
        }
        Body::Underlay(_) | Body::Withdrawn(_) => return None,
    };
    Some((kind, t))
}

mod erased {
    /// A unit-only enum as the word its JSON has.
    pub trait Word {
        fn word(&self) -> String;
    }

    impl<T: serde::Serialize> Word for T {
        fn word(&self) -> String {
            serde_json::to_value(self).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
        }
    }
}
