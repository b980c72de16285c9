//! The safety sheet of a job: one page to print and take along.

use almanac::ActiveKind;
use axum::extract::{Path, State};
use maud::{Markup, html};
use yard::advice::checks::check_application;
use yard::entry::{Applied, Form, ProductFacts};
use yard::map::Thing;
use yard::units::Quantity;

use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, sentence, time};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

/// What an ingredient is, in a word.
fn kind_word(kind: ActiveKind) -> &'static str {
    match kind {
        ActiveKind::Preventer => "weed preventer",
        ActiveKind::Postemergence => "weed killer",
        ActiveKind::Insecticide => "insect killer",
        ActiveKind::Fungicide => "disease preventer",
    }
}

fn near(view: &View, keys: &[String]) -> Vec<String> {
    let units = view.units();
    let pieces: Vec<_> = keys.iter().flat_map(|k| view.yard.pieces(k)).cloned().collect();
    if pieces.is_empty() {
        return Vec::new();
    }
    let far = |m: f64| if m < 0.05 { "on it".to_owned() } else { format!("{} away", units.say(Quantity::Length, m)) };
    view.yard
        .things
        .iter()
        .filter_map(|t| {
            let metres = match t.thing {
                Thing::WaterEdge => reckon::outline::distance_to_line(&pieces, &t.at).get(),
                Thing::Well => pieces.iter().map(|p| p.distance_to(t.place()).get()).fold(f64::INFINITY, f64::min),
                Thing::Play | Thing::Pets => {
                    t.ground().map_or(f64::INFINITY, |g| reckon::outline::gap_between(&pieces, &[g]).get())
                }
                _ => return None,
            };
            (metres < 60.0).then(|| format!("{} ({}): {}", t.name, t.thing.word(), far(metres)))
        })
        .collect()
}

fn part(heading: &str, lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() {
            section { h2 { (heading) } ul { @for line in lines { li { (line) } } } }
        }
    }
}

fn sheet(view: &View, product: &ProductFacts, asked: &Pairs) -> Markup {
    let keys: Vec<String> = value(asked, "areas")
        .unwrap_or_default()
        .split(',')
        .filter(|k| view.yard.area(k).is_some())
        .map(str::to_owned)
        .collect();
    let liquid = product.form == Form::Liquid;
    let kinds: Vec<ActiveKind> =
        product.actives.iter().filter_map(|s| view.almanac().active(&s.active)).map(|a| a.kind).collect();
    let poison = !product.actives.is_empty();
    let s = str::to_owned;
    let mut wear = vec![s("Long sleeves, long trousers, closed shoes and socks.")];
    if poison {
        wear.push(s("Chemical-resistant gloves (nitrile, 14 mil or more); more where the label says so."));
    }
    if liquid {
        wear.push(s("Goggles when pouring and mixing. A respirator only where the label names one."));
    } else {
        wear.push(s("Gloves when filling; stand upwind of dust."));
    }
    let mut off = vec![match product.label.reentry_hours {
        Some(h) => format!("People and pets keep off for {h} h (your label)."),
        None if poison => s("Children and pets keep off until it is dry or washed in, and as long as the label says."),
        None => s("Keep off until it is washed in."),
    }];
    if poison {
        off.push(s(
            "Toys, bowls and pool cover away first; windows and vents near by closed. Flags where the law wants them.",
        ));
    }
    let mut water =
        vec![s("Never on paving, into drains, ditches, ponds or streams: sweep granules back onto the ground.")];
    if let Some(m) = product.label.water_buffer_m {
        water.push(format!("Strip beside water: {} (your label).", view.units().say(Quantity::Length, m)));
    } else if poison {
        water.push(s("Keep the strip the label names beside water and wells; mix and fill at least 100 ft (30 m) from a well (common practice)."));
    }
    if liquid {
        water.push(s("An air gap between hose and tank, always: nothing may be drawn back into the drinking water."));
    }
    let work = Applied {
        areas: keys.clone(),
        product: product.key.clone(),
        rate_g_m2: product.targets.first().map_or(0.001, |t| t.low),
        spot_m2: None,
        wind_ms: None,
        air_c: None,
        rain_in_hours: None,
        watered_in_mm: None,
        flowers_open: false,
        remark: String::new(),
    };
    let today: Vec<String> = check_application(&view.scene(), &work, view.on, None)
        .into_iter()
        .filter(|f| !matches!(f.rule.as_str(), "rate" | "slip"))
        .map(|f| format!("{}: {}.", f.level.word(), sentence(&f.message)))
        .collect();
    let mut words: Vec<&str> = kinds.iter().map(|k| kind_word(*k)).collect();
    words.dedup();
    html! {
        article.safety-sheet {
            h1 { "Safety sheet: " (product.name) }
            p {
                (time(view.on)) ", " (view.yard.facts.as_ref().map_or("", |f| f.name.as_str()))
                @if !keys.is_empty() { ": " (view.yard.area_names(&keys)) }
                @if !words.is_empty() { ". A " (words.join(" and ")) "." }
            }
            p.law { strong { "The label is the law. " } "It goes before anything on this sheet. Have it with you." }
            @if !product.label.hazards.is_empty() { p { strong { "On your label: " } (product.label.hazards) } }
            (part("Wear", &wear))
            (part("Keep off", &off))
            (part("Water", &water))
            (part("Near by on your map", &near(view, &keys)))
            (part("For this ground, today", &today))
            (part("Afterwards", &[
                s("Wash hands before anything else; clothes apart and hot; shower."),
                s("Rinse the spreader or tank over ground that may have it, never over paving or a drain."),
            ]))
            (part("Storage", &[
                s("Locked, dry, between 40 and 90 °F (4 and 32 °C), in the first container with its label; never beside food or feed."),
                s("Buy for one season."),
            ]))
            (part("Left over and empty", &[
                s("Use up a left-over mix on ground that may have it, never above the rate; never down a drain."),
                s("Empty liquid containers: rinse three times into the tank. Then as the label and your waste service say."),
            ]))
            (part("If somebody was exposed", &[
                s("Skin: clothes off, rinse with water for 15 minutes. Eyes: rinse gently for 15 minutes, lenses out. Breathed in: fresh air. Swallowed: call at once; do not make them vomit unless told to."),
                s("Poison line, United States: 1-800-222-1222 at any hour; elsewhere the poison line of your country. Collapsed or breathing badly: the emergency number first."),
                s("Have the container at hand when you call."),
            ]))
            p.source { "Usual practice, as extension checklists give it; first aid as pesticide labels print it (from memory): your own label’s first-aid lines go before." }
        }
    }
}

pub(crate) async fn show(
    State(site): State<Site>,
    Path(key): Path<String>,
    Asked(asked): Asked,
) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let Some(product) = view.yard.product(&key).cloned() else {
            return Err(PageError::Missing(format!("There is no product “{key}” on the shelf")));
        };
        let main = html! {
            (sheet(&view, &product, &asked))
            p.no-print { a href=(format!("/shed/{key}")) { "Back to the product" } ". Print it with your browser." }
        };
        Ok(view.page("Safety sheet", Section::Settings, &format!("/shed/{key}/safety"), main))
    })
    .await
}
