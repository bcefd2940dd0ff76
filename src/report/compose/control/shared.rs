/*! Shifts that many items share, as the report shows them: the sentence, the list and the table. */

use crate::control::{FALSE_ALARM, SharedShift, SharedShifts};
use crate::decisions::controls::Controls;
use crate::files::run_error::RunError;
use crate::report::SectionView;
use crate::report::row_table::RowTable;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::TableFolder;
use crate::report::text::{count, iso_date, with_minus_signs};
use crate::words::significant;

/// The shared shifts in one sentence; empty where there is none.
pub(super) fn shared_words(controls: &Controls) -> String {
    let shifts = &controls.shared.shifts;
    match shifts.as_slice() {
        [] => String::new(),
        [only] => format!("A shift is shared: {}.", only.words()),
        [first, ..] => format!(
            "{} are shared by many items, the first: {}.",
            count(shifts.len(), "shift"),
            first.words()
        ),
    }
}

/// The shifts that many items share, on the index and in the summary; `None` where there is none.
pub(crate) fn shared_section(controls: &Controls) -> Option<SectionView> {
    let shared = &controls.shared;
    let row = |(at, shift): (usize, &SharedShift)| {
        let (from, until) = (iso_date(shift.from), iso_date(shift.until));
        let seen = if from == until {
            from
        } else {
            format!("{from} to {until}")
        };
        let figures = [significant(shift.size, 3), significant(shift.mean, 2)];
        let [size, mean] = figures.map(|figure| with_minus_signs(&figure));
        let size = format!("{size} {}", shift.unit);
        vec![
            shift.class_words(),
            seen,
            shift.items.to_string(),
            size,
            mean,
            shared.resting_on(at).to_string(),
        ]
    };
    let first = "What the items of one class show in one month together is the reference's or the method's, before any item is blamed for it. Until a person has found the cause no interval of these items grows, and neither a probability nor a value is stated of them: no reading tells whether those before the shift or those since are right.".into();
    let second = format!(
        "Of {} tested, one in {} would tell of a shift where nothing is shared. Once the cause is known: name the source of each reading (column source), state the reference's new value (revaluations under [checks]), or say that the shift was judged (shared_judged_until under [control]).",
        match shared.tested {
            1 => "1 class".to_string(),
            several => format!("{several} classes"),
        },
        (1.0 / FALSE_ALARM).round()
    );
    (!shared.shifts.is_empty()).then(|| {
        SectionView::of("Shifts that many items share", [first, second]).table(
            "class | seen from | items | shift | in standard deviations | decisions that wait",
            shared.shifts.iter().enumerate().map(row),
        )
    })
}

/// Writes `shared_shifts.csv` and `.parquet`; nothing where no shift is shared.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write_shared(controls: &Controls, to: TableFolder<'_>) -> Result<(), RunError> {
    if controls.shared.shifts.is_empty() {
        return Ok(());
    }
    to.write("shared_shifts", &shared_table(&controls.shared))
}

pub(crate) fn shared_table(shared: &SharedShifts) -> Table<'_> {
    let resting = (0..shared.shifts.len()).map(|at| Some(shared.resting_on(at) as i64));
    RowTable::of(&shared.shifts)
        .text("group", |s| &s.group)
        .text("unit", |s| &s.unit)
        .date("from", |s| s.from)
        .about("first reading of the first month that shows it")
        .date("until", |s| s.until)
        .about("last reading of the last month that shows it")
        .count("items", |s| s.items)
        .about("checked in those months, those of each month counted")
        .number("shift", |s| s.size)
        .about("mean of reading minus prediction")
        .number("mean_residual", |s| s.mean)
        .about("the same in standard deviations of the prediction")
        .number("score", |s| s.score)
        .about("of the weightiest month, standard normal where nothing is shared")
        .number("score_limit", |s| s.limit)
        .count("months_tested", |s| s.tested)
        .number("false_alarm_probability", |_| FALSE_ALARM)
        .about("of all months of the class together")
        .with("decisions_waiting", Cells::Whole(resting.collect()))
        .done()
}
