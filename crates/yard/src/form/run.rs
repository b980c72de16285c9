//! The form of a mole's run.

use reckon::outline::Corner;

use super::reader::Reader;
use super::{Ask, Field, field, places};
use crate::entry::MoleRun;
use crate::units::Units;

/// Told on the form before anything is set.
pub(super) const CAUTION: &str = "Before any trap ask your state’s wildlife agency: some states forbid or limit mole traps. Set none where a child \
    or a pet can reach it, and look at each at least daily.";

pub(super) const FIELDS: &[Field] = &[
    field("area", "Where", Ask::Area, true, ""),
    field("run", "Which run", Ask::Line, true, "your name for it, the same each time: along the fence"),
    field(
        "state",
        "What was found or done",
        Ask::Choice(&["found", "flattened", "raised", "stayed-flat", "trap-set", "trap-empty", "caught", "trap-taken"]),
        false,
        "raised = pushed up again after it was pressed flat",
    ),
    field(
        "line",
        "Where it runs on the map",
        Ask::Text,
        false,
        "once: its ends and bends, one a line, east and north from the map’s corner",
    ),
];

pub(super) fn read(r: &mut Reader<'_>) -> MoleRun {
    let line = r.corners("line").iter().map(|c| c.at()).collect();
    MoleRun { area: r.words("area"), run: r.words("run"), state: r.choice("state"), line }
}

pub(super) fn show(put: &mut dyn FnMut(&str, String), m: &MoleRun, units: Units) {
    put("area", m.area.clone());
    put("run", m.run.clone());
    let state = serde_json::to_value(m.state).ok().and_then(|v| v.as_str().map(str::to_owned));
    put("state", state.unwrap_or_default());
    let corners: Vec<Corner> = m.line.iter().map(|[x, y]| Corner::new(*x, *y)).collect();
    put("line", if corners.is_empty() { String::new() } else { places::written([&corners], units) });
}
