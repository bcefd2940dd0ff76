/*! `diagnostics`: tests of each shown history about its line or curve, and the outliers for the chart. */

use crate::drift::Fit;
use crate::drift::diagnostics::tests::{Diagnostics, diagnose};
use crate::drift::series::readings::{Axis, fill_readings};
use crate::files::run_error::RunError;
use crate::records::{History, Item};
use crate::report::SectionView;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::stats::p_digits;
use std::borrow::Cow;

/// The tests of one history.
#[derive(Debug, Clone)]
pub(crate) struct Tested<'a> {
    /// What was found.
    pub found: Cow<'a, Diagnostics>,
    /// Number of readings that lie far off the others, as the fit sees them.
    pub suspects: usize,
}

impl<'a> Tested<'a> {
    /// The tests of one history: what is `known` of it already, made here otherwise.
    pub(crate) fn of(
        history: &History<'_>,
        fit: &Fit,
        axis: Axis,
        known: Option<&'a Diagnostics>,
    ) -> Self {
        let made = || {
            let mut readings = Vec::new();
            fill_readings(history, axis, &mut readings);
            Cow::Owned(diagnose(fit, &readings, axis))
        };
        Self {
            found: known.map_or_else(made, Cow::Borrowed),
            suspects: fit.suspects.len(),
        }
    }

    /// What the tests are about.
    fn line(&self) -> &'static str {
        match self.found.about_curve {
            true => "fitted curve",
            false => "straight line",
        }
    }

    fn reading_guide(&self) -> String {
        let taken_out = match self.found.steps_taken_out {
            0 => "",
            1 => {
                " Likeness of neighbours, runs, scatter and yearly swing are of the readings after the step without an event was taken out."
            }
            _ => {
                " Likeness of neighbours, runs, scatter and yearly swing are of the readings after the steps without an event were taken out."
            }
        };
        format!(
            "Small p: the readings are hard to explain by a {} with independent normal scatter. Wander and steps, which the state model follows, show here too.{taken_out}",
            self.line()
        )
    }

    /// Name, statistic and p of each test that could be made.
    fn rows(&self) -> Vec<Vec<String>> {
        let found = &self.found;
        let row = |name: &str, statistic: String, p: f64| vec![name.into(), statistic, p_digits(p)];
        let spacing = |evenly| {
            if evenly {
                "evenly spaced"
            } else {
                "unevenly spaced"
            }
        };
        let rows = [
            found
                .consistency
                .map(|p| row("scatter against the stated u (χ²)", String::new(), p)),
            found.trend.as_ref().map(|test| {
                let tau = format!("τ = {:.2}", test.tau);
                row("trend by ranks (Mann–Kendall)", tau, test.p)
            }),
            found.neighbours.as_ref().map(|test| {
                let d = format!("d = {:.2}, {}", test.d, spacing(test.evenly_spaced));
                row("likeness of neighbours (Durbin–Watson)", d, test.p)
            }),
            found.runs.map(|(count, expected, p)| {
                let runs = format!("{count}, {expected:.1} expected");
                row("runs of signs", runs, p)
            }),
            found.normality.as_ref().map(|test| {
                let w = format!("W = {:.3}", test.w);
                row("normal scatter (Shapiro–Wilk)", w, test.p)
            }),
            found.annual.as_ref().map(|annual| {
                let amplitude = format!("amplitude {:.3e}", annual.amplitude);
                row("yearly swing", amplitude, annual.p)
            }),
            found.changes.as_ref().map(|changes| {
                let steps = changes.cuts.len().to_string();
                row("steps without an event", steps, changes.p)
            }),
        ];
        rows.into_iter().flatten().collect()
    }

    /// The tests as a table of the instrument's page; `None` where nothing could be tested.
    pub(crate) fn section(&self) -> Option<SectionView> {
        let rows = self.rows();
        (!rows.is_empty()).then(|| {
            SectionView::of(
                format!("Tests about the {}", self.line()),
                [self.reading_guide()],
            )
            .table("test | statistic | p", rows)
        })
    }
}

/// Writes `diagnostics.csv` and `diagnostics.parquet`: one row a history that has a page.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(tested: &[(&Item, &Tested<'_>)], to: TableFolder<'_>) -> Result<(), RunError> {
    to.write("diagnostics", &table(tested))
}

pub(super) fn table<'a>(tested: &[(&'a Item, &Tested<'_>)]) -> Table<'a> {
    RowTable::of(tested)
        .text("instrument", |(item, _)| &item.instrument)
        .text("point", |(item, _)| &item.point)
        .known("consistency_p", |(_, t)| t.found.consistency)
        .known("trend_tau", |(_, t)| t.found.trend.as_ref().map(|t| t.tau))
        .known("trend_p", |(_, t)| t.found.trend.as_ref().map(|t| t.p))
        .known("robust_slope", |(_, t)| t.found.robust.as_ref().map(|t| t.slope))
        .about("a year")
        .known("robust_slope_lower", |(_, t)| t.found.robust.as_ref().map(|t| t.lower))
        .about("a year")
        .known("robust_slope_upper", |(_, t)| t.found.robust.as_ref().map(|t| t.upper))
        .about("a year")
        .known("durbin_watson", |(_, t)| t.found.neighbours.as_ref().map(|t| t.d))
        .known("durbin_watson_p", |(_, t)| t.found.neighbours.as_ref().map(|t| t.p))
        .known("runs_p", |(_, t)| t.found.runs.map(|r| r.2))
        .known("normality_p", |(_, t)| t.found.normality.as_ref().map(|t| t.p))
        .known("season_amplitude", |(_, t)| t.found.annual.as_ref().map(|t| t.amplitude))
        .known("season_p", |(_, t)| t.found.annual.as_ref().map(|t| t.p))
        .count("steps_without_event", |(_, t)| {
            t.found.changes.as_ref().map_or(0, |c| c.cuts.len())
        })
        .about("taken out before order, shape, season and outliers are judged where `steps_p` is below 0.01")
        .known("steps_p", |(_, t)| t.found.changes.as_ref().map(|c| c.p))
        .count("outliers", |(_, t)| t.suspects)
        .done()
}
