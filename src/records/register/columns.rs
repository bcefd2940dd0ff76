/*! The columns of the register, in one order. */

use crate::records::reading::table::TableColumn;
use crate::records::settings::RegisterSettings;

/// Columns of the register in the order of [`columns`].
#[derive(Clone, Copy)]
pub(super) enum Column {
    Instrument,
    Point,
    Group,
    Unit,
    Lower,
    Upper,
    IntervalDays,
    CapDays,
    FloorDays,
    LastCalibration,
    NextDue,
    ReliabilityTarget,
    Cost,
    CostOutOfTolerance,
    Criticality,
    Description,
    Role,
    ControlChart,
    ControlFrom,
    Status,
    Until,
    Formerly,
    Tolerance,
}

pub(super) fn columns(settings: &RegisterSettings) -> [TableColumn<'_>; 23] {
    let own = &settings.columns;
    [
        ("instrument", &own.instrument, true),
        ("point", &own.point, true),
        ("group", &own.group, true),
        ("unit", &own.unit, true),
        ("lower", &own.lower, false),
        ("upper", &own.upper, false),
        ("interval_days", &own.interval_days, false),
        ("cap_days", &own.cap_days, false),
        ("floor_days", &own.floor_days, false),
        ("last_calibration", &own.last_calibration, false),
        ("next_due", &own.next_due, false),
        ("reliability_target", &own.reliability_target, false),
        ("cost", &own.cost, false),
        ("cost_out_of_tolerance", &own.cost_out_of_tolerance, false),
        ("criticality", &own.criticality, true),
        ("description", &own.description, true),
        ("role", &own.role, true),
        ("control_chart", &own.control_chart, true),
        ("control_from", &own.control_from, false),
        ("status", &own.status, true),
        ("until", &own.until, false),
        ("formerly", &own.formerly, true),
        ("tolerance", &own.tolerance, true),
    ]
    .map(|(name, own, text)| TableColumn {
        name,
        own: own.as_deref(),
        text,
        needed: name == "instrument",
    })
}
