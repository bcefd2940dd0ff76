/*! The table of control charts: one row a charted check. */

use crate::control::{ChartedCheck, ItemChart, Point, SignalState, Stretch};
use crate::decisions::controls::Controls;
use crate::files::run_error::RunError;
use crate::records::Histories;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;

/// One charted check of the table.
pub(crate) struct Row<'a> {
    index: usize,
    chart: &'a ItemChart,
    stretch: &'a Stretch,
    /// Number of the check in its stretch.
    at: usize,
    /// True in the stretch since the last restart.
    current: bool,
}

impl Row<'_> {
    fn point(&self) -> &Point {
        &self.stretch.result.points[self.at]
    }

    fn check(&self) -> &ChartedCheck {
        &self.stretch.checks[self.at]
    }

    /// Rules that fired at the check, in words of the table.
    fn signals(&self) -> String {
        let own = self
            .stretch
            .result
            .signals
            .iter()
            .filter(|s| s.index == self.at);
        own.map(|s| s.rule.word()).collect::<Vec<_>>().join(" ")
    }

    fn open(&self) -> bool {
        let open = |s: &SignalState| s.open && s.signal.index == self.at;
        self.current && self.chart.signals.iter().any(open)
    }
}

/// Writes `control.csv` and `control.parquet`: one row a charted check.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    histories: &Histories,
    controls: &Controls,
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    let rows: Vec<Row<'_>> = (controls.charts.iter())
        .flat_map(|(index, chart)| rows(*index, chart))
        .collect();
    to.write_rows("control", &rows, |rows| table(histories, rows))
}

fn rows(index: usize, chart: &ItemChart) -> impl Iterator<Item = Row<'_>> {
    let last = chart.stretches.len() - 1;
    let stretches = chart.stretches.iter().enumerate();
    stretches.flat_map(move |(number, stretch)| {
        (0..stretch.result.points.len()).map(move |at| Row {
            index,
            chart,
            stretch,
            at,
            current: number == last,
        })
    })
}

pub(crate) fn table<'a>(histories: &'a Histories, rows: &[Row<'a>]) -> Table<'a> {
    let item = |r: &Row<'_>| &histories.items[r.index];
    let centre = |r: &Row<'a>| r.stretch.result.centre.as_ref();
    let limits = |r: &Row<'a>| centre(r).map(|centre| centre.limits(r.point().deviation));
    RowTable::of(rows)
        .text("instrument", |r| &item(r).instrument)
        .text("point", |r| &item(r).point)
        .word("role", |r| item(r).role.word())
        .about("of the register")
        .date("date", |r| r.point().date)
        .word("chart", |r| r.chart.about.word())
        .about("about what: drift, constant")
        .word("phase", |r| match r.at < r.stretch.result.base {
            true => "baseline",
            false => "monitoring",
        })
        .about("baseline, monitoring")
        .date("restarted_on", |r| r.stretch.restart.map_or(f64::NAN, |s| s.day))
        .word("restarted_by", |r| r.stretch.restart.map_or("", |s| s.why))
        .about("event or register that began the stretch")
        .whole("readings", |r| Some(r.check().size as i64))
        .about("averaged")
        .number("value", |r| r.check().value)
        .number("expected", |r| r.check().expected)
        .number("deviation", |r| r.check().deviation)
        .about("standard deviation about it")
        .number("charted", |r| r.point().value)
        .about("the residual of a chart about the drift, else the value")
        .number("z", |r| r.point().z)
        .about("its distance from the centre in deviations")
        .known("warning_lower", |r| limits(r).map(|l| l.warning.0))
        .about("of `charted`")
        .known("warning_upper", |r| limits(r).map(|l| l.warning.1))
        .about("of `charted`")
        .known("action_lower", |r| limits(r).map(|l| l.action.0))
        .about("of `charted`")
        .known("action_upper", |r| limits(r).map(|l| l.action.1))
        .about("of `charted`")
        .number("moving_range", |r| r.point().moving_range)
        .known("moving_range_limit", |r| centre(r).map(|c| c.baseline.moving_range_upper()))
        .number("ewma", |r| r.point().ewma.value)
        .number("ewma_half_width", |r| r.point().ewma.half_width)
        .about("of its limits")
        .number("cusum_upper", |r| r.point().cusum.upper)
        .about("in deviations")
        .number("cusum_lower", |r| r.point().cusum.lower)
        .about("in deviations")
        .number("within_deviation", |r| r.check().within)
        .about("of repeated readings")
        .known("within_limit", |r| r.stretch.within.as_ref()?.limit(r.check().size))
        .made("signals", Row::signals)
        .about("beyond_three, ewma, cusum, moving_range, run, two_of_three, four_of_five, precision, and the warning beyond_two")
        .flag("open", Row::open)
        .about("a signal that counts")
        .word("state", |r| r.chart.state.word())
        .about("of the item today: in_control, warning, out_of_control, unknown")
        .done()
}
