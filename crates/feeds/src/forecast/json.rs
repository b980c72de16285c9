//! Reading figures out of a JSON document by their path.

use jiff::Timestamp;
use serde_json::Value;

use crate::error::{Fault, FaultList};

/// A fault at a path.
pub(super) fn fault(faults: &mut FaultList, path: &str, value: &Value, problem: &str, allowed: &str) {
    let raw = match value {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    faults.add(|| Fault::new(0, path, &raw, problem, allowed, "Fetch the document again, whole and unchanged"));
}

/// A moment told by a string.
pub(super) fn moment(value: &Value, path: &str, faults: &mut FaultList) -> Option<Timestamp> {
    let told = value.as_str().and_then(|text| text.parse().ok());
    if told.is_none() {
        fault(faults, path, value, "is no moment", "an ISO 8601 date and time with its zone");
    }
    told
}

/// A number that may be missing or null; anything else is a fault.
pub(super) fn number(value: &Value, path: &str, faults: &mut FaultList) -> Option<f64> {
    match value {
        Value::Null => None,
        Value::Number(n) => n.as_f64(),
        other => {
            fault(faults, path, other, "is no number", "a number or null");
            None
        }
    }
}
