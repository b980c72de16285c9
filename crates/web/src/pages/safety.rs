//! Safety: what can hurt in a yard, said once in one place, each part with where it comes from.

use axum::extract::State;
use maud::{Markup, html};

use crate::error::PageError;
use crate::layout::{Section, bare};
use crate::server::off_thread;
use crate::state::Site;
use crate::view::{Pairs, View};

struct Part {
    heading: &'static str,
    lines: &'static [&'static str],
    source: &'static str,
}

const PARTS: [Part; 6] = [
    Part {
        heading: "Weed, insect and disease products",
        lines: &[
            "The label on the container is the law: where, how much, how often, what to wear. It goes before anything Toft says.",
            "Keep people and pets off until it is dry, or as long as the label says. Gloves, long sleeves, goggles when pouring.",
            "Not in wind over 10 mph (16 km/h), not before rain the label does not allow, not near wells, drains and open water.",
            "Locked away, in the first container, never in one for drinks.",
            "Poisoning, United States: 1-800-222-1222 at any hour; elsewhere the poison line of your country. Have the label at hand. Someone \
             who has collapsed or breathes badly: the emergency number first.",
        ],
        source: "product labels and federal law (FIFRA); national poison line of the US; wind limit: common practice",
    },
    Part {
        heading: "Electricity",
        lines: &[
            "Yours are the low-voltage wires from the controller to the valves (24 V). Power off at the plug or breaker before you open anything.",
            "120 V (230 V) wiring, pumps, and anything at a pool are for a licensed electrician. No work in a wet box.",
            "Outdoor sockets have a ground-fault breaker (GFCI); cords are rated for outdoors.",
        ],
        source: "common practice; the electrical code in force where you live",
    },
    Part {
        heading: "Digging",
        lines: &[
            "Before any digging, have buried lines marked. United States: call or click 811 at least two working days before, three in some \
             states; it is free, and each dig needs a new ticket. Elsewhere: the national service.",
            "Private lines (sprinkler pipes, pet fence, garden lights, gas to a grill) are not marked by it: find them yourself.",
            "Hand tools within 2 ft (60 cm) of a mark.",
        ],
        source: "811 centres and utilities; the distance is 18 to 24 in by state",
    },
    Part {
        heading: "Slopes and mowing",
        lines: &[
            "Nothing steeper than 15° (about 27 %, 2.7 ft in 10) is mown by machine; a zero-turn mower stops at 10°. Ground cover instead.",
            "Riders go up and down, walkers across. Never on wet grass, never close to a wall or water's edge.",
            "Children indoors, nobody on board. Blade stopped and key or plug out before you reach in. Eyes and ears covered. Refuel cold.",
        ],
        source: "limits common to several mower manuals; the manual of your own machine goes before",
    },
    Part {
        heading: "Blowing sprinklers out for winter",
        lines: &[
            "Eye protection. Nobody stands over a head, a valve or a fitting while there is air in the pipes.",
            "Never over 80 psi (5.5 bar) on rigid PVC, never over 50 psi (3.4 bar) on polyethylene pipe, 30 psi (2 bar) on drip. Where both \
             are in the ground, the lower counts.",
            "Main shut, backflow assembly isolated: never blow through it. Open one zone before air goes on; highest or farthest first.",
            "Two or three short passes of one or two minutes; stop when only mist comes, for dry parts grow hot.",
            "The backflow assembly is tested and set by a licensed tester, never by you and never bypassed.",
        ],
        source: "common practice, as several home guides print it; the lowest rating of your own pipes and heads goes before",
    },
    Part {
        heading: "Pool chemicals",
        lines: &[
            "Never mix two of them, least of all chlorine with acid: that makes chlorine gas. Nor two kinds of chlorine.",
            "Chemical into water, never water onto chemical. A dry scoop for each, in open air, goggles on, nobody in the pool.",
            "Acids and chlorine are stored apart, dry and locked.",
        ],
        source: "US Centers for Disease Control and Prevention; Maryland Department of Health",
    },
];

fn main() -> Markup {
    html! {
        div.head {
            h1 { "Safety" }
            p.lead { "The product’s label, the machine’s manual, local code and licensed practice go before everything here." }
        }
        @for part in PARTS {
            section {
                h2 { (part.heading) }
                ul { @for line in part.lines { li { (line) } } }
                p.source { "Source: " (part.source) ". Defer to the label, local code and licensed practice." }
            }
        }
    }
}

pub(crate) async fn show(State(site): State<Site>) -> Result<Markup, PageError> {
    off_thread(move || match View::open(&site, &Pairs::new()) {
        Ok(view) => Ok(view.page("Safety", Section::Settings, "/safety", main())),
        // Safety is told before there is a yard, too.
        Err(PageError::NoYard) => Ok(bare("Safety", main())),
        Err(other) => Err(other),
    })
    .await
}
