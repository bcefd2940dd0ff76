/*! Decimal signs and thousands: what the cells of a file say of their points and commas.

`1.234` is one and a bit, or one thousand and more: a factor of 1000. A cell such as
`0.5`, `12.25` or `1,234.5` tells which; one whose mark stands before exactly three digits
does not. So the cells of a whole file decide, and where they do not, a person is asked.
*/

mod cell;
mod judge;
mod seen;

use super::column::COLUMN_COUNT;
pub(crate) use seen::Seen;
use serde::{Deserialize, Serialize};

/// How numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(crate) struct Marks {
    /// True where the comma is the decimal sign.
    pub comma: bool,
    /// True where the other mark groups thousands.
    pub grouped: bool,
}

impl Marks {
    /// The decimal sign, and the other mark between thousands.
    pub(crate) fn with_thousands(comma: bool) -> Self {
        Marks {
            comma,
            grouped: true,
        }
    }
}

impl From<bool> for Marks {
    fn from(comma: bool) -> Self {
        Marks {
            comma,
            grouped: false,
        }
    }
}

/// How the numbers of each column are written.
pub(crate) type ColumnMarks = [Marks; COLUMN_COUNT];

/// True where `mark` cuts the digits into groups of three behind one to three that are not
/// zero throughout.
pub(crate) fn grouped(unsigned: &str, mark: char) -> bool {
    let mut groups = unsigned.split(mark);
    let first = groups.next().unwrap_or("");
    let digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first_fits = (1..=3).contains(&first.len()) && digits(first) && !first.starts_with('0');
    first_fits && groups.all(|group| group.len() == 3 && digits(group))
}
