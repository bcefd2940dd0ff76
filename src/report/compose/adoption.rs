/*! Assigned and predicted values: the calibrations of the past on an instrument's page and in
the table `adoption`. */

use crate::drift::adoption::assignment::Assignment;
use crate::drift::adoption::compare::{Adoption, Carry, Difference, Stated};
use crate::drift::adoption::past::PastAdoption;
use crate::files::run_error::RunError;
use crate::records::{Given, Histories, History};
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::{BATCH_ROWS, TableFolder, TableWriter};
use crate::report::text::{size, with_minus_signs};
use crate::report::{SectionView, text};
use crate::settings::output::LARGE_FLEET;
use crate::stats::p_value;
use rayon::prelude::*;

/// Calibrations of a history listed in the table, the latest.
const LISTED: usize = 40;
/// Calibrations shown on a page, the latest.
const SHOWN: usize = 12;

/// Calibrations of a history listed in the table of a fleet of `histories`: of a large one the
/// latest alone, which says what is carried now.
pub(crate) fn listed(histories: usize) -> usize {
    if histories > LARGE_FLEET { 1 } else { LISTED }
}

/// Calibrations of a history that its page asks for: one more than it shows tells that there
/// are more.
pub(crate) const OF_PAGE: usize = SHOWN + 1;

/// What is carried, in a word, and its value.
fn carried(past: &PastAdoption) -> (&'static str, Option<Stated>) {
    match (past.left, &past.adoption) {
        (Some(_), _) if past.left_outside => ("unconfirmed", None),
        (Some(left), _) => ("as left", Some(left)),
        (None, None) => ("", None),
        (None, Some(adoption)) => {
            let word = match adoption.carry {
                Carry::Assigned => "assigned",
                Carry::Predicted => "predicted",
                Carry::Unconfirmed => "unconfirmed",
            };
            (word, adoption.value)
        }
    }
}

/// Why, in the words that `reason_of` finds for a comparison.
fn reason(past: &PastAdoption, reason_of: fn(&Adoption) -> String) -> String {
    let judged = past.adoption.as_ref().map_or_else(
        || "neither the record nor the checks before it give an uncertainty".into(),
        reason_of,
    );
    match past.left {
        Some(_) if past.left_outside => format!(
            "{judged}; the item was then left out of tolerance: carry no value before a check has confirmed one"
        ),
        Some(_) => format!("{judged}; the item was then set anew: carry the value as left"),
        None => judged,
    }
}

/// The part of the page; `None` of fewer than two calibrations. Where the advice of a thermometer's
/// sessions says what to carry, `advised`, the part compares and says nothing of that.
pub(crate) fn section(
    history: &History<'_>,
    given: Option<(&Given, usize)>,
    found: &[PastAdoption],
    level: f64,
    advised: bool,
) -> Option<SectionView> {
    if found.is_empty() {
        return None;
    }
    let from = found.len().saturating_sub(SHOWN);
    let headers = [
        "calibration",
        "measured",
        "assigned before",
        "measured − assigned",
        "predicted",
        "measured − predicted",
        "carry",
        "carried value",
    ];
    // The last two say what to carry.
    let shown = headers.len() - if advised { 2 } else { 0 };
    Some(SectionView {
        title: "Assigned and predicted values".into(),
        paragraphs: paragraphs(history, given, found, level, advised),
        headers: headers[..shown].iter().map(|h| h.to_string()).collect(),
        rows: found[from..]
            .iter()
            .map(|past| row(history, past).into_iter().take(shown).collect())
            .collect(),
        ..SectionView::default()
    })
}

/// What the calibrations are compared with, and what to carry after the last.
fn paragraphs(
    history: &History<'_>,
    given: Option<(&Given, usize)>,
    found: &[PastAdoption],
    level: f64,
    advised: bool,
) -> Vec<String> {
    let unit = &history.item.unit;
    let mut paragraphs = vec![format!(
        "Each calibration against the value assigned before it, by a certificate or at the calibration before, and against what all checks before it predicted; a difference is called one where chance would make so large a one less often than {:.0} % of the time.",
        100.0 * (1.0 - level)
    )];
    if found.len() > SHOWN {
        paragraphs.push(format!(
            "The latest {SHOWN} are shown; of a fleet up to {LARGE_FLEET} histories the table adoption has the latest {LISTED}."
        ));
    }
    if advised {
        paragraphs
            .push("What to carry is said under Advice; this is the comparison behind it.".into());
    } else if let Some(last) = found.last().filter(|last| last.adoption.is_some()) {
        paragraphs.push(format!(
            "On {}: {}; {}.",
            text::iso_date(history.date[last.row]),
            with_minus_signs(&Assignment::of_row(history, given, last.assigned_row).assigned(unit)),
            reason(last, Adoption::reason)
        ));
    }
    paragraphs
}

/// A calibration on the page.
fn row(history: &History<'_>, past: &PastAdoption) -> Vec<String> {
    let unit = &history.item.unit;
    let differs = |d: &Difference| {
        let verdict = match d.significant {
            _ if d.p.is_nan() => "cannot be compared",
            true => "differs",
            false => "agrees",
        };
        let difference = size(d.difference, d.u, "");
        format!("{difference} ({verdict}, {})", p_value(d.p))
    };
    let predicted = past.predicted.map(|p| size(p.expected, p.u_error, ""));
    let judged = past.adoption.as_ref();
    let from_predicted = judged.and_then(|a| a.from_predicted.as_ref());
    let (word, value) = carried(past);
    vec![
        text::iso_date(history.date[past.row]),
        size(past.measured.value, past.measured.u, unit),
        size(past.assigned.value, past.assigned.u, ""),
        judged.map_or("no u".into(), |a| differs(&a.from_assigned)),
        predicted.unwrap_or("none".into()),
        from_predicted.map_or(String::new(), differs),
        word.into(),
        value.map_or(String::new(), |v| size(v.value, v.u, unit)),
    ]
}

/// Writes `adoption.csv` and `adoption.parquet`: one row a calibration of each of the histories
/// `shown`, whose calibrations `find` finds. A fleet has a million rows: they are found and
/// written batch by batch.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    histories: &Histories,
    shown: &[usize],
    find: impl Fn(usize) -> Vec<PastAdoption> + Sync,
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    let failed = |why: polars::prelude::PolarsError| RunError::write("adoption", why);
    let mut writer = TableWriter::create(to, "adoption", &table(&[])).map_err(failed)?;
    let mut batch: Vec<(History<'_>, PastAdoption)> = Vec::new();
    for some in shown.chunks(BATCH_ROWS / LISTED) {
        let lists: Vec<Vec<PastAdoption>> = some.par_iter().map(|&index| find(index)).collect();
        if batch.len() + lists.iter().map(Vec::len).sum::<usize>() > BATCH_ROWS {
            writer.write(&table(&batch)).map_err(failed)?;
            batch.clear();
        }
        for (&index, list) in some.iter().zip(lists) {
            let history = histories.get(index);
            batch.extend(list.into_iter().map(|past| (history, past)));
        }
    }
    writer.write(&table(&batch)).map_err(failed)?;
    writer.finish().map_err(failed)
}

pub(super) fn table<'a>(rows: &[(History<'a>, PastAdoption)]) -> Table<'a> {
    type Row<'a> = (History<'a>, PastAdoption);
    let assigned = |(_, past): &Row<'_>| past.adoption.as_ref().map(|a| a.from_assigned);
    let predicted = |(_, past): &Row<'_>| past.adoption.as_ref()?.from_predicted;
    RowTable::of(rows)
        .text("instrument", |(history, _)| &history.item.instrument)
        .text("point", |(history, _)| &history.item.point)
        .date("date", |(history, p)| history.date[p.row])
        .number("measured", |(_, p)| p.measured.value)
        .number("u_measured", |(_, p)| p.measured.u)
        .date("assigned_date", |(history, p)| history.date[p.assigned_row])
        .number("assigned", |(_, p)| p.assigned.value)
        .number("u_assigned", |(_, p)| p.assigned.u)
        .known("difference_from_assigned", |row| Some(assigned(row)?.difference))
        .known("u_difference_from_assigned", |row| Some(assigned(row)?.u))
        .known("p_from_assigned", |row| Some(assigned(row)?.p))
        .word("differs_from_assigned", |row| truth(assigned(row).map(|d| d.significant)))
        .known("predicted", |(_, p)| p.predicted.map(|p| p.expected))
        .known("u_predicted", |(_, p)| p.predicted.map(|p| p.u_error))
        .known("difference_from_predicted", |row| Some(predicted(row)?.difference))
        .known("u_difference_from_predicted", |row| Some(predicted(row)?.u))
        .known("p_from_predicted", |row| Some(predicted(row)?.p))
        .word("differs_from_predicted", |row| truth(predicted(row).map(|d| d.significant)))
        .word("carry", |(_, p)| carried(p).0)
        .about("assigned, predicted or as left; unconfirmed, without a value, where the new one agrees with neither")
        .known("carried_value", |(_, p)| carried(p).1.map(|v| v.value))
        .known("u_carried", |(_, p)| carried(p).1.map(|v| v.u))
        .made("reason", |(_, p)| reason(p, Adoption::verdict))
        .done()
}

/// A truth value that may not be known, as a cell.
fn truth(known: Option<bool>) -> &'static str {
    match known {
        Some(true) => "true",
        Some(false) => "false",
        None => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_fleet_lists_what_is_carried_now() {
        assert_eq!(listed(LARGE_FLEET), LISTED);
        assert_eq!(listed(LARGE_FLEET + 1), 1);
        let shape = table(&[]);
        assert_eq!((shape.names().count(), shape.height()), (22, 0));
    }
}
