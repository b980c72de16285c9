//! Ground measured in the yard: by tape from known corners, or by offsets along a line.

use axum::extract::State;
use maud::{Markup, html};
use reckon::tape_survey::TapeSurvey;
use yard::Fault;
use yard::entry::Body;
use yard::form::typed_from;
use yard::map::OutlineFacts;
use yard::survey::{Doubtful, Measured, known_corners, offsets, tape};
use yard::units::Quantity;

use reckon::outline::Outline;

use crate::error::PageError;
use crate::extract::{Asked, Posted};
use crate::layout::{Section, map_style, number, page_with, sentence, token};
use crate::once;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View, value};

fn area_choice(view: &View, chosen: Option<&str>) -> Markup {
    html! {
        p.field {
            label for="area" { "Area" }
            select #area name="area" {
                @for a in &view.yard.areas { option value=(a.key) selected[chosen == Some(a.key.as_str())] { (a.name) } }
            }
        }
    }
}

fn box_of(pairs: &Pairs, faults: &[Fault], name: &str, label: &str, help: &str, start: &str, rows: u8) -> Markup {
    let fault = faults.iter().find(|f| f.field == name);
    let id = format!("{name}-box");
    html! {
        p.field {
            label for=(id) { (label) }
            span.help id=(format!("{id}-help")) { (help) }
            @if let Some(f) = fault { span.fault.line id=(format!("{id}-fault")) role="alert" { (sentence(&f.message)) } }
            textarea id=(id) name=(name) rows=(rows) aria-describedby=(format!("{id}-help")) aria-invalid=[fault.map(|_| "true")] {
                (value(pairs, name).unwrap_or(start))
            }
        }
    }
}

fn forms(view: &View, pairs: &Pairs, faults: &[Fault]) -> Markup {
    let units = view.units();
    let unit = units.symbol(Quantity::Length);
    let known: Vec<String> = known_corners(&view.yard)
        .into_iter()
        .map(|(name, at)| {
            let [x, y] = at.map(|m| number(units.show(Quantity::Length, m), 2).replace('−', "-"));
            format!("{name} {x} {y}")
        })
        .collect();
    let start = if known.is_empty() { "A 0 0\nB 40 0".to_owned() } else { known.join("\n") };
    html! {
        @if view.yard.areas.is_empty() { p { "Make the area first: " a href="/log/area" { "a new area" } "." } }
        @else {
            div.columns {
                section aria-labelledby="by-tape" {
                    h2 #by-tape { "By tape from two corners or more" }
                    p { "Hold the tape to two corners of the house, or more, and read the distance to each corner of the ground. A third reading shows which one is wrong. Keep the tape level; sag and slope read long." }
                    form method="post" action="/map/tape" {
                        (token(view))
                        input type="hidden" name="way" value="tape";
                        (area_choice(view, value(pairs, "area")))
                        (box_of(pairs, faults, "known", &format!("Known corners ({unit})"), "name, east, north; one a line", &start, 4))
                        (box_of(pairs, faults, "readings", &format!("Readings ({unit})"), "point, then place and distance in turn: 1 A 13 B 19.2; add “near 5 12” where two readings leave two answers; “tie 1 2 8.5” is a check", "", 6))
                        div.actions { button { "Work out" } }
                    }
                }
                section aria-labelledby="by-offsets" {
                    h2 #by-offsets { "By offsets along a line" }
                    p { "Lay a string along the ground. At places along it measure square to the left, and to the right where the line runs through the middle." }
                    form method="post" action="/map/tape" {
                        (token(view))
                        input type="hidden" name="way" value="offsets";
                        (area_choice(view, value(pairs, "area")))
                        (box_of(pairs, faults, "line", &format!("The line’s two ends ({unit})"), "east and north of each, one a line", "0 0\n40 0", 2))
                        (box_of(pairs, faults, "offsets", &format!("Offsets ({unit})"), "along, left, right if any; one place a line", "", 6))
                        div.actions { button { "Work out" } }
                    }
                }
            }
        }
    }
}

fn adjusted(view: &View, survey: &TapeSurvey, doubtful: Option<&Doubtful>) -> Markup {
    let units = view.units();
    // From the figures as they are: a hundredth of a foot or of a metre is what a tape reads.
    let fine = |m: f64| format!("{} {}", number(units.show(Quantity::Length, m), 3), units.symbol(Quantity::Length));
    html! {
        @if survey.redundancy == 0 {
            p { "Nothing checks these readings: one more distance to each point would show a slip." }
        } @else {
            p { "The readings agree to " (fine(survey.distance_error.get())) " (standard error of one distance, " (survey.redundancy) " more than needed)." }
        }
        @if let Some(d) = doubtful {
            p.doubtful {
                strong { "Doubtful: " } (d.ends[0]) " to " (d.ends[1]) ", read as " (fine(d.read_m)) "."
                @if let Some(m) = d.others_m { " The others put it at " (fine(m)) "." }
                " Measure it again before you save: as it stands the slip is spread over the corners."
            }
        }
        div.wide {
            table {
                caption { "Points" }
                thead { tr { th scope="col" { "Point" } th.num scope="col" { "East" } th.num scope="col" { "North" } th.num scope="col" { "Sure to" } } }
                tbody {
                    @for p in &survey.points {
                        tr { th scope="row" { (p.id) } td.num { (fine(p.x.get())) } td.num { (fine(p.y.get())) } td.num { "± " (fine(p.standard_error.get())) } }
                    }
                }
            }
            table {
                caption { "Readings" }
                thead { tr { th scope="col" { "From" } th scope="col" { "To" } th.num scope="col" { "Read" } th.num scope="col" { "Fits to" } } }
                tbody {
                    @for r in &survey.residuals {
                        tr { td { (r.a) } td { (r.b) } td.num { (fine(r.distance.get())) } td.num { (fine(r.residual.get())) } }
                    }
                }
            }
        }
    }
}

fn found(view: &View, area: &str, measured: &Measured) -> Markup {
    let outline = Outline::new(measured.corners.clone());
    let size = outline.size();
    // Kept with the outline; a long survey is cut, the daybook has room for a line.
    let kept: String = measured.words.chars().take(1_000).collect();
    let body = Body::Outline(OutlineFacts { area: area.to_owned(), pieces: vec![outline], measured: kept });
    let typed = typed_from(&body, &view.yard).map(|(_, typed)| typed).unwrap_or_default();
    let of = |name: &str| typed.get(name).cloned().unwrap_or_default();
    html! {
        section.told aria-labelledby="found" role="status" {
            h2 #found {
                @match &size {
                    Ok(size) => { (view.yard.area_name(area)) ": " (view.units().say(Quantity::Area, size.area.get())) ", edge " (view.units().say(Quantity::Length, size.edge.get())) }
                    Err(_) => "The points do not make a ring",
                }
            }
            @if let Some(survey) = &measured.survey { (adjusted(view, survey, measured.doubtful.as_ref())) }
            @match &size {
                Ok(_) => form method="post" action="/log/outline" {
                    (token(view))
                    (once::field())
                    input type="hidden" name="area" value=(area);
                    input type="hidden" name="measured" value=(of("measured"));
                    p.field {
                        label for="corners" { "Corners, as they will be saved" }
                        textarea #corners name="corners" rows="5" { (of("corners")) }
                    }
                    p.field { label for="on" { "Counts from" } input #on type="date" name="on" value=(view.today) max=(view.today); }
                    div.actions { button name="do" value="keep" { "Save as the outline" } }
                },
                Err(e) => p.fault { (e) ". Put the points in the order you would walk round them." },
            }
        }
    }
}

fn page(view: &View, pairs: &Pairs, faults: &[Fault], told: Markup) -> Markup {
    let main = html! {
        div.head { h1 { "Measured ground" } }
        (told)
        (forms(view, pairs, faults))
        p { a href="/map" { "Back to the map" } }
    };
    page_with(view, "Measured ground", Section::Map, "/map/tape", map_style(), main)
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        Ok(page(&view, &asked, &[], html! {}))
    })
    .await
}

pub(crate) async fn work_out(State(site): State<Site>, posted: Posted) -> Result<Markup, PageError> {
    let pairs = posted.checked()?;
    off_thread(move || {
        let view = View::open(&site, &Pairs::new())?;
        let of = |name: &str| value(&pairs, name).unwrap_or_default();
        let units = view.units();
        let measured = match of("way") {
            "offsets" => offsets(of("line"), of("offsets"), units),
            _ => tape(of("known"), of("readings"), units),
        };
        Ok(match measured {
            Ok(measured) if view.yard.area(of("area")).is_some() => {
                let told = found(&view, of("area"), &measured);
                page(&view, &pairs, &[], told)
            }
            Ok(_) => return Err(PageError::bad("No such area", format!("The yard has no area “{}”", of("area")))),
            Err(faults) => page(&view, &pairs, &faults, html! {}),
        })
    })
    .await
}
