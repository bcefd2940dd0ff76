/*! What the format of a cell says of its number: a per cent, thousands, a unit behind it.

Format codes: ECMA-376, part 1, 18.8.31: sections parted by `;`, text in quotes or behind `\\`,
and a comma behind the last digit scales by a thousand. */

use crate::records::cells::unit::Unit;

/// What a format code says.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Code {
    /// True where the number is shown times a hundred, with a % behind: one that is no plain text.
    pub percent: bool,
    /// By how many thousands the number is divided where it is shown, as powers of a thousand.
    pub thousands: u8,
    /// The unit that stands as text behind the number; empty where none does.
    pub unit: String,
}

impl Code {
    /// What `code` says; of several sections the first, which is that of positive numbers.
    pub(crate) fn of(code: &str) -> Self {
        let (mut quoted, mut escaped) = (false, false);
        let (mut percent, mut thousands) = (false, 0_u8);
        let mut digits = false;
        let mut behind = String::new();
        for c in code.chars() {
            let bare = !quoted && !escaped;
            match c {
                '"' if !escaped => quoted = !quoted,
                '\\' if bare => {
                    escaped = true;
                    continue;
                }
                ';' if bare => break,
                '%' if bare => percent = true,
                '0' | '#' | '?' if bare => {
                    behind.clear();
                    thousands = 0;
                    digits = true;
                }
                ',' if bare && digits && behind.is_empty() => {
                    thousands = thousands.saturating_add(1);
                }
                _ if !bare || c == ' ' => behind.push(c),
                _ => {}
            }
            escaped = false;
        }
        let unit = behind.trim();
        let counts = !percent && Unit::parse(unit).is_some();
        Self {
            percent,
            thousands,
            unit: if counts {
                unit.to_string()
            } else {
                String::new()
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_behind_a_number_are_told_from_other_text() {
        for (code, percent, thousands, unit) in [
            ("General", false, 0, ""),
            ("0.00", false, 0, ""),
            ("0.0%", true, 0, ""),
            ("0.00\" mV\"", false, 0, "mV"),
            ("#,##0.0\\ \"µV\";[Red]-#,##0.0\\ \"µV\"", false, 0, "µV"),
            ("0\\ \\m\\V", false, 0, "mV"),
            ("0.0,\" kV\"", false, 1, "kV"),
            ("#,##0.0,,", false, 2, ""),
            ("0 \"pieces\"", false, 0, ""),
            ("\"mV\" 0", false, 0, ""),
            ("0.0\"%\"", false, 0, "%"),
            ("yyyy\\-mm\\-dd", false, 0, ""),
        ] {
            let code_of = Code {
                percent,
                thousands,
                unit: unit.to_string(),
            };
            assert_eq!(Code::of(code), code_of, "{code}");
        }
    }
}
