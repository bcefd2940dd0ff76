/*! Several points in one history: readings at different nominal values on one day, or in turn on several,
with no column that tells their points apart. Mixed, they would look like one item that wanders. */

use super::set_points::set_points;
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
        let (item, point) = groups.names.get(code);
        let Some((first, second)) = mixed(entries, batches, point) else {
            continue;
        };
        let words = match point {
            "" => "no point tells them apart".to_string(),
            point => format!("the point \"{point}\" does not tell them apart"),
        };
        let days = [first, second].map(|entry| date::iso(entry.date.floor()));
        let when = match days[0] == days[1] {
            true => format!("on {}", days[0]),
            false => format!("in turn ({} and {})", days[0], days[1]),
        };
        let what = format!(
            "{item} has readings at the nominal values {} and {} {when}, and {words}: one history would mix them",
            shown(first, batches),
            shown(second, batches),
        );
        let mend = "State point_from = [\"…\"] under [checks], with the headers of the columns that tell points apart (such as that of the nominal value); or point = false under [checks.columns] where all are of one point.";
        let place = file(batches[first.batch as usize].file);
        return Err(LoadError::new(place, what, mend).asking("point_from"));
    }
    Ok(())
}

/// Two checks of different points in the history of `entries`, in the order of their dates.
fn mixed<'e>(
    entries: &'e [Entry],
    batches: &[Batch],
    point: &str,
) -> Option<(&'e Entry, &'e Entry)> {
    let nominal = |entry: &Entry| {
        let batch = &batches[entry.batch as usize];
        value(&batch.stated_nominal, entry.row, f64::NAN)
    };
    let on_one_day = entries.windows(2).find(|pair| {
        let day = pair[0].date.floor();
        let (first, second) = (nominal(&pair[0]), nominal(&pair[1]));
        let apart = (first - second).abs() > ONE_POINT * first.abs().max(second.abs());
        // A stated point may have what its reference read that day beside it; only set points
        // come back.
        let returns = |value: f64| {
            let mut others = entries.iter().filter(|e| e.date.floor() != day);
            others.any(|other| nominal(other) == value)
        };
        let comes_back = || point.is_empty() || returns(first) && returns(second);
        day == pair[1].date.floor() && apart && comes_back()
    });
    if let Some(pair) = on_one_day {
        return Some((&pair[0], &pair[1]));
    }
    let values: Vec<f64> = entries.iter().map(nominal).collect();
    if values.iter().all(|value| *value == values[0]) || values.iter().any(|value| value.is_nan()) {
        return None;
    }
    in_turn(&values).map(|(first, second)| (&entries[first], &entries[second]))
}

/// The places of two values at different set points of which one comes back after the other; a set point
/// that was changed for good does not.
fn in_turn(values: &[f64]) -> Option<(usize, usize)> {
    let points = set_points(values);
    let nearest = |value: f64| {
        let away = |point: &f64| (point - value).abs();
        let places = 0..points.len();
        places.min_by(|a, b| away(&points[*a]).total_cmp(&away(&points[*b])))
    };
    let places: Vec<Option<usize>> = values.iter().map(|value| nearest(*value)).collect();
    let changes = places.windows(2).filter(|pair| pair[0] != pair[1]);
    if points.len() < 2 || changes.count() < points.len() {
        return None;
    }
    let second = places.iter().position(|place| *place != places[0])?;
    Some((second - 1, second))
}

/// The nominal value of a check in the unit that its file states it in.
fn shown(entry: &Entry, batches: &[Batch]) -> String {
    let batch = &batches[entry.batch as usize];
    let plain = value(&batch.stated_nominal, entry.row, f64::NAN);
    let code = batch.unit.get(entry.row as usize);
    // Nominal values are kept in the plain unit of their quantity; a temperature beside errors in mK is in °C.
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
        ) => format!("{} {unit}", number.scaled(-power).value),
        _ => plain.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::in_turn;

    #[test]
    fn set_points_that_come_back_in_turn_are_mixed() {
        assert_eq!(in_turn(&[35.0, 75.0, 35.0, 75.0]), Some((0, 1)));
        assert_eq!(in_turn(&[0.0, 0.0, 50.0, 0.0, 50.0]), Some((1, 2)));
        for one in [
            &[35.0, 35.0, 75.0, 75.0][..],
            &[20.0, 21.4, 22.1, 23.0],
            &[100.0, 100.001, 100.0, 100.001],
        ] {
            assert_eq!(in_turn(one), None, "{one:?}");
        }
    }
}
