/*! Numbers whose minus stands behind them, as some programs print it: read as less than 0, and told. */

use super::column::Column;
use super::field::Field;
use super::number::written::parts;
use super::row::rules::Fields;

/// Columns of numbers that may lie below 0.
const SIGNED: [Column; 6] = [
    Column::AsFound,
    Column::AsLeft,
    Column::Nominal,
    Column::Lower,
    Column::Upper,
    Column::Assigned,
];

/// Such numbers of a batch.
#[derive(Debug, Default)]
pub(crate) struct MinusBehind {
    /// How many there are.
    pub cells: usize,
    /// The first: its row inside the batch, its column, its text.
    pub first: Option<(u32, Column, String)>,
}

impl MinusBehind {
    /// Takes in the cells of a row that is used.
    pub(crate) fn see(&mut self, row: u32, fields: &Fields<'_>) {
        for column in SIGNED {
            let Field::Text(text) = fields[column] else {
                continue;
            };
            if has_minus_behind(text) {
                self.cells += 1;
                self.first
                    .get_or_insert_with(|| (row, column, text.trim().to_string()));
            }
        }
    }
}

/// True for `1,32-` and `1.32- mV`.
fn has_minus_behind(text: &str) -> bool {
    let text = text.trim();
    // Most numbers have no sign behind their first one.
    let inside = text.bytes().skip(1).any(|byte| byte == b'-');
    inside && {
        let (number, _) = parts(text);
        let digits = number.strip_suffix('-');
        digits.is_some_and(|digits| digits.ends_with(|c: char| c.is_ascii_digit()))
    }
}

#[cfg(test)]
mod tests {
    use super::has_minus_behind;

    #[test]
    fn a_minus_behind_a_number_is_told_from_others() {
        for text in ["1,32-", " 0.5- ", "1.32- mV", "12-"] {
            assert!(has_minus_behind(text), "{text}");
        }
        for text in [
            "-1.32",
            "1e-3",
            "5-7",
            "-",
            "--",
            "1.5 - 2",
            "20 g - 0.1 mg",
            "",
        ] {
            assert!(!has_minus_behind(text), "{text}");
        }
    }
}
