/*! The columns of the checks table, by their fixed names. */

/// A column of the checks table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub(crate) enum Column {
    Instrument,
    Point,
    Date,
    AsFound,
    AsLeft,
    Nominal,
    U,
    UCommon,
    Lower,
    Upper,
    InTolerance,
    Event,
    Usage,
    Kind,
    Unit,
    Tolerance,
    Range,
    Source,
    Assigned,
    UAssigned,
    CoverageFactor,
    Group,
    IntervalDays,
    NextDue,
}

/// Number of columns.
pub(crate) const COLUMN_COUNT: usize = 24;

impl Column {
    /// Every column, in the order of [`Column::index`].
    pub(crate) const ALL: [Column; COLUMN_COUNT] = [
        Column::Instrument,
        Column::Point,
        Column::Date,
        Column::AsFound,
        Column::AsLeft,
        Column::Nominal,
        Column::U,
        Column::UCommon,
        Column::Lower,
        Column::Upper,
        Column::InTolerance,
        Column::Event,
        Column::Usage,
        Column::Kind,
        Column::Unit,
        Column::Tolerance,
        Column::Range,
        Column::Source,
        Column::Assigned,
        Column::UAssigned,
        Column::CoverageFactor,
        Column::Group,
        Column::IntervalDays,
        Column::NextDue,
    ];

    /// Place in [`Column::ALL`].
    pub(crate) fn index(self) -> usize {
        self as usize
    }

    /// The name in our own tables and in `[checks.columns]`.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Column::Instrument => "instrument",
            Column::Point => "point",
            Column::Date => "date",
            Column::AsFound => "as_found",
            Column::AsLeft => "as_left",
            Column::Nominal => "nominal",
            Column::U => "u",
            Column::UCommon => "u_common",
            Column::Lower => "lower",
            Column::Upper => "upper",
            Column::InTolerance => "in_tolerance",
            Column::Event => "event",
            Column::Usage => "usage",
            Column::Kind => "kind",
            Column::Unit => "unit",
            Column::Tolerance => "tolerance",
            Column::Range => "range",
            Column::Source => "source",
            Column::Assigned => "assigned",
            Column::UAssigned => "u_assigned",
            Column::CoverageFactor => "coverage_factor",
            Column::Group => "group",
            Column::IntervalDays => "interval_days",
            Column::NextDue => "next_due",
        }
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
