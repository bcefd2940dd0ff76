/*! Decimal signs and thousands: what the cells of a file say of their points and commas.

`1.234` is one and a bit, or one thousand and more: a factor of 1000. A cell such as
`0.5`, `12.25` or `1,234.5` tells which; one whose mark stands before exactly three digits
does not. So the cells of a whole file decide, and where they do not, a person is asked.
*/

use super::column::{COLUMN_COUNT, Column};
use super::written::numbers_of;
use crate::records::LoadError;
use crate::records::settings::Thousands;
use serde::{Deserialize, Serialize};

/// How numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Marks {
    /// True where the comma is the decimal sign.
    pub comma: bool,
    /// True where the other mark groups thousands.
    pub grouped: bool,
}

impl From<bool> for Marks {
    fn from(comma: bool) -> Self {
        Marks {
            comma,
            grouped: false,
        }
    }
}

/// What a cell says, as a set of bits.
type Bits = u8;

const POINT_IS_DECIMAL: Bits = 1;
const COMMA_IS_DECIMAL: Bits = 2;
const POINT_GROUPS: Bits = 4;
const COMMA_GROUPS: Bits = 8;
/// One point before exactly three digits: both readings fit.
const POINT_OPEN: Bits = 16;
const COMMA_OPEN: Bits = 32;
/// A whole number of three digits, which grouping would leave as it is.
const THREE_DIGITS: Bits = 64;
/// A whole number of more digits, which grouping would have cut.
const MORE_DIGITS: Bits = 128;

/// What tells the decimal sign for certain.
const SAYS_A_SIGN: Bits = POINT_IS_DECIMAL | COMMA_IS_DECIMAL | POINT_GROUPS | COMMA_GROUPS;

/// Bytes of the shortest cell that says something, such as `0.5`.
const SHORTEST: usize = 3;

/// What one cell says of points and commas; nothing where it is no number.
fn bits(text: &str) -> Bits {
    let text = text.trim();
    let unsigned = text.strip_prefix(['-', '+', '\u{2212}']).unwrap_or(text);
    let digits = unsigned.bytes().filter(u8::is_ascii_digit).count();
    let marks = |mark: char| unsigned.matches(mark).count();
    let (points, commas) = (marks('.'), marks(','));
    if digits == 0 || digits + points + commas != unsigned.len() {
        // An exponent stands behind decimals.
        return match (unsigned.contains(['e', 'E']), points, commas) {
            (true, 1, 0) => POINT_IS_DECIMAL,
            (true, 0, 1) => COMMA_IS_DECIMAL,
            _ => around(text),
        };
    }
    match (points, commas) {
        (0, 0) if digits == 3 => THREE_DIGITS,
        (0, 0) if digits > 3 => MORE_DIGITS,
        (0, 0) => 0,
        (1, 0) if !grouped(unsigned, '.') => POINT_IS_DECIMAL,
        (0, 1) if !grouped(unsigned, ',') => COMMA_IS_DECIMAL,
        (1, 0) => POINT_OPEN,
        (0, 1) => COMMA_OPEN,
        (_, 0) if grouped(unsigned, '.') => POINT_GROUPS,
        (0, _) if grouped(unsigned, ',') => COMMA_GROUPS,
        (_, 1) if whole_grouped(unsigned, '.', ',') => POINT_GROUPS | COMMA_IS_DECIMAL,
        (1, _) if whole_grouped(unsigned, ',', '.') => COMMA_GROUPS | POINT_IS_DECIMAL,
        _ => 0,
    }
}

/// What the numbers say among which other signs stand, such as a unit.
fn around(text: &str) -> Bits {
    let numbers = numbers_of(text).filter(|number| number.len() < text.len());
    numbers.fold(0, |said, number| said | bits(&number))
}

/// True where `mark` cuts the digits into groups of three behind one to three that are not
/// zero throughout.
pub(crate) fn grouped(unsigned: &str, mark: char) -> bool {
    let mut groups = unsigned.split(mark);
    let first = groups.next().unwrap_or("");
    let digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first_fits = (1..=3).contains(&first.len()) && digits(first) && !first.starts_with('0');
    first_fits && groups.all(|group| group.len() == 3 && digits(group))
}

/// The same of the part before the decimal sign.
fn whole_grouped(unsigned: &str, mark: char, decimal: char) -> bool {
    let parts = unsigned.split_once(decimal);
    parts.is_some_and(|(whole, part)| grouped(whole, mark) && !part.contains(mark))
}

/// What the cells of one column say together.
#[derive(Debug, Clone, Default)]
struct Cells {
    bits: Bits,
    /// The first cell of each bit that may have to be shown: row and text.
    shown: Vec<(Bits, u32, String)>,
}

impl Cells {
    fn add(&mut self, bits: Bits, row: u32, text: &str) {
        let new = bits & !self.bits;
        if new & !(THREE_DIGITS | MORE_DIGITS) != 0 {
            self.shown.push((new, row, text.trim().to_string()));
        }
        self.bits |= bits;
    }

    fn has(&self, bits: Bits) -> bool {
        self.bits & bits != 0
    }

    /// The decimal sign that the cells show for certain; `None` where none does, or both.
    fn decimal_comma(&self) -> Option<bool> {
        let (point, comma) = (
            self.has(POINT_IS_DECIMAL | COMMA_GROUPS),
            self.has(COMMA_IS_DECIMAL | POINT_GROUPS),
        );
        (point != comma).then_some(comma)
    }

    /// True where the mark that is not the decimal sign groups thousands.
    fn groups(&self, comma: bool) -> bool {
        match comma {
            true => self.has(POINT_GROUPS) && !self.has(POINT_IS_DECIMAL),
            false => self.has(COMMA_GROUPS) && !self.has(COMMA_IS_DECIMAL),
        }
    }

    /// The first cell that says one of `bits`, with its row.
    fn example(&self, bits: Bits) -> (u32, &str) {
        let found = self.shown.iter().find(|(said, ..)| said & bits != 0);
        found.map_or((0, ""), |(_, row, text)| (*row, text))
    }
}

/// What the number columns of a batch or a file say.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    columns: Vec<Cells>,
}

/// Columns of numbers.
const NUMBERS: [Column; 10] = [
    Column::AsFound,
    Column::AsLeft,
    Column::Nominal,
    Column::U,
    Column::UCommon,
    Column::Lower,
    Column::Upper,
    Column::Usage,
    Column::Tolerance,
    Column::Range,
];

impl Default for Seen {
    fn default() -> Self {
        Self {
            columns: vec![Cells::default(); COLUMN_COUNT],
        }
    }
}

impl Seen {
    /// Notes the cells of a row, whose texts `text` gives. A column that has shown that its
    /// decimal sign is the one it is read by is not looked at again, but where a row is `unread`.
    pub fn note<'a>(
        &mut self,
        text: impl Fn(Column) -> Option<&'a str>,
        row: u32,
        marks: &ColumnMarks,
        unread: bool,
    ) {
        for column in NUMBERS {
            let decimal = match marks[column.index()].comma {
                true => COMMA_IS_DECIMAL,
                false => POINT_IS_DECIMAL,
            };
            let cells = &mut self.columns[column.index()];
            if !unread && cells.has(decimal) {
                continue;
            }
            // Shorter cells say nothing, and are the most frequent ones.
            if let Some(text) = text(column).filter(|text| text.len() >= SHORTEST) {
                cells.add(bits(text), row, text);
            }
        }
    }

    /// Gives the rows of the cells that are shown other numbers.
    pub fn renumber(&mut self, number: impl Fn(&mut u32)) {
        for (_, row, _) in self.columns.iter_mut().flat_map(|cells| &mut cells.shown) {
            number(row);
        }
    }

    /// Adds what another part of the file says, which stands below `first_row` of its rows.
    pub fn join(&mut self, part: &Seen, first_row: u32) {
        for (cells, own) in self.columns.iter_mut().zip(&part.columns) {
            for (bits, row, text) in &own.shown {
                cells.add(*bits, first_row + row, text);
            }
            cells.bits |= own.bits;
        }
    }

    /// What the cells of a table's columns say; `cells` gives column, row and text.
    pub fn of_cells<'a>(
        columns: usize,
        cells: impl Iterator<Item = (usize, u32, &'a str)>,
    ) -> Self {
        let mut all = Self {
            columns: vec![Cells::default(); columns],
        };
        for (column, row, text) in cells {
            all.columns[column].add(bits(text), row, text);
        }
        all
    }

    fn any(&self, bits: Bits) -> bool {
        self.columns.iter().any(|cells| cells.has(bits))
    }

    /// The decimal sign that the cells show for certain; `None` where none does, or both.
    pub fn decimal_comma(&self) -> Option<bool> {
        let (point, comma) = (
            self.any(POINT_IS_DECIMAL | COMMA_GROUPS),
            self.any(COMMA_IS_DECIMAL | POINT_GROUPS),
        );
        (point != comma).then_some(comma)
    }

    /// How the numbers of a table are to be read, all alike.
    ///
    /// # Errors
    /// Cells that contradict the stated decimal sign, or that leave open what it is.
    pub fn marks(
        &self,
        stated: Option<bool>,
        thousands: Thousands,
        place: &str,
        table: &str,
        header: impl Fn(usize) -> String,
    ) -> Result<Marks, LoadError> {
        let comma = stated.unwrap_or(false);
        let judge = Judge {
            seen: self,
            stated,
            thousands,
            place,
            table,
            header: &header,
        };
        for column in 0..self.columns.len() {
            judge.column(column, comma)?;
        }
        Ok(Marks {
            comma,
            grouped: judge.grouped(comma),
        })
    }

    /// How the numbers of each column of checks are to be read: where no decimal sign is
    /// stated, each by its own cells, and by those of the file where its own tell nothing.
    ///
    /// # Errors
    /// As [`Seen::marks`].
    pub fn column_marks(
        &self,
        stated: Option<bool>,
        thousands: Thousands,
        place: &str,
        header: impl Fn(usize) -> String,
    ) -> Result<ColumnMarks, LoadError> {
        let stated = stated.or(match thousands {
            Thousands::Point => Some(true),
            Thousands::Comma => Some(false),
            Thousands::Auto | Thousands::None => None,
        });
        let judge = Judge {
            seen: self,
            stated,
            thousands,
            place,
            table: "checks",
            header: &header,
        };
        let file = self.decimal_comma().unwrap_or(false);
        let mut marks = [Marks::from(false); COLUMN_COUNT];
        for (column, own) in marks.iter_mut().enumerate() {
            let cells = &self.columns[column];
            let comma = stated.or(cells.decimal_comma());
            own.comma = comma.unwrap_or(file && !cells.has(SAYS_A_SIGN));
            judge.column(column, own.comma)?;
            own.grouped = judge.grouped(own.comma) || cells.groups(own.comma);
        }
        Ok(marks)
    }
}

/// How the numbers of each column are written.
pub(crate) type ColumnMarks = [Marks; COLUMN_COUNT];

/// What the cells of a column must not leave open.
struct Judge<'a> {
    seen: &'a Seen,
    stated: Option<bool>,
    thousands: Thousands,
    place: &'a str,
    table: &'a str,
    header: &'a dyn Fn(usize) -> String,
}

impl Judge<'_> {
    fn column(&self, column: usize, comma: bool) -> Result<(), LoadError> {
        let cells = &self.seen.columns[column];
        let (own, open, groups) = match comma {
            true => ("comma", COMMA_OPEN, COMMA_GROUPS),
            false => ("point", POINT_OPEN, POINT_GROUPS),
        };
        let (decimal, other_decimal) = match comma {
            true => (COMMA_IS_DECIMAL, POINT_IS_DECIMAL),
            false => (POINT_IS_DECIMAL, COMMA_IS_DECIMAL),
        };
        if cells.has(groups) {
            let what = format!("the {own} groups thousands there, and is read as the decimal sign");
            let mend = format!("State decimal_comma = {} under [{}].", !comma, self.table);
            return Err(self.refusal(column, groups, &what, mend));
        }
        let mixed = cells.has(THREE_DIGITS) && !cells.has(MORE_DIGITS);
        let elsewhere = self.seen.any(decimal) && !self.seen.any(other_decimal) && !mixed;
        let undecided = cells.has(open) && !cells.has(decimal) && !elsewhere;
        // A point before three digits beside decimal commas: thousands, or written otherwise.
        let beside = comma && cells.has(POINT_OPEN) && !self.seen.any(POINT_GROUPS);
        if self.stated.is_none() && (undecided || beside) {
            let shown = if undecided { open } else { POINT_OPEN };
            let mark = if shown == COMMA_OPEN {
                "comma"
            } else {
                "point"
            };
            let what = format!(
                "that is one number with a decimal {mark}, and another a thousand times as large where the {mark} groups thousands; no cell of the file tells which"
            );
            let mend = match mark {
                "comma" => {
                    "State decimal_comma = true (1,234 is 1.234) or decimal_comma = false (1,234 is 1234; with thousands = \",\")"
                }
                _ => {
                    "State decimal_comma = false (1.234 is 1.234) or decimal_comma = true (1.234 is 1234; with thousands = \".\")"
                }
            };
            let mend = format!("{mend} under [{}].", self.table);
            return Err(self.refusal(column, shown, &what, mend));
        }
        Ok(())
    }

    fn refusal(&self, column: usize, bits: Bits, what: &str, mend: String) -> LoadError {
        let (row, text) = self.seen.columns[column].example(bits);
        let header = (self.header)(column);
        let cell = format!("column \"{header}\" has \"{text}\" in row {row}");
        LoadError::new(self.place, format!("{cell}: {what}"), mend).asking("decimal_comma")
    }

    /// True where the mark that is not the decimal sign groups thousands throughout.
    fn grouped(&self, comma: bool) -> bool {
        let (other_decimal, other_groups) = match comma {
            true => (POINT_IS_DECIMAL, POINT_GROUPS),
            false => (COMMA_IS_DECIMAL, COMMA_GROUPS),
        };
        match self.thousands {
            Thousands::Auto => self.seen.any(other_groups) && !self.seen.any(other_decimal),
            Thousands::None => false,
            Thousands::Point => comma,
            Thousands::Comma => !comma,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_says_what_its_marks_must_be() {
        let cases = [
            ("0.5", POINT_IS_DECIMAL),
            ("-12,25", COMMA_IS_DECIMAL),
            ("0.123", POINT_IS_DECIMAL),
            ("1234.567", POINT_IS_DECIMAL),
            ("1.234", POINT_OPEN),
            ("-1,234", COMMA_OPEN),
            ("1.234.567", POINT_GROUPS),
            ("1.234,5", POINT_GROUPS | COMMA_IS_DECIMAL),
            ("1,234.567", COMMA_GROUPS | POINT_IS_DECIMAL),
            ("1.2e3", POINT_IS_DECIMAL),
            ("998", THREE_DIGITS),
            ("1500", MORE_DIGITS),
            ("01.02.2020", 0),
            ("n/a", 0),
        ];
        for (text, expected) in cases {
            assert_eq!(bits(text), expected, "{text}");
        }
    }

    fn judged(columns: &[&[&str]], stated: Option<bool>) -> Result<Marks, String> {
        let cells = columns.iter().enumerate().flat_map(|(column, cells)| {
            (1..)
                .zip(*cells)
                .map(move |(row, text)| (column, row, *text))
        });
        Seen::of_cells(columns.len(), cells)
            .marks(stated, Thousands::Auto, "f.csv", "checks", |i| {
                i.to_string()
            })
            .map_err(|e| e.to_string())
    }

    #[test]
    fn the_cells_of_a_file_decide_or_a_person_does() {
        let point = Marks::from(false);
        assert_eq!(judged(&[&["1.234"], &["0.5"]], None), Ok(point));
        assert_eq!(judged(&[&["1.234", "1.25"]], None), Ok(point));
        assert_eq!(judged(&[&["1.234"]], Some(false)), Ok(point));
        assert!(
            judged(&[&["1.234"]], None)
                .unwrap_err()
                .contains("no cell of the file tells")
        );
        assert!(judged(&[&["1.234"], &["0,5"]], None).is_err());
        // 998 and 1.002 beside each other: thousands, or a slip of a thousand.
        assert!(judged(&[&["998", "1.002"], &["0.5"]], None).is_err());
        assert!(judged(&[&["1.234.567"]], Some(false)).is_err());
        assert!(judged(&[&["1,234.5"]], Some(true)).is_err());
        let both = |comma| Marks {
            comma,
            grouped: true,
        };
        assert_eq!(judged(&[&["1,234.5", "1,234"]], None), Ok(both(false)));
        assert_eq!(judged(&[&["1.234,5", "1.234"]], Some(true)), Ok(both(true)));
    }
}
