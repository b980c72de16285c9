//! The backflow assembly's test: when the next is due.

use jiff::ToSpan;
use jiff::civil::Date;
use reckon::working::{Step, Value};
use serde::Serialize;

use crate::advice::{Item, Job, LogAs, Scene, urgency_of};
use crate::entry::{Assembly, TEST_MONTHS};

/// Days ahead the test is asked for: testers are booked in spring.
const LOOK_AHEAD_DAYS: i64 = 45;

/// Who may do it and where the rule stands.
pub const CARE: &str = "A licensed or certified tester does it, never the owner, and sends the report to the water supplier. The supplier’s rule says how often; \
    once a year is common.";
/// Where the yearly test comes from.
pub const SOURCE: &str = "King County Water District 20, Washington, Residential customers: tested annually after it was put in; the water supplier’s own rule goes first";

/// Where the test stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BackflowState {
    /// The last test.
    pub last_on: Option<Date>,
    /// Which assembly.
    pub assembly: Assembly,
    /// The last test failed.
    pub failed: bool,
    /// The next test.
    pub due: Option<Date>,
    /// The computation.
    pub working: Vec<Step>,
}

/// The last test and the day of the next.
pub fn backflow(scene: &Scene<'_>) -> BackflowState {
    let Some(last) = scene.yard.backflow_tests.last() else {
        return BackflowState {
            last_on: None,
            assembly: Assembly::Other,
            failed: false,
            due: None,
            working: Vec::new(),
        };
    };
    let months = last.fact.months;
    let due = if last.fact.failed { Some(last.on) } else { last.on.checked_add(i64::from(months).months()).ok() };
    let told = Value::number("months", f64::from(months), "");
    let told =
        if months == TEST_MONTHS { told.from("once a year is common; the supplier’s rule goes first") } else { told };
    let working = due.map(|d| {
        Step::new(
            "next test",
            if last.fact.failed { "failed: at once, after its repair" } else { "last test + months" },
            vec![Value::text("last", last.on.to_string()), told],
            Value::text("due", d.to_string()),
        )
    });
    BackflowState {
        last_on: Some(last.on),
        assembly: last.fact.assembly,
        failed: last.fact.failed,
        due,
        working: working.into_iter().collect(),
    }
}

/// The test, when it is near, due or overdue, or was failed.
pub fn items(scene: &Scene<'_>) -> Vec<Item> {
    let state = backflow(scene);
    let (Some(last), Some(due)) = (state.last_on, state.due) else { return Vec::new() };
    if crate::fold::Yard::days_between(scene.on, due) > LOOK_AHEAD_DAYS {
        return Vec::new();
    }
    let what = state.assembly.words();
    vec![Item {
        id: "system:backflow".to_owned(),
        job: Job::Water,
        title: if state.failed {
            format!("Have the {what} mended and tested again")
        } else {
            format!("Have the {what} tested")
        },
        places: Vec::new(),
        amounts: Vec::new(),
        urgency: urgency_of(scene.on, due),
        from: Some(scene.on),
        by: Some(due.max(scene.on)),
        window: None,
        window_of: "",
        why: if state.failed {
            format!("It failed its test on {last}: it may let yard water back into the drinking water.")
        } else {
            format!("The last test was on {last}; the next is due by {due}. Book the tester now.")
        },
        findings: Vec::new(),
        cautions: vec![CARE.to_owned()],
        working: state.working,
        assumed: Vec::new(),
        log: vec![LogAs::new(
            "Log the test",
            "backflow-tested",
            &[("months", scene.yard.backflow_tests.last().map_or_else(String::new, |t| t.fact.months.to_string()))],
        )],
    }]
}
