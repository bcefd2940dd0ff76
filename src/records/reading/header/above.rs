/*! What a cell above the table says of all its rows: `Serial no.: 12345`, or `Serial no.` and 12345 beside it. */

use crate::records::LoadError;
use crate::records::cells::digits::has_digit;

/// A row above a table: its number, and its cells that are not blank.
pub(crate) type Above = (u32, Vec<String>);

/// The cells of a row above a table as one text.
pub(crate) fn as_text((_, cells): &Above) -> String {
    cells.join(" ")
}

/// The labels in the rows above a table, each with what stands behind it or in the next cell.
pub(crate) fn labels(above: &[Above]) -> impl Iterator<Item = (&str, &str)> {
    above.iter().flat_map(|(_, cells)| {
        (0..cells.len()).filter_map(|i| {
            let cell = cells[i].trim();
            let (label, value) = match cell.split_once([':', '：']) {
                Some((label, value)) => (label, value.trim()),
                None => (cell, ""),
            };
            if cells.len() == 1 && value.is_empty() {
                return titled(cell);
            }
            let beside = || cells.get(i + 1).map(|next| next.trim());
            let value = Some(value)
                .filter(|value| !value.is_empty())
                .or_else(beside)?;
            (!value.is_empty()).then_some((label.trim(), value))
        })
    })
}

/// A title that ends in a name, as one with letters and a number is: `Micrometer MIC-1`.
pub(crate) fn titled(cell: &str) -> Option<(&str, &str)> {
    let (label, name) = cell.rsplit_once(char::is_whitespace)?;
    let named = name.contains(char::is_alphabetic) && has_digit(name);
    (named && !label.trim().is_empty()).then_some((label.trim(), name))
}

/// What the cells with this label say, each once.
fn said<'a>(above: &'a [Above], label: &str) -> Vec<&'a str> {
    let mut values: Vec<&str> = labels(above)
        .filter(|(other, _)| same_label(other, label))
        .map(|(_, value)| value)
        .collect();
    values.dedup();
    values
}

/// True where two labels are the same but for capitals and a colon.
pub(crate) fn same_label(one: &str, other: &str) -> bool {
    let bare = |label: &str| {
        let label = label.trim().trim_end_matches([':', '：']);
        label.trim_end().to_lowercase()
    };
    bare(one) == bare(other)
}

/// The name that the cell with this label gives to the instrument of a table.
///
/// # Errors
/// No such cell, or several that say different things.
pub(crate) fn instrument(above: &[Above], label: &str, shown: &str) -> Result<String, LoadError> {
    let what = ("instrument_cell", "which names its instrument");
    one(above, label, what, shown).map(String::from)
}

/// What the cell with this label says of the day of a table.
///
/// # Errors
/// No such cell, or several that say different things.
pub(crate) fn day<'a>(above: &'a [Above], label: &str, shown: &str) -> Result<&'a str, LoadError> {
    let what = ("date_cell", "which states its day");
    one(above, label, what, shown)
}

fn one<'a>(
    above: &'a [Above],
    label: &str,
    (setting, what): (&str, &str),
    shown: &str,
) -> Result<&'a str, LoadError> {
    match said(above, label).as_slice() {
        [one] => Ok(one),
        [] => Err(LoadError::new(
            shown,
            format!("no cell above the table says \"{label}\" ({setting}), {what}"),
            format!(
                "Give the table that cell, with what it says behind it or in the next cell; or take {setting} out under [checks]."
            ),
        )),
        several => Err(LoadError::new(
            shown,
            format!(
                "{} cells above the table say \"{label}\" ({setting}), and different things: {}",
                several.len(),
                several.join(", ")
            ),
            "State a label that stands there once.",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_have_their_value_behind_them_or_in_the_next_cell() {
        let row = |cells: &[&str]| (1, cells.iter().map(|c| c.to_string()).collect());
        let above: Vec<Above> = vec![
            row(&["Calibration log"]),
            row(&["Instrument: PRT-07", "Serial no.", "12345"]),
            row(&["Gerät:", "MG-1"]),
            row(&["Micrometer MIC-1"]),
        ];
        let found: Vec<(&str, &str)> = labels(&above).collect();
        assert_eq!(
            found,
            [
                ("Instrument", "PRT-07"),
                ("Serial no.", "12345"),
                ("Gerät", "MG-1"),
                ("Micrometer", "MIC-1")
            ]
        );
    }
}
