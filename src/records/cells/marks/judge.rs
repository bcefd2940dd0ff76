/*! How the numbers of a file are to be read, and the refusal where its cells leave it open. */

use super::cell::*;
use super::seen::Seen;
use super::{ColumnMarks, Marks};
use crate::records::LoadError;
use crate::records::cells::column::COLUMN_COUNT;
use crate::records::settings::words::Thousands;

impl Seen {
    /// How the numbers of a table are to be read, all alike.
    ///
    /// # Errors
    /// Cells that contradict the stated decimal sign, or that leave open what it is.
    pub(crate) fn marks(
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
    pub(crate) fn column_marks(
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
        // A comma before three digits where nothing says that points separate decimals.
        let says_point = self.seen.any(POINT_IS_DECIMAL | COMMA_GROUPS);
        let lone = !comma && cells.has(COMMA_OPEN) && !says_point;
        if self.stated.is_none() && (undecided || beside || lone) {
            let shown = match (undecided, lone) {
                (true, _) => open,
                (false, true) => COMMA_OPEN,
                (false, false) => POINT_OPEN,
            };
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
        says!(
            judged(&[&["1.234"]], None).unwrap_err(),
            "no cell of the file tells"
        );
        assert!(judged(&[&["1.234"], &["0,5"]], None).is_err());
        assert!(judged(&[&["1,234", "25,335"]], None).is_err());
        // 998 and 1.002 beside each other: thousands, or a slip of a thousand.
        assert!(judged(&[&["998", "1.002"], &["0.5"]], None).is_err());
        assert!(judged(&[&["1.234.567"]], Some(false)).is_err());
        assert!(judged(&[&["1,234.5"]], Some(true)).is_err());
        let both = Marks::with_thousands;
        assert_eq!(judged(&[&["1,234.5", "1,234"]], None), Ok(both(false)));
        assert_eq!(judged(&[&["1.234,5", "1.234"]], Some(true)), Ok(both(true)));
    }
}
