/*! Settings of the records: `[checks]`, `[register]` and their column mappings. */

mod forms;
pub(crate) mod words;
pub(crate) mod written;

use super::Event;
use super::cells::column::CheckColumns;
use super::cells::number::power_of_ten::PowerOfTen;
use super::cells::remarks::EVENTS_IN_REMARKS;
use super::cells::row::set_point::SetPoints;
use super::cells::void_rows::VOID_ROWS;
use super::date::UsableDateFormat;
use super::grid::Display;
use super::reading::plain_file;
use super::reading::wide::WideSettings;
use super::register::columns::RegisterColumns;
use super::screening::tolerance_of_all::UsableTolerance;
use crate::settings::{SettingError, SettingsTable};
use std::collections::BTreeMap;
use words::{
    AsFoundIs, Brackets, EventsOf, FootnoteMarks, InstrumentFrom, LimitsAre, Pairs, PerCentOf,
    Repeats, StatedOutcome, SumsAre, TimeUnit,
};
use written::table_settings;

table_settings! {
    /// Where the check histories are and how they are written.
    pub struct ChecksSettings in "checks" {
        /// Files, globs and folders of checks (CSV, Parquet or workbooks), relative to the pipeline file.
        files: Vec<String> = Vec::new(),
        /// Sheets of workbooks that are read, such as ["2024", "2025"]; empty = all that have the columns and are not hidden.
        sheets: Vec<String> = Vec::new(),
        /// Largest file that a run reads (checks, register, jobs, readings), megabytes; a larger one stops it.
        largest_file_mb: u32 = plain_file::LARGEST_MB => at_least(1.0).at_most(MOST_MB),
        /// Most that a workbook may unpack to, megabytes; a larger one stops the run.
        largest_unpacked_mb: u32 = plain_file::LARGEST_UNPACKED_MB => at_least(1.0).at_most(MOST_MB),
        ..written,
        /// Format of the dates in the column next_due where it is not date_format, such as "last day of %m/%Y"; empty: as date_format.
        next_due_format: String = String::new() => UsableDateFormat,
        /// Words that stand for an empty field, such as ["n/a"].
        empty: Vec<String> = Vec::new(),
        /// Unit of rows that state none.
        unit: String = String::new(),
        /// Number that divides the column u, for records that keep expanded uncertainties (k = 2: 2).
        coverage_factor: f64 = 1.0 => above(0.0),
        /// Unit of the column interval_days where its cells state none: days, weeks, months (365.25/12 days) or years (365.25 days), each rounded to whole days.
        interval_in: TimeUnit = TimeUnit::Days,
        /// What as_found is: "value", from which the nominal value is subtracted, "error" already, or "correction" (minus the error); "auto" goes by numbers and header, and refuses where two readings fit.
        as_found_is: AsFoundIs = AsFoundIs::Auto,
        /// What lower and upper are limits of: the "error", or the "value", and the nominal value is subtracted; "auto" takes them for limits of the error, and refuses where they hold the nominal value and not 0.
        limits_are: LimitsAre = LimitsAre::Auto,
        /// Where the names of the instruments stand: in the "column" instrument, or each "file" has the name of its one instrument (TH-014.csv), or each "sheet" of a workbook, or a "cell" above the table names it (instrument_cell).
        instrument_from: InstrumentFrom = InstrumentFrom::Column,
        /// Label of the cell above the table behind or beside which the name of its one instrument stands, such as "Serial no.", where instrument_from is "cell".
        instrument_cell: String = String::new(),
        /// Label of the cell above a table that states the day of its checks where their rows state none, as in "Calibration date" (a certificate of its own day); the date stands behind it or in the next cell.
        date_cell: String = String::new(),
        /// Format of the day that the name of each file states where its rows state none, such as "first day of %Y-%m" for 2026-03_checks.csv; empty: names of files state none.
        date_in_file_name: String = String::new() => UsableDateFormat,
        /// Headers of the columns of the year, the month and the day of a check, in this order, such as ["Year", "Month", "Day"], where no column states its date; the year has four digits, the month a number or a name.
        date_from: Vec<String> = Vec::new(),
        /// Header of the column that states the time of day where that of the date states the day alone, such as "Uhrzeit": checks of one day follow each other by it.
        time_in: String = String::new(),
        /// Headers of the columns that tell the points of an instrument apart, such as ["Function", "Nominal"], where no column point does.
        point_from: Vec<String> = Vec::new(),
        /// Set points, such as [100, 400, 800], for which the numbers in the columns of point_from are taken, where these hold what a reference read there (399.87); a row whose number lies farther from the nearest than a quarter of the way to the next is rejected. Empty: each number is a point of its own.
        set_points: Vec<f64> = Vec::new() => SetPoints,
        /// Header of the column that tells rows as left from rows as found, such as "Condition": the value of a row as left is what was left (as_left) at the newest row as found of its day or the 31 days before.
        left_rows_by: String = String::new(),
        /// Words in that column of rows as left, such as ["As left"]; every other row is as found.
        left_rows_are: Vec<String> = Vec::new(),
        /// Header of the column that says of rows that they do not count, such as "Status": they are rejected with that for a reason, and a failure or an adjustment in one is named and stops nothing.
        void_rows_by: String = String::new(),
        /// Words with which its cells say so, alone or before more words, such as ["void", "superseded"]; every other row counts.
        void_rows_are: Vec<String> = Vec::new(),
        /// Headers of columns whose value stands only in the first row of its block, outer ones first, such as ["Instrument", "Point"]: blank cells below take it, up to a blank row, a sum, a note or the next value.
        fill_down: Vec<String> = Vec::new(),
        /// Headers of the columns that repeat the reading in as_found, such as ["Reading 2", "Reading 3"]: their mean with it is what was found, and their scatter is told.
        repeated_in: Vec<String> = Vec::new(),
        /// Headers that are left out knowingly, such as ["Operator"]: where it is stated, a run tells of every other column that is not read, as one that came later; absent = none is told for that.
        not_read: Option<Vec<String>> = None,
        /// What a cell of as_found with two numbers holds, such as 5.2 / 0.3, 5.2 ± 0.3 or 5.21(3): "found_left" or "found_u" (digits in brackets count from the last one of the value on); "auto" goes by the header, and rejects the row where it says nothing.
        pairs: Pairs = Pairs::Auto,
        /// What a per cent of the column tolerance is of: "reading" (the nominal value) or "range"; "auto" goes by the cell, and rejects the row where it says nothing.
        per_cent_of: PerCentOf = PerCentOf::Auto,
        /// What round brackets around a number are, as in (0.12): a minus ("negative"), or none ("plain"); "auto" rejects the row.
        brackets: Brackets = Brackets::Auto,
        /// What becomes of the mark of a footnote beside a number, as in 5.2* or 5.2 a): it is "ignored" and the number counts; "auto" rejects the row, since the footnote may say that it does not.
        footnote_marks: FootnoteMarks = FootnoteMarks::Auto,
        /// What rows are that have a date and a value and are named as a sum or a mean ("Mean V8", "average", "s"): set "aside", or "records" like others; "auto" refuses the file.
        sums_are: SumsAre = SumsAre::Auto,
        /// What a power of ten that a header states apart from its unit means, as in `Error ×10³ [V]`: the "unit" is so many times larger, the "numbers" were multiplied by it, or "none" (a magnification, say); "auto" refuses the file. Before a unit, as in `[10⁻³ V]`, it scales the unit by itself.
        power_of_ten: PowerOfTen = PowerOfTen::Auto,
        /// Step of the display on which values are read, in their unit: its part is added to u; 0: as the values show.
        resolution: f64 = 0.0 => at_least(0.0),
        /// What that display does with what is behind its step: it "rounds", it "cuts" values off towards zero (as they stand in the table, before the nominal value is subtracted), or the errors in the table are too low by what was cut off ("cuts_down"); half a step is given back to values that were cut, which needs resolution.
        display: Display = Display::Rounds,
        /// Several readings of one history on one day: keep, average or reject (all but the first).
        repeats: Repeats = Repeats::Keep,
        /// True to drop blanks at the ends of instrument and point.
        trim_names: bool = false,
        /// False: a failure or adjustment among the rejected rows stops run, verdict and explain. True: they go on, and a failure whose item and date can be read counts without its values.
        allow_rejected_failures: bool = false,
        /// Table of revaluations of references (reference, date, correction, unit), relative to the pipeline file: what is added to every reading of that source from that day on; absent = none.
        revaluations: Option<String> = None,
        /// Own words for outcomes: pass, fail or unknown, as in { "limited" = "pass" }.
        outcomes: BTreeMap<String, StatedOutcome> = BTreeMap::new(),
        /// Own words for events, as in { "trimmed" = "adjusted" }.
        events: BTreeMap<String, Event> = BTreeMap::new(),
        /// What an event in a row is of: the "point" of its row, or the whole "instrument", so that its checks at other points that day, where they state none, have it too. A repair, replacement, anneal or shock that stands at some points of a day alone is told.
        events_of: EventsOf = EventsOf::Point,
        /// Own headers, as in instrument = "Asset"; see checks.columns.
        columns: CheckColumns = CheckColumns::default(),
        /// Tables of one row an item and one column a date; see checks.wide.
        wide: WideSettings = WideSettings::default(),
        /// What start could not tell for certain, by name; a text that begins with ? is not answered, and stops every run.
        #[serde(skip_serializing_if = "BTreeMap::is_empty")]
        doubts: BTreeMap<String, String> = BTreeMap::new(),
        /// Further files that are written otherwise: each a table [[checks.other]] with its own files, columns and formats.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        other: Vec<ChecksSettings> = Vec::new(),
    }
    together problems_together
}

table_settings! {
    /// The register of instruments, joined by instrument and point.
    pub struct RegisterSettings in "register" {
        /// Register file (CSV, Parquet or workbook), relative to the pipeline file; absent = no register.
        file: Option<String> = None,
        /// Sheet of a workbook; empty = the one that has the columns.
        sheet: String = String::new(),
        ..written,
        /// Format of the dates in the column next_due where it is not date_format, such as "last day of %m/%Y"; empty: as date_format.
        next_due_format: String = String::new() => UsableDateFormat,
        /// Tolerance on the error where neither the register nor the checks state limits, with its unit: "±5 mK" or "-0.1 / +0.2 bar"; needs no register.
        tolerance: String = String::new() => UsableTolerance,
        /// Unit in which interval_days, cap_days and floor_days are stated: days, weeks, months (365.25/12 days) or years (365.25 days), each rounded to whole days.
        interval_in: TimeUnit = TimeUnit::Days,
        /// Own headers, as in group = "Model"; see register.columns.
        columns: RegisterColumns = RegisterColumns::default(),
    }
}

/// Year, month and day.
const PARTS_OF_DATE: usize = 3;

/// Rows and names are numbered with 32 bits; a larger file could have more of them.
const MOST_MB: f64 = 4_294.0;

impl ChecksSettings {
    /// True where a person has said what remarks mean that tell of events and that no column is read from.
    pub(crate) fn remarks_are_answered(&self) -> bool {
        let mut doubts = self.doubts.keys();
        doubts.any(|name| name.starts_with(EVENTS_IN_REMARKS))
    }

    /// True where a person has said that rows count of which a column says that they do not.
    pub(crate) fn void_rows_are_answered(&self) -> bool {
        let stated = |form: &ChecksSettings| !form.void_rows_by.is_empty();
        // Other words than those that a setting names may come later.
        !stated(self)
            && !self.other.iter().any(stated)
            && self.doubts.keys().any(|name| name.starts_with(VOID_ROWS))
    }
}

/// What is wrong with the other forms: their own values, and what holds for all files.
fn problems_together(checks: &ChecksSettings) -> Vec<SettingError> {
    let mut errors = Vec::new();
    if checks.display != Display::Rounds && checks.resolution == 0.0 {
        let words = "a display that cuts off needs its step: state resolution beside it";
        errors.push(SettingError::new("checks", "display", words));
    }
    if checks.instrument_from == InstrumentFrom::Cell && checks.instrument_cell.trim().is_empty() {
        let words = "instrument_from = \"cell\" needs the label of the cell, as in instrument_cell = \"Serial no.\"";
        errors.push(SettingError::new("checks", "instrument_cell", words));
    }
    if !checks.date_from.is_empty() && checks.date_from.len() != PARTS_OF_DATE {
        let words = "expected the headers of three columns: year, month and day, as in date_from = [\"Year\", \"Month\", \"Day\"]";
        errors.push(SettingError::new("checks", "date_from", words));
    }
    if !checks.set_points.is_empty() && checks.point_from.is_empty() {
        let words = "the numbers that are taken for set points stand in a column that point_from names: state it beside it";
        errors.push(SettingError::new("checks", "set_points", words));
    }
    if !checks.left_rows_by.trim().is_empty() && checks.left_rows_are.is_empty() {
        let words = "left_rows_by needs the words of rows as left beside it, as in left_rows_are = [\"As left\"]";
        errors.push(SettingError::new("checks", "left_rows_by", words));
    }
    if !checks.void_rows_by.trim().is_empty() && checks.void_rows_are.is_empty() {
        let words = "void_rows_by needs the words of rows that do not count beside it, as in void_rows_are = [\"void\"]";
        errors.push(SettingError::new("checks", "void_rows_by", words));
    }
    for own in &checks.other {
        let nothing = own
            .files
            .is_empty()
            .then(|| "it names no files".to_string());
        let for_all = stated_for_all(own)
            .map(|key| format!("{key} holds for all files: state it under [checks]"));
        let wrong = own
            .check()
            .into_iter()
            .map(|e| format!("{}: {}", e.key, e.message));
        let words = nothing.into_iter().chain(for_all).chain(wrong);
        errors.extend(words.map(|words| SettingError::new("checks", "other", words)));
    }
    errors
}

/// A key that a form states though it holds for all files.
fn stated_for_all(own: &ChecksSettings) -> Option<&'static str> {
    let none = ChecksSettings::default();
    let stated = [
        (
            "largest_file_mb",
            own.largest_file_mb != none.largest_file_mb,
        ),
        (
            "largest_unpacked_mb",
            own.largest_unpacked_mb != none.largest_unpacked_mb,
        ),
        ("resolution", own.resolution != none.resolution),
        ("display", own.display != none.display),
        ("repeats", own.repeats != none.repeats),
        ("events_of", own.events_of != none.events_of),
        ("trim_names", own.trim_names),
        ("allow_rejected_failures", own.allow_rejected_failures),
        ("doubts", !own.doubts.is_empty()),
        ("other", !own.other.is_empty()),
    ];
    stated
        .into_iter()
        .find_map(|(key, stated)| stated.then_some(key))
}
