/*! Several points in one history: readings of one day at different nominal values, with no column
that tells their points apart. Mixed, they would look like one item that wanders. */

use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::number::Number;
use crate::records::cells::sparse::value;
use crate::records::cells::unit::{Quantity, Unit};
use crate::records::date;
use crate::records::load::group::{Entry, Groups};

/// Share of the nominal value by which reference values of one point differ at the most.
/// Common practice, no source: two set points lie farther apart.
const ONE_POINT: f64 = 0.01;

/// Refuses histories that mix points. `file` gives the name of a file by its index.
///
/// # Errors
/// The first such history with its day and its values, and the setting to state.
pub(crate) fn check(
    groups: &Groups,
    batches: &[Batch],
    file: impl Fn(u32) -> String,
) -> Result<(), LoadError> {
    if batches.iter().all(|batch| batch.stated_nominal.is_empty()) {
        return Ok(());
    }
    for (pair, &code) in groups.offsets.windows(2).zip(&groups.order) {
        let entries = &groups.entries[pair[0]..pair[1]];
        for (a, b) in entries.iter().zip(entries.iter().skip(1)) {
            if a.date.floor() != b.date.floor() {
                continue;
            }
            let nominal = |entry: &Entry| {
                let batch = &batches[entry.batch as usize];
                value(&batch.stated_nominal, entry.row, f64::NAN)
            };
            // Nominal values are kept in the plain unit of their quantity; a temperature beside errors in mK is in °C.
            let shown = |plain: f64, entry: &Entry| {
                let batch = &batches[entry.batch as usize];
                let code = batch.unit.get(entry.row as usize);
                let unit = match &*batch.nominal_unit {
                    "" => code.map_or("", |code| batch.units.get(*code).0),
                    own => own,
                };
                let number = Number::from_double(plain);
                match (number, Unit::parse(unit)) {
                    (
                        Some(number),
                        Some(Unit {
                            power,
                            quantity: Quantity::Of(_) | Quantity::Made(_),
                        }),
                    ) => {
                        format!("{} {unit}", number.scaled(-power).value)
                    }
                    _ => plain.to_string(),
                }
            };
            let (first, second) = (nominal(a), nominal(b));
            let apart = (first - second).abs() > ONE_POINT * first.abs().max(second.abs());
            let (item, point) = groups.names.get(code);
            // A stated point may have what its reference read that day beside it; only set points
            // come back.
            let returns = |value: f64| {
                let mut others = entries.iter().filter(|e| e.date.floor() != a.date.floor());
                others.any(|other| nominal(other) == value)
            };
            if apart && (point.is_empty() || returns(first) && returns(second)) {
                let words = match point {
                    "" => "no point tells them apart".to_string(),
                    point => format!("the point \"{point}\" does not tell them apart"),
                };
                let what = format!(
                    "{item} has readings at the nominal values {} and {} on {}, and {words}: one history would mix them",
                    shown(first, a),
                    shown(second, b),
                    date::iso(a.date.floor())
                );
                let mend = "State point_from = [\"…\"] under [checks], with the headers of the columns that tell points apart (such as that of the nominal value); or point = false under [checks.columns] where all are of one point.";
                let place = file(batches[a.batch as usize].file);
                return Err(LoadError::new(place, what, mend).asking("point_from"));
            }
        }
    }
    Ok(())
}
