/*! What a cell above the table says of all its rows: `Serial no.: 12345`, or `Serial no.` and 12345 beside it. */

use crate::records::LoadError;

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
            let beside = || cells.get(i + 1).map(|next| next.trim());
            let value = Some(value)
                .filter(|value| !value.is_empty())
                .or_else(beside)?;
            (!value.is_empty()).then_some((label.trim(), value))
        })
    })
}

/// The name that the cell with this label gives to the instrument of a table.
///
/// # Errors
/// No such cell, or several that say different things.
pub(crate) fn instrument(above: &[Above], label: &str, shown: &str) -> Result<String, LoadError> {
    let wanted = label.trim().trim_end_matches([':', '：']).trim_end();
    let same = |other: &str| other.to_lowercase() == wanted.to_lowercase();
    let mut values: Vec<&str> = labels(above)
        .filter(|(other, _)| same(other))
        .map(|(_, value)| value)
        .collect();
    values.dedup();
    match values.as_slice() {
        [one] => Ok((*one).to_string()),
        [] => Err(LoadError::new(
            shown,
            format!(
                "no cell above the table says \"{label}\" (instrument_cell), which names its instrument"
            ),
            "Give the table that cell, with the name behind it or in the next cell; or state another instrument_from under [checks].",
        )),
        several => Err(LoadError::new(
            shown,
            format!(
                "{} cells above the table say \"{label}\" (instrument_cell), with different names: {}",
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
        ];
        let found: Vec<(&str, &str)> = labels(&above).collect();
        assert_eq!(
            found,
            [
                ("Instrument", "PRT-07"),
                ("Serial no.", "12345"),
                ("Gerät", "MG-1")
            ]
        );
    }
}
