//! Hours of direct sun by month, on the map and by area.

use axum::extract::State;
use maud::{Markup, html};
use yard::entry::Cover;
use yard::survey::{SunMap, area_sun, sun_map};

use crate::cells::{Lattice, picture};
use crate::error::PageError;
use crate::extract::Asked;
use crate::layout::{Section, map_style, number, page_with};
use crate::plan;
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{View, value};

const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Steps of the picture (hours below), and what they mean to plants: full sun is six hours and more, part shade three to six
/// (common practice).
const STEPS: [(f64, &str, &str); 5] = [
    (1.5, "sun-0", "under 1½ h"),
    (3.0, "sun-1", "1½ to 3 h: deep shade"),
    (4.5, "sun-2", "3 to 4½ h: shade"),
    (6.0, "sun-3", "4½ to 6 h: part shade"),
    (f64::INFINITY, "sun-4", "6 h and more: full sun"),
];

fn month_of(view: &View, raw: Option<&str>) -> Result<usize, PageError> {
    match raw {
        None => Ok(usize::try_from(view.on.month()).unwrap_or(1) - 1),
        Some(raw) => match raw.parse::<usize>() {
            Ok(month @ 1..=12) => Ok(month - 1),
            _ => Err(PageError::bad("No such month", format!("“{raw}” is not a month; there are 1 to 12"))),
        },
    }
}

fn cells(map: &SunMap, month: usize) -> Markup {
    let lattice = Lattice { origin_m: map.origin_m, cell_m: map.cell_m, columns: map.columns, rows: map.rows };
    let shades = STEPS.map(|(_, class, _)| class);
    picture(lattice, &shades, |i| {
        let hours = map.hours[i]?[month];
        Some(STEPS.iter().position(|(below, ..)| hours < *below).unwrap_or(STEPS.len() - 1))
    })
}

fn table(view: &View) -> Markup {
    let grown = view.yard.areas.iter().filter(|a| a.cover != Cover::Hard);
    let rows: Vec<(&str, [f64; 12])> =
        grown.filter_map(|a| Some((a.name.as_str(), area_sun(&view.yard, &a.key)?))).collect();
    html! {
        div.wide {
            table {
                caption { "Mean hours of sun on a cloudless day" }
                thead { tr { th scope="col" { "Area" } @for m in MONTHS { th.num scope="col" { (m) } } } }
                tbody {
                    @for (name, hours) in rows {
                        tr { th scope="row" { (name) } @for h in hours { td.num { (number(h, 1)) } } }
                    }
                }
            }
        }
    }
}

pub(crate) async fn show(State(site): State<Site>, Asked(asked): Asked) -> Result<Markup, PageError> {
    off_thread(move || {
        let view = View::open(&site, &asked)?;
        let options = plan::Options { on: (view.on != view.today).then_some(view.on), ..plan::Options::default() };
        let month = month_of(&view, value(&asked, "month"))?;
        let main = html! {
            div.head { h1 { "Where the sun reaches" } }
            @match (sun_map(&view.yard), plan::Drawing::of(&view.yard, &options)) {
                (Some(map), Some(drawing)) => {
                    nav aria-label="Month" {
                        ul.months {
                            @for (i, m) in MONTHS.iter().enumerate() {
                                @let href = view.link(&format!("/map/sun?month={}", i + 1));
                                li { @if i == month { a href=(href) aria-current="page" { (m) } } @else { a href=(href) { (m) } } }
                            }
                        }
                    }
                    (drawing.svg("sun", cells(&map, month)))
                    ul.legend {
                        @for (_, class, words) in STEPS {
                            li { svg.swatch viewBox="0 0 12 12" aria-hidden="true" { rect class=(format!("cell {class}")) width="12" height="12" {} } " " (words) }
                        }
                    }
                    p { "With nothing in the way the sun would shine " (number(map.open[month], 1)) " hours in " (MONTHS[month]) "." }
                    (table(&view))
                    p.source {
                        "From the latitude, and the buildings, trees and hedges with a height on the map, on the mean day of each month (S. A. Klein, 1977); "
                        "solar geometry after FAO 56, eq. 24 and 25. Clouds, hills and light from the sky are left out."
                    }
                }
                _ => {
                    p { "Draw the areas first, then buildings and trees with their heights." }
                    div.actions { a.button href="/map/draw" { "Draw" } }
                }
            }
            p { a href=(view.link("/map")) { "Back to the map" } }
        };
        Ok(page_with(&view, "Sun", Section::Map, "/map/sun", map_style(), main))
    })
    .await
}
