/*! The columns of the checks table, by their fixed names. */

use crate::records::reading::header::named_columns::named_columns;

named_columns! {
    /// Headers of the checks files: our name = "their header"; absent = same name; false = not read.
    pub struct CheckColumns in "checks.columns";
    /// Identity of the instrument (needed).
    instrument Instrument;
    /// Quantity or set point.
    point Point;
    /// When checked (needed).
    date Date;
    /// Error as found, or value where nominal is given (needed unless in_tolerance is).
    as_found AsFound;
    /// Error or value as left; empty = as found where nothing was done, else unknown.
    as_left AsLeft;
    /// Conventional value that is subtracted; false where as_found is an error already.
    nominal Nominal;
    /// Standard uncertainty of the reading, random part.
    u U;
    /// Standard uncertainty shared by all checks of the history.
    u_common UCommon;
    /// Lower limit on the error.
    lower Lower;
    /// Upper limit on the error.
    upper Upper;
    /// In tolerance as found: true or false.
    in_tolerance InTolerance;
    /// adjusted, repaired, annealed, shocked, replaced or empty.
    event Event;
    /// Cumulative hours or cycles.
    usage Usage;
    /// check, calibration or comparison.
    kind Kind;
    /// Unit; rows in another unit of the same quantity are converted to the history's.
    unit Unit;
    /// Tolerance on the error in one column: ±0.05, 0.1 % + 0.02, -0.1 / +0.2.
    tolerance Tolerance;
    /// Range that a per cent of a tolerance may be of.
    range Range;
    /// Laboratory, reference or certificate that gave the reading.
    source Source;
    /// Value that a certificate states from this date on, in the terms of as_found.
    assigned Assigned;
    /// Standard uncertainty of the assigned value.
    u_assigned UAssigned;
    /// Number that divides u in its row, where the file states one for each (k); beside it the setting coverage_factor is not looked at.
    coverage_factor CoverageFactor;
    /// Class or model for borrowed strength; the newest row that states one counts, where the register has none.
    group Group;
    /// Interval in use from this date on; the newest row that states one counts, where the register has none.
    interval_days IntervalDays;
    /// Date on which the next calibration is due: the interval in use, where no interval is stated.
    next_due NextDue;
}

/// Number of columns.
pub(crate) const COLUMN_COUNT: usize = Column::ALL.len();

impl Column {
    /// Place in [`Column::ALL`].
    pub(crate) fn index(self) -> usize {
        self as usize
    }

    /// True where ± may stand before a number.
    pub(crate) fn takes_within(self) -> bool {
        matches!(
            self,
            Column::Lower | Column::Upper | Column::U | Column::UCommon | Column::UAssigned
        )
    }

    /// True where the column holds numbers in the unit of the history.
    pub(crate) fn has_unit(self) -> bool {
        matches!(
            self,
            Column::AsFound
                | Column::AsLeft
                | Column::Nominal
                | Column::U
                | Column::UCommon
                | Column::Lower
                | Column::Upper
                | Column::Tolerance
                | Column::Range
                | Column::Assigned
                | Column::UAssigned
        )
    }
}
