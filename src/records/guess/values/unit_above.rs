/*! A unit that a cell above the table states for all of it: `Unit: mK`, `All values in mK`. */

use crate::records::cells::column::Column;
use crate::records::cells::unit::{Unit, of_header, same_unit, spoken};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::guess::sample::NO_UNIT;
use crate::records::reading::header::above::{Above, labels};
use crate::records::words::words;

/// The cell above a table that states a unit, with that unit; `None` where none does, or several state
/// different ones.
pub(crate) fn stated(above: &[Above]) -> Option<(String, String)> {
    let names = |label: &str| words(Column::Unit).contains(&folded(label));
    let labelled = labels(above)
        .filter(|(label, _)| names(label))
        .map(|(label, value)| (format!("{label}: {value}"), value));
    let sentences = above.iter().flat_map(|(_, cells)| cells);
    let unit_in = |cell| behind_in(cell).or_else(|| in_brackets(cell));
    let said = sentences.filter_map(|cell| Some((cell.trim().to_string(), unit_in(cell)?)));
    let known = |(_, unit): &(String, &str)| Unit::parse(unit).is_some();
    let mut found = labelled.chain(said).filter(known);
    let (cell, unit) = found.next()?;
    found
        .all(|(_, other)| same_unit(unit, other))
        .then(|| (cell, unit.to_string()))
}

/// The last word of a sentence behind "in", such as `Alle Werte in mK`.
fn behind_in(cell: &str) -> Option<&str> {
    let cell = cell.trim().trim_end_matches(['.', ')', ']']);
    let (before, last) = cell.rsplit_once(char::is_whitespace)?;
    let is_in = before.trim_end().rsplit(char::is_whitespace).next()?;
    ["in", "en"].contains(&is_in).then_some(last)
}

/// The unit in brackets at the end of a title, such as `Errors of the gauges [mK]`.
fn in_brackets(cell: &str) -> Option<&str> {
    let cell = cell.trim();
    of_header(cell).filter(|_| cell.ends_with([']', ')']))
}

/// Takes the unit for that of what was found where nothing else states one, and asks; asks too where
/// the header states another.
pub(crate) fn about_unit_above(guess: &mut Guess, cell: &str, unit: &str) {
    let unread = guess.to_check.iter().any(|line| line == NO_UNIT);
    let words = match guess.unit.is_empty() {
        true if unread => format!(
            "Neither headers nor cells state a unit; \"{cell}\" stands above the table, and the draft takes {unit} for the unit of all numbers without one."
        ),
        false if !same_unit(&guess.unit, unit) => format!(
            "The header states {}, and \"{cell}\" stands above the table: the draft goes by the header.",
            guess.unit
        ),
        _ => return,
    };
    if guess.unit.is_empty() {
        guess.to_check.retain(|line| line != NO_UNIT);
        guess.unit = spoken(unit).into_owned();
    }
    let doubt = Doubt::new("unit_above", words);
    let own = guess.unit.clone();
    guess
        .doubts
        .push(doubt.or(format!("in {own}"), Answer::AsTaken));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_above_a_table_is_found() {
        let of = |cells: &[&str]| {
            let above = [(1, cells.iter().map(|cell| cell.to_string()).collect())];
            stated(&above).map(|(_, unit)| unit)
        };
        for (cells, expected) in [
            (&["Unit: mK"][..], Some("mK")),
            (&["Einheit", "mK"], Some("mK")),
            (&["Results (all values in µm)"], Some("µm")),
            (&["Alle Werte in mK."], Some("mK")),
            (&["Valeurs en mV"], Some("mV")),
            (&["Unit: PRT-07"], None),
            (&["Made in 2024"], None),
            (&["Unit: mK", "Unit: K"], None),
            (&["Calibration results"], None),
        ] {
            assert_eq!(of(cells).as_deref(), expected, "{cells:?}");
        }
    }
}
