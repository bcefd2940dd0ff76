/*! From what the screening of the histories found to rejects and warnings in the person's own headers. */

use super::collect::Headers;
use crate::records::accounts::{Loaded, Reject, RejectKind};
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::row::said::Carried;
use crate::records::cells::row::unused::Unused;
use crate::records::cells::sparse::value;
use crate::records::screening::findings::{Findings, ScreenReject};
use crate::records::{Columns, Event, Outcome};

/// Adds what was found to what is known of the records, in order.
pub(crate) fn collect_findings(
    findings: Vec<Findings>,
    batches: &[Batch],
    headers: &[Headers],
    loaded: &mut Loaded,
) {
    for found in findings {
        loaded.rows.merged += found.merged;
        loaded.warnings.extend(found.warnings);
        let own = found.names;
        loaded
            .rejects
            .extend(found.rejects.into_iter().map(|reject| {
                let batch = &batches[reject.batch as usize];
                let names = &headers[batch.file as usize];
                let carried = carried(&batch.columns, &reject);
                let in_other_unit = reject.column == Column::Unit;
                let unused = in_other_unit.then(|| unused(batch, &own, &reject));
                Reject {
                    file: names.file.clone(),
                    row: batch.first_row + batch.row[reject.row as usize],
                    column: names.of(Some(reject.column)),
                    value: reject.value,
                    reason: reject.reason.into(),
                    kind: match in_other_unit {
                        true => RejectKind::OtherUnit,
                        false => RejectKind::Plain,
                    },
                    shared_cause: None,
                    carried,
                    unused,
                }
            }));
    }
    loaded.order_rejects();
}

/// What a row says of its item whose unit is not that of its history.
fn unused(batch: &Batch, names: &(String, String), reject: &ScreenReject) -> Box<Unused> {
    let number = |column: &[f64]| value(column, reject.row, f64::NAN);
    let columns = &batch.columns;
    let lacks_a_limit = number(&columns.lower).is_nan() || number(&columns.upper).is_nan();
    Box::new(Unused {
        instrument: names.0.clone(),
        point: names.1.clone(),
        date: Some(reject.date),
        error: match lacks_a_limit {
            true => number(&columns.as_found),
            false => f64::NAN,
        },
        unit: reject.value.clone(),
        has_value: true,
    })
}

/// What a row of the columns says of a failure or an event. Its value is in another unit than that of its history, and so
/// are its own limits.
fn carried(columns: &Columns, reject: &ScreenReject) -> Carried {
    let number = |column: &[f64]| value(column, reject.row, f64::NAN);
    let error = number(&columns.as_found);
    let is_out = error < number(&columns.lower) || error > number(&columns.upper);
    let stated = value(&columns.outcome, reject.row, Outcome::Unknown);
    Carried {
        failure: stated == Outcome::Out || reject.column == Column::Unit && is_out,
        event: value(&columns.event, reject.row, Event::None),
    }
}
