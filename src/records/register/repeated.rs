/*! Rows of the register that are of one item. */

use crate::records::Item;

/// Leaves open what another row of the same item states otherwise, and returns what that is: of two tolerances or intervals
/// the one that came first would be a guess.
pub(super) fn leave_open(known: &mut Item, other: &Item) -> Vec<&'static str> {
    let differs =
        |one: Option<f64>, other: Option<f64>| one.is_some() && other.is_some() && one != other;
    let mut open = Vec::new();
    let units = !known.unit.is_empty() && !other.unit.is_empty() && known.unit != other.unit;
    let limits = known.tolerance.is_some() && other.tolerance.is_some();
    if limits && (units || known.tolerance != other.tolerance) {
        known.tolerance = None;
        open.push("tolerance");
    }
    let columns: [(_, &mut Option<f64>, Option<f64>); 7] = [
        ("interval", &mut known.interval_days, other.interval_days),
        ("due date", &mut known.next_due, other.next_due),
        (
            "last calibration",
            &mut known.last_calibration,
            other.last_calibration,
        ),
        ("longest interval", &mut known.cap_days, other.cap_days),
        ("shortest interval", &mut known.floor_days, other.floor_days),
        (
            "target",
            &mut known.reliability_target,
            other.reliability_target,
        ),
        ("cost", &mut known.cost, other.cost),
    ];
    for (name, own, other) in columns {
        if differs(*own, other) {
            *own = None;
            open.push(name);
        }
    }
    open
}
