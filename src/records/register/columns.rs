/*! The columns of the register, in one order. */

use crate::records::reading::table::own_headers::own_headers;

own_headers! {
    /// Headers of the register: our name = "their header"; absent = same name; false = not read.
    pub struct RegisterColumns in "register.columns";
    /// Identity of the instrument (needed).
    instrument Instrument text needed;
    /// Quantity or set point; a row without it holds for all points.
    point Point text;
    /// Class or model for borrowed strength.
    group Group text;
    /// Unit of the error.
    unit Unit text;
    /// Lower limit on the error.
    lower Lower;
    /// Upper limit on the error.
    upper Upper;
    /// Interval in use, days.
    interval_days IntervalDays;
    /// Longest interval allowed, days.
    cap_days CapDays;
    /// Shortest interval, days.
    floor_days FloorDays;
    /// Date of the last calibration.
    last_calibration LastCalibration;
    /// Date on which the next calibration is due: the interval in use, where no interval is stated.
    next_due NextDue;
    /// Reliability target, above 0 and below 1.
    reliability_target ReliabilityTarget;
    /// Cost of one calibration.
    cost Cost;
    /// Cost of one year out of tolerance, same currency.
    cost_out_of_tolerance CostOutOfTolerance;
    /// Criticality in the register's own words.
    criticality Criticality text;
    /// Free description.
    description Description text;
    /// What it serves for: reference, working or check_standard.
    role Role text;
    /// What its control chart is drawn about: drift or constant.
    control_chart ControlChart text;
    /// Date from which its control chart starts anew.
    control_from ControlFrom;
    /// Where the item stands: in_use, lent, stored, retired or lost; empty = in use.
    status Status text;
    /// Last day of that status; afterwards the item is in use again.
    until Until;
    /// Earlier names of the item, separated by ";": their checks and jobs are its own.
    formerly Formerly text;
    /// Tolerance on the error in one column, such as ±0.05.
    tolerance Tolerance text;
}
